//! An absence: what to do before leaving, and how long the bin does without
//! its keeper.
//!
//! Worms live for weeks on moist bedding; what ends an absence is mostly
//! dryness, heat or frost, and a feast given at parting does more harm than
//! hunger. So little is tried: no more than an ordinary ration, moist bedding,
//! water; and the least that is as good as the best.

mod harm;
mod trial;
mod words;

pub use harm::Harm;

use crate::advice::{Advice, PLAIN, Speak};
use crate::bed::fill::{FillError, Own, ready};
use crate::estimate::Estimate;
use crate::living::room::Day;
use crate::living::trouble::Trouble;
use crate::log::Part;
use crate::measure::{Amount, Unit};
use crate::quantity::{Band, Celsius};
use crate::ration::{RationError, may_be_fed};
use crate::table::{TableError, Tables};
use thiserror::Error;

/// What is asked.
#[derive(Debug, Clone)]
pub struct AwayAsk<'a> {
    /// The tables.
    pub tables: &'a Tables,
    /// The keeper's own values by material.
    pub own: &'a Own,
    /// How the bin stands.
    pub estimate: &'a Estimate,
    /// Bed temperature [°C].
    pub bed: Celsius,
    /// Days until leaving [d], 0 to 30; till then the keeper goes on as now.
    pub leave_in_days: u32,
    /// Days away [d], 1 to 180.
    pub days_away: u32,
    /// What could be fed, by its parts to each other.
    pub feed: Vec<Part>,
    /// Most to feed at parting, where a ration was worked out for then [g].
    pub most_feed: Option<f64>,
    /// Key of the dry bedding at hand.
    pub bedding: String,
    /// Air from today on where it is known or feared; then as it was.
    pub air: Vec<Day>,
    /// Members to look ahead with.
    pub members: usize,
}

/// Longest absence that is answered [d].
pub const MOST_DAYS: u32 = 180;
/// Furthest leaving that is answered [d].
pub const MOST_LEAVE_IN: u32 = 30;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AwayError {
    /// The feed could not be used.
    #[error(transparent)]
    Fill(#[from] FillError),
    /// A number is missing.
    #[error(transparent)]
    Table(#[from] TableError),
    /// What could be fed is no food for worms.
    #[error(transparent)]
    Feed(#[from] RationError),
    /// The bedding is not known.
    #[error("bedding `{0}` is not in the tables; name one, such as `cardboard_corrugated`")]
    NoBedding(String),
    /// Days outside the range.
    #[error("{field} {value} d is outside the allowed range {low} to {high} d")]
    Days {
        /// Field.
        field: &'static str,
        /// As given.
        value: u32,
        /// Lowest.
        low: u32,
        /// Highest.
        high: u32,
    },
}

/// When harm first comes, in days after leaving.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Chance that harm has come by the end of each day away, from the day of
    /// leaving on [0 to 1].
    pub by_day: Vec<f64>,
    /// Day by which one, five and nine in ten possible bins have come to harm
    /// [d]; `None` when later than was looked.
    pub harm_day: [Option<u32>; 3],
    /// Last day to come back on with the chance of harm still at most a tenth
    /// [d after leaving]; `None` when later than was looked.
    pub latest_safe_days: Option<u32>,
    /// Days looked ahead [d].
    pub looked_days: u32,
    /// Chance of each trouble at some time before the return [0 to 1].
    pub chances: Vec<(Trouble, f64)>,
    /// Chance of each harm being the first one, by the return [0 to 1].
    pub first: Vec<(Harm, f64)>,
    /// Chance of any harm by the return [0 to 1].
    pub at_return: f64,
    /// Mass of a worm against well fed, at the return [-].
    pub condition: Band,
    /// Moisture at the return [% of wet mass].
    pub moisture_percent: Band,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Away {
    /// Parting feeding, wet, once [g].
    pub feed_grams: Band,
    /// The same by material, in the order asked [g].
    pub parts: Vec<(String, f64)>,
    /// Dry bedding to add, as slow food [g].
    pub bedding_grams: f64,
    /// Water to soak that bedding in [g].
    pub soak_grams: f64,
    /// Water to pour on besides [g].
    pub water_grams: f64,
    /// How it goes when this is done.
    pub done: Course,
    /// How it goes when nothing is done.
    pub undone: Course,
    /// Harm that is likely there already on leaving, with its chance.
    pub already: Vec<(Harm, f64)>,
    /// Chance from which a harm there on leaving comes before everything else
    /// [0 to 1].
    pub settle_first: f64,
    /// Chance from which a trouble is spoken of [0 to 1].
    pub spoken_of: f64,
    /// What to do, in order, with reasons.
    pub advice: Vec<Advice>,
}

impl Away {
    /// The likeliest harm that is there already on leaving, when it is more
    /// likely there than not: the bin is not to be left before it is settled,
    /// for the chances here are of new harm only.
    #[must_use]
    pub fn unsettled(&self) -> Option<(Harm, f64)> {
        let worst = self.already.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        (worst.1 >= self.settle_first).then_some(*worst)
    }
}

/// What to do before an absence.
///
/// # Errors
/// [`AwayError`] naming what is wrong with the question.
pub fn away(ask: &AwayAsk<'_>) -> Result<Away, AwayError> {
    within("leave in", ask.leave_in_days, 0, MOST_LEAVE_IN)?;
    within("days away", ask.days_away, 1, MOST_DAYS)?;
    may_be_fed(ask.tables, &ask.feed)?;
    let parts = if ask.feed.is_empty() {
        Vec::new()
    } else {
        ready(ask.tables, &ask.feed, ask.own)?
    };
    let bedding = ready(ask.tables, &[bedding_part(&ask.bedding)], ask.own)
        .map_err(|_| AwayError::NoBedding(ask.bedding.clone()))?;
    let trial = trial::Trial::new(ask, parts, bedding)?;
    let best = trial.best();
    let away = |property| ask.tables.value("weather", "away", property);
    let looked = looked_days(ask.days_away);
    let done = trial.run(&best, looked);
    let undone = trial.run(&trial::Given::default(), looked);
    let mut answer = Away {
        feed_grams: Band {
            median: best.feed,
            low: away("feed_low_share")? * best.feed,
            high: best.feed,
        },
        parts: trial.shares(best.feed),
        bedding_grams: best.bedding,
        soak_grams: best.soak,
        water_grams: best.water,
        already: trial.already(&undone),
        settle_first: away("settle_first_chance")?,
        spoken_of: ask.tables.value("weather", "limit", "chance")?,
        done: trial.course(&done),
        undone: trial.course(&undone),
        advice: Vec::new(),
    };
    answer.advice = words::advice(ask, &answer, PLAIN);
    Ok(answer)
}

/// The advice of an answer worded otherwise: in other units, with days named.
#[must_use]
pub fn advice_worded(ask: &AwayAsk<'_>, answer: &Away, speak: Speak<'_>) -> Vec<Advice> {
    words::advice(ask, answer, speak)
}

/// Days looked ahead: twice the absence, two months at least.
fn looked_days(days_away: u32) -> u32 {
    (2 * days_away).clamp(60, 2 * MOST_DAYS)
}

fn within(field: &'static str, value: u32, low: u32, high: u32) -> Result<(), AwayError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(AwayError::Days {
        field,
        value,
        low,
        high,
    })
}

fn bedding_part(key: &str) -> Part {
    Part::plain(
        key,
        Amount {
            number: 100.0,
            unit: Unit::Gram,
        },
    )
}
