//! What documents do: versions, conflicts, undo, tokens, limits, lists.

use std::collections::BTreeMap;

use bendproof_shop::{
    By, CHANGES_PER_EVENT_MAX, Edit, EventKind, PATHS_PER_DOCUMENT_MAX, PATHS_PER_QUERY_MAX, Shop, ShopError,
    Stamp, Subject, VALUE_BYTES_MAX, disjoint,
};

const COUPON: Subject = Subject::Coupon;

async fn shop_with_coupon() -> Shop {
    let shop = Shop::open_in_memory().await.unwrap();
    let edits = [Edit::set("title", "3G plate"), Edit::set("fit.root_opening", "1/8 in")];
    shop.create_coupon("C-1", &edits, &By::new("Rosa", 100)).await.unwrap();
    shop
}

fn values(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs.iter().map(|(path, value)| ((*path).to_owned(), (*value).to_owned())).collect()
}

#[tokio::test]
async fn a_change_records_what_was_before_and_who_and_when() {
    let shop = shop_with_coupon().await;
    let edits = [
        Edit::set("fit.root_opening", "3/32 in"),
        Edit::set("title", "3G plate"),
        Edit::set("welder", "W-7"),
    ];
    let by = By::new("Ana", 200).note("measured again");
    let document = shop.change(COUPON, "C-1", 1, &edits, &by).await.unwrap();
    assert_eq!(document.version, 2);
    assert_eq!((document.created_by.as_str(), document.created_at_ms), ("Rosa", 100));
    assert_eq!((document.changed_by.as_str(), document.changed_at_ms), ("Ana", 200));
    assert_eq!(shop.document(COUPON, "C-1").await.unwrap(), document);

    let history = shop.history(COUPON, "C-1").await.unwrap();
    assert_eq!(history.len(), 2);
    let event = &history[1];
    assert_eq!((event.seq, event.version, event.kind), (2, 2, EventKind::Change));
    assert_eq!(event.note.as_deref(), Some("measured again"));
    let changes: Vec<_> =
        event.changes.iter().map(|c| (c.path.as_str(), c.before.as_deref(), c.after.as_deref())).collect();
    let wanted = [("fit.root_opening", Some("1/8 in"), Some("3/32 in")), ("welder", None, Some("W-7"))];
    assert_eq!(changes, wanted, "the title kept its value and is not listed");
}

#[tokio::test]
async fn document_at_reads_every_version() {
    let shop = shop_with_coupon().await;
    shop.change(COUPON, "C-1", 1, &[Edit::clear("title")], &By::new("Ana", 200)).await.unwrap();
    let first = shop.document_at(COUPON, "C-1", 1).await.unwrap();
    assert_eq!(first.values, values(&[("fit.root_opening", "1/8 in"), ("title", "3G plate")]));
    assert_eq!(first.changed_by, "Rosa");
    assert_eq!(
        shop.document_at(COUPON, "C-1", 2).await.unwrap(),
        shop.document(COUPON, "C-1").await.unwrap()
    );
    for version in [0, 3, -1, i64::MAX] {
        let error = shop.document_at(COUPON, "C-1", version).await.unwrap_err();
        assert!(matches!(error, ShopError::UnknownVersion { newest: 2, .. }), "{error}");
    }
    let error = shop.document_at(COUPON, "C-2", 1).await.unwrap_err();
    assert!(matches!(error, ShopError::NotFound { .. }), "{error}");
}

