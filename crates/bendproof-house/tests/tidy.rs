//! Tidiness as a test: heads of modules, lengths, loose ends, the changelog's
//! and the readme's shape, links and lines of the documents.
#![allow(clippy::unwrap_used)]

mod support;

use support::{
    TEST_MODULE, code_only, files, functions, is_test_file, read, root, rust_files, sentence_ends,
    without_tests,
};

/// Longest source file, lines. Basis: choice.
const FILE_LINES_MAX: usize = 900;
/// Longest function outside test files, lines: one screen. Basis: choice.
const FUNCTION_LINES_MAX: usize = 70;
/// Largest committed file that is no font, picture or lock file, bytes. Basis: choice.
const FILE_BYTES_MAX: u64 = 256 * 1024;
/// The same for solved runs: thousands of them stand behind each fast model, and
/// its test fits them again. Basis: choice.
const RUNS_BYTES_MAX: u64 = 640 * 1024;
/// The readme's picture stands before this line, so that it shows unscrolled.
const PICTURE_LINE_MAX: usize = 40;
/// The readme's first command stands before this line.
const COMMAND_LINE_MAX: usize = 45;

fn none<T: std::fmt::Debug>(found: &[T]) {
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn every_module_says_what_it_is_for() {
    let silent: Vec<String> =
        rust_files().into_iter().filter(|path| !read(path).trim_start().starts_with("//!")).collect();
    none(&silent);
}

#[test]
fn no_source_file_is_longer_than_can_be_read() {
    let long: Vec<(String, usize)> = rust_files()
        .into_iter()
        .map(|path| (path.clone(), read(&path).lines().count()))
        .filter(|(_, lines)| *lines > FILE_LINES_MAX)
        .collect();
    none(&long);
}

#[test]
fn every_function_fits_one_screen() {
    let mut long = Vec::new();
    for path in rust_files().into_iter().filter(|p| !is_test_file(p)) {
        for (name, line, lines) in functions(&code_only(&read(&path))) {
            if lines > FUNCTION_LINES_MAX {
                long.push(format!("{path}:{line}: {name} has {lines} lines"));
            }
        }
    }
    none(&long);
}

/// The scan behind the test above, on text made to mislead it.
#[test]
fn functions_are_measured_through_strings_comments_and_literals() {
    let sample = concat!(
        "fn one() {}\n",
        "trait T { fn declared(&self) -> [u8; 2]; }\n",
        "fn two<'a>(x: &'a str) -> char {\n",
        "    // } a comment fn none() {\n",
        "    let _ = \"} \\\" fn no() {\";\n",
        "    let _ = r#\"} \" \"#;\n",
        "    /* } */\n",
        "    if x == \"{\" { '}' } else { '\\'' }\n",
        "}\n",
    );
    let found = functions(&code_only(sample));
    let expected = [("one".to_owned(), 1, 1), ("two".to_owned(), 3, 7)];
    assert_eq!(found, expected);
}

#[test]
fn nothing_outside_tests_gives_up_on_an_error() {
    let mut found = Vec::new();
    for path in rust_files().into_iter().filter(|p| !is_test_file(p)) {
        let code = code_only(&read(&path));
        for (number, line) in without_tests(&code).lines().enumerate() {
            if [".unwrap()", ".expect(", "panic!(", "unreachable!("].iter().any(|word| line.contains(word)) {
                found.push(format!("{path}:{}: {}", number + 1, line.trim()));
            }
        }
    }
    none(&found);
}

/// `without_tests` cuts at the first test module, so nothing may follow one.
#[test]
fn a_test_module_stands_last_in_its_file() {
    let mut found = Vec::new();
    for path in rust_files().into_iter().filter(|p| !is_test_file(p)) {
        let code = code_only(&read(&path));
        let Some((_, tests)) = code.split_once(TEST_MODULE) else { continue };
        if tests.lines().skip(1).filter(|l| !l.is_empty() && !l.starts_with([' ', '}'])).count() > 1 {
            found.push(path);
        }
    }
    none(&found);
}

/// Words as they must not be written, capitals as they stand.
fn unwanted_words() -> Vec<String> {
    let lines = read("crates/bendproof-house/tests/data/unwanted.txt");
    let wanted = lines.lines().filter(|l| !l.is_empty() && !l.starts_with("# "));
    // A doubled bracket stands for the bracket itself.
    wanted
        .map(|l| l.replace("[[]", "\u{1}").replace("[]]", "\u{2}").replace(['[', ']'], ""))
        .map(|l| l.replace('\u{1}', "[").replace('\u{2}', "]"))
        .collect()
}

const TEXT_ENDINGS: &[&str] =
    &[".rs", ".toml", ".md", ".js", ".css", ".typ", ".json", ".csv", ".txt", "/start", "/check", "/run"];

fn text_files() -> Vec<String> {
    let here = |path: &String| TEXT_ENDINGS.iter().any(|end| format!("/{path}").ends_with(end));
    files("", "").into_iter().filter(here).collect()
}

#[test]
fn no_unwanted_word_stands_anywhere() {
    let words = unwanted_words();
    assert!(words.contains(&["#[", "ignore]"].concat()), "{words:?}");
    let mut found = Vec::new();
    for path in text_files() {
        for (number, line) in read(&path).lines().enumerate() {
            for word in words.iter().filter(|word| line.contains(word.as_str())) {
                found.push(format!("{path}:{}: {word}", number + 1));
            }
        }
    }
    none(&found);
}

/// The lines of a file that a user reads, with their 1-based numbers: titles and
/// findings of a rule, strings and help of the source, prose of a document.
fn read_by_users(path: &str) -> Vec<(usize, String)> {
    let text = read(path);
    let mut is_code = false;
    let mut is_test = false;
    let mut is_seen = |line: &str| {
        let line = line.trim_start();
        is_code ^= line.starts_with("```");
        is_test |= line.starts_with("#[cfg(test)]");
        match path.rsplit('.').next() {
            Some("toml") => line.starts_with("title = ") || line.starts_with("finding = "),
            Some("rs") if path.ends_with("arguments.rs") => line.starts_with("/// "),
            Some("rs") => line.contains('"') && !line.starts_with("//") && !is_test,
            _ => !is_code,
        }
    };
    let lines = text.lines().enumerate().map(|(n, line)| (n + 1, line.to_lowercase()));
    lines.filter(|(_, line)| is_seen(line)).collect()
}

/// Where the worn words are looked for: what is written by hand and read by users.
fn worn_places() -> Vec<String> {
    let of_page = ["crates/bendproof-bench/src/text.rs", "crates/bendproof/src/arguments.rs", "README.md"];
    let mut places: Vec<String> = of_page.iter().map(|p| (*p).to_owned()).collect();
    places.extend(files("codes", ".toml"));
    places.extend(files("crates/bendproof-files/src", "fields.rs"));
    places.extend(files("docs/how-to", ".md"));
    places.extend(files("docs/tutorial", ".md"));
    places.push("docs/reference/command-line.md".to_owned());
    places
}

/// Whether a phrase stands in a line as whole words.
fn has_words(line: &str, phrase: &str) -> bool {
    let is_word = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
    line.match_indices(phrase).any(|(at, _)| {
        !is_word(line[..at].chars().next_back()) && !is_word(line[at + phrase.len()..].chars().next())
    })
}

#[test]
fn no_worn_word_returns_where_a_user_reads() {
    let list = read("crates/bendproof-house/tests/data/worn_words.txt");
    let words: Vec<&str> = list.lines().filter(|l| !l.is_empty() && !l.starts_with('#')).collect();
    assert!(words.contains(&"told") && has_words("as told.", "told") && !has_words("a toldo", "told"));
    let mut found = Vec::new();
    for path in worn_places() {
        for (number, line) in read_by_users(&path) {
            found.extend(
                words.iter().filter(|w| has_words(&line, w)).map(|w| format!("{path}:{number}: {w}")),
            );
        }
    }
    none(&found);
}

#[test]
fn no_large_file_creeps_in() {
    let large: Vec<(String, u64)> = text_files()
        .into_iter()
        .map(|path| (path.clone(), root().join(&path).metadata().unwrap().len()))
        .filter(|(path, bytes)| {
            let runs = path.starts_with("data/") && path.ends_with("_runs.csv");
            *bytes > if runs { RUNS_BYTES_MAX } else { FILE_BYTES_MAX }
        })
        .collect();
    none(&large);
}

/// `## 0.1.0, unreleased` or `## 0.1.0, 2026-12-01`; newest first; the newest is
/// the version of the workspace; every entry is a sentence.
#[test]
fn the_changelog_has_its_shape() {
    let text = read("CHANGELOG.md");
    let versions: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix("## ")).collect();
    let manifest: toml::Table = read("Cargo.toml").parse().unwrap();
    let current = manifest["workspace"]["package"]["version"].as_str().unwrap().to_owned();
    assert!(versions[0].starts_with(&format!("{current}, ")), "{versions:?}");
    for (index, heading) in versions.iter().enumerate() {
        let (version, when) = heading.split_once(", ").unwrap();
        assert_eq!(version.split('.').filter(|n| n.parse::<u32>().is_ok()).count(), 3, "{heading}");
        let is_date = when.len() == 10 && when.chars().filter(|c| *c == '-').count() == 2;
        assert!(is_date || (index == 0 && when == "unreleased"), "{heading}");
    }
    let entries: Vec<&str> = text.lines().filter(|l| l.starts_with("- ")).collect();
    assert!(!entries.is_empty(), "no entry");
    let unfinished: Vec<&&str> = entries.iter().filter(|l| !l.ends_with('.')).collect();
    none(&unfinished);
}

