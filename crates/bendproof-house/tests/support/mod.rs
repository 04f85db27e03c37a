//! Finds and reads files of the repository, and strips Rust text of what is not
//! code. Shared by the tests of this crate.
#![allow(clippy::unwrap_used, dead_code, reason = "each test program uses a part")]

use std::path::{Path, PathBuf};

/// Names of folders that hold no file of ours.
const NOT_OURS: &[&str] = &["target", "node_modules", ".git"];

/// The repository's root folder.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// The text of a file named from the root.
pub fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// All files under a folder named from the root, sorted, named from the root.
pub fn files(folder: &str, ending: &str) -> Vec<String> {
    let root = root();
    let mut found = Vec::new();
    let mut folders = vec![root.join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap().map(Result::unwrap) {
            let path = entry.path();
            let name = entry.file_name().into_string().unwrap();
            if entry.file_type().unwrap().is_dir() {
                if !NOT_OURS.contains(&name.as_str()) {
                    folders.push(path);
                }
            } else if name.ends_with(ending) {
                found.push(path.strip_prefix(&root).unwrap().to_str().unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}

/// All Rust files of the workspace.
pub fn rust_files() -> Vec<String> {
    files("crates", ".rs")
}

/// Whether a file holds tests or benchmarks only.
pub fn is_test_file(path: &str) -> bool {
    ["/tests/", "/benches/", "/examples/"].iter().any(|folder| path.contains(folder)) || is_test_module(path)
}

/// Whether a file below `src` is a module that its parent, or a parent of that,
/// declares for tests only.
fn is_test_module(path: &str) -> bool {
    let Some((before, inside)) = path.split_once("/src/") else { return false };
    let mut folder = format!("{before}/src");
    for part in inside.trim_end_matches(".rs").split('/') {
        let declared = format!("{TEST_MODULE}{part};");
        let parents = ["/mod.rs", "/lib.rs", "/main.rs", ".rs"].map(|end| format!("{folder}{end}"));
        let says = |parent: &String| root().join(parent).is_file() && read(parent).contains(&declared);
        if parents.iter().any(says) {
            return true;
        }
        folder = format!("{folder}/{part}");
    }
    false
}

/// Rust text with comments, strings and character literals blanked out. Lines
/// and columns stay where they were.
pub fn code_only(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let end = end_of_token(&chars, at);
        if is_blanked(&chars, at) {
            out.extend(chars[at..end].iter().map(|c| if *c == '\n' { '\n' } else { ' ' }));
        } else {
            out.extend(&chars[at..end]);
        }
        at = end;
    }
    out
}

fn starts(chars: &[char], at: usize, word: &str) -> bool {
    word.chars().enumerate().all(|(n, c)| chars.get(at + n) == Some(&c))
}

fn is_blanked(chars: &[char], at: usize) -> bool {
    starts(chars, at, "//")
        || starts(chars, at, "/*")
        || chars[at] == '"'
        || raw_string_hashes(chars, at).is_some()
        || is_char_literal(chars, at)
}

/// A quote opens a character literal, and not a lifetime, when another closes it
/// after one character or an escape.
fn is_char_literal(chars: &[char], at: usize) -> bool {
    chars[at] == '\'' && (chars.get(at + 1) == Some(&'\\') || chars.get(at + 2) == Some(&'\''))
}

/// Number of hashes of a raw string that opens here.
fn raw_string_hashes(chars: &[char], at: usize) -> Option<usize> {
    let continues_a_name = at > 0 && (chars[at - 1].is_alphanumeric() || chars[at - 1] == '_');
    let after_byte_mark = at > 0 && chars[at - 1] == 'b' && (at < 2 || !chars[at - 2].is_alphanumeric());
    if chars[at] != 'r' || (continues_a_name && !after_byte_mark) {
        return None;
    }
    let hashes = chars[at + 1..].iter().take_while(|c| **c == '#').count();
    (chars.get(at + 1 + hashes) == Some(&'"')).then_some(hashes)
}

/// Where the comment, literal or single character that starts here ends.
fn end_of_token(chars: &[char], at: usize) -> usize {
    let find = |from: usize, word: &str| {
        (from..chars.len()).find(|n| starts(chars, *n, word)).map_or(chars.len(), |n| n + word.len())
    };
    if starts(chars, at, "//") {
        return (at..chars.len()).find(|n| chars[*n] == '\n').unwrap_or(chars.len());
    }
    if starts(chars, at, "/*") {
        return find(at + 2, "*/");
    }
    if let Some(hashes) = raw_string_hashes(chars, at) {
        return find(at + hashes + 2, &format!("\"{}", "#".repeat(hashes)));
    }
    if chars[at] == '"' {
        return end_of_quoted(chars, at, '"');
    }
    if is_char_literal(chars, at) {
        return end_of_quoted(chars, at, '\'');
    }
    at + 1
}

fn end_of_quoted(chars: &[char], at: usize, quote: char) -> usize {
    let mut n = at + 1;
    while n < chars.len() && chars[n] != quote {
        n += if chars[n] == '\\' { 2 } else { 1 };
    }
    (n + 1).min(chars.len())
}

/// How a test module opens in [`code_only`] text.
pub const TEST_MODULE: &str = "#[cfg(test)]\nmod ";

/// Code outside test modules: everything from the first one on is cut, since a
/// test module stands last in its file.
pub fn without_tests(code: &str) -> &str {
    code.split(TEST_MODULE).next().unwrap_or("")
}

/// Byte offsets after each full stop inside a line that ends a sentence: another
/// begins with a capital, and the word before is no abbreviation or initial.
pub fn sentence_ends(line: &str) -> Vec<usize> {
    let ends_here = |at: usize| {
        let next = line[at + 2..].chars().next();
        let word = line[..at].rsplit([' ', '(']).next().unwrap_or("");
        next.is_some_and(char::is_uppercase) && word.len() > 2
    };
    line.match_indices(". ").map(|(at, _)| at).filter(|at| ends_here(*at)).map(|at| at + 1).collect()
}

/// Name, first line (1-based) and number of lines of each function with a body.
pub fn functions(code: &str) -> Vec<(String, usize, usize)> {
    let mut found = Vec::new();
    for (start, _) in code.match_indices("fn ") {
        let is_word = code[..start].chars().next_back().is_none_or(|c| !c.is_alphanumeric() && c != '_');
        let name: String =
            code[start + 3..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
        if !is_word || name.is_empty() {
            continue;
        }
        if let Some(end) = end_of_body(&code[start..]) {
            let first = code[..start].matches('\n').count() + 1;
            let lines = code[start..start + end].matches('\n').count() + 1;
            found.push((name, first, lines));
        }
    }
    found
}

/// Length of the text up to the brace that closes the body; `None` when a
/// semicolon ends the signature first.
fn end_of_body(code: &str) -> Option<usize> {
    let (mut braces, mut brackets) = (0_i32, 0_i32);
    for (at, c) in code.char_indices() {
        match c {
            '(' | '[' => brackets += 1,
            ')' | ']' => brackets -= 1,
            ';' if braces == 0 && brackets == 0 => return None,
            '{' => braces += 1,
            '}' => {
                braces -= 1;
                if braces == 0 {
                    return Some(at + 1);
                }
            }
            _ => {}
        }
    }
    None
}
