//! A welder as known on a day, and a joint asked about: the time line, what each
//! accepted coupon is worth, and the answer code by code.

use std::collections::BTreeMap;

use bendproof_bench::desk::*;
use bendproof_codes::catalogue::Code;
use bendproof_codes::held::{CoverAnswer, CoverReason};
use bendproof_codes::words::Hold;
use bendproof_files::{Document, RECORD, Spec, What};
use bendproof_shop::Subject;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::sheet::AheadLine;
use bendproof_traveler::sheet::Mark;
use bendproof_traveler::welder::{
    HeldAnswer, HeldUnder, LifeAdvice, Qualification, ask_held, lanes, life_advice, timeline_svg,
    timeline_words,
};
use jiff::civil::Date;

use super::lists::{name_of, read_calendar_day};
use super::{ShopDesk, computing, trouble};
use bendproof_contract as contract;

/// The branch of a record file that the form fills.
const ASK: &str = "ask.#.";
/// Fields of it that the form leaves out: the day has a box of its own.
const LEFT_OUT: [&str; 1] = ["day"];
/// Name of the box for the day.
const DAY: &str = "on";

/// The day asked about, or today with what is wrong.
pub(super) fn asked_day(typed: Option<&str>, today: Date) -> (Date, Option<String>) {
    match typed.map(read_calendar_day) {
        None => (today, None),
        Some(Ok(day)) => (day, None),
        Some(Err(message)) => (today, Some(message)),
    }
}

/// What a welder holds as known on a day, seen from today.
pub(super) fn welder_days(
    held: &[Qualification],
    [on, today]: [Date; 2],
    typed: Option<&str>,
    error: Option<String>,
) -> WelderDays {
    let lanes = lanes(held, on);
    WelderDays {
        on: on.to_string(),
        today: today.to_string(),
        typed: typed.unwrap_or_default().to_owned(),
        error,
        chart: if lanes.is_empty() { String::new() } else { timeline_svg(&lanes, today, on, Look::Screen) },
        lanes: timeline_words(&lanes, today),
        held: held.iter().map(held_view).collect(),
        life: life_advice(held).iter().map(life_view).collect(),
    }
}

fn held_view(held: &Qualification) -> HeldView {
    let transfer = held.test.transfer.map(|t| format!(" {t}")).unwrap_or_default();
    let (mark, hold) = hold_words(held);
    HeldView {
        coupon: held.number.clone(),
        code: held.code.id.clone(),
        title: format!("{}, {}{transfer}", held.code.short, held.test.process),
        mark,
        hold,
        lines: held.lines.clone(),
    }
}

/// Whether it is held on the day, as a sign and in words.
fn hold_words(held: &Qualification) -> (Mark, String) {
    let mark = match held.standing.hold {
        Some(Hold::Held) => Mark::Holds,
        Some(Hold::Lapsed | Hold::NotYet | Hold::Nothing) => Mark::Fails,
        Some(Hold::NotKnown) | None => Mark::NotKnown,
    };
    let words = match &held.doubt {
        Some(doubt) if mark == Mark::NotKnown => doubt.clone(),
        _ => held.lasting(),
    };
    (mark, words)
}

fn life_view(life: &LifeAdvice) -> LifeView {
    let events = life.events.iter().map(|(words, lines)| ((*words).to_owned(), lines.clone()));
    LifeView { title: life.code.full_title(), events: events.collect() }
}

