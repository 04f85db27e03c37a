//! What a record is made of: a coupon with the uses of its welder, or a procedure
//! of the library with its record. Here they become the record itself.

use bendproof_bench::desk::{RecordOf, Trouble};
use bendproof_codes::catalogue::Code;
use bendproof_codes::words::RuleKind;
use bendproof_files::Document;
use bendproof_shop::Subject;
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::issued::{
    Issue, Record, RecordKind, RecordRefused, bends, continuity, log_of_coupon, procedure_record, under,
    welder,
};
use bendproof_traveler::library::{Texts, library_issued};
use bendproof_traveler::welder::Use;

use super::lists::uses_with_who;
use super::records::broken;
use super::{ShopDesk, trouble};

/// Kinds that are issued from a coupon.
const OF_COUPON: [RecordKind; 4] =
    [RecordKind::Welder, RecordKind::Bends, RecordKind::ProcedureTest, RecordKind::Continuity];
/// Kinds that are issued from a procedure; without a test behind it, the first.
const OF_PROCEDURE: [RecordKind; 2] = [RecordKind::Procedure, RecordKind::ProcedureTest];

/// A coupon or a procedure as it stands.
pub(super) enum Source {
    /// With its version, the logged uses of its welder and who entered them.
    Coupon(i64, Document, Vec<(Use, String)>),
    Procedure(Texts),
}

impl ShopDesk {
    pub(super) async fn record_source(&self, of: RecordOf, number: &str) -> Result<Source, Trouble> {
        if of == RecordOf::Procedure {
            let kept = self.shop.document(Subject::Procedure, number).await.map_err(trouble)?;
            return Ok(Source::Procedure(kept.values));
        }
        let (version, document) = self.document(number).await?;
        let welder = document.get("welder").unwrap_or_default().to_owned();
        let uses = uses_with_who(&self.shop, &welder).await?;
        Ok(Source::Coupon(version, document, uses))
    }
}

impl Source {
    /// The version of the coupon; `None` for a procedure, which has no verdict.
    pub(super) fn coupon_version(&self) -> Option<i64> {
        match self {
            Self::Coupon(version, ..) => Some(*version),
            Self::Procedure(_) => None,
        }
    }

    pub(super) fn kinds(&self) -> &'static [RecordKind] {
        match self {
            Self::Coupon(..) => &OF_COUPON,
            Self::Procedure(texts) if texts.keys().any(|path| path.starts_with("record.")) => &OF_PROCEDURE,
            Self::Procedure(_) => &OF_PROCEDURE[..1],
        }
    }

    /// The codes it may be issued under, its own first.
    pub(super) fn codes(&self, context: AssessmentContext) -> Result<Vec<(String, String)>, Trouble> {
        let own = match self {
            Self::Coupon(_, document, _) => context.code_of(document).map(|code| code.id.clone()),
            Self::Procedure(texts) => texts.get("procedure.code").cloned(),
        };
        let all = context.codes().map_err(|why| broken(&why.to_string()))?;
        let named = |code: &&Code| (code.id.clone(), code.full_title());
        let mut out: Vec<_> = all.iter().filter(|code| self.is_under(code)).map(named).collect();
        out.sort_by_key(|(id, _)| Some(id) != own.as_ref());
        Ok(out)
    }

    /// Why a welder record of the coupon is not to be signed, where one can be issued.
    pub(super) fn open_of_welder_record(&self, context: AssessmentContext) -> Vec<String> {
        let Self::Coupon(_, document, _) = self else { return Vec::new() };
        let record = welder(document, None, context, Issue::print(String::new()));
        record
            .ok()
            .filter(|record| !record.is_complete)
            .into_iter()
            .flat_map(|r| r.open_points)
            .take(1)
            .collect()
    }

    fn is_under(&self, code: &Code) -> bool {
        match self {
            Self::Coupon(..) => code.has_tests(),
            Self::Procedure(_) => code.rules.iter().any(|rule| rule.kind == RuleKind::Variable),
        }
    }

    /// The record, or the sentences that say why there is none.
    pub(super) fn made(
        &self,
        kind: RecordKind,
        code: Option<&str>,
        context: AssessmentContext,
        first: Issue,
    ) -> Result<Record, Vec<String>> {
        match self {
            Self::Coupon(_, document, uses) => of_coupon(kind, document, code, uses, context, first),
            Self::Procedure(texts) => {
                let code =
                    code.map(|name| context.named(name)).transpose().map_err(|why| vec![why.to_string()])?;
                library_issued(texts, kind, code, context, first)
                    .map_err(|all| all.into_iter().map(|finding| finding.message).collect())
            }
        }
    }
}

fn of_coupon(
    kind: RecordKind,
    document: &Document,
    code: Option<&str>,
    uses: &[(Use, String)],
    context: AssessmentContext,
    first: Issue,
) -> Result<Record, Vec<String>> {
    let said = |refused: RecordRefused| refused.sentences();
    match kind {
        RecordKind::Bends => bends(document, code, context, first).map_err(said),
        RecordKind::Continuity => {
            let document = under(document, code, context).map_err(said)?;
            log_of_coupon(&document, uses, context).map(|log| continuity(&log, first)).map_err(said)
        }
        RecordKind::ProcedureTest | RecordKind::Procedure => {
            let text = under(document, code, context).map_err(said)?.to_toml(&bendproof_files::COUPON);
            let faults = |error: bendproof_traveler::welder::RecordError| {
                error.findings.into_iter().map(|finding| finding.message).collect()
            };
            procedure_record(&text, None, context, first).map_err(faults)
        }
        RecordKind::Welder => welder(document, code, context, first).map_err(said),
    }
}
