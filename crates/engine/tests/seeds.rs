//! One estimate, not one random draw: the same log under several seeds. The logs
//! are a keeper's of another world (`validation/other_laws`), which no law of ours
//! wrote.

#![allow(clippy::unwrap_used)] // tests may unwrap
// The figures are read off a run with `--nocapture`.
#![allow(clippy::disallowed_macros)]

use engine::bed::fill::Own;
use engine::estimate::filter::{Along, estimate_along};
use engine::estimate::track::Track;
use engine::estimate::{Setup, Told};
use engine::quantity::{Band, Celsius};
use engine::table::Tables;
use engine::validation::other_laws::{self, Written};
use std::sync::LazyLock;
use std::thread;

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables::load().unwrap());

const DAY: i64 = 86_400;
const WEEK: i64 = 7 * DAY;
/// Figures held.
const FIGURES: [Track; 5] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::CastingsShare,
];
/// How far medians may lie from each other [widths of the 80 % interval].
const APART: f64 = 0.25;

fn bands(written: &Written, seed: u64, members: usize, week: i64) -> Vec<Band> {
    let (own, told) = (Own::new(), Told::new());
    let setup = Setup {
        tables: &TABLES,
        own: &own,
        temperature: Celsius(written.celsius),
        now: week * WEEK,
        seed,
        members,
        bin: Some(&written.bin),
        air: Some(written.air()),
    };
    let e = estimate_along(&setup, &written.log, &mut Along::told(&told)).unwrap();
    let signs = e.ensemble.signs(&e.scene);
    let band = |track: &Track| {
        let values: Vec<f64> = signs.iter().map(|s| track.of(s)).collect();
        Band::weighted(&values, &e.ensemble.weights).unwrap()
    };
    FIGURES.iter().map(band).collect()
}

/// What seeds say of each figure: how far the farthest pair of medians lies apart
/// [mean widths], and whether a pair of intervals is disjoint.
fn quarrel(by_seed: &[Vec<Band>]) -> Vec<(f64, bool)> {
    let of = |figure: usize| {
        let bands: Vec<Band> = by_seed.iter().map(|b| b[figure]).collect();
        let width = |b: &Band| b.high - b.low;
        let mean = bands.iter().map(width).sum::<f64>() / bands.len() as f64;
        let medians = || bands.iter().map(|b| b.median);
        let highest = medians().fold(f64::NEG_INFINITY, f64::max);
        let lowest = medians().fold(f64::INFINITY, f64::min);
        let disjoint = bands.iter().any(|a| bands.iter().any(|b| a.high < b.low));
        ((highest - lowest) / mean.max(1e-9), disjoint)
    };
    (0..FIGURES.len()).map(of).collect()
}

fn held(bin: usize, seeds: &[u64], members: usize, week: i64) -> Vec<String> {
    let written = other_laws::live(&TABLES, bin, other_laws::SEED, &[week as u32]).unwrap();
    let by_seed: Vec<Vec<Band>> = thread::scope(|scope| {
        let one = |seed: &u64| {
            let (written, seed) = (&written, *seed);
            scope.spawn(move || bands(written, seed, members, week))
        };
        let threads: Vec<_> = seeds.iter().map(one).collect();
        threads.into_iter().map(|t| t.join().unwrap()).collect()
    });
    let mut wrong = Vec::new();
    for (figure, (track, (apart, disjoint))) in FIGURES.iter().zip(quarrel(&by_seed)).enumerate() {
        let said: Vec<String> = (by_seed.iter())
            .map(|b| &b[figure])
            .map(|b| format!("{:.3} ({:.3} to {:.3})", b.median, b.low, b.high))
            .collect();
        let line = format!(
            "bin {bin}, {}: {apart:.2} widths apart: {}",
            track.name(),
            said.join(", ")
        );
        println!("{line}");
        if apart > APART || disjoint {
            wrong.push(line);
        }
    }
    wrong
}

#[test]
fn seeds_say_the_same_of_half_a_year() {
    let wrong: Vec<String> = [1, 6]
        .into_iter()
        .flat_map(|bin| held(bin, &[1, 2, 3], 120, 26))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Half an hour on two cores, by hand.
#[test]
#[ignore = "half an hour: cargo test --release --test seeds -- --ignored"]
fn seeds_say_the_same_of_a_year() {
    let wrong: Vec<String> = (0..10)
        .flat_map(|bin| held(bin, &[1, 2, 3, 4, 5, 6], 250, 52))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}
