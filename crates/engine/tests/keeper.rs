//! A keeper's story, end to end through the engine, held against hand
//! calculations.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[path = "laws/story.rs"]
#[allow(dead_code)] // shared with the laws, which use more of it
mod story;

use engine::bed::fill::Own;
use engine::bed::product::Product;
use engine::dose::option::StepLimit;
use engine::dose::tray::{self, Outcome};
use engine::dose::{Answer, Ask, Direction, ShedProduct, answer};
use engine::estimate::{Estimate, Setup, Told, estimate, estimate_told};
use engine::log::{Applied, Jar, TrayTest};
use engine::measure::System;
use engine::quantity::Celsius;
use std::collections::BTreeMap;
use story::{DAY, Story, tables};

fn shed_of(items: &[(&str, Option<f64>)]) -> Vec<ShedProduct> {
    let one = |(key, grams): &(&str, Option<f64>)| ShedProduct {
        product: Product::from_tables(tables(), key, &BTreeMap::new()).unwrap(),
        material: tables().material(key).unwrap().clone(),
        available_grams: *grams,
    };
    items.iter().map(one).collect()
}

fn asked(e: &Estimate, shed: &[(&str, Option<f64>)], stocked: bool) -> Answer {
    answer(&Ask {
        tables: tables(),
        estimate: e,
        shed: &shed_of(shed),
        stocked,
        target_ph: None,
        system: System::Metric,
        seed: 3,
    })
    .unwrap()
}

/// 100 L of loose peat and water: dry 9.4 kg by the tables (171 g/L, 45 %).
fn peat_bin() -> Story {
    let mut story = Story::new(&[("peat_sphagnum_unlimed", "100 L"), ("water", "20 L")]);
    story.worms(1.0);
    story
}

fn read_bin() -> Story {
    let mut story = peat_bin();
    story.ph(40.0, "cheap_pen", &[4.6, 4.8, 4.7]);
    story
}

const LIME: (&str, Option<f64>) = ("limestone_calcitic", None);

#[test]
fn a_squeeze_says_how_much_water_is_in_the_bed() {
    let mut story = peat_bin();
    let dry = story.estimate(2.0);
    story.add(
        2.0,
        engine::log::Body::Observation {
            words: vec![engine::log::Word::SqueezeTrickle],
            text: String::new().into(),
        },
    );
    let wet = story.estimate(3.0);
    // By hand: 9.4 kg dry at 75 % of wet mass is 28.2 kg of water.
    assert!(dry.water_kg.high < wet.water_kg.high);
    assert!(
        (24.0..37.0).contains(&wet.water_kg.median),
        "{:?}",
        wet.water_kg
    );
}

#[test]
fn a_stocked_bed_nobody_has_read_is_not_dosed() {
    let a = asked(&peat_bin().estimate(41.0), &[LIME], true);
    assert!(a.plan.is_none());
    assert!(a.why.contains("no settled pH reading"), "{}", a.why);
}

#[test]
fn the_need_is_what_the_sites_take() {
    let e = read_bin().estimate(41.0);
    assert!((4.2..4.9).contains(&e.ph.median), "{:?}", e.ph);
    let a = asked(&e, &[LIME], true);
    assert_eq!(a.direction, Direction::Raise);
    // By hand, from the median pH to 6.5 on 9.4 kg of dry peat.
    let peat = tables().sites("peat_sphagnum_unlimed").unwrap();
    let taken = peat.charge_mol_kg(6.5) - peat.charge_mol_kg(e.ph.median);
    let by_hand = 1000.0 * 9.4 * taken;
    assert!(
        (a.needed_base_meq.median / by_hand - 1.0).abs() < 0.12,
        "{:?} by hand {by_hand}",
        a.needed_base_meq
    );
    // In lime of about 92 %: 18.4 meq/g.
    let grams = a.options[0].grams.median;
    assert!((grams * 18.4 / by_hand - 1.0).abs() < 0.15, "{grams}");
}

#[test]
fn steps_are_no_larger_than_worms_stand_and_the_plan_arrives() {
    let e = read_bin().estimate(41.0);
    let a = asked(&e, &[LIME], true);
    let plan = a.plan.unwrap();
    assert!(
        plan.steps.len() >= 4 && !plan.goes_on,
        "{}",
        plan.steps.len()
    );
    assert_eq!(plan.steps[0].limit, StepLimit::PhStep);
    let mut before = e.ph.median;
    for step in &plan.steps {
        assert!(step.ph_after.median - before < 0.5, "{step:?}");
        assert!(step.reread_day >= step.day + 2.0);
        before = step.ph_after.median;
    }
    let all = a.options[0].grams.median;
    assert!(
        (plan.total_grams / all - 1.0).abs() < 0.2,
        "{} {all}",
        plan.total_grams
    );
    let end = plan.path.last().unwrap().1.median;
    assert!((6.2..6.7).contains(&end), "{end}");
}

