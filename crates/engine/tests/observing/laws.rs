//! Laws of chance, for any signs.

use super::{SAYINGS, quiet};
use engine::living::observe::count::{Found, Weighed};
use engine::living::observe::{Question, Tare};
use engine::living::signs::Signs;
use engine::log::{Measured, Place, Reading, TrayTest, Word};
use proptest::prelude::*;

prop_compose! {
    fn water()(
        moisture in 0.0..97.0f64, top in 0.0..97.0f64, drop in 20.0..90.0f64,
        pooled in 0.0..20.0f64, condensing in 0.0..1.0f64, airless in 0.0..1.0f64,
        sour in 0.0..3000.0f64, pocket in 2.0..11.0f64, ammonia in 0.0..5000.0f64,
        ec in 0.0..30.0f64,
    ) -> Signs {
        Signs {
            ph: pocket,
            pocket_ph: pocket,
            moisture_percent: moisture,
            top_moisture_percent: top,
            drop_moisture_percent: drop,
            pooled_kg: pooled,
            condensing,
            airless,
            sour_meq_per_kg: sour,
            free_ammonia_mg_per_kg: ammonia,
            ec_ms_per_cm: ec,
            ..Signs::default()
        }
    }
}

prop_compose! {
    /// Any signs that a model run wild could give.
    pub(crate) fn any_signs()(
        w in water(),
        core in -30.0..90.0f64, hot in 0.0..20.0f64, air in -30.0..50.0f64,
        days in proptest::option::of(0.0..3000.0f64),
        fed in proptest::option::of(0.0..300.0f64),
        worms in prop_oneof![Just(0.0f64), 0.0..200_000.0f64],
        shares in [0.0..1.0f64, 0.0..1.0, 0.0..1.0, 0.0..1.0],
        condition in 0.0..1.5f64, dying in 0.0..1.0f64,
        contents in 0.0..200.0f64,
    ) -> Signs {
        Signs {
            stocked_days: days,
            core_celsius: core,
            hot_celsius: core + hot,
            refuge_celsius: core - hot / 2.0,
            air_celsius: air,
            fed_days: fed,
            feed_left: shares[0],
            worms,
            worms_kg: worms * 2e-4,
            condition,
            urge_to_leave: shares[1],
            habitable: shares[2],
            dying_per_day: dying,
            castings_dry_kg: contents * 0.1,
            castings_share: shares[3],
            contents_kg: contents,
            litres: contents * 1.6,
            ..w
        }
    }
}

/// Signs no model should give.
pub(crate) fn broken() -> Vec<Signs> {
    let mut list = Vec::new();
    for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -5.0, 1e300] {
        list.push(Signs {
            stocked_days: Some(x),
            pocket_ph: x,
            ph: x,
            moisture_percent: x,
            top_moisture_percent: x,
            drop_moisture_percent: x,
            pooled_kg: x,
            condensing: x,
            core_celsius: x,
            hot_celsius: x,
            refuge_celsius: x,
            air_celsius: x,
            fed_days: Some(x),
            feed_left: x,
            sour_meq_per_kg: x,
            free_ammonia_mg_per_kg: x,
            airless: x,
            ec_ms_per_cm: x,
            worms: x,
            worms_kg: x,
            condition: x,
            urge_to_leave: x,
            habitable: x,
            dying_per_day: x,
            castings_dry_kg: x,
            castings_share: x,
            contents_kg: x,
            litres: x,
            ..quiet()
        });
    }
    list
}

