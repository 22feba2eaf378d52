//! What an estimate holds.

use super::Lesson;
use super::past::Past;
use crate::bed::fill::ReadyPart;
use crate::bed::product::Ranged;
use crate::estimate::ensemble::Ensemble;
use crate::estimate::scene::Scene;
use crate::estimate::timeline::LeftOut;
use crate::estimate::track::Moment;
use crate::log::EntryId;
use crate::quantity::Band;
use crate::reading::medium::MediumShift;
use crate::reading::settling::Settling;
use std::sync::Arc;

/// How the bed stands.
#[derive(Debug, Clone)]
pub struct Estimate {
    /// The ensemble as it stands now.
    pub ensemble: Ensemble,
    /// pH of the bed as a whole.
    pub ph: Band,
    /// pH when all lime already given has acted.
    pub ph_to_come: Band,
    /// Base given but not yet acting, the keeper's doses and fillers alike [meq].
    pub pending_meq: Band,
    /// Buffer near the present pH [meq per pH unit].
    pub buffer_meq_per_ph: Band,
    /// The same before any reading or jar test was heard.
    pub buffer_at_start: Band,
    /// Dry bedding [kg].
    pub dry_kg: Band,
    /// Water [kg].
    pub water_kg: Band,
    /// All figures followed, now.
    pub moment: Moment,
    /// The same, through time up to now.
    pub(super) past: Arc<Past>,
    /// What is around the members.
    pub scene: Scene,
    /// The readings, as understood.
    pub heard: Vec<Heard>,
    /// What the last few observations taught, oldest first.
    pub lessons: Vec<Lesson>,
    /// Doses given since the bin was filled.
    pub given: Vec<Given>,
    /// Feedings since the bin was filled.
    pub fed: Vec<FedThen>,
    /// Water poured since: when [s since 1970-01-01 00:00 UTC], how much [kg].
    pub watered: Vec<(i64, Ranged)>,
    /// Rise since just before the last dose, and the chance it is a real one
    /// (more than 0.2 pH).
    pub change: Option<(Band, f64)>,
    /// When the last dose was given.
    pub last_dose_at: Option<i64>,
    /// No further step with worms in before this [s since 1970-01-01 00:00 UTC].
    pub wait_until: Option<i64>,
    /// The moment the estimate is for [s since 1970-01-01 00:00 UTC].
    pub now: i64,
    /// Worms are in.
    pub stocked: bool,
    /// Ammonia was smelt within the last week.
    pub smelt_ammonia: bool,
    /// When the bin was filled.
    pub filled_at: i64,
    /// Times the log contradicted the ensemble.
    pub contradictions: usize,
    /// Entries that could not be used, of the whole log of the bin.
    pub left_out: Vec<LeftOut>,
    /// What of long silences was passed over: from and to
    /// [s since 1970-01-01 00:00 UTC].
    pub passed_over: Vec<(i64, i64)>,
}

impl Estimate {
    /// pH of the bed through time up to now: (s since 1970-01-01 00:00 UTC, band).
    #[must_use]
    pub fn path(&self) -> &[(i64, Band)] {
        self.past.path()
    }

    /// All figures followed, through time up to now.
    #[must_use]
    pub fn course(&self) -> &[Moment] {
        self.past.course()
    }

    /// The same estimate with an ensemble of `count` members: coarser and
    /// sooner.
    #[must_use]
    pub fn thinned(&self, count: usize) -> Self {
        Self {
            ensemble: self.ensemble.thinned(count),
            ..self.clone()
        }
    }
}

/// One reading as understood.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Which entry.
    pub entry: EntryId,
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// Mean of the spots, on the 1:5 water scale [pH].
    pub mean: f64,
    /// Half-width of its 80 % error bar [pH].
    pub half_width: f64,
    /// Number of spots.
    pub spots: usize,
    /// Settled, or local and why.
    pub settling: Settling,
    /// Probable pH of the whole bed then, this reading weighed in.
    pub bed: Band,
    /// The reading went against nearly all that was believed.
    pub contradicted: bool,
    /// Spread of the bed's pH before and after hearing it [pH].
    pub taught: (f64, f64),
    /// What dryness and salt did to the reading.
    pub medium: MediumShift,
    /// When to read again, for a local reading [s since 1970-01-01 00:00 UTC].
    pub reread_at: Option<i64>,
}

/// One dose given, for the running total.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// Which entry.
    pub entry: EntryId,
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// Material.
    pub material: String,
    /// Name.
    pub name: String,
    /// Base it carried [meq]; negative for acid.
    pub base_meq: Band,
}

/// One feeding.
#[derive(Debug, Clone)]
pub struct FedThen {
    /// Which entry.
    pub entry: EntryId,
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// How much, wet, by the tables' measures [g].
    pub grams: f64,
    /// What.
    pub parts: Vec<ReadyPart>,
}
