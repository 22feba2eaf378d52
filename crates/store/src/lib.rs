//! The keeper's log in one SQLite file. The only room that speaks SQL.
//!
//! The file holds one table, `entry`, to which rows are only ever added:
//! triggers refuse every update and delete, whoever opens the file. A mistake
//! is mended by a new entry that names the one it corrects. Bins, shed and
//! settings are read from the entries each time, so there is nothing beside
//! the log that could disagree with it.
//!
//! Each entry carries a checksum and its place among those of its device
//! (`seal.rs`), so that one that was changed or is missing is named
//! (`health.rs`), all others are shown, and what can be read of a damaged file
//! can be saved (`rescue.rs`). Nothing is acknowledged that is not in the file
//! at the log's path (`standing.rs`).
//!
//! Start reading at `open.rs`; then `append.rs` (the way in), `read.rs` (the
//! way out), `export.rs` and `import.rs` (JSON Lines and CSV), `whole_file.rs`
//! (how every file is written), `backup.rs` and `rolling.rs`.
//!
//! ```
//! use engine::log::Body;
//! use store::{New, Store};
//!
//! let mut store = Store::open_in_memory()?;
//! let metric = Body::Setting { name: "display".into(), value: "metric".into() };
//! let id = store.append(New::at(1_760_000_000, "Europe/Paris", metric))?;
//! assert_eq!(store.last_id()?, Some(id));
//! assert_eq!(store.settings()?["display"], "metric");
//! # Ok::<(), store::StoreError>(())
//! ```

mod admit;
mod again;
mod append;
mod backup;
mod bounded;
mod carve;
mod described;
mod error;
mod export;
mod extent;
mod health;
mod import;
mod journal;
mod left_over;
mod migrate;
mod new;
mod open;
mod over;
mod overlaid;
mod place;
mod read;
mod rescue;
mod restoring;
mod rolling;
mod seal;
mod shown;
mod spans;
mod standing;
mod unfit;
mod validate;
mod whole_file;
mod words;

pub use error::{StoreError, plain};
pub use export::Form;
pub use health::{Health, Missing, Unreadable};
pub use import::Imported;
pub use left_over::left_over;
pub use new::{New, NewBin};
pub use open::Store;
pub use read::{BinView, Mark};
pub use rescue::Rescued;
pub use rolling::{Backups, Rolled, Saved, backups, backups_folder, roll_backups};
pub use standing::{Fate, GoneFile};
pub use unfit::{Asked, Fits, Unfit};
pub use validate::{NAME_LONG, plain_text, validate};
pub use whole_file::write_whole;