impl ShopDesk {
    pub(super) async fn joint_asked(&self, id: &str, ask: JointAsk) -> Result<JointAskView, Trouble> {
        let person = self.shop.document(Subject::Person, id).await.map_err(trouble)?;
        let typed = (!ask.on.is_empty()).then_some(ask.on.as_str());
        let today = self.clock.today();
        let (on, wrong) = asked_day(typed, today);
        let held = self.held_by(&person, on).await?;
        let texts: BTreeMap<String, String> = ask.boxes.iter().cloned().collect();
        let mut view = JointAskView {
            name: name_of(&person).to_owned(),
            boxes: RECORD.specs.iter().filter_map(|spec| one_box(spec, &texts)).collect(),
            on: typed.map_or_else(|| on.to_string(), str::to_owned),
            findings: Vec::new(),
            answer: None,
            data: serde_json::json!({ "findings": [] }),
        };
        if !ask.is_asked {
            return Ok(view);
        }
        view.findings.extend(wrong.map(|message| Finding { path: Some(DAY.to_owned()), message }));
        let read = computing(move || ask_held(&Document::from_values(texts), &held, Some(today))).await?;
        match read {
            Ok(answer) if view.findings.is_empty() => {
                let mut data = contract::held(&answer);
                data["welder"] = view.name.clone().into();
                data["on"] = on.to_string().into();
                view.data = data;
                view.answer = Some(joint_answer(&answer));
            }
            Ok(_) => view.data = serde_json::json!({ "findings": view.findings }),
            Err(findings) => {
                view.findings
                    .extend(findings.into_iter().map(|f| Finding { path: Some(f.path), message: f.message }));
                view.data = serde_json::json!({ "findings": view.findings });
            }
        }
        Ok(view)
    }
}

fn one_box(spec: &Spec, texts: &BTreeMap<String, String>) -> Option<FinderBox> {
    let name = spec.path.strip_prefix(ASK).filter(|name| !LEFT_OUT.contains(name))?;
    let path = format!("ask.1.{name}");
    let options = match spec.what {
        What::Words(words) => words.iter().map(|word| ((*word).to_owned(), word.replace('_', " "))).collect(),
        _ => Vec::new(),
    };
    Some(FinderBox {
        text: texts.get(&path).cloned().unwrap_or_default(),
        path,
        label: spec.label.trim_end_matches(" asked about").to_owned(),
        hint: spec.doc.to_owned(),
        options,
    })
}

fn joint_answer(answer: &HeldAnswer) -> JointAnswer {
    let (mark, words) = match answer.overall() {
        Some(overall) => signed(overall),
        None => (Mark::NotKnown, "it depends on the code".to_owned()),
    };
    JointAnswer {
        question: answer.question.clone(),
        mark,
        words,
        under: answer.under.iter().map(under_answer).collect(),
    }
}

fn under_answer(under: &HeldUnder) -> UnderAnswer {
    let (mark, words) = signed(under.answer);
    let test = |(coupon, coverage): &(String, bendproof_codes::held::Coverage)| {
        let (mark, words) = signed(coverage.answer);
        let mut reasons: Vec<&CoverReason> = coverage.reasons.iter().collect();
        // What stands against it comes first.
        reasons.sort_by_key(|r| std::cmp::Reverse(r.answer));
        TestAnswer {
            coupon: coupon.clone(),
            mark,
            words,
            reasons: reasons.into_iter().map(|r| side(under.code, r)).collect(),
        }
    };
    UnderAnswer {
        code: under.code.id.clone(),
        title: under.code.full_title(),
        mark,
        words,
        tests: under.tests.iter().map(test).collect(),
    }
}

fn side(code: &Code, reason: &CoverReason) -> (Mark, String, AheadLine) {
    let (mark, words) = signed(reason.answer);
    (mark, words, AheadLine::under(code, reason.message.clone(), &reason.rules))
}

/// Not sure is never shown as a yes.
fn signed(answer: CoverAnswer) -> (Mark, String) {
    let mark = match answer {
        CoverAnswer::Covered => Mark::Holds,
        CoverAnswer::NotSure => Mark::NotKnown,
        CoverAnswer::NotCovered => Mark::Fails,
    };
    (mark, answer.word().replace('_', " "))
}

#[cfg(test)]
mod tests {
    use bendproof_shop::Shop;
    use bendproof_traveler::issued::{Issue, continuity, log_of_coupon};
    use bendproof_traveler::sheet::StandingLine;
    use bendproof_traveler::welder::{Use, held};

    use super::*;
    use crate::clock::Standing;
    use crate::fill_with_demo;

    async fn demo() -> ShopDesk {
        let shop = Shop::open_in_memory().await.unwrap();
        fill_with_demo(&shop, &*Standing::clock()).await.unwrap();
        ShopDesk::new(shop, None, Standing::clock())
    }

