//! A coupon file read and forecast.

mod computed;
mod next;
mod read;

pub use read::{ForecastRead, document_forecast, read_forecast, read_forecast_solved};

pub(crate) use computed::{Computed, NO_FORECAST, compute};
pub(crate) use next::{next, words as next_words};
