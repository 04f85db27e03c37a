//! Every word the page itself says, in one catalogue.
//!
//! Words that come from the sheet (labels of fields, verdicts, clauses) are
//! made by the program behind it and are not repeated here. A second language
//! is a second column of this table; a test holds that no key is empty.

/// The languages the page speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
}

impl Language {
    /// Tag for the `lang` attribute.
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
        }
    }
}

macro_rules! catalogue {
    ($($key:ident $english:literal)*) => {
        /// A key of the catalogue. The English words stand after each.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Key {
            $(#[doc = $english] $key,)*
        }

        impl Key {
            /// Every key, in the order of the table.
            #[cfg(test)]
            pub const ALL: &'static [Key] = &[$(Key::$key,)*];

            /// The words in a language.
            pub fn say(self, language: Language) -> &'static str {
                match language {
                    Language::English => match self { $(Key::$key => $english,)* },
                }
            }

            /// The key's own name, as scripts ask for it.
            pub fn name(self) -> &'static str {
                match self { $(Key::$key => stringify!($key),)* }
            }
        }
    };
}

/// The words for a key in the language the page speaks now.
pub fn t(key: Key) -> &'static str {
    key.say(Language::default())
}

/// The words for a key with `{name}` places filled.
pub fn fill(key: Key, places: &[(&str, &str)]) -> String {
    let mut words = t(key).to_owned();
    for (name, value) in places {
        words = words.replace(&format!("{{{name}}}"), value);
    }
    words
}

/// Words the scripts need, as a JSON object by key name.
pub fn script_words() -> String {
    let words: serde_json::Map<String, serde_json::Value> =
        SCRIPT_KEYS.iter().map(|key| (key.name().to_owned(), t(*key).into())).collect();
    serde_json::Value::Object(words).to_string()
}

/// Keys handed to the scripts.
const SCRIPT_KEYS: &[Key] = &[
    Key::StateSaved,
    Key::StateSaving,
    Key::StateUnsaved,
    Key::StateOffline,
    Key::StateRestored,
    Key::StateRefused,
    Key::StateConflict,
    Key::Unsaved,
    Key::Retry,
    Key::ConflictTitle,
    Key::WhyTitle,
    Key::WhyLabel,
    Key::WhySame,
    Key::WhyButton,
    Key::WhyLeave,
    Key::ConflictYours,
    Key::UseMine,
    Key::TakeTheirs,
    Key::MarkHolds,
    Key::MarkMarginal,
    Key::MarkFails,
    Key::MarkNotKnown,
    Key::VoicePhysics,
    Key::VoiceTrade,
    Key::TradeInside,
    Key::TradeOutside,
    Key::TradeNone,
    Key::UnitIn,
    Key::UnitInMin,
    Key::UnitV,
    Key::NoValue,
    Key::SectionWorking,
    Key::SectionStale,
    Key::SectionFailed,
    Key::SectionPlay,
    Key::SectionPause,
    Key::WindowFailed,
    Key::WindowThere,
];