#[test]
fn a_shed_that_lacks_enough_is_used_up_and_no_more() {
    let e = read_bin().estimate(41.0);
    let a = asked(&e, &[("limestone_calcitic", Some(60.0))], true);
    assert_eq!(a.options[0].enough, Some(false));
    let plan = a.plan.unwrap();
    assert!(
        (plan.total_grams - 60.0).abs() < 0.1,
        "{}",
        plan.total_grams
    );
    assert!(plan.goes_on);
    assert_eq!(plan.steps.last().unwrap().limit, StepLimit::Available);
}

#[test]
fn caustics_are_refused_with_worms_in_and_passing_acids_always() {
    let shed = [
        LIME,
        ("hydrated_lime", None),
        ("wood_ash", None),
        ("vinegar", None),
    ];
    let a = asked(&read_bin().estimate(41.0), &shed, true);
    let refused: Vec<&str> = a.refused.iter().map(|r| r.material.as_str()).collect();
    assert_eq!(refused, ["hydrated_lime", "wood_ash", "vinegar"]);
    assert!(a.refused[0].reason.contains("burns"));
    assert_eq!(a.options.len(), 1);
}

#[test]
fn vinegar_given_is_not_counted_as_lasting_acid() {
    let mut story = read_bin();
    // Two weeks on it is eaten.
    let before = story.estimate(55.0).ph.median;
    story.dose(41.0, "vinegar", "250 mL", Applied::PouredSlurry);
    let e = story.estimate(55.0);
    assert!(e.given[0].base_meq.median.abs() < 1e-9);
    assert!(
        (e.ph.median - before).abs() < 0.05,
        "{before} {}",
        e.ph.median
    );
}

#[test]
fn the_running_total_keeps_anyone_from_dosing_twice() {
    let mut story = read_bin();
    let first = asked(&story.estimate(41.0), &[LIME], true);
    story.dose(41.0, "limestone_calcitic", "150 g", Applied::MixedIn);
    let e = story.estimate(42.0);
    let a = asked(&e, &[LIME], true);
    // 150 g of about 92 % lime carry 150 x 18.4 = 2760 meq.
    assert_eq!(a.running.doses, 1);
    assert!(
        (2500.0..3000.0).contains(&a.running.given_meq),
        "{}",
        a.running.given_meq
    );
    let less = first.needed_base_meq.median - a.needed_base_meq.median;
    assert!((less / a.running.given_meq - 1.0).abs() < 0.15, "{less}");
    assert!(
        a.running.pending_meq.median > 1000.0,
        "{:?}",
        a.running.pending_meq
    );
    assert!(
        a.also
            .iter()
            .any(|t| t.contains("Do not dose for the same acid twice"))
    );
    // Four weeks on most of it has acted, and the bed has risen as the sites say.
    let later = story.estimate(69.0);
    assert!(later.pending_meq.median < 400.0, "{:?}", later.pending_meq);
    let (rise, real) = later.change.unwrap();
    // 2600 meq on 9.9 kg: 0.263 mol/kg from pH 4.4 is 0.94 pH.
    assert!((0.65..1.25).contains(&rise.median), "{rise:?}");
    assert!(real > 0.95);
}

#[test]
fn a_reading_the_day_of_a_pour_is_local_and_hardly_moves_the_bed() {
    let mut story = read_bin();
    let before = story.estimate(41.0);
    story.dose(41.0, "wood_ash", "2 cups", Applied::PouredLiquor);
    story.ph(41.3, "cheap_pen", &[5.6, 5.7]);
    let e = story.estimate(41.5);
    let heard = e.heard.last().unwrap();
    assert!(heard.settling.is_local());
    assert!(heard.reread_at.unwrap() > heard.at + 36 * 3600);
    assert!(
        heard.bed.median - before.ph.median < 0.25,
        "{:?}",
        heard.bed
    );
    let (rise, real) = e.change.unwrap();
    // By hand: 254 (129 to 420) meq in the liquor on 3010 meq per pH: 0.08.
    assert!((0.02..0.15).contains(&rise.median), "{rise:?}");
    assert!(real < 0.15, "{real}");
    assert!((100.0..420.0).contains(&e.given[0].base_meq.median));
    // Weeks later a settled 4.8 agrees, and the bed is still to be raised.
    story.ph(60.0, "cheap_pen", &[4.7, 4.8, 4.9]);
    let later = story.estimate(61.0);
    assert!(
        later.ph.median < 5.1 && later.contradictions == 0,
        "{:?}",
        later.ph
    );
    assert_eq!(asked(&later, &[LIME], true).direction, Direction::Raise);
}