/// Text of fenced blocks of one kind, with the 1-based line each starts on.
fn blocks(text: &str, kind: &str) -> Vec<(usize, Vec<String>)> {
    let mut found: Vec<(usize, Vec<String>)> = Vec::new();
    let mut open: Option<bool> = None;
    for (number, line) in text.lines().enumerate() {
        match (open, line.strip_prefix("```")) {
            (None, Some(word)) => {
                open = Some(word == kind);
                if word == kind {
                    found.push((number + 1, Vec::new()));
                }
            }
            (Some(_), Some(_)) => open = None,
            (Some(true), None) => found.last_mut().unwrap().1.push(line.to_owned()),
            _ => {}
        }
    }
    found
}

#[test]
fn the_readme_shows_the_job_the_picture_and_two_commands() {
    let text = read("README.md");
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[0].starts_with("# ") && !lines[2].is_empty(), "the job stands right under the title");
    let picture = lines.iter().position(|l| l.starts_with("![")).unwrap();
    assert!(picture + 1 < PICTURE_LINE_MAX, "the picture stands on line {}", picture + 1);
    let commands = blocks(&text, "sh");
    assert!(commands[0].0 < COMMAND_LINE_MAX, "the first command stands on line {}", commands[0].0);
    let written: Vec<String> = commands.into_iter().flat_map(|(_, lines)| lines).collect();
    assert_eq!(written, ["./start", "./check"]);
    assert_eq!(blocks(&text, "text").len(), written.len(), "each command is followed by what it prints");
    for command in written {
        use std::os::unix::fs::PermissionsExt;
        let mode = root().join(&command).metadata().unwrap().permissions().mode();
        assert!(mode & 0o111 != 0, "{command} is not executable");
    }
}