#[tokio::test]
async fn a_stale_change_is_a_conflict_that_tells_who_changed_what() {
    let shop = shop_with_coupon().await;
    shop.change(COUPON, "C-1", 1, &[Edit::set("title", "new")], &By::new("Ana", 200)).await.unwrap();
    shop.change(COUPON, "C-1", 2, &[Edit::set("welder", "W-7")], &By::new("Lee", 300)).await.unwrap();
    let mine = [Edit::set("fit.root_opening", "4 mm")];
    let error = shop.change(COUPON, "C-1", 1, &mine, &By::new("Rosa", 400)).await.unwrap_err();
    let message = error.to_string();
    assert!(
        message.contains("Ana (version 2), Lee (version 3)") && message.contains("save again on version 3")
    );
    let ShopError::Conflict { current, ours, since } = error else { panic!("{error}") };
    assert_eq!((current.version, ours), (3, 1));
    assert_eq!(since.iter().map(|event| event.version).collect::<Vec<_>>(), [2, 3]);
    assert!(disjoint(&mine, &since));
    assert!(!disjoint(&[Edit::set("title", "other")], &since));
    let rebased = shop.change(COUPON, "C-1", current.version, &mine, &By::new("Rosa", 400)).await.unwrap();
    assert_eq!(rebased.version, 4);

    for version in [0, -5, 9] {
        let error = shop.change(COUPON, "C-1", version, &mine, &By::new("Rosa", 400)).await.unwrap_err();
        assert!(matches!(error, ShopError::UnknownVersion { newest: 4, .. }), "{error}");
    }
    let error = shop.undo(COUPON, "C-1", 2, &By::new("Rosa", 400)).await.unwrap_err();
    assert!(matches!(error, ShopError::Conflict { ours: 2, .. }), "{error}");
}

#[tokio::test]
async fn undo_walks_back_and_redo_forward_until_a_new_change() {
    let shop = shop_with_coupon().await;
    let by = By::new("Rosa", 1);
    let title = |text: &str| [Edit::set("title", text)];
    shop.change(COUPON, "C-1", 1, &title("two"), &by).await.unwrap();
    shop.change(COUPON, "C-1", 2, &title("three"), &by).await.unwrap();
    assert_eq!(shop.undo(COUPON, "C-1", 3, &by).await.unwrap().values["title"], "two");
    assert_eq!(shop.undo(COUPON, "C-1", 4, &by).await.unwrap().values["title"], "3G plate");
    let error = shop.undo(COUPON, "C-1", 5, &by).await.unwrap_err();
    assert!(matches!(error, ShopError::NothingToUndo { .. }), "{error}");
    assert_eq!(shop.redo(COUPON, "C-1", 5, &by).await.unwrap().values["title"], "two");
    shop.change(COUPON, "C-1", 6, &title("seven"), &by).await.unwrap();
    let error = shop.redo(COUPON, "C-1", 7, &by).await.unwrap_err();
    assert!(matches!(error, ShopError::NothingToRedo { .. }), "{error}");
    assert_eq!(shop.undo(COUPON, "C-1", 7, &by).await.unwrap().values["title"], "two");
    assert_eq!(shop.undo(COUPON, "C-1", 8, &by).await.unwrap().values["title"], "3G plate");
    let reverses: Vec<_> =
        shop.history(COUPON, "C-1").await.unwrap().iter().map(|event| event.reverses).collect();
    let wanted = [None, None, None, Some(3), Some(2), Some(2), None, Some(7), Some(2)];
    assert_eq!(reverses, wanted);
    assert_eq!(shop.verify().await.unwrap().faults, []);
}

#[tokio::test]
async fn undo_brings_removed_paths_back_and_takes_added_ones_away() {
    let shop = shop_with_coupon().await;
    let by = By::new("Rosa", 1);
    let before = shop.document(COUPON, "C-1").await.unwrap().values;
    let edits = [Edit::clear("title"), Edit::set("pass.1.volts", "17.5 V")];
    let after = shop.change(COUPON, "C-1", 1, &edits, &by).await.unwrap().values;
    assert_eq!(shop.undo(COUPON, "C-1", 2, &by).await.unwrap().values, before);
    assert_eq!(shop.redo(COUPON, "C-1", 3, &by).await.unwrap().values, after);
}

#[tokio::test]
async fn a_repeated_token_returns_the_first_result() {
    let shop = shop_with_coupon().await;
    let by = By::new("Ana", 200).token("t-1");
    let edits = [Edit::set("welder", "W-7"), Edit::set("title", "3G plate")];
    let first = shop.change(COUPON, "C-1", 1, &edits, &by).await.unwrap();
    shop.change(COUPON, "C-1", 2, &[Edit::set("welder", "W-8")], &By::new("Lee", 300)).await.unwrap();
    // Neither the version nor the clock of the repetition matters.
    for (version, at_ms) in [(1, 200), (3, 900)] {
        let again = By::new("Ana", at_ms).token("t-1");
        assert_eq!(shop.change(COUPON, "C-1", version, &edits, &again).await.unwrap(), first);
    }
    assert_eq!(shop.history(COUPON, "C-1").await.unwrap().len(), 3);

    let others = [vec![Edit::set("welder", "W-9")], edits[1..].to_vec(), vec![]];
    for other in others {
        let error = shop.change(COUPON, "C-1", 3, &other, &by).await.unwrap_err();
        assert!(matches!(error, ShopError::TokenReused { version: 2, .. }), "{other:?}: {error}");
    }
    let error = shop.undo(COUPON, "C-1", 3, &by).await.unwrap_err();
    assert!(matches!(error, ShopError::TokenReused { .. }), "{error}");
    // Tokens belong to one document.
    shop.create_coupon("C-2", &[], &by).await.unwrap();
}

