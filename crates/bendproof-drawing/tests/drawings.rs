//! The drawings as a reader of SVG sees them: well-formed, to scale, named for a
//! screen reader, the same every time, and free of anything a label smuggles in.

use bendproof_drawing as draw;
use draw::{Frame, Sign, Theme, Words};

/// Coordinates are written to a hundredth; two of them differ by at most this.
const WRITTEN: f64 = 0.011;

fn with_frame<T>(title: &str, id: &str, make: impl Fn(&Frame<'_>) -> T) -> T {
    let (theme, words) = (Theme::web(), Words::english());
    make(&Frame { id, title, desc: "what it shows", theme: &theme, words: &words })
}

fn fit() -> draw::Fit {
    draw::Fit {
        thickness_mm: 9.525,
        root_opening_mm: 3.175,
        land_mm: [1.5875, 0.8],
        bevel_deg: [30.0, 30.0],
        mismatch_mm: 1.0,
        shoulder_mm: 6.0,
        ..draw::Fit::default()
    }
}

fn section() -> draw::CrossSection {
    draw::CrossSection {
        fit: fit(),
        plates: Vec::new(),
        backing: vec![vec![[-6.0, -3.0], [6.0, -3.0], [6.0, 0.0], [-6.0, 0.0]]],
        beads: vec![draw::Bead {
            label: "<1>".into(),
            title: "bead \"1\" & root".into(),
            outline: vec![[-2.0, 0.0], [2.0, 0.0], [3.0, 3.0], [-3.0, 3.0]],
            shade: 7,
        }],
        melted: vec![vec![[-2.5, 0.0], [2.5, 0.0], [3.5, 3.0], [-3.5, 3.0]]],
        cap_limit_mm: Some(3.175),
        root_limit_mm: Some(1.6),
        px_per_mm: 10.0,
    }
}

fn plate() -> draw::PlateLayout {
    draw::PlateLayout {
        length_mm: 150.0,
        width_mm: 120.0,
        weld_mm: 12.0,
        pieces: vec![
            draw::Piece {
                mark: String::new(),
                word: "discard".into(),
                kind: draw::PieceKind::Discard,
                from_mm: 0.0,
                to_mm: 25.0,
            },
            draw::Piece {
                mark: "R1".into(),
                word: "root bend".into(),
                kind: draw::PieceKind::Strap,
                from_mm: 25.0,
                to_mm: 63.0,
            },
        ],
        px_per_mm: 2.0,
    }
}

fn strap_face(x_mm: f64) -> draw::StrapFace {
    draw::StrapFace {
        length_mm: 50.0,
        width_mm: 38.0,
        weld_mm: 15.0,
        openings: vec![draw::FaceOpening {
            id: "o1".into(),
            x_mm,
            y_mm: 5.0,
            length_mm: 1.6,
            angle_deg: 0.0,
            counted: true,
        }],
        px_per_mm: 6.0,
    }
}

fn window() -> draw::WindowMap {
    let cell = |sign, first, clearance| draw::MapCell { sign, first, clearance, in_model_error: clearance };
    let row = |left: f64| {
        (0..20)
            .map(|k| match f64::from(k) / 4.0 - left {
                c if k == 19 => cell(Sign::NotKnown, None, Some(c).filter(|_| false)),
                c if c >= 1.0 => cell(Sign::Holds, Some(1), Some(c)),
                c if c <= -1.0 => cell(Sign::Fails, Some(0), Some(c)),
                c => cell(Sign::Marginal, Some(0), Some(c)),
            })
            .collect()
    };
    let tick = |at: f64, label: &str| draw::Tick { at, label: label.into(), also: "2 <mm>".into() };
    draw::WindowMap {
        x: [0.0, 1.0],
        y: [0.0, 1.0],
        x_label: "x".into(),
        y_label: "y".into(),
        ticks: [vec![tick(0.5, "1/2"), tick(2.0, "beyond")], vec![tick(0.25, "1/4")]],
        cells: (0..10).map(|k| row(2.0 + f64::from(k) / 10.0)).collect(),
        names: vec!["land & edge".into(), "drops out".into()],
        contours: vec![-1.0, 1.0],
        checked: Some([[-1.0, 0.95], [0.0, 2.0]]),
        trade: Some([[0.2, 0.8], [0.2, 0.8]]),
        dots: vec![(0.5, 0.5, false), (0.6, 0.5, true), (4.0, 0.5, true)],
        value: Some([0.5, 0.5]),
        scatter: Some([0.1, 0.1]),
        legend: vec![
            (draw::MapKey::Sign(Sign::Fails), "fails".into()),
            (draw::MapKey::Trade, "trade".into()),
        ],
        size_px: [200.0, 100.0],
    }
}

fn all(frame: &Frame<'_>) -> Vec<String> {
    let pipe = draw::PipeLayout {
        outside_mm: 168.3,
        wall_mm: 11.0,
        pieces: vec![draw::PipePiece {
            mark: "F1".into(),
            word: "face bend".into(),
            clock_deg: 45.0,
            width_mm: 38.0,
        }],
        px_per_mm: 1.2,
    };
    let bent = draw::BentStrap {
        thickness_mm: 9.5,
        former_mm: 38.1,
        is_former_known: true,
        weld_mm: [14.0, 4.0],
        openings_mm: vec![1.0],
        px_per_mm: 4.0,
    };
    vec![
        draw::cross_section(&section(), frame),
        draw::groove_fit(&fit(), 12.0, frame),
        draw::strap_layout_plate(&plate(), frame),
        draw::strap_layout_pipe(&pipe, frame),
        draw::bent_strap(&bent, frame),
        draw::strap_face(&strap_face(-3.0), frame),
        draw::window_map(&window(), frame),
        draw::comparison(&compared(12.0), frame),
    ]
}

fn number(node: roxmltree::Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).and_then(|v| v.parse().ok()).unwrap_or_else(|| panic!("no number {name}"))
}

