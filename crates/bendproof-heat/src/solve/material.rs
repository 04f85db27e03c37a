//! What the metal does with heat: enthalpy, temperature and the conduction
//! potential, each as a function of the other.
//!
//! The solver carries enthalpy, never temperature: latent heat and the peak of
//! the specific heat at 735 C then cost nothing and lose no energy. Conduction
//! uses the Kirchhoff potential, whose differences are heat flow whatever the
//! conductivity does between two cells.

use super::HeatError;

/// Zero of the Celsius scale, K.
const ZERO_CELSIUS_K: f64 = 273.15;
/// Coldest temperature a table covers, C (choice: colder than any shop).
const TABLE_LOW_C: f64 = -60.0;
/// Hottest temperature a table covers, C (choice: iron boils near 2860 C; a
/// tight arc without evaporation may pass it). Beyond, the last slope holds.
const TABLE_HIGH_C: f64 = 4000.0;
/// Intervals of a table, equal in enthalpy: about one kelvin each.
const INTERVALS: usize = 4096;

/// How a metal conducts and stores heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Metal {
    /// Constant properties: a linear problem.
    Constant {
        /// Conductivity, W/(m·K), above zero.
        conductivity_w_m_k: f64,
        /// Heat to warm a cubic metre by a kelvin, J/(m³·K), above zero.
        volumetric_heat_j_m3_k: f64,
    },
    /// Carbon steel.
    CarbonSteel(CarbonSteel),
}

/// Carbon steel by EN 1993-1-2:2005 3.4.1 up to 900 C (specific heat, secondary;
/// conductivity to 800 C, from memory), with the ends that standard does not
/// have: hot solid, melting and liquid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarbonSteel {
    /// Density, kg/m³; one value at all temperatures, or a fixed mesh would
    /// create mass (EN 1993-1-2 3.2.2, 7850).
    pub density_kg_m3: f64,
    /// Temperature at which melting begins, C.
    pub solidus_c: f64,
    /// Temperature at which all is liquid, C.
    pub liquidus_c: f64,
    /// Heat of fusion, J/kg, spread evenly between solidus and liquidus.
    pub latent_heat_j_kg: f64,
    /// Conductivity from 800 C to the solidus, W/(m·K).
    pub conductivity_hot_w_m_k: f64,
    /// Effective conductivity of the liquid, W/(m·K): raised above the metal's
    /// own 33 to 40 because the pool stirs itself.
    pub conductivity_liquid_w_m_k: f64,
    /// Specific heat from 900 C up, J/(kg·K).
    pub specific_heat_hot_j_kg_k: f64,
}

impl CarbonSteel {
    /// Solidus and liquidus of a 0.18 % carbon steel (from memory, 1450 to 1465
    /// and 1505 to 1520), latent heat of steels (from memory, 260 to 277 kJ/kg),
    /// hot conductivity 27.3 (EN 1993-1-2, from memory) and a stirred liquid at
    /// 60 W/(m·K), as in the reference problem P1.
    pub const REFERENCE: Self = Self {
        density_kg_m3: 7850.0,
        solidus_c: 1465.0,
        liquidus_c: 1525.0,
        latent_heat_j_kg: 270e3,
        conductivity_hot_w_m_k: 27.3,
        conductivity_liquid_w_m_k: 60.0,
        specific_heat_hot_j_kg_k: 650.0,
    };

    /// The same steel with a liquid of 110 W/(m·K): three times the metal's own
    /// (practice of conduction models of pools, 2 to 5 times; from memory). Root
    /// melt-back changes by 0.1 mm over 60 to 200.
    pub const STIRRED: Self = Self { conductivity_liquid_w_m_k: 110.0, ..Self::REFERENCE };

    /// The isotherm taken as the edge of fusion, K: midway between solidus and
    /// liquidus.
    pub fn fusion_k(&self) -> f64 {
        0.5 * (self.solidus_c + self.liquidus_c) + ZERO_CELSIUS_K
    }

