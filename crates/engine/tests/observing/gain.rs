//! Which look would narrow a decision most.

use super::{SAYINGS, quiet};
use engine::living::observe::Tare;
use engine::living::observe::gain::{Kit, Look, PhLook, Possibles, Ranking};
use engine::living::signs::Signs;
use proptest::prelude::*;

const COUNT: usize = 400;

/// Bins made by `make` from a number from 0 to 1, decided by `decide`.
fn ranked(make: impl Fn(f64) -> Signs, decide: impl Fn(&Signs) -> f64) -> Ranking {
    let signs: Vec<Signs> = (0..COUNT)
        .map(|i| make((i as f64 + 0.5) / COUNT as f64))
        .collect();
    let decision: Vec<f64> = signs.iter().map(decide).collect();
    rank(&signs, &vec![1.0; COUNT], &decision).unwrap()
}

fn rank(signs: &[Signs], weights: &[f64], decision: &[f64]) -> Option<Ranking> {
    let tares: Vec<Tare> = (0..signs.len())
        .map(|_| Tare {
            kg: 3.0,
            variance: 0.04,
        })
        .collect();
    let shown = |_: usize, s: &Signs| s.ph;
    let kit = Kit {
        thermometer: true,
        scale: Some(&tares),
        ph: Some(PhLook {
            shown: &shown,
            sd: 0.2,
            in_bedding: false,
        }),
    };
    let possibles = Possibles {
        signs,
        weights,
        decision,
    };
    SAYINGS.rank(&possibles, &kit)
}

#[test]
fn a_thermometer_when_temperature_decides() {
    let r = ranked(
        |x| Signs {
            core_celsius: 12.0 + 24.0 * x,
            hot_celsius: 14.0 + 24.0 * x,
            refuge_celsius: 12.0 + 20.0 * x,
            ..quiet()
        },
        |s| s.core_celsius,
    );
    assert_eq!(r.best(1.0).unwrap().look, Look::Thermometer);
    assert_eq!(r.absolute[0].look, Look::Thermometer);
}

#[test]
fn a_squeeze_when_moisture_decides() {
    let r = ranked(
        |x| Signs {
            moisture_percent: 45.0 + 45.0 * x,
            top_moisture_percent: 43.0 + 45.0 * x,
            ..quiet()
        },
        |s| s.moisture_percent,
    );
    assert_eq!(r.best(1.0).unwrap().look, Look::Squeeze);
    assert_eq!(r.absolute[0].look, Look::Squeeze);
}

#[test]
fn a_ph_reading_when_ph_decides_and_a_count_when_worms_do() {
    let r = ranked(
        |x| Signs {
            ph: 5.0 + 3.0 * x,
            ..quiet()
        },
        |s| s.ph,
    );
    assert_eq!(r.best(0.1).unwrap().look, Look::Ph);
    let r = ranked(
        |x| Signs {
            worms: 300.0 * 40f64.powf(x),
            worms_kg: 0.06 * 40f64.powf(x),
            ..quiet()
        },
        |s| s.worms_kg,
    );
    assert_eq!(r.best(0.01).unwrap().look, Look::CoreCount);
}

#[test]
fn the_scale_when_mass_decides_and_the_food_when_food_does() {
    let r = ranked(
        |x| Signs {
            contents_kg: 8.0 + 10.0 * x,
            ..quiet()
        },
        |s| s.contents_kg,
    );
    assert_eq!(r.best(0.1).unwrap().look, Look::Weigh);
    let r = ranked(
        |x| Signs {
            feed_left: x,
            ..quiet()
        },
        |s| 300.0 * (1.0 - s.feed_left),
    );
    assert_eq!(r.best(1.0).unwrap().look, Look::FoodLeft);
}