/// The runs of points in a path of straight lines.
fn points(path: &str) -> Vec<[f64; 2]> {
    path.trim_end_matches('Z')
        .split(['M', 'L'])
        .filter(|part| !part.is_empty())
        .map(|part| {
            // What is not a number becomes one that equals nothing.
            let mut parts = part.split(' ').map(|v| v.parse().unwrap_or(f64::NAN));
            [parts.next().unwrap_or(f64::NAN), parts.next().unwrap_or(f64::NAN)]
        })
        .collect()
}

fn holds_point(found: &[[f64; 2]], want: [f64; 2]) -> bool {
    found.iter().any(|p| (p[0] - want[0]).abs() < WRITTEN && (p[1] - want[1]).abs() < WRITTEN)
}

#[test]
fn every_drawing_is_one_named_well_formed_element() {
    with_frame("a <title> & \"more\"", "op-10", |frame| {
        for svg in all(frame) {
            let tree = roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{e}: {svg}"));
            let root = tree.root_element();
            let title = root.first_element_child().unwrap();
            assert_eq!(title.tag_name().name(), "title");
            assert_eq!(title.text(), Some("a <title> & \"more\""));
            assert_eq!(root.attribute("role"), Some("img"));
            assert_eq!(root.attribute("aria-labelledby"), Some("op-10-title op-10-desc"));
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
            for id in tree.descendants().filter_map(|n| n.attribute("id")) {
                assert!(id.starts_with("op-10"), "{id}");
            }
        }
    });
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    with_frame("t", "a", |frame| assert_eq!(all(frame), all(frame)));
}