    /// Integral of the specific heat from 0 C, J/kg, without latent heat; exact.
    fn sensible_j_kg(&self, c: f64) -> f64 {
        let low = |t: f64| 425.0 * t + 0.3865 * t * t - 1.69e-3 / 3.0 * t.powi(3) + 0.555e-6 * t.powi(4);
        let rising = |t: f64| 666.0 * t - 13002.0 * (738.0 - t).ln();
        let falling = |t: f64| 545.0 * t + 17820.0 * (t - 731.0).ln();
        if c < 0.0 {
            return 425.0 * c;
        }
        let mut sum = low(c.min(600.0));
        if c > 600.0 {
            sum += rising(c.min(735.0)) - rising(600.0);
        }
        if c > 735.0 {
            sum += falling(c.min(900.0)) - falling(735.0);
        }
        sum + self.specific_heat_hot_j_kg_k * (c - 900.0).max(0.0)
    }

    fn melted_share(&self, c: f64) -> f64 {
        ((c - self.solidus_c) / (self.liquidus_c - self.solidus_c)).clamp(0.0, 1.0)
    }

    fn enthalpy_j_m3(&self, c: f64) -> f64 {
        self.density_kg_m3 * (self.sensible_j_kg(c) + self.latent_heat_j_kg * self.melted_share(c))
    }

    /// Integral of the conductivity from 0 C, W/m; exact.
    fn potential_w_m(&self, c: f64) -> f64 {
        let cold = c.min(800.0);
        let (hot, liquid) = (self.conductivity_hot_w_m_k, self.conductivity_liquid_w_m_k);
        let mushy = self.liquidus_c - self.solidus_c;
        let share = self.melted_share(c);
        54.0 * cold - 0.01665 * cold * cold
            + hot * (c.min(self.solidus_c) - 800.0).max(0.0)
            + mushy * share * (hot + 0.5 * share * (liquid - hot))
            + liquid * (c - self.liquidus_c).max(0.0)
    }

    fn check(&self) -> Result<(), HeatError> {
        // Ends far outside any metal; beyond them a run would only take forever.
        let bounded = [
            ("density", self.density_kg_m3, (100.0, 3e4), "kg/m³"),
            ("conductivity of the hot solid", self.conductivity_hot_w_m_k, (0.1, 1e4), "W/(m·K)"),
            ("conductivity of the liquid", self.conductivity_liquid_w_m_k, (0.1, 1e4), "W/(m·K)"),
            ("specific heat of the hot solid", self.specific_heat_hot_j_kg_k, (10.0, 1e5), "J/(kg·K)"),
            ("latent heat", self.latent_heat_j_kg, (0.0, 1e7), "J/kg"),
        ];
        for (quantity, value, (low, high), unit) in bounded {
            HeatError::check(quantity, value, low, high, unit)?;
        }
        HeatError::check("solidus", self.solidus_c, 900.0, TABLE_HIGH_C, "C")?;
        // A melting range of a kelvin is still resolved by the table.
        HeatError::check("liquidus", self.liquidus_c, self.solidus_c + 1.0, TABLE_HIGH_C, "C")
    }
}

/// Straight pieces of one function of enthalpy, intercept and slope side by side
/// so that one look-up touches one line of the cache. A fixed size lets the
/// compiler drop every bounds check.
#[derive(Debug, Clone)]
pub(crate) struct Pieces(Box<[[f64; 2]; INTERVALS]>);

/// A metal made ready: every function of enthalpy as straight pieces over equal
/// steps of enthalpy, so that a look-up is one multiplication away.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    low_j_m3: f64,
    per_step_m3_j: f64,
    potential: Pieces,
    temperature: Pieces,
}

impl Metal {
    /// Enthalpy above that at 0 C, J/m³.
    pub fn enthalpy_j_m3(&self, temperature_k: f64) -> f64 {
        let c = temperature_k - ZERO_CELSIUS_K;
        match self {
            Metal::Constant { volumetric_heat_j_m3_k, .. } => volumetric_heat_j_m3_k * c,
            Metal::CarbonSteel(steel) => steel.enthalpy_j_m3(c),
        }
    }

    /// Conduction potential, W/m: the conductivity integrated from 0 C.
    pub fn potential_w_m(&self, temperature_k: f64) -> f64 {
        let c = temperature_k - ZERO_CELSIUS_K;
        match self {
            Metal::Constant { conductivity_w_m_k, .. } => conductivity_w_m_k * c,
            Metal::CarbonSteel(steel) => steel.potential_w_m(c),
        }
    }

