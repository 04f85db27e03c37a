//! A coupon file read and forecast.

mod computed;
mod read;

pub use read::{ForecastRead, document_forecast, read_forecast, read_forecast_solved};

pub(crate) use computed::{Computed, NO_FORECAST, compute};
