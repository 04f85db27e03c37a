//! Colours for the pictures of heat: a ramp for temperatures whose lightness
//! steps evenly, and the tones of an etched section. It draws nothing.
//!
//! The ramp is laid out in OKLab (Björn Ottosson, 2020, "A perceptual color
//! space for image processing"; basis: memory, proved below by going there and
//! back), where equal distances look about equal. Its lightness falls in equal
//! steps by day and rises in equal steps in the booth, so the hottest band stands
//! out most from the sheet and the order survives a grey print.

/// A colour in OKLab: lightness from 0 to 1, green to red, blue to yellow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OkLab {
    /// Perceived lightness.
    pub l: f64,
    /// Green (negative) to red.
    pub a: f64,
    /// Blue (negative) to yellow.
    pub b: f64,
}

impl OkLab {
    /// From lightness, colourfulness and hue angle in degrees.
    fn from_hue(l: f64, chroma: f64, hue_deg: f64) -> Self {
        let (sin, cos) = hue_deg.to_radians().sin_cos();
        Self { l, a: chroma * cos, b: chroma * sin }
    }

    /// The colour an sRGB triple of 8-bit parts shows.
    pub fn from_srgb(srgb: [u8; 3]) -> Self {
        let linear = srgb.map(|part| {
            let c = f64::from(part) / 255.0;
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        });
        let lms = times(&LMS_FROM_LINEAR, linear).map(f64::cbrt);
        let [l, a, b] = times(&LAB_FROM_LMS, lms);
        Self { l, a, b }
    }

    /// Linear sRGB; parts outside 0 to 1 are colours no screen shows.
    fn linear(self) -> [f64; 3] {
        let lms = times(&LMS_FROM_LAB, [self.l, self.a, self.b]).map(|v| v * v * v);
        times(&LINEAR_FROM_LMS, lms)
    }

    /// The nearest 8-bit sRGB triple; parts no screen shows are cut off.
    pub fn srgb(self) -> [u8; 3] {
        self.linear().map(|c| {
            let c = c.clamp(0.0, 1.0);
            let encoded = if c <= 0.003_130_8 { 12.92 * c } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 };
            (encoded * 255.0).round() as u8
        })
    }
}

fn times(matrix: &[[f64; 3]; 3], v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

// The four matrices of OKLab, as published with it; source and basis above.
const LMS_FROM_LINEAR: [[f64; 3]; 3] = [
    [0.412_221_470_8, 0.536_332_536_3, 0.051_445_992_9],
    [0.211_903_498_2, 0.680_699_545_1, 0.107_396_956_6],
    [0.088_302_461_9, 0.281_718_837_6, 0.629_978_700_5],
];
const LAB_FROM_LMS: [[f64; 3]; 3] = [
    [0.210_454_255_3, 0.793_617_785_0, -0.004_072_046_8],
    [1.977_998_495_1, -2.428_592_205_0, 0.450_593_709_9],
    [0.025_904_037_1, 0.782_771_766_2, -0.808_675_766_0],
];
const LMS_FROM_LAB: [[f64; 3]; 3] = [
    [1.0, 0.396_337_777_4, 0.215_803_757_3],
    [1.0, -0.105_561_345_8, -0.063_854_172_8],
    [1.0, -0.089_484_177_5, -1.291_485_548_0],
];
const LINEAR_FROM_LMS: [[f64; 3]; 3] = [
    [4.076_741_662_1, -3.307_711_591_3, 0.230_969_929_2],
    [-1.268_438_004_6, 2.609_757_401_1, -0.341_319_396_5],
    [-0.004_196_086_3, -0.703_418_614_7, 1.707_614_701_0],
];

/// Where the ramp passes: colourfulness and hue angle at even distances from
/// cold to hot. Lightness is not listed: it is linear. Basis: choice, from the
/// grey of steel through straw and orange, as steel colours when it is heated;
/// kept inside what a screen shows (a test holds that).
type Path = ([f64; 2], [[f64; 2]; 5]);
/// Ink on paper: pale and cold to dark and hot.
const DAY: Path =
    ([0.905, 0.33], [[0.006, 95.0], [0.075, 82.0], [0.128, 62.0], [0.142, 40.0], [0.098, 28.0]]);
/// Soapstone on steel: dark and cold to bright and hot.
const BOOTH: Path =
    ([0.33, 0.93], [[0.012, 40.0], [0.096, 32.0], [0.148, 44.0], [0.138, 70.0], [0.085, 98.0]]);

/// Fewest and most bands a ramp is divided into; more could not be distinguished.
/// Basis: choice.
pub const RAMP_BANDS: [usize; 2] = [2, 12];

/// Where a picture is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// Ink on paper.
    Day,
    /// Soapstone on steel.
    Booth,
    /// On a page that changes from one to the other through CSS variables.
    Page,
}

