//! A judged coupon: its verdict stamped, and its amendments, each with a reason.
//!
//! What needs a reason is the traveler's to say; here the shop's events are read
//! for it, and a change without one is answered with the question.

use bendproof_bench::desk::*;
use bendproof_files::Document;
use bendproof_shop::{By, Event, EventKind, ShopError, Stamp, Subject};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::judgement::{Stampable, stampable};

use super::words::{day, moment};
use super::{ShopDesk, computing, trouble};

/// A coupon as read, with what became of its verdict.
pub(super) struct Judged {
    pub version: i64,
    pub document: Document,
    pub judgement: Judgement,
    /// The verdict as it would be stamped now.
    pub now: Option<Stampable>,
}

impl Judged {
    /// The word to offer a stamp with: none where the stamp that is there stands.
    pub fn offered(&self) -> Option<String> {
        let stands = self.judgement.stamp.is_some() && self.judgement.doubt(self.now.as_ref()).is_none();
        self.now.as_ref().filter(|_| !stands).map(|now| now.word.clone())
    }

    /// Whether any of these paths, each with its new text, changes and needs a
    /// reason. The text that stands there already changes nothing.
    fn asks_reason<'a>(&self, mut changes: impl Iterator<Item = (&'a str, Option<&'a str>)>) -> bool {
        let is_final = self.now.as_ref().is_some_and(|now| now.is_final);
        changes
            .any(|(path, text)| self.document.get(path) != text && self.judgement.asks_reason(path, is_final))
    }
}

/// The reason to keep with a change, or the question for one.
pub(super) enum Reason {
    Kept(Option<String>),
    Asked(String),
}

impl ShopDesk {
    /// What became of a coupon's verdict.
    pub(super) async fn judgement(&self, number: &str) -> Result<Judgement, Trouble> {
        let events = self.shop.stamps_and_reasons(Subject::Coupon, number).await.map_err(trouble)?;
        if events.is_empty() {
            return Ok(Judgement::default());
        }
        let kept = self.shop.document(Subject::Coupon, number).await.map_err(trouble)?;
        Ok(judgement_of(&events, Stamp::among(&kept.values).as_ref()))
    }

    /// A coupon with what became of its verdict, and the verdict it has now.
    pub(super) async fn judged(&self, number: &str) -> Result<Judged, Trouble> {
        // The document first: an event that comes between makes a later version,
        // and a change made on the earlier one is then a conflict.
        let (version, document) = self.document(number).await?;
        let judgement = self.judgement(number).await?;
        let (document, now) = now_of(document, self.context()).await?;
        Ok(Judged { version, document, judgement, now })
    }

