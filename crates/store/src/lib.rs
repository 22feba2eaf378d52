//! The keeper's log in one SQLite file. The only room that speaks SQL.
//!
//! The file holds one table, `entry`, to which rows are only ever added:
//! triggers refuse every update and delete, whoever opens the file. A mistake
//! is mended by a new entry that names the one it corrects. Bins, shed and
//! settings are read from the entries each time, so there is nothing beside
//! the log that could disagree with it.
//!
//! Start reading at `open.rs`; then `append.rs` (the way in), `read.rs` (the
//! way out), `transfer.rs` (JSON Lines and CSV) and `backup.rs`.
//!
//! ```
//! use engine::log::Body;
//! use store::{New, Store};
//!
//! let mut store = Store::open_in_memory()?;
//! let id = store.append(New {
//!     bin: None,
//!     at_unix_seconds: 1_760_000_000,
//!     zone: "Europe/Paris".into(),
//!     written_unix_seconds: 1_760_000_060,
//!     body: Body::Setting { name: "display".into(), value: "metric".into() },
//! })?;
//! assert_eq!(store.last_id()?, Some(id));
//! assert_eq!(store.settings()?["display"], "metric");
//! # Ok::<(), store::StoreError>(())
//! ```

mod append;
mod backup;
mod error;
mod migrate;
mod open;
mod read;
mod transfer;
mod validate;

pub use append::New;
pub use error::StoreError;
pub use open::Store;
pub use read::BinView;
pub use transfer::Imported;
pub use validate::validate;
