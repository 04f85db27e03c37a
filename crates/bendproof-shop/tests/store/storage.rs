//! The file under pressure: several writers, a full disk, a failing disk, a
//! damaged file, an altered file, backups.

use std::future::Future;
use std::path::Path;
use std::task::Poll;

use bendproof_shop::{Audit, By, Edit, FaultKind, Shop, ShopError, ShopOptions, Subject};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{AssertSqlSafe, Connection};

const COUPON: Subject = Subject::Coupon;

/// Largest file in the full-disk test, in pages. The empty schema takes about
/// twenty; the rest is soon full.
const SMALL_DISK_PAGES: u32 = 60;

fn remark(n: usize) -> [Edit; 1] {
    [Edit::set(&format!("log.{n}.remark"), &format!("{n} ").repeat(1_000))]
}

/// What the check says of a sound file.
fn sound(documents: usize, events: usize) -> Audit {
    Audit { documents, events, ..Audit::default() }
}

/// What the check says of a file.
async fn audit(path: &Path) -> Audit {
    let shop = Shop::open_read_only(path).await.unwrap();
    let audit = shop.verify().await.unwrap();
    shop.close().await;
    audit
}

/// Lets another program run statements on the file.
async fn meddle(path: &Path, statements: &str) {
    let options = SqliteConnectOptions::new().filename(path).foreign_keys(false);
    let mut conn = SqliteConnection::connect_with(&options).await.unwrap();
    sqlx::raw_sql(AssertSqlSafe(statements)).execute(&mut conn).await.unwrap();
    conn.close().await.unwrap();
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn of_two_writers_exactly_one_wins() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    // Two handles share nothing but the file, as two programs would.
    let (left, right) = (Shop::open(&path).await.unwrap(), Shop::open(&path).await.unwrap());
    left.create_coupon("C-1", &[], &By::new("Rosa", 0)).await.unwrap();
    for version in 1..=60 {
        let write = |shop: Shop, who: &'static str| {
            tokio::spawn(async move {
                let edits = [Edit::set("title", &format!("{who} {version}"))];
                shop.change(COUPON, "C-1", version, &edits, &By::new(who, version)).await
            })
        };
        let (a, b) = (write(left.clone(), "Ana"), write(right.clone(), "Lee"));
        let (won, lost, winner) = match (a.await.unwrap(), b.await.unwrap()) {
            (Ok(won), Err(lost)) => (won, lost, "Ana"),
            (Err(lost), Ok(won)) => (won, lost, "Lee"),
            both => panic!("round {version}: {both:?}"),
        };
        assert_eq!(won.version, version + 1);
        let ShopError::Conflict { current, ours, since } = lost else { panic!("{lost}") };
        assert_eq!((*current, ours), (won, version));
        assert_eq!(since.len(), 1);
        assert_eq!((since[0].who.as_str(), since[0].version), (winner, version + 1));
    }
    assert_eq!(left.history(COUPON, "C-1").await.unwrap().len(), 61);
    assert_eq!(right.verify().await.unwrap().faults, []);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn many_writers_on_many_coupons_all_get_through() {
    let dir = tempfile::tempdir().unwrap();
    let shop = Shop::open(dir.path().join("shop.db")).await.unwrap();
    let tasks: Vec<_> = (0..8)
        .map(|n| {
            let shop = shop.clone();
            tokio::spawn(async move {
                let id = format!("C-{}", shop.next_number().await.unwrap());
                let by = By::new("Rosa", n);
                let mut version = shop.create_coupon(&id, &[], &by).await.unwrap().version;
                for count in 0..10 {
                    let edits = [Edit::set("title", &count.to_string())];
                    version = shop.change(COUPON, &id, version, &edits, &by).await.unwrap().version;
                    assert_eq!(shop.document(COUPON, &id).await.unwrap().version, version);
                }
            })
        })
        .collect();
    for task in tasks {
        task.await.unwrap();
    }
    assert_eq!(shop.list(COUPON, &[]).await.unwrap().len(), 8);
    assert_eq!(shop.verify().await.unwrap(), sound(8, 8 * 11));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_abandoned_change_is_whole_or_absent() {
    let dir = tempfile::tempdir().unwrap();
    let shop = Shop::open(dir.path().join("shop.db")).await.unwrap();
    let mut version = shop.create_coupon("C-1", &[], &By::new("Rosa", 0)).await.unwrap().version;
    let mut abandoned = 0;
    for n in 0..200_u64 {
        let token = format!("t{n}");
        let by = By::new("Rosa", 1).token(&token);
        let edits = [Edit::set("title", &token), Edit::set("welder", &token)];
        // A browser that goes away drops the answer at any of the places where
        // it waits; counting them, unlike a clock, abandons as many on any machine.
        let mut waits = n % 9;
        let answer = {
            let mut change = std::pin::pin!(shop.change(COUPON, "C-1", version, &edits, &by));
            std::future::poll_fn(|context| {
                if waits == 0 {
                    return Poll::Ready(None);
                }
                waits -= 1;
                change.as_mut().poll(context).map(Some)
            })
            .await
        };
        abandoned += usize::from(answer.is_none());
        // Asked again with the same token, it is there exactly once.
        let newest = shop.document(COUPON, "C-1").await.unwrap().version;
        let document = shop.change(COUPON, "C-1", newest, &edits, &by).await.unwrap();
        version += 1;
        assert_eq!(document.version, version);
    }
    assert!(abandoned > 10, "only {abandoned} changes were abandoned");
    assert_eq!(shop.verify().await.unwrap(), sound(1, 201));
}

#[tokio::test]
async fn a_file_held_by_another_program_is_busy_and_then_free() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let shop =
        Shop::open_with(&path, &ShopOptions { busy_timeout_ms: 20, ..ShopOptions::default() }).await.unwrap();
    let by = By::new("Rosa", 1);
    let document = shop.create_coupon("C-1", &[], &by).await.unwrap();
    let mut other =
        SqliteConnection::connect_with(&SqliteConnectOptions::new().filename(&path)).await.unwrap();
    let held = other.begin_with("BEGIN IMMEDIATE").await.unwrap();
    let error = shop.change(COUPON, "C-1", 1, &remark(1), &by).await.unwrap_err();
    assert!(matches!(error, ShopError::Busy { .. }), "{error:?}");
    assert!(error.to_string().contains("close the other program"), "{error}");
    assert_eq!(shop.document(COUPON, "C-1").await.unwrap(), document, "reading goes on");
    held.rollback().await.unwrap();
    assert_eq!(shop.change(COUPON, "C-1", 1, &remark(1), &by).await.unwrap().version, 2);
}

