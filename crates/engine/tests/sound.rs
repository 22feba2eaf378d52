//! The estimate held to a reference that shares none of its method: a great
//! many draws of what was believed at first, each weighed by how likely it makes
//! the log, none ever copied or moved.
//!
//! Only short logs allow it: a reference of few effective draws is no reference,
//! so each says how many it has, and fewer than a thousand fail. Tolerances and
//! sizes: 0.15 of the interval's width, for six figures at three points of three
//! logs, by members of effective size 200 and more.

#![allow(clippy::unwrap_used)] // tests may unwrap
// The figures are read off a run with `--nocapture`.
#![allow(clippy::disallowed_macros)]

#[path = "laws/story.rs"]
#[allow(dead_code)] // shared with the laws, which use more of it
mod story;

use engine::bed::fill::Own;
use engine::estimate::filter::{Along, estimate_along};
use engine::estimate::timeline::Told;
use engine::estimate::track::Track;
use engine::estimate::{Estimate, Setup};
use engine::living::room::Day;
use engine::log::{Applied, Body, Entry, Measured, Place, Reading, Word};
use engine::quantity::Celsius;
use engine::table::Tables;
use std::sync::LazyLock;
use std::thread;
use story::{Story, part};

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables::load().unwrap());

const DAY: i64 = 86_400;
/// Draws of the reference.
const DRAWS: usize = 160_000;
/// Drawn at a time, so that they need not be held together.
const AT_A_TIME: usize = 500;
/// Members of the estimate: so many that what is held is the law of it and not
/// the chance of one seed, by which the long tail of food left lies off by a fifth
/// of a width where there are 800.
const MEMBERS: usize = 3000;
/// Fewest effective draws of a reference.
const EFFECTIVE: f64 = 1000.0;
/// How far a point of the estimate may lie from the reference's
/// [widths of its 80 % interval].
const APART: f64 = 0.15;
/// Figures compared.
const FIGURES: [Track; 6] = [
    Track::WormKg,
    Track::Moisture,
    Track::Ph,
    Track::CastingsShare,
    Track::Core,
    Track::FoodLeft,
];
/// Points of each figure [share].
const POINTS: [f64; 3] = [0.1, 0.5, 0.9];

/// A short log and the day it is asked about.
struct Case {
    name: &'static str,
    log: Vec<Entry>,
    day: i64,
}

fn words(story: &mut Story, day: f64, words: &[Word]) {
    let words = words.to_vec();
    let text = String::new().into();
    story.add(day, Body::Observation { words, text });
}

fn read(story: &mut Story, day: f64, what: Measured, value: f64) {
    story.add(
        day,
        Body::Reading(Reading {
            what,
            spots: vec![value],
            instrument: "own".into(),
            place: Place::Middle,
            text: String::new(),
            confirmed: true,
        }),
    );
}

fn fed(story: &mut Story, day: f64, amount: &str) {
    let parts = vec![part("kitchen_scraps_veg", amount)];
    story.add(day, Body::Feeding { parts });
}

/// A count and words.
fn counted() -> Case {
    let mut s = Story::new(&[("coir_pith", "30 L"), ("vermicompost", "5 L")]);
    s.worms(1.0);
    fed(&mut s, 4.0, "500 g");
    words(&mut s, 9.0, &[Word::WormsSpread, Word::FoodHalf]);
    fed(&mut s, 11.0, "500 g");
    words(&mut s, 16.0, &[Word::SqueezeDrops, Word::FoodHalf]);
    s.add(
        18.0,
        Body::WormCount {
            found: 22.0,
            litres_searched: Some(1.0),
            grams: None,
            ball: false,
        },
    );
    words(&mut s, 20.0, &[Word::WormsSpread, Word::SmellEarthy]);
    words(&mut s, 24.0, &[Word::FoodGone]);
    Case {
        name: "a count and words",
        log: s.log,
        day: 25,
    }
}

/// pH readings and a dose.
fn limed() -> Case {
    let mut s = Story::new(&[("peat_sphagnum_unlimed", "40 L")]);
    s.ph(1.0, "cheap_pen", &[4.4, 4.6]);
    s.dose(2.0, "limestone_calcitic", "80 g", Applied::MixedIn);
    s.ph(9.0, "cheap_pen", &[5.3, 5.2]);
    s.worms(12.0);
    s.ph(16.0, "cheap_pen", &[5.6, 5.9]);
    words(&mut s, 17.0, &[Word::WormsSpread]);
    s.ph(22.0, "cheap_pen", &[5.8, 5.7]);
    Case {
        name: "pH readings and a dose",
        log: s.log,
        day: 23,
    }
}

