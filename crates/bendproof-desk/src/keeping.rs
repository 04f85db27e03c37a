//! What the desk asks whoever looks after the shop's file.

use std::future::Future;
use std::pin::Pin;

use bendproof_bench::desk::Notices;

/// An answer that may have to be waited for.
pub type Waited<'a, T> = Pin<Box<dyn Future<Output = T> + Send + 'a>>;

/// Looks after one shop's file.
pub trait Keeping: Send + Sync {
    /// Waits until the check of the file has ended.
    ///
    /// # Errors
    /// Why nothing may be signed from this file, in words.
    fn sound(&self) -> Waited<'_, Result<(), String>>;

    /// The time for an entry about to be made, ms since 1970-01-01T00:00Z.
    ///
    /// # Errors
    /// The question to answer first, where the clock stands before the newest entry.
    fn saving(&self) -> Result<i64, String>;

    /// Somebody says that the clock is right.
    fn confirm_clock(&self);

    /// What everybody at the page must know.
    fn notices(&self) -> Notices;
}
