//! People, coupons, procedures, issued records and their history, kept in one
//! embedded SQLite file.
//!
//! Everything a shop writes down is an appended [`Event`]; nothing is
//! overwritten. Each of them is a flat document of text values by
//! dotted path, as people write them (`fit.root_opening` = `1/8 in`,
//! `used.2026-09-14` = `GMAW-S 3G practice plate`), and its present state is
//! the fold of its events. Events of the whole shop form one SHA-256 chain, so
//! that a later edit of the file is found by [`Shop::verify`].
//!
//! What it deliberately does not do: it knows no HTML, no HTTP, no weld formula
//! and no rule of any code; it does not read quantities, it keeps their text. It
//! does not read the clock either: who and when are arguments ([`By`]), and
//! every time is a count of **milliseconds since 1970-01-01T00:00Z** (`at_ms`).
//!
//! The statements are plain SQL with `$1` parameters, so that PostgreSQL can be
//! added to SQLite for shops with several sites. Only the opening of the
//! file, the `BEGIN IMMEDIATE` of a write, the backup and the append-only
//! triggers are SQLite's own.
//!
//! # Examples
//!
//! ```
//! use bendproof_shop::{By, Edit, Shop, ShopError, Subject};
//!
//! # async fn example() -> Result<(), ShopError> {
//! let shop = Shop::open_in_memory().await?;
//! let rosa = By::new("Rosa", 1_790_000_000_000);
//! let made = shop.create_coupon("C-1", &[Edit::set("fit.root_opening", "1/8 in")], &rosa).await?;
//! let edit = [Edit::set("fit.root_opening", "3/32 in")];
//! let changed = shop.change(Subject::Coupon, "C-1", made.version, &edit, &rosa).await?;
//! assert_eq!(changed.values["fit.root_opening"], "3/32 in");
//! let back = shop.undo(Subject::Coupon, "C-1", changed.version, &rosa).await?;
//! assert_eq!(back.values["fit.root_opening"], "1/8 in");
//! # Ok(())
//! # }
//! # tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(example()).unwrap();
//! ```

mod audit;
mod chain;
mod error;
mod fault;
mod limits;
mod model;
mod read;
mod rows;
mod schema;
mod shop;
mod write;

pub use audit::Head;
pub use error::ShopError;
pub use fault::{Audit, FAULTS_TOLD_MAX, Fault, FaultKind};
pub use limits::{
    AT_MS_MAX, CHANGES_PER_EVENT_MAX, EVENTS_PER_DOCUMENT_MAX, ID_BYTES_MAX, NOTE_BYTES_MAX, PATH_BYTES_MAX,
    PATHS_PER_DOCUMENT_MAX, PATHS_PER_QUERY_MAX, TOKEN_BYTES_MAX, VALUE_BYTES_MAX, WHO_BYTES_MAX,
};
pub use model::{
    By, Change, Document, Edit, Event, EventKind, STAMP_BRANCH, Stamp, Subject, Summary, disjoint, fold,
};
pub use shop::{BUSY_TIMEOUT_MS, READERS_MAX, Shop, ShopOptions, owner_only, put_in_place};
