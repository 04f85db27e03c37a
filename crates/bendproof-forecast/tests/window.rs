//! The settings window: it says what the sheet says, its words change in the
//! known sense, the recommended change does what it promises, and the chance
//! along the joint follows from its parts.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_forecast::*;
use bendproof_weld::*;
use support::{IN, IPM, LIMITS, SCATTER, down, read};

fn pass(kind: PassKind, volts: f64, feed_ipm: f64, travel_ipm: f64, beads: u32) -> Pass {
    Pass { beads, ..support::pass(kind, Progression::Downhill, volts, feed_ipm, travel_ipm) }
}

/// The plate of these tests: root downhill at 210 in/min; opening and land in inches.
fn plate(opening_in: f64, land_in: f64) -> Coupon {
    support::plate(opening_in, land_in, down(210.0))
}

fn whole(opening_in: f64, land_in: f64) -> Coupon {
    let mut coupon = plate(opening_in, land_in);
    coupon.passes.push(pass(PassKind::Hot, 19.0, 230.0, 11.0, 1));
    coupon.passes.push(pass(PassKind::Fill, 19.5, 240.0, 10.0, 2));
    coupon.passes.push(pass(PassKind::Cap, 19.5, 240.0, 11.0, 3));
    coupon
}

fn axis(knob: Knob, low: f64, high: f64, cells: usize, si: f64) -> Axis {
    Axis { knob, low_si: low * si, high_si: high * si, cells }
}

fn map(coupon: &Coupon, x: Axis, y: Axis) -> WindowMap {
    window_map(coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast, [x, y]).unwrap()
}

/// Opening 1/16 to 1/4 in across, land 0 to 1/8 in upwards.
fn opening_and_land(coupon: &Coupon, cells: usize) -> WindowMap {
    let x = axis(Knob::RootOpening, 1.0 / 16.0, 0.25, cells, IN);
    map(coupon, x, axis(Knob::RootFace, 0.0, 0.125, cells, IN))
}

/// The word of an answer, from the whole forecast.
fn item_of(f: &Forecast, failure: Failure, pass: usize) -> Item {
    match failure {
        Failure::LeftEdge => f.root.left_edge.clone(),
        Failure::RightEdge => f.root.right_edge.clone(),
        Failure::BurnThrough => f.root.burn_through.clone(),
        Failure::Outrun => f.root.outrun.clone(),
        Failure::HotPass => f.root.hot_pass.clone().unwrap(),
        Failure::Walls => f.passes[pass - 1].tie_in.clone(),
        Failure::Crown => f.crown.clone(),
    }
}

#[test]
fn a_map_says_no_other_word_than_the_sheet() {
    let mut seen = std::collections::BTreeSet::new();
    for make in [plate, whole] {
        for opening in [0.05, 1.0 / 16.0, 3.0 / 32.0, 1.0 / 8.0, 5.0 / 32.0, 3.0 / 16.0, 0.25] {
            for land in [0.0, 1.0 / 32.0, 1.0 / 16.0, 3.0 / 32.0, 1.0 / 8.0] {
                for (feed, position) in [(160.0, Position::G1), (210.0, Position::G3), (255.0, Position::G4)]
                {
                    let mut coupon = make(opening, land);
                    coupon.passes[0].wire_feed_m_s = feed * IPM;
                    coupon.fit.position = position;
                    let forecast = forecast(&coupon, &SCATTER, &LIMITS);
                    let answers = answers(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast);
                    let rank = |v: &Verdict| {
                        [Verdict::Holds, Verdict::Marginal, Verdict::NotKnown, Verdict::Fails]
                            .iter()
                            .position(|k| k == v)
                    };
                    let worst =
                        [forecast.verdict].into_iter().chain(forecast.above_root).max_by_key(rank).unwrap();
                    assert_eq!(answers.verdict(), worst, "{opening} {land} {feed}");
                    for answer in &answers.list {
                        let item = item_of(&forecast, answer.failure, answer.pass);
                        assert_eq!((answer.verdict, answer.unit), (item.verdict, item.unit));
                        assert_eq!(answer.margin, item.margin.filter(|_| item.verdict != Verdict::NotKnown));
                        seen.insert((answer.failure, format!("{:?}", answer.verdict)));
                    }
                }
            }
        }
    }
    assert!(seen.len() > 20, "the grid meets too few kinds of answers: {seen:?}");
}

