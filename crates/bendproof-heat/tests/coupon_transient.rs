//! A whole coupon in time: against one pass in its window, its energy, its ends,
//! its pauses, and what it refuses.

use std::ops::ControlFlow;

use bendproof_heat::solve::{
    Arc, Bead, CarbonSteel, Cooling, CouponField, CouponParams, CouponProblem, HeatError, Lattice, Losses,
    Metal, PassParams, PassProblem, Ring, Tack, Weave, solve_coupon, solve_pass,
};
use proptest::prelude::*;

const THICK_M: f64 = 9.5e-3;
const GAP_M: f64 = 3.2e-3;
const ROOT_FACE_M: f64 = 1.6e-3;
const WIDE_M: f64 = 60e-3;
const FUSION_K: f64 = 1768.15;
const START_K: f64 = 293.15;
const LOSSES: Losses = Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: START_K };

/// Half width of a 60° V, m: y across, z down from the top.
fn half_width_m(z_m: f64) -> f64 {
    0.5 * GAP_M + 30f64.to_radians().tan() * (THICK_M - ROOT_FACE_M - z_m).max(0.0)
}

/// One plate, on the side that `side` says.
fn plate(side: f64) -> Ring {
    let root = side * 0.5 * GAP_M;
    vec![
        [root, THICK_M],
        [side * WIDE_M, THICK_M],
        [side * WIDE_M, 0.0],
        [side * half_width_m(0.0), 0.0],
        [root, THICK_M - ROOT_FACE_M],
    ]
}

/// Metal between two levels, from one share of the half width to another.
fn layer(upper_m: f64, lower_m: f64, from: f64, to: f64) -> Ring {
    let knee_m = THICK_M - ROOT_FACE_M;
    let mut levels = vec![upper_m, lower_m];
    if upper_m < knee_m && knee_m < lower_m {
        levels.insert(1, knee_m);
    }
    let right = levels.iter().map(|z| [to * half_width_m(*z), *z]);
    let left = levels.iter().rev().map(|z| [from * half_width_m(*z), *z]);
    right.chain(left).collect()
}

fn arc(power_w: f64, y_m: f64, aim_z_m: f64) -> Arc {
    Arc {
        power_w,
        drop_heat_j_m3: 7850.0 * 1.9e6,
        travel_m_s: 4e-3,
        sigma_m: 1.75e-3,
        behind_edge_m: 1.5e-3,
        ramp_m: 3e-3,
        y_m,
        side_tangent: 0.0,
        aim_z_m,
        weave: Weave::STRINGER,
        gap_lost_share: 0.5,
    }
}

fn root(from: f64) -> Bead {
    Bead {
        rings: vec![layer(6.5e-3, THICK_M, from, 1.0)],
        arc: arc(1900.0, 0.0, 6.5e-3),
        run_m: None,
        then: Cooling::Time(20.0),
    }
}

/// The half of a joint, its root bead alone.
fn half(length_m: f64) -> CouponProblem {
    CouponProblem {
        base: vec![plate(1.0)],
        length_m,
        tacks: Vec::new(),
        beads: vec![root(0.0)],
        across: Lattice {
            ends_m: (0.0, WIDE_M),
            marks_m: vec![0.0, 0.5 * GAP_M, 10e-3],
            growth: 1.25,
            cell_max_m: 8e-3,
        },
        down: Lattice { ends_m: (0.0, THICK_M), marks_m: vec![0.0, THICK_M], growth: 1.2, cell_max_m: 2e-3 },
        mirror: true,
        metal: Metal::CarbonSteel(CarbonSteel::STIRRED),
        fusion_k: FUSION_K,
        losses: LOSSES,
        start_temperature_k: START_K,
        interpass_at: None,
        station_m: None,
        probes: Vec::new(),
    }
}

/// Both sides, three beads that are not symmetric and run both ways, on coarse
/// cells.
fn three_beads() -> (CouponProblem, CouponParams<'static>) {
    let wait = Cooling::Until { temperature_k: 423.15, at_least_s: 10.0, at_most_s: 900.0 };
    let mut left = Bead {
        rings: vec![layer(4e-3, 6.5e-3, -1.0, 0.0)],
        arc: arc(2200.0, -1.5e-3, 5e-3),
        run_m: Some((70e-3, 5e-3)),
        then: wait,
    };
    left.arc.weave = Weave { width_m: 2e-3, period_s: 2.0, toe_share: 0.3, middle_share: 0.0 };
    let right = Bead {
        rings: vec![layer(4e-3, 6.5e-3, 0.0, 1.0)],
        arc: arc(2200.0, 1.5e-3, 5e-3),
        run_m: None,
        then: wait,
    };
    let root = Bead { then: wait, ..root(-1.0) };
    let tack = Tack { rings: vec![layer(7.5e-3, THICK_M, -1.0, 1.0)], over_m: (30e-3, 42e-3) };
    let mut problem = CouponProblem {
        base: vec![plate(-1.0), plate(1.0)],
        tacks: vec![tack],
        beads: vec![root, left, right],
        mirror: false,
        probes: vec![[40e-3, 12e-3, 0.0], [40e-3, -12e-3, 0.0], [40e-3, 0.0, 5e-3]],
        ..half(80e-3)
    };
    problem.across.ends_m.0 = -WIDE_M;
    problem.across.marks_m.extend([-0.5 * GAP_M, -10e-3]);
    let params = CouponParams { cell_m: 1e-3, ..CouponParams::STANDARD };
    (problem, params)
}