#[tokio::test]
async fn a_full_disk_refuses_the_change_and_keeps_the_rest() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let small = ShopOptions { file_pages_max: Some(SMALL_DISK_PAGES), ..ShopOptions::default() };
    let shop = Shop::open_with(&path, &small).await.unwrap();
    let by = By::new("Rosa", 1);
    let mut last = shop.create_coupon("C-1", &[], &by).await.unwrap();
    let error = loop {
        match shop.change(COUPON, "C-1", last.version, &remark(last.values.len()), &by).await {
            Ok(document) => last = document,
            Err(error) => break error,
        }
        assert!(last.version < 1_000, "the disk never filled");
    };
    assert!(matches!(error, ShopError::DiskFull { .. }), "{error:?}");
    assert!(error.to_string().contains("make room on the disk and save again"), "{error}");
    assert!(last.version > 5, "some changes fitted");

    // Still full, still readable, still nothing half written.
    for _ in 0..3 {
        let big = Edit::set("note", &"x".repeat(16_000));
        let error = shop.change(COUPON, "C-1", last.version, &[big], &by).await.unwrap_err();
        assert!(matches!(error, ShopError::DiskFull { .. }), "{error:?}");
        assert_eq!(shop.document(COUPON, "C-1").await.unwrap(), last);
    }
    assert_eq!(shop.verify().await.unwrap(), sound(1, last.version as usize));

    let roomy = Shop::open(&path).await.unwrap();
    let next = roomy.change(COUPON, "C-1", last.version, &remark(last.values.len()), &by).await.unwrap();
    assert_eq!(next.version, last.version + 1);
    assert_eq!(shop.document(COUPON, "C-1").await.unwrap(), next);
    assert_eq!(roomy.verify().await.unwrap().faults, []);
}

