//! The pictures of heat as a reader sees them: well-formed, named for a screen
//! reader, to scale, legible without colour, small, and a card when a number is bad.

mod sample_weld;

use bendproof_drawing as draw;
use bendproof_measure::System;
use draw::{
    CoolingChart, CoolingSeries, Frame, Ground, HeatLook, Point, Theme, TimeAxis, Weight, Words, text_width,
};

/// Paths are written to a tenth of a unit; a place in one is off by at most this.
const WRITTEN: f64 = 0.051;
/// Largest etch, bytes: what a page and a print can carry many of.
const ETCH_BYTES_MAX: usize = 300_000;

fn with_frame<T>(ground: Ground, make: impl Fn(&HeatLook, &Frame<'_>) -> T) -> T {
    let theme = match ground {
        Ground::Day => Theme::paper(),
        Ground::Booth => Theme::steel(),
        Ground::Page => Theme::web(),
    };
    let words = Words::english();
    let frame =
        Frame { id: "h-1", title: "Etched <section>", desc: "eight beads", theme: &theme, words: &words };
    make(&HeatLook::english(ground), &frame)
}

/// Every picture at a size, by name.
fn all(ground: Ground, px_per_mm: f64, plot: [f64; 2]) -> Vec<(&'static str, String)> {
    with_frame(ground, |look, frame| {
        let chart = |axis| draw::cooling_chart(&sample_weld::cooling(axis, plot), look, frame);
        vec![
            ("etch", draw::macro_etch(&sample_weld::etch(120, 50, px_per_mm), look, frame)),
            ("across", draw::heat_frame(&sample_weld::across(120, 50, px_per_mm), look, frame)),
            ("along", draw::heat_frame(&sample_weld::along(px_per_mm), look, frame)),
            ("cooling", chart(TimeAxis::Linear)),
            ("cooling, logarithmic", chart(TimeAxis::Logarithmic)),
        ]
    })
}

fn number(node: roxmltree::Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).and_then(|v| v.parse().ok()).unwrap_or_else(|| panic!("no number {name}"))
}

fn by_class<'a>(tree: &'a roxmltree::Document<'a>, class: &str) -> Vec<roxmltree::Node<'a, 'a>> {
    tree.descendants().filter(|n| n.attribute("class") == Some(class)).collect()
}

/// All path text under a group.
fn paths(node: roxmltree::Node<'_, '_>) -> String {
    node.descendants().filter_map(|n| n.attribute("d")).collect()
}

#[test]
fn every_picture_is_well_formed_named_and_the_same_every_time() {
    for ground in [Ground::Day, Ground::Booth, Ground::Page] {
        let first = all(ground, 20.0, [500.0, 300.0]);
        assert_eq!(first, all(ground, 20.0, [500.0, 300.0]));
        for (name, svg) in first {
            let tree = roxmltree::Document::parse(&svg).unwrap();
            let root = tree.root_element();
            assert_eq!(root.attribute("role"), Some("img"), "{name}");
            assert_eq!(root.attribute("aria-labelledby"), Some("h-1-title h-1-desc"), "{name}");
            let title = tree.descendants().find(|n| n.attribute("id") == Some("h-1-title"));
            assert_eq!(title.and_then(|t| t.text()), Some("Etched <section>"), "{name}");
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{name}");
            let ids: Vec<&str> = tree.descendants().filter_map(|n| n.attribute("id")).collect();
            assert!(ids.iter().all(|id| id.starts_with("h-1")), "{name}: {ids:?}");
            let used = tree.descendants().filter_map(|n| n.attribute("clip-path"));
            for id in used.map(|u| u.trim_start_matches("url(#").trim_end_matches(')')) {
                assert!(ids.contains(&id), "{name}: {id}");
            }
        }
    }
}

#[test]
fn a_page_gets_variables_only() {
    for (name, svg) in all(Ground::Page, 20.0, [500.0, 300.0]) {
        let tree = roxmltree::Document::parse(&svg).unwrap();
        for paint in tree.descendants().flat_map(|n| [n.attribute("fill"), n.attribute("stroke")]).flatten() {
            assert!(paint == "none" || paint.starts_with("var(--bp-"), "{name}: {paint}");
        }
    }
}