#[test]
fn the_clearance_says_the_word() {
    for opening in [1.0 / 16.0, 1.0 / 8.0, 3.0 / 16.0, 0.25] {
        for land in [0.0, 1.0 / 16.0, 1.0 / 8.0] {
            for position in [Position::G1, Position::G3, Position::G4] {
                let mut coupon = whole(opening, land);
                coupon.fit.position = position;
                for answer in answers(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast).list {
                    let Some(clearance) = answer.clearance else { continue };
                    let word = match clearance {
                        c if c >= 1.0 => Verdict::Holds,
                        c if c <= -1.0 => Verdict::Fails,
                        _ => Verdict::Marginal,
                    };
                    assert_eq!(answer.verdict, word, "{answer:?}");
                }
            }
        }
    }
}

#[test]
fn going_up_to_thicker_lands_downhill_the_land_is_lost() {
    let map = opening_and_land(&read(plate(1.0 / 8.0, 1.0 / 16.0)), 24);
    for column in [2, 5, 8] {
        let cells: Vec<Cell> = map.rows.iter().map(|row| row[column]).collect();
        let top = cells.iter().rposition(|c| c.verdict == Verdict::Holds).unwrap();
        // Above the highest place that holds it is the edge, more so the higher,
        // and at the top it is lost.
        let above = &cells[top + 1..];
        assert!(above.iter().all(|c| c.first == Some((Failure::LeftEdge, 1))), "{above:?}");
        assert!(above.windows(2).all(|w| w[1].clearance < w[0].clearance), "{above:?}");
        assert_eq!(above.last().unwrap().verdict, Verdict::Fails);
    }
}

#[test]
fn going_right_to_wider_openings_the_failure_changes_from_the_edge_to_another() {
    let coupon = plate(1.0 / 8.0, 1.0 / 16.0);
    let map = opening_and_land(&coupon, 48);
    let row = &map.rows[30];
    let first = row.iter().find(|c| c.clearance.is_some()).unwrap();
    assert_eq!(first.first, Some((Failure::LeftEdge, 1)), "a tight joint loses its land first");
    let last = row.iter().rev().find(|c| c.clearance.is_some()).unwrap();
    let (failure, _) = last.first.unwrap();
    assert!(matches!(failure, Failure::BurnThrough), "{last:?}");
}

#[test]
fn wire_against_travel_runs_ahead_where_wire_is_high_and_travel_slow() {
    let coupon = read(plate(5.0 / 32.0, 1.0 / 16.0));
    let x = axis(Knob::WireFeed(0), 150.0, 255.0, 20, IPM);
    let map = map(&coupon, x, axis(Knob::Travel(0), 4.0, 12.0, 20, IPM));
    let slow_and_much = map.rows[0][19];
    assert_ne!(slow_and_much.verdict, Verdict::Holds);
    let (failure, _) = slow_and_much.first.unwrap();
    assert!(matches!(failure, Failure::Outrun | Failure::LeftEdge | Failure::BurnThrough), "{failure:?}");
    assert!(map.rows.iter().flatten().any(|c| c.verdict == Verdict::Holds), "nowhere holds");
}

#[test]
fn outside_the_checked_box_a_cell_is_not_known_and_the_map_says_why() {
    // A whole plan, whose crown fails in a corner outside the box.
    let coupon = whole(1.0 / 8.0, 1.0 / 16.0);
    let x = axis(Knob::RootOpening, 0.0, 0.375, 30, IN);
    let map = map(&coupon, x, axis(Knob::RootFace, 0.0, 0.1875, 30, IN));
    let [Some((low, high)), Some((_, land))] = map.checked else { panic!("{:?}", map.checked) };
    for (r, row) in map.rows.iter().enumerate() {
        for (c, cell) in row.iter().enumerate() {
            let inside = (low..=high).contains(&x.middle_si(c)) && map.y.middle_si(r) <= land;
            assert_eq!(cell.verdict == Verdict::NotKnown, !inside);
            assert!(inside || (cell.clearance.is_none() && cell.margin.is_none()));
        }
    }
    let answer: Vec<&str> = map.not_known.iter().map(|(why, _)| why.as_str()).collect();
    assert_eq!(answer.len(), 2, "{answer:?}");
    assert!(
        answer[0].starts_with("root face outside") && answer[1].starts_with("root opening outside"),
        "{answer:?}"
    );
    let count: usize = map.not_known.iter().map(|(_, n)| n).sum();
    assert_eq!(count, map.rows.iter().flatten().filter(|c| c.verdict == Verdict::NotKnown).count());
}