/// Where peak temperatures along a row fall through the edge of fusion.
fn melts_to_m(peak_k: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    const STEP_M: f64 = 0.01e-3;
    let places = (0..2000).map(|i| f64::from(i) * STEP_M);
    places.filter(|y| peak_k(*y).is_some_and(|t| t > FUSION_K)).last()
}

/// How far a coupon may be from one pass in its window: on the melted outline, m,
/// and on the rise of a peak in metal that stayed solid, share.
const OUTLINE_M: f64 = 0.1e-3;
const RISE: f64 = 0.02;

#[test]
fn at_mid_length_a_coupon_agrees_with_one_pass_in_its_window() {
    let problem = half(160e-3);
    let (coupon, info) = solve_coupon(&problem, &CouponParams::STANDARD).unwrap();
    let bead = &problem.beads[0];
    let alone = PassProblem {
        base: problem.base.clone(),
        bead: bead.rings.clone(),
        across: problem.across.clone(),
        down: problem.down.clone(),
        mirror: true,
        metal: problem.metal,
        fusion_k: FUSION_K,
        losses: LOSSES,
        start_temperature_k: START_K,
        arc: bead.arc,
    };
    let (pass, _) =
        solve_pass(&alone, &PassParams { travel_m: 80e-3, behind_m: 80e-3, ..PassParams::STANDARD }).unwrap();
    assert!(info.energy_error < 1e-10, "{info:?}");
    let (mut rows, mut outline_m, mut points, mut rise) = (0, 0.0f64, 0, 0.0f64);
    for row in 0..20 {
        let z_m = THICK_M * (f64::from(row) + 0.5) / 20.0;
        let both = (melts_to_m(|y| coupon.peak_k_at(0, y, z_m)), melts_to_m(|y| pass.peak_k_at(y, z_m)));
        if let (Some(a), Some(b)) = both {
            outline_m = outline_m.max((a - b).abs());
            rows += 1;
        }
        for column in 0..24 {
            let y_m = 0.5e-3 * (f64::from(column) + 0.5);
            let both = (coupon.peak_k_at(0, y_m, z_m), pass.peak_k_at(y_m, z_m));
            if let (Some(a), Some(b)) = both
                && b < FUSION_K
            {
                rise = rise.max(((a - b) / (b - START_K)).abs());
                points += 1;
            }
        }
    }
    assert!(rows >= 6 && points > 300, "{rows} rows, {points} points");
    assert!(outline_m < OUTLINE_M, "{:.3} mm", outline_m * 1e3);
    assert!(rise < RISE, "{:.2} %", rise * 100.0);
}

fn bits(field: &CouponField) -> Vec<u64> {
    let traces = field.probes.iter().chain([&field.interpass]);
    let values = traces.flat_map(|t| t.time_s.iter().chain(&t.temperature_k));
    values.chain(&field.peak_k).chain([&field.lost_j]).map(|v| v.to_bits()).collect()
}

#[test]
fn heat_is_kept_bits_are_kept_and_pauses_are_waited_for() {
    let (problem, params) = three_beads();
    let (first, info) = solve_coupon(&problem, &params).unwrap();
    assert!(info.energy_error < 1e-10, "{info:?}");
    assert!(first.lost_j > 0.05 * first.brought_j && first.lost_j < first.brought_j);
    for threads in [2, 3] {
        let (again, _) = solve_coupon(&problem, &CouponParams { threads, ..params }).unwrap();
        assert!(bits(&again) == bits(&first), "{threads} threads");
    }
    // Straight pieces of the property table miss by less than this, K.
    assert!((first.beads[0].interpass_k - START_K).abs() < 2e-3);
    for pair in first.beads.windows(2) {
        assert!(pair[0].cooled);
        assert!(pair[1].interpass_k <= 423.15, "{}", pair[1].interpass_k);
        assert!(pair[1].start_s - pair[0].end_s >= 10.0 - 1e-6);
        // No longer than needed: the plate had not cooled much below.
        assert!(pair[1].interpass_k > 418.0 || pair[1].start_s - pair[0].end_s < 10.1);
    }
    let laid: Vec<f64> = first.beads.iter().map(|b| b.fraction.iter().sum()).collect();
    assert!(laid.windows(2).all(|pair| pair[1] > pair[0]), "{laid:?}");
    // A point in the joint has a history only from when there is metal.
    assert!(first.probes[2].time_s[0] > 0.0 && first.probes[0].time_s[0] == 0.0);
}

