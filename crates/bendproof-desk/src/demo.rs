//! The demonstration shop: invented people and coupons that fill an empty bench,
//! so that a newcomer meets finished work, a reject, a void strap and a lapse.
//!
//! Text in, documents out. It judges nothing and writes nothing; days are counted
//! back from the day it is shown, so that the shop never grows old.

use std::collections::BTreeMap;

use bendproof_files::{COUPON, Document, FileKind, Need, Spec, What};
use bendproof_traveler::library::library_of_files;
use jiff::ToSpan;
use jiff::civil::Date;

/// One coupon of the demonstration shop.
pub struct DemoCoupon {
    /// The shop's number of it.
    pub number: String,
    /// Its values by dotted path, as a coupon file holds them.
    pub values: BTreeMap<String, String>,
    /// Who wrote the sheet.
    pub by: String,
    /// Days before today on which the sheet was written.
    pub days_ago: i64,
}

/// One person of the demonstration shop.
pub struct DemoPerson {
    /// The id in the shop's lists.
    pub id: String,
    /// `name`, `stamp`, `note`, and `used.DATE.process`, `.transfer`, `.evidence`.
    pub values: BTreeMap<String, String>,
}

/// One procedure of the demonstration shop, with a revision of it.
pub struct DemoProcedure {
    /// The shop's number of it.
    pub number: String,
    /// Its values, as the library keeps them.
    pub values: BTreeMap<String, String>,
    /// Who wrote it.
    pub by: &'static str,
    /// Days before today on which it was entered, and revised.
    pub days_ago: [i64; 2],
    /// What the revision changed: path, text, and why.
    pub revised: [&'static str; 3],
}

/// A coupon file with what the file itself does not hold.
struct Filed {
    text: &'static str,
    by: &'static str,
    days_ago: i64,
}

const fn filed(text: &'static str, by: &'static str, days_ago: i64) -> Filed {
    Filed { text, by, days_ago }
}

/// The instructor, who writes a sheet up once its straps are bent.
const INSTRUCTOR: &str = "Greta Oyelaran";

#[rustfmt::skip]
const FILED: &[Filed] = &[
    filed(include_str!("../demo/coupons/0301.toml"), INSTRUCTOR, 298),
    filed(include_str!("../demo/coupons/0302.toml"), INSTRUCTOR, 235),
    filed(include_str!("../demo/coupons/0303.toml"), INSTRUCTOR, 117),
    filed(include_str!("../demo/coupons/0304.toml"), INSTRUCTOR, 116),
    filed(include_str!("../demo/coupons/0305.toml"), INSTRUCTOR, 95),
    filed(include_str!("../demo/coupons/0306.toml"), INSTRUCTOR, 88),
    filed(include_str!("../demo/coupons/0307.toml"), INSTRUCTOR, 81),
    filed(include_str!("../demo/coupons/0308.toml"), INSTRUCTOR, 71),
    filed(include_str!("../demo/coupons/0309.toml"), INSTRUCTOR, 60),
    filed(include_str!("../demo/coupons/0310.toml"), INSTRUCTOR, 53),
    filed(include_str!("../demo/coupons/0311.toml"), INSTRUCTOR, 46),
    filed(include_str!("../demo/coupons/0312.toml"), INSTRUCTOR, 39),
    filed(include_str!("../demo/coupons/0313.toml"), INSTRUCTOR, 25),
    filed(include_str!("../demo/coupons/0314.toml"), INSTRUCTOR, 18),
    filed(include_str!("../demo/coupons/0315.toml"), "Kofi Marlowe", 5),
    filed(include_str!("../demo/coupons/0316.toml"), "Wanjiru Pike", 2),
    filed(include_str!("../demo/coupons/0317.toml"), INSTRUCTOR, 1),
    filed(include_str!("../demo/coupons/0318.toml"), INSTRUCTOR, 1),
];

/// The one procedure and the record behind it.
const PROCEDURE_FILES: [&str; 2] =
    [include_str!("../demo/procedures/wp-12.toml"), include_str!("../demo/procedures/pr-12.toml")];

const PEOPLE_TEXT: &str = include_str!("../demo/people.toml");

const fn field(path: &'static str, label: &'static str, what: What, need: Need, doc: &'static str) -> Spec {
    Spec { path, label, what, need, doc }
}

/// The people file, read by the same reader as every other file.
const PEOPLE: FileKind = FileKind {
    name: "people",
    doc: "The people of the demonstration shop and the days on which they used a process.",
    specs: &[
        field("person.#.id", "id", What::Text(64), Need::Required, "The id in the shop's lists."),
        field("person.#.name", "name", What::Text(80), Need::Required, "The name on a coupon."),
        field("person.#.stamp", "stamp", What::Text(8), Need::Optional, "The mark next to a weld."),
        field("person.#.note", "note", What::Text(400), Need::Optional, "What the shop should know."),
        field("person.#.used.#.days_ago", "days ago", What::Count(0, 3650), Need::Required, "Days back."),
        field("person.#.used.#.process", "process", What::Text(8), Need::Required, "Welding process."),
        field("person.#.used.#.transfer", "transfer", What::Text(16), Need::Optional, "Metal transfer."),
        field(
            "person.#.used.#.evidence",
            "evidence",
            What::Text(400),
            Need::Required,
            "What was welded, who saw it.",
        ),
    ],
};

/// The coupons of the demonstration shop, as if it were filled on `today`.
pub fn coupons(today: Date) -> Vec<DemoCoupon> {
    FILED
        .iter()
        .map(|filed| {
            let (document, _) = Document::from_toml(&COUPON, filed.text);
            DemoCoupon {
                number: document.get("number").unwrap_or_default().to_owned(),
                values: document.values().iter().map(|(k, v)| (k.clone(), dated(v, today))).collect(),
                by: filed.by.to_owned(),
                days_ago: filed.days_ago,
            }
        })
        .collect()
}

/// The procedures of the demonstration shop, as if it were filled on `today`.
pub fn procedures(today: Date) -> Vec<DemoProcedure> {
    let [procedure, record] = PROCEDURE_FILES;
    let texts = library_of_files(procedure, record);
    vec![DemoProcedure {
        number: texts.get("procedure.number").cloned().unwrap_or_default(),
        values: texts.into_iter().map(|(path, text)| (path, dated(&text, today))).collect(),
        by: INSTRUCTOR,
        days_ago: [140, 44],
        revised: ["procedure.gas_flow_max", "45 cfh", "booth 1 has a draught when the gate is open"],
    }]
}

/// The people of the demonstration shop, as if it were filled on `today`.
pub fn people(today: Date) -> Vec<DemoPerson> {
    let (document, _) = Document::from_toml(&PEOPLE, PEOPLE_TEXT);
    document.rows("person").into_iter().map(|row| person(&document, row, today)).collect()
}

fn person(document: &Document, row: usize, today: Date) -> DemoPerson {
    let value = |path: &str| document.get(&format!("person.{row}.{path}"));
    let mut values = BTreeMap::new();
    for path in ["name", "stamp", "note"] {
        if let Some(text) = value(path) {
            values.insert(path.to_owned(), text.to_owned());
        }
    }
    for use_row in document.rows(&format!("person.{row}.used")) {
        let Some(day) = value(&format!("used.{use_row}.days_ago")).and_then(|n| day_before(n, today)) else {
            continue;
        };
        for what in ["process", "transfer", "evidence"] {
            if let Some(text) = value(&format!("used.{use_row}.{what}")) {
                values.insert(format!("used.{day}.{what}"), text.to_owned());
            }
        }
    }
    DemoPerson { id: value("id").unwrap_or_default().to_owned(), values }
}

/// A value with `@34` turned into the date 34 days before today.
fn dated(text: &str, today: Date) -> String {
    match text.strip_prefix('@').and_then(|days| day_before(days, today)) {
        Some(day) => day.to_string(),
        None => text.to_owned(),
    }
}

fn day_before(days: &str, today: Date) -> Option<Date> {
    let days: u16 = days.parse().ok()?;
    today.checked_sub(i64::from(days).days()).ok()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use bendproof_codes::procedure::Within;
    use bendproof_files::Severity;
    use bendproof_traveler::build::build;
    use bendproof_traveler::drawn::Look;
    use bendproof_traveler::forecast::read_forecast;
    use bendproof_traveler::library::library_report;
    use bendproof_traveler::plates::past_plate;
    use bendproof_traveler::sheet::Control;
    use bendproof_traveler::sheet::Sheet;
    use bendproof_traveler::welder::{Use, held};
    use bendproof_weld::{Process, Transfer};
    use jiff::civil::date;

    use super::*;

    /// An ordinary day, a leap day, and days whose six months end in a short month.
    fn days() -> [Date; 4] {
        [date(2026, 11, 25), date(2028, 2, 29), date(2027, 8, 31), date(2027, 1, 1)]
    }

    fn document(coupon: &DemoCoupon) -> Document {
        Document::from_values(coupon.values.clone())
    }

    fn sheets(today: Date) -> Vec<(DemoCoupon, Sheet)> {
        coupons(today)
            .into_iter()
            .map(|c| {
                let sheet = build(&c.number, &document(&c), &[], Some(today), Look::Screen);
                (c, sheet)
            })
            .collect()
    }

    #[test]
    fn every_file_is_in_its_format() {
        let (_, findings) = Document::from_toml(&PEOPLE, PEOPLE_TEXT);
        assert!(findings.is_empty(), "{findings:?}");
        let written = PEOPLE_TEXT.matches("[[person.used]]").count();
        let kept: usize = people(days()[0]).iter().map(|p| uses(p).len()).sum();
        assert_eq!(kept, written, "no two uses of a person fall on one day");
        for filed in FILED {
            let (_, findings) = Document::from_toml(&COUPON, filed.text);
            assert!(findings.is_empty(), "{findings:?}");
        }
    }

    #[test]
    fn the_procedure_is_not_outside_its_record_and_one_joint_is_outside_it() {
        for today in days() {
            let [procedure] = procedures(today).try_into().ok().unwrap();
            let mut values = procedure.values;
            for revised in [false, true] {
                if revised {
                    let [path, text, _] = procedure.revised;
                    values.insert(path.to_owned(), text.to_owned());
                }
                let report = library_report(&values, None, &[], Some(today)).unwrap();
                let supported = report.supported.unwrap();
                assert_ne!(
                    supported.answer,
                    Within::Outside,
                    "{:#?}",
                    supported.breached().collect::<Vec<_>>()
                );
                let answers: Vec<Within> = report.joints.iter().map(|joint| joint.answer()).collect();
                assert_eq!(answers[1], Within::Outside);
                assert_ne!(answers[0], Within::Outside, "{:#?}", report.joints[0]);
            }
        }
    }

    #[test]
    fn every_coupon_reads_on_any_day() {
        for today in days() {
            for coupon in coupons(today) {
                let read = read_forecast(&document(&coupon).to_toml(&COUPON), Some(today));
                let faults: Vec<_> = read.findings.iter().filter(|f| f.severity == Severity::Error).collect();
                assert!(faults.is_empty(), "{} on {today}: {faults:?}", coupon.number);
                assert!(read.forecast.is_some(), "{} has a forecast", coupon.number);
                assert!(!coupon.values.values().any(|text| text.starts_with('@')), "{}", coupon.number);
            }
        }
    }

    #[test]
    fn numbers_are_listed_and_unique() {
        let all = coupons(days()[0]);
        let numbers: BTreeSet<_> = all.iter().map(|c| c.number.clone()).collect();
        assert_eq!(numbers.len(), all.len());
        assert!(numbers.iter().all(|n| !n.is_empty()));
    }

    #[test]
    fn a_sheet_is_written_on_or_after_the_day_its_weld_was_finished() {
        let today = days()[0];
        for coupon in coupons(today) {
            let Some(finished) = coupon.values.get("finished") else { continue };
            let written = today.checked_sub(coupon.days_ago.days()).unwrap();
            assert!(finished.parse::<Date>().unwrap() <= written, "{}", coupon.number);
        }
    }

    #[test]
    fn every_name_belongs_to_a_person() {
        let today = days()[0];
        let people = people(today);
        let ids: BTreeSet<_> = people.iter().map(|p| p.id.clone()).collect();
        assert_eq!(ids.len(), people.len());
        let names: BTreeSet<_> = people.iter().map(|p| p.values["name"].clone()).collect();
        assert_eq!(names.len(), people.len());
        for coupon in coupons(today) {
            assert!(names.contains(&coupon.values["welder"]), "{}", coupon.number);
            assert!(names.contains(&coupon.by), "{}", coupon.number);
        }
    }

    #[test]
    fn every_kind_of_end_is_there() {
        for today in days() {
            let sheets = sheets(today);
            let verdicts: Vec<_> = sheets.iter().map(|(_, s)| s.verdict.as_str()).collect();
            let count = |word: &str| verdicts.iter().filter(|v| **v == word).count();
            // A test code that leaves the cap to another says so behind the word.
            let accepted = verdicts.iter().filter(|v| v.starts_with("accept")).count();
            assert_eq!(accepted, 10, "{verdicts:?}");
            assert_eq!(count("reject"), 2, "{verdicts:?}");
            assert_eq!(count("reject on visual"), 1, "{verdicts:?}");
            assert_eq!(count("void, replace specimen"), 1, "{verdicts:?}");
            assert_eq!(count("bends not complete"), 1, "{verdicts:?}");
            let unstrapped = sheets.iter().filter(|(_, s)| s.straps.is_empty());
            let (planned, begun): (Vec<_>, Vec<_>) = unstrapped.partition(|(_, s)| s.log.is_empty());
            assert_eq!((planned.len(), begun.len()), (2, 1));
            let waiting = sheets.iter().filter(|(_, s)| s.straps.iter().any(|strap| !strap.is_inspected));
            assert_eq!(waiting.count(), 1);
        }
    }

    #[test]
    fn planned_plates_are_shown_plates_that_held_and_plates_that_did_not() {
        let today = days()[0];
        let coupons = coupons(today);
        let past: Vec<_> =
            coupons.iter().filter_map(|c| past_plate(&c.number, &document(c), today)).collect();
        for (number, held, failed) in [("0317", 3, 1), ("0318", 5, 2)] {
            let coupon = coupons.iter().find(|c| c.number == number).unwrap();
            let sheet = build(number, &document(coupon), &past, Some(today), Look::Screen);
            let opening = sheet.fit.iter().find(|f| f.path == "fit.root_opening").unwrap();
            let Control::Rule(rule) = &opening.control else { panic!("{number} has no rule") };
            let dots = |wanted: bool| rule.plates.iter().filter(|dot| dot.held == wanted).count();
            assert_eq!((dots(true), dots(false)), (held, failed), "{number}");
        }
    }

    #[test]
    fn one_standing_is_about_to_lapse_and_one_has() {
        for today in days() {
            let coupons = coupons(today);
            let left = |id: &str| {
                let people = people(today);
                let person = people.iter().find(|p| p.id == id).unwrap();
                let uses = uses(person);
                let name = &person.values["name"];
                let of_person = coupons.iter().filter(|c| c.values.get("welder") == Some(name));
                of_person.filter_map(|c| held(&c.number, &document(c), &uses, today)?.days_left).max()
            };
            let soon = left("teodor-lisle").unwrap();
            assert!((1..=20).contains(&soon), "{soon} days left on {today}");
            assert!(left("asha-brennick").unwrap() < 0);
            for fresh in ["noor-castellan", "wanjiru-pike", "kofi-marlowe", "dmitri-halvorsen"] {
                assert!(left(fresh).unwrap() > 120, "{fresh} on {today}");
            }
            assert_eq!(left("greta-oyelaran"), None);
        }
    }

    /// Every use of a person; fails on one that could not be read back.
    fn uses(person: &DemoPerson) -> Vec<Use> {
        let days =
            person.values.keys().filter_map(|path| path.strip_prefix("used.")?.strip_suffix(".process"));
        days.map(|day| Use {
            date: day.parse().unwrap(),
            process: Process::from_word(&person.values[&format!("used.{day}.process")]).unwrap(),
            transfer: person.values.get(&format!("used.{day}.transfer")).and_then(|t| Transfer::from_word(t)),
            evidence: person.values[&format!("used.{day}.evidence")].clone(),
            checked_by: String::new(),
        })
        .collect()
    }
}
