//! `bedwright now`, `ration`, `outlook` and `today`: see docs/contract-bin.md.

pub mod now;
pub mod outlook;
pub mod ration;
pub mod today;
pub(super) mod tracks;