    fn joint(more: &[(&str, &str)]) -> JointAsk {
        let base = [("joint", "plate_groove"), ("position", "V"), ("process", "GMAW")];
        let boxes = base.iter().chain(more).map(|(k, v)| (format!("ask.1.{k}"), (*v).to_owned()));
        JointAsk { boxes: boxes.collect(), on: String::new(), is_asked: true }
    }

    #[tokio::test]
    async fn a_past_day_knows_no_later_test_and_a_coming_one_no_further_use() {
        let desk = demo().await;
        let now = desk.welder_detail("noor-castellan", None).await.unwrap();
        assert!(!now.days.held.is_empty() && now.days.chart.starts_with("<svg"));
        assert_eq!(now.days.lanes.len(), now.days.chart.matches("time-lane").count());
        let long_ago = desk.welder_detail("noor-castellan", Some("2001-01-01")).await.unwrap();
        assert!(long_ago.days.held.is_empty() && long_ago.days.chart.is_empty());
        let ahead = desk.welder_detail("noor-castellan", Some("2090-01-01")).await.unwrap();
        assert!(ahead.days.held.iter().all(|h| h.mark != Mark::Holds), "{:#?}", ahead.days.held);
        let printed = serde_json::to_string(&ahead).unwrap();
        assert!(printed.contains("if no further use is logged"), "{printed}");
        assert!(!printed.contains("expired after") && !printed.contains("expired since"), "{printed}");
        let wrong = desk.welder_detail("noor-castellan", Some("soon")).await.unwrap();
        assert_eq!((wrong.days.on, wrong.days.typed.as_str()), (desk.clock.today().to_string(), "soon"));
        assert!(wrong.days.error.unwrap().contains("YYYY-MM-DD"));
    }

    #[tokio::test]
    async fn every_qualification_is_in_the_list_and_has_a_record_of_its_own() {
        let desk = demo().await;
        let rows = desk.welder_list(ListAsk::default()).await.unwrap().rows;
        let row = rows.iter().find(|row| row.id == "dmitri-halvorsen").unwrap();
        let coupons: Vec<&str> = row.standings.iter().map(|one| one.coupon.as_str()).collect();
        assert!(coupons.contains(&"0308") && coupons.contains(&"0313"), "{coupons:?}");
        for number in ["0308", "0313"] {
            let file = desk.welder_record("dmitri-halvorsen", Some(number), Paper::Letter).await.unwrap();
            assert!(file.file_name.contains(number) && file.bytes.starts_with(b"%PDF"), "{}", file.file_name);
        }
        let foreign = desk.welder_record("dmitri-halvorsen", Some("0312"), Paper::Letter).await;
        assert!(matches!(foreign, Err(Trouble::Absent)));
    }

    /// A paper made of the coupon alone may end earlier than the welder's page: it
    /// says that it counts the test alone.
    #[tokio::test]
    async fn the_last_day_of_a_coupon_says_what_it_counts() {
        let desk = demo().await;
        let lasts = |lines: &[StandingLine]| -> String {
            lines.iter().find(|line| line.label.ends_with("lasts")).unwrap().value.clone()
        };
        let sheet = desk.opened("0312").await.unwrap().sheet;
        assert!(lasts(&sheet.standing).contains(" by this test alone; "), "{}", lasts(&sheet.standing));
        let held = desk.welder_detail("wanjiru-pike", None).await.unwrap().days.held;
        let held = held.iter().find(|one| one.coupon == "0312").unwrap();
        assert!(!lasts(&held.lines).contains("alone"), "{}", lasts(&held.lines));
    }

    #[tokio::test]
    async fn what_came_after_a_past_day_is_marked_as_later() {
        let desk = demo().await;
        let later = |detail: &WelderDetail| {
            let uses = detail.continuity.iter().filter(|line| line.value.contains("later than")).count();
            let coupons = detail.coupons.iter().filter(|row| row.stage.contains("later than")).count();
            [uses, coupons]
        };
        let now = desk.welder_detail("noor-castellan", None).await.unwrap();
        assert_eq!(later(&now), [0, 0]);
        let past = desk.welder_detail("noor-castellan", Some("2001-01-01")).await.unwrap();
        let finished = past.coupons.iter().filter(|row| row.stamp.contains("accept")).count();
        assert!(finished > 0 && later(&past)[1] >= finished, "{:#?}", past.coupons);
        assert_eq!(later(&past)[0], past.continuity.len());
    }

