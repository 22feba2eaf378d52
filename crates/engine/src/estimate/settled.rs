//! What a log made of the members: the chances and the weight of each after so
//! many events, and what each observation taught. All else that is shown of a bin
//! follows from it by living the log once more.

use crate::bed::draw::Tape;
use crate::estimate::along::{Lesson, TAUGHT};
use crate::estimate::moves::{Done, Moves};
use crate::log::EntryId;
use crate::quantity::Band;
use serde::{Deserialize, Serialize};

/// What a log made of the members.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settled {
    /// Of all it hangs on: see [`Script::digest`].
    pub(super) digest: u64,
    /// So many events are over.
    pub(super) events: usize,
    /// When they are [s since 1970-01-01 00:00 UTC].
    pub(super) at: i64,
    pub(super) tapes: Vec<Tape>,
    pub(super) weights: Vec<f64>,
    pub(super) moves: Moves,
    pub(super) learned: Vec<Learned>,
    /// What is being learned from the last event, its moves under way.
    pub(super) learning: Option<Learned>,
}

/// What one observation taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// Which entry.
    pub entry: EntryId,
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// It went against what was believed.
    pub surprising: bool,
    /// Spread of the bed's pH before and after [pH].
    pub ph_spread: (f64, f64),
    /// The bed's pH after.
    pub ph: Band,
    /// Figures of [`TAUGHT`] before and after.
    pub figures: Vec<(Band, Band)>,
    /// Share of members it left in play, before they were drawn anew [0 to 1].
    pub share: f64,
}

impl Settled {
    /// Of nothing heard yet.
    pub(super) fn begin(seed: u64, at: i64) -> Self {
        Self {
            digest: 0,
            events: 0,
            at,
            tapes: Vec::new(),
            weights: Vec::new(),
            moves: Moves::new(seed),
            learned: Vec::new(),
            learning: None,
        }
    }

    /// What one observation taught.
    #[must_use]
    pub fn of(&self, entry: EntryId) -> Option<&Learned> {
        self.learned.iter().rev().find(|l| l.entry == entry)
    }

    /// Times the log went against what was believed.
    #[must_use]
    pub fn surprises(&self) -> usize {
        self.learned.iter().filter(|l| l.surprising).count()
    }

    /// When its events are over [s since 1970-01-01 00:00 UTC].
    #[must_use]
    pub fn at(&self) -> i64 {
        self.at
    }

    /// A number that tells it from others.
    #[must_use]
    pub fn digest(&self) -> u64 {
        self.digest
    }

    /// Whether no moves are under way.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.learning.is_none()
    }

    /// Of how many events it is.
    #[must_use]
    pub fn events(&self) -> usize {
        self.events
    }

    /// How members were moved.
    #[must_use]
    pub fn moves(&self) -> Done {
        self.moves.done
    }

    /// What the last so many observations taught, oldest first.
    #[must_use]
    pub fn lessons(&self, most: usize) -> Vec<Lesson> {
        let from = self.learned.len().saturating_sub(most);
        let lesson = |l: &Learned| Lesson {
            entry: l.entry,
            at: l.at,
            figures: TAUGHT
                .iter()
                .zip(&l.figures)
                .map(|(track, (before, after))| (*track, *before, *after))
                .collect(),
            effective_share: l.share,
            contradicted: l.surprising,
        };
        self.learned[from..].iter().map(lesson).collect()
    }
}
