//! A welder as known on a day: what is held under each code along the days, in
//! a drawing and in words, and what keeps it, costs a lapse or gives a retest.
//!
//! Joins the accepted coupons of one process, transfer mode and code to a lane;
//! what each is worth comes from the code engine.

use bendproof_codes::catalogue::Code;
use bendproof_codes::held::renewal;
use bendproof_codes::words::{Event, Hold};
use bendproof_drawing::{
    Frame, Theme, Tick, TimeLane, TimeSign, TimeSpan, Timeline, Words, timeline as draw_timeline,
};
use bendproof_weld::{Process, Transfer};
use jiff::ToSpan;
use jiff::civil::Date;

use super::standing::Qualification;
use crate::drawn::Look;
use crate::sheet::AheadLine;

/// Days the chart goes on after the last day asked about. Basis: choice, a
/// little over a year shows the next renewal of every code here.
const AHEAD_DAYS: i32 = 400;
/// Most named days of the scale. Basis: choice, eight fit a phone.
const TICKS_MAX: i32 = 8;
/// Months between named days, shortest first.
const STEPS: [i32; 8] = [1, 2, 3, 6, 12, 24, 60, 120];

/// What is held of one process under one code.
#[derive(Debug, Clone, PartialEq)]
pub struct Lane {
    /// The code.
    pub code: &'static Code,
    /// Process.
    pub process: Process,
    /// Metal transfer, for GMAW.
    pub transfer: Option<Transfer>,
    /// The coupons behind it.
    pub coupons: Vec<String>,
    /// Stretches of days, oldest first, without overlap.
    pub stretches: Vec<Stretch>,
    /// Days of use that count.
    pub uses: Vec<Date>,
}

/// Days with one answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// First day.
    pub from: Date,
    /// Last day; `None` where no end is known.
    pub until: Option<Date>,
    /// What holds on them.
    pub sign: TimeSign,
}

/// What a code says of the life of a qualification.
#[derive(Debug, Clone, PartialEq)]
pub struct LifeAdvice {
    /// The code.
    pub code: &'static Code,
    /// What it is for, in words, and the sentences with their rules.
    pub events: Vec<(&'static str, Vec<AheadLine>)>,
}

/// The lanes of what is held as of the day `on`, in the order of the codes.
pub fn lanes(held: &[Qualification], on: Date) -> Vec<Lane> {
    let mut lanes: Vec<Lane> = Vec::new();
    for one in held {
        let same = |lane: &&mut Lane| {
            (&lane.code.id, lane.process, lane.transfer)
                == (&one.code.id, one.test.process, one.test.transfer)
        };
        match lanes.iter_mut().find(same) {
            Some(lane) => lane.take(one),
            None => {
                let mut lane = Lane {
                    code: one.code,
                    process: one.test.process,
                    transfer: one.test.transfer,
                    coupons: Vec::new(),
                    stretches: Vec::new(),
                    uses: Vec::new(),
                };
                lane.take(one);
                lanes.push(lane);
            }
        }
    }
    for lane in &mut lanes {
        lane.stretches = joined(&lane.stretches, on);
        lane.uses.sort_unstable();
        lane.uses.dedup();
    }
    lanes.sort_by(|a, b| (&a.code.id, a.process.word()).cmp(&(&b.code.id, b.process.word())));
    lanes
}

impl Lane {
    fn take(&mut self, one: &Qualification) {
        self.coupons.push(one.number.clone());
        self.uses.extend(one.test.uses.iter().chain(&one.test.details.other_transfer));
        let sign = match one.standing.hold {
            Some(Hold::Nothing) | None => return,
            _ if one.standing.knows_its_end() => TimeSign::Held,
            _ => TimeSign::NotSure,
        };
        let (until, perhaps) = (one.standing.until, one.standing.until_perhaps);
        self.stretches.push(Stretch { from: one.standing.finished, until, sign });
        // Uses that may not count leave open how long it is held.
        if let Some(until) = until.filter(|day| perhaps.is_some_and(|last| last > *day)) {
            let from = until.checked_add(1.day()).unwrap_or(until);
            self.stretches.push(Stretch { from, until: perhaps, sign: TimeSign::NotSure });
        }
    }

    /// `GMAW short-circuit`.
    pub fn process_words(&self) -> String {
        let transfer = self.transfer.map(|t| format!(" {t}")).unwrap_or_default();
        format!("{}{transfer}", self.process)
    }

