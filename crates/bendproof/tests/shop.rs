//! The shop's file through the real program: checked, copied, put back, held by
//! one bench at a time.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod support;

use std::path::Path;
use std::process::Stdio;
use std::time::Duration;

use support::bench::Bench;
use support::{Folder, program, run};

/// A folder with a demonstration shop that was closed.
fn closed_shop(folder: &Folder) -> String {
    let data = folder.path("shop");
    let bench = Bench::start(&data, &["--no-backup"]);
    assert_eq!(bench.stop("TERM"), Some(0));
    data
}

fn file_of(data: &str) -> String {
    format!("{data}/shop.db")
}

/// Changes one byte behind the last place where a text stands in the shop's file.
fn alter(data: &str, text: &str, altered: &str) {
    let mut bytes = std::fs::read(file_of(data)).unwrap();
    let at = bytes.windows(text.len()).rposition(|part| part == text.as_bytes()).unwrap();
    bytes[at..at + altered.len()].copy_from_slice(altered.as_bytes());
    std::fs::write(file_of(data), bytes).unwrap();
}

#[test]
fn a_sound_shop_is_verified_and_one_altered_value_is_named_with_both_texts() {
    let folder = Folder::new();
    let data = closed_shop(&folder);
    let sound = run(&["shop", "verify", "--data", &data]).ends(0);
    assert!(sound.out.contains("shop.db: sound; "), "{}", sound.out);
    let answer = run(&["--json", "shop", "verify", "--data", &data]).ends(0).json();
    assert_eq!((&answer["sound"], &answer["faults"]), (&true.into(), &serde_json::json!([])));
    assert!(answer["events"].as_u64() >= Some(20) && answer["documents"].as_u64() >= Some(20), "{answer}");

    alter(&data, "Dmitri Halvorsen", "Bmitri");
    let ran = run(&["shop", "verify", "--data", &data]).ends(1);
    assert!(ran.out.contains("Bmitri Halvorsen") && ran.out.contains("\"Dmitri Halvorsen\""), "{}", ran.out);
    assert!(ran.out.contains("shop.db: damaged; "), "{}", ran.out);
    assert!(ran.err.contains("`bendproof shop restore FILE --data "), "{}", ran.err);
    let answer = run(&["--json", "shop", "verify", "--data", &data]).ends(1).json();
    let fault = &answer["faults"].as_array().unwrap().iter().find(|f| f["kind"] == "value").unwrap();
    for key in ["subject", "id", "path", "history", "found", "message"] {
        assert!(fault[key].is_string(), "{key}: {fault}");
    }
    let refused = run(&["shop", "backup", "--data", &data]).ends(2);
    assert!(refused.err.contains("nothing was written"), "{}", refused.err);

    // The bench says so at the start, on the page, and signs nothing.
    let bench = Bench::start(&data, &[]);
    for path in ["/", "/welders", "/coupon/0308"] {
        let page = bench.get(path);
        assert!(page.contains("Bmitri") && page.contains("The shop's file is damaged"), "{path}");
    }
    let pdf = bench.get("/coupon/0308/file/pdf");
    assert!(
        pdf.starts_with("HTTP/1.1 422") && pdf.contains("no record can be issued from a damaged file"),
        "{pdf}"
    );
    let backups = std::fs::read_dir(Path::new(&data).join("backups")).unwrap();
    assert_eq!(backups.count(), 0, "a damaged file is not backed up");
}

#[test]
fn a_running_shop_is_checked_and_backed_up_and_the_backup_comes_back() {
    let folder = Folder::new();
    let data = folder.path("shop");
    let bench = Bench::start(&data, &[]);
    run(&["shop", "verify", "--data", &data]).ends(0);
    let copy = folder.path("copy.db");
    let ran = run(&["shop", "backup", "--data", &data, "--to", &copy]).ends(0);
    assert!(ran.out.contains("written, checked and sound"), "{}", ran.out);
    let again = run(&["shop", "backup", "--data", &data, "--to", &copy]).ends(2);
    assert!(again.err.contains("exists already"), "{}", again.err);
    run(&["shop", "verify", &copy]).ends(0);
    let held = run(&["shop", "restore", &copy, "--data", &data]).ends(2);
    assert!(held.err.contains(&format!("in use by the bench at http://{}/", bench.address)), "{}", held.err);
    let dated = run(&["--json", "shop", "backup", "--data", &data]).ends(0).json();
    assert!(dated["backup"].as_str().unwrap().starts_with(&format!("{data}/backups/shop-20")), "{dated}");
    assert_eq!(bench.stop("TERM"), Some(0));

    std::fs::write(file_of(&data), "").unwrap();
    let empty = run(&["bench", "--port", "0", "--no-open", "--data", &data]).ends(2);
    assert!(empty.err.contains("is empty: 0 bytes"), "{}", empty.err);
    let answer = run(&["shop", "verify", "--data", &data]).ends(1);
    assert!(answer.out.contains("is empty: 0 bytes"), "{}", answer.out);
    let back = run(&["shop", "restore", &copy, "--data", &data]).ends(0);
    assert!(back.out.contains("kept as") && back.out.contains("shop-replaced-20"), "{}", back.out);
    run(&["shop", "verify", "--data", &data]).ends(0);
    let missing = run(&["shop", "restore", &folder.path("none.db"), "--data", &data]).ends(2);
    assert!(missing.err.contains("was not touched"), "{}", missing.err);
}

