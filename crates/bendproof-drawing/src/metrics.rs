//! Widths of characters in the typeface shipped, so that labels can be placed
//! without a renderer. Kerning is left out: it only makes text narrower.

/// Weight of the typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// 400.
    Regular,
    /// 500.
    Medium,
    /// 600.
    SemiBold,
}

impl Weight {
    pub(crate) fn css(self) -> u16 {
        match self {
            Weight::Regular => 400,
            Weight::Medium => 500,
            Weight::SemiBold => 600,
        }
    }
}

/// Width of a text in the units of `size`, kerning left out.
///
/// Characters outside the table count as 0.8 of the size wide, which is wider than
/// any letter a label uses.
pub fn text_width(text: &str, size: f64, weight: Weight) -> f64 {
    let (ascii, more) = match weight {
        Weight::Regular => (&ASCII_REGULAR, &MORE_REGULAR),
        Weight::Medium => (&ASCII_MEDIUM, &MORE_MEDIUM),
        Weight::SemiBold => (&ASCII_SEMIBOLD, &MORE_SEMIBOLD),
    };
    let thousandths: u32 = text
        .chars()
        .map(|c| {
            let width = match c as u32 {
                code @ 0x20..=0x7E => ascii[code as usize - 0x20],
                _ => MORE.chars().position(|known| known == c).map_or(UNKNOWN, |index| more[index]),
            };
            u32::from(width)
        })
        .sum();
    f64::from(thousandths) / UNITS_PER_EM * size
}

/// Font units in one em, from the `head` table of the files in `assets/fonts`.
const UNITS_PER_EM: f64 = 1000.0;
/// Width assumed for a character outside the tables, in font units. Basis:
/// choice, the widest entry rounded up.
const UNKNOWN: u16 = 800;
/// Characters beyond ASCII that have an entry below, in order.
const MORE: &str = "°±²³·×–—“”‘’½¼¾−≤≥…ØéñáíóúüÉÑ÷µ″′≈Δ";

// Advance widths in font units, from the `hmtx` tables of the files in
// `assets/fonts` (version 1.408); a test compares them with the files.
const ASCII_REGULAR: [u16; 95] = [
    200, 251, 235, 589, 416, 781, 542, 119, 222, 222, 361, 442, 177, 313, 190, 334, 444, 256, 402, 408, 415,
    409, 410, 366, 422, 403, 211, 193, 442, 442, 442, 370, 761, 410, 449, 446, 465, 429, 404, 451, 472, 215,
    426, 452, 396, 521, 493, 456, 442, 443, 443, 416, 423, 476, 439, 623, 434, 424, 395, 303, 334, 303, 396,
    376, 180, 413, 423, 402, 423, 407, 277, 413, 424, 208, 200, 405, 181, 648, 424, 415, 428, 428, 292, 374,
    267, 424, 379, 554, 376, 368, 361, 273, 144, 273, 461,
];
const MORE_REGULAR: [u16; 35] = [
    358, 442, 245, 263, 196, 370, 372, 592, 250, 250, 123, 123, 665, 662, 732, 442, 442, 442, 625, 524, 408,
    424, 411, 169, 414, 424, 424, 429, 493, 442, 429, 295, 232, 461, 499,
];
const ASCII_MEDIUM: [u16; 95] = [
    200, 261, 274, 599, 426, 776, 564, 137, 254, 254, 361, 440, 189, 320, 202, 363, 447, 266, 415, 418, 440,
    420, 420, 381, 429, 414, 234, 207, 440, 440, 440, 394, 759, 436, 456, 452, 469, 432, 410, 457, 475, 220,
    435, 466, 407, 530, 501, 462, 451, 450, 453, 426, 439, 477, 457, 646, 449, 442, 401, 318, 363, 318, 406,
    392, 194, 425, 431, 413, 431, 417, 285, 423, 432, 212, 206, 421, 191, 657, 432, 424, 435, 435, 304, 387,
    275, 432, 399, 575, 398, 387, 365, 298, 159, 298, 471,
];
const MORE_MEDIUM: [u16; 35] = [
    358, 440, 252, 270, 206, 380, 375, 592, 287, 287, 146, 146, 674, 682, 754, 440, 440, 440, 655, 564, 418,
    432, 423, 176, 424, 432, 432, 432, 501, 440, 437, 325, 311, 471, 514,
];
const ASCII_SEMIBOLD: [u16; 95] = [
    200, 269, 306, 606, 434, 772, 581, 152, 279, 279, 361, 439, 199, 325, 211, 386, 450, 274, 425, 426, 459,
    428, 429, 392, 434, 423, 252, 218, 439, 439, 439, 413, 759, 456, 462, 457, 472, 435, 415, 462, 477, 224,
    443, 477, 415, 538, 507, 467, 457, 455, 461, 434, 452, 478, 471, 665, 460, 456, 406, 330, 386, 330, 413,
    405, 206, 434, 437, 422, 437, 426, 291, 431, 439, 215, 211, 433, 199, 665, 439, 432, 441, 441, 313, 398,
    282, 438, 415, 592, 417, 403, 368, 319, 171, 319, 480,
];
const MORE_SEMIBOLD: [u16; 35] = [
    359, 439, 258, 275, 215, 389, 377, 593, 316, 316, 165, 165, 682, 697, 771, 439, 439, 439, 679, 597, 426,
    439, 433, 182, 432, 439, 439, 435, 507, 439, 443, 349, 374, 480, 525,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_committed_fonts() {
        for (weight, file) in [
            (Weight::Regular, &include_bytes!("../../../assets/fonts/BarlowCondensed-Regular.ttf")[..]),
            (Weight::Medium, &include_bytes!("../../../assets/fonts/BarlowCondensed-Medium.ttf")[..]),
            (Weight::SemiBold, &include_bytes!("../../../assets/fonts/BarlowCondensed-SemiBold.ttf")[..]),
        ] {
            let face = ttf_parser::Face::parse(file, 0).unwrap();
            for c in (' '..='~').chain(MORE.chars()) {
                let advance = face.glyph_hor_advance(face.glyph_index(c).unwrap()).unwrap();
                assert_eq!(text_width(&c.to_string(), UNITS_PER_EM, weight), f64::from(advance), "{c:?}");
            }
        }
    }

    #[test]
    fn an_unknown_character_is_counted_wide() {
        assert!(text_width("語", 10.0, Weight::Regular) >= text_width("W", 10.0, Weight::Regular));
    }
}