#[tokio::test]
async fn creation_and_undo_are_repeatable_too() {
    let shop = shop_with_coupon().await;
    let edits = [Edit::set("name", "Rosa")];
    let created = shop.create_person("W-7", &edits, &By::new("Lee", 1).token("c")).await.unwrap();
    assert_eq!(shop.create_person("W-7", &edits, &By::new("Lee", 2).token("c")).await.unwrap(), created);
    let error = shop.create_person("W-7", &edits, &By::new("Lee", 2).token("d")).await.unwrap_err();
    assert!(matches!(error, ShopError::AlreadyExists { .. }), "{error}");

    shop.change(Subject::Person, "W-7", 1, &[Edit::set("stamp", "R7")], &By::new("Lee", 3)).await.unwrap();
    let undo = By::new("Lee", 4).token("u");
    let undone = shop.undo(Subject::Person, "W-7", 2, &undo).await.unwrap();
    assert_eq!(shop.undo(Subject::Person, "W-7", 2, &undo).await.unwrap(), undone);
    assert_eq!(undone.version, 3);
}

#[tokio::test]
async fn a_change_of_nothing_adds_no_event() {
    let shop = shop_with_coupon().await;
    let edits = [Edit::set("title", "3G plate"), Edit::clear("welder")];
    let same = shop.change(COUPON, "C-1", 1, &edits, &By::new("Ana", 200)).await.unwrap();
    assert_eq!((same.version, same.changed_by.as_str()), (1, "Rosa"));
}

#[tokio::test]
async fn refused_requests_write_nothing() {
    let shop = shop_with_coupon().await;
    let by = By::new("Ana", 200);
    let long = "x".repeat(VALUE_BYTES_MAX + 1);
    let many: Vec<Edit> = (0..=CHANGES_PER_EVENT_MAX).map(|n| Edit::set(&format!("p.{n}"), "x")).collect();
    let refused: [&[Edit]; 4] =
        [&[Edit::set("title", &long)], &[Edit::set("a b", "x")], &[Edit::set("title", "a\0")], &many];
    for edits in refused {
        let error = shop.change(COUPON, "C-1", 1, edits, &by).await.unwrap_err();
        assert!(matches!(error, ShopError::OutOfRange { .. }), "{error}");
    }
    let twice = [Edit::set("title", "a"), Edit::clear("title")];
    let error = shop.change(COUPON, "C-1", 1, &twice, &by).await.unwrap_err();
    assert!(matches!(error, ShopError::DuplicatePath { .. }), "{error}");
    let error = shop.change(COUPON, "C-9", 1, &[], &by).await.unwrap_err();
    assert!(error.to_string().contains("no coupon \"C-9\" in this shop"), "{error}");
    assert_eq!(shop.history(COUPON, "C-1").await.unwrap().len(), 1);
}

#[tokio::test]
async fn a_document_fills_up_to_its_limit_and_no_further() {
    let shop = Shop::open_in_memory().await.unwrap();
    let by = By::new("Ana", 1);
    let part = |from: usize| -> Vec<Edit> {
        (from..from + CHANGES_PER_EVENT_MAX).map(|n| Edit::set(&format!("p.{n}"), "x")).collect()
    };
    let mut version = shop.create_coupon("C-1", &[], &by).await.unwrap().version;
    for from in (0..PATHS_PER_DOCUMENT_MAX).step_by(CHANGES_PER_EVENT_MAX) {
        version = shop.change(COUPON, "C-1", version, &part(from), &by).await.unwrap().version;
    }
    let one_more = [Edit::set("one.more", "x")];
    let error = shop.change(COUPON, "C-1", version, &one_more, &by).await.unwrap_err();
    assert!(error.to_string().contains("paths in one document is 4097, allowed: at most 4096"), "{error}");
    let swapped = [Edit::set("one.more", "x"), Edit::clear("p.0")];
    let full = shop.change(COUPON, "C-1", version, &swapped, &by).await.unwrap();
    assert_eq!(full.values.len(), PATHS_PER_DOCUMENT_MAX);
}

