//! What can go wrong at the desk.

use engine::bed::fill::FillError;
use engine::bounds::BoundError;
use engine::estimate::EstimateError;
use engine::log::{BinId, EntryId};
use engine::measure::AmountError;
use engine::reading::question::Question;
use engine::table::TableError;
use store::StoreError;
use thiserror::Error;

/// Why the desk could not answer.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum DeskError {
    /// The store.
    #[error(transparent)]
    Store(StoreError),
    /// The tables.
    #[error(transparent)]
    Table(#[from] TableError),
    /// An entry that cannot be.
    #[error(transparent)]
    Impossible(#[from] engine::log::Impossible),
    /// Parts of a mix.
    #[error(transparent)]
    Fill(#[from] FillError),
    /// An amount.
    #[error(transparent)]
    Amount(#[from] AmountError),
    /// A value out of range.
    #[error(transparent)]
    Bound(#[from] BoundError),
    /// There is no estimate of the bin yet.
    #[error("no estimate of this bin yet: {0}")]
    NoEstimate(EstimateError),
    /// No such bin.
    #[error("there is no bin {}; `bedwright bins` lists them", .0.0)]
    NoBin(BinId),
    /// A value is unlikely or cannot be: ask the keeper.
    #[error("{}", .0.first().map_or_else(String::new, Question::text))]
    Asked(Vec<Question>),
    /// The same was written a moment ago.
    #[error("the same was written within the last minute, as entry {}", .entry.0)]
    Again {
        /// The entry that says it.
        entry: EntryId,
    },
    /// A reading of the bed from before there was one.
    #[error(
        "when: {at} is before the bin was filled; a reading of the bed may be dated from {from} to {to}"
    )]
    BeforeFilled {
        /// As given.
        at: String,
        /// When the bin was first filled.
        from: String,
        /// Now.
        to: String,
    },
    /// An entry written before that could not be used any more with this one.
    #[error("entry {} of bin {} could no longer be used with this: {why}; correct that entry first", .entry.0, .bin.0)]
    LeavesOut {
        /// Its bin.
        bin: BinId,
        /// The entry.
        entry: EntryId,
        /// Why not.
        why: FillError,
    },
    /// An invented bin that was put away with the demo.
    #[error("bin {} was one of the invented bins and was put away with them; nothing was written", .0.0)]
    PutAway(BinId),
    /// A ration.
    #[error(transparent)]
    Ration(#[from] engine::ration::RationError),
    /// An absence.
    #[error(transparent)]
    Away(#[from] engine::away::AwayError),
    /// A spell of heat or cold.
    #[error(transparent)]
    Weather(#[from] engine::weather::WeatherError),
    /// The log could not be opened, for this reason.
    #[error("{0}")]
    Closed(String),
    /// Something said in words that could not be read.
    #[error("{0}")]
    Unreadable(String),
}

impl From<StoreError> for DeskError {
    fn from(error: StoreError) -> Self {
        match error {
            // However late it was seen, it is the same question.
            StoreError::Again { entry } => Self::Again { entry },
            other => Self::Store(other),
        }
    }
}

impl DeskError {
    /// Whether the fault is in what was asked or given (exit code 2), not ours.
    #[must_use]
    pub fn is_input(&self) -> bool {
        match self {
            Self::Store(e) => e.is_input(),
            Self::Closed(_) => false,
            _ => true,
        }
    }
}
