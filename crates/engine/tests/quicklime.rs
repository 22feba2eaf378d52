//! Quicklime slakes: `CaO + H2O -> Ca(OH)2` gives 64.5 kJ/mol, 1.15 kJ/g.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[path = "laws/story.rs"]
#[allow(dead_code)] // shared with the laws, which use more of it
mod story;

use engine::bed::product::{Contact, Product};
use engine::dose::option::StepLimit;
use engine::dose::{Answer, Ask, ShedProduct, answer};
use engine::log::Applied;
use engine::measure::System;
use rand::SeedableRng;
use std::collections::BTreeMap;
use story::{Story, tables};

const MIXED: Contact = Contact {
    how: Applied::MixedIn,
    touched_share: 1.0,
    tau_days: 1.0,
    steep_litres: 0.0,
};

/// 100 L of loose peat and water: dry 9.4 kg, water 28 kg.
fn peat() -> Story {
    Story::new(&[("peat_sphagnum_unlimed", "100 L"), ("water", "20 L")])
}

fn asked(key: &str, stocked: bool) -> Answer {
    let mut story = peat();
    if stocked {
        story.worms(1.0);
    }
    story.ph(10.0, "glass_electrode", &[4.4, 4.5, 4.4]);
    let e = story.estimate(12.0);
    let shed = [ShedProduct {
        product: Product::from_tables(tables(), key, &BTreeMap::new()).unwrap(),
        material: tables().material(key).unwrap().clone(),
        available_grams: None,
    }];
    answer(&Ask {
        tables: tables(),
        estimate: &e,
        shed: &shed,
        stocked,
        target_ph: None,
        system: System::Metric,
        seed: 3,
    })
    .unwrap()
}

/// By hand: 64.5 kJ/mol over 56.08 g/mol is 1.150 kJ/g, and a lime of 178 of
/// pure calcium carbonate is 99.7 % of it.
#[test]
fn a_kilogram_gives_over_a_megajoule() {
    let lime = Product::from_tables(tables(), "quicklime", &BTreeMap::new()).unwrap();
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(1);
    let draws = 200;
    let mean: f64 = (0..draws)
        .map(|_| lime.draw(&mut rng).slaking_kj(1000.0, &MIXED))
        .sum::<f64>()
        / f64::from(draws);
    assert!((1050.0..1180.0).contains(&mean), "{mean}");
    let slaked = Product::from_tables(tables(), "hydrated_lime", &BTreeMap::new()).unwrap();
    assert!(slaked.draw(&mut rng).slaking_kj(1000.0, &MIXED).abs() < 1e-12);
}

#[test]
fn with_worms_in_it_is_refused_for_its_heat_as_well() {
    let a = asked("quicklime", true);
    assert!(a.options.is_empty());
    let why = &a.refused[0].reason;
    assert!(why.contains("slakes") && why.contains("goggles"), "{why}");
    let why = &asked("hydrated_lime", true).refused[0].reason;
    assert!(!why.contains("slakes"), "{why}");
}

#[test]
fn without_worms_its_heat_is_told_and_holds_the_step() {
    let a = asked("quicklime", false);
    let c = &a.options[0];
    let said = c.cautions.join(" ");
    for word in ["slakes", "°C", "Goggles", "gloves", "label", "two weeks"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    // 10 K over 131 kJ/K is 1.3 MJ: some 1.1 kg at the most.
    assert!(c.step_grams < 1400.0, "{}", c.step_grams);
    assert!(StepLimit::Slaking.text().contains("slaking"));
    let other = asked("hydrated_lime", false).options[0].cautions.join(" ");
    assert!(!other.contains("slakes"), "{other}");
}

/// 1 kg over 9.4 kg x 1.4 + 28 kg x 4.19 = 130 kJ/K is 8.8 K.
#[test]
fn what_was_given_warms_the_bed_it_was_given_to() {
    let core = |key: &str| {
        let mut story = peat();
        story.dose(10.0, key, "1000 g", Applied::MixedIn);
        let e = story.estimate(10.02);
        e.ensemble.band(|m| m.life.told.zones.core).median
    };
    let rise = core("quicklime") - core("hydrated_lime");
    assert!((5.0..10.0).contains(&rise), "{rise}");
}
