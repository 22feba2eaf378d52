//! A wrong year, or a bin forgotten for years, makes no answer slow; and a long
//! past followed by fewer possible bins says about what all of them would.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test that cannot go on should stop, and this one times the answer"
)]

use engine::bed::fill::Own;
use engine::estimate::{Along, Estimate, Setup, Told, Track, estimate_along};
use engine::log::*;
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::table::Tables;
use std::sync::LazyLock;
use std::time::Instant;

static TABLES: LazyLock<Tables> = LazyLock::new(|| Tables::load().unwrap());
const DAY: i64 = 86_400;

fn entry(id: i64, day: i64, body: Body) -> Entry {
    Entry {
        id: EntryId(id),
        bin: Some(BinId(1)),
        at_unix_seconds: day * DAY,
        zone: "UTC".into(),
        written_unix_seconds: day * DAY,
        body,
    }
}

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

/// Filled on day 0, worms in, and fed on the days given.
fn log(fed: impl Iterator<Item = i64>) -> Vec<Entry> {
    let parts = vec![part("coir_pith", "20 L"), part("water", "6 L")];
    let worms = Body::WormsIn {
        grams: Some(300.0),
        count: None,
        species: String::new(),
    };
    let mut log = vec![entry(1, 0, Body::Filled { parts }), entry(2, 0, worms)];
    log.extend(fed.zip(3..).map(|(day, id)| {
        let parts = vec![part("kitchen_scraps_veg", "300 g")];
        entry(id, day, Body::Feeding { parts })
    }));
    log
}

fn run(log: &[Entry], now: i64, members: usize, short_silences: bool) -> Estimate {
    let (own, told) = (Own::new(), Told::new());
    let setup = Setup {
        tables: &TABLES,
        own: &own,
        temperature: Celsius(20.0),
        now: now * DAY,
        seed: 7,
        members,
        bin: None,
        air: None,
    };
    let mut along = Along {
        short_silences,
        ..Along::told(&told)
    };
    estimate_along(&setup, log, &mut along).unwrap()
}

#[test]
fn centuries_of_silence_and_decades_of_feeding_are_told_in_seconds() {
    let began = Instant::now();
    let silent = run(&log([20, 200_000].into_iter()), 200_010, 100, true);
    assert_eq!(silent.passed_over.len(), 1);
    let (from, to) = silent.passed_over[0];
    assert_eq!((from, to), ((20 + 365) * DAY, 200_000 * DAY));
    let weekly = run(&log((1..1000).map(|w| 7 * w)), 7000, 40, true);
    for track in Track::ALL {
        for e in [&silent, &weekly] {
            let band = e.course().last().unwrap().band(*track);
            assert!(band.median.is_finite(), "{track:?}");
        }
    }
    // Two hundred thousand days by a hundred bins took minutes.
    assert!(began.elapsed().as_secs() < 60, "{:?}", began.elapsed());
}

#[test]
fn a_short_past_is_followed_as_ever() {
    let log = log((1..20).map(|w| 7 * w));
    let (all, paced) = (run(&log, 140, 60, false), run(&log, 140, 60, true));
    assert_eq!(all.path(), paced.path());
    assert!(paced.passed_over.is_empty());
}

/// What is drawn by chance is drawn by the step: were the step of another length
/// by the day of asking, the number of worms would leap from one day to the
/// next with nothing written in between.
#[test]
fn the_day_of_asking_does_not_change_the_past() {
    let mut log = log((5..330).step_by(7));
    for (id, day) in [(900, 100), (901, 200), (902, 300)] {
        let words = vec![Word::WormsSpread, Word::SqueezeDrops, Word::FoodGone];
        let text = String::new().into();
        log.push(entry(id, day, Body::Observation { words, text }));
    }
    log.sort_by_key(|e| e.at_unix_seconds);
    let [before, after] = [319, 323].map(|now| run(&log, now, 60, false));
    assert_eq!(before.lessons, after.lessons);
    let worms = |e: &Estimate| e.course().last().unwrap().band(Track::Worms).median;
    let leap = worms(&after) / worms(&before);
    assert!((0.9..1.1).contains(&leap), "{leap}");
}

/// Asked as of an earlier moment nothing after it is used: no air read since, no
/// other species put in, no food, no word.
#[test]
fn what_was_written_later_does_not_change_an_earlier_moment() {
    let log = log((1..6).map(|w| 7 * w));
    let mut more = log.clone();
    let air = Body::Reading(Reading {
        what: Measured::AirCelsius,
        spots: vec![33.0],
        instrument: "own".into(),
        place: Place::Spread,
        text: String::new(),
        confirmed: true,
    });
    let worms = Body::WormsIn {
        grams: Some(200.0),
        count: None,
        species: "eudrilus_eugeniae".into(),
    };
    let words = Body::Observation {
        words: vec![Word::WormsClimbing, Word::SmellSour],
        text: String::new().into(),
    };
    more.extend([
        entry(900, 41, air),
        entry(901, 42, worms),
        entry(902, 43, words),
    ]);
    let [before, after] = [&log, &more].map(|log| run(log, 40, 60, false));
    assert_eq!(before.path(), after.path());
    assert_eq!(before.course(), after.course());
    // And then it is.
    assert_ne!(
        run(&log, 44, 60, false).course(),
        run(&more, 44, 60, false).course()
    );
}