#[test]
fn a_cell_is_the_forecast_at_its_middle() {
    let coupon = whole(1.0 / 8.0, 1.0 / 16.0);
    let x = axis(Knob::Volts(1), 17.0, 21.0, 7, 1.0);
    let map = map(&coupon, x, axis(Knob::Travel(1), 8.0, 14.0, 5, IPM));
    for (r, row) in map.rows.iter().enumerate() {
        for (c, cell) in row.iter().enumerate() {
            let moved = map.y.knob.moved(&coupon, map.y.middle_si(r)).unwrap();
            let moved = x.knob.moved(&moved, x.middle_si(c)).unwrap();
            let asked = answers(&moved, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast);
            let first = asked.first().unwrap();
            assert_eq!((cell.verdict, cell.margin), (asked.verdict(), first.margin));
            assert_eq!((cell.clearance, cell.first), (asked.clearance(), Some((first.failure, first.pass))));
        }
    }
}

/// Every cell of a map drawn itself.
fn drawn_apart(coupon: &Coupon, scope: Scope, map: &WindowMap) -> Vec<(usize, usize, Answers)> {
    let at = |c, r| {
        let moved = map.y.knob.moved(coupon, map.y.middle_si(r)).unwrap();
        let moved = map.x.knob.moved(&moved, map.x.middle_si(c)).unwrap();
        (c, r, answers(&moved, &LIMITS, &SCATTER, scope, HeatOf::Fast))
    };
    (0..map.y.cells).flat_map(|r| (0..map.x.cells).map(move |c| (c, r))).map(|(c, r)| at(c, r)).collect()
}

#[test]
fn a_cell_taken_between_drawn_ones_says_what_it_would_say_drawn() {
    let opening = axis(Knob::RootOpening, 1.0 / 16.0, 0.25, 60, IN);
    let land = axis(Knob::RootFace, 0.0, 0.125, 60, IN);
    let feed = axis(Knob::WireFeed(0), 150.0, 300.0, 60, IPM);
    let travel = axis(Knob::Travel(0), 2.0, 13.0, 60, IPM);
    let mismatch = axis(Knob::Mismatch, 0.0, 0.125, 60, IN);
    let mut pipe = plate(1.0 / 8.0, 1.0 / 16.0);
    pipe.fit.shape = Shape::Pipe { outside_diameter_m: 6.625 * IN };
    pipe.fit.position = Position::G6;
    let plain = read(plate(5.0 / 32.0, 1.0 / 16.0));
    let maps = [
        (&plain, Scope::Root, opening, land),
        (&plain, Scope::Root, feed, travel),
        (&pipe, Scope::Root, land, mismatch),
        (&whole(1.0 / 8.0, 1.0 / 16.0), Scope::Whole, opening, feed),
    ];
    for (coupon, scope, x, y) in maps {
        let map = window_map(coupon, &LIMITS, &SCATTER, scope, HeatOf::Fast, [x, y]).unwrap();
        let (mut off, mut known) = (Vec::new(), 0);
        for (c, r, asked) in drawn_apart(coupon, scope, &map) {
            let (cell, first) = (map.rows[r][c], asked.first().unwrap());
            if asked.unknown_root().is_some() {
                assert_eq!(cell.verdict, Verdict::NotKnown);
                continue;
            }
            known += 1;
            let at = format!("{:?} against {:?} at {c}, {r}: {cell:?}, drawn {asked:?}", y.knob, x.knob);
            assert_eq!(cell.verdict, asked.verdict(), "{at}");
            assert_eq!(cell.first, Some((first.failure, first.pass)), "{at}");
            assert_eq!(cell.margin, first.margin, "{at}");
            let (answer, drawn) = (cell.clearance.unwrap(), asked.clearance().unwrap());
            off.push((answer - drawn).abs() / drawn.abs().max(1.0));
        }
        let most = off.iter().copied().fold(0.0, f64::max);
        println!(
            "{:?} against {:?}: {known} known, {} not drawn, off by {most:.4} at most",
            y.knob,
            x.knob,
            off.iter().filter(|o| **o > 0.0).count()
        );
        assert!(known > 1000 && most < 0.08, "off by {most}");
    }
}

#[test]
fn a_place_that_is_no_joint_is_not_known() {
    let coupon = plate(1.0 / 8.0, 1.0 / 16.0);
    let x = axis(Knob::Mismatch, 0.0, 0.125, 4, IN);
    let map = map(&coupon, x, axis(Knob::RootFace, 0.3, 0.5, 4, IN));
    assert!(map.rows.iter().flatten().all(|c| c.verdict == Verdict::NotKnown));
    assert!(map.not_known.iter().any(|(why, _)| why.contains("as high as the plate")), "{:?}", map.not_known);
}

