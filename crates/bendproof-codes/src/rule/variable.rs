//! The variables of a procedure: what each is called, which fact holds the value
//! of the record and which the value asked about.
//!
//! Holds no limit; how far a variable may go stands in the code files.

use bendproof_measure::Kind;

use super::fact::Sort;
use crate::words::words;

words! {
    /// One variable of a welding procedure.
    Variable {
        /// Level of the procedure test, where the code has levels.
        Level = "level",
        /// Welding process.
        Process = "process",
        /// Metal transfer.
        Transfer = "transfer",
        /// Kind of groove.
        Groove = "groove_type",
        /// Angle of the groove, both bevels together.
        GrooveAngle = "groove_angle",
        /// Gap between the lands.
        RootOpening = "root_opening",
        /// Height of the land.
        RootFace = "root_face",
        /// What supports the root.
        Backing = "backing",
        /// Group of the base metal as the code counts it.
        BaseMetal = "base_metal",
        /// Groups of both sides of the joint, as 1-1 or 2-1.
        GroupPair = "group_pair",
        /// Least specified yield strength of the base metal.
        Yield = "yield_strength",
        /// Thickness of the base metal.
        Thickness = "thickness",
        /// Thickness of the weld metal of one process.
        Deposit = "deposit",
        /// Thickness of the thickest single pass.
        PassThickness = "pass_thickness",
        /// Throat of a fillet.
        Throat = "throat",
        /// Outside diameter of pipe.
        Diameter = "diameter",
        /// Position.
        Position = "position",
        /// Uphill or downhill.
        Progression = "progression",
        /// One layer or several.
        Runs = "runs",
        /// Filler group as the code counts it, as F6.
        Filler = "filler",
        /// Filler classification as printed on the spool.
        FillerClass = "filler_class",
        /// Analysis group of the weld metal, as A1.
        Analysis = "analysis",
        /// Form of the filler: solid, metal-cored or flux-cored.
        FillerForm = "filler_form",
        /// Low-hydrogen filler.
        LowHydrogen = "low_hydrogen",
        /// Wire or electrode diameter.
        WireDiameter = "wire_diameter",
        /// Number of electrodes.
        Electrodes = "electrodes",
        /// Shielding gas by its nominal shares.
        Gas = "gas",
        /// Shielding gas by its symbol of ISO 14175.
        GasGroup = "gas_group",
        /// Share of carbon dioxide in the gas.
        CarbonDioxide = "co2_share",
        /// Gas flow.
        GasFlow = "gas_flow",
        /// Gas behind the root.
        BackingGas = "backing_gas",
        /// Current type and polarity.
        Polarity = "polarity",
        /// Machine output: constant voltage or constant current.
        Output = "output",
        /// Amps.
        Amps = "amps",
        /// Volts.
        Volts = "volts",
        /// Wire feed speed.
        WireFeed = "wire_feed",
        /// Travel speed.
        Travel = "travel",
        /// Heat put into a length of weld.
        HeatInput = "heat_input",
        /// Metal temperature before the first arc.
        Preheat = "preheat",
        /// Highest metal temperature before a later pass.
        Interpass = "interpass",
        /// Lowest metal temperature before a later pass.
        LeastInterpass = "least_interpass",
        /// Heating held after welding, before it cools.
        PostHeat = "post_heat",
        /// Heat treatment after welding.
        Pwht = "pwht",
        /// Temperature of that treatment.
        PwhtTemperature = "pwht_temperature",
        /// Time between one pass and the next.
        TimeBetween = "time_between",
    }
}

words! {
    /// What a change of a variable asks for.
    VariableClass {
        /// A new procedure test.
        Essential = "essential",
        /// A new test where toughness is asked for, and nowhere else.
        Supplementary = "supplementary",
        /// The procedure is rewritten; no test.
        Nonessential = "nonessential",
    }
}