#[test]
fn the_start_of_a_bead_is_colder_than_its_middle_and_its_end_hotter() {
    let peak_k = |station_m: f64| {
        let problem = CouponProblem { station_m: Some(station_m), ..half(100e-3) };
        let params = CouponParams { cell_m: 1e-3, ..CouponParams::STANDARD };
        solve_coupon(&problem, &params).unwrap().0.peak_k_at(0, 6e-3, 5e-3).unwrap()
    };
    let (start, middle, end) = (peak_k(3e-3), peak_k(50e-3), peak_k(92e-3));
    assert!(start < middle - 5.0 && middle + 5.0 < end, "{start} {middle} {end}");
}

#[test]
fn both_directions_give_the_same_coupon_in_a_mirror() {
    let solve = |run_m, station_m| {
        let mut problem = CouponProblem { station_m: Some(station_m), ..half(64e-3) };
        problem.beads[0].run_m = Some(run_m);
        let params = CouponParams { cell_m: 1e-3, ..CouponParams::STANDARD };
        solve_coupon(&problem, &params).unwrap().0
    };
    let (along, against) = (solve((8e-3, 48e-3), 20.5e-3), solve((56e-3, 16e-3), 43.5e-3));
    for (a, b) in along.peak_k.iter().zip(&against.peak_k) {
        assert!((a - b).abs() < 1e-6 || a.is_nan() && b.is_nan(), "{a} {b}");
    }
}

#[test]
fn a_slow_weave_is_followed_and_a_fast_one_stands_as_its_mean() {
    // Of a bead down the middle, how much hotter one side got than the other.
    let uneven_k = |period_s: f64| {
        let (mut problem, params) = three_beads();
        problem.tacks.clear();
        problem.beads = vec![Bead { then: Cooling::Time(5.0), ..root(-1.0) }];
        problem.beads[0].arc.weave = Weave { width_m: 4e-3, period_s, toe_share: 0.6, middle_share: 0.0 };
        problem.probes = vec![[40e-3, 4e-3, 8e-3], [40e-3, -4e-3, 8e-3]];
        let (field, info) = solve_coupon(&problem, &params).unwrap();
        assert!(info.energy_error < 1e-10, "{info:?}");
        (field.probes[0].peak_k - field.probes[1].peak_k).abs()
    };
    // Steps are 0.1 s: an eighth of 0.8 s.
    let (followed, mean) = (uneven_k(3.0), uneven_k(0.7));
    assert!(followed > 20.0 && mean < 0.5, "{followed} K, {mean} K");
}

#[test]
fn a_tack_is_metal_before_the_first_bead() {
    let (problem, params) = three_beads();
    let metal = |problem: &CouponProblem| {
        let one =
            CouponProblem { beads: vec![Bead { then: Cooling::Time(0.0), ..root(-1.0) }], ..problem.clone() };
        let (field, info) = solve_coupon(&one, &params).unwrap();
        assert!(info.energy_error < 1e-10);
        (field.base_fraction.iter().sum::<f64>(), field.beads[0].fraction.iter().sum::<f64>())
    };
    let with = metal(&problem);
    let without = metal(&CouponProblem { tacks: Vec::new(), ..problem });
    // 2 mm of tack on cells of about a square millimetre; the same bead on top.
    assert!(with.0 - without.0 > 4.0, "{with:?} {without:?}");
    assert!((with.1 - without.1).abs() < 0.5, "{with:?} {without:?}");
}

#[test]
fn a_pause_that_takes_too_long_ends_and_says_so() {
    let (mut problem, params) = three_beads();
    problem.beads.truncate(2);
    problem.beads[0].then = Cooling::Until { temperature_k: 300.0, at_least_s: 0.0, at_most_s: 30.0 };
    problem.beads[1].then = Cooling::Time(0.0);
    let (field, _) = solve_coupon(&problem, &params).unwrap();
    let [first, second] = &field.beads[..] else { panic!("two beads") };
    assert!(!first.cooled && second.interpass_k > 300.0);
    assert!((second.start_s - first.end_s - 30.0).abs() < 1e-6);
}