#[tokio::test]
async fn a_file_that_is_no_shop_gets_a_clear_answer() {
    let dir = tempfile::tempdir().unwrap();
    let text = dir.path().join("notes.txt");
    std::fs::write(&text, "this is not a database, it is a list of plates to cut\n".repeat(200)).unwrap();
    let before = std::fs::read(&text).unwrap();
    let error = Shop::open(&text).await.unwrap_err();
    assert!(matches!(error, ShopError::Damaged { .. }), "{error:?}");
    assert!(error.to_string().contains("bendproof shop restore"), "{error}");
    assert_eq!(std::fs::read(&text).unwrap(), before);

    let other = dir.path().join("other.db");
    SqliteConnection::connect_with(&SqliteConnectOptions::new().filename(&other).create_if_missing(true))
        .await
        .unwrap()
        .close()
        .await
        .unwrap();
    meddle(&other, "CREATE TABLE customer (id INTEGER)").await;
    let before = std::fs::read(&other).unwrap();
    let error = Shop::open(&other).await.unwrap_err();
    assert!(matches!(&error, ShopError::NotAShop { table, .. } if table == "customer"), "{error:?}");
    assert_eq!(std::fs::read(&other).unwrap(), before, "a foreign file is not touched");

    let error = Shop::open(dir.path().join("missing").join("shop.db")).await.unwrap_err();
    assert!(matches!(error, ShopError::CannotOpen { .. }), "{error:?}");
    assert!(error.to_string().contains("check that the folder exists"), "{error}");
}

#[tokio::test]
async fn a_damaged_file_gets_a_clear_answer() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let shop = Shop::open(&path).await.unwrap();
    let by = By::new("Rosa", 1);
    shop.create_coupon("C-1", &[], &by).await.unwrap();
    for n in 0..50 {
        shop.change(COUPON, "C-1", n as i64 + 1, &remark(n), &by).await.unwrap();
    }
    shop.close().await;
    let sound = std::fs::read(&path).unwrap();

    let mut broken_schema = sound.clone();
    broken_schema[100..2_000].fill(0xa5);
    std::fs::write(&path, &broken_schema).unwrap();
    let error = Shop::open(&path).await.unwrap_err();
    assert!(matches!(error, ShopError::Damaged { .. }), "{error:?}");

    let mut broken_pages = sound.clone();
    let middle = sound.len() / 2;
    broken_pages[middle..].fill(0xa5);
    std::fs::write(&path, &broken_pages).unwrap();
    let shop = Shop::open(&path).await.unwrap();
    let kinds = shop.verify().await.unwrap().faults.into_iter().map(|fault| fault.kind);
    assert!(kinds.into_iter().any(|kind| kind == FaultKind::Structure));
    let error = shop.history(COUPON, "C-1").await.unwrap_err();
    assert!(matches!(error, ShopError::Damaged { .. }), "{error:?}");
    shop.close().await;

    std::fs::write(&path, &sound[..middle]).unwrap();
    let error = match Shop::open(&path).await {
        Ok(shop) => shop.history(COUPON, "C-1").await.unwrap_err(),
        Err(error) => error,
    };
    assert!(matches!(error, ShopError::Damaged { .. }), "{error:?}");
}