/// Squeezes and feeding.
fn squeezed() -> Case {
    let mut s = Story::new(&[("cardboard_corrugated", "30 L"), ("water", "5 L")]);
    s.worms(1.0);
    fed(&mut s, 3.0, "400 g");
    words(&mut s, 6.0, &[Word::SqueezeDrops]);
    fed(&mut s, 8.0, "600 g");
    words(&mut s, 13.0, &[Word::SqueezeDrops, Word::FoodMost]);
    read(&mut s, 14.0, Measured::BeddingCelsius, 21.0);
    fed(&mut s, 16.0, "300 g");
    words(&mut s, 20.0, &[Word::SqueezeSeveral, Word::FoodHalf]);
    words(&mut s, 26.0, &[Word::FoodGone]);
    Case {
        name: "squeezes and feeding",
        log: s.log,
        day: 27,
    }
}

fn run(case: &Case, seed: u64, members: usize, unmoved: bool) -> Estimate {
    let (own, told) = (Own::new(), Told::new());
    let setup = Setup {
        tables: &TABLES,
        own: &own,
        temperature: Celsius(20.0),
        now: case.day * DAY,
        seed,
        members,
        bin: None,
        air: Some(Day::around(20.0, 4.0)),
    };
    let mut along = Along {
        unmoved,
        ..Along::told(&told)
    };
    estimate_along(&setup, &case.log, &mut along).unwrap()
}

/// Figures of every draw with the log of its weight.
type Drawn = Vec<([f64; FIGURES.len()], f64)>;

fn drawn(case: &Case, seeds: std::ops::Range<u64>) -> Drawn {
    seeds
        .flat_map(|seed| {
            let e = run(case, 1000 + seed, AT_A_TIME, true);
            let signs = e.ensemble.signs(&e.scene);
            let logs = e.ensemble.members.iter().map(|m| m.log_likelihood());
            let figures = signs.iter().map(|s| FIGURES.map(|track| track.of(s)));
            figures.zip(logs).collect::<Drawn>()
        })
        .collect()
}

/// The draws of a case, by two hands.
fn reference(case: &Case, draws: usize) -> Drawn {
    let batches = (draws / AT_A_TIME) as u64;
    thread::scope(|scope| {
        let late = scope.spawn(|| drawn(case, batches / 2..batches));
        let mut all = drawn(case, 0..batches / 2);
        all.extend(late.join().unwrap());
        all
    })
}

/// The point of a weighted list below which that share lies.
fn point(values: &[(f64, f64)], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = sorted.iter().map(|v| v.1).sum();
    let mut passed = 0.0;
    for (value, weight) in &sorted {
        passed += weight;
        if passed >= share * all {
            return *value;
        }
    }
    f64::NAN
}

fn held(case: &Case, draws: usize) -> Vec<String> {
    let all = reference(case, draws);
    let best = all.iter().map(|d| d.1).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = all.iter().map(|d| (d.1 - best).exp()).collect();
    let sum: f64 = weights.iter().sum();
    let effective = sum * sum / weights.iter().map(|w| w * w).sum::<f64>();
    println!(
        "{}: a reference of {effective:.0} effective draws",
        case.name
    );
    assert!(effective >= EFFECTIVE, "{}: {effective}", case.name);
    let e = run(case, 7, MEMBERS, false);
    let signs = e.ensemble.signs(&e.scene);
    let mut wrong = Vec::new();
    for (i, track) in FIGURES.iter().enumerate() {
        let of = |d: &([f64; FIGURES.len()], f64), w: &f64| (d.0[i], *w);
        let theirs: Vec<_> = all.iter().zip(&weights).map(|(d, w)| of(d, w)).collect();
        let values = signs.iter().map(|s| track.of(s));
        let ours: Vec<_> = values.zip(e.ensemble.weights.iter().copied()).collect();
        let [a, b] = [&ours, &theirs].map(|list| POINTS.map(|p| point(list, p)));
        let width = b[2] - b[0];
        let apart: Vec<f64> = a.iter().zip(b).map(|(a, b)| (a - b) / width).collect();
        println!(
            "  {}: {a:.3?} by reference {b:.3?}, {apart:.2?} widths",
            track.name()
        );
        if width > 0.0 && apart.iter().any(|x| x.abs() > APART) {
            wrong.push(format!("{}, {}: {a:?} {b:?}", case.name, track.name()));
        }
    }
    wrong
}

fn all_held(draws: usize) {
    let wrong: Vec<String> = [counted(), limed(), squeezed()]
        .iter()
        .flat_map(|case| held(case, draws))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_estimate_is_what_many_draws_of_the_prior_say() {
    all_held(DRAWS);
}

/// A quarter of an hour of two cores: `./check long brute` runs it.
#[test]
#[ignore = "a quarter of an hour"]
fn the_estimate_is_what_a_million_draws_of_the_prior_say() {
    all_held(1_000_000);
}
