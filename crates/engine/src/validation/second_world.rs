//! A second world of bins that follows other laws than the model, lived through
//! by other keepers, to judge an estimate by.
//!
//! It was written from the reference notes by someone who had not read the
//! model, and before any estimate was run on it. Neither its laws nor its
//! numbers are changed by how an estimate fares in it. Whoever finds an error in
//! it makes another world beside it.
//!
//! It differs in form from [`super::other_laws`] too. Matter goes batch by batch,
//! after a lag, by a Weibull law of warm days; water stands in two layers that
//! exchange by suction and drain by a power of their saturation; air takes water
//! by the deficit of vapour pressure; worms are weekly classes moved on by a
//! matrix, with deaths by a log-normal spread of tolerance to the worst weekly
//! mean; pH is read off a titration curve of two steps; lime acts by the root of
//! time; salt is freed by what rots or is eaten. Its numbers are
//! `second_world.csv`.

mod acid;
mod air;
mod chance;
mod keeper;
mod matter;
#[cfg(test)]
mod tests;
mod water;
mod words;
mod world;
mod worms;

use super::ValidationError;
use super::scored::{Case, Followed};
use crate::log::{BinDescription, Lid, Walls};
use crate::quantity::Celsius;
use crate::table::Tables;
use chance::Book;
use keeper::Keeper;
use world::{Container, Cover, Seen};

pub use super::other_laws::{FIGURES, WEEKS, Written};

/// Bins followed.
pub const BINS: usize = 40;
/// Members of each estimate.
pub const MEMBERS: usize = 40;
/// Seed of the bins and of the estimates.
pub const SEED: u64 = 4711;

const DAYS_OF_A_WEEK: u32 = 7;

/// The truth of [`FIGURES`], in their order.
fn figures(seen: &Seen) -> Vec<f64> {
    vec![
        seen.ph,
        seen.moisture,
        seen.celsius,
        seen.worms_kg,
        seen.worms,
        seen.castings_kg,
        seen.salt,
    ]
}

/// The container as its keeper describes it.
fn description(container: &Container) -> BinDescription {
    let (length_cm, width_cm, depth_cm) = container.size_cm;
    let (walls, lid) = match container.cover {
        Cover::Holes => (Walls::Plastic, Lid::Tight),
        Cover::Loose => (Walls::Plastic, Lid::Vented),
        Cover::Crate => (Walls::Wood, Lid::Vented),
    };
    BinDescription {
        name: String::new(),
        length_cm,
        width_cm,
        depth_cm,
        bedding_depth_cm: None,
        walls,
        lid,
        drains: container.drains,
        place: String::new(),
        retired: false,
    }
}

/// Lives through one bin for as long as `weeks` say, which rise.
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
        bin: description(&keeper.world.container),
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
        seed: seed.wrapping_mul(37).wrapping_add(bin as u64),
        as_shown: true,
    }
    .judged(tables)
}