#[test]
fn a_good_bed_needs_no_dose() {
    let mut story = Story::new(&[
        ("peat_sphagnum_limed", "40 L"),
        ("yard_compost_finished", "40 L"),
    ]);
    story.worms(1.0);
    story.ph(20.0, "good_pen", &[6.7, 6.8, 6.9]);
    let a = asked(&story.estimate(21.0), &[LIME], true);
    assert_eq!(a.direction, Direction::Stay);
    assert!(a.plan.is_none() && a.options.is_empty());
    assert!(a.why.starts_with("No dose needed"), "{}", a.why);
    assert!((a.look_again_days - 14.0).abs() < 1e-9);
}

#[test]
fn an_over_limed_bed_is_brought_down_with_sour_peat() {
    let mut story = Story::new(&[("coir_pith", "80 L")]);
    story.worms(1.0);
    // Not higher, or the hand calculation would ask for more than the most sour
    // bedding the plan ever gives, six tenths of the bed's dry mass.
    story.ph(20.0, "good_pen", &[8.4, 8.5, 8.6]);
    let e = story.estimate(21.0);
    assert!(e.ph.median > 8.0, "{:?}", e.ph);
    let a = asked(
        &e,
        &[
            LIME,
            ("peat_sphagnum_unlimed", None),
            ("elemental_sulfur", None),
        ],
        true,
    );
    assert_eq!(a.direction, Direction::Lower);
    let refused: Vec<&str> = a.refused.iter().map(|r| r.material.as_str()).collect();
    assert_eq!(refused, ["limestone_calcitic", "elemental_sulfur"]);
    let peat = &a.options[0];
    assert_eq!(peat.material, "peat_sphagnum_unlimed");
    // By hand: coir 80 x 0.345 x 0.2 = 5.52 kg dry gives up Q(8.4) - Q(7.3), and
    // its 22.1 kg of water under 1 % CO2 their bicarbonate, 10^(pH - 6.38) x
    // 0.000392 / 0.87; peat at 3.8 takes Q(7.3) - Q(3.8) per kg dry, 0.55 dry.
    let q = |key: &str, ph: f64| tables().sites(key).unwrap().charge_mol_kg(ph);
    let ph = e.ph.median;
    let bicarbonate = |ph: f64| 10f64.powf(ph - 6.38) * 0.000_392 / 0.87;
    let spare = 5.52 * (q("coir_pith", ph) - q("coir_pith", 7.3))
        + 22.08 * (bicarbonate(ph) - bicarbonate(7.3));
    let takes = 0.55 * (q("peat_sphagnum_unlimed", 7.3) - q("peat_sphagnum_unlimed", 3.8));
    let by_hand = 1000.0 * spare / takes;
    let grams = peat.grams.median;
    assert!(
        (grams / by_hand - 1.0).abs() < 0.2,
        "{grams} by hand {by_hand}"
    );
    let plan = a.plan.unwrap();
    let end = plan.path.last().unwrap().1.median;
    assert!((7.1..7.5).contains(&end), "{end}");
    // Given and logged, the bed comes down and holds more dry bedding.
    story.dose(
        22.0,
        "peat_sphagnum_unlimed",
        &format!("{} g", plan.steps[0].grams.round()),
        Applied::MixedIn,
    );
    let after = story.estimate(24.0);
    assert!(after.ph.median < e.ph.median - 0.1);
    assert!(after.dry_kg.median > e.dry_kg.median);
    let said = plan.steps[0].ph_after.median;
    assert!(
        (after.ph.median - said).abs() < 0.15,
        "{} {said}",
        after.ph.median
    );
}

#[test]
fn a_jar_test_tightens_the_need() {
    let mut story = read_bin();
    let unread = story.estimate(43.0);
    let before = asked(&unread, &[LIME], true).needed_base_meq;
    // 50 g of the wet bedding: 9.9 of 38 kg dry is 13 g of peat; 0.1 g of lime
    // is 1.84 meq, 0.141 mol/kg: about 0.5 pH near 4.7.
    let jar = |grams, ph| Jar { grams, ph };
    story.jar_test(43.0, vec![jar(0.0, 4.5), jar(0.1, 4.85), jar(0.2, 5.2)]);
    let e = story.estimate(45.5);
    let after = asked(&e, &[LIME], true).needed_base_meq;
    assert!(
        after.half_width() < 0.85 * before.half_width(),
        "{before:?} {after:?}"
    );
    let (buffer, unread) = (e.buffer_meq_per_ph, unread.buffer_meq_per_ph);
    assert!(
        buffer.half_width() < 0.9 * unread.half_width(),
        "{unread:?} {buffer:?}"
    );
}