#[test]
fn nothing_when_all_bins_agree_or_the_question_is_settled() {
    let r = ranked(
        |x| Signs {
            core_celsius: 12.0 + 24.0 * x,
            ..quiet()
        },
        |_| 150.0,
    );
    assert!(r.best(0.0).is_none());
    assert!(r.absolute.iter().all(|g| g.narrows() == 0.0));
    // The decision varies by what nobody can see.
    let seen = std::cell::Cell::new(0u32);
    let r = ranked(
        |_| quiet(),
        |_| {
            seen.set(seen.get() + 1);
            f64::from(seen.get() % 7)
        },
    );
    assert!(r.best(0.0).is_none(), "{r:?}");
    // Narrow enough already.
    let r = ranked(
        |x| Signs {
            core_celsius: 12.0 + 24.0 * x,
            ..quiet()
        },
        |s| s.core_celsius,
    );
    assert!(r.best(1000.0).is_none());
}

#[test]
fn only_what_the_keeper_has_is_asked_for() {
    let s = [quiet(), quiet()];
    let possibles = Possibles {
        signs: &s,
        weights: &[1.0, 1.0],
        decision: &[0.0, 1.0],
    };
    let r = SAYINGS.rank(&possibles, &Kit::default()).unwrap();
    assert_eq!(r.absolute.len(), 5);
    let none = [Look::Thermometer, Look::Ph, Look::Weigh];
    assert!(r.absolute.iter().all(|g| !none.contains(&g.look)));
    assert!(r.absolute.iter().all(|g| !g.look.name().is_empty()));
}

#[test]
fn bad_input_is_refused() {
    let s = [quiet(), quiet()];
    assert!(rank(&s, &[1.0], &[1.0, 2.0]).is_none());
    assert!(rank(&s, &[0.0, 0.0], &[1.0, 2.0]).is_none());
    assert!(rank(&s, &[1.0, 1.0], &[1.0, f64::NAN]).is_none());
    assert!(rank(&[], &[], &[]).is_none());
}

#[test]
fn a_scale_answer_narrows_as_the_normal_formula_says() {
    // Prior uniform over 24 K (variance 48), thermometer sd 1.65: a reading
    // explains 48/(48 + 2.7) of the variance if all were normal.
    let r = ranked(
        |x| Signs {
            core_celsius: 12.0 + 24.0 * x,
            ..quiet()
        },
        |s| s.core_celsius,
    );
    let g = r
        .absolute
        .iter()
        .find(|g| g.look == Look::Thermometer)
        .unwrap();
    let left = (g.spread_then / g.spread_now).powi(2);
    assert!(left > 0.03 && left < 0.12, "{left}");
    assert!((g.spread_now - 2.0 * 1.2816 * 48f64.sqrt()).abs() < 0.1);
}

proptest! {
    #[test]
    fn no_look_widens_a_decision_on_average(
        list in prop::collection::vec(
            (40.0..95.0f64, 0.0..45.0f64, 0.0..1.0f64, 0.01..1.0f64, -50.0..50.0f64),
            2..40,
        ),
    ) {
        let signs: Vec<Signs> = list
            .iter()
            .map(|(m, t, u, _, _)| Signs {
                moisture_percent: *m,
                core_celsius: *t,
                hot_celsius: *t + 2.0,
                urge_to_leave: *u,
                feed_left: *u,
                ..quiet()
            })
            .collect();
        let weights: Vec<f64> = list.iter().map(|x| x.3).collect();
        let decision: Vec<f64> = list.iter().map(|x| x.4).collect();
        let r = rank(&signs, &weights, &decision).unwrap();
        for g in &r.absolute {
            prop_assert!(g.narrows() >= -1e-9 && g.spread_then >= 0.0, "{:?}", g);
        }
        prop_assert!(r.absolute.windows(2).all(|w| w[0].narrows() >= w[1].narrows()));
        let minutes = |g: &[engine::living::observe::gain::Gain]| g[0].per_minute() >= g[1].per_minute();
        prop_assert!(r.per_minute.windows(2).all(minutes));
    }
}