#[test]
fn a_map_that_makes_no_sense_is_refused_in_words() {
    let coupon = plate(1.0 / 8.0, 1.0 / 16.0);
    let x = axis(Knob::RootOpening, 0.1, 0.2, 4, IN);
    let y = axis(Knob::RootFace, 0.0, 0.1, 4, IN);
    let refused =
        |x, y| window_map(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast, [x, y]).unwrap_err();
    assert_eq!(refused(x, x), MapError::SameKnob);
    assert_eq!(refused(Axis { low_si: 1.0, ..x }, y), MapError::EmptyRange);
    assert_eq!(refused(Axis { high_si: f64::NAN, ..x }, y), MapError::EmptyRange);
    assert_eq!(refused(x, Axis { cells: 0, ..y }), MapError::Cells);
    assert_eq!(refused(x, Axis { cells: MAP_CELLS_MAX + 1, ..y }), MapError::Cells);
    let no_pass = refused(Axis { knob: Knob::Volts(1), ..x }, y);
    assert_eq!(no_pass, MapError::NoSuchPass { pass: 2, planned: 1 });
    assert_eq!(no_pass.to_string(), "pass 2 is not planned; enter 1 to 1, or plan it first");
}

#[test]
fn the_root_alone_can_be_asked() {
    let coupon = whole(1.0 / 8.0, 1.0 / 16.0);
    let root = answers(&coupon, &LIMITS, &SCATTER, Scope::Root, HeatOf::Fast);
    assert_eq!(root, answers(&plate(1.0 / 8.0, 1.0 / 16.0), &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast));
    assert_eq!(root.list, answers(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast).list[..4]);
}

#[test]
fn the_place_set_and_its_scatter_are_printed() {
    let coupon = whole(1.0 / 8.0, 1.0 / 16.0);
    let map = opening_and_land(&coupon, 8);
    assert_eq!(map.value, Some([IN / 8.0, IN / 16.0]));
    assert_eq!(map.scatter, [Some(IN / 64.0), Some(IN / 64.0)]);
    assert_eq!(map.here.verdict, answers(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast).verdict());
    assert_eq!(map, opening_and_land(&coupon, 8), "the same question, another answer");
}

#[test]
fn a_current_read_follows_the_wire() {
    let mut coupon = plate(1.0 / 8.0, 1.0 / 16.0);
    coupon.passes[0].amps_read = Some(122.0);
    let more = Knob::WireFeed(0).moved(&coupon, 230.0 * IPM).unwrap();
    let read = more.passes[0].amps_read.unwrap();
    assert!(read > 122.0 && read < 122.0 * 230.0 / 210.0, "{read}");
    let back = Knob::WireFeed(0).moved(&more, 210.0 * IPM).unwrap();
    assert!((back.passes[0].amps_read.unwrap() - 122.0).abs() < 1e-9);
}

#[test]
fn each_knob_moves_what_it_names_and_nothing_else() {
    let mut coupon = whole(1.0 / 8.0, 1.0 / 16.0);
    coupon.passes[1].amps_read = Some(140.0);
    let knobs = [
        Knob::RootOpening,
        Knob::RootFace,
        Knob::Mismatch,
        Knob::GrooveAngle,
        Knob::Thickness,
        Knob::StartTemperature,
        Knob::Volts(1),
        Knob::Travel(1),
        Knob::Amps(1),
    ];
    for knob in knobs {
        let from = knob.value_si(&coupon).unwrap();
        let to = from + knob.hand_step().0;
        let moved = knob.moved(&coupon, to).unwrap();
        assert_eq!(knob.value_si(&moved), Some(to));
        for other in knobs.iter().filter(|k| **k != knob) {
            assert_eq!(other.value_si(&moved), other.value_si(&coupon), "{knob:?} moved {other:?}");
        }
        assert!(knob.moved(&coupon, f64::NAN).is_none() && knob.moved(&coupon, -1.0).is_none());
    }
    assert_eq!(Knob::Volts(9).value_si(&coupon), None);
    assert_eq!(Knob::Amps(0).value_si(&coupon), None);
}

