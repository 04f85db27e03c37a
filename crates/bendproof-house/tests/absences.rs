//! What must never be there: an edge to the web, the clock, the disk or the
//! database from the inner crates, and an edge that points up the list.
//!
//! `ARCHITECTURE.md` states these in words; here cargo is asked, and no answer
//! is wanted.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::BTreeSet;
use std::process::Command;

/// Crates that must give the same answer on every machine.
const CORE: &[&str] = &[
    "bendproof-measure",
    "bendproof-weld",
    "bendproof-heat",
    "bendproof-calc",
    "bendproof-forecast",
    "bendproof-codes",
];

/// Outside libraries that reach the web, the disk, the clock or paper.
const OUTSIDE_WORLD: &[&str] = &[
    "axum",
    "hyper",
    "maud",
    "tokio",
    "sqlx",
    "sqlx-core",
    "libsqlite3-sys",
    "typst",
    "typst-pdf",
    "tempfile",
    "clap",
];

/// Names through which the standard library does the same.
const OUTSIDE_NAMES: &[&str] = &[
    "std::fs",
    "std::net",
    "std::env",
    "std::process",
    "std::thread",
    "SystemTime",
    "Instant",
    "println!",
    "eprintln!",
];

/// Our crates from the top down, each with our crates it may use directly. A
/// crate may only name crates that stand below it.
const DIRECTION: &[(&str, &[&str])] = &[
    (
        "bendproof",
        &[
            "bendproof-desk",
            "bendproof-contract",
            "bendproof-bench",
            "bendproof-paper",
            "bendproof-shop",
            "bendproof-traveler",
            "bendproof-files",
            "bendproof-drawing",
            "bendproof-calc",
            "bendproof-codes",
            "bendproof-forecast",
            "bendproof-heat",
            "bendproof-measure",
            "bendproof-weld",
        ],
    ),
    (
        "bendproof-desk",
        &[
            "bendproof-contract",
            "bendproof-bench",
            "bendproof-paper",
            "bendproof-shop",
            "bendproof-traveler",
            "bendproof-files",
            "bendproof-drawing",
            "bendproof-codes",
            "bendproof-forecast",
            "bendproof-weld",
        ],
    ),
    (
        "bendproof-contract",
        &[
            "bendproof-traveler",
            "bendproof-files",
            "bendproof-codes",
            "bendproof-forecast",
            "bendproof-measure",
            "bendproof-weld",
        ],
    ),
    ("bendproof-bench", &["bendproof-traveler", "bendproof-drawing", "bendproof-measure"]),
    ("bendproof-paper", &["bendproof-traveler", "bendproof-drawing"]),
    ("bendproof-shop", &[]),
    (
        "bendproof-traveler",
        &[
            "bendproof-files",
            "bendproof-drawing",
            "bendproof-codes",
            "bendproof-forecast",
            "bendproof-heat",
            "bendproof-measure",
            "bendproof-weld",
        ],
    ),
    ("bendproof-files", &["bendproof-measure", "bendproof-weld"]),
    ("bendproof-drawing", &["bendproof-measure"]),
    ("bendproof-codes", &["bendproof-measure", "bendproof-weld"]),
    ("bendproof-calc", &["bendproof-heat", "bendproof-measure", "bendproof-weld"]),
    ("bendproof-forecast", &["bendproof-heat", "bendproof-measure", "bendproof-weld"]),
    ("bendproof-heat", &[]),
    ("bendproof-weld", &["bendproof-measure"]),
    ("bendproof-measure", &[]),
];

