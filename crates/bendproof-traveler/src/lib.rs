//! One coupon's whole sheet, computed: from the text document to everything the
//! page shows and the paper prints.
//!
//! The assembly of the program: it calls the forecast and the code engine and
//! puts their answers into words. It holds no formula and no limit of its own,
//! and touches no disk, clock or database.

mod across;
mod build;
mod codes_view;
mod compare;
mod compare_text;
mod cover_chart;
mod cover_json;
mod exams;
mod fields;
mod figures;
mod found;
mod iso_beside;
pub mod issued;
mod items;
mod job;
pub mod json;
mod judge;
mod judgement;
mod known;
mod library;
mod metal;
mod named_gas;
pub mod origin;
mod overall;
mod pictures;
mod plates;
mod procedure;
mod procedure_json;
mod procedure_report;
mod record;
pub mod sheet;
mod side;
pub mod solved;
mod standing;
mod stated;
mod stock;
mod straps;
mod trade;
mod verdict;
mod verdict_json;
mod visual;
mod welder;
mod welder_ask;
mod window;
mod window_json;
mod window_side;
mod window_text;
mod window_view;

pub use across::{
    Across, AcrossCell, AcrossColumn, AcrossRow, ReachRow, UnderCode, across, reach, under_codes,
};
pub use build::{ForecastRead, Summary, build, build_with, read_forecast, read_forecast_solved, summary};
pub use codes_view::{AheadLine, CodeAhead, CodesView, RuleWay, codes_across, codes_view};
pub use compare::{
    AnswerPair, CompareRead, Compared, ComparedSide, FigurePair, InputDifference, Share, compare_svg,
    read_compare,
};
pub use compare_text::{compare_reasons, compare_rows, compare_sources, compare_summary};
pub use cover_chart::{coverage_description, coverage_svg};
pub use found::{Found, found_in};
pub use job::{Job, JobFound, JobJoint, JobRead, find_for_job, read_job, read_job_document};
pub use judge::{BendsRead, read_bends};
pub use judgement::{Amended, Judgement, Stampable, Stamped, stampable};
pub use known::{Today, Told, known};
pub use library::{
    LIBRARY_PARTS, Texts, library_field, library_issued, library_joint, library_joints, library_of_coupon,
    library_of_files, library_part, library_report,
};
pub use pictures::Look;
pub use plates::{PastPlate, PlatePoint, past_plate};
pub use procedure::{
    AskedJoint, ProcedureRecord, WrittenProcedure, read_joints, read_procedure, read_procedure_record,
};
pub use procedure_report::{JointReport, ProcedureReport, report_procedure, report_record};
pub use record::{Asked, RecordAnswer, RecordError, answer_record, read_record, record_findings};
pub use sheet::Sheet;
pub use side::Side;
pub use solved::{
    MeasuredError, SolvedCoupon, SolvedSheet, read_measured, solve_coupon, solve_text, solved_json,
    solved_sheet,
};
pub use standing::{Held, Use, held};
pub use verdict::{CouponVerdict, VerdictRead, coupon_verdict, is_coupon, read_coupon_verdict};
pub use visual::is_out_of_reach;
pub use welder::{Lane, LifeAdvice, Stretch, lanes, life_advice, timeline_svg, timeline_words};
pub use welder_ask::{HeldAnswer, HeldUnder, ask_held};
pub use window::{
    CHANCE_DRAWS, CHANCE_SEED, TradeSide, Window, WindowRead, WindowRequest, read_window, window,
    window_description, window_svg, window_title,
};
pub use window_text::{window_csv, window_lines, window_sources};
pub use window_view::{
    ChanceView, ChangeView, KnobLine, SideView, WindowAsk, WindowChoice, WindowLine, WindowPlace, WindowView,
    window_chance, window_of, window_place, window_view, window_written,
};