impl Variable {
    /// The fact that holds the value of the record.
    pub fn of_record(self) -> &'static str {
        self.facts().0
    }

    /// The fact that holds the value asked about.
    pub fn asked(self) -> &'static str {
        self.facts().1
    }

    /// Whether a joint has this of itself, before anybody chooses how to weld it.
    pub(crate) fn is_of_joint(self) -> bool {
        use Variable::*;
        matches!(
            self,
            Process
                | Transfer
                | Groove
                | Backing
                | BaseMetal
                | GroupPair
                | Yield
                | Thickness
                | Diameter
                | Position
                | Progression
                | Pwht
        )
    }

    /// The facts of this variable, record first.
    fn facts(self) -> (&'static str, &'static str) {
        match self {
            Variable::Position => ("positions", "ask_position"),
            Variable::Progression => ("progressions", "ask_progression"),
            Variable::Diameter => ("outside_diameter", "ask_diameter"),
            Variable::Level => ("test_level", "ask_level"),
            Variable::Process => ("process", "ask_process"),
            Variable::Transfer => ("transfer", "ask_transfer"),
            Variable::Groove => ("groove_type", "ask_groove_type"),
            Variable::GrooveAngle => ("groove_angle", "ask_groove_angle"),
            Variable::RootOpening => ("root_opening", "ask_root_opening"),
            Variable::RootFace => ("root_face", "ask_root_face"),
            Variable::Backing => ("backing", "ask_backing"),
            Variable::BaseMetal => ("base_metal", "ask_base_metal"),
            Variable::GroupPair => ("group_pair", "ask_group_pair"),
            Variable::Yield => ("yield_strength", "ask_yield_strength"),
            Variable::Thickness => ("thickness", "ask_thickness"),
            Variable::Deposit => ("deposit", "ask_deposit"),
            Variable::PassThickness => ("pass_thickness", "ask_pass_thickness"),
            Variable::Throat => ("throat", "ask_throat"),
            Variable::Runs => ("runs", "ask_runs"),
            Variable::Filler => ("filler", "ask_filler"),
            Variable::FillerClass => ("filler_class", "ask_filler_class"),
            Variable::Analysis => ("analysis", "ask_analysis"),
            Variable::FillerForm => ("filler_form", "ask_filler_form"),
            Variable::LowHydrogen => ("low_hydrogen", "ask_low_hydrogen"),
            Variable::WireDiameter => ("wire_diameter", "ask_wire_diameter"),
            Variable::Electrodes => ("electrodes", "ask_electrodes"),
            Variable::Gas => ("gas", "ask_gas"),
            Variable::GasGroup => ("gas_group", "ask_gas_group"),
            Variable::CarbonDioxide => ("co2_share", "ask_co2_share"),
            Variable::GasFlow => ("gas_flow", "ask_gas_flow"),
            Variable::BackingGas => ("backing_gas", "ask_backing_gas"),
            Variable::Polarity => ("polarity", "ask_polarity"),
            Variable::Output => ("output", "ask_output"),
            Variable::Amps => ("amps", "ask_amps"),
            Variable::Volts => ("volts", "ask_volts"),
            Variable::WireFeed => ("wire_feed", "ask_wire_feed"),
            Variable::Travel => ("travel", "ask_travel"),
            Variable::HeatInput => ("heat_input", "ask_heat_input"),
            Variable::Preheat => ("preheat", "ask_preheat"),
            Variable::Interpass => ("interpass", "ask_interpass"),
            Variable::LeastInterpass => ("least_interpass", "ask_least_interpass"),
            Variable::PostHeat => ("post_heat", "ask_post_heat"),
            Variable::Pwht => ("pwht", "ask_pwht"),
            Variable::PwhtTemperature => ("pwht_temperature", "ask_pwht_temperature"),
            Variable::TimeBetween => ("time_between", "ask_time_between"),
        }
    }
}