#[tokio::test]
async fn an_altered_file_is_found_at_the_altered_event() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let shop = Shop::open(&path).await.unwrap();
    shop.create_coupon("C-1", &[], &By::new("Rosa", 1)).await.unwrap();
    for n in 0..5 {
        shop.change(COUPON, "C-1", n + 1, &[Edit::set("title", &n.to_string())], &By::new("Rosa", 1))
            .await
            .unwrap();
    }
    assert_eq!(shop.verify().await.unwrap(), sound(1, 6));
    shop.close().await;
    let sound = std::fs::read(&path).unwrap();
    let open_lock = "DROP TRIGGER event_never_changes; DROP TRIGGER event_never_goes; \
                     DROP TRIGGER event_change_never_changes; DROP TRIGGER event_change_never_goes;";
    let cases = [
        ("UPDATE event_change SET after_value = '9' WHERE seq = 4", 4, FaultKind::EventAltered),
        ("UPDATE event SET who = 'Ana' WHERE seq = 2", 2, FaultKind::EventAltered),
        ("DELETE FROM event_change WHERE seq = 3", 3, FaultKind::EventAltered),
        ("UPDATE event SET hash = 'x' WHERE seq = 5", 5, FaultKind::EventAltered),
        ("UPDATE event SET prev_hash = 'x' WHERE seq = 5", 5, FaultKind::EventAltered),
        ("UPDATE event SET who = CAST(x'ff' AS TEXT) WHERE seq = 5", 5, FaultKind::Unreadable),
        (
            "DELETE FROM event_change WHERE seq = 3; DELETE FROM event WHERE seq = 3",
            3,
            FaultKind::EventMissing,
        ),
        ("UPDATE event SET seq = 9999999999 WHERE seq = 1", 1, FaultKind::EventMissing),
    ];
    for (statement, seq, kind) in cases {
        std::fs::write(&path, &sound).unwrap();
        meddle(&path, &format!("{open_lock} {statement}")).await;
        let audit = audit(&path).await;
        let at = |fault: &&bendproof_shop::Fault| fault.seq.is_some();
        let first = audit.faults.iter().find(at).unwrap_or_else(|| panic!("{statement}: {audit:?}"));
        assert_eq!((first.seq, first.kind), (Some(seq), kind), "{statement}: {audit:?}");
        assert!(audit.faults.iter().any(|f| f.to_string().contains("trigger event_never_goes")), "{audit:?}");
    }
    for (statement, said) in [
        (
            "UPDATE current_value SET value = 'other'",
            "coupon C-1: title reads \"other\", its history says \"4\"",
        ),
        ("DELETE FROM current_value", "coupon C-1: title reads nothing, its history says \"4\""),
        (
            "INSERT INTO current_value VALUES ('coupon', 'C-1', 'code', 'x')",
            "coupon C-1: code reads \"x\", its history says nothing",
        ),
        (
            "DELETE FROM event_change WHERE seq = 6; DELETE FROM event WHERE seq = 6",
            "coupon C-1: title reads \"4\", its history says \"3\"",
        ),
        ("UPDATE document SET version = 5", "coupon C-1: its version is \"5\", its history says \"6\""),
        ("UPDATE document SET created_by = 'Ana'", "who made it is \"Ana\", its history says \"Rosa\""),
        (
            "UPDATE event_change SET before_value = '9' WHERE seq = 4",
            "event 4 (coupon C-1, version 4, by Rosa) says title was \"9\" before; it was \"1\"",
        ),
        (
            "UPDATE current_value SET value = CAST(x'ff' AS TEXT)",
            "coupon C-1 cannot be read: a row does not read",
        ),
        ("DROP INDEX current_value_by_path", "the index current_value_by_path is not as"),
    ] {
        std::fs::write(&path, &sound).unwrap();
        meddle(&path, &format!("{open_lock} {statement}")).await;
        let audit = audit(&path).await;
        let answer: Vec<String> = audit.faults.iter().map(ToString::to_string).collect();
        assert!(answer.iter().any(|one| one.contains(said)), "{statement}: {answer:#?}");
    }
}

#[tokio::test]
async fn a_file_put_back_to_an_older_state_is_found_by_a_remembered_head() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let shop = Shop::open(&path).await.unwrap();
    let by = By::new("Rosa", 7);
    assert_eq!(shop.head().await.unwrap(), None);
    shop.create_coupon("C-1", &[], &by).await.unwrap();
    let first = shop.head().await.unwrap().unwrap();
    assert_eq!((first.seq, first.at_ms), (1, 7));
    shop.close().await;
    let older = std::fs::read(&path).unwrap();
    let shop = Shop::open(&path).await.unwrap();
    shop.change(COUPON, "C-1", 1, &remark(1), &by).await.unwrap();
    let newest = shop.head().await.unwrap().unwrap();
    for then in [&first, &newest] {
        assert_eq!(shop.verify_head(then).await.unwrap(), None);
    }
    shop.close().await;
    std::fs::write(&path, older).unwrap();
    let shop = Shop::open(&path).await.unwrap();
    assert_eq!(shop.verify().await.unwrap().faults, [], "the older state is whole in itself");
    let fault = shop.verify_head(&newest).await.unwrap().unwrap();
    assert_eq!(fault.kind, FaultKind::CutOff);
    assert!(fault.to_string().contains("the file ends at event 1, it has held 2"), "{fault}");
    shop.change(COUPON, "C-1", 1, &remark(2), &by).await.unwrap();
    assert!(shop.verify_head(&newest).await.unwrap().is_some(), "another event stands in its place");
}

#[tokio::test]
async fn a_file_of_no_bytes_is_said_and_a_missing_one_is_not_made() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    for open in [Shop::open_existing(&path).await, Shop::open_read_only(&path).await] {
        assert!(matches!(open.unwrap_err(), ShopError::CannotOpen { .. }));
    }
    assert!(!path.exists());
    std::fs::write(&path, "").unwrap();
    for open in [Shop::open_existing(&path).await, Shop::open_read_only(&path).await] {
        let error = open.unwrap_err();
        assert!(error.to_string().contains("is empty: 0 bytes"), "{error}");
    }
}