#[tokio::test]
async fn coupons_and_persons_are_apart() {
    let shop = shop_with_coupon().await;
    shop.create_person("C-1", &[Edit::set("name", "Rosa")], &By::new("Lee", 1)).await.unwrap();
    let used = [Edit::set("used.2026-09-14", "GMAW-S 3G practice plate")];
    let person = shop.change(Subject::Person, "C-1", 1, &used, &By::new("Lee", 2)).await.unwrap();
    assert_eq!(person.values.len(), 2);
    assert_eq!(shop.document(COUPON, "C-1").await.unwrap().version, 1);
    assert_eq!(shop.list(Subject::Person, &[]).await.unwrap().len(), 1);
}

#[tokio::test]
async fn lists_show_the_asked_values_latest_first() {
    let shop = shop_with_coupon().await;
    let strap =
        [Edit::set("strap.R1.kind", "root"), Edit::set("strapping", "no"), Edit::set("title", "pipe")];
    shop.create_coupon("C-2", &strap, &By::new("Ana", 500)).await.unwrap();
    shop.create_coupon("C-3", &[], &By::new("Ana", 50)).await.unwrap();
    let list = shop.list(COUPON, &["title", "strap.*"]).await.unwrap();
    assert_eq!(list.iter().map(|line| line.id.as_str()).collect::<Vec<_>>(), ["C-2", "C-1", "C-3"]);
    assert_eq!(list[0].values, values(&[("strap.R1.kind", "root"), ("title", "pipe")]));
    assert_eq!(list[1].values, values(&[("title", "3G plate")]));
    assert_eq!((list[0].version, list[0].changed_at_ms, list[0].changed_by.as_str()), (1, 500, "Ana"));

    assert!(shop.list(COUPON, &["x'; DROP TABLE event; --"]).await.is_err());
    let most = vec!["title"; PATHS_PER_QUERY_MAX + 1];
    assert!(shop.list(COUPON, &most).await.is_err());
    assert_eq!(shop.list(COUPON, &most[1..]).await.unwrap().len(), 3);
}

#[tokio::test]
async fn coupons_are_read_whole_and_in_parts() {
    let shop = shop_with_coupon().await;
    let odd = "a \"quoted\" line,\n\u{7}, 3/32\u{2033} and \u{1f525}";
    shop.create_coupon("C-2", &[Edit::set("title", odd)], &By::new("Ana", 500)).await.unwrap();
    shop.create_coupon("C-3", &[], &By::new("Ana", 50)).await.unwrap();
    shop.create_person("C-4", &[Edit::set("name", "Ana")], &By::new("Ana", 60)).await.unwrap();
    let mut wanted = Vec::new();
    for id in ["C-1", "C-2", "C-3"] {
        wanted.push(shop.document(COUPON, id).await.unwrap());
    }
    assert_eq!(wanted[1].values, values(&[("title", odd)]));
    assert!(wanted[2].values.is_empty());
    for at_most in 1..=4_u32 {
        let mut parts = Vec::new();
        loop {
            let last = parts.last().map_or("", |document: &bendproof_shop::Document| document.id.as_str());
            let part = shop.coupons_after(last, at_most).await.unwrap();
            if part.is_empty() {
                break;
            }
            assert!(part.len() <= at_most as usize);
            parts.extend(part);
        }
        assert_eq!(parts, wanted, "{at_most} at a time");
    }
}

#[tokio::test]
async fn coupon_numbers_count_up() {
    let shop = Shop::open_in_memory().await.unwrap();
    for wanted in 1..=3 {
        assert_eq!(shop.next_number().await.unwrap(), wanted);
    }
}