fn documents() -> Vec<String> {
    files("", ".md")
}

/// Targets of links and pictures in a document, without anchors.
fn targets(text: &str) -> Vec<String> {
    let after = text.split("](").skip(1).filter_map(|rest| rest.split(')').next());
    after.map(|t| t.split('#').next().unwrap().to_owned()).filter(|t| !t.is_empty()).collect()
}

#[test]
fn every_link_in_the_documents_leads_to_a_file() {
    let mut broken = Vec::new();
    for path in documents() {
        let folder = root().join(&path).parent().unwrap().to_owned();
        for target in targets(&read(&path)) {
            if !target.starts_with("https://") && !folder.join(&target).exists() {
                broken.push(format!("{path}: {target}"));
            }
        }
    }
    none(&broken);
}

#[test]
fn documents_keep_one_sentence_to_a_line() {
    let mut found = Vec::new();
    for path in documents().into_iter().filter(|p| !p.starts_with("assets/")) {
        let mut is_code = false;
        for (number, line) in read(&path).lines().enumerate() {
            is_code ^= line.starts_with("```");
            let is_prose = !is_code && !line.starts_with('|');
            if is_prose && !sentence_ends(line).is_empty() {
                found.push(format!("{path}:{}", number + 1));
            }
        }
    }
    none(&found);
}

/// Every task of the command line has its heading in the reference.
#[test]
fn every_command_has_its_heading() {
    let source = read("crates/bendproof/src/arguments.rs");
    let tasks = source.split("pub enum Task {").nth(1).unwrap().split("\n}").next().unwrap();
    let names: Vec<String> = tasks
        .lines()
        .filter(|l| l.starts_with("    ") && l.trim_start().starts_with(char::is_uppercase))
        .map(|l| l.trim().split([' ', '(', ',']).next().unwrap().to_lowercase())
        .collect();
    assert!(names.len() > 5, "{names:?}");
    let reference = read("docs/reference/command-line.md");
    let unnamed: Vec<String> =
        names.into_iter().filter(|n| !reference.contains(&format!("\n## bendproof {n}\n"))).collect();
    none(&unnamed);
}
