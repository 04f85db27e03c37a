//! A drawing written as SVG or PNG, with the typeface shipped.

use std::sync::Arc;

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use crate::sheet::PaperError;

/// Dots per user unit in a PNG: sharp on a screen of twice the density and on
/// paper at 200 dots an inch. Choice.
const DOTS_PER_UNIT: f32 = 2.0;
/// Widest or highest picture written, dots; bounds the memory. Choice.
const DOTS_MAX: f32 = 8192.0;

const FONTS: [&[u8]; 3] = [
    include_bytes!("../../../assets/fonts/BarlowCondensed-Regular.ttf"),
    include_bytes!("../../../assets/fonts/BarlowCondensed-Medium.ttf"),
    include_bytes!("../../../assets/fonts/BarlowCondensed-SemiBold.ttf"),
];

/// The bytes of a PNG on the colour of paper.
///
/// # Errors
/// Says why the drawing cannot be painted; nothing on the machine is asked for
/// a font.
pub fn png(svg: &str) -> Result<Vec<u8>, PaperError> {
    let mut fonts = fontdb::Database::new();
    for font in FONTS {
        fonts.load_font_data(font.to_vec());
    }
    let options = Options { fontdb: Arc::new(fonts), ..Options::default() };
    let tree = Tree::from_str(svg, &options).map_err(unpainted)?;
    let size = tree.size();
    let scale = DOTS_PER_UNIT.min(DOTS_MAX / size.width().max(size.height()));
    let dots = |units: f32| (units * scale).ceil() as u32;
    let mut paper = Pixmap::new(dots(size.width()), dots(size.height()))
        .ok_or_else(|| unpainted("it has no size; write .svg instead"))?;
    // The ground of the paper theme, #f7f4ea.
    paper.fill(Color::from_rgba8(0xf7, 0xf4, 0xea, 0xff));
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut paper.as_mut());
    paper.encode_png().map_err(unpainted)
}

fn unpainted(why: impl std::fmt::Display) -> PaperError {
    PaperError::Picture(why.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_painted_with_the_typeface_shipped() {
        let with = |text: &str| {
            let svg = format!(
                "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"80\" height=\"20\" font-family=\"Barlow Condensed, Arial Narrow, sans-serif\"><text x=\"2\" y=\"15\" font-size=\"14\" font-weight=\"500\" fill=\"#1f242b\">{text}</text></svg>"
            );
            let bytes = png(&svg).expect("painted");
            let map = Pixmap::decode_png(&bytes).expect("a PNG");
            assert_eq!((map.width(), map.height()), (160, 40));
            map.pixels().iter().filter(|p| p.red() < 0x80).count()
        };
        let (none, few, many) = (with(""), with("i"), with("mmmm"));
        assert!(none == 0 && few > 20 && many > 4 * few, "{none} {few} {many}");
    }

    #[test]
    fn what_is_no_drawing_is_refused() {
        assert!(png("<p>no drawing</p>").is_err());
    }
}