#[test]
fn a_caller_may_stop_it() {
    let (problem, params) = three_beads();
    let stop = |share: f64| if share > 0.4 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
    let error = solve_coupon(&problem, &CouponParams { progress: Some(&stop), ..params }).unwrap_err();
    assert!(matches!(error, HeatError::Cancelled(share) if share > 0.4 && share < 0.45), "{error}");
}

#[test]
fn what_does_not_fit_is_refused_with_numbers() {
    let (problem, params) = three_beads();
    let error = solve_coupon(&problem, &CouponParams { cells_max: 10_000, ..params }).unwrap_err();
    let HeatError::TooManyCells { cells, bytes, allowed } = error else { panic!("{error}") };
    assert!(cells > allowed && bytes > 8 * cells, "{cells} {bytes}");
    let (_, info) = solve_coupon(&problem, &params).unwrap();
    assert_eq!(info.bytes, bytes);
    let error = solve_coupon(&problem, &CouponParams { steps_max: 100, ..params }).unwrap_err();
    let HeatError::TooManySteps { steps, allowed: 100 } = error else { panic!("{error}") };
    // The pauses may last 900 s each.
    assert!(steps > info.steps && steps < 3 * 900, "{steps}");
}

#[test]
fn bad_input_is_refused() {
    let (good, params) = three_beads();
    let refused = |change: &dyn Fn(&mut CouponProblem)| {
        let mut problem = good.clone();
        change(&mut problem);
        solve_coupon(&problem, &params).map(|_| ()).unwrap_err().to_string()
    };
    let has = |text: String, part: &str| assert!(text.contains(part), "{text}");
    has(refused(&|p| p.length_m = f64::NAN), "length of the plate is not a number");
    has(refused(&|p| p.base[0][1][0] = f64::NAN), "corner of the section");
    has(refused(&|p| p.beads[1].run_m = Some((10e-3, 10e-3))), "length of a bead");
    has(refused(&|p| p.beads[1].run_m = Some((10e-3, 90e-3))), "stop of a bead");
    has(refused(&|p| p.beads[0].arc.power_w = 10.0), "lay less metal or raise the power");
    has(refused(&|p| p.probes[0][1] = 1.0), "probe, across");
    has(refused(&|p| p.interpass_at = Some([40e-3, 0.0, 5e-3])), "name a place on the plate");
    has(refused(&|p| p.tacks[0].over_m.1 = f64::INFINITY), "end of a tack");
    has(refused(&|p| p.across.ends_m.1 = f64::INFINITY), "high end across");
    has(refused(&|p| p.base.clear()), "no metal");
    has(refused(&|p| p.beads[1].rings.clear()), "bead 2 has no section");
    has(refused(&|p| p.beads[2].then = Cooling::Time(f64::NAN)), "pause after a bead");
    let late = Cooling::Until { temperature_k: 400.0, at_least_s: 50.0, at_most_s: 20.0 };
    has(refused(&|p| p.beads[2].then = late), "least pause after a bead");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_starts_stops_and_pauses_keep_the_heat(
        runs in prop::collection::vec((0.0..60e-3, 0.0..60e-3, 0.0..30.0), 3),
        tacks in prop::collection::vec((0.0..60e-3, 0.0..60e-3), 0..3),
        along_m in 0.5e-3..2e-3,
    ) {
        let (mut problem, params) = three_beads();
        problem.length_m = 60e-3;
        problem.probes.clear();
        problem.interpass_at = Some([30e-3, 25e-3, 0.0]);
        problem.tacks = tacks.iter().map(|over_m| Tack { over_m: *over_m, ..problem.tacks[0].clone() }).collect();
        for (bead, (from_m, to_m, pause_s)) in problem.beads.iter_mut().zip(runs) {
            let away_m = if from_m < 30e-3 { 20e-3 } else { -20e-3 };
            let to_m = if f64::abs(to_m - from_m) < 4e-3 { from_m + away_m } else { to_m };
            bead.run_m = Some((from_m, to_m));
            bead.arc.travel_m_s = 8e-3;
            bead.arc.power_w = 4000.0;
            bead.then = Cooling::Time(pause_s);
        }
        let (field, info) = solve_coupon(&problem, &CouponParams { along_m, ..params }).unwrap();
        prop_assert!(info.energy_error < 1e-10, "{info:?}");
        // Nothing gets colder than the plate was, but for the table's straight pieces.
        prop_assert!(field.peak_k.iter().all(|t| t.is_nan() || *t > START_K - 0.01));
    }
}
