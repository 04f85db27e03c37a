//! Whether this computer's clock can be right: never before the newest entry.

/// How far the clock may stand before the newest entry, in milliseconds: a
/// clock put right by the network moves back by less. Basis: choice.
const BEHIND_MS_MAX: i64 = 10 * 60 * 1000;

/// The newest entry, and whether a clock behind it was confirmed.
#[derive(Debug, Default)]
pub(super) struct Clock {
    /// When the newest entry was made, ms since 1970-01-01T00:00Z.
    pub newest_ms: Option<i64>,
    /// Somebody said that the clock is right.
    pub is_confirmed: bool,
}

impl Clock {
    /// The time of the newest entry, where the clock stands before it and nobody
    /// said that it is right.
    pub fn asks(&self, now_ms: i64) -> Option<i64> {
        self.newest_ms.filter(|newest| !self.is_confirmed && newest.saturating_sub(now_ms) > BEHIND_MS_MAX)
    }

    /// Takes the time for an entry about to be made.
    ///
    /// # Errors
    /// The time of the newest entry, where the clock must be asked about first.
    pub fn take(&mut self, now_ms: i64) -> Result<i64, i64> {
        match self.asks(now_ms) {
            Some(newest) => Err(newest),
            None => {
                self.newest_ms = Some(now_ms);
                Ok(now_ms)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_behind_the_newest_entry_is_asked_about_until_confirmed() {
        let newest = 1_796_000_000_000;
        let mut clock = Clock { newest_ms: Some(newest), is_confirmed: false };
        assert_eq!(clock.take(newest - BEHIND_MS_MAX), Ok(newest - BEHIND_MS_MAX));
        clock.newest_ms = Some(newest);
        let then = newest - BEHIND_MS_MAX - 1;
        assert_eq!(clock.take(then), Err(newest));
        assert_eq!(clock.take(0), Err(newest));
        clock.is_confirmed = true;
        assert_eq!(clock.take(then), Ok(then));
        // The confirmed entry is the newest one now, for the next start too.
        assert_eq!(clock.newest_ms, Some(then));
    }

    #[test]
    fn an_empty_shop_and_a_clock_ahead_ask_nothing() {
        assert_eq!(Clock::default().take(0), Ok(0));
        let mut clock = Clock { newest_ms: Some(0), is_confirmed: false };
        assert_eq!(clock.take(i64::MAX), Ok(i64::MAX));
        assert_eq!(clock.asks(i64::MIN), Some(i64::MAX));
    }
}