/// The boxes of all texts, as the typeface's own widths give them.
fn texts(tree: &roxmltree::Document<'_>) -> Vec<([f64; 4], String)> {
    let box_of = |n: roxmltree::Node<'_, '_>| {
        let weight = match n.attribute("font-weight") {
            Some("600") => Weight::SemiBold,
            Some("500") => Weight::Medium,
            other => panic!("weight {other:?}"),
        };
        let (text, size) = (n.text().unwrap_or_default().to_owned(), number(n, "font-size"));
        let wide = text_width(&text, size, weight);
        let before = match n.attribute("text-anchor") {
            Some("middle") => wide / 2.0,
            Some("end") => wide,
            _ => 0.0,
        };
        let (x, y) = (number(n, "x") - before, number(n, "y"));
        ([x, y - 0.7 * size, x + wide, y + 0.2 * size], text)
    };
    tree.descendants().filter(|n| n.has_tag_name("text")).map(box_of).collect()
}

#[test]
fn labels_never_meet_or_leave_the_sheet_from_phone_to_projector() {
    for (px, plot) in
        [(6.0, [170.0, 150.0]), (10.0, [270.0, 240.0]), (26.0, [640.0, 320.0]), (60.0, [1400.0, 700.0])]
    {
        for (name, svg) in all(Ground::Day, px, plot) {
            let tree = roxmltree::Document::parse(&svg).unwrap();
            let [w, h] = ["width", "height"].map(|n| number(tree.root_element(), n));
            let found = texts(&tree);
            for (k, ([x0, y0, x1, y1], text)) in found.iter().enumerate() {
                assert!(*x0 >= 0.0 && *x1 <= w && *y0 >= 0.0 && *y1 <= h, "{name} at {px}: {text} leaves");
                for ([u0, v0, u1, v1], other) in &found[k + 1..] {
                    let apart = u0 >= x1 || x0 >= u1 || v0 >= y1 || y0 >= v1;
                    assert!(apart, "{name} at {px}: {text} meets {other}");
                }
            }
        }
    }
}

#[test]
fn the_etch_stays_small_and_keeps_its_scale() {
    let etch = sample_weld::etch(120, 50, 26.0);
    let svg = with_frame(Ground::Day, |look, frame| draw::macro_etch(&etch, look, frame));
    assert!(svg.len() < ETCH_BYTES_MAX, "{} bytes", svg.len());
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let [px, x0, y0] = ["data-px-per-mm", "data-x0", "data-y0"].map(|n| number(tree.root_element(), n));
    // Each plate's outline begins at its first corner.
    let outline = paths(by_class(&tree, "outline")[0]);
    let starts: Vec<Point> = outline
        .split('M')
        .skip(1)
        .map(|piece| {
            let head = piece.split('l').next().unwrap().replace('-', " -");
            let mut parts = head.split_whitespace().map(|v| v.parse().unwrap());
            [parts.next().unwrap(), parts.next().unwrap()]
        })
        .collect();
    for plate in &etch.plates {
        let at = [x0 + plate[0][0] * px, y0 - plate[0][1] * px];
        let found = starts.iter().any(|s| (s[0] - at[0]).abs() < WRITTEN && (s[1] - at[1]).abs() < WRITTEN);
        assert!(found, "{at:?} is missing in {starts:?}");
    }
}

#[test]
fn zones_and_lines_differ_without_colour() {
    let svg = with_frame(Ground::Day, |look, frame| {
        draw::macro_etch(&sample_weld::etch(120, 50, 20.0), look, frame)
    });
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let dash = |class: &str| {
        let path = by_class(&tree, class)[0].descendants().find(|n| n.has_tag_name("path"));
        path.unwrap_or_else(|| panic!("no {class}")).attribute("stroke-dasharray").unwrap_or("").to_owned()
    };
    let kinds = ["fusion-lines", "zone-edges", "groove"].map(dash);
    assert!(kinds[0] != kinds[1] && kinds[1] != kinds[2] && kinds[0] != kinds[2], "{kinds:?}");
    // In the key the hotter of two zones has about twice the hatch lines.
    let key = by_class(&tree, "key")[0];
    let counts: Vec<usize> = key
        .children()
        .filter(|n| n.has_tag_name("path"))
        .map(|n| n.attribute("d").unwrap().matches('M').count())
        .collect();
    assert!(counts.windows(2).all(|pair| pair[0] > pair[1]) && counts.len() == 3, "{counts:?}");
    let labels: Vec<&str> = by_class(&tree, "bead").iter().filter_map(|n| n.attribute("data-bead")).collect();
    assert_eq!(labels, ["1", "2", "3", "4", "5", "6", "7", "8"]);
}

