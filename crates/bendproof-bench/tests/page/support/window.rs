//! An invented settings window: words and shapes where a model would stand.

use bendproof_bench::desk::{ChanceView, WindowAsk, WindowPlace, WindowView};
use bendproof_traveler::sheet::{Mark, Sheet};
use bendproof_traveler::window::{ChangeView, KnobLine, SideView, WindowChoice, WindowLine};

/// The two inputs of the invented coupon.
const INPUTS: [(&str, &str); 2] = [("fit.root_opening", "root opening"), ("fit.root_face", "land")];

/// A map of nothing, with what pointing needs.
pub fn drawn(id: &str) -> String {
    format!(
        "<svg id=\"{id}\" role=\"img\" aria-labelledby=\"{id}-title\" xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"200\" height=\"100\" viewBox=\"0 0 200 100\" data-x-min=\"0\" data-x-max=\"0.25\" \
         data-u-min=\"20\" data-u-max=\"180\" data-y-min=\"0\" data-y-max=\"0.125\" data-v-min=\"80\" data-v-max=\"10\">\
         <title id=\"{id}-title\">{id}</title><path d=\"M20 10h160v70h-160z\" fill=\"none\"/></svg>"
    )
}

fn side(sheet: &Sheet, path: &str, label: &str) -> SideView {
    let text = sheet.fit.iter().find(|field| field.path == path).map_or("", |field| &field.text);
    SideView {
        path: path.into(),
        label: label.into(),
        ends: [0.0, 0.25],
        steps: [1.0 / 64.0, 1.0 / 32.0],
        value: 0.125,
        text: text.into(),
        range: "0 in to 1/4 in".into(),
    }
}

/// The window of the sheet as it stands.
pub fn view(sheet: &Sheet, ask: &WindowAsk) -> WindowView {
    let [x, y] = if ask.x == INPUTS[1].0 { [INPUTS[1], INPUTS[0]] } else { INPUTS };
    let sides = [side(sheet, x.0, x.1), side(sheet, y.0, y.1)];
    let texts = [sides[0].text.clone(), sides[1].text.clone()];
    WindowView {
        number: super::NUMBER.into(),
        title: "invented".into(),
        root_only: ask.root_only,
        choices: INPUTS
            .iter()
            .map(|(path, label)| WindowChoice { path: (*path).into(), label: (*label).into(), pass: None })
            .collect(),
        here: place([0.125, 0.125], texts),
        sides,
        map: drawn("window-map"),
        map_narrow: drawn("window-map-narrow"),
        summary: "Of the map 100 % is <invented>.".into(),
        first: "left root edge: fails, -0.3 mm".into(),
        knobs: vec![KnobLine {
            path: INPUTS[1].0.into(),
            label: INPUTS[1].1.into(),
            stands: "1/16 in".into(),
            step: "+1/32 in".into(),
            moves: "-0.6 mm".into(),
            share: Some(-3.0),
        }],
        advice: "The smallest single change:".into(),
        change: Some(ChangeView {
            path: INPUTS[1].0.into(),
            text: "1/32 in".into(),
            words: "land from 1/16 in to 1/32 in".into(),
            better: vec!["left root edge: fails → holds".into()],
            worse: Vec::new(),
        }),
        notes: vec!["The model alone could be wrong in 7 of 100 cells.".into()],
    }
}

/// The words at a place.
pub fn place(at: [f64; 2], texts: [String; 2]) -> WindowPlace {
    let line = |mark, label: &str, is_first| WindowLine {
        mark,
        label: label.into(),
        value: "-0.3 mm".into(),
        is_first,
    };
    WindowPlace {
        at,
        words: format!("{} across, {} upwards: fails", texts[0], texts[1]),
        texts,
        mark: Mark::Fails,
        lines: vec![line(Mark::Fails, "left root edge", true), line(Mark::Holds, "root <profile>", false)],
    }
}

/// The chance along the joint.
pub fn chance() -> ChanceView {
    ChanceView {
        chance: Ok("61 %, provisional: 48 to 70 % once solved".into()),
        lost: vec!["left root edge: 30 %".into()],
        assumed: vec!["Drawn again in every stretch of 1 in.".into()],
    }
}
