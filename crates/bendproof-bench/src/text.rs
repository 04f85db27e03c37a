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
        /// A key of the catalogue. The English words stand beside each.
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
    SkipToMain "Skip to the sheet"
    NavMain "Main"
    NavCoupons "Coupons"
    NavWelders "Welders"
    NavFinder "Smallest test"
    NavProcedures "Procedures"
    NavAbout "About"
    ThemeLabel "Light"
    ThemeAuto "as the device"
    ThemePaper "paper"
    ThemeSteel "steel"
    ThemeSet "Set"
    ClockConfirm "The clock is right"
    WhoAsk "Who is at the bench?"
    WhoWhy "Your name goes beside each change you make. It is kept on this device only; there is no password."
    WhoSet "Start"
    WhoChange "Change the name"
    WhoIs "At the bench"
    WhoNobody "not named"
    WhoRequired "Type the name to go beside your changes."
    CouponsTitle "Coupons"
    CouponsLead "One sheet follows each coupon through the shop"
    CouponsNone "No coupon yet. Start one below."
    CouponsFindHint "by number, welder, position or the title that was typed"
    ListFind "Find"
    ListFindButton "Find"
    ListAll "Show all"
    ListNothing "Nothing holds these words. Write fewer of them, or show all."
    ListPages "pages of the list"
    ListShown "{from} to {to} of {all}"
    ListFirst "First"
    ListBefore "Back"
    ListNext "Next"
    ListLast "Last"
    CouponNew "Start a coupon"
    CouponTemplate "Start from"
    CouponCreate "Start the sheet"
    ColNumber "No."
    ColTitle "Coupon"
    ColProcedureTitle "Procedure"
    ColWelder "Welder"
    ColStage "Stage"
    ColStamp "Says"
    ColChanged "Changed"
    WeldersTitle "Welders"
    WeldersLead "What each welder may weld, and until when"
    WeldersNone "No welder yet. Add the first below."
    WeldersFindHint "by name or stamp"
    WeldersMoreNames "{n} more names on coupons are not entered yet. Find one by its name."
    WeldersNotEntered "not entered yet"
    WelderEnter "Add {name}"
    WelderAdd "Add a welder"
    WelderAddWhy "Write the name as it stands on the coupons: it is how a coupon finds its welder."
    WelderName "name"
    WelderStamp "stamp"
    WelderStampHint "the mark beside a weld, may stay empty"
    WelderStampWords "stamp {stamp}"
    WelderAddButton "Add to the list"
    ColName "Name"
    ColStanding "Standing"
    ColUntil "Until"
    WelderStanding "Standing"
    WelderContinuity "What keeps it alive"
    WelderCoupons "Coupons welded"
    WelderNoCoupons "No coupon with this name yet."
    WelderHistory "History"
    WelderRecord "Welder record as PDF, Letter"
    WelderRecordA4 "Welder record as PDF, A4"
    WelderNothing "Nothing held yet"
    UseNone "No use of a process is logged yet."
    UseLog "Log a use"
    UseWhy "Under the American codes a use of the process keeps what is held with it; under ISO 9606-1 only a use counts that the responsible person or the examiner has checked. A use needs its proof: job, coupon or log line, and who saw it."
    UseDate "day"
    UseProcess "process"
    UseTransfer "metal transfer"
    UseNoTransfer "none"
    UseTransferHint "GMAW needs one, other processes have none"
    UseEvidence "proof"
    UseEvidenceHint "what was welded, and who saw it"
    UseChecked "checked by"
    UseCheckedHint "under ISO 9606-1: the responsible person or the examiner"
    UseButton "Log the use"
    DaysOn "as of the day"
    DaysShow "Show that day"
    DaysToday "Back to today"
    DaysTold "As known on {day}: later tests and uses do not count."
    DaysWords "The time line in words"
    DaysLife "What keeps it, what a lapse costs, retests"
    DaysNotHeld "Nothing was held on that day."
    DaysCovers "What it covers"
    AskOpen "May this welder weld this joint?"
    AskTitle "May {name} weld this joint?"
    AskLead "Say what the joint is. The answer is covered, not covered or not sure, for each code under which something is held."
    AskBack "Back to {name}"
    AskButton "Ask"
    AskDay "day of the work"
    AskWrong "Not answered yet. See beside the boxes."
    AskNothing "No accepted coupon stands behind this name on that day."
    AskBaseMetal "Where no base metal is named the answer says nothing of it."
    AskUnder "Under {code}"
    AskCoupon "coupon {n}"
    AskRest "{n} more coupons"
    AskRestOne "One more coupon"
    ProceduresTitle "Procedures"
    ProceduresLead "What may be welded, what was tested for it, and what each code allows"
    ProceduresNone "No procedure yet. Enter the first below."
    ProceduresFindHint "by number, process or joint"
    ProcedureCoupon "or an older coupon"
    ProcedureCouponHint "its number; the list above holds the latest that were accepted"
    ProcedureCode "code"
    ProcedureSupport "supported by its record"
    ProcedureNew "Enter a procedure"
    ProcedureNewWhy "From an accepted coupon it states what was welded and nothing wider. Widen it within what its page allows."
    ProcedureNumber "number"
    ProcedureStart "start from"
    ProcedureNewButton "Enter it"
    ProcedureBack "Procedure {n}"
    ProcedureAskOpen "Is this joint inside?"
    ProcedureAskTitle "Is a joint inside {n}?"
    ProcedureAskLead "Say what the joint is. What is left empty and matters is answered not sure."
    ProcedureAskMore "More about the joint"
    ProcedureOwnCode "the procedure's own"
    ProcedureAllowed "What is allowed"
    ProcedureUnread "It cannot be held to the code as it stands"
    ProcedureRevisions "Revisions"
    ProcedureFile "Procedure file (TOML)"
    ProcedureRecordFile "Record file (TOML)"
    ProcedureConflict "Somebody else changed this procedure. What you typed is still in the boxes, not kept."
    ProcedureUnder "under the code"
    ProcedureUnderShow "Show"
    ProcedureClaim "claim to need no test"
    ProcedureVariables "Each variable, and what the record allows"
    ProcedureJoints "Joints written into it"
    ProcedureVariable "Variable"
    ProcedureValue "Record"
    ProcedureMay "Allowed"
    ProcedureClass "Outside means"
    ProcedureRule "Clause"
    ProcedureInside "{n} inside"
    ProcedureDrawn "The joint, to scale"
    ProcedureFields "What it says"
    ProcedureSave "Keep as a revision"
    ProcedureRecordPart "The record behind it, as it was welded"
    ProcedurePart "The procedure"
    ProcedureMore "Fields that are empty"
    ProcedureJoint "Joint: {name}"
    ProcedureJointAdd "Add a joint"
    ProcedureJointWhy "It is held against the procedure each time this page is opened."
    ProcedureJointDrop "Take this joint out"
    ProcedureWhy "why the change"
    RuleClause "Clause"
    RuleLimits "Limits"
    RuleWords "What it asks"
    RuleSource "Where it is from"
    RuleCases "Its own test cases"
    RuleEditions "In other editions, and in this shop"
    RuleSame "the same"
    RuleGiven "Given"
    RuleExpected "Expected"
    AboutTitle "About this bench"
    AboutVersions "Versions"
    AboutCautions "Before you weld and before you bend"
    AboutLimits "What this program is not"
    CautionArc "Arc rays burn eyes and skin in seconds, also by reflection. Helmet, covered skin, and a screen for whoever stands by."
    CautionFume "Fumes harm; manganese in steel wire fume harms the nerves. Keep your head out of the plume and the air moving away from you."
    CautionShock "Welding current can kill. Dry gloves, whole cables, and never across your body."
    CautionFire "Sparks travel far and smoulder long. Clear or cover what burns, and keep a fire watch after the last arc."
    CautionGrind "Grinding throws grit and pieces of wheel. Guard on, face shield on, wheel rated for the speed."
    CautionBend "A strap that breaks in the jig is thrown. Guard the jig, stand aside, and keep hands out of the former."
    AboutFollow "Follow your code book, your local rules and a licensed engineer or inspector. A forecast is a help to practice, not a proof. Only a bent or examined coupon proves anything."
    PatternsTitle "Patterns"
    PatternsLead "Every component once, for whoever changes the look"
    OpFit "fit"
    OpSettings "settings"
    OpPasses "passes"
    OpForecast "forecast"
    OpLog "weld log"
    OpStraps "straps & bends"
    OpVerdict "verdict"
    OpStanding "standing"
    OpPaper "paper"
    OpsNav "Operations on this sheet"
    SignOff "signed"
    HeadEdit "Title, welder, code, dates"
    FindingsTitle "To settle first"
    Computed "From this follows"
    Totals "Together"
    Source "source"
    SourceOf "Source of {what}"
    SourceRule "the rule in full"
    BasisSeen "seen in a copy of the publication"
    BasisSecondary "seen in a publication that quotes it"
    BasisMemory "from memory: check against your own copy of the code"
    BasisDerived "derived from sourced values"
    BasisPractice "common practice, no source"
    BasisMeasured "measured"
    BasisChoice "a choice of this program"
    DefaultMark "not confirmed"
    MarkHolds "holds"
    MarkMarginal "marginal"
    MarkFails "fails"
    MarkNotKnown "not known"
    VoiceTrade "trade"
    VoicePhysics "physics"
    VoicePlates "your plates"
    TradeInside "inside"
    TradeOutside "outside"
    TradeNone "no range known"
    TradeRangeWords "{low} to {high}"
    NoValue "no value"
    UnitIn "inch"
    UnitInMin "inches per minute"
    UnitV "volts"
    LegendTitle "How to read a rule"
    LegendBracket "bracket: the trade's range"
    LegendHatch "hatched: the physics fails"
    LegendSparse "sparse: marginal"
    LegendBlank "dashed: not known"
    LegendDots "dots: your plates, filled held, open did not; a larger dot is several plates"
    PlatesTogether "{n} plates, {coupon} among them"
    PassName "pass {n}"
    LogName "line {n}"
    RowMore "{row}, all of it"
    SettingsFurther "Further values"
    ColBead "bead"
    ColTieIn "tie-in"
    PassAdd "Add a pass"
    PassRemove "Take away pass {n}"
    PassNone "No pass is planned yet. Add the root first."
    LogAdd "Log a bead"
    LogRemove "Take away log line {n}"
    LogNone "Nothing is logged yet. Log each bead as it is welded: the forecast stands beside what was read."
    LogLine "line"
    ForecastNone "No forecast yet: the fit or a pass is missing a value."
    SectionTitle "Section, as it would etch"
    SectionPageTitle "Section of coupon {n}, as it would etch"
    SectionBack "Coupon {n}"
    SectionOpen "Solve and show the section"
    SectionCaption "What a sawn, polished and etched slice would show: darker bands are plate the heat changed, lines are edges of fusion, the dotted line is the groove as prepared."
    SectionTable "What each bead melts"
    SectionPass "pass"
    SectionFilm "Film of one pass"
    SectionBead "Bead"
    SectionFrame "Time"
    SectionPlay "Play"
    SectionPause "Pause"
    SectionShow "Show"
    SectionPoint "Point at the section to put a thermocouple there."
    SectionCurves "Cooling curves"
    SectionNoMetal "No thermocouple lies in metal during this bead."
    SectionDefaultPlaces "One thermocouple beside each bead, half a millimetre outside the melted metal. Put your own to follow the bead chosen above."
    SectionPlaces "Thermocouples"
    SectionPlace "place"
    SectionPeak "highest"
    SectionT85 "800 to 500 °C"
    SectionMeasured "measured"
    SectionDrop "Take away"
    SectionDropNamed "Take away thermocouple {name}"
    SectionPlaceAdd "A thermocouple, in millimetres"
    SectionX "across from the centre line"
    SectionY "up from the underside"
    SectionPlacePut "Put it there"
    SectionPlacesFull "{n} thermocouples are the most shown at once; take one away first"
    SectionPlaceBad "“{typed}” is no place; write two numbers in millimetres, from -75 to 75"
    SectionMeasuredAdd "Lay a measured curve over it"
    SectionMeasuredHow "One reading a line: seconds after the arc passed, comma, degrees Celsius. It is laid over the first thermocouple. It is not kept: the shop has no place for curves yet."
    SectionMeasuredText "Readings, t_s,T_C"
    SectionMeasuredFile "From a file"
    SectionMeasuredLay "Lay it over"
    SectionMeasuredBad "The measured curve cannot be read: {why}"
    SectionNotes "What this picture leaves out"
    SectionSvg "Section (SVG)"
    SectionPng "Section (PNG)"
    SectionJson "Numbers (JSON)"
    SectionCsv "Cooling curves (CSV)"
    SectionWorking "Solving the section bead by bead, {n} s so far"
    SectionStale "Shows the coupon as last saved"
    SectionFailed "The section could not be loaded."
    WindowSmall "The root alone: opening against land, all else as planned"
    WindowOpen "Turn two settings on the map"
    WindowPageTitle "Settings window of coupon {n}"
    WindowAcross "Across"
    WindowUp "Upwards"
    WindowScope "Asked"
    WindowWhole "the whole plan"
    WindowRoot "the root alone"
    WindowDraw "Draw the map"
    WindowPoint "The place set: {x} across, {y} upwards"
    WindowPointRole "point, moves in two directions"
    WindowHow "Drag the point, or move it with the arrow keys; with Shift it goes a whole step. The words beside the map follow. Letting go, or Enter, writes both values to the coupon; Escape goes back."
    WindowHere "As set"
    WindowThere "There"
    WindowFirst "comes first"
    WindowSet "Set both"
    WindowTurn "What to turn"
    WindowTurnTo "Turn {what}"
    WindowBetter "Better by it"
    WindowWorse "Worse by it"
    WindowNothing "nothing worth telling"
    WindowKnobs "What each knob does"
    WindowKnobsOf "One step of each moves what comes first by so much. First comes {what}."
    WindowKnob "knob"
    WindowStands "stands at"
    WindowStep "one step"
    WindowMoves "moves it by"
    WindowPush "helps to the right, harms to the left"
    WindowChance "The chance that the root holds"
    WindowDrawing "Drawing coupons under your scatter…"
    WindowJointHolds "over the whole joint"
    WindowLost "Lost first by {what}."
    WindowNotes "How far to believe the map"
    WindowSvg "Map (SVG)"
    WindowPng "Map (PNG)"
    WindowCsv "Cells (CSV)"
    WindowJson "Numbers (JSON)"
    WindowFailed "The window could not be loaded."
    ForecastNotes "What the forecast does not know"
    DrivenBy "driven by {what}"
    VisualTitle "Looked at before cutting"
    SpecimensTitle "Specimens the code asks for"
    StrapAdd "Add a strap"
    StrapRemove "Take away strap {id}"
    TakeAway "Take away"
    StrapNone "No strap is cut yet."
    StrapTitle "Strap {id}, {kind}"
    StrapInspected "The bent face has been looked at"
    StrapNotInspected "not looked at yet"
    StrapNoneFound "looked at, no openings found"
    StrapConvex "Convex face of strap {id}, rolled flat. Point to place an opening"
    StrapBentAlt "Strap {id} on a former of {former} mm"
    OpeningAdd "Add an opening"
    OpeningRemove "Take away opening {n}"
    OpeningName "opening {n}"
    VisualFurther "Further readings some codes ask for"
    ExamsTitle "Other examinations"
    ExamsMissing "Asked for and not examined"
    ExamPiece "{title} {id}"
    ExamAdd "Add {title}"
    ExamRemove "Take away {title} {id}"
    ExamFlawsLooked "Looked for flaws"
    ExamFlawsNot "not looked for yet"
    ExamFlawsNone "looked for, none found"
    FlawAdd "Add a flaw"
    FlawName "flaw {n}"
    FlawRemove "Take away flaw {n}"
    PointAdd "Add a reading"
    PointName "reading {n}"
    PointRemove "Take away reading {n}"
    VerdictWhy "Why"
    StampButton "Stamp the verdict"
    StampHint "Keeps “{word}” with your name and the day. From then on what decides it changes only with a reason."
    StampGiven "Stamped “{word}” under {code} by {who}, {at}"
    StampNobody "Say who you are first: a stamped verdict names who gave it."
    VerdictNone "Nothing to judge yet: no strap has been looked at."
    StandingNone "Nothing is held from this coupon yet."
    RecordsOpen "Records of this coupon"
    RecordsOpenProcedure "Records of this procedure"
    RecordsTitle "Records of coupon {n}"
    RecordsTitleProcedure "Records of procedure {n}"
    RecordsLead "A record is issued and never altered. What changes is issued again with a reason, and every issue stays as it was."
    RecordsIssue "Issue a record"
    RecordsKind "Which record"
    RecordsCode "Under which code"
    RecordsWhy "Why it is issued again"
    RecordsWhyHint "Needed from the second issue on; it is printed on the record."
    RecordsButton "Issue it"
    RecordsIssued "Issued so far"
    RecordsNobody "A record names who issues it. Say at the top who is at the bench, then issue it."
    RecordsNone "No record was issued yet."
    RecordsReplaced "replaced"
    RecordsAmended "coupon amended since this issue: {words}"
    RecordAltered "Altered: not to be used."
    ColRecord "Record"
    ColIssue "Issue"
    ColCode "Code"
    ColState "State"
    ColWhen "When and by whom"
    ColWhy "Why"
    ColFiles "Files"
    RecordPdf "PDF, Letter"
    RecordPdfA4 "PDF, A4"
    RecordXlsx "Workbook"
    RecordJson "Record file"
    CodesOpen "This coupon under every code"
    CodesPageTitle "Coupon {n} under every code"
    CodesLead "Each code answers for itself. Where one says something other than the coupon's own code, it says different, with the reason where a rule gives one."
    CodesTable "The coupon, code by code"
    CodesAbout "What"
    CodesOwn "(the coupon's own)"
    CodesDiffers "different"
    CodesNothing "covers nothing"
    CodesRules "{n} rules"
    CodesWould "Would cover, if accepted"
    CodesWouldNot "Would not cover"
    CodesNotSure "Not sure"
    CodesAsks "What it asks"
    CodesLater "What keeps it, and what a failure costs"
    CodesFollow "Rules from memory are marked so on their pages: check them against your code book. The inspector decides."
    FinderTitle "The smallest test for a job"
    FinderLead "Write the joints a welder must weld. You get the coupons that cover them, fewest first, code by code."
    FinderJoint "Joint {n}"
    FinderCode "Code"
    FinderAll "Every code"
    FinderNone "not given"
    FinderMore "Add a joint"
    FinderLess "Take away the last joint"
    FinderFind "Find the coupons"
    FinderWrong "Not searched yet. See beside the boxes."
    FinderNothing "No coupon of the stock surely covers any of these joints."
    FinderSet "{n} coupons"
    FinderSetOne "1 coupon"
    FinderMetal "about {n} cm³ of metal"
    FinderCovers "covers {joints}"
    FinderIfSettled "Would do, once this is settled"
    FinderOpen "Not surely covered"
    FinderNearest "nearest is {test}"
    FinderCut "The search was cut short. A smaller set may exist."
    DoubtsTitle "What this sheet is not sure of"
    PaperTitle "Take away"
    DownloadPdf "Traveler as PDF, Letter"
    DownloadPdfA4 "Traveler as PDF, A4"
    DownloadToml "Coupon file (TOML)"
    DownloadJson "Forecast (JSON)"
    PrintHint "Or print this page: it lays itself out on one sheet."
    HistoryTitle "What was changed"
    HistoryNone "No change yet"
    Undo "Take back the latest change"
    Save "Save"
    StateSaved "Saved as version {n}"
    StateSaving "Saving…"
    StateUnsaved "Not saved yet. What you typed is kept here."
    StateOffline "The bench does not answer. What you typed is kept here and is tried again."
    StateRestored "Found what you typed before the page closed. It is not saved yet."
    StateRefused "Not saved. See beside the value."
    StateConflict "Somebody else changed this coupon. What you typed is kept here."
    Unsaved "not saved"
    Retry "Try again"
    Version "version {n}"
    WhyTitle "This coupon is judged. Why does it change?"
    WhyLabel "Why it changes"
    WhyButton "Amend"
    WhyLeave "Leave it as it is"
    ConflictTitle "Somebody else changed this coupon"
    ConflictTheirs "Changed since you opened it"
    ConflictYours "What you typed"
    UseMine "Put mine on top"
    TakeTheirs "Take theirs"
    ErrorTitleAbsent "There is no such page"
    ErrorAbsent "Nothing is kept under this address. Go back to the list and pick the coupon from there."
    ErrorTitleRefused "Not saved"
    ErrorTitleBroken "The bench could not do it"
    ErrorTitleHost "Refused"
    ErrorHost "This bench answers only to its own address on this machine. Open it at the address printed when it started."
    ErrorOrigin "A page from somewhere else tried to change something here. Nothing was changed."
    ErrorTitleLarge "Too much at once"
    ErrorLarge "The form is larger than {limit} KiB. Send less at once."
    ErrorForm "The form could not be read. Go back and send it again."
    ErrorVersion "The form does not say which version of the coupon it was made on. Open the coupon again and repeat the change."
    ErrorRow "The row to add or take away is not named. Open the coupon again and repeat."
    ErrorMethod "This address does not take that kind of request."
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
        assert_eq!(words["MarkHolds"], "holds");
    }
}