#[test]
fn the_slopes_are_those_of_the_margin() {
    let mut coupon = plate(1.0 / 8.0, 3.0 / 32.0);
    // Little wire, so that no metal piles up ahead of the arc.
    coupon.passes[0].wire_feed_m_s = 180.0 * IPM;
    let advice = advice(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast);
    let first = advice.answers.first().unwrap();
    assert!(matches!(first.failure, Failure::LeftEdge), "{first:?}");
    let slope = |knob| advice.slopes.iter().find(|s| s.knob == knob).unwrap().margin_per_step.unwrap();
    // A thicker land takes from the edge, more volts and wire give to it.
    assert!(slope(Knob::RootFace) < 0.0 && slope(Knob::Volts(0)) > 0.0);
    assert!(slope(Knob::RootOpening) > 0.0 && slope(Knob::Mismatch) < 0.0);
    for s in &advice.slopes {
        // A step a twentieth as large must give the same slope: within a tenth,
        // the margins bending no more than that over a step of the hand.
        let small = 0.05 * s.knob.hand_step().0;
        let at = |sign: f64| {
            let there = s.knob.moved(&coupon, s.value_si + sign * small)?;
            answers(&there, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast)
                .of(first.failure, first.pass)?
                .margin
        };
        let (Some(low), Some(high)) = (at(-1.0), at(1.0)) else { continue };
        let fine = (high - low) / 0.1;
        let answer = s.margin_per_step.unwrap();
        assert!((answer - fine).abs() <= 0.1 * fine.abs() + 1e-7, "{:?}: {answer} against {fine}", s.knob);
    }
}

#[test]
fn the_recommended_change_is_the_smallest_that_holds() {
    let coupon = plate(1.0 / 8.0, 3.0 / 32.0);
    let advice = advice(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast);
    assert_ne!(advice.answers.verdict(), Verdict::Holds);
    let change = advice.change.expect("a land a little thick is mended by one knob");
    let there = change.knob.moved(&coupon, change.to_si).unwrap();
    assert_eq!(answers(&there, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast).verdict(), Verdict::Holds);
    assert_eq!(change.verdict, Verdict::Holds);
    assert!(!change.better.is_empty());
    let (step, _) = change.knob.hand_step();
    assert!((change.to_si - change.from_si - change.steps * step).abs() < 1e-12);
    // Half a step less does not hold.
    let less = change.to_si - 0.5 * step * change.steps.signum();
    let less = change.knob.moved(&coupon, less).unwrap();
    assert_ne!(answers(&less, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast).verdict(), Verdict::Holds);
    // What it is said to cost, it costs.
    for effect in &change.worse {
        let after = effect.after.as_ref().unwrap();
        assert!(after.clearance < effect.before.clearance);
    }
}

#[test]
fn what_holds_needs_no_change_and_what_nothing_mends_says_so() {
    let fine = advice(&read(plate(5.0 / 32.0, 1.0 / 16.0)), &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast);
    assert_eq!(fine.answers.verdict(), Verdict::Holds);
    assert!(fine.change.is_none() && !fine.slopes.is_empty());
    // A closed root with a thick land, cold and slow: no single knob opens it.
    let mut lost = plate(1.0 / 16.0, 1.0 / 8.0);
    lost.passes[0] = pass(PassKind::Root, 16.0, 145.0, 5.0, 1);
    lost.fit.joint.mismatch_m = IN / 16.0;
    let lost = advice(&lost, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast);
    assert!(lost.change.is_none(), "{:?}", lost.change);
}

#[test]
fn advice_never_turns_mismatch_up_and_never_ends_short_of_holding() {
    for opening in [1.0 / 16.0, 3.0 / 32.0, 1.0 / 8.0, 5.0 / 32.0] {
        for land in [0.0, 1.0 / 32.0, 1.0 / 16.0, 3.0 / 32.0] {
            for scope in [Scope::Root, Scope::Whole] {
                let coupon = plate(opening, land);
                let Some(change) = advice(&coupon, &LIMITS, &SCATTER, scope, HeatOf::Fast).change else {
                    continue;
                };
                assert_eq!(change.verdict, Verdict::Holds, "{change:?}");
                assert!(change.knob != Knob::Mismatch || change.steps < 0.0, "{change:?}");
                let there = change.knob.moved(&coupon, change.to_si).unwrap();
                assert_eq!(answers(&there, &LIMITS, &SCATTER, scope, HeatOf::Fast).verdict(), Verdict::Holds);
            }
        }
    }
}

