//! The licence notices of the libraries that are linked in, gathered from their
//! sources into `NOTICES`, which the program prints with `bendproof licenses`.
//!
//! `UPDATE=1 cargo test -p bendproof-house --test notices` rewrites it. Equal
//! texts stand once; copyright lines stand with their package.
#![allow(clippy::unwrap_used)]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

/// The platform whose libraries are listed; others link a few different ones.
const PLATFORM: &str = "x86_64-unknown-linux-gnu";
/// A shorter file is a link to another that did not travel, bytes.
const TEXT_BYTES_MIN: usize = 100;

const HEAD: &str = "Licence notices of what Bendproof is built with.

Bendproof itself is licensed under MIT or Apache 2.0, at your choice.
Below stands every library that is linked into the program on Linux, with the
licence its manifest declares, its copyright lines, and the number of the text.
Of several licences to choose from, the first text of MIT is taken where there is one.

Besides these: the Rust standard library, Copyright The Rust Project Contributors,
MIT OR Apache-2.0; and SQLite, inside libsqlite3-sys, which is in the public domain.
";

fn cargo(arguments: &[&str]) -> String {
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(support::root()).args(arguments).args(["--locked", "--offline"]);
    let ran = cargo.output().unwrap();
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    String::from_utf8(ran.stdout).unwrap()
}

/// Name and version of every library in the program.
fn linked() -> BTreeSet<(String, String)> {
    let edges = ["tree", "--package", "bendproof", "--edges", "normal,no-proc-macro", "--target", PLATFORM];
    let answer = cargo(&[&edges[..], &["--prefix", "none", "--format", "{p}"]].concat());
    let one = |line: &str| {
        let mut words = line.split_whitespace();
        Some((words.next()?.to_owned(), words.next()?.trim_start_matches('v').to_owned()))
    };
    answer.lines().filter_map(one).filter(|(name, _)| !name.starts_with("bendproof")).collect()
}

struct Package {
    name: String,
    version: String,
    licence: String,
    authors: Vec<String>,
    folder: PathBuf,
}

fn packages() -> Vec<Package> {
    let linked = linked();
    let answer: Value =
        serde_json::from_str(&cargo(&["metadata", "--format-version", "1", "--filter-platform", PLATFORM]))
            .unwrap();
    let one = |p: &Value| {
        let text = |key: &str| p[key].as_str().unwrap_or_default().to_owned();
        let name_only =
            |author: &Value| author.as_str()?.split('<').next().map(|name| name.trim().to_owned());
        let authors = p["authors"].as_array().unwrap().iter().filter_map(name_only);
        Package {
            name: text("name"),
            version: text("version"),
            licence: text("license"),
            authors: authors.collect(),
            folder: PathBuf::from(text("manifest_path")).parent().unwrap().to_owned(),
        }
    };
    let mut list: Vec<Package> = answer["packages"].as_array().unwrap().iter().map(one).collect();
    list.retain(|p| linked.contains(&(p.name.clone(), p.version.clone())));
    list.sort_by(|a, b| (&a.name, &a.version).cmp(&(&b.name, &b.version)));
    assert_eq!(list.len(), linked.len(), "a linked package is not in the metadata");
    list
}

/// Licence files of a package: that of MIT alone where it may be chosen.
fn licence_texts(package: &Package) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(&package.folder)
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name().into_string().unwrap())
        .filter(|name| {
            let name = name.to_lowercase();
            ["license", "licence", "copying", "unlicense", "notice"].iter().any(|n| name.starts_with(n))
        })
        .collect();
    names.sort();
    let is_mit = |name: &String| name.to_lowercase().contains("mit");
    let is_notice = |name: &String| name.to_lowercase().starts_with("notice");
    // A licence that comes with another (`AND`) is no choice.
    if names.iter().any(is_mit) && !package.licence.contains(" AND ") {
        names.retain(|name| is_mit(name) || is_notice(name));
    }
    let read = |name: String| {
        String::from_utf8_lossy(&std::fs::read(package.folder.join(name)).unwrap()).into_owned()
    };
    names.into_iter().map(read).filter(|text| text.len() >= TEXT_BYTES_MIN).collect()
}

fn is_copyright(line: &str) -> bool {
    let line = line.trim().to_lowercase();
    ["copyright (c)", "copyright ©", "copyright 1", "copyright 2", "copyright the", "(c) ", "©"]
        .iter()
        .any(|head| line.starts_with(head))
}