#[test]
fn a_second_bench_is_refused_by_the_address_of_the_first_until_that_is_gone() {
    let folder = Folder::new();
    let data = closed_shop(&folder);
    let first = Bench::start(&data, &[]);
    let second = run(&["bench", "--port", "0", "--no-open", "--data", &data]).ends(2);
    assert!(
        second.err.contains(&format!("in use by the bench at http://{}/", first.address)),
        "{}",
        second.err
    );
    assert_eq!(first.stop("KILL"), None);
    // A killed bench leaves no lock behind.
    assert_eq!(Bench::start(&data, &[]).stop("TERM"), Some(0));
}

#[test]
fn a_start_on_a_taken_port_makes_no_shop() {
    let folder = Folder::new();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let data = folder.path("shop");
    let ran = run(&["bench", "--port", &port, "--no-open", "--data", &data]).ends(2);
    assert!(ran.err.contains(&format!("port {port} cannot be opened")), "{}", ran.err);
    assert!(!Path::new(&format!("{data}/shop.db")).exists());
    assert!(!Path::new(&format!("{data}/backups")).exists());
}

#[test]
fn a_closed_terminal_folds_the_log_into_the_file() {
    let folder = Folder::new();
    let data = folder.path("shop");
    for signal in ["HUP", "INT", "TERM"] {
        let bench = Bench::start(&data, &["--no-demo"]);
        assert_eq!(bench.stop(signal), Some(0), "{signal}");
        assert!(!Path::new(&format!("{data}/shop.db-wal")).exists(), "{signal}");
    }
}

#[test]
fn a_bench_makes_a_dated_backup_for_its_owner_only() {
    let folder = Folder::new();
    let data = folder.path("shop");
    let backups = folder.path("elsewhere");
    let bench = Bench::start(&data, &["--backups", &backups]);
    let is_backup = |name: &str| name.starts_with("shop-20") && name.ends_with(".db");
    let names = || -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(&backups) else { return Vec::new() };
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
    };
    // The backup is made while the bench works; a minute is far more than it needs.
    for _ in 0..600 {
        if names().iter().any(|name| is_backup(name)) {
            break;
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    let made = names().into_iter().find(|name| is_backup(name)).unwrap();
    run(&["shop", "verify", &format!("{backups}/{made}")]).ends(0);
    let day = made.trim_start_matches("shop-").trim_end_matches(".db");
    for _ in 0..100 {
        if bench.get("/").contains("Last backup") {
            break;
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    assert!(bench.get("/about").contains(&format!("Last backup {day}.")));
    #[cfg(unix)]
    for (path, mode) in [
        (data.clone(), 0o700),
        (backups.clone(), 0o700),
        (format!("{backups}/{made}"), 0o600),
        (file_of(&data), 0o600),
        (format!("{data}/shop.db-wal"), 0o600),
        (format!("{data}/shop.db-shm"), 0o600),
    ] {
        use std::os::unix::fs::PermissionsExt;
        let found = std::fs::metadata(&path).unwrap().permissions().mode() & 0o777;
        assert_eq!(found, mode, "{path}: {found:o}");
    }
}

/// Kills in the first 0.35 s of a new shop; the next start has it whole.
#[test]
fn a_killed_first_start_is_made_again_whole() {
    let folder = Folder::new();
    let whole = closed_shop(&folder);
    let wanted = run(&["--json", "shop", "verify", "--data", &whole]).ends(0).json()["events"].clone();
    for round in 0..12_u64 {
        let data = folder.path(&format!("round {round}"));
        let mut child = program()
            .args(["bench", "--port", "0", "--no-open", "--no-backup", "--data", &data])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(5 + 30 * round));
        child.kill().unwrap();
        child.wait().unwrap();
        assert_eq!(Bench::start(&data, &["--no-backup"]).stop("TERM"), Some(0));
        let found = run(&["--json", "shop", "verify", "--data", &data]).ends(0).json()["events"].clone();
        assert_eq!(found, wanted, "round {round}");
    }
}