#[test]
fn a_backed_root_is_not_known_to_any_of_them() {
    let mut coupon = plate(1.0 / 4.0, 0.0);
    coupon.fit.joint.backing = Backing::Steel;
    let map = opening_and_land(&coupon, 4);
    assert!(map.rows.iter().flatten().all(|c| c.verdict == Verdict::NotKnown));
    assert_eq!(map.not_known.len(), 1);
    assert!(advice(&coupon, &LIMITS, &SCATTER, Scope::Whole, HeatOf::Fast).change.is_none());
    assert!(forecast(&coupon, &SCATTER, &LIMITS).chance.unwrap_err().contains("backed root"));
}

fn chance(coupon: &Coupon, scatter: &Scatter) -> Chance {
    forecast(coupon, scatter, &LIMITS).chance.unwrap()
}

#[test]
fn sheet_and_map_give_one_chance_and_one_word() {
    for opening in [3.0 / 32.0, 1.0 / 8.0, 5.0 / 32.0] {
        for land in [1.0 / 32.0, 1.0 / 16.0, 3.0 / 32.0] {
            let coupon = plate(opening, land);
            let (sheet, asked) =
                (chance(&coupon, &SCATTER), answers(&coupon, &LIMITS, &SCATTER, Scope::Root, HeatOf::Fast));
            assert_eq!(sheet, chance(&coupon, &SCATTER), "the same question, another answer");
            assert_eq!(asked.root.unwrap().0, sheet.along);
            assert_eq!(asked.verdict(), sheet.verdict);
            let word = match sheet.along {
                p if p >= 0.8 => Verdict::Holds,
                p if p <= 0.2 => Verdict::Fails,
                _ => Verdict::Marginal,
            };
            assert_eq!(sheet.verdict, word);
            let [low, high] = sheet.range;
            assert!(low <= sheet.along && sheet.along <= high && !sheet.is_solved);
            // No answer alone holds less often than all of them together.
            assert!(sheet.each.iter().all(|(_, alone)| *alone >= sheet.along));
        }
    }
}

#[test]
fn a_whole_joint_holds_less_often_than_a_place_of_it() {
    let coupon = plate(1.0 / 8.0, 1.0 / 16.0);
    let short = chance(&coupon, &SCATTER);
    assert_eq!(short.stretches, 7, "a stretch is an inch");
    assert!(short.along < short.place);
    let mut long = coupon;
    long.fit.shape = Shape::Plate { length_m: 21.0 * IN };
    let long = chance(&long, &SCATTER);
    assert_eq!(long.stretches, 21);
    assert!(long.along < short.along);
    let lost: f64 = short.first.iter().map(|(_, share)| share).sum();
    assert!((lost + short.along - 1.0).abs() < 1e-9, "held and lost are not all: {short:?}");
}

#[test]
fn a_steadier_hand_holds_a_good_joint_more_often() {
    let coupon = plate(5.0 / 32.0, 1.0 / 16.0);
    let mut steady = SCATTER;
    steady.travel_share = 0.03;
    steady.root_face_m = IN / 256.0;
    assert!(chance(&coupon, &steady).along > chance(&coupon, &SCATTER).along);
}

#[test]
fn a_place_holds_as_often_as_its_answers_together_can() {
    let mut coupon = plate(1.0 / 8.0, 1.0 / 16.0);
    coupon.passes[0].amps_read = Some(120.0);
    let drawn = chance(&coupon, &SCATTER).place;
    let root = forecast(&coupon, &SCATTER, &LIMITS).root;
    let each = root.items().map(|item| item.probability_of_holding().unwrap());
    // Whatever they share, all hold no more often than the least one and no less
    // often than their misses added up leave (Fréchet). The forecast takes its
    // errors as normal and linear; a tenth is left for that.
    let least = each.into_iter().fold(1.0, f64::min);
    // Both edges are one answer on even lands.
    let misses: f64 = each[1..].iter().map(|p| 1.0 - p).sum();
    assert!(drawn < least + 0.1 && drawn > 1.0 - misses - 0.1, "{drawn} in {} to {least}", 1.0 - misses);
}

#[test]
fn a_fixed_pipe_is_drawn_around_the_clock() {
    let mut pipe = plate(1.0 / 8.0, 1.0 / 16.0);
    pipe.fit.shape = Shape::Pipe { outside_diameter_m: 6.625 * IN };
    pipe.fit.position = Position::G5;
    let drawn = chance(&pipe, &SCATTER);
    assert_eq!(drawn.stretches, 20);
    assert!(drawn.along < drawn.place);
}