    /// The lane as one sentence without its stop, as stated on `today`.
    pub fn words(&self, today: Date) -> String {
        let mut coupons = self.coupons.clone();
        coupons.sort();
        let head = format!("{}, {} (coupon {})", self.code.short, self.process_words(), coupons.join(", "));
        let mut said: Vec<String> = self.stretches.iter().map(|s| s.words(today)).collect();
        if said.is_empty() {
            said.push("no qualification".to_owned());
        }
        match (self.uses.len(), self.uses.last()) {
            (0, _) | (_, None) => said.push("no use logged".to_owned()),
            (1, Some(day)) => said.push(format!("used on {day}")),
            (n, Some(day)) => said.push(format!("used on {n} days, last on {day}")),
        }
        format!("{head}: {}", said.join("; "))
    }
}

impl Stretch {
    fn words(&self, today: Date) -> String {
        let word = match self.sign {
            TimeSign::Held => "qualified",
            TimeSign::NotSure => "undetermined",
            TimeSign::Lapsed => "expired",
        };
        match self.until {
            Some(until) => format!("{word} {} to {until}", self.from),
            None if self.sign == TimeSign::Lapsed && self.from > today => {
                format!("{word} from {} if no further use is logged", self.from)
            }
            None if self.sign == TimeSign::Lapsed => format!("{word} since {}", self.from),
            None => format!("{word} from {}, no end known", self.from),
        }
    }
}

/// Stretches of several coupons as one run: held wins over not sure, and what
/// lies between, or behind up to the day asked about, has lapsed.
fn joined(all: &[Stretch], on: Date) -> Vec<Stretch> {
    let next = |day: Date| day.checked_add(1.day()).unwrap_or(day);
    let mut starts: Vec<Date> = all.iter().map(|s| s.from).collect();
    starts.extend(all.iter().filter_map(|s| s.until).map(next));
    starts.sort_unstable();
    starts.dedup();
    let mut run: Vec<Stretch> = Vec::new();
    for (n, from) in starts.iter().enumerate() {
        let covers = |s: &&Stretch| s.from <= *from && s.until.is_none_or(|until| until >= *from);
        let sign = match all.iter().filter(covers).map(|s| s.sign).collect::<Vec<_>>() {
            signs if signs.contains(&TimeSign::Held) => TimeSign::Held,
            signs if signs.is_empty() => TimeSign::Lapsed,
            _ => TimeSign::NotSure,
        };
        let until = starts.get(n + 1).and_then(|day| day.checked_sub(1.day()).ok());
        match run.last_mut().filter(|last| last.sign == sign) {
            Some(last) => last.until = until,
            None => run.push(Stretch { from: *from, until, sign }),
        }
    }
    // What ends after the day asked about has not lapsed yet.
    run.retain(|s| s.sign != TimeSign::Lapsed || s.from <= on);
    run
}

/// The lanes in words, one sentence each, as stated on `today`.
pub fn timeline_words(lanes: &[Lane], today: Date) -> Vec<String> {
    lanes.iter().map(|lane| lane.words(today)).collect()
}

/// The time line as SVG. `on` is the day it is stated for.
pub fn timeline_svg(lanes: &[Lane], today: Date, on: Date, look: Look) -> String {
    let theme = if look == Look::Screen { Theme::web() } else { Theme::paper() };
    let words = Words::english();
    let desc = timeline_words(lanes, today).join(". ");
    let title = "What is held along the days";
    let frame = Frame { id: "welder-time", title, desc: &desc, theme: &theme, words: &words };
    draw_timeline(&chart(lanes, today, on), &frame)
}

fn chart(lanes: &[Lane], today: Date, on: Date) -> Timeline {
    let day = |date: Date| f64::from(days_between(today, date));
    let starts = lanes.iter().flat_map(|l| &l.stretches).map(|s| s.from);
    let first = starts.chain([today, on]).min().unwrap_or(today);
    let known = lanes.iter().flat_map(|l| &l.stretches).filter_map(|s| s.until);
    let latest = today.max(on);
    let cap = latest.checked_add(AHEAD_DAYS.days()).unwrap_or(latest);
    let last = known.chain([latest]).max().unwrap_or(latest).min(cap);
    let first = first.first_of_month();
    let last = last.checked_add(10.days()).unwrap_or(last);
    Timeline {
        ends: [day(first), day(last)],
        ticks: ticks(first, last, day),
        lanes: lanes.iter().map(|lane| drawn(lane, today)).collect(),
        today: (0.0, format!("today, {today}")),
        asked: (on != today).then(|| (day(on), format!("asked for {on}"))),
        legend: ["qualified", "undetermined", "expired", "process use"].map(str::to_owned),
    }
}

fn drawn(lane: &Lane, today: Date) -> TimeLane {
    let day = |date: Date| f64::from(days_between(today, date));
    let span = |s: &Stretch| TimeSpan {
        from: day(s.from),
        // The last day counts whole.
        to: s.until.map(|until| day(until) + 1.0),
        sign: s.sign,
    };
    let nothing = if lane.stretches.is_empty() { ": no qualification" } else { "" };
    TimeLane {
        label: format!("{} · {}{nothing}", lane.process_words(), lane.code.short),
        title: lane.words(today),
        spans: lane.stretches.iter().map(span).collect(),
        uses: lane.uses.iter().map(|used| day(*used)).collect(),
    }
}

fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// Firsts of months, not more than fit; the year stands where it changes.
fn ticks(first: Date, last: Date, day: impl Fn(Date) -> f64) -> Vec<Tick> {
    let months = days_between(first, last) / 30;
    let step = STEPS.into_iter().find(|step| months / step < TICKS_MAX).unwrap_or(STEPS[STEPS.len() - 1]);
    let mut ticks: Vec<Tick> = Vec::new();
    let mut year = None;
    for n in 0..=TICKS_MAX {
        let Ok(at) = first.checked_add((n * step).months()) else { break };
        if at > last {
            break;
        }
        let also = if year == Some(at.year()) { String::new() } else { at.year().to_string() };
        year = Some(at.year());
        ticks.push(Tick { at: day(at), label: at.strftime("%b").to_string(), also });
    }
    ticks
}

/// What renews each code's qualifications, what a lapse costs and when a failed
/// test may be welded again; a sentence that several coupons share is listed once.
pub fn life_advice(held: &[Qualification]) -> Vec<LifeAdvice> {
    let mut out: Vec<LifeAdvice> = Vec::new();
    for one in held {
        if out.iter().all(|life| life.code.id != one.code.id) {
            let events = Event::ALL.iter().map(|event| (event_words(*event), Vec::new())).collect();
            out.push(LifeAdvice { code: one.code, events });
        }
        let Some(life) = out.iter_mut().find(|life| life.code.id == one.code.id) else { continue };
        for advice in renewal(one.code, &one.test) {
            let line = AheadLine::under(one.code, advice.sentence, [&advice.because.rule]);
            let lines = life.events.iter_mut().find(|(words, _)| *words == event_words(advice.event));
            if let Some((_, lines)) = lines.filter(|(_, lines)| !lines.contains(&line)) {
                lines.push(line);
            }
        }
    }
    for life in &mut out {
        life.events.retain(|(_, lines)| !lines.is_empty());
    }
    out.sort_by(|a, b| a.code.id.cmp(&b.code.id));
    out
}

fn event_words(event: Event) -> &'static str {
    match event {
        Event::Start => "from the test on",
        Event::Renew => "to keep it",
        Event::Lapse => "once it has lapsed",
        Event::Question => "when the welder is questioned",
        Event::Fail => "when a test fails",
        Event::FailAgain => "when the test after a lapse fails",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Date {
        text.parse().unwrap()
    }

    fn stretch(from: &str, until: Option<&str>, sign: TimeSign) -> Stretch {
        Stretch { from: day(from), until: until.map(day), sign }
    }

    #[test]
    fn between_two_tests_it_had_lapsed_and_where_they_overlap_held_wins() {
        let (held, unsure) = (TimeSign::Held, TimeSign::NotSure);
        let all = [
            stretch("2026-01-10", Some("2026-03-10"), held),
            stretch("2026-06-01", Some("2026-12-01"), held),
            stretch("2026-11-01", None, unsure),
        ];
        let run = joined(&all, day("2027-01-01"));
        let wanted = [
            stretch("2026-01-10", Some("2026-03-10"), held),
            stretch("2026-03-11", Some("2026-05-31"), TimeSign::Lapsed),
            stretch("2026-06-01", Some("2026-12-01"), held),
            stretch("2026-12-02", None, unsure),
        ];
        assert_eq!(run, wanted);
    }

    #[test]
    fn what_ends_after_the_day_asked_about_has_not_lapsed() {
        let all = [stretch("2026-01-10", Some("2026-07-10"), TimeSign::Held)];
        assert_eq!(joined(&all, day("2026-07-10")).len(), 1);
        let after = joined(&all, day("2026-07-11"));
        assert_eq!(after[1], stretch("2026-07-11", None, TimeSign::Lapsed));
    }

    #[test]
    fn the_scale_names_few_days_and_each_year_once() {
        for (first, last) in
            [("2026-01-01", "2026-02-03"), ("2024-11-01", "2028-03-01"), ("1999-01-01", "2031-01-01")]
        {
            let ticks = ticks(day(first), day(last), |d| f64::from(days_between(day(first), d)));
            assert!((1..=9).contains(&ticks.len()), "{first}: {}", ticks.len());
            let years: Vec<&String> = ticks.iter().map(|t| &t.also).filter(|y| !y.is_empty()).collect();
            let mut once = years.clone();
            once.dedup();
            assert_eq!(years, once);
        }
    }
}
