//! `bedwright now`, `ration`, `outlook`, `away`, `weather` and `today`: see docs/contract-bin.md.

pub mod away;
mod days;
pub mod now;
pub mod outlook;
pub mod ration;
pub(super) mod seen;
pub mod today;
pub(super) mod tracks;
pub mod weather;
