//! Do the intervals hold the truth where the truth follows other laws? Bins of
//! another world are lived through by another keeper for a year, and estimated
//! from their log alone.
//!
//! The world (`other_laws/world.rs` and what it calls) shares no function with
//! [`crate::living`], [`crate::bed`] or [`crate::estimate`], and differs from
//! them in form: worms die at limits and of no dose; their numbers and mass grow
//! logistically towards what floor and food can keep; water is one bucket; food
//! rots from one pool; salt comes out of each load by a first-order law; pH goes
//! to a level; castings are a share of what was eaten, some days ago. What a
//! keeper says of it is written apart too (`other_laws/words.rs`). Its numbers
//! are `other_laws.csv`, from sources and common practice.
//!
//! It was written before the estimate that it judges, and is frozen: neither its
//! laws nor its numbers are changed by how an estimate fares in it. Whoever
//! finds an error in it makes another world beside it.

mod chance;
mod food;
mod keeper;
mod salt;
mod sourness;
#[cfg(test)]
mod tests;
mod warmth;
mod water;
mod words;
mod world;
mod worms;

use super::ValidationError;
use super::scored::{Case, Followed};
use crate::estimate::track::Track;
use crate::living::room::Day;
use crate::log::{BinDescription, Entry, Lid, Walls};
use crate::quantity::Celsius;
use crate::table::Tables;
use chance::Book;
use keeper::Keeper;
use world::{Container, Seen};

/// The figures held against the truth.
pub const FIGURES: [Track; 7] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::Worms,
    Track::Castings,
    Track::Salt,
];
/// At the end of which weeks.
pub const WEEKS: [u32; 5] = [2, 4, 8, 26, 52];
/// Bins followed.
pub const BINS: usize = 40;
/// Members of each estimate.
pub const MEMBERS: usize = 40;
/// Seed of the bins and of the estimates.
pub const SEED: u64 = 2026;

/// Between a room's coolest and its warmest in a day, as told of a house [K].
const SWING: f64 = 4.0;
const DAYS_OF_A_WEEK: u32 = 7;

/// The truth of [`FIGURES`].
fn figures(seen: &Seen) -> Vec<f64> {
    vec![
        seen.ph,
        seen.moisture,
        seen.celsius,
        seen.worms_kg,
        seen.worms,
        seen.castings_kg,
        seen.ec,
    ]
}

/// The container as its keeper describes it.
fn description(c: &Container) -> BinDescription {
    let (length_cm, width_cm, depth_cm) = c.size_cm;
    BinDescription {
        name: String::new(),
        length_cm,
        width_cm,
        depth_cm,
        bedding_depth_cm: None,
        walls: if c.wood { Walls::Wood } else { Walls::Plastic },
        lid: Lid::Vented,
        drains: c.drains,
        place: String::new(),
        retired: false,
    }
}

/// What a keeper of that world wrote of one bin, and the truth by week.
#[derive(Debug, Clone)]
pub struct Written {
    /// The log.
    pub log: Vec<Entry>,
    /// The container.
    pub bin: BinDescription,
    /// The room as the keeper tells of it [°C].
    pub celsius: f64,
    /// [`FIGURES`] at the end of each week asked for.
    pub truth: Vec<Vec<f64>>,
}

impl Written {
    /// The usual day of the air around it.
    #[must_use]
    pub fn air(&self) -> Day {
        Day::around(self.celsius, SWING)
    }
}

/// Lives through one bin for as long as `weeks` say.
///
/// # Errors
/// [`ValidationError`] when a number is missing.
pub fn live(
    tables: &Tables,
    bin: usize,
    seed: u64,
    weeks: &[u32],
) -> Result<Written, ValidationError> {
    let mut keeper = Keeper::begin(Book(tables), seed, bin as u64)?;
    let mut truth = Vec::new();
    for week in weeks {
        while keeper.world.day < week * DAYS_OF_A_WEEK {
            keeper.live_a_day()?;
        }
        truth.push(figures(&keeper.world.seen()));
    }
    Ok(Written {
        bin: description(&keeper.container),
        celsius: keeper.told_celsius,
        log: keeper.log,
        truth,
    })
}

/// Lives through one bin for as long as `weeks` say, and estimates it.
///
/// # Errors
/// [`ValidationError`] when a number is missing.
pub fn follow(
    tables: &Tables,
    bin: usize,
    members: usize,
    seed: u64,
    weeks: &[u32],
) -> Result<Followed, ValidationError> {
    let written = live(tables, bin, seed, weeks)?;
    Case {
        number: bin,
        log: &written.log,
        bin: Some(&written.bin),
        air: written.air(),
        temperature: Celsius(written.celsius),
        figures: &FIGURES,
        weeks,
        truth: &written.truth,
        members,
        seed: seed.wrapping_mul(31).wrapping_add(bin as u64),
        as_shown: true,
    }
    .judged(tables)
}
