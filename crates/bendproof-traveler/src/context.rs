//! The lists a reader checks names against, and what a caller gives with a
//! document: the day it is, and a shop's stricter limits.

use std::sync::OnceLock;

use bendproof_codes::catalogue::{CatalogueError, Code, ShopRules};
use bendproof_codes::words::RuleKind;
use bendproof_files::{COUPON, Document, Known, Reader};
use bendproof_measure::System;
use jiff::civil::Date;

/// The day it is, as given by the caller; `None` skips checks against it.
pub type Today = Option<Date>;

/// What a caller gives with a document. A [`Today`] alone is one without a
/// shop's rules.
///
/// It is the one way to a code: who judges, allows or records asks it by name,
/// so that no stricter limit of the shop is lost on the way.
#[derive(Debug, Clone, Copy, Default)]
pub struct AssessmentContext {
    /// The day it is.
    pub day: Today,
    /// Limits a shop holds its codes to; the codes as they are when absent.
    pub rules: Option<&'static ShopRules>,
}

/// The units a coupon speaks first: those its thickness is written in, inches
/// where none is written.
pub(crate) fn system_of(document: &Document) -> System {
    let thickness = Reader::new(&COUPON, document, known(None)).quantity("fit.thickness");
    thickness.map_or(System::Inch, |thickness| thickness.system)
}

impl From<Today> for AssessmentContext {
    fn from(day: Today) -> Self {
        Self { day, rules: None }
    }
}

impl From<Date> for AssessmentContext {
    fn from(day: Date) -> Self {
        Self::from(Some(day))
    }
}

impl AssessmentContext {
    /// The code of this name, with the shop's limits in it.
    pub fn code(&self, name: &str) -> Option<&'static Code> {
        self.named(name).ok()
    }

    /// The code of this name, with the shop's limits in it.
    ///
    /// # Errors
    /// [`CatalogueError::UnknownCode`] with the nearest name and all known ones.
    pub fn named(&self, name: &str) -> Result<&'static Code, CatalogueError> {
        bendproof_codes::catalogue::code(name).map(|code| self.over(code))
    }

    /// Every code, each with the shop's limits in it.
    ///
    /// # Errors
    /// [`CatalogueError::Load`] when the rule data does not load.
    pub fn codes(&self) -> Result<Vec<&'static Code>, CatalogueError> {
        Ok(bendproof_codes::catalogue::codes()?.iter().map(|code| self.over(code)).collect())
    }

    /// A code with the shop's limits in it, where the shop has any.
    pub(crate) fn over(&self, code: &'static Code) -> &'static Code {
        self.rules.map_or(code, |rules| rules.over(code))
    }

    /// The code a coupon document states, with the shop's limits in it. `None`
    /// where it states none: nothing is judged, qualified or recorded by a
    /// proposal.
    pub fn code_of(&self, document: &Document) -> Option<&'static Code> {
        let reader = Reader::new(&COUPON, document, known(None));
        self.code_ahead(document).filter(|_| reader.has("code"))
    }

    /// The code whose limits a forecast goes by: the one a coupon document
    /// states, or the catalogue's proposal, which the forecast then names.
    pub fn code_ahead(&self, document: &Document) -> Option<&'static Code> {
        self.code(Reader::new(&COUPON, document, known(None)).text("code")?)
    }
}

/// Names of steels, of codes a coupon is welded to and of codes that judge it by
/// eye, with the day it is.
pub fn known(today: Today) -> Known<'static> {
    static NAMES: OnceLock<[Vec<&'static str>; 3]> = OnceLock::new();
    let [steels, codes, construction] = NAMES.get_or_init(|| {
        let steels = bendproof_weld::steel::steels().iter().map(|s| s.name.as_str()).collect();
        // The rule data is embedded and held by its own tests; were it broken,
        // every code name would be refused, which is the safe answer.
        let all = bendproof_codes::catalogue::codes().unwrap_or_default();
        let ids =
            |is_one: fn(&Code) -> bool| all.iter().filter(|c| is_one(c)).map(|c| c.id.as_str()).collect();
        [steels, ids(Code::has_tests), ids(|code| code.judges(RuleKind::Visual))]
    });
    Known { steels, codes, construction, today }
}

/// The name of a code by its id, `AWS D1.1:2020`; the id where no such code is known.
pub fn code_name(id: &str) -> String {
    bendproof_codes::catalogue::code(id).map_or(id.to_owned(), |code| code.short.clone())
}
