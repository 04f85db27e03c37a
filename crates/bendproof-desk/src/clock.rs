//! The clock the desk goes by, handed in: a shop on a tablet, a test and a server
//! may each have their own.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// What says the time.
pub trait Clock: Send + Sync {
    /// Now.
    fn now(&self) -> Timestamp;

    /// Today in this machine's time zone.
    fn today(&self) -> Date {
        self.now().to_zoned_datetime(TimeZone::system()).date()
    }

    /// Now in the shop's file: ms since 1970-01-01T00:00Z.
    fn now_ms(&self) -> i64 {
        self.now().as_millisecond()
    }
}

/// A clock that stands still, for the tests.
#[cfg(test)]
#[derive(Debug, Clone, Copy)]
pub(crate) struct Standing(pub Timestamp);

#[cfg(test)]
impl Standing {
    /// A Tuesday in December 2026, the same in every run.
    pub(crate) fn clock() -> std::sync::Arc<dyn Clock> {
        std::sync::Arc::new(Self(Timestamp::constant(1_796_140_800, 0)))
    }
}

#[cfg(test)]
impl Clock for Standing {
    fn now(&self) -> Timestamp {
        self.0
    }
}
