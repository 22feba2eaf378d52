//! Laws of the estimate.

use super::story::{Story, part, tables};
use engine::estimate::Estimate;
use engine::log::{Applied, Body, Jar};
use engine::measure::Amount;
use engine::validation::coverage::{Coverage, live};

/// Peat with water, worms in on the second day.
fn peat() -> Story {
    let mut story = Story::new(&[("peat_sphagnum_unlimed", "100 L"), ("water", "20 L")]);
    story.worms(1.0);
    story
}

#[test]
fn eighty_percent_intervals_hold_the_truth_about_eight_times_in_ten() {
    const BINS: usize = 480;
    // By twos, for each takes long and hangs on none of the others.
    let half = |of: usize| {
        (of..BINS)
            .step_by(2)
            .map(|bin| live(tables(), bin, 5).unwrap())
    };
    let lived = std::thread::scope(|s| {
        let odd = s.spawn(|| half(1).collect::<Vec<_>>());
        let even: Vec<_> = half(0).collect();
        [even, odd.join().unwrap()].concat()
    });
    let c = Coverage::over(&lived);
    assert!((0.74..=0.86).contains(&c.ph_share()), "{c:?}");
    assert!((0.74..=0.88).contains(&c.buffer_share()), "{c:?}");
    assert!(
        c.mean_half_width < 0.75 * c.mean_half_width_at_start,
        "{c:?}"
    );
}

#[test]
fn the_same_seed_gives_the_same_bits_and_another_seed_others() {
    let mut story = peat();
    story.ph(40.0, "cheap_pen", &[4.6, 4.8, 4.7]);
    story.dose(41.0, "limestone_calcitic", "60 g", Applied::MixedIn);
    let (a, b) = (story.estimate(50.0), story.estimate(50.0));
    assert_eq!(a.path(), b.path());
    assert_eq!(a.ph, b.ph);
    assert_eq!(a.given, b.given);
    let c = story.estimate_with(50.0, 8, 400);
    assert_ne!(a.ph, c.ph);
    assert!(
        (a.ph.median - c.ph.median).abs() < 0.12,
        "{} {}",
        a.ph.median,
        c.ph.median
    );
}

#[test]
fn each_agreeing_reading_narrows_the_interval() {
    // The last width is a mean over draws: one draw of 400 strays by a tenth.
    const DRAWS: u64 = 6;
    let mut last = 0.0;
    for seed in 1..=DRAWS {
        let mut story = peat();
        let mut width = story.estimate_with(40.0, seed, 400).ph.half_width();
        for day in [40.0, 42.0, 44.0] {
            story.ph(day, "good_pen", &[4.3, 4.3, 4.3]);
            let now = story.estimate_with(day + 0.5, seed, 400).ph.half_width();
            assert!(now < width, "seed {seed}, day {day}: {now} after {width}");
            width = now;
        }
        last += width / DRAWS as f64;
    }
    assert!(last < 0.25, "{last}");
}

#[test]
fn bias_does_not_average_out() {
    let read = |spots: usize, pen: &str| {
        let mut story = peat();
        story.ph(40.0, pen, &vec![4.3; spots]);
        story.estimate(40.1).ph.half_width()
    };
    let floor = |pen: &str| {
        // Bias and prior of sd about 0.5 together, 80 %.
        let n = |p| tables().value("instruments", pen, p).unwrap();
        let bias: f64 = f64::hypot(n("bias_sd_ph"), n("offset_sd_ph"));
        1.2816 / (1.0 / bias.powi(2) + 1.0 / 0.5f64.powi(2)).sqrt()
    };
    assert!(
        read(40, "cheap_pen") > 0.85 * floor("cheap_pen"),
        "{}",
        read(40, "cheap_pen")
    );
    assert!(read(40, "two_metal_probe") > 0.85 * floor("two_metal_probe"));
    let (lab, pen) = (read(9, "lab"), read(40, "cheap_pen"));
    assert!(lab < 0.6 * pen, "{lab} {pen}");
}

#[test]
fn a_contradicted_prior_is_left_within_three_good_readings() {
    for (truth, material) in [
        (7.2, "peat_sphagnum_unlimed"),
        (4.6, "yard_compost_finished"),
    ] {
        let mut story = Story::new(&[(material, "60 L")]);
        for (i, shift) in [0.05, -0.05, 0.02].into_iter().enumerate() {
            let t = truth + shift;
            story.ph(
                30.0 + 3.0 * i as f64,
                "glass_electrode",
                &[t, t - 0.1, t + 0.1],
            );
        }
        let e = story.estimate(37.0);
        assert!(e.contradictions >= 1, "{material}");
        assert!((e.ph.median - truth).abs() < 0.3, "{material}: {:?}", e.ph);
    }
}