/// Names of the packages `package` is built from, down to `depth` edges; tests
/// and benchmarks do not count.
fn built_from(package: &str, depth: Option<u32>) -> BTreeSet<String> {
    let depth = depth.map(|d| d.to_string());
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(support::root()).args([
        "tree",
        "--locked",
        "--offline",
        "--edges",
        "normal,build",
        "--prefix",
        "none",
        "--format",
        "{p}",
        "--package",
        package,
    ]);
    cargo.args(depth.iter().flat_map(|d| ["--depth", d]));
    let output = cargo.output().unwrap();
    assert!(output.status.success(), "cargo tree {package}: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().filter_map(|l| l.split(' ').next()).map(str::to_owned).filter(|n| n != package).collect()
}

fn ours(names: BTreeSet<String>) -> BTreeSet<String> {
    names.into_iter().filter(|n| n == "bendproof" || n.starts_with("bendproof-")).collect()
}

#[test]
fn core_crates_reach_no_web_disk_database_or_paper() {
    for package in CORE {
        let found = built_from(package, None);
        for outside in OUTSIDE_WORLD {
            assert!(!found.contains(*outside), "{package} is built from {outside}");
        }
    }
}

/// The question above would be worthless if cargo never named these libraries.
#[test]
fn the_outside_world_is_found_where_it_is_allowed() {
    assert!(built_from("bendproof-bench", None).contains("tokio"));
    assert!(built_from("bendproof-shop", None).contains("libsqlite3-sys"));
    assert!(built_from("bendproof-paper", None).contains("typst"));
}

#[test]
fn dependencies_point_down_the_list() {
    for (index, (package, allowed)) in DIRECTION.iter().enumerate() {
        let below: BTreeSet<&str> = DIRECTION[index + 1..].iter().map(|(name, _)| *name).collect();
        for name in ours(built_from(package, Some(1))) {
            assert!(
                allowed.contains(&name.as_str()) && below.contains(name.as_str()),
                "{package} uses {name}; draw the edge here and in ARCHITECTURE.md, or take it out"
            );
        }
    }
}

#[test]
fn the_list_names_every_crate() {
    let named: BTreeSet<String> = DIRECTION.iter().map(|(name, _)| (*name).to_owned()).collect();
    let mut there: BTreeSet<String> = support::files("crates", "Cargo.toml")
        .iter()
        .map(|path| path.split('/').nth(1).unwrap().to_owned())
        .collect();
    assert!(there.remove("bendproof-house"), "this crate is there");
    assert_eq!(named, there);
    let map = support::read("ARCHITECTURE.md");
    for name in named.iter().chain(["bendproof-house".to_owned()].iter()) {
        assert!(map.contains(&format!("`{name}`")), "ARCHITECTURE.md does not name {name}");
    }
}

fn named_in_source(package: &str, names: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    let sources = support::files(&format!("crates/{package}/src"), ".rs");
    for path in sources.into_iter().filter(|path| !support::is_test_file(path)) {
        let code = support::code_only(&support::read(&path));
        for (number, line) in support::without_tests(&code).lines().enumerate() {
            for name in names.iter().filter(|name| line.contains(**name)) {
                found.push(format!("{path}:{}: {name}", number + 1));
            }
        }
    }
    found
}

#[test]
fn core_crates_name_no_disk_net_clock_or_environment() {
    for package in CORE.iter().chain(&["bendproof-files", "bendproof-drawing", "bendproof-traveler"]) {
        assert_eq!(named_in_source(package, OUTSIDE_NAMES), Vec::<String>::new());
    }
}

/// A hash map walks in another order each run; a result must not depend on it.
#[test]
fn nothing_that_reaches_a_result_hashes() {
    for (package, _) in
        DIRECTION.iter().filter(|(name, _)| *name != "bendproof" && *name != "bendproof-bench")
    {
        assert_eq!(named_in_source(package, &["HashMap", "HashSet"]), Vec::<String>::new());
    }
}

#[test]
fn only_the_shop_knows_the_database_and_only_the_bench_the_web() {
    for (package, _) in DIRECTION {
        let direct = built_from(package, Some(1));
        assert!(!direct.contains("sqlx") || *package == "bendproof-shop", "{package} uses sqlx");
        assert!(!direct.contains("axum") || *package == "bendproof-bench", "{package} uses axum");
        assert!(!direct.contains("maud") || *package == "bendproof-bench", "{package} uses maud");
        assert!(!direct.contains("typst") || *package == "bendproof-paper", "{package} uses typst");
    }
}

/// A code's limits are the shop's where the shop is stricter, so a code is taken
/// through the value that carries them. These are all the readers of a plain one.
#[test]
fn only_who_carries_the_shops_limits_takes_a_code_by_name() {
    const PLAIN: &[&str] = &["catalogue::code(", "catalogue::codes("];
    const MAY: &[(&str, &str)] = &[
        // Lays the shop's limits over what it takes.
        ("crates/bendproof-traveler/src/context.rs", "catalogue::code"),
        // Prints the rules as the codes have them, and judges nothing.
        ("crates/bendproof/src/command/explain.rs", "codes"),
        // Counts the rules of each code.
        ("crates/bendproof-desk/src/words.rs", "catalogue::codes"),
    ];
    for package in ["bendproof-traveler", "bendproof-bench", "bendproof-paper", "bendproof"] {
        let taken = support::files(&format!("crates/{package}/src"), ".rs");
        for path in taken.into_iter().filter(|path| !support::is_test_file(path)) {
            let source = support::code_only(&support::read(&path));
            let code = support::without_tests(&source);
            let taken: Vec<&str> = imports(code).into_iter().chain(called(code, PLAIN)).collect();
            for name in taken {
                let is_known = MAY.iter().any(|(at, what)| path == *at && name.contains(what));
                assert!(is_known, "{path} takes a plain code by {name}; take it through AssessmentContext");
            }
        }
    }
}

/// Which of `code` and `codes` a file imports from the codes crate.
fn imports(source: &str) -> Vec<&str> {
    let lists = source.split("use bendproof_codes::").skip(1).filter_map(|rest| rest.split(';').next());
    let names = lists.flat_map(|list| list.split(['{', '}', ',']));
    let names = names.filter_map(|name| name.rsplit("::").next());
    names.map(str::trim).filter(|name| ["code", "codes"].contains(name)).collect()
}

fn called<'a>(source: &str, names: &[&'a str]) -> Vec<&'a str> {
    names.iter().copied().filter(|name| source.contains(name)).collect()
}