    /// Whether a change made on `version` needs a reason that it lacks. What was
    /// made on another version is the shop's to answer: a conflict, or the same
    /// sent again.
    pub(super) async fn reason<'a>(
        &self,
        number: &str,
        version: i64,
        changes: impl Iterator<Item = (&'a str, Option<&'a str>)>,
        why: &str,
    ) -> Result<Reason, Trouble> {
        let judged = self.judged(number).await?;
        if judged.version != version || !judged.asks_reason(changes) {
            return Ok(Reason::Kept(None));
        }
        match why.trim() {
            "" => Ok(Reason::Asked(question(number, &judged))),
            why => Ok(Reason::Kept(Some(why.to_owned()))),
        }
    }

    /// The question why, with the coupon as it stands.
    pub(super) async fn why_asked(&self, number: &str, message: String) -> Result<Outcome, Trouble> {
        let current = self.opened(number).await?;
        let latest = current.judgement.amended.as_ref().map(|amended| amended.latest_why.clone());
        Ok(Outcome::WhyAsked(Box::new(WhyAsked { message, latest: latest.unwrap_or_default(), current })))
    }

    pub(super) async fn stamped(
        &self,
        number: &str,
        version: u64,
        hand: Hand<'_>,
    ) -> Result<Outcome, Trouble> {
        let version = i64::try_from(version).unwrap_or(i64::MAX);
        let judged = self.judged(number).await?;
        if judged.version == version && judged.offered().is_none() {
            let message = match judged.now {
                Some(_) => "the verdict is stamped already, and nothing was amended since",
                None => "there is no verdict to stamp: see under verdict what is not examined",
            };
            let finding = Finding { path: None, message: message.to_owned() };
            return Ok(Outcome::Refused(vec![finding]));
        }
        let by = by(hand, None, self.saving()?);
        let kept = self.stamp_on(number, version, judged.now.as_ref(), &by).await;
        self.outcome(number, kept).await
    }

    /// Stamps the verdict that a version has. An open one is none; what is sent
    /// on an older version is a conflict whatever the verdict.
    async fn stamp_on(
        &self,
        number: &str,
        version: i64,
        now: Option<&Stampable>,
        by: &By<'_>,
    ) -> Result<bendproof_shop::Document, ShopError> {
        let words = now.map_or(["open", ""], |now| [now.word.as_str(), now.code.as_str()]);
        self.shop.stamp(Subject::Coupon, number, version, words, by).await
    }

    /// Stamps the coupon a record is issued from, where its verdict is given and
    /// no stamp stands. The version the record is of; `None` where the coupon
    /// changed meanwhile.
    pub(super) async fn stamped_for_record(
        &self,
        number: &str,
        version: i64,
        hand: Hand<'_>,
    ) -> Result<Option<i64>, Trouble> {
        let judged = self.judged(number).await?;
        // Its own stamp may stand there already, from a first try.
        let stamp = judged.judgement.stamp.as_ref().and_then(|stamp| i64::try_from(stamp.version).ok());
        let is_own_stamp = judged.version == version + 1 && stamp == Some(version);
        if judged.version != version && !is_own_stamp {
            return Ok(None);
        }
        let version = judged.version;
        if judged.offered().is_none() {
            return Ok(Some(version));
        }
        let by = by(Hand { token: "", ..hand }, None, self.saving()?);
        match self.stamp_on(number, version, judged.now.as_ref(), &by).await {
            Ok(kept) => Ok(Some(kept.version)),
            Err(ShopError::Conflict { .. }) => Ok(None),
            Err(other) => Err(trouble(other)),
        }
    }
}

/// Who, when (ms since 1970) and why of a change, for the shop.
pub(super) fn by<'a>(hand: Hand<'a>, note: Option<&'a str>, at_ms: i64) -> By<'a> {
    let token = Some(hand.token).filter(|token| !token.is_empty());
    By { token, note, ..By::new(hand.who, at_ms) }
}

/// The verdict a document has now, judged away from the threads that answer.
async fn now_of(
    document: Document,
    context: AssessmentContext,
) -> Result<(Document, Option<Stampable>), Trouble> {
    computing(move || {
        let now = stampable(&document, context);
        (document, now)
    })
    .await
}

/// What was amended after a version.
pub(super) fn amended_after(events: &[Event], version: i64) -> Option<Amended> {
    let is_later = |event: &&Event| event.kind != EventKind::Stamp && event.version > version;
    let amendments: Vec<&Event> = events.iter().filter(is_later).collect();
    let (first, last) = (amendments.first()?, amendments.last()?);
    let why = |event: &Event| event.note.clone().unwrap_or_default();
    Some(Amended { since: day(first.at_ms), why: why(first), count: amendments.len(), latest_why: why(last) })
}

/// What the latest stamp and the changes with a reason after it say.
fn judgement_of(events: &[Event], stamp: Option<&Stamp>) -> Judgement {
    let stamped = events.iter().rfind(|event| event.kind == EventKind::Stamp);
    let number = |version: i64| u64::try_from(version).unwrap_or(0);
    Judgement {
        stamp: stamped.zip(stamp).map(|(event, stamp)| Stamped {
            word: stamp.word.clone(),
            code: stamp.code.clone(),
            version: number(stamp.version),
            at: moment(event.at_ms),
            who: event.who.clone(),
        }),
        amended: amended_after(events, stamped.map_or(0, |event| event.version)),
    }
}

