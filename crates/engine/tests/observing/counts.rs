//! Worms counted and weighed.

use super::{SAYINGS, quiet};
use engine::living::observe::count::{Found, Weighed};
use engine::living::signs::Signs;

fn with_worms(worms: f64) -> Signs {
    Signs {
        worms,
        worms_kg: worms * 2e-4,
        ..quiet()
    }
}

/// Number of worms that a find fits best, and how far off the log likelihood
/// falls by 2.
fn fits(score: impl Fn(&Signs) -> f64) -> (f64, f64, f64) {
    let tries: Vec<f64> = (0..600).map(|i| 10.0 * 1.015f64.powi(i)).collect();
    let best = *tries
        .iter()
        .max_by(|a, b| score(&with_worms(**a)).total_cmp(&score(&with_worms(**b))))
        .unwrap();
    let top = score(&with_worms(best));
    let near = |n: &&f64| score(&with_worms(**n)) > top - 2.0;
    let low = *tries.iter().find(near).unwrap();
    let high = *tries.iter().rev().find(near).unwrap();
    (low, best, high)
}

#[test]
fn a_core_is_scaled_by_litres_and_detection() {
    // 48 worms in half a litre of 25: 48/0.80 x 50 = 3000.
    let (low, best, high) = fits(|s| SAYINGS.count_log_likelihood(48.0, Some(0.5), s));
    assert!((best / 3000.0 - 1.0).abs() < 0.05, "{best}");
    // One core of clumped worms says little.
    assert!(low < 0.35 * best && high > 2.5 * best, "{low} {high}");
}

#[test]
fn more_litres_say_more_and_the_whole_bin_most() {
    let width = |(low, _, high): (f64, f64, f64)| (high / low).ln();
    let one = width(fits(|s| SAYINGS.count_log_likelihood(48.0, Some(0.5), s)));
    let six = width(fits(|s| SAYINGS.count_log_likelihood(288.0, Some(3.0), s)));
    let whole = width(fits(|s| SAYINGS.count_log_likelihood(2400.0, None, s)));
    assert!(one > 1.6 * six && six > 1.6 * whole, "{one} {six} {whole}");
    // Sorting finds 65 to 90 %: a whole count is not exact.
    assert!(whole > 0.2, "{whole}");
    let (_, best, _) = fits(|s| SAYINGS.count_log_likelihood(2400.0, None, s));
    assert!((best / 3000.0 - 1.0).abs() < 0.05, "{best}");
}

#[test]
fn variance_of_a_core_is_that_of_the_reference() {
    // mean 20, k 1.5 per core: CV² of one core is 1/20 + 1/1.5 (Daniel et al.;
    // k from memory), to which sorting adds its own.
    let mut s = with_worms(20.0 / 0.80 * 50_000.0 / 0.5);
    s.litres = 50_000.0;
    let (mut mean, mut square) = (0.0, 0.0);
    for x in 0..2000 {
        let x = f64::from(x);
        let p = SAYINGS.count_log_likelihood(x, Some(0.5), &s).exp();
        mean += p * x;
        square += p * x * x;
    }
    let cv2 = square / (mean * mean) - 1.0;
    assert!((mean - 20.1).abs() < 0.1, "{mean}");
    // 0.72, sorting 0.014, blunders 3 % of 3.3.
    assert!(cv2 > 0.71 && cv2 < 0.86, "{cv2}");
}

#[test]
fn a_mass_is_scaled_by_detection_of_biomass() {
    // 570 g sorted of a whole bin: 600 g, 3000 worms.
    let (low, best, high) = fits(|s| SAYINGS.weighed_log_likelihood(570.0, Weighed::Whole, s));
    assert!((best / 3000.0 - 1.0).abs() < 0.03, "{best}");
    assert!(high / low < 1.6, "{low} {high}");
    let core = fits(|s| SAYINGS.weighed_log_likelihood(11.4, Weighed::Litres(0.5), s));
    assert!(core.0 < 1500.0 && core.2 > 6000.0, "{core:?}");
}

#[test]
fn a_ball_bounds_from_below_and_hardly_from_above() {
    let ball = |worms| SAYINGS.weighed_log_likelihood(300.0, Weighed::Ball, &with_worms(worms));
    let (all_in_it, twice, ten_times) = (ball(1500.0), ball(3000.0), ball(15_000.0));
    let third_missing = ball(1000.0);
    assert!(twice > all_in_it && all_in_it > third_missing + 1.5);
    assert!(twice - ten_times < 2.5, "{twice} {ten_times}");
    assert!(twice - ball(500.0) > 5.0);
}

#[test]
fn a_counted_and_weighed_lot_tells_the_mean_worm_and_is_not_counted_twice() {
    let seen = |grams| Found {
        found: 48.0,
        grams,
        litres: Some(0.5),
        ball: false,
    };
    let (low, _, high) = fits(|s| SAYINGS.worm_count_log_likelihood(&seen(None), s));
    let both = fits(|s| SAYINGS.worm_count_log_likelihood(&seen(Some(11.4)), s));
    // All these bins have worms of one mass: the mass adds nothing of number.
    assert!((both.0 / low - 1.0).abs() < 0.05 && (both.2 / high - 1.0).abs() < 0.05);
    let small = Signs {
        worms_kg: 0.2,
        ..quiet()
    };
    let right = SAYINGS.worm_count_log_likelihood(&seen(Some(11.4)), &quiet());
    assert!(right > SAYINGS.worm_count_log_likelihood(&seen(Some(11.4)), &small) + 2.0);
}