    /// Temperature at an enthalpy, K, looked for from `low_k` up, whose own
    /// enthalpy is not above it; to a millionth of a kelvin, by false position
    /// (the Illinois form, which never leaves its bracket).
    fn temperature_k(&self, enthalpy_j_m3: f64, low_k: f64) -> f64 {
        const CLOSE_K: f64 = 1e-6;
        let over = |t: f64| self.enthalpy_j_m3(t) - enthalpy_j_m3;
        let (mut low, mut at_low) = (low_k, over(low_k));
        let mut reach = 1.0;
        while over(low + reach) < 0.0 {
            reach *= 2.0;
        }
        let (mut high, mut at_high) = (low + reach, over(low + reach));
        while high - low > CLOSE_K && at_low != 0.0 {
            let middle = (low - at_low * (high - low) / (at_high - at_low)).clamp(low, high);
            let at_middle = over(middle);
            if at_middle > 0.0 {
                (high, at_high) = (middle, at_middle);
                at_low *= 0.5;
            } else {
                (low, at_low) = (middle, at_middle);
                at_high *= 0.5;
            }
            if at_middle.abs() <= f64::EPSILON * enthalpy_j_m3.abs() {
                return middle;
            }
        }
        low
    }

    pub(crate) fn table(&self) -> Result<Table, HeatError> {
        match self {
            Metal::CarbonSteel(steel) => steel.check()?,
            Metal::Constant { conductivity_w_m_k, volumetric_heat_j_m3_k } => {
                HeatError::check("conductivity", *conductivity_w_m_k, f64::MIN_POSITIVE, 1e6, "W/(m·K)")?;
                HeatError::check("volumetric heat", *volumetric_heat_j_m3_k, 1.0, 1e12, "J/(m³·K)")?;
            }
        }
        let low = self.enthalpy_j_m3(TABLE_LOW_C + ZERO_CELSIUS_K);
        let high = self.enthalpy_j_m3(TABLE_HIGH_C + ZERO_CELSIUS_K);
        let step = (high - low) / INTERVALS as f64;
        let nodes: Vec<f64> = (0..=INTERVALS).map(|i| low + step * i as f64).collect();
        let mut temperatures = Vec::with_capacity(nodes.len());
        let mut reached_k = TABLE_LOW_C + ZERO_CELSIUS_K;
        for enthalpy in &nodes {
            reached_k = self.temperature_k(*enthalpy, reached_k);
            temperatures.push(reached_k);
        }
        let potentials: Vec<f64> = temperatures.iter().map(|t| self.potential_w_m(*t)).collect();
        Ok(Table {
            low_j_m3: low,
            per_step_m3_j: 1.0 / step,
            potential: Pieces::through(&nodes, &potentials),
            temperature: Pieces::through(&nodes, &temperatures),
        })
    }
}

impl Pieces {
    fn through(x: &[f64], y: &[f64]) -> Self {
        let mut pieces = Box::new([[0.0; 2]; INTERVALS]);
        for ((x, y), piece) in x.windows(2).zip(y.windows(2)).zip(pieces.iter_mut()) {
            let slope = (y[1] - y[0]) / (x[1] - x[0]);
            *piece = [y[0] - slope * x[0], slope];
        }
        Self(pieces)
    }

    /// Steepest piece, in size.
    pub fn steepest(&self) -> f64 {
        self.0.iter().fold(0.0, |most, [_, slope]| most.max(slope.abs()))
    }

    #[inline(always)]
    fn at(&self, step: usize, x: f64) -> f64 {
        let [intercept, slope] = self.0[step];
        intercept + slope * x
    }
}

impl Table {
    #[inline(always)]
    fn step(&self, enthalpy_j_m3: f64) -> usize {
        let place = (enthalpy_j_m3 - self.low_j_m3) * self.per_step_m3_j;
        // Below and above the table its end pieces go on; NaN takes the first.
        place.max(0.0).min((INTERVALS - 1) as f64) as u32 as usize % INTERVALS
    }

    /// Conduction potential, W/m.
    #[inline(always)]
    pub fn potential_w_m(&self, enthalpy_j_m3: f64) -> f64 {
        self.potential.at(self.step(enthalpy_j_m3), enthalpy_j_m3)
    }

