//! What the page of the settings window asks of the desk.

use bendproof_traveler::window::WindowView;

/// A coupon's window as it stands now.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowOpened {
    /// Version of the document; every kept change adds one.
    pub version: u64,
    /// Whether there is a change to take back.
    pub can_undo: bool,
    /// The window, or in words why there is none.
    pub window: Result<Box<WindowView>, Vec<String>>,
}

/// A file of the window to take away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WindowFile {
    /// The map as a drawing.
    Svg,
    /// The same as dots.
    Png,
    /// One line a cell, for a spreadsheet.
    Csv,
    /// Everything, for other programs.
    Json,
}

impl WindowFile {
    /// Every kind, in the order the page offers them.
    pub const ALL: [Self; 4] = [Self::Svg, Self::Png, Self::Csv, Self::Json];

    /// The word in the address.
    pub fn slug(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Png => "png",
            Self::Csv => "csv",
            Self::Json => "json",
        }
    }

    /// The kind for a word in the address.
    pub fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.slug() == slug)
    }
}
