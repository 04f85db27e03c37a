//! The smallest surroundings the typesetter needs: three fonts, one template,
//! one data file. No disk, no clock, no packages.

use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook, FontInfo, FontStretch};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// The layout of the sheets.
const TEMPLATE: &str = concat!(include_str!("sheet.typ"), include_str!("record.typ"));
/// Path under which the template finds its data.
const DATA_PATH: &str = "/data.json";
/// Family name in `sheet.typ` and in the drawings.
const FAMILY: &str = "Barlow Condensed";
const TEMPLATE_PATH: &str = "/sheet.typ";

/// The weights shipped, as the complete font files.
pub(crate) fn fonts() -> &'static [Font] {
    static FONTS: OnceLock<Vec<Font>> = OnceLock::new();
    FONTS.get_or_init(|| {
        [
            &include_bytes!("../../../assets/fonts/BarlowCondensed-Regular.ttf")[..],
            &include_bytes!("../../../assets/fonts/BarlowCondensed-Medium.ttf")[..],
            &include_bytes!("../../../assets/fonts/BarlowCondensed-SemiBold.ttf")[..],
        ]
        .into_iter()
        .filter_map(|data| Font::new(Bytes::new(data), 0))
        .collect()
    })
}

/// A font's entry under the full name drawings and sheets ask for. The
/// typesetter would file it as the condensed width of a family `Barlow`, and
/// neither name nor width would then be found.
fn info(font: &Font) -> FontInfo {
    let mut info = font.info().clone();
    info.family = FAMILY.to_owned();
    info.variant.stretch = FontStretch::NORMAL;
    info
}

struct Shelf {
    standard: LazyHash<Library>,
    book: LazyHash<FontBook>,
    template: Source,
    data: FileId,
}

/// What every sheet shares, built once.
fn shelf() -> Option<&'static Shelf> {
    static SHELF: OnceLock<Option<Shelf>> = OnceLock::new();
    let build = || {
        let id = |path| Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern());
        Some(Shelf {
            standard: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_infos(fonts().iter().map(info))),
            template: Source::new(id(TEMPLATE_PATH)?, TEMPLATE.to_owned()),
            data: id(DATA_PATH)?,
        })
    };
    SHELF.get_or_init(build).as_ref()
}

/// One sheet's surroundings.
pub(crate) struct Sheet {
    shelf: &'static Shelf,
    data: Bytes,
}

impl Sheet {
    /// Surroundings with `data` as the only file; `None` if the template's own
    /// paths were refused, which no data can cause.
    pub fn new(data: Vec<u8>) -> Option<Self> {
        Some(Self { shelf: shelf()?, data: Bytes::new(data) })
    }
}

impl World for Sheet {
    fn library(&self) -> &LazyHash<Library> {
        &self.shelf.standard
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.shelf.book
    }

    fn main(&self) -> FileId {
        self.shelf.template.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        match id == self.shelf.template.id() {
            true => Ok(self.shelf.template.clone()),
            false => Err(FileError::AccessDenied),
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        match id == self.shelf.data {
            true => Ok(self.data.clone()),
            false => Err(FileError::AccessDenied),
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        fonts().get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        // The sheet carries its time of issue; a clock would change its bytes.
        None
    }
}