#[test]
fn a_local_reading_moves_the_bed_less_than_a_settled_one() {
    let after = |hours: f64| {
        let mut story = peat();
        story.ph(40.0, "cheap_pen", &[4.4, 4.4, 4.4]);
        story.dose(41.0, "potassium_bicarbonate", "5 g", Applied::PouredSlurry);
        let before = story.estimate(41.0 + hours / 24.0).ph.median;
        story.ph(41.0 + hours / 24.0, "cheap_pen", &[5.4, 5.4, 5.4]);
        let e = story.estimate(41.01 + hours / 24.0);
        assert_eq!(e.heard.last().unwrap().settling.is_local(), hours < 24.0);
        e.ph.median - before
    };
    let (local, settled) = (after(3.0), after(30.0 * 24.0));
    assert!(local < 0.6 * settled, "{local} {settled}");
    assert!(settled > 0.2, "{settled}");
}

#[test]
fn a_reading_at_the_wall_does_not_become_the_pens_bias() {
    // One odd reading at the wall must not make later readings mistrusted.
    let run = |place| {
        let mut story = peat();
        story.ph_at(30.0, "lab", &[4.0; 3], place);
        story.ph(35.0, "lab", &[4.6; 6]);
        story.estimate(36.0).ph
    };
    let (edge, spread) = (
        run(engine::log::Place::Edge),
        run(engine::log::Place::Spread),
    );
    assert!(edge.median > spread.median, "{edge:?} {spread:?}");
    assert!((edge.median - 4.6).abs() < 0.25, "{edge:?}");
    assert!(edge.half_width() < 0.35, "{edge:?}");
}

#[test]
fn a_jar_test_narrows_the_buffer_and_holds_the_truth() {
    let mut held = 0;
    let mut narrower = 0;
    let runs = 20;
    // A jar tells of a kilogram; how many there are in so many litres it does not.
    // So many draws that the spread before does not hang on which they are.
    const MANY: usize = 600;
    for seed in 0..runs {
        let mut story = peat();
        let (truth, jars) = story.hidden_jars(seed, 0.05);
        let before = story.estimate_with(2.0, 7, MANY).buffer_meq_per_ph;
        story.jar_test(2.0, jars);
        let after = story.estimate_with(4.0, 7, MANY).buffer_meq_per_ph;
        held += usize::from((after.low..=after.high).contains(&truth));
        narrower += usize::from(after.half_width() < 0.8 * before.half_width());
    }
    assert!(held >= 13, "{held} of {runs}");
    assert!(narrower >= 15, "{narrower} of {runs}");
}

#[test]
fn jars_that_did_not_move_mean_a_strong_buffer() {
    let jar = |grams, ph| Jar { grams, ph };
    let mut story = peat();
    let before = story.estimate(2.0).buffer_meq_per_ph.median;
    story.jar_test(2.0, vec![jar(0.0, 4.0), jar(0.1, 4.1), jar(0.2, 4.2)]);
    let strong = story.estimate(4.0).buffer_meq_per_ph.median;
    assert!(strong > 1.2 * before, "{strong} {before}");
}

/// A bin fed for eleven weeks, and what was taken out of it.
fn harvested(amount: Option<&str>) -> Estimate {
    let mut story = Story::new(&[("coir_pith", "30 L"), ("water", "6 L")]);
    story.worms(1.0);
    for week in 0..11 {
        let parts = vec![part("kitchen_scraps_veg", "500 g")];
        story.add(2.0 + 7.0 * f64::from(week), Body::Feeding { parts });
    }
    if let Some(amount) = amount {
        let amount = Amount::parse(amount).unwrap();
        story.add(80.0, Body::Harvest { amount });
    }
    story.estimate(80.1)
}

/// Castings weighed teach how many there are: the more came out, the more the
/// bin had made.
#[test]
fn a_harvest_teaches_what_castings_there_were() {
    let share = |e: &Estimate| e.ensemble.band(|m| m.life.worked).median;
    let before = share(&harvested(None));
    let much = share(&harvested(Some("8 kg")));
    let little = share(&harvested(Some("500 g")));
    assert!(much > before + 0.02, "{before} {much}");
    assert!(much > little, "{little} {much}");
}