#[test]
fn a_bead_and_the_plates_are_drawn_to_scale() {
    let svg = with_frame("t", "a", |frame| draw::cross_section(&section(), frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let root = tree.root_element();
    let [px, x0, y0] = ["data-px-per-mm", "data-x0", "data-y0"].map(|n| number(root, n));
    let paths: Vec<[f64; 2]> = tree
        .descendants()
        .filter_map(|n| n.attribute("d"))
        .filter(|d| !d.contains('A'))
        .flat_map(points)
        .collect();
    let (run_l, run_r) = (7.9375 * 30_f64.to_radians().tan(), 8.725 * 30_f64.to_radians().tan());
    for [x, y] in [
        // The bead's corners, then root and top corners of both plates.
        [-2.0, 0.0],
        [3.0, 3.0],
        [-1.5875, 0.0],
        [-1.5875, 1.5875],
        [-1.5875 - run_l, 9.525],
        [1.5875, 1.0],
        [1.5875, 1.8],
        [1.5875 + run_r, 10.525],
    ] {
        assert!(holds_point(&paths, [x0 + x * px, y0 - y * px]), "({x}, {y}) mm is missing");
    }
}

#[test]
fn labels_stay_text() {
    let svg = with_frame("t", "a", |frame| draw::cross_section(&section(), frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    assert!(tree.descendants().any(|n| n.attribute("data-bead") == Some("<1>")));
    let title = tree.descendants().find(|n| n.text() == Some("bead \"1\" & root"));
    assert!(title.is_some_and(|t| t.has_tag_name("title")));
    assert!(!svg.contains("<1>"));
}

#[test]
fn an_opening_can_be_pointed_at_and_found_again() {
    let svg = with_frame("t", "a", |frame| draw::strap_face(&strap_face(-3.0), frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let root = tree.root_element();
    let group = tree.descendants().find(|n| n.attribute("data-opening") == Some("o1")).unwrap();
    let line = group.children().find(|n| n.has_tag_name("line")).unwrap();
    let [x1, x2, v] = ["x1", "x2", "y1"].map(|n| number(line, n));
    let [px, x0, y0] = ["data-px-per-mm", "data-x0", "data-y0"].map(|n| number(root, n));
    assert!((((x1 + x2) / 2.0 - x0) / px + 3.0).abs() < WRITTEN);
    assert!(((y0 - v) / px - 5.0).abs() < WRITTEN);
    assert!(((x2 - x1) / px - 1.6).abs() < WRITTEN);
}

#[test]
fn bad_numbers_give_a_card() {
    let words = Words::english();
    with_frame("t", "a", |frame| {
        for svg in [
            draw::groove_fit(&draw::Fit { thickness_mm: f64::NAN, ..fit() }, 10.0, frame),
            draw::groove_fit(&fit(), 0.0, frame),
            draw::strap_face(&strap_face(f64::INFINITY), frame),
            draw::strap_layout_plate(&draw::PlateLayout { length_mm: f64::NAN, ..plate() }, frame),
        ] {
            assert!(svg.contains(&words.undrawable), "{svg}");
            roxmltree::Document::parse(&svg).unwrap();
        }
    });
}

#[test]
fn the_map_names_the_failure_in_its_area_and_leaves_out_what_lies_beyond() {
    let svg = with_frame("t", "a", |frame| draw::window_map(&window(), frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let texts: Vec<&str> =
        tree.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
    for wanted in ["land & edge", "OK", "1/2", "1/4", "2 <mm>", "fails", "trade"] {
        assert!(texts.contains(&wanted), "no `{wanted}` in {texts:?}");
    }
    assert!(!texts.contains(&"beyond") && !texts.contains(&"drops out"), "{texts:?}");
    let [u0, u1] = ["data-u-min", "data-u-max"].map(|n| number(tree.root_element(), n));
    // The name lies where its cells are: failing is the left part of the map.
    let name = tree.descendants().find(|n| n.text() == Some("land & edge") && n.is_element()).unwrap();
    assert!((number(name, "x") - u0) / (u1 - u0) < 0.6);
    let dots = tree.descendants().filter(|n| n.has_tag_name("circle")).count();
    assert_eq!(dots, 2, "a plate beyond the map is drawn on it");
}

#[test]
fn the_line_of_the_map_runs_where_the_margin_is_nought() {
    let mut map = window();
    map.contours.clear();
    map.cells = (0..10).map(|_| map.cells[0].clone()).collect();
    let svg = with_frame("t", "a", |frame| draw::window_map(&map, frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let [u0, u1] = ["data-u-min", "data-u-max"].map(|n| number(tree.root_element(), n));
    // Clearance is k/4 - 2 at the middle of cell k: zero at k = 8.
    let expected = u0 + (u1 - u0) * 8.5 / 20.0;
    let paths = tree.descendants().filter(|n| n.attribute("stroke-width") == Some("1.95"));
    let found: Vec<[f64; 2]> = paths.filter_map(|n| n.attribute("d")).flat_map(points).collect();
    assert!(found.len() >= 18 && found.iter().all(|p| (p[0] - expected).abs() < WRITTEN), "{found:?}");
}

#[test]
fn the_band_of_the_model_is_dashed_on_both_sides_of_the_line() {
    let mut map = window();
    map.contours.clear();
    map.cells = (0..10).map(|_| map.cells[0].clone()).collect();
    // The model's error is half the doubt: the band is half as wide.
    map.cells.iter_mut().flatten().for_each(|c| c.in_model_error = c.clearance.map(|v| 2.0 * v));
    let dashed = |map: &draw::WindowMap| -> Vec<f64> {
        let svg = with_frame("t", "a", |frame| draw::window_map(map, frame));
        let tree = roxmltree::Document::parse(&svg).unwrap();
        let [u0, u1] = ["data-u-min", "data-u-max"].map(|n| number(tree.root_element(), n));
        let paths = tree.descendants().filter(|n| n.attribute("stroke-dasharray") == Some("2 3.2"));
        let found = paths.filter_map(|n| n.attribute("d")).flat_map(points);
        found.map(|p| (p[0] - u0) / (u1 - u0) * 20.0 - 0.5).collect()
    };
    let found = dashed(&map);
    // Clearance is k/4 - 2: a half below and above zero at k = 6 and 10.
    let near = |k: f64| found.iter().filter(|x| (**x - k).abs() < 0.01).count();
    assert!(near(6.0) >= 9 && near(10.0) >= 9 && near(6.0) + near(10.0) == found.len(), "{found:?}");
    map.cells.iter_mut().flatten().for_each(|c| c.in_model_error = None);
    assert!(dashed(&map).is_empty(), "a band is drawn where no error was measured");
}

#[test]
fn a_map_without_cells_or_with_ragged_rows_gives_a_card() {
    let words = Words::english();
    with_frame("t", "a", |frame| {
        let mut ragged = window();
        ragged.cells[3].pop();
        let mut empty = window();
        empty.cells.clear();
        let turned = draw::WindowMap { x: [1.0, 0.0], ..window() };
        for map in [ragged, empty, turned] {
            assert!(draw::window_map(&map, frame).contains(&words.undrawable));
        }
    });
}

fn compared(px_per_mm: f64) -> draw::Comparison {
    let row = |label: &str, texts: [&str; 2], differs| draw::CompareRow {
        label: label.into(),
        texts: texts.map(Into::into),
        signs: [Some(Sign::Holds), None],
        differs,
    };
    draw::Comparison {
        sections: [section(), draw::CrossSection { px_per_mm, ..section() }],
        heads: ["0412 · plate".into(), "0413 · <pipe>".into()],
        rows: vec![row("land & edge", ["1/16 in", "3/32 in"], true), row("beads", ["7", "7"], false)],
    }
}

#[test]
fn two_sections_are_drawn_at_one_scale_with_their_numbers_under_them() {
    let svg = with_frame("t", "a", |frame| draw::comparison(&compared(40.0), frame));
    let tree = roxmltree::Document::parse(&svg).unwrap();
    let moved: Vec<_> =
        tree.descendants().filter(|n| n.has_attribute("transform") && n.has_tag_name("g")).collect();
    assert_eq!(moved.len(), 2);
    // The same section twice is the same drawing twice, whatever scale the
    // second asked for.
    let inside = |k: usize| moved[k].children().map(|n| n.attribute("d")).collect::<Vec<_>>();
    assert_eq!(inside(0), inside(1));
    let texts: Vec<&str> =
        tree.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
    for wanted in ["0412 · plate", "0413 · <pipe>", "land & edge", "3/32 in", "7"] {
        assert!(texts.contains(&wanted), "no `{wanted}` in {texts:?}");
    }
    // Only the row that differs is marked, next to its label.
    let marks: Vec<f64> = tree
        .descendants()
        .filter(|n| n.has_tag_name("circle") && n.attribute("r") == Some("2.6"))
        .map(|n| number(n, "cy"))
        .collect();
    let label = tree.descendants().find(|n| n.text() == Some("land & edge") && n.is_element()).unwrap();
    assert!(marks.len() == 1 && (number(label, "y") - marks[0]).abs() < 6.0, "{marks:?}");
}

#[test]
fn a_comparison_with_a_section_that_cannot_be_drawn_gives_a_card() {
    with_frame("t", "a", |frame| {
        let mut broken = compared(12.0);
        broken.sections[1].fit.thickness_mm = f64::NAN;
        assert!(draw::comparison(&broken, frame).contains(&Words::english().undrawable));
    });
}