/// The paints of a temperature scale from the coldest band to the hottest.
///
/// `bands` is held within [`RAMP_BANDS`]. For [`Ground::Page`] each paint names a
/// variable with the day's colour as fallback; see [`ramp_css_variables`].
pub fn ramp(bands: usize, ground: Ground) -> Vec<String> {
    let bands = bands.clamp(RAMP_BANDS[0], RAMP_BANDS[1]);
    let literal = |path: &Path| colours(bands, path).into_iter().map(hex).collect::<Vec<String>>();
    match ground {
        Ground::Day => literal(&DAY),
        Ground::Booth => literal(&BOOTH),
        Ground::Page => literal(&DAY)
            .into_iter()
            .enumerate()
            .map(|(k, paint)| format!("var(--bp-heat-{bands}-{k},{paint})"))
            .collect(),
    }
}

/// The declarations that [`Ground::Page`] reads for a scale of `bands` bands.
pub fn ramp_css_variables(bands: usize, ground: Ground) -> String {
    let bands = bands.clamp(RAMP_BANDS[0], RAMP_BANDS[1]);
    let path = if ground == Ground::Booth { &BOOTH } else { &DAY };
    let paints = colours(bands, path).into_iter().map(hex).enumerate();
    paints.map(|(k, paint)| format!("--bp-heat-{bands}-{k}:{paint};")).collect()
}

fn colours(bands: usize, path: &Path) -> Vec<OkLab> {
    let last = (bands - 1) as f64;
    (0..bands).map(|k| on_path(k as f64 / last, path)).collect()
}

/// The colour a share of the way from cold to hot.
fn on_path(share: f64, (ends, stops): &Path) -> OkLab {
    let along = share * (stops.len() - 1) as f64;
    let leg = (along.floor() as usize).min(stops.len() - 2);
    let part = along - leg as f64;
    let between = |k: usize| stops[leg][k] + (stops[leg + 1][k] - stops[leg][k]) * part;
    OkLab::from_hue(ends[0] + (ends[1] - ends[0]) * share, between(0), between(1))
}