/// Facts of procedures and fit-up that no other rule asks for.
#[rustfmt::skip]
pub(crate) const VOCABULARY: &[(&str, Sort, &str)] = &[
    ("test_pipe", Sort::Word, "job size, or one of the code's standard test pipes: job, small or large"),
    ("test_level", Sort::Word, "level of the procedure test: 1 or 2"),
    ("groove_type", Sort::Word, "square, single_v, double_v, single_bevel, double_bevel, single_u, double_u, single_j, double_j"),
    ("groove_angle", Sort::Measure(Kind::Angle), "groove angle (included angle) as designed or tested"),
    ("root_opening", Sort::Length, "root opening as designed or tested"),
    ("root_face", Sort::Length, "root face as designed or tested"),
    ("groove_radius", Sort::Length, "radius at the foot of a U or J groove's wall, for its drawing"),
    ("groove_depth", Sort::Length, "depth a double groove is prepared from the far side, for its drawing"),
    ("group_pair", Sort::Word, "groups of both sides of the joint, as 1-1 or 2-1"),
    ("pass_thickness", Sort::Length, "thickness of the thickest single pass"),
    ("filler_class", Sort::Word, "filler classification of the test, as ER70S-6"),
    ("analysis", Sort::Word, "analysis group of the weld metal, as A1"),
    ("filler_form", Sort::Word, "solid, metal-cored or flux-cored"),
    ("low_hydrogen", Sort::Flag, "low-hydrogen filler metal"),
    ("wire_diameter", Sort::Length, "diameter of the wire or electrode"),
    ("electrodes", Sort::Number, "number of electrodes"),
    ("gas", Sort::Word, "shielding gas by its nominal percentages"),
    ("gas_group", Sort::Word, "shielding gas by its symbol of ISO 14175"),
    ("co2_share", Sort::Measure(Kind::Share), "percentage of carbon dioxide in the gas"),
    ("gas_flow", Sort::Measure(Kind::Flow), "gas flow rate"),
    ("backing_gas", Sort::Flag, "backing gas"),
    ("polarity", Sort::Word, "DCEP, DCEN or AC"),
    ("output", Sort::Word, "power source output: CV or CC"),
    ("amps", Sort::Measure(Kind::Current), "amps"),
    ("volts", Sort::Measure(Kind::Voltage), "volts"),
    ("wire_feed", Sort::Measure(Kind::Speed), "wire feed speed"),
    ("travel", Sort::Measure(Kind::Speed), "travel speed"),
    ("heat_input", Sort::Measure(Kind::EnergyPerLength), "heat input, as the code counts it"),
    ("heat_input_low", Sort::Measure(Kind::EnergyPerLength), "the same of a second test at a lower heat input"),
    ("preheat", Sort::Measure(Kind::Temperature), "base metal temperature before the first arc"),
    ("interpass", Sort::Measure(Kind::Temperature), "maximum interpass temperature"),
    ("least_interpass", Sort::Measure(Kind::Temperature), "minimum interpass temperature"),
    ("post_heat", Sort::Flag, "postheat"),
    ("pwht", Sort::Flag, "PWHT"),
    ("pwht_temperature", Sort::Measure(Kind::Temperature), "PWHT holding temperature"),
    ("time_between", Sort::Measure(Kind::Time), "longest time between passes"),
    ("toughness", Sort::Flag, "toughness is required: impact tests"),
    ("hardness_asked", Sort::Flag, "hardness is required"),
    ("steel", Sort::Word, "steel by its specification"),
    ("filler_iso", Sort::Word, "ISO designation of the filler metal on its certificate"),
    ("hydrogen_class", Sort::Word, "hydrogen class of the filler by EN 1011-2, A to E"),
    ("hydrogen", Sort::Measure(Kind::Hydrogen), "diffusible hydrogen of the weld metal"),
    ("detail", Sort::Word, "joint detail by its designation"),
    ("ask_level", Sort::Word, "level of the joint"),
    ("ask_groove_type", Sort::Word, "groove type of the joint"),
    ("ask_groove_angle", Sort::Measure(Kind::Angle), "groove angle of the joint, designed or measured"),
    ("ask_root_opening", Sort::Length, "root opening of the joint, designed or measured"),
    ("ask_root_face", Sort::Length, "root face of the joint, designed or measured"),
    ("ask_hi_lo", Sort::Length, "mismatch of the edges as measured"),
    ("ask_fillet_gap", Sort::Length, "gap under a fillet as measured"),
    ("ask_backing_gap", Sort::Length, "gap between backing and plate as measured"),
    ("ask_build_up", Sort::Length, "root opening to be built up by welding before the joint is made"),
    ("ask_group_pair", Sort::Word, "groups of the joint, as 1-1"),
    ("ask_yield_strength", Sort::Stress, "yield strength of the joint"),
    ("ask_deposit", Sort::Length, "weld metal thickness of the joint"),
    ("ask_pass_thickness", Sort::Length, "thickest pass of the joint"),
    ("ask_throat", Sort::Length, "throat of the joint"),
    ("ask_filler_class", Sort::Word, "filler classification of the joint"),
    ("ask_analysis", Sort::Word, "analysis group of the joint"),
    ("ask_filler_form", Sort::Word, "filler form of the joint"),
    ("ask_low_hydrogen", Sort::Flag, "low-hydrogen filler of the joint"),
    ("ask_wire_diameter", Sort::Length, "wire diameter of the joint"),
    ("ask_electrodes", Sort::Number, "number of electrodes of the joint"),
    ("ask_gas", Sort::Word, "gas of the joint"),
    ("ask_gas_group", Sort::Word, "gas symbol of the joint"),
    ("ask_co2_share", Sort::Measure(Kind::Share), "percentage of carbon dioxide of the joint"),
    ("ask_gas_flow", Sort::Measure(Kind::Flow), "gas flow rate of the joint"),
    ("ask_backing_gas", Sort::Flag, "backing gas of the joint"),
    ("ask_polarity", Sort::Word, "polarity of the joint"),
    ("ask_output", Sort::Word, "power source output of the joint"),
    ("ask_amps", Sort::Measure(Kind::Current), "amps of the joint"),
    ("ask_volts", Sort::Measure(Kind::Voltage), "volts of the joint"),
    ("ask_wire_feed", Sort::Measure(Kind::Speed), "wire feed of the joint"),
    ("ask_travel", Sort::Measure(Kind::Speed), "travel of the joint"),
    ("ask_heat_input", Sort::Measure(Kind::EnergyPerLength), "heat input of the joint"),
    ("ask_preheat", Sort::Measure(Kind::Temperature), "preheat of the joint"),
    ("ask_interpass", Sort::Measure(Kind::Temperature), "interpass temperature of the joint"),
    ("ask_least_interpass", Sort::Measure(Kind::Temperature), "lowest interpass temperature of the joint"),
    ("ask_post_heat", Sort::Flag, "postheat of the joint"),
    ("ask_pwht", Sort::Flag, "PWHT of the joint"),
    ("ask_pwht_temperature", Sort::Measure(Kind::Temperature), "PWHT temperature of the joint"),
    ("ask_time_between", Sort::Measure(Kind::Time), "time between passes of the joint"),
];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::fact::vocabulary;
    use super::*;

    #[test]
    fn every_variable_has_both_facts_and_they_hold_the_same_sort() {
        for variable in Variable::ALL {
            let (_, tested) = vocabulary(variable.of_record()).unwrap();
            let (_, asked) = vocabulary(variable.asked()).unwrap();
            // A record may have several positions and progressions; a joint has one.
            assert!(tested == asked || tested == Sort::Words, "{variable}");
        }
    }
}
