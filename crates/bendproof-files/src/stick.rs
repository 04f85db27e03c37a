//! The plan of a coupon welded with stick, as far as rods and heat need it.

use bendproof_weld::consumable::foreign_to;
use bendproof_weld::stick::{Electrode, StickPass, StickPlan, electrodes};
use bendproof_weld::{Fit, PassKind, Process, Progression, Travel};

use crate::finding::Finding;
use crate::reader::Reader;
use crate::stated::stated_process;

/// Reads the plan of a coupon that states stick. `None` for another process, where
/// no pass states amps, and where something else is lacking, which is noted: a
/// coupon that was only tested needs no plan.
pub(crate) fn stick_plan(r: &mut Reader<'_>, fit: Option<&Fit>) -> Option<StickPlan> {
    if stated_process(r.document()) != Some(Process::Smaw) {
        return None;
    }
    let rows = r.document().rows("pass");
    if !rows.iter().any(|row| r.has(&format!("pass.{row}.amps"))) {
        return None;
    }
    let electrode = electrode(r);
    let diameter_m =
        stated_si(r, "settings.wire_diameter", "electrode diameter is missing; enter it, as 1/8 in");
    let interpass_max_k = r.has("settings.interpass_max").then(|| r.si("settings.interpass_max")).flatten();
    let rises = fit.is_some_and(|fit| fit.position.rises());
    let passes: Vec<_> = rows.iter().map(|row| stick_pass(r, *row, rises)).collect();
    Some(StickPlan {
        fit: fit?.clone(),
        electrode: electrode?,
        diameter_m: diameter_m?,
        interpass_max_k,
        passes: passes.into_iter().collect::<Option<_>>()?,
    })
}

fn electrode(r: &mut Reader<'_>) -> Option<&'static Electrode> {
    const PATH: &str = "settings.wire";
    let name = stated(r, PATH, "filler metal is missing; enter its classification, as E7018")
        .then(|| r.text(PATH))??;
    let found = Electrode::named(name);
    // A filler of another process is refused by name where the settings are read.
    if found.is_none() && foreign_to(Process::Smaw, name).is_none() {
        let known: Vec<&str> = electrodes().iter().map(|e| e.name.as_str()).collect();
        lacks(
            r,
            PATH,
            &format!("what {} lays is not known here, only that of {}", name.trim(), known.join(", ")),
        );
    }
    found
}

fn stick_pass(r: &mut Reader<'_>, row: usize, rises: bool) -> Option<StickPass> {
    let at = |name: &str| format!("pass.{row}.{name}");
    let kind = r.word(&at("kind"), PassKind::from_word);
    let beads = r.count(&at("beads"));
    // A faulty or missing direction is noted where the passes are read.
    let written = r.word(&at("progression"), Progression::from_word);
    let progression = if rises { written } else { Some(Progression::Level) };
    let volts = r.si(&at("volts"));
    let current_a = stated_si(r, &at("amps"), "amps is missing; enter what the machine is set to, as 120 A");
    let travel = match (r.has(&at("travel")), r.has(&at("bead_area"))) {
        (true, false) => r.si(&at("travel")).map(Travel::Speed),
        (false, true) => r.si(&at("bead_area")).map(Travel::BeadArea),
        // Both are refused where the passes are read.
        (true, true) => None,
        (false, false) => {
            lacks(r, &at("travel"), "travel speed is missing; time a few inches, and enter it as 5 in/min");
            None
        }
    };
    Some(StickPass {
        kind: kind?,
        beads: beads?,
        progression: progression?,
        volts,
        current_a: current_a?,
        travel: travel?,
    })
}

/// A value that only counts where somebody stated it.
fn stated_si(r: &mut Reader<'_>, path: &str, missing: &str) -> Option<f64> {
    stated(r, path, missing).then(|| r.si(path)).flatten()
}

fn stated(r: &mut Reader<'_>, path: &str, missing: &str) -> bool {
    if !r.has(path) {
        lacks(r, path, missing);
    }
    r.has(path)
}

fn lacks(r: &mut Reader<'_>, path: &str, missing: &str) {
    r.note(Finding::warning(path, format!("{missing}; rods, heat and time are computed from it")));
}
