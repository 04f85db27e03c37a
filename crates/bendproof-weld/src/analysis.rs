//! The range of analyses for which the metallurgy of this crate answers.
//!
//! Outside it the answer is "not known" with the element at fault; no formula
//! is stretched. The formulas themselves stand in `hardness` and `zones`.

use crate::steel::Composition;

/// Range of one element, mass %.
#[derive(Debug, Clone, Copy)]
pub struct ElementRange {
    /// Name of the element.
    pub name: &'static str,
    /// Least content, mass %.
    pub low_percent: f64,
    /// Most content, mass %.
    pub high_percent: f64,
    read: fn(&Composition) -> f64,
}

const fn element(
    name: &'static str,
    low_percent: f64,
    high_percent: f64,
    read: fn(&Composition) -> f64,
) -> ElementRange {
    ElementRange { name, low_percent, high_percent, read }
}

/// Elements and the range checked, in the order of a certificate. Basis: choice.
///
/// The steels with worked values (A36, S355, a carbon-steel pipe, a
/// thermomechanical plate) span C 0.07–0.22, Si 0.10–0.35, Mn 0.95–1.55, Cr to
/// 0.08, Ni to 0.10, Mo to 0.03, V to 0.03, Cu to 0.15 and Nb to 0.04; the
/// range is that, rounded out to ordinary mill certificates of such steels.
/// The least manganese also catches an analysis that was never filled in.
/// Boron is held at 1 part in a million, where the boron term of the 1987
/// arctangent formula, which is not known here, counts for nothing.
pub const CHECKED: [ElementRange; 10] = [
    element("carbon", 0.05, 0.25, |a| a.c),
    element("silicon", 0.0, 0.50, |a| a.si),
    element("manganese", 0.60, 1.60, |a| a.mn),
    element("chromium", 0.0, 0.15, |a| a.cr),
    element("molybdenum", 0.0, 0.05, |a| a.mo),
    element("vanadium", 0.0, 0.05, |a| a.v),
    element("nickel", 0.0, 0.20, |a| a.ni),
    element("copper", 0.0, 0.30, |a| a.cu),
    element("niobium", 0.0, 0.05, |a| a.nb),
    element("boron", 0.0, 0.0001, |a| a.b),
];

/// An element outside the checked range.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "{name} is {percent} %, checked is {low_percent} % to {high_percent} %; take the analysis from the mill certificate"
)]
pub struct AnalysisUnchecked {
    /// Name of the element.
    pub name: &'static str,
    /// Its content, mass %.
    pub percent: f64,
    /// Least content checked, mass %.
    pub low_percent: f64,
    /// Most content checked, mass %.
    pub high_percent: f64,
}

/// Holds an analysis to [`CHECKED`].
///
/// # Errors
/// The first element outside its range; not-a-number is outside.
pub fn check(analysis: &Composition) -> Result<(), AnalysisUnchecked> {
    let outside = CHECKED.iter().find(|range| {
        let percent = (range.read)(analysis);
        !(range.low_percent..=range.high_percent).contains(&percent)
    });
    outside.map_or(Ok(()), |range| {
        Err(AnalysisUnchecked {
            name: range.name,
            percent: (range.read)(analysis),
            low_percent: range.low_percent,
            high_percent: range.high_percent,
        })
    })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Any analysis inside the checked range.
    pub(crate) fn checked_analysis() -> impl Strategy<Value = Composition> {
        let range = |i: usize| CHECKED[i].low_percent..=CHECKED[i].high_percent;
        let first = (range(0), range(1), range(2), range(3), range(4));
        let rest = (range(5), range(6), range(7), range(8), range(9));
        (first, rest).prop_map(|((c, si, mn, cr, mo), (v, ni, cu, nb, b))| Composition {
            c,
            si,
            mn,
            cr,
            mo,
            v,
            ni,
            cu,
            nb,
            b,
        })
    }

    /// The steels of the worked values.
    pub(crate) fn worked(name: &str) -> Composition {
        let (c, si, mn) = (0.18, 0.35, 1.45);
        let s355 =
            Composition { c, si, mn, cr: 0.05, ni: 0.05, mo: 0.01, v: 0.005, cu: 0.10, nb: 0.0, b: 0.0 };
        match name {
            "A36" => Composition { c: 0.20, mn: 1.01, si: 0.10, ..Composition::default() },
            "pipe" => {
                Composition { c: 0.22, mn: 0.95, si: 0.25, cr: 0.08, ni: 0.10, mo: 0.03, cu: 0.15, ..s355 }
            }
            "TMCP" => Composition {
                c: 0.07,
                mn: 1.55,
                si: 0.25,
                nb: 0.04,
                v: 0.03,
                cr: 0.03,
                ni: 0.03,
                cu: 0.03,
                ..s355
            },
            _ => s355,
        }
    }

    #[test]
    fn the_worked_steels_are_inside_and_strangers_are_named() {
        for name in ["A36", "S355", "pipe", "TMCP"] {
            assert_eq!(check(&worked(name)), Ok(()), "{name}");
        }
        let empty = check(&Composition::default()).unwrap_err();
        assert_eq!(empty.name, "carbon");
        let stainless = Composition { cr: 18.0, ..worked("A36") };
        assert_eq!(
            check(&stainless).unwrap_err().to_string(),
            "chromium is 18 %, checked is 0 % to 0.15 %; take the analysis from the mill certificate"
        );
        assert!(check(&Composition { c: f64::NAN, ..worked("A36") }).is_err());
    }
}