/// The text without its copyright lines, and those.
fn parted(text: &str) -> (String, Vec<String>) {
    // A long text with many owners, as of a bundle, stays as it is.
    const SHORT_LINES: usize = 40;
    if text.lines().count() > SHORT_LINES {
        return (text.trim().replace('\r', ""), Vec::new());
    }
    let (owners, rest): (Vec<&str>, Vec<&str>) = text.lines().partition(|line| is_copyright(line));
    (rest.join("\n").trim().replace('\r', ""), owners.into_iter().map(|l| l.trim().to_owned()).collect())
}

/// Texts that differ by blanks and line ends only are one.
fn same(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[derive(Default)]
struct Texts {
    numbers: BTreeMap<String, usize>,
    whole: Vec<String>,
}

impl Texts {
    /// The 1-based number of a text.
    fn number(&mut self, text: String) -> usize {
        let next = self.whole.len() + 1;
        let number = *self.numbers.entry(same(&text)).or_insert(next);
        if number == next {
            self.whole.push(text);
        }
        number
    }

    /// A text that stands for a licence where a package brings none.
    fn standing_for(&self, licence: &str) -> Option<usize> {
        let marks =
            [("MIT", "Permission is hereby granted, free of charge"), ("Apache-2.0", "Apache License")];
        let mark = marks.iter().find(|(name, _)| licence.contains(name))?.1;
        self.whole.iter().position(|text| text.contains(mark) && text.len() < 16_000).map(|n| n + 1)
    }
}

fn notices() -> String {
    let packages = packages();
    let mut texts = Texts::default();
    let mut answer: Vec<(usize, Vec<String>, Vec<usize>)> = Vec::new();
    for (index, package) in packages.iter().enumerate() {
        let mut owners = Vec::new();
        let mut numbers = Vec::new();
        for text in licence_texts(package) {
            let (text, who) = parted(&text);
            owners.extend(who);
            numbers.push(texts.number(text));
        }
        answer.push((index, owners, numbers));
    }
    let mut out = HEAD.to_owned();
    for (index, owners, numbers) in answer {
        let p = &packages[index];
        let list = |numbers: &[usize]| numbers.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
        let where_it_stands = match (numbers.is_empty(), texts.standing_for(&p.licence)) {
            (false, _) => format!("text {}", list(&numbers)),
            (true, Some(number)) => format!("no text in its source; as text {number}"),
            (true, None) => "no text in its source".to_owned(),
        };
        write!(out, "\n{} {} · {} · {where_it_stands}\n", p.name, p.version, p.licence).unwrap();
        // Where no text names its owner, the manifest does.
        let owners = if owners.is_empty() { &p.authors } else { &owners };
        owners.iter().for_each(|owner| writeln!(out, "    {owner}").unwrap());
    }
    let font = support::read("assets/fonts/OFL.txt");
    write!(out, "\nThe typeface Barlow Condensed · OFL-1.1\n").unwrap();
    for (index, text) in texts.whole.iter().enumerate() {
        write!(out, "\n\n---- text {} ----\n\n{text}\n", index + 1).unwrap();
    }
    write!(out, "\n\n---- text of the typeface ----\n\n{}\n", font.trim()).unwrap();
    out.lines().map(|line| format!("{}\n", line.trim_end())).collect()
}

#[test]
fn the_notices_are_those_of_what_is_linked() {
    let file = support::root().join("NOTICES");
    let text = notices();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&file, &text).unwrap();
    }
    let there = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(there == text, "NOTICES is stale; run: UPDATE=1 cargo test -p bendproof-house --test notices");
}

/// Asked of the lock file and of the committed text, not of what was gathered.
#[test]
fn every_linked_package_of_the_lock_file_is_named() {
    let lock: toml::Table = support::read("Cargo.lock").parse().unwrap();
    let locked: BTreeSet<(String, String)> = lock["package"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| ["name", "version"].map(|key| p[key].as_str().unwrap().to_owned()))
        .map(|[name, version]| (name, version))
        .collect();
    let text = support::read("NOTICES");
    let linked = linked();
    assert!(linked.len() > 100, "{}", linked.len());
    for (name, version) in &linked {
        assert!(locked.contains(&(name.clone(), version.clone())), "{name} {version} is not locked");
        assert!(text.contains(&format!("\n{name} {version} · ")), "{name} {version} is not in NOTICES");
    }
    for shared in
        ["Permission is hereby granted", "Apache License", "SIL OPEN FONT LICENSE", "UNICODE LICENSE"]
    {
        assert!(text.contains(shared), "{shared}");
    }
}