#[test]
fn a_bead_that_melts_nothing_shows_where_it_lies_on_the_plate() {
    let drawn =
        |etch: &draw::Etch| with_frame(Ground::Day, |look, frame| draw::macro_etch(etch, look, frame));
    let sound = sample_weld::etch(120, 50, 20.0);
    let mut cold = sound.clone();
    for value in &mut cold.beads[4].peak_c {
        *value = value.min(1400.0);
    }
    // Later beads must not melt the place either.
    cold.beads.truncate(5);
    let unmelted = |svg: &str| {
        let tree = roxmltree::Document::parse(svg).unwrap();
        paths(by_class(&tree, "unmelted")[0]).len()
    };
    let (sound, cold) = (drawn(&sound), drawn(&cold));
    assert_eq!(unmelted(&sound), 0);
    assert!(unmelted(&cold) > 0);
    let word = HeatLook::english(Ground::Day).words.unmelted;
    assert!(cold.contains(&word) && !sound.contains(&word));
}

#[test]
fn isotherms_are_labelled_and_the_scale_names_every_edge_twice() {
    let film = sample_weld::across(120, 50, 26.0);
    let svg = with_frame(Ground::Booth, |look, frame| draw::heat_frame(&film, look, frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let words = |class: &str| -> Vec<String> {
        let texts = by_class(&tree, class)[0].children().filter(|n| n.has_tag_name("text"));
        texts.filter_map(|n| n.text().map(str::to_owned)).collect()
    };
    let on_lines = words("isotherms");
    for level in ["390", "930", "1470", "2010", "2725"] {
        assert!(on_lines.contains(&format!("{level} °F")), "{level} of {on_lines:?}");
    }
    assert_eq!(
        words("scale"),
        ["390", "200", "930", "500", "1470", "800", "2010", "1100", "2725", "1495", "°F", "°C"]
    );
    assert_eq!(by_class(&tree, "band").len(), film.levels_c.len());
    assert_eq!(by_class(&tree, "probe").len(), 2);
}

#[test]
fn pictures_of_heat_say_the_shops_own_units_first() {
    let first = |system, make: &dyn Fn(&HeatLook, &Frame<'_>) -> String, class: &str| {
        let (theme, words, look) = (Theme::paper(), Words::of(system), HeatLook::english(Ground::Day));
        let svg = make(&look, &Frame { id: "a", title: "t", desc: "", theme: &theme, words: &words });
        let tree = roxmltree::Document::parse(&svg).unwrap();
        let texts = by_class(&tree, class)[0].children().filter(|n| n.has_tag_name("text"));
        texts
            .filter_map(|n| Some((n.attribute("y")?.parse::<f64>().ok()?, n.text()?.to_owned())))
            .collect::<Vec<_>>()
    };
    let film = sample_weld::across(60, 30, 12.0);
    let heat = |look: &HeatLook, frame: &Frame<'_>| draw::heat_frame(&film, look, frame);
    for (system, own, other) in
        [(System::Inch, ["°F", " in"], ["°C", " mm"]), (System::Metric, ["°C", " mm"], ["°F", " in"])]
    {
        // Higher on the sheet is a smaller y.
        let y = |class: &str, what: &str| {
            first(system, &heat, class).into_iter().find(|(_, t)| t.ends_with(what)).unwrap().0
        };
        assert!(y("scale", own[0]) < y("scale", other[0]), "{system:?}");
        assert!(y("steel-rule", own[1]) < y("steel-rule", other[1]), "{system:?}");
        assert!(first(system, &heat, "isotherms").iter().all(|(_, t)| t.ends_with(own[0])), "{system:?}");
    }
}

#[test]
fn a_view_keeps_the_sheet_still_while_beads_are_added() {
    let size = |beads: usize| {
        let mut film = sample_weld::across(60, 30, 12.0);
        film.outlines.truncate(2 + beads);
        film.view_mm = Some([[-8.0, -1.0], [8.0, 11.0]]);
        film.probes.push(draw::Probe { at: [-12.0, 3.0], label: "outside".into() });
        let svg = with_frame(Ground::Day, |look, frame| draw::heat_frame(&film, look, frame));
        let tree = roxmltree::Document::parse(&svg).unwrap();
        assert!(!svg.contains("outside") && by_class(&tree, "probe").len() == 2);
        ["width", "height", "data-x0", "data-y0"].map(|n| number(tree.root_element(), n))
    };
    let still = size(3);
    assert_eq!(size(1), still);
    // Sixteen millimetres at twelve units, and the margins.
    assert!(still[0] >= 16.0 * 12.0 && still[0] < 20.0 * 12.0 + 200.0, "{still:?}");
}

/// A curve that falls exponentially from 1500 °C towards 20 °C.
fn falling(tau_s: f64) -> CoolingSeries {
    let t_s: Vec<f64> = (0..=4000).map(|k| f64::from(k) * 0.01).collect();
    CoolingSeries {
        name: "a <place>".into(),
        celsius: t_s.iter().map(|t| 20.0 + 1480.0 * (-t / tau_s).exp()).collect(),
        measured: vec![[1.0, 1200.0], [5.0, 700.0], [500.0, 100.0]],
        t_s,
    }
}

fn chart(series: Vec<CoolingSeries>) -> CoolingChart {
    CoolingChart { series, axis: TimeAxis::Linear, span_s: Some([0.0, 40.0]), size_px: [400.0, 240.0] }
}

#[test]
fn the_time_from_800_to_500_is_read_off_the_curve() {
    let tau = 12.0_f64;
    let svg =
        with_frame(Ground::Day, |look, frame| draw::cooling_chart(&chart(vec![falling(tau)]), look, frame));
    let exact = tau * (780.0_f64 / 480.0).ln();
    assert!(svg.contains(&format!("t8/5 {exact:.1} s")), "{exact}");
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let [u0, u1, t1] = ["data-u-min", "data-u-max", "data-t-max"].map(|n| number(tree.root_element(), n));
    // Sample line, bar, two ends: the bar runs from 800 to 500 °C on the axis.
    let lane = by_class(&tree, "lane")[0];
    let bar = lane.children().filter(|n| n.has_tag_name("line")).nth(1).unwrap();
    let seconds = (number(bar, "x2") - number(bar, "x1")) / (u1 - u0) * t1;
    assert!((seconds - exact).abs() < 0.01, "{seconds} for {exact}");
    // Two crossings and the measured points inside the span, all round.
    let curve = by_class(&tree, "curve")[0];
    assert_eq!(curve.children().filter(|n| n.has_tag_name("circle")).count(), 4);
    assert_eq!(curve.attribute("data-curve"), Some("a <place>"));
}

#[test]
fn a_curve_that_stays_below_800_has_no_time() {
    let mut cold = falling(12.0);
    cold.celsius.iter_mut().for_each(|c| *c = c.min(600.0));
    let svg =
        with_frame(Ground::Day, |look, frame| draw::cooling_chart(&chart(vec![cold.clone()]), look, frame));
    assert!(!svg.contains("t8/5"));
}

#[test]
fn curves_differ_by_dash() {
    let series: Vec<CoolingSeries> = vec![falling(9.0); draw::COOLING_SERIES_MAX];
    let svg = with_frame(Ground::Day, |look, frame| draw::cooling_chart(&chart(series.clone()), look, frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let mut dashes: Vec<String> = by_class(&tree, "curve")
        .iter()
        .filter_map(|n| n.children().find(|c| c.has_tag_name("path")))
        .map(|n| n.attribute("stroke-dasharray").unwrap_or("").to_owned())
        .collect();
    assert_eq!(dashes.len(), draw::COOLING_SERIES_MAX);
    dashes.sort();
    dashes.dedup();
    assert_eq!(dashes.len(), draw::COOLING_SERIES_MAX);
}

#[test]
fn bad_numbers_give_a_card() {
    let undrawable = Words::english().undrawable;
    with_frame(Ground::Day, |look, frame| {
        let etch = sample_weld::etch(30, 20, 10.0);
        let etched = |change: &dyn Fn(&mut draw::Etch)| {
            let mut bad = etch.clone();
            change(&mut bad);
            draw::macro_etch(&bad, look, frame)
        };
        let film = sample_weld::across(30, 20, 10.0);
        let filmed = |change: &dyn Fn(&mut draw::HeatFrame)| {
            let mut bad = film.clone();
            change(&mut bad);
            draw::heat_frame(&bad, look, frame)
        };
        let cooled = |change: &dyn Fn(&mut CoolingChart)| {
            let mut bad = chart(vec![falling(9.0)]);
            change(&mut bad);
            draw::cooling_chart(&bad, look, frame)
        };
        let cards = [
            etched(&|e| e.plates[0][0][1] = f64::NAN),
            etched(&|e| e.beads[0].outline[0][0] = f64::INFINITY),
            etched(&|e| e.beads[1].peak_c[3] = f32::INFINITY),
            etched(&|e| e.beads[1].peak_c.truncate(3)),
            etched(&|e| e.temperatures.coarse_c = e.temperatures.fusion_c),
            etched(&|e| e.callouts[0].at[0] = f64::NAN),
            etched(&|e| e.plates.clear()),
            etched(&|e| e.px_per_mm = 0.0),
            filmed(&|f| f.celsius.iter_mut().for_each(|v| *v = f32::NAN)),
            filmed(&|f| f.levels_c.reverse()),
            filmed(&|f| f.levels_c.clear()),
            filmed(&|f| f.grid.x_edges_mm[2] = f64::NAN),
            filmed(&|f| f.view_mm = Some([[0.0, 0.0], [0.0, 1.0]])),
            filmed(&|f| f.view_mm = Some([[0.0, 0.0], [f64::NAN, 1.0]])),
            filmed(&|f| f.probes[0].at[1] = f64::NAN),
            cooled(&|c| c.series[0].celsius[7] = f64::NAN),
            cooled(&|c| c.series[0].t_s.reverse()),
            cooled(&|c| c.series[0].measured[0][0] = f64::INFINITY),
            cooled(&|c| c.span_s = Some([3.0, 3.0])),
            cooled(&|c| {
                c.axis = TimeAxis::Logarithmic;
                c.span_s = Some([0.0, 9.0]);
            }),
            cooled(&|c| c.series.clear()),
        ];
        for (k, svg) in cards.iter().enumerate() {
            assert!(svg.contains(&undrawable), "{k}");
            roxmltree::Document::parse(svg).unwrap();
        }
    });
}

#[test]
fn words_from_outside_stay_text() {
    let mut etch = sample_weld::etch(40, 20, 20.0);
    etch.beads[0].label = "<1>".into();
    etch.beads[0].title = "\"bead\" & <root>".into();
    etch.callouts[0].text = "</svg><script>".into();
    let svg = with_frame(Ground::Day, |look, frame| draw::macro_etch(&etch, look, frame));
    assert!(!svg.contains("<script"));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    assert!(tree.descendants().any(|n| n.text() == Some("\"bead\" & <root>")));
}

#[test]
fn an_empty_weld_is_plain_plate() {
    let mut etch = sample_weld::etch(40, 20, 20.0);
    etch.beads.clear();
    etch.callouts.clear();
    etch.with_key = false;
    let svg = with_frame(Ground::Day, |look, frame| draw::macro_etch(&etch, look, frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    assert!(paths(by_class(&tree, "fusion-lines")[0]).is_empty());
    assert!(!paths(by_class(&tree, "outline")[0]).is_empty());
}