fn hex(colour: OkLab) -> String {
    let [r, g, b] = colour.srgb();
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The tones of an etched section; each is any SVG paint. Basis: choice, the warm
/// greys of mild steel after nital.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tones {
    /// Plate the heat did not change.
    pub plate: &'static str,
    /// Plate changed by heat, from the outer edge inwards: intercritical, fine
    /// grain, coarse grain.
    pub zones: [&'static str; 3],
    /// Weld metal as cast; beads alternate, so that neighbours differ.
    pub weld: [&'static str; 2],
    /// Weld metal that a later bead heated again.
    pub reheated: &'static str,
    /// Grain and hatching.
    pub grain: &'static str,
    /// Outlines and fusion lines.
    pub ink: &'static str,
}

impl Tones {
    /// The tones for a ground; [`Ground::Page`] names `--bp-etch-plate`,
    /// `--bp-etch-zone-1` to `-3`, `--bp-etch-weld-1` and `-2`,
    /// `--bp-etch-reheated`, `--bp-etch-grain` and `--bp-etch-ink`, with the
    /// day's tones as fallback.
    pub const fn new(ground: Ground) -> Self {
        match ground {
            Ground::Day => Self {
                plate: "#d8d4ca",
                zones: ["#bdb6a8", "#958c7d", "#7d7365"],
                weld: ["#c3bcae", "#b9b2a4"],
                reheated: "#a79f90",
                grain: "#4a4238",
                ink: "#1f1b16",
            },
            Ground::Booth => Self {
                plate: "#6b6862",
                zones: ["#57534c", "#3f3b35", "#2f2b26"],
                weld: ["#837e75", "#7a756c"],
                reheated: "#625d55",
                grain: "#ddd6c8",
                ink: "#f4efe4",
            },
            Ground::Page => Self {
                plate: "var(--bp-etch-plate,#d8d4ca)",
                zones: [
                    "var(--bp-etch-zone-1,#bdb6a8)",
                    "var(--bp-etch-zone-2,#958c7d)",
                    "var(--bp-etch-zone-3,#7d7365)",
                ],
                weld: ["var(--bp-etch-weld-1,#c3bcae)", "var(--bp-etch-weld-2,#b9b2a4)"],
                reheated: "var(--bp-etch-reheated,#a79f90)",
                grain: "var(--bp-etch-grain,#4a4238)",
                ink: "var(--bp-etch-ink,#1f1b16)",
            },
        }
    }

    /// The declarations [`Ground::Page`] reads, with these tones.
    pub fn css_variables(&self) -> String {
        let pairs = [
            ("plate", self.plate),
            ("zone-1", self.zones[0]),
            ("zone-2", self.zones[1]),
            ("zone-3", self.zones[2]),
            ("weld-1", self.weld[0]),
            ("weld-2", self.weld[1]),
            ("reheated", self.reheated),
            ("grain", self.grain),
            ("ink", self.ink),
        ];
        pairs.iter().map(|(name, paint)| format!("--bp-etch-{name}:{paint};")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a step of an 8-bit part changes lightness by no more than this
    /// (steepest for dark greens).
    const QUANTUM: f64 = 0.004;

    fn parts(paint: &str) -> [u8; 3] {
        [1, 3, 5].map(|at| u8::from_str_radix(&paint[at..at + 2], 16).unwrap())
    }

    #[test]
    fn every_srgb_colour_survives_the_way_there_and_back() {
        for r in (0..=255_u8).step_by(17) {
            for g in (0..=255_u8).step_by(17) {
                for b in (0..=255_u8).step_by(17) {
                    assert_eq!(OkLab::from_srgb([r, g, b]).srgb(), [r, g, b]);
                }
            }
        }
        let white = OkLab::from_srgb([255; 3]);
        assert!((white.l - 1.0).abs() < 1e-6 && white.a.abs() < 1e-6 && white.b.abs() < 1e-6, "{white:?}");
    }

    #[test]
    fn lightness_is_monotone_and_steps_evenly_for_any_count_of_bands() {
        for ground in [Ground::Day, Ground::Booth] {
            for bands in RAMP_BANDS[0]..=RAMP_BANDS[1] {
                let lightness: Vec<f64> =
                    ramp(bands, ground).iter().map(|p| OkLab::from_srgb(parts(p)).l).collect();
                let even = (lightness[bands - 1] - lightness[0]) / (bands - 1) as f64;
                assert_eq!(even > 0.0, ground == Ground::Booth);
                for pair in lightness.windows(2) {
                    let step = pair[1] - pair[0];
                    assert!((step - even).abs() < 2.0 * QUANTUM, "{ground:?} {bands}: {step} for {even}");
                }
            }
        }
    }

    #[test]
    fn neighbouring_bands_differ_about_equally() {
        // Hue adds to the lightness step; a palette whose largest step is more
        // than twice its smallest shows edges the field does not have.
        for ground in [Ground::Day, Ground::Booth] {
            let colours: Vec<OkLab> = ramp(7, ground).iter().map(|p| OkLab::from_srgb(parts(p))).collect();
            let apart = |pair: &[OkLab]| {
                let [l, a, b] = [pair[1].l - pair[0].l, pair[1].a - pair[0].a, pair[1].b - pair[0].b];
                (l * l + a * a + b * b).sqrt()
            };
            let steps: Vec<f64> = colours.windows(2).map(apart).collect();
            let (low, high) = steps.iter().fold((f64::MAX, 0.0_f64), |(l, h), s| (l.min(*s), h.max(*s)));
            assert!(high < 2.0 * low, "{ground:?}: {steps:?}");
        }
    }

    #[test]
    fn no_colour_of_the_ramp_is_cut_off_by_the_screen() {
        for path in [&DAY, &BOOTH] {
            for colour in colours(49, path) {
                let room = 0.0..=1.0;
                assert!(colour.linear().iter().all(|part| room.contains(part)), "{colour:?}");
            }
        }
    }

    #[test]
    fn etched_zones_darken_towards_the_weld_and_stand_apart_in_grey() {
        for ground in [Ground::Day, Ground::Booth] {
            let tones = Tones::new(ground);
            let grey = |paint: &str| OkLab::from_srgb(parts(paint)).l;
            let from_plate: Vec<f64> = std::iter::once(tones.plate).chain(tones.zones).map(grey).collect();
            assert!(from_plate.windows(2).all(|pair| pair[0] - pair[1] > 10.0 * QUANTUM), "{from_plate:?}");
        }
    }

    #[test]
    fn a_page_declares_every_variable_its_paints_name() {
        let declared = ramp_css_variables(6, Ground::Booth) + &Tones::new(Ground::Booth).css_variables();
        let tones = Tones::new(Ground::Page);
        let fixed = [tones.plate, tones.reheated, tones.grain, tones.ink];
        let used = ramp(6, Ground::Page);
        let all = used.iter().map(String::as_str).chain(fixed).chain(tones.zones).chain(tones.weld);
        for paint in all {
            let name = paint.trim_start_matches("var(").split(',').next().unwrap();
            assert!(declared.contains(&format!("{name}:#")), "{name}");
        }
    }
}