catalogue! {
    Brand "Bendproof"
    SkipToMain "Skip to the main content"
    NavMain "Main"
    NavCoupons "Coupons"
    NavWelders "Welders"
    NavFinder "Test finder"
    NavProcedures "Procedures (WPS)"
    NavAbout "About"
    ThemeLabel "Screen"
    ThemeAuto "auto"
    ThemePaper "light"
    ThemeSteel "dark"
    ThemeSet "Set"
    ClockConfirm "The clock is right"
    WhoAsk "Your name?"
    WhoWhy "Your name is recorded with each change you make. It is stored on this device only; there is no password."
    WhoSet "OK"
    WhoChange "Change the name"
    WhoIs "Signed in as"
    WhoNobody "nobody"
    WhoRequired "Enter your name. It is recorded with your changes."
    CouponsTitle "Coupons"
    CouponsLead "Every test coupon and its traveler"
    CouponsNone "No coupon yet. Start one below."
    CouponsFindHint "by number, welder, position or title"
    ListFind "Find"
    ListFindButton "Find"
    ListAll "Show all"
    ListNothing "No match. Use fewer words, or show all."
    ListPages "pages of the list"
    ListShown "{from} to {to} of {all}"
    ListFirst "First"
    ListBefore "Back"
    ListNext "Next"
    ListLast "Last"
    CouponNew "Start a coupon"
    CouponTemplate "Template"
    CouponCreate "Create traveler"
    ColNumber "No."
    ColTitle "Coupon"
    ColProcedureTitle "WPS"
    ColWelder "Welder"
    ColStage "Status"
    ColStamp "Result"
    ColChanged "Last changed"
    WeldersTitle "Welders"
    WeldersLead "What each welder is qualified for, and when it expires"
    WeldersNone "No welder yet. Add the first below."
    WeldersFindHint "by name or stamp"
    WeldersMoreNames "{n} more names on coupons are not in the welder list yet. Find one by name."
    WeldersNotEntered "not in the list yet"
    WelderEnter "Add {name}"
    WelderAdd "Add a welder"
    WelderAddWhy "Enter the name exactly as on the coupons. Coupons are matched to welders by name."
    WelderName "name"
    WelderStamp "welder ID (stamp)"
    WelderStampHint "may be left blank"
    WelderStampWords "stamp {stamp}"
    WelderAddButton "Add to the list"
    ColName "Name"
    ColStanding "Qualified for"
    WelderStanding "Qualification status"
    WelderContinuity "Continuity log"
    WelderCoupons "Coupons welded"
    WelderNoCoupons "No coupon with this name yet."
    WelderHistory "History"
    WelderRecord "WPQ of coupon {coupon} as PDF, Letter"
    WelderRecordA4 "WPQ of coupon {coupon} as PDF, A4"
    WelderWhyNone "coupon {coupon}: {why}"
    WelderNoTest "no accepted coupon yet"
    WelderMoreStandings "and {n} more on this welder's page"
    WelderNothing "No qualifications yet"
    UseNone "No process use logged yet."
    UseLog "Log process use"
    UseWhy "Under the American codes, using the process keeps its qualifications current. Under ISO 9606-1 only use confirmed by the responsible person or the examiner counts. Enter evidence: job, coupon or log line, and who saw it."
    UseDate "date"
    UseProcess "process"
    UseTransfer "transfer mode"
    UseNoTransfer "none"
    UseTransferHint "required for GMAW; none for other processes"
    UseEvidence "evidence"
    UseEvidenceHint "what was welded, and who saw it"
    UseChecked "verified by"
    UseCheckedHint "under ISO 9606-1: the responsible person or the examiner"
    UseButton "Log process use"
    DaysOn "status as of"
    DaysShow "Show that date"
    DaysToday "Back to today"
    DaysAsOf "Status as of {day}. Later tests and process use are not counted."
    DaysAhead "Status as of {day}, if no further use is logged and no further test is passed."
    DaysWords "Timeline as text"
    DaysLife "Continuity, expiration and retests"
    DaysNotHeld "No qualification was in effect on that date."
    DaysCovers "Qualification range"
    AskOpen "Is this welder qualified for a joint?"
    AskTitle "Is {name} qualified for this joint?"
    AskLead "Describe the joint. Under each code the answer is qualified, not qualified or undetermined."
    AskBack "Back to {name}"
    AskButton "Check"
    AskDay "date of the work"
    AskWrong "Not answered yet. See the messages next to the fields."
    AskNothing "This welder had no accepted coupon on that date."
    AskBaseMetal "ASME IX counts the base metal: enter its P-number or its steel."
    AskUnder "Under {code}"
    AskCoupon "coupon {n}"
    AskRest "{n} more coupons"
    AskRestOne "One more coupon"
    ProceduresTitle "Procedures (WPS)"
    ProceduresLead "Each WPS, the PQR behind it, and the ranges each code allows"
    ProceduresNone "No WPS yet. Add the first below."
    ProceduresFindHint "by number, process or joint"
    ProcedureCoupon "or an older coupon"
    ProcedureCouponHint "its number; the list above shows the latest accepted coupons"
    ProcedureCode "code"
    ProcedureSupport "supported by PQR"
    ProcedureNew "Add a WPS"
    ProcedureNewWhy "From an accepted coupon, the WPS starts with the values welded and nothing wider. Widen it within the ranges shown on its page."
    ProcedureNumber "number"
    ProcedureStart "start from"
    ProcedureNewButton "Add WPS"
    ProcedureBack "WPS {n}"
    ProcedureAskOpen "Does this WPS cover a joint?"
    ProcedureAskTitle "Does {n} cover this joint?"
    ProcedureAskLead "Describe the joint. Blank fields that matter make the answer undetermined."
    ProcedureAskMore "More about the joint"
    ProcedureOwnCode "the WPS's own"
    ProcedureAllowed "Ranges qualified by the PQR"
    ProcedureUnread "Cannot be checked against the code yet"
    ProcedureRevisions "Revisions"
    ProcedureFile "WPS file (TOML)"
    ProcedureRecordFile "PQR file (TOML)"
    ProcedureConflict "Someone else changed this WPS. Your entries are still in the fields, not saved."
    ProcedureUnder "under the code"
    ProcedureUnderShow "Show"
    ProcedureClaim "prequalified"
    ProcedureVariables "Each variable and its range qualified by the PQR"
    ProcedureJoints "Joints listed in this WPS"
    ProcedureVariable "Variable"
    ProcedureValue "PQR"
    ProcedureMay "Range"
    ProcedureClass "If outside the range"
    ProcedureRule "Clause"
    ProcedureInside "{n} within range"
    ProcedureDrawn "The joint, to scale"
    ProcedureFields "WPS values"
    ProcedureSave "Save revision"
    ProcedureRecordPart "PQR: actual values"
    ProcedurePart "The WPS"
    ProcedureMore "Blank fields"
    ProcedureJoint "Joint: {name}"
    ProcedureJointAdd "Add a joint"
    ProcedureJointWhy "It is checked against the WPS each time this page opens."
    ProcedureJointDrop "Remove joint"
    ProcedureWhy "reason for change"
    RuleClause "Clause"
    RuleLimits "Limits"
    RuleWords "Requirement"
    RuleSource "Source"
    RuleCases "Worked examples"
    RuleEditions "Other editions and shop limits"
    RuleSame "the same"
    RuleGiven "Given"
    RuleExpected "Expected"
    AboutTitle "About Bendproof"
    AboutVersions "Versions"
    AboutCautions "Safety before welding and bending"
    AboutLimits "Limits of this program"
    CautionArc "Arc rays burn eyes and skin in seconds, even reflected. Wear a helmet, cover your skin, and screen the arc from people nearby."
    CautionFume "Welding fumes are harmful; manganese in steel-wire fumes damages the nervous system. Keep your head out of the fumes and use exhaust or ventilation that carries them away from you."
    CautionShock "Welding current can kill. Use dry gloves without holes and undamaged cables; never let your body become part of the circuit."
    CautionFire "Sparks can travel 35 ft (10 m) and smolder for a long time. Remove or cover anything that burns, and keep a fire watch during the work and after the last arc."
    CautionGrind "Grinding throws particles and, if the wheel breaks, fragments. Keep the guard on, wear a face shield, and use a wheel rated at least for the speed of the grinder."
    CautionBend "A specimen that breaks in the bend jig is thrown out. Guard the jig, stand to the side, and keep hands away from plunger and die."
    AboutFollow "Follow your code book, local rules, and a licensed engineer or qualified inspector. A forecast helps you practice; only a bent or examined coupon proves anything."
    PatternsTitle "Patterns"
    PatternsLead "Every component of the page once, for changes to its look"
    OpFit "fit-up"
    OpSettings "settings"
    OpPasses "passes"
    OpForecast "forecast"
    OpLog "weld log"
    OpStraps "specimens & bend tests"
    OpVerdict "verdict"
    OpStanding "qualification"
    OpPaper "print & download"
    OpsNav "Operations on this traveler"
    SignOff "signed"
    HeadEdit "Title, welder, code, dates"
    FindingsTitle "Needs attention"
    Computed "Calculated"
    Totals "Totals"
    Source "source"
    SourceOf "Source of {what}"
    SourceRule "full code rule"
    BasisSeen "read in the publication"
    BasisSecondary "quoted in another publication"
    BasisMemory "from memory: check your code book"
    BasisDerived "derived from sourced values"
    BasisPractice "common practice, no source"
    BasisMeasured "measured"
    BasisChoice "program assumption"
    DefaultMark "default, not confirmed"
    DefaultBrief "default"
    MarkHolds "OK"
    MarkMarginal "marginal"
    MarkFails "fails"
    MarkNotKnown "unknown"
    VoiceTrade "typical range"
    VoicePhysics "model"
    VoicePlates "your coupons"
    TradeInside "within"
    TradeOutside "outside"
    TradeNone "no typical range"
    TradeRangeWords "{low} to {high}"
    NoValue "no value"
    UnitIn "inch"
    UnitInMin "inches per minute"
    UnitV "volts"
    LegendTitle "How to read a scale"
    LegendBracket "bracket: typical range"
    LegendHatch "hatched: model predicts failure"
    LegendSparse "sparse: marginal"
    LegendBlank "dashed: unknown"
    LegendDots "dots: your coupons, filled passed, open failed; a larger dot is several coupons"
    LegendRate "true rate: the 95 % interval of the pass rate, after Wilson; few coupons make it wide"
    PlatesTogether "{n} coupons, {coupon} among them"
    PassName "pass {n}"
    LogName "line {n}"
    RowMore "All fields of {row}"
    SettingsFurther "More values"
    ColBead "bead"
    ColPass "pass"
    ColTieIn "fusion"
    PassAdd "Add a pass"
    PassRemove "Remove pass {n}"
    PassNone "No pass is planned yet. Add a root pass."
    LogAdd "Log a bead"
    LogRemove "Remove log line {n}"
    LogNone "Nothing is logged yet. Log each bead as it is welded; the forecast is shown next to the readings."
    LogLine "line"
    ForecastNone "No forecast yet: fit-up or a pass is missing a value."
    SectionTitle "Predicted macroetch section"
    SectionPageTitle "Predicted macroetch section of coupon {n}"
    SectionBack "Coupon {n}"
    SectionOpen "Solve and show the section"
    SectionCaption "What a sawn, polished and etched slice would show: darker bands are the heat-affected zone, lines are fusion lines, the dotted line is the groove as prepared."
    SectionTable "Fusion by bead"
    SectionPass "pass"
    SectionFilm "Pass animation"
    SectionBead "Bead"
    SectionFrame "Time"
    SectionPlay "Play"
    SectionPause "Pause"
    SectionShow "Show"
    SectionPoint "Point at the section to put a thermocouple there."
    SectionCurves "Cooling curves"
    SectionNoMetal "No thermocouple is in metal during this bead."
    SectionDefaultPlaces "One thermocouple next to each bead, half a millimeter outside the melted metal. Place your own to follow the bead chosen above."
    SectionPlaces "Thermocouples"
    SectionPlace "location"
    SectionPeak "peak temperature"
    SectionT85 "800 to 500 °C"
    SectionMeasured "measured"
    SectionDrop "Remove"
    SectionDropNamed "Remove thermocouple {name}"
    SectionPlaceAdd "Add a thermocouple, in millimeters"
    SectionX "across from the centerline"
    SectionY "up from the underside"
    SectionPlacePut "Place it"
    SectionPlacesFull "{n} thermocouples is the maximum; remove one first"
    SectionPlaceBad "“{typed}” is not a location; enter two numbers in millimeters, from -75 to 75"
    SectionMeasuredAdd "Overlay a measured curve"
    SectionMeasuredHow "One reading a line: seconds after the arc passed, comma, degrees Celsius. It is drawn over the first thermocouple. It is not saved."
    SectionMeasuredText "Readings, t_s,T_C"
    SectionMeasuredFile "From a file"
    SectionMeasuredLay "Overlay"
    SectionMeasuredBad "The measured curve cannot be read: {why}"
    SectionNotes "Not included in this picture"
    SectionSvg "Section (SVG)"
    SectionPng "Section (PNG)"
    SectionJson "Numbers (JSON)"
    SectionCsv "Cooling curves (CSV)"
    SectionWorking "Solving the section bead by bead, {n} s so far"
    SectionStale "Shows the coupon as last saved"
    SectionFailed "The section could not be loaded."
    WindowSmall "Root pass only: root opening and root face, all else as planned"
    WindowOpen "Open the settings map"
    WindowPageTitle "Settings map, coupon {n}"
    WindowAcross "Horizontal axis"
    WindowUp "Vertical axis"
    WindowScope "Include"
    WindowWhole "whole weld"
    WindowRoot "root only"
    WindowDraw "Draw the map"
    WindowPoint "Selected point: {x} across, {y} up"
    WindowPointRole "point, moves in two directions"
    WindowHow "Drag the point, or move it with the arrow keys; Shift moves a whole step. The results next to the map follow. Releasing it, or Enter, saves both values to the coupon; Escape cancels."
    WindowHere "Current settings"
    WindowThere "Selected point"
    WindowFirst "governs"
    WindowSet "Set both"
    WindowTurn "What to change"
    WindowTurnTo "Change {what}"
    WindowBetter "Improves"
    WindowWorse "Gets worse"
    WindowNothing "nothing significant"
    WindowKnobs "Effect of each setting"
    WindowKnobsOf "Effect of one step on the governing result ({what})."
    WindowKnob "setting"
    WindowStands "current value"
    WindowStep "one step"
    WindowMoves "change in margin"
    WindowPush "right = better, left = worse"
    WindowChance "Chance of a sound root"
    WindowDrawing "Simulating coupons with your variation…"
    WindowJointHolds "over the whole joint"
    WindowLost "Most often fails by {what}."
    WindowNotes "Accuracy of the map"
    WindowSvg "Map (SVG)"
    WindowPng "Map (PNG)"
    WindowCsv "Cells (CSV)"
    WindowJson "Numbers (JSON)"
    WindowFailed "The settings map could not be loaded."
    ForecastNotes "Forecast limitations"
    DrivenBy "mostly affected by {what}"
    VisualTitle "Visual inspection before cutting"
    SpecimensTitle "Specimens required by the code"
    StrapAdd "Add a specimen"
    StrapRemove "Remove specimen {id}"
    TakeAway "Remove"
    StrapNone "No specimen is cut yet."
    StrapTitle "Specimen (strap) {id}, {kind}"
    StrapInspected "Convex surface inspected"
    StrapNotInspected "not inspected yet"
    StrapNoneFound "inspected, no discontinuities"
    StrapConvex "Convex surface of specimen {id}, laid flat. Click to place a discontinuity"
    StrapBentAlt "Specimen {id} on a plunger of {former} mm"
    StrapBentUnknown "Specimen {id} bent; plunger size unknown"
    OpeningAdd "Add a discontinuity"
    OpeningRemove "Remove discontinuity {n}"
    OpeningName "discontinuity {n}"
    VisualFurther "More readings, required by some codes"
    ExamsTitle "Other examinations"
    ExamsMissing "Required, not yet examined"
    ExamPiece "{title} {id}"
    ExamAdd "Add {title}"
    ExamRemove "Remove {title} {id}"
    ExamFlawsLooked "Inspected for indications"
    ExamFlawsNot "not inspected yet"
    ExamFlawsNone "inspected, none found"
    FlawAdd "Add an indication"
    FlawName "indication {n}"
    FlawRemove "Remove indication {n}"
    PointAdd "Add a reading"
    PointName "reading {n}"
    PointRemove "Remove reading {n}"
    VerdictWhy "Why"
    StampButton "Stamp the verdict"
    StampHint "Saves “{word}” with your name and the date. After that, what the verdict depends on changes only with a reason."
    StampGiven "Stamped “{word}” under {code} by {who}, {at}"
    StampNobody "Enter your name first: a stamped verdict shows who gave it."
    VerdictNone "Nothing to judge yet: no specimen is inspected."
    StandingNone "No qualification from this coupon yet."
    RecordsOpen "Records for this coupon"
    RecordsOpenProcedure "Records for this WPS"
    RecordsTitle "Records for coupon {n}"
    RecordsTitleProcedure "Records for WPS {n}"
    RecordsLead "Issued records are never edited. A correction is a new revision with a reason; earlier revisions are kept."
    RecordsIssue "Issue a record"
    RecordsKind "Which record"
    RecordsCode "Under which code"
    RecordsOpenPoints "A welder record would not be complete yet"
    RecordsWhy "Reason for revision"
    RecordsWhyHint "Required from the second revision on; printed on the record."
    RecordsButton "Issue record"
    RecordsIssued "Issued records"
    RecordsNobody "A record shows who issues it. Enter your name at the top, then issue it."
    RecordsNone "No record issued yet."
    RecordsReplaced "superseded"
    RecordsAmended "coupon amended since this revision: {words}"
    RecordAltered "Altered: do not use."
    ColRecord "Record"
    ColIssue "Rev."
    ColCode "Code"
    ColState "Status"
    ColWhen "When and by whom"
    ColWhy "Reason"
    ColFiles "Files"
    RecordPdf "PDF, Letter"
    RecordPdfA4 "PDF, A4"
    RecordXlsx "Workbook"
    RecordJson "Record file"
    CodesOpen "Compare codes for this coupon"
    CodesPageTitle "Coupon {n}: code comparison"
    CodesLead "Each code is evaluated separately. Where its result differs from the coupon's own code, it is marked different, with the reason if a rule gives one."
    CodesTable "The coupon, code by code"
    CodesAbout "Item"
    CodesOwn "(the coupon's own)"
    CodesDiffers "different"
    CodesNothing "no qualification"
    CodesRules "{n} rules"
    CodesWould "Will qualify for, if accepted"
    CodesWouldNot "Will not qualify for"
    CodesNotSure "Undetermined"
    CodesAsks "Requirements"
    CodesLater "Continuity and retests"
    CodesFollow "Rules from memory are marked on their pages: check them against your code book. The inspector decides."
    FinderTitle "Fewest test coupons for a job"
    FinderLead "List the joints to be welded. The finder shows the fewest coupons that qualify a welder for all of them, by code."
    FinderJoint "Joint {n}"
    FinderCode "Code"
    FinderAll "Every code"
    FinderNone "not entered"
    FinderMore "Add a joint"
    FinderLess "Remove the last joint"
    FinderFind "Find coupons"
    FinderWrong "Not searched yet. See the messages next to the fields."
    FinderNothing "No coupon in the stock is certain to qualify for any of these joints."
    FinderSet "{n} coupons"
    FinderSetOne "1 coupon"
    FinderMetal "about {n} of weld metal"
    FinderCovers "qualifies for {joints}"
    FinderIfSettled "Works if this is confirmed"
    FinderOpen "Not qualified for certain"
    FinderNearest "closest is {test}"
    FinderCut "The search was cut short. A smaller set may exist."
    DoubtsTitle "Open questions"
    PaperTitle "Download"
    DownloadPdf "Traveler as PDF, Letter"
    DownloadPdfA4 "Traveler as PDF, A4"
    DownloadToml "Coupon file (TOML)"
    DownloadJson "Forecast (JSON)"
    PrintHint "Or print this page."
    HistoryTitle "Change history"
    HistoryAll "All changes, in full"
    HistoryOf "Change history of coupon {n}"
    HistoryNone "No change yet"
    Undo "Undo last change"
    Save "Save"
    StateSaved "Saved as version {n}"
    StateSaving "Saving…"
    StateUnsaved "Not saved yet. Your entries are kept on this page."
    StateOffline "Bendproof is not responding. Your entries are kept on this page and will be saved when it does."
    StateRestored "Restored unsaved entries from your last visit. Not saved yet."
    StateRefused "Not saved. See the message next to the field."
    StateConflict "Someone else changed this coupon. Your entries are kept on this page."
    Unsaved "not saved"
    Retry "Try again"
    Version "version {n}"
    WhyTitle "This coupon is judged. Why does it change?"
    WhyLabel "reason for change"
    WhySame "Same as before: “{why}”"
    WhyButton "Amend"
    WhyLeave "Cancel"
    ConflictTitle "Someone else changed this coupon"
    ConflictTheirs "Changed since you opened it"
    ConflictYours "Your entry"
    UseMine "Overwrite with my values"
    TakeTheirs "Discard my changes"
    ErrorTitleAbsent "Page not found"
    ErrorAbsent "There is nothing at this address. Go back to the list and open the coupon from there."
    ErrorTitleRefused "Not saved"
    ErrorTitleBroken "Something went wrong"
    ErrorTitleHost "Refused"
    ErrorHost "Bendproof answers only at its own address on this computer. Open it at the address printed when it started."
    ErrorOrigin "A page from another site tried to change something here. Nothing was changed."
    ErrorTitleLarge "Too much data"
    ErrorLarge "The form is larger than {limit} KiB. Send less at once."
    ErrorForm "The form could not be read. Go back and send it again."
    ErrorVersion "The form does not include the version of the coupon it was made on. Reopen the coupon and repeat the change."
    ErrorRow "The request does not name the row to add or remove. Reopen the coupon and try again."
    ErrorMethod "This address does not accept that kind of request."
    ErrorTitleMethod "Wrong kind of request"
    ErrorRequest "Request {id}"
    BackToCoupon "Back to the coupon"
    BackToCoupons "Back to the coupons"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_is_silent_and_labels_do_not_end_in_colons() {
        for key in Key::ALL {
            let words = t(*key);
            assert!(!words.trim().is_empty(), "{}", key.name());
            assert!(!words.ends_with(':'), "{}", key.name());
        }
    }

    #[test]
    fn places_are_filled() {
        assert_eq!(fill(Key::Version, &[("n", "12")]), "version 12");
    }

    #[test]
    fn scripts_get_json() {
        let words: serde_json::Value = serde_json::from_str(&script_words()).unwrap();
        assert_eq!(words["MarkHolds"], "OK");
    }
}