#[tokio::test]
async fn numbers_given_by_hand_are_counted() {
    let shop = Shop::open_in_memory().await.unwrap();
    let by = By::new("Rosa", 1);
    for id in ["0318", "0007", "C-900", "20261125001"] {
        shop.create_coupon(id, &[], &by).await.unwrap();
    }
    assert_eq!(shop.next_number().await.unwrap(), 319);
}

#[tokio::test]
async fn every_call_can_run_on_another_thread() {
    let dir = tempfile::tempdir().unwrap();
    let shop = Shop::open(dir.path().join("shop.db")).await.unwrap();
    let copy = dir.path().join("copy.db");
    let work = async move {
        let by = By::new("Ana", 1);
        shop.create_coupon("C-1", &[Edit::set("title", "3G plate")], &by).await?;
        shop.change(COUPON, "C-1", 1, &[Edit::clear("title")], &by).await?;
        shop.undo(COUPON, "C-1", 2, &by).await?;
        shop.redo(COUPON, "C-1", 3, &by).await?;
        shop.list(COUPON, &["title"]).await?;
        shop.coupons_after("", 100).await?;
        shop.history_since(COUPON, "C-1", 1).await?;
        shop.document_at(COUPON, "C-1", 1).await?;
        shop.backup(&copy).await?;
        shop.verify().await
    };
    assert_eq!(tokio::spawn(work).await.unwrap().unwrap().events, 4);
}

#[tokio::test]
async fn the_end_of_a_history_is_read_alone() {
    let shop = shop_with_coupon().await;
    let by = By::new("Rosa", 1);
    for version in 1..40_i64 {
        let title = [Edit::set("title", &version.to_string())];
        shop.change(COUPON, "C-1", version, &title, &by).await.unwrap();
    }
    let versions = |events: Vec<bendproof_shop::Event>| events.iter().map(|e| e.version).collect::<Vec<_>>();
    assert_eq!(versions(shop.latest(COUPON, "C-1", 3).await.unwrap()), [38, 39, 40]);
    assert_eq!(versions(shop.latest(COUPON, "C-1", 99).await.unwrap()), (1..=40).collect::<Vec<_>>());
    assert_eq!(
        shop.latest(COUPON, "C-1", 2).await.unwrap(),
        shop.history(COUPON, "C-1").await.unwrap()[38..]
    );
    assert!(matches!(shop.latest(COUPON, "C-2", 3).await.unwrap_err(), ShopError::NotFound { .. }));
    assert!(!shop.can_undo(COUPON, "C-2").await.unwrap());
}

#[tokio::test]
async fn what_was_sent_and_made_is_found_by_its_token() {
    let shop = shop_with_coupon().await;
    shop.create_coupon("C-2", &[], &By::new("Ana", 1).token("made")).await.unwrap();
    let edit = [Edit::set("title", "x")];
    shop.change(COUPON, "C-1", 1, &edit, &By::new("Ana", 1).token("changed")).await.unwrap();
    assert_eq!(shop.created_with(COUPON, "made").await.unwrap().as_deref(), Some("C-2"));
    assert_eq!(shop.created_with(COUPON, "changed").await.unwrap(), None, "it made nothing");
    assert_eq!(shop.created_with(Subject::Person, "made").await.unwrap(), None);
    assert!(shop.was_sent(COUPON, "C-1", "changed").await.unwrap());
    assert!(!shop.was_sent(COUPON, "C-1", "made").await.unwrap());
}

#[tokio::test]
async fn only_documents_touched_since_are_named_each_once() {
    let shop = shop_with_coupon().await;
    let by = By::new("Rosa", 1);
    let (head, touched) = shop.touched_since(0).await.unwrap();
    assert_eq!(touched, [(COUPON, "C-1".to_owned())]);
    assert_eq!(shop.touched_since(head).await.unwrap(), (head, Vec::new()));
    shop.create_person("ana", &[Edit::set("name", "Ana")], &by).await.unwrap();
    for version in 1..3 {
        let title = [Edit::set("title", &version.to_string())];
        shop.change(Subject::Person, "ana", version, &title, &by).await.unwrap();
    }
    assert_eq!(
        shop.touched_since(head).await.unwrap(),
        (head + 3, vec![(Subject::Person, "ana".to_owned())])
    );
}

