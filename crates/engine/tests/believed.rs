//! What was seen twice, heard by the whole estimate: a bin of a month, fed weekly,
//! with good looks before.

#![allow(clippy::unwrap_used)] // tests may unwrap
// The figures are read off a run with `--nocapture`.
#![allow(clippy::disallowed_macros)]

#[path = "laws/story.rs"]
#[allow(dead_code)] // shared with the laws, which use more of it
mod story;

use engine::estimate::Estimate;
use engine::estimate::ensemble::Possible;
use engine::living::observe::{Question, Sayings};
use engine::log::{Body, Word};
use std::sync::LazyLock;
use story::{Story, part};

static SAYINGS: LazyLock<Sayings> = LazyLock::new(|| Sayings::load(story::tables()).unwrap());

const BEDS: [&[(&str, &str)]; 2] = [
    &[
        ("coir_pith", "20 L"),
        ("vermicompost", "10 L"),
        ("water", "4 L"),
    ],
    &[
        ("cardboard_corrugated", "30 L"),
        ("vermicompost", "10 L"),
        ("water", "4 L"),
    ],
];
const WELL: [Word; 3] = [Word::SqueezeDrops, Word::WormsSpread, Word::SmellEarthy];

fn look(s: &mut Story, day: f64, words: &[Word]) {
    let words = words.to_vec();
    let text = String::new().into();
    s.add(day, Body::Observation { words, text });
}

/// A month of weekly feedings and good looks.
fn well_kept(bed: &[(&str, &str)]) -> Story {
    let mut s = Story::new(bed);
    s.worms(1.0);
    for day in [4.0, 11.0, 18.0, 25.0] {
        let parts = vec![part("kitchen_scraps_veg", "200 g")];
        s.add(day, Body::Feeding { parts });
        look(&mut s, day + 0.1, &WELL);
    }
    s
}

/// Chance that food has gone so sour, by the model, that this keeper's nose more
/// likely than not says so; that there is a cause outside the model.
fn shown(e: &Estimate, day: f64) -> (f64, f64) {
    let chances = |m: &Possible| {
        let signs = m.signs(&e.scene);
        let sour = SAYINGS.answers_by(Question::Sour, &signs, &m.keeper);
        let mut unseen = m.unseen;
        unseen.carry(day, &signs, SAYINGS.causes());
        (
            f64::from(sour.probabilities()[SAID] > NOTICED),
            unseen.any(),
        )
    };
    let of = e.ensemble.members.iter().map(chances);
    of.zip(&e.ensemble.weights)
        .fold((0.0, 0.0), |sum, ((a, b), w)| {
            (sum.0 + a * w, sum.1 + b * w)
        })
}

/// The answer "it smells so".
const SAID: usize = 0;
/// Half of what a nose says that is sure of it: 0.85 of it is said.
const NOTICED: f64 = 0.43;

/// What two looks two days apart show has a chance of a half or more, one look
/// leaves it open, and all well for a week takes it away. What climbing and strays
/// show here no law of the model explains; a sour smell may be the food's own.
#[test]
fn what_was_seen_twice_has_a_chance_of_a_half() {
    let words = [
        Word::WormsClimbing,
        Word::WormsStrayMany,
        Word::SmellRotten,
        Word::SmellSour,
    ];
    for bed in BEDS {
        for word in words {
            let mut s = well_kept(bed);
            let mut course = Vec::new();
            for (day, seen) in [
                (30.4, &[word][..]),
                (32.4, &[word]),
                (36.4, &WELL),
                (39.4, &WELL),
            ] {
                look(&mut s, day, seen);
                let (sour, unseen) = shown(&s.estimate_with(day + 0.1, 7, 400), day + 0.1);
                course.push(unseen + if word == Word::SmellSour { sour } else { 0.0 });
            }
            println!("{word:?} in {}: {course:.2?}", bed[0].0);
            assert!(course[0] < 0.6, "{word:?} {course:?}");
            assert!(course[1] >= 0.5, "{word:?} {course:?}");
            assert!(course[3] < 0.15, "{word:?} {course:?}");
        }
    }
}