/// What stands against a change without a reason, and what to do.
fn question(number: &str, judged: &Judged) -> String {
    let state = match (&judged.judgement.stamp, &judged.judgement.amended, &judged.now) {
        (Some(stamp), ..) => format!("its verdict is stamped “{}”", stamp.word),
        (None, None, Some(now)) => format!("its verdict is “{}”", now.word),
        (None, ..) => "it was judged, and amended since".to_owned(),
    };
    format!(
        "Coupon {number} is judged: {state}. What decided it changes only with a reason. \
         Write why it changes; the old text, the new one and the reason stay in its history."
    )
}

#[cfg(test)]
mod tests {
    use bendproof_shop::{Edit, STAMP_BRANCH, Shop};
    use bendproof_traveler::sheet::Mark;

    use super::*;
    use crate::clock::Standing;
    use crate::fill_with_demo;

    /// An accepted plate of the demonstration shop, and its welder.
    const PLATE: &str = "0310";
    /// What the code of its test says of it; no construction code is named.
    const ACCEPT: &str =
        "accept under ASME IX:2023; no construction code named, cap and undercut not held to any limit";
    const WELDER: &str = "noor-castellan";

    /// A desk over a shop file; the folder goes with it.
    async fn desk() -> (tempfile::TempDir, ShopDesk) {
        let dir = tempfile::tempdir().unwrap();
        let shop = Shop::open(dir.path().join("shop.db")).await.unwrap();
        fill_with_demo(&shop, &*Standing::clock()).await.unwrap();
        (dir, ShopDesk::new(shop, None, Standing::clock()))
    }

    fn hand<'a>(why: &'a str, token: &'a str) -> Hand<'a> {
        Hand { who: "Ida Voss", why, token }
    }

    fn set(pairs: &[(&str, &str)]) -> Vec<Change> {
        let text = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        pairs.iter().map(|(path, value)| ((*path).to_owned(), text(value))).collect()
    }

    async fn version(desk: &ShopDesk, number: &str) -> u64 {
        desk.opened(number).await.unwrap().version
    }

    /// Changes values on the newest version.
    async fn change(desk: &ShopDesk, number: &str, pairs: &[(&str, &str)], why: &str) -> Outcome {
        let version = version(desk, number).await;
        desk.changed(number, version, set(pairs), hand(why, "")).await.unwrap()
    }

    fn saved(outcome: Outcome) -> Opened {
        match outcome {
            Outcome::Saved(opened) => *opened,
            other => panic!("{other:?}"),
        }
    }

    fn asked(outcome: Outcome) -> WhyAsked {
        match outcome {
            Outcome::WhyAsked(asked) => *asked,
            other => panic!("{other:?}"),
        }
    }

    /// What the welder's page says of one coupon.
    async fn held_view(desk: &ShopDesk) -> HeldView {
        let detail = desk.welder_detail(WELDER, None).await.unwrap();
        detail.days.held.into_iter().find(|held| held.coupon == PLATE).unwrap()
    }