#[tokio::test]
async fn a_shop_is_checked_and_copied_by_another_program_while_it_is_written() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let shop = Shop::open(&path).await.unwrap();
    let by = By::new("Rosa", 1);
    shop.create_coupon("C-1", &[], &by).await.unwrap();
    let other = Shop::open_read_only(&path).await.unwrap();
    for n in 0..20 {
        shop.change(COUPON, "C-1", n as i64 + 1, &remark(n), &by).await.unwrap();
        assert_eq!(other.verify().await.unwrap(), sound(1, n + 2));
    }
    let copy = dir.path().join("copy.db");
    other.backup(&copy).await.unwrap();
    assert_eq!(audit(&copy).await, sound(1, 21));
    let error = other.change(COUPON, "C-1", 21, &remark(21), &by).await.unwrap_err();
    assert!(matches!(error, ShopError::ReadOnly { .. }), "{error:?}");
}

#[tokio::test]
async fn a_damaged_shop_gives_no_backup() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("shop.db");
    let shop = Shop::open(&path).await.unwrap();
    shop.create_coupon("C-1", &remark(1), &By::new("Rosa", 1)).await.unwrap();
    meddle(&path, "UPDATE current_value SET value = 'other'").await;
    let copy = dir.path().join("copy.db");
    let error = shop.backup(&copy).await.unwrap_err();
    assert!(matches!(error, ShopError::BackupUnsound { .. }), "{error:?}");
    assert!(error.to_string().contains("coupon C-1: log.1.remark reads \"other\""), "{error}");
    let left: Vec<_> = std::fs::read_dir(dir.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(left.iter().all(|name| !name.to_str().unwrap().contains("copy")), "{left:?}");
}

#[cfg(unix)]
#[tokio::test]
async fn a_shops_files_are_for_their_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let dir = tempfile::tempdir().unwrap();
    let mode = |name: &str| std::fs::metadata(dir.path().join(name)).unwrap().permissions().mode() & 0o777;
    let path = dir.path().join("shop.db");
    let shop = Shop::open(&path).await.unwrap();
    shop.create_coupon("C-1", &[], &By::new("Rosa", 1)).await.unwrap();
    shop.backup(dir.path().join("copy.db")).await.unwrap();
    for name in ["shop.db", "shop.db-wal", "shop.db-shm", "copy.db"] {
        assert_eq!(mode(name), 0o600, "{name}");
    }
    shop.close().await;
    for (before, after, changed) in [(0o644, 0o600, true), (0o444, 0o400, true), (0o600, 0o600, false)] {
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(before)).unwrap();
        assert_eq!(bendproof_shop::owner_only(&path).unwrap(), changed);
        assert_eq!(mode("shop.db"), after);
    }
}

#[tokio::test]
async fn a_backup_is_a_whole_shop_and_replaces_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let shop = Shop::open(dir.path().join("shop.db")).await.unwrap();
    let by = By::new("Rosa", 1);
    let document = shop.create_coupon("C-1", &remark(1), &by).await.unwrap();
    let copy = dir.path().join("copy of shop's file.db");
    // What a killed backup leaves behind is in nobody's way.
    std::fs::write(dir.path().join("copy of shop's file.db.part"), "half").unwrap();
    shop.backup(&copy).await.unwrap();
    assert!(!dir.path().join("copy of shop's file.db.part").exists());
    shop.change(COUPON, "C-1", 1, &remark(2), &by).await.unwrap();

    let restored = Shop::open(&copy).await.unwrap();
    assert_eq!(restored.document(COUPON, "C-1").await.unwrap(), document);
    assert_eq!(restored.verify().await.unwrap(), sound(1, 1));
    restored.close().await;

    let before = std::fs::read(&copy).unwrap();
    let error = shop.backup(&copy).await.unwrap_err();
    assert!(matches!(error, ShopError::BackupExists { .. }), "{error:?}");
    assert_eq!(std::fs::read(&copy).unwrap(), before);
    assert!(shop.backup(dir.path().join("missing").join("copy.db")).await.is_err());
    assert_eq!(shop.document(COUPON, "C-1").await.unwrap().version, 2, "the shop still works");
}
