//! The settings window: two inputs over their ranges, drawn, in words and live.

mod axis;
mod axis_steps;
mod map;
mod text;
mod view;

pub use axis::{Side, label_of, path_of};
pub use map::{
    Mapped, TradeSide, Window, WindowRead, WindowRequest, read_window, window_description, window_svg,
    window_title,
};
pub use text::{model_error_mm, window_csv, window_lines, window_sources};
pub use view::{
    ChanceView, ChangeView, KnobLine, SideView, WindowAsk, WindowChoice, WindowLine, WindowPlace, WindowView,
    window_chance, window_of, window_place, window_view, window_written,
};

pub(crate) use map::{WindowOf, answer_name, drawn, mapped};
pub(crate) use text::{length_text, margin_text};