    /// A coupon without its stamp, as an older program left it.
    async fn unstamped(desk: &ShopDesk) -> &'static str {
        let (_, document) = desk.document(PLATE).await.unwrap();
        let edits: Vec<Edit> = document
            .values()
            .iter()
            .filter(|(path, _)| !path.starts_with(STAMP_BRANCH))
            .map(|(path, text)| Edit::set(path, text))
            .collect();
        let by = By::new("Greta", desk.clock.now_ms());
        desk.shop.create_coupon("0900", &edits, &by).await.unwrap();
        "0900"
    }

    const TIG: [(&str, &str); 5] = [
        ("settings.process", "GTAW"),
        ("settings.transfer", ""),
        ("settings.gas", ""),
        ("settings.gas_flow", ""),
        ("settings.extension", ""),
    ];

    #[tokio::test]
    async fn a_judged_coupon_changes_with_a_reason_and_its_standing_waits_for_the_stamp() {
        let (_dir, desk) = desk().await;
        let before = held_view(&desk).await;
        assert!(before.mark == Mark::Holds && before.title.contains("GMAW"), "{before:#?}");

        let question = asked(change(&desk, PLATE, &TIG, " ").await);
        assert!(
            question.message.contains(&format!("its verdict is stamped “{ACCEPT}”")),
            "{}",
            question.message
        );
        assert_eq!(question.current.version, 2, "nothing is kept");
        assert_eq!(held_view(&desk).await, before);

        let kept = saved(change(&desk, PLATE, &TIG, "the sheet named the wrong process").await);
        let words = kept.judgement.amended_words().unwrap();
        assert!(words.ends_with(": the sheet named the wrong process"), "{words}");
        assert!(kept.sheet.findings[0].contains(&words) && kept.sheet.doubts[0].contains(&words));
        assert!(kept.sheet.stamp.ends_with("· amended"), "{}", kept.sheet.stamp);
        let history = &kept.history[0].words;
        assert!(history.contains("from GMAW") || history.contains("GTAW"), "{history}");
        assert!(history.ends_with("the sheet named the wrong process"), "{history}");
        let rows = desk.coupon_list(ListAsk::default()).await.unwrap().rows;
        let row = rows.iter().find(|row| row.number == PLATE).unwrap();
        assert_eq!((row.amended.as_ref(), row.mark), (Some(&words), Mark::NotKnown));
        let waiting = held_view(&desk).await;
        assert!(waiting.mark == Mark::NotKnown && waiting.hold.contains(&words), "{waiting:#?}");

        let version = kept.version;
        let stamped = saved(desk.stamped(PLATE, version, hand("", "s")).await.unwrap());
        assert_eq!((stamped.judgement.amended, stamped.stampable), (None, None));
        let after = held_view(&desk).await;
        assert!(after.mark == Mark::Holds && after.title.contains("GTAW"), "{after:#?}");
        // Sent again after a lost answer, it is the same stamp.
        assert_eq!(saved(desk.stamped(PLATE, version, hand("", "s")).await.unwrap()).version, version + 1);
    }

    #[tokio::test]
    async fn no_joint_is_covered_by_a_coupon_amended_since_it_was_judged() {
        let (_dir, desk) = desk().await;
        saved(change(&desk, PLATE, &[("fit.root_opening", "7/64 in")], "the gauge was misread").await);
        let person = desk.shop.document(Subject::Person, WELDER).await.unwrap();
        let held = desk.held_by(&person, desk.clock.today()).await.unwrap();
        let one = held.iter().find(|held| held.number == PLATE).unwrap();
        let doubt = one.doubt.as_ref().unwrap();
        assert!(one.standing.doubts.iter().any(|d| d.message == *doubt));
        assert!(one.summary.starts_with("not sure: "), "{}", one.summary);
        assert_ne!(held[0].number, PLATE, "what is certain comes first");
    }

    #[tokio::test]
    async fn before_the_stamp_examinations_change_freely_and_what_was_welded_does_not() {
        let (_dir, desk) = desk().await;
        let number = unstamped(&desk).await;
        let opened = desk.opened(number).await.unwrap();
        assert_eq!((opened.judgement, opened.stampable.as_deref()), (Judgement::default(), Some(ACCEPT)));
        for path in ["fit.root_opening", "settings.interpass_max", "pass.1.volts", "log.1.volts"] {
            let text = if path.ends_with("volts") { "18.1 V" } else { "7/64 in" };
            let text = if path.ends_with("max") { "300 F" } else { text };
            let question = asked(change(&desk, number, &[(path, text)], "").await);
            assert!(question.message.contains(&format!("its verdict is “{ACCEPT}”")), "{}", question.message);
        }
        saved(change(&desk, number, &[("strap.1.openings.1.length", "1/64 in")], "").await);
        saved(change(&desk, number, &[("code", "aws-d1.1-2020")], "").await);
        let opened = saved(change(&desk, number, &[("welder", "Kofi Marlowe")], "").await);
        let opened = saved(desk.stamped(number, opened.version, hand("", "")).await.unwrap());
        assert!(opened.judgement.stamp.is_some());
        for pair in [
            ("strap.1.openings.1.length", "1/32 in"),
            ("code", "asme-ix-2023"),
            ("welder", "Noor Castellan"),
            ("finished", "2026-01-05"),
            ("visual.undercut", "1/64 in"),
        ] {
            asked(change(&desk, number, &[pair], "").await);
        }
        for pair in [("title", "the north plate"), ("planned", "2025-11-30"), ("price.gas", "12")] {
            saved(change(&desk, number, &[pair], "").await);
        }
        assert_eq!(desk.judgement(number).await.unwrap().amended, None);
    }

    #[tokio::test]
    async fn a_coupon_nobody_stamped_qualifies_nobody_and_its_record_says_so() {
        let (_dir, desk) = desk().await;
        let number = unstamped(&desk).await;
        let head = [("welder", "Zed Quarry"), ("procedure", "W-1"), ("tested_by", "Ida Voss")];
        let opened = saved(change(&desk, number, &head, "").await);
        assert!(opened.sheet.stamp.ends_with("· not stamped yet"), "{}", opened.sheet.stamp);
        assert_eq!(opened.sheet.stamp_mark, Mark::NotKnown);
        assert_eq!(opened.sheet.standing[0].value, "will qualify for, once the verdict is stamped");
        for finding in [&opened.sheet.findings[0], &opened.sheet.doubts[0]] {
            assert!(
                finding.starts_with("accepted, not stamped yet") && finding.contains("operation 70"),
                "{finding}"
            );
        }
        let rows = desk.coupon_list(ListAsk::default()).await.unwrap().rows;
        let row = rows.iter().find(|row| row.number == number).unwrap();
        assert!(row.stamp.ends_with("· not stamped yet") && row.mark == Mark::NotKnown, "{row:?}");

        let zed = NewWelder { name: "Zed Quarry", stamp: "" };
        let Entered::Kept(zed) = desk.welder_added(zed, "Ida Voss").await.unwrap() else { panic!() };
        let welder = desk.welder_detail(&zed, None).await.unwrap();
        let standing = &welder.row.standings[0].standing;
        assert!(standing.starts_with("not stamped yet: "), "{standing}");
        assert_ne!(welder.days.held[0].mark, Mark::Holds);
        assert!(welder.days.held[0].hold.starts_with("accepted, not stamped yet"), "{:?}", welder.days.held);
        assert!(welder.days.lanes.iter().all(|lane| !lane.contains("qualified")), "{:?}", welder.days.lanes);

        let record = async || {
            let judged = desk.judged(number).await.unwrap();
            let issue = bendproof_traveler::issued::Issue::print("today".to_owned());
            let record =
                bendproof_traveler::issued::welder(&judged.document, None, desk.context(), issue).unwrap();
            judged.judgement.on_record(record, judged.now.as_ref())
        };
        let before = record().await;
        assert!(!before.is_complete && before.signatures.is_empty() && before.statement.is_empty());
        assert!(before.open_points[0].starts_with("Not to be signed under"), "{:?}", before.open_points);
        assert!(before.open_points[0].contains("not stamped yet"), "{:?}", before.open_points);
        assert!(desk.welder_record(&zed, None, Paper::Letter).await.unwrap().bytes.starts_with(b"%PDF"));

        let start =
            async |as_number| desk.procedure_created("coupon-0900", as_number, "Ida Voss").await.unwrap();
        let Entered::Refused(why) = start("WP-90").await else { panic!("a procedure behind no verdict") };
        assert!(why[0].message.contains("not stamped yet"), "{why:?}");

        let version = version(&desk, number).await;
        let stamped = saved(desk.stamped(number, version, hand("", "")).await.unwrap());
        assert!(matches!(start("WP-90").await, Entered::Kept(_)));
        assert!(!stamped.sheet.stamp.contains("stamped") && stamped.sheet.stamp_mark == Mark::Holds);
        assert_eq!(desk.welder_detail(&zed, None).await.unwrap().days.held[0].mark, Mark::Holds);
        let complete = record().await;
        assert!(complete.is_complete, "{:?}", complete.open_points);
        // Amended, the record is not to be signed either.
        saved(change(&desk, number, &[("fit.root_opening", "7/64 in")], "misread").await);
        assert!(record().await.open_points[0].contains("amended since"));
    }

    #[tokio::test]
    async fn what_a_record_says_changes_after_the_stamp_only_with_a_reason() {
        let (_dir, desk) = desk().await;
        let (_, document) = desk.document(PLATE).await.unwrap();
        let judgement = desk.judgement(PLATE).await.unwrap();
        let named = ["tested_by", "procedure", "laboratory", "company", "welder_mark", "booth"];
        assert!(named.iter().all(|path| judgement.asks_reason(path, true)));
        let mut free = 0;
        for path in bendproof_files::HEAD.iter().filter(|path| !judgement.asks_reason(path, true)) {
            free += 1;
            let text = if *path == "planned" { "2026-07-13" } else { "zq-7" };
            let mut other = document.clone();
            other.set(path, Some(text));
            let source = super::super::record_source::Source::Coupon(1, other, Vec::new());
            for kind in source.kinds() {
                let first = bendproof_traveler::issued::Issue::first("then".to_owned(), "Ida Voss");
                let record = source.made(*kind, None, desk.context(), first).unwrap();
                let said = bendproof_traveler::issued::file(&record).to_string();
                assert!(!said.contains(text), "{path} stands in the {kind:?} record");
            }
        }
        assert!(free > 0);
        asked(change(&desk, PLATE, &[("tested_by", "Somebody Else")], "").await);
        let kept = saved(change(&desk, PLATE, &[("tested_by", "Somebody Else")], "the wrong name").await);
        assert!(kept.judgement.amended_words().unwrap().ends_with(": the wrong name"));
    }

    #[tokio::test]
    async fn the_same_value_again_asks_no_reason_and_keeps_no_event() {
        let (_dir, desk) = desk().await;
        let (_, document) = desk.document(PLATE).await.unwrap();
        let before = version(&desk, PLATE).await;
        let same = document.get("fit.root_opening").unwrap().to_owned();
        let kept = saved(change(&desk, PLATE, &[("fit.root_opening", &format!(" {same} "))], "").await);
        assert_eq!((kept.version, kept.judgement.amended), (before, None));
        let both = [("fit.root_opening", same.as_str()), ("fit.root_face", "1/32 in")];
        asked(change(&desk, PLATE, &both, "").await);
    }

    #[tokio::test]
    async fn taking_back_an_amendment_is_an_amendment() {
        let (_dir, desk) = desk().await;
        let kept = saved(change(&desk, PLATE, &[("fit.root_opening", "7/64 in")], "misread").await);
        asked(desk.undone(PLATE, kept.version, hand("", "")).await.unwrap());
        let back = saved(desk.undone(PLATE, kept.version, hand("it was right", "")).await.unwrap());
        let amended = back.judgement.amended.clone().unwrap();
        assert_eq!((amended.count, amended.latest_why.as_str()), (2, "it was right"));
        // Taking back what needs no reason needs none.
        let titled = saved(change(&desk, PLATE, &[("title", "x")], "").await);
        saved(desk.undone(PLATE, titled.version, hand("", "")).await.unwrap());
    }

    #[tokio::test]
    async fn a_row_of_a_judged_coupon_is_asked_for_too() {
        let (_dir, desk) = desk().await;
        let version = version(&desk, PLATE).await;
        let row = |why| desk.row(PLATE, version, RowKind::Pass, RowAction::Remove(1), hand(why, "r"));
        asked(row("").await.unwrap());
        saved(row("there was no such pass").await.unwrap());
    }

    #[tokio::test]
    async fn a_stale_version_is_a_conflict_with_a_reason_or_without() {
        let (_dir, desk) = desk().await;
        let version = version(&desk, PLATE).await;
        let edit = || set(&[("fit.root_opening", "7/64 in")]);
        saved(desk.changed(PLATE, version, edit(), hand("misread", "t")).await.unwrap());
        // Sent again after a lost answer, with the same token, it is the same.
        saved(desk.changed(PLATE, version, edit(), hand("misread", "t")).await.unwrap());
        for why in ["", "misread"] {
            let outcome = desk.changed(PLATE, version, set(&[("fit.root_face", "1/32 in")]), hand(why, "u"));
            assert!(matches!(outcome.await.unwrap(), Outcome::Conflict(_)), "{why}");
        }
        let outcome = desk.stamped(PLATE, version, hand("", "")).await.unwrap();
        assert!(matches!(outcome, Outcome::Conflict(_)), "{outcome:?}");
        assert_eq!(desk.judgement(PLATE).await.unwrap().amended.unwrap().count, 1);
    }

    #[tokio::test]
    async fn an_open_verdict_and_one_that_stands_are_not_stamped() {
        let (_dir, desk) = desk().await;
        for (number, why) in [("0318", "no verdict to stamp"), (PLATE, "stamped already")] {
            let version = version(&desk, number).await;
            match desk.stamped(number, version, hand("", "")).await.unwrap() {
                Outcome::Refused(findings) => assert!(findings[0].message.contains(why), "{findings:?}"),
                other => panic!("{other:?}"),
            }
        }
    }

    #[tokio::test]
    async fn a_record_stamps_its_coupon_and_says_that_it_was_amended_since() {
        let (_dir, desk) = desk().await;
        let number = unstamped(&desk).await;
        let ask = |why: &'static str, token: &'static str| IssueAsk {
            of: RecordOf::Coupon,
            number,
            kind: "bends",
            code: "",
            why,
            who: "Ida Voss",
            token,
        };
        desk.record_issued(ask("", "1")).await.unwrap();
        let stamp = desk.judgement(number).await.unwrap().stamp.unwrap();
        assert_eq!((stamp.word.as_str(), stamp.who.as_str(), stamp.version), (ACCEPT, "Ida Voss", 1));
        let amended = async || -> Vec<Option<String>> {
            let view = desk.records_of(RecordOf::Coupon, number).await.unwrap();
            view.issued.into_iter().map(|row| row.amended).collect()
        };
        assert_eq!(amended().await, [None]);
        saved(change(&desk, number, &[("strap.1.openings.1.length", "1/64 in")], "misread").await);
        assert!(amended().await[0].as_ref().unwrap().ends_with(": misread"));
        // Issued again it is stamped again; the issue before stays what it was.
        let Entered::Kept(_) = desk.record_issued(ask("misread", "2")).await.unwrap() else { panic!() };
        assert_eq!(desk.judgement(number).await.unwrap().amended, None);
        let now = amended().await;
        assert!(now[0].is_none() && now[1].is_some(), "{now:?}");
    }

    #[tokio::test]
    async fn the_demonstration_shop_stamps_what_is_finished() {
        let (_dir, desk) = desk().await;
        for (number, word) in [(PLATE, Some(ACCEPT)), ("0304", Some("reject")), ("0318", None)] {
            let judgement = desk.judgement(number).await.unwrap();
            assert_eq!(judgement.stamp.as_ref().map(|stamp| stamp.word.as_str()), word, "{number}");
            let sheet = desk.opened(number).await.unwrap().sheet;
            assert!(!sheet.stamp.contains("amended"), "{}", sheet.stamp);
        }
    }
}