    #[tokio::test]
    async fn a_joint_is_answered_code_by_code_and_what_is_missing_is_no_yes() {
        let desk = demo().await;
        let view = desk.joint_asked("dmitri-halvorsen", joint(&[])).await.unwrap();
        let answer = view.answer.unwrap();
        assert_ne!(answer.mark, Mark::Holds, "{answer:#?}");
        assert!(answer.under.iter().all(|u| u.tests.iter().all(|t| !t.reasons.is_empty())));
        assert_eq!(view.data["under"].as_array().unwrap().len(), answer.under.len());
        let nobody = desk.joint_asked("greta-oyelaran", joint(&[])).await.unwrap().answer.unwrap();
        assert_eq!((nobody.mark, nobody.under.len()), (Mark::Fails, 0));
    }

    #[tokio::test]
    async fn a_box_that_cannot_be_read_is_reported_next_to_it() {
        let desk = demo().await;
        let mut ask = joint(&[("thickness", "thick")]);
        ask.on = "tomorrow".to_owned();
        ask.boxes.retain(|(path, _)| path != "ask.1.process");
        let view = desk.joint_asked("dmitri-halvorsen", ask).await.unwrap();
        let mut paths: Vec<String> = view.findings.into_iter().filter_map(|f| f.path).collect();
        paths.sort();
        assert_eq!(paths, ["ask.1.process", "ask.1.thickness", "on"]);
        assert!(view.answer.is_none());
        assert_eq!(view.on, "tomorrow");
        assert!(view.boxes.iter().any(|b| b.text == "thick"));
    }

    /// Three accepted coupons with a last day, one a code: where a code grants
    /// nothing there is none.
    async fn accepted(desk: &ShopDesk) -> [Document; 3] {
        let iso = include_str!("../../../examples/plate-iso-9606.toml");
        [
            desk.document("0313").await.unwrap().1,
            desk.document("0310").await.unwrap().1,
            Document::from_toml(&bendproof_files::COUPON, iso).0,
        ]
    }

    #[tokio::test]
    async fn page_and_record_tell_the_last_good_day_in_the_same_words() {
        let desk = demo().await;
        let mut codes = Vec::new();
        for document in accepted(&desk).await {
            let finished: Date = document.get("finished").unwrap().parse().unwrap();
            let test = held("1", &document, &[], finished).unwrap().test;
            let used = Use {
                date: finished.saturating_add(jiff::Span::new().days(7)),
                process: test.process,
                transfer: test.transfer,
                evidence: "job 12".to_owned(),
                checked_by: "Ida Voss".to_owned(),
            };
            let uses = [used.clone()];
            let first = held("1", &document, &uses, used.date).unwrap();
            let (code, last) = (first.code.id.as_str(), first.until.unwrap());
            codes.push(code);
            // A coupon names no way to prolong the qualification (9.3), so under
            // ISO 9606-1 its end is not sure while it lasts.
            let good = match code {
                "iso-9606-1-2017" => "expiration undetermined; see open questions".to_owned(),
                _ => format!("valid through {last}"),
            };
            for (days, expected) in [(-1, good.clone()), (0, good), (1, format!("expired after {last}"))] {
                let on = last.saturating_add(jiff::Span::new().days(days));
                let (_, page) = hold_words(&held("1", &document, &uses, on).unwrap());
                let log = log_of_coupon(&document, &[(used.clone(), "Ida Voss".to_owned())], on).unwrap();
                let record = continuity(&log, Issue::first("2026-11-30 10:00:00 UTC".to_owned(), "Ida"));
                assert_eq!((page.as_str(), record.state.as_str()), (&*expected, &*expected), "{code} {on}");
            }
        }
        assert_eq!(codes, ["aws-d1.1-2020", "asme-ix-2023", "iso-9606-1-2017"]);
    }
}