#[tokio::test]
async fn a_stamp_is_kept_with_its_word_and_undo_walks_past_it() {
    let shop = shop_with_coupon().await;
    let by = By::new("Ida", 500);
    let edit = [Edit::set("title", "two")];
    shop.change(COUPON, "C-1", 1, &edit, &By::new("Rosa", 400)).await.unwrap();
    assert_eq!(shop.stamps_and_reasons(COUPON, "C-1").await.unwrap(), []);
    let error = shop.stamp(COUPON, "C-1", 1, ["accept", "code-1"], &by).await.unwrap_err();
    assert!(matches!(error, ShopError::Conflict { ours: 1, .. }), "{error}");
    let sent = by.token("s-1");
    let stamped = shop.stamp(COUPON, "C-1", 2, ["accept", "code-1"], &sent).await.unwrap();
    let wanted = Stamp { word: "accept".into(), code: "code-1".into(), version: 2 };
    assert_eq!((stamped.version, Stamp::among(&stamped.values)), (3, Some(wanted)));
    // Sent again after a lost answer, it is the same stamp.
    assert_eq!(shop.stamp(COUPON, "C-1", 3, ["accept", "code-1"], &sent).await.unwrap(), stamped);
    let event = shop.stamps_and_reasons(COUPON, "C-1").await.unwrap().remove(0);
    assert_eq!((event.kind, event.version, event.who.as_str()), (EventKind::Stamp, 3, "Ida"));
    // The same word on a later version is a stamp of its own.
    assert_eq!(shop.stamp(COUPON, "C-1", 3, ["accept", "code-1"], &by).await.unwrap().version, 4);
    assert_eq!(shop.next_undo(COUPON, "C-1").await.unwrap().unwrap().version, 2);
    let undone = shop.undo(COUPON, "C-1", 4, &by).await.unwrap();
    assert_eq!(undone.values["title"], "3G plate");
    assert_eq!(Stamp::among(&undone.values).unwrap().version, 3, "the stamp stays");
    assert_eq!(shop.verify().await.unwrap().faults, []);
}

#[tokio::test]
async fn stamps_and_changes_with_a_reason_are_found_in_their_order() {
    let shop = shop_with_coupon().await;
    let title = |text: &str| [Edit::set("title", text)];
    let by = By::new("Ida", 500);
    shop.change(COUPON, "C-1", 1, &title("a"), &by.note("first")).await.unwrap();
    shop.change(COUPON, "C-1", 2, &title("b"), &by).await.unwrap();
    let answer = async || -> Vec<(EventKind, Option<String>)> {
        let events = shop.stamps_and_reasons(COUPON, "C-1").await.unwrap();
        events.into_iter().map(|event| (event.kind, event.note)).collect()
    };
    assert_eq!(answer().await, [(EventKind::Change, Some("first".to_owned()))]);
    shop.stamp(COUPON, "C-1", 3, ["accept", "c"], &by).await.unwrap();
    shop.change(COUPON, "C-1", 4, &title("c"), &by).await.unwrap();
    shop.change(COUPON, "C-1", 5, &title("d"), &by.note("second")).await.unwrap();
    shop.undo(COUPON, "C-1", 6, &by.note("third")).await.unwrap();
    let noted = |kind, note: &str| (kind, Some(note.to_owned()));
    let wanted = [
        noted(EventKind::Change, "first"),
        (EventKind::Stamp, None),
        noted(EventKind::Change, "second"),
        noted(EventKind::Undo, "third"),
    ];
    assert_eq!(answer().await, wanted);
}

#[tokio::test]
async fn nothing_but_a_stamp_writes_a_stamp() {
    let shop = shop_with_coupon().await;
    let by = By::new("Ida", 500);
    for edit in [Edit::set("stamp.word", "accept"), Edit::clear("stamp.word")] {
        let edits = [edit];
        let error = shop.change(COUPON, "C-1", 1, &edits, &by).await.unwrap_err();
        assert!(error.to_string().contains("a stamp alone writes"), "{error}");
        assert!(shop.create_coupon("C-9", &edits, &by).await.is_err());
    }
    // The mark of a welder is called a stamp too, and is no branch.
    shop.create_person("W-9", &[Edit::set("stamp", "R7")], &by).await.unwrap();
}