    /// Temperature, K.
    #[inline(always)]
    pub fn temperature_k(&self, enthalpy_j_m3: f64) -> f64 {
        self.temperature.at(self.step(enthalpy_j_m3), enthalpy_j_m3)
    }

    /// Another function of temperature as pieces over the same steps.
    pub fn pieces_of(&self, function: impl Fn(f64) -> f64) -> Pieces {
        let nodes: Vec<f64> =
            (0..=INTERVALS).map(|i| self.low_j_m3 + i as f64 / self.per_step_m3_j).collect();
        let values: Vec<f64> = nodes.iter().map(|h| function(self.temperature_k(*h))).collect();
        Pieces::through(&nodes, &values)
    }

    /// A function made by [`Self::pieces_of`].
    #[inline(always)]
    pub fn value(&self, pieces: &Pieces, enthalpy_j_m3: f64) -> f64 {
        pieces.at(self.step(enthalpy_j_m3), enthalpy_j_m3)
    }

    /// Greatest diffusivity anywhere on the table, m²/s: what bounds a step.
    pub fn diffusivity_max_m2_s(&self) -> f64 {
        self.potential.steepest()
    }

    /// Fills `potential` from `enthalpy`, cell by cell; equal lengths.
    #[inline(always)]
    pub fn fill_potential(&self, enthalpy: &[f64], potential: &mut [f64]) {
        for (p, h) in potential.iter_mut().zip(enthalpy) {
            *p = self.potential_w_m(*h);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn steel() -> Metal {
        Metal::CarbonSteel(CarbonSteel::REFERENCE)
    }

    #[test]
    fn the_enthalpy_is_that_of_en_1993() {
        // Integrals from 20 C, kJ/kg, of EN 1993-1-2 3.4.1.2, computed independently.
        let reference = [
            (400.0, 201.344),
            (600.0, 335.738),
            (735.0, 475.428),
            (800.0, 561.601),
            (900.0, 632.064),
            (1200.0, 827.064),
        ];
        for (c, kj_kg) in reference {
            let got = (steel().enthalpy_j_m3(c + 273.15) - steel().enthalpy_j_m3(293.15)) / 7850.0 / 1e3;
            assert!((got - kj_kg).abs() < 1e-3, "{c} C: {got} against {kj_kg} kJ/kg");
        }
    }

    #[test]
    fn the_table_gives_back_what_it_was_made_from() {
        // Between two nodes about a kelvin apart a kink is cut by a quarter kelvin at most.
        const CUT_K: f64 = 0.25;
        let table = steel().table().unwrap();
        for t in (220..4200).map(|t| f64::from(t) + 0.37) {
            let h = steel().enthalpy_j_m3(t);
            assert!((table.temperature_k(h) - t).abs() < CUT_K, "{t} K");
            let exact = steel().potential_w_m(t);
            assert!((table.potential_w_m(h) - exact).abs() < CUT_K * 110.0, "{t} K");
        }
    }

    #[test]
    fn a_constant_metal_is_linear_to_round_off() {
        let metal = Metal::Constant { conductivity_w_m_k: 30.0, volumetric_heat_j_m3_k: 5e6 };
        let table = metal.table().unwrap();
        for t in [250.0, 293.15, 1000.0, 5000.0] {
            let h = metal.enthalpy_j_m3(t);
            assert!((table.temperature_k(h) / t - 1.0).abs() < 1e-11);
            assert!((table.potential_w_m(h) - 30.0 * (t - 273.15)).abs() < 1e-6);
        }
        assert!((table.diffusivity_max_m2_s() / 6e-6 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_bad_property_is_named() {
        let mut steel = CarbonSteel { latent_heat_j_kg: f64::NAN, ..CarbonSteel::REFERENCE };
        let error = Metal::CarbonSteel(steel).table().unwrap_err().to_string();
        assert!(error.starts_with("latent heat is not a number"), "{error}");
        steel = CarbonSteel { liquidus_c: 1400.0, ..CarbonSteel::REFERENCE };
        let error = Metal::CarbonSteel(steel).table().unwrap_err().to_string();
        assert!(error.contains("liquidus") && error.contains("1400"), "{error}");
    }
}