#[test]
fn a_tray_is_read_as_the_binomial_it_is() {
    let test = TrayTest {
        worms: 20,
        in_suspect: 4,
        in_trusted: 16,
        dead_or_missing: 0,
        hours: 48.0,
    };
    let r = tray::read(&test, &tray::Rules::from_tables(tables()).unwrap()).unwrap();
    assert_eq!(r.outcome, Outcome::Avoided);
    // P(X <= 4 of 20) = (1 + 20 + 190 + 1140 + 4845) / 2^20.
    assert!((r.by_chance - 6196.0 / 1_048_576.0).abs() < 1e-9);
}

#[test]
fn a_reading_told_to_follow_a_dose_is_local_though_the_dose_is_not_logged() {
    let own = Own::new();
    let mut story = Story::new(&[("peat_sphagnum_unlimed", "100 L")]);
    story.ph(40.0, "cheap_pen", &[4.7, 4.6]);
    story.ph(41.0, "cheap_pen", &[5.6, 5.7]);
    let last = story.log.last().unwrap().id;
    let setup = Setup {
        tables: tables(),
        own: &own,
        temperature: Celsius(20.0),
        now: (41.1 * DAY as f64) as i64,
        seed: 7,
        members: 400,
        bin: None,
        air: None,
    };
    let settled = estimate(&setup, &story.log).unwrap();
    let told = estimate_told(&setup, &story.log, &Told::from([(last, 6.0)])).unwrap();
    assert!(!settled.heard[1].settling.is_local());
    assert!(told.heard[1].settling.is_local());
    assert!(told.ph.median < settled.ph.median);
    let reread = told.heard[1].reread_at.unwrap();
    assert_eq!(reread, 41 * DAY + 42 * 3600);
}

#[test]
fn a_label_with_a_grain_size_does_not_stop_the_estimate() {
    let values = BTreeMap::from([("particle_mm".to_owned(), 0.2)]);
    let own = Own::from([("limestone_calcitic".to_owned(), values)]);
    let mut story = Story::new(&[("peat_sphagnum_unlimed", "100 L")]);
    story.dose(1.0, "limestone_calcitic", "100 g", Applied::MixedIn);
    let setup = Setup {
        tables: tables(),
        own: &own,
        temperature: Celsius(20.0),
        now: 2 * DAY,
        seed: 7,
        members: 100,
        bin: None,
        air: None,
    };
    let e = estimate(&setup, &story.log).unwrap();
    assert_eq!(e.given.len(), 1);
}

#[test]
fn a_settled_reading_far_from_all_belief_is_believed_and_marked() {
    let mut story = Story::new(&[("peat_sphagnum_limed", "100 L")]);
    story.ph(30.0, "good_pen", &[8.4, 8.5, 8.6]);
    let e = story.estimate(30.1);
    assert!(e.heard[0].contradicted);
    assert!(
        e.ph.low < 8.5 && e.ph.high > 8.5 && e.ph.half_width() < 0.8,
        "{:?}",
        e.ph
    );
    let a = asked(&e, &[("peat_sphagnum_unlimed", None)], false);
    assert_eq!(a.direction, Direction::Lower);
}

#[test]
fn looking_ahead_starts_from_now_widens_and_leaves_the_estimate_alone() {
    let mut story = Story::new(&[("peat_sphagnum_unlimed", "30 L")]);
    story.ph(5.0, "good_pen", &[4.4, 4.3, 4.5]);
    let bare = story.estimate(6.0);
    let ahead = bare.outlook(28);
    assert_eq!(ahead.len(), 29);
    assert_eq!(ahead[0], (0, bare.ph));
    assert!(ahead[28].1.half_width() > ahead[0].1.half_width());
    assert_eq!(bare.outlook(28), ahead);
    // Lime given today has yet to act: the way ahead climbs to where it goes.
    story.dose(6.0, "limestone_calcitic", "60 g", Applied::MixedIn);
    let limed = story.estimate(6.1);
    let ahead = limed.outlook(28);
    assert!(ahead[28].1.median > ahead[0].1.median + 0.2);
    assert!(ahead[28].1.median < limed.ph_to_come.median + 0.2);
}

#[test]
fn nobody_doses_twice_for_the_same_acid() {
    let mut story = read_bin();
    story.dose(41.0, "limestone_calcitic", "40 g", Applied::MixedIn);
    let soon = asked(&story.estimate(42.0), &[LIME], true);
    assert!(
        soon.plan.is_none() && soon.why.starts_with("Wait"),
        "{}",
        soon.why
    );
    assert!((5.9..=6.1).contains(&soon.waiting_days.unwrap()));
    assert!((soon.look_again_days - soon.waiting_days.unwrap()).abs() < 1e-9);
    let later = asked(&story.estimate(49.0), &[LIME], true);
    assert!(later.plan.is_some() && later.waiting_days.is_none());
}
