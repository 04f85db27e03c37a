//! The words a coupon may use, each with the spelling of the trade.
//!
//! One list per concept serves the files, the page, the paper and the rules, so
//! the same thing is never called by two names.

/// Declares an enum whose variants have one spelling each.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $($(#[$vdoc])* $variant),+ }

        impl $name {
            /// Every value, in the order a list shows them.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];
            /// Every accepted spelling, in the same order.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// The spelling used in files, on the page and on paper.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }

            /// Reads a spelling; case does not matter.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|v| v.word().eq_ignore_ascii_case(word.trim()))
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}

words! {
    /// A welding process, by its American abbreviation.
    Process {
        /// Gas metal arc welding.
        Gmaw = "GMAW",
        /// Flux-cored arc welding.
        Fcaw = "FCAW",
        /// Shielded metal arc welding.
        Smaw = "SMAW",
        /// Gas tungsten arc welding.
        Gtaw = "GTAW",
        /// Submerged arc welding.
        Saw = "SAW",
    }
}

words! {
    /// Current type and polarity.
    Polarity {
        /// Direct current, electrode positive.
        Dcep = "DCEP",
        /// Direct current, electrode negative.
        Dcen = "DCEN",
        /// Alternating current.
        Ac = "AC",
    }
}

words! {
    /// How metal crosses a gas metal arc.
    Transfer {
        /// Drops bridge to the pool, up to some 200 times a second.
        ShortCircuit = "short-circuit",
        /// Coarse drops fall across.
        Globular = "globular",
        /// Fine drops stream across.
        Spray = "spray",
        /// Spray driven by current pulses.
        Pulsed = "pulsed",
    }
}

words! {
    /// Shielding gas for carbon steel, nominal volume shares.
    Gas {
        /// 75 % argon, 25 % carbon dioxide.
        Ar75Co25 = "75Ar/25CO2",
        /// 80 % argon, 20 % carbon dioxide.
        Ar80Co20 = "80Ar/20CO2",
        /// 90 % argon, 10 % carbon dioxide.
        Ar90Co10 = "90Ar/10CO2",
        /// 98 % argon, 2 % oxygen.
        Ar98O2 = "98Ar/2O2",
        /// Carbon dioxide alone.
        Co2 = "100CO2",
    }
}

impl Gas {
    /// Share of argon by volume, 0 to 1.
    pub fn argon_share(self) -> f64 {
        match self {
            Gas::Ar75Co25 => 0.75,
            Gas::Ar80Co20 => 0.80,
            Gas::Ar90Co10 => 0.90,
            Gas::Ar98O2 => 0.98,
            Gas::Co2 => 0.0,
        }
    }
}

words! {
    /// Test position. G is a groove, F a fillet; 1 to 4 plate and rotated pipe,
    /// 5 and 6 fixed pipe.
    Position {
        /// Groove, flat; pipe rolled.
        G1 = "1G",
        /// Groove, horizontal; pipe axis vertical.
        G2 = "2G",
        /// Groove, vertical.
        G3 = "3G",
        /// Groove, overhead.
        G4 = "4G",
        /// Pipe fixed, axis horizontal.
        G5 = "5G",
        /// Pipe fixed, axis at 45 degrees.
        G6 = "6G",
        /// Pipe fixed at 45 degrees with a restricting ring.
        G6R = "6GR",
        /// Fillet, flat.
        F1 = "1F",
        /// Fillet, horizontal.
        F2 = "2F",
        /// Fillet, vertical.
        F3 = "3F",
        /// Fillet, overhead.
        F4 = "4F",
        /// Pipe fillet, fixed.
        F5 = "5F",
    }
}

words! {
    /// Direction of travel where the joint rises.
    Progression {
        /// Against gravity.
        Uphill = "uphill",
        /// With gravity.
        Downhill = "downhill",
        /// The joint does not rise: flat, horizontal, overhead plate, rolled pipe.
        Level = "level",
    }
}

words! {
    /// What stands behind the root.
    Backing {
        /// Nothing: open root, welded from one side.
        Open = "open",
        /// A steel bar left or removed later.
        Steel = "steel",
    }
}

words! {
    /// A pass by its place in the joint.
    PassKind {
        /// First pass; ties both lands together.
        Root = "root",
        /// Second pass over an open root.
        Hot = "hot",
        /// Passes that fill the groove.
        Fill = "fill",
        /// Last layer.
        Cap = "cap",
    }
}

words! {
    /// How the gun moves across the joint.
    Technique {
        /// Straight along the joint.
        Stringer = "stringer",
        /// From side to side.
        Weave = "weave",
    }
}

words! {
    /// Where a weave lingers.
    Dwell {
        /// The same everywhere.
        Even = "even",
        /// Pauses at both toes.
        Toes = "toes",
        /// Slow over the middle.
        Middle = "middle",
    }
}

impl Position {
    /// Whether a joint in this position rises, so that a pass goes up or down.
    pub fn rises(self) -> bool {
        use Position::*;
        matches!(self, G3 | G5 | G6 | G6R | F3 | F5)
    }
}

/// Words of files and rules that the trade writes with a capital.
const CAPITALS: [[&str; 2]; 6] = [
    ["single v", "single V"],
    ["double v", "double V"],
    ["single u", "single U"],
    ["double u", "double U"],
    ["single j", "single J"],
    ["double j", "double J"],
];

/// A word of a file or a rule as the trade says it: `cluster pore` of
/// `cluster_pore`, `single V` of `single_v`.
///
/// # Examples
/// ```
/// assert_eq!(bendproof_weld::words::spoken("single_v"), "single V");
/// ```
pub fn spoken(word: &str) -> String {
    let spaced = word.replace('_', " ");
    CAPITALS.iter().fold(spaced, |text, [from, to]| text.replace(from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back() {
        for p in Position::ALL {
            assert_eq!(Position::from_word(p.word()), Some(*p));
        }
        assert_eq!(Process::from_word("gmaw"), Some(Process::Gmaw));
        assert_eq!(Process::from_word("laser"), None);
    }
}