fn all_finite(s: &Signs) -> Result<(), TestCaseError> {
    for question in Question::ALL {
        let answers = SAYINGS.answers(question, s);
        let list = answers.probabilities();
        let sum: f64 = list.iter().sum();
        prop_assert!((sum - 1.0).abs() < 1e-9, "{question:?}: {list:?}");
        prop_assert!(list.iter().all(|p| (0.0..=1.0).contains(p)), "{list:?}");
    }
    for word in Word::ALL {
        let ln = SAYINGS.word_log_likelihood(word, s);
        prop_assert!(ln.is_finite() && ln <= 1e-9, "{word:?} {ln}");
        prop_assert!(SAYINGS.words_log_likelihood(&[word], s).is_finite());
    }
    let all = SAYINGS.words_log_likelihood(&Word::ALL, s);
    prop_assert!(all.is_finite() && all <= 1e-9, "{all}");
    for litres in [None, Some(0.5), Some(1e6)] {
        for found in [0.0, 1.0, 37.5, 400_000.0] {
            prop_assert!(SAYINGS.count_log_likelihood(found, litres, s).is_finite());
            for grams in [None, Some(0.0), Some(12.0)] {
                for ball in [false, true] {
                    let seen = Found {
                        found,
                        grams,
                        litres,
                        ball,
                    };
                    let ln = SAYINGS.worm_count_log_likelihood(&seen, s);
                    prop_assert!(ln.is_finite(), "{seen:?}");
                }
            }
        }
    }
    for from in [Weighed::Whole, Weighed::Litres(0.5), Weighed::Ball] {
        prop_assert!(SAYINGS.weighed_log_likelihood(80.0, from, s).is_finite());
    }
    for what in [
        Measured::BeddingCelsius,
        Measured::EcMsCm,
        Measured::MoisturePercent,
    ] {
        for place in [
            Place::Spread,
            Place::Top,
            Place::Edge,
            Place::Food,
            Place::Bottom,
        ] {
            let reading = reading(what, &[20.0], place);
            prop_assert!(SAYINGS.reading_log_likelihood(&reading, s).is_finite());
        }
    }
    let tare = Tare {
        kg: 2.0,
        variance: 1.0,
    };
    let (ln, after) = SAYINGS.mass(15.0, tare, s);
    prop_assert!(ln.is_finite() && after.kg >= 0.0 && after.variance <= tare.variance);
    prop_assert!(after.variance > 0.0);
    let test = TrayTest {
        worms: 20,
        in_suspect: 2,
        in_trusted: 17,
        dead_or_missing: 1,
        hours: 48.0,
    };
    prop_assert!(SAYINGS.tray_log_likelihood(&test, s).is_finite());
    prop_assert!(SAYINGS.harvest_log_likelihood(3.0, s).is_finite());
    Ok(())
}

pub(crate) fn reading(what: Measured, spots: &[f64], place: Place) -> Reading {
    Reading {
        what,
        spots: spots.to_vec(),
        instrument: String::new(),
        place,
        text: String::new(),
        confirmed: false,
    }
}

proptest! {
    #[test]
    fn answers_to_a_question_sum_to_one_and_all_is_finite(s in any_signs()) {
        all_finite(&s)?;
    }

    #[test]
    fn wetter_bedding_never_squeezes_drier(
        s in any_signs(), more in 0.0..40.0f64,
    ) {
        let wetter = Signs {
            moisture_percent: s.moisture_percent + more,
            top_moisture_percent: s.top_moisture_percent + more,
            ..s
        };
        let (a, b) = (
            SAYINGS.answers(Question::Squeeze, &s),
            SAYINGS.answers(Question::Squeeze, &wetter),
        );
        let (mut below_a, mut below_b) = (0.0, 0.0);
        for (x, y) in a.probabilities().iter().zip(b.probabilities()) {
            below_a += x;
            below_b += y;
            prop_assert!(below_b <= below_a + 1e-12);
        }
    }

    #[test]
    fn stronger_causes_are_said_more(s in any_signs(), more in 0.01..1.0f64) {
        let rises = |word, t: &Signs| {
            SAYINGS.word_log_likelihood(word, t) >= SAYINGS.word_log_likelihood(word, &s) - 1e-12
        };
        let sour = Signs { sour_meq_per_kg: s.sour_meq_per_kg * (1.0 + more), ..s };
        prop_assert!(rises(Word::SmellSour, &sour));
        let sharp = Signs {
            free_ammonia_mg_per_kg: s.free_ammonia_mg_per_kg * (1.0 + more), ..s
        };
        prop_assert!(rises(Word::SmellAmmonia, &sharp));
        let foul = Signs { airless: (s.airless + more).min(1.0), ..s };
        prop_assert!(rises(Word::SmellRotten, &foul));
        let driven = Signs { urge_to_leave: (s.urge_to_leave + more).min(1.0), ..s };
        for word in [Word::WormsClimbing, Word::WormsLeft, Word::WormsStrayMany] {
            prop_assert!(rises(word, &driven), "{:?}", word);
        }
        let fuller = Signs { feed_left: (s.feed_left + more).min(1.0), ..s };
        prop_assert!(rises(Word::FoodMost, &fuller));
        let warmer = Signs {
            core_celsius: s.core_celsius + 10.0 * more,
            hot_celsius: s.hot_celsius + 10.0 * more,
            ..s
        };
        prop_assert!(rises(Word::FeelsWarm, &warmer));
        let thinner = Signs { condition: (s.condition - more).max(0.0), ..s };
        prop_assert!(rises(Word::WormsThin, &thinner));
        let wet = Signs { pooled_kg: s.pooled_kg + more, ..s };
        prop_assert!(rises(Word::Pooling, &wet));
    }
}

#[test]
fn broken_signs_still_give_finite_answers() {
    for s in broken() {
        all_finite(&s).unwrap_or_else(|e| panic!("{s:?}: {e}"));
    }
}
