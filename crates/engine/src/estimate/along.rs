//! What goes along with a run of the filter, and what it taught.

use crate::estimate::ensemble::Ensemble;
use crate::estimate::hands::{Hands, ONE_PAIR};
use crate::estimate::live::Staged;
use crate::estimate::scene::Scene;
use crate::estimate::standing::Standing;
use crate::estimate::timeline::Told;
use crate::estimate::track::Track;
use crate::living::room::Day;
use crate::log::EntryId;
use crate::quantity::Band;
use std::collections::BTreeMap;

/// Called at the end of each day since the bin was filled, with the day.
pub type Daily<'a> = &'a mut dyn FnMut(u32, &mut Ensemble, &Scene);

/// What goes along with a run, none of which the log holds.
pub struct Along<'a> {
    /// Hours between a dose that is not in the log and a reading that is.
    pub told: &'a Told,
    /// The air on the first days, from filling on; then as the log says.
    pub air: &'a [Day],
    /// Worms by stage for entries that put worms in.
    pub staged: &'a BTreeMap<EntryId, Staged>,
    /// Who does the work.
    pub hands: &'static dyn Hands,
    /// Told how far the run is [0 to 1].
    pub progress: Option<&'a mut dyn FnMut(f64)>,
    /// Long silences are not followed to their end.
    pub short_silences: bool,
    /// What beginnings of this log made of the members, worked out before, the
    /// longest first.
    pub kept: Option<&'a mut dyn Iterator<Item = Standing>>,
    /// Digests of those taken of [`Along::kept`] that are of no beginning of this
    /// log; told after a run.
    pub stale: Vec<u64>,
    /// In [`settle`](crate::estimate::filter::settle) moves may live the members
    /// over for so many days of all together, and are gone on with another time; as
    /// many as it takes when not given.
    pub most_days: Option<f64>,
    /// One round of moves each time, for a first answer of few members; they are
    /// taken from what was kept of more.
    pub quick: bool,
    /// Members are weighed and no more: not drawn anew, not moved. For a
    /// reference by many draws of what was believed at first.
    pub unmoved: bool,
    /// Called with every day.
    pub daily: Option<Daily<'a>>,
}

impl<'a> Along<'a> {
    /// Nothing but what was told.
    #[must_use]
    pub fn told(told: &'a Told) -> Self {
        static NO_STAGES: BTreeMap<EntryId, Staged> = BTreeMap::new();
        Self {
            told,
            air: &[],
            staged: &NO_STAGES,
            hands: &ONE_PAIR,
            progress: None,
            short_silences: false,
            kept: None,
            stale: Vec::new(),
            most_days: None,
            quick: false,
            unmoved: false,
            daily: None,
        }
    }

    /// Tells how far the run is [0 to 1].
    pub(crate) fn tell(&mut self, done: f64) {
        if let Some(progress) = &mut self.progress {
            progress(done);
        }
    }
}

/// What one of the last observations taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Which entry.
    pub entry: EntryId,
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// Figures just before and just after it was heard.
    pub figures: Vec<(Track, Band, Band)>,
    /// Effective members over their count after it, before copies were made
    /// anew [0 to 1]; 1 when it said nothing, or copies were made.
    pub effective_share: f64,
    /// It went against nearly all that was believed.
    pub contradicted: bool,
}

/// Figures a lesson is told by.
pub(crate) const TAUGHT: [Track; 6] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::FoodLeft,
    Track::CastingsShare,
];
/// Observations whose lessons are kept.
pub(crate) const LESSONS: usize = 5;
