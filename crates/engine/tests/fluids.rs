//! Liquids that go in and out of a living bin: what is drained off, what is
//! poured on, and acids that microbes burn again.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[allow(dead_code)] // each file of tests uses its own part of it
#[path = "living/bin.rs"]
mod bin;
#[allow(dead_code)] // as above
#[path = "laws/story.rs"]
mod story;

use bin::{Bin, GOOD, tote};
use engine::estimate::{Estimate, Setup, estimate};
use engine::living::ledger::Ledger;
use engine::log::{Applied, BinDescription, Body};
use engine::measure::Amount;
use engine::quantity::Celsius;
use story::{DAY, Story, tables};

fn sealed() -> BinDescription {
    BinDescription {
        drains: false,
        ..tote()
    }
}

/// What a good bin of this description is like on a day of its log.
fn told(story: &Story, bin: &BinDescription, day: f64) -> Estimate {
    let own = engine::bed::fill::Own::new();
    let setup = Setup {
        tables: tables(),
        own: &own,
        temperature: Celsius(20.0),
        now: (day * DAY as f64) as i64,
        seed: 7,
        members: 60,
        bin: Some(bin),
        air: None,
    };
    estimate(&setup, &story.log).unwrap()
}

/// Mean over the possible bins.
fn mean(e: &Estimate, of: impl Fn(&engine::estimate::Possible) -> f64) -> f64 {
    let members = &e.ensemble.members;
    members.iter().map(of).sum::<f64>() / members.len() as f64
}

fn moisture(e: &Estimate) -> f64 {
    let priors = &e.scene.priors;
    mean(e, |m| m.life.moisture_percent(m.life.dry_kg(priors)))
}

fn books_close(e: &Estimate) {
    for m in &e.ensemble.members {
        let ledger = Ledger::of(&m.life, &m.bed, &e.scene.priors);
        ledger.check_from_empty().unwrap();
    }
}

fn drained(times: u32) -> Story {
    let mut story = Story::new(&GOOD);
    story.worms(1.0);
    for i in 0..times {
        let amount = Amount::parse("2 L").unwrap();
        story.add(10.0 + 5.0 * f64::from(i), Body::Drain { amount });
    }
    story
}

#[test]
fn a_tray_emptied_four_times_takes_no_water_from_a_bin_with_holes() {
    let with = told(&drained(4), &tote(), 30.0);
    let without = told(&drained(0), &tote(), 30.0);
    let (a, b) = (moisture(&with), moisture(&without));
    assert!((a - b).abs() < 0.5, "{a} with, {b} without");
    assert!(a > 65.0, "{a}");
    books_close(&with);
}

#[test]
fn a_sealed_bin_gives_only_what_stands_free() {
    // Little or nothing stands free in it, whatever the log says was taken.
    let with = told(&drained(4), &sealed(), 30.0);
    let without = told(&drained(0), &sealed(), 30.0);
    let (a, b) = (moisture(&with), moisture(&without));
    assert!(a > b - 3.0, "{a} with, {b} without");
    books_close(&with);
}

#[test]
fn free_water_taken_off_takes_its_salt_and_nitrate_along() {
    let mut bin = Bin::usual(&sealed(), &GOOD, 20.0);
    bin.stock(500.0);
    bin.feed(&[("banana_peel", "2000 g")]);
    bin.live(20.0);
    bin.pour(20.0);
    let dry = bin.signs().moisture_percent;
    let (water, salt, nitrate) = (bin.life.water_kg, bin.life.salt, bin.life.nitrate);
    let before = bin.ledger();
    let celsius = bin.signs().core_celsius;
    let taken = bin.take_off(2.0);
    bin.ledger().check(&before, 0.0).unwrap();
    assert!((taken - 2.0).abs() < 1e-12, "{taken}");
    assert!((bin.life.water_kg - water + 2.0).abs() < 1e-9);
    let share = 2.0 / water;
    assert!((bin.life.salt / salt - 1.0 + share).abs() < 1e-9);
    assert!((bin.life.nitrate / nitrate - 1.0 + share).abs() < 1e-9);
    assert!((bin.signs().core_celsius - celsius).abs() < 1e-6);
    assert!(bin.signs().moisture_percent < dry);
    // Far more than there is: what the bedding holds stays.
    let all = bin.take_off(500.0);
    bin.ledger().check(&before, 0.0).unwrap();
    assert!(all > 0.0 && all < 20.0, "{all}");
    let holds = water - 2.0 - all;
    // But for what the acids that went along would have held.
    assert!(bin.take_off(1.0) < 0.05);
    assert!((bin.life.water_kg - holds).abs() < 0.05 && holds > 5.0);
    bin.live(5.0);
    bin.ledger().check_from_empty().unwrap();
}

#[test]
fn a_bin_with_holes_books_nothing_twice() {
    let mut bin = Bin::usual(&tote(), &GOOD, 20.0);
    bin.pour(5.0);
    bin.live(3.0);
    let (water, out) = (bin.life.water_kg, bin.life.books.water_out);
    assert!(out > 0.0);
    assert!(bin.take_off(2.0).abs() < 1e-12);
    assert!((bin.life.water_kg - water).abs() < 1e-12);
    assert!((bin.life.books.water_out - out).abs() < 1e-12);
}

#[test]
fn five_litres_of_vinegar_sour_and_wet_a_bed_and_pass() {
    let mut plain = Bin::usual(&tote(), &GOOD, 20.0);
    plain.stock(500.0);
    let mut bin = plain.clone();
    let before = bin.ledger();
    bin.add(&[("vinegar", "5050 g")]);
    bin.ledger().check(&before, 0.0).unwrap();
    // By hand: 5.05 kg at 0.83 mol/kg are 4.2 mol and 4.8 kg of water.
    assert!(
        (bin.life.acid_bed - 4.2).abs() < 0.4,
        "{}",
        bin.life.acid_bed
    );
    let water = bin.life.water_kg - plain.life.water_kg;
    assert!((water - 4.8).abs() < 0.1, "{water}");
    assert!((bin.life.ash_kg - plain.life.ash_kg).abs() < 1e-9);
    let fall = plain.signs().ph - bin.signs().ph;
    assert!(fall > 0.5, "{fall}");
    assert!(bin.signs().moisture_percent > plain.signs().moisture_percent + 2.0);
    for _ in 0..35 {
        let before = bin.ledger();
        bin.live(1.0);
        bin.ledger().check(&before, 0.0).unwrap();
        assert_eq!(bin.impossible(), None);
        plain.live(1.0);
    }
    let rest = plain.signs().ph - bin.signs().ph;
    assert!(rest.abs() < 0.3 * fall, "{rest} of {fall} is left");
    bin.ledger().check_from_empty().unwrap();
}

fn dosed(what: Option<(&str, &str)>) -> Story {
    let mut story = Story::new(&GOOD);
    story.worms(1.0);
    if let Some((material, amount)) = what {
        story.dose(10.0, material, amount, Applied::MixedIn);
    }
    story
}

#[test]
fn a_dose_of_vinegar_is_water_and_acid_and_no_rock() {
    let ph = |e: &Estimate| mean(e, |m| m.bed.ph());
    let ash = |e: &Estimate| mean(e, |m| m.life.books.ash_in);
    let at = |what, day| told(&dosed(what), &tote(), day);
    let vinegar = Some(("vinegar", "5 L"));
    let (plain, soured) = (at(None, 10.2), at(vinegar, 10.2));
    let fall = ph(&plain) - ph(&soured);
    assert!(fall > 0.5, "{fall}");
    assert!(moisture(&soured) > moisture(&plain) + 1.0);
    assert!((ash(&soured) - ash(&plain)).abs() < 1e-9);
    assert!(soured.given[0].base_meq.median.abs() < 1e-9);
    books_close(&soured);
    let (plain, passed) = (at(None, 45.0), at(vinegar, 45.0));
    let rest = ph(&plain) - ph(&passed);
    assert!(rest.abs() < 0.3 * fall, "{rest} of {fall} is left");
    books_close(&passed);
}

#[test]
fn dry_citric_acid_brings_no_rock_either() {
    let mut bin = Bin::usual(&tote(), &GOOD, 20.0);
    let (ash, ph) = (bin.life.ash_kg, bin.signs().ph);
    bin.add(&[("citric_acid", "200 g")]);
    // By hand: 15.6 meq/g.
    assert!(
        (bin.life.acid_bed - 3.1).abs() < 0.3,
        "{}",
        bin.life.acid_bed
    );
    assert!((bin.life.ash_kg - ash).abs() < 1e-9);
    assert!(bin.signs().ph < ph - 0.4);
    bin.live(30.0);
    assert!(bin.life.acid_bed < 0.3, "{}", bin.life.acid_bed);
    bin.ledger().check_from_empty().unwrap();
}

#[test]
fn vinegar_in_the_filling_passes_too() {
    let [a, b, c, d] = GOOD;
    let mut bin = Bin::usual(&tote(), &[a, b, c, d, ("vinegar", "5 L")], 20.0);
    let mut plain = Bin::usual(&tote(), &GOOD, 20.0);
    assert!(bin.signs().ph < plain.signs().ph - 0.5);
    assert!(bin.signs().moisture_percent > plain.signs().moisture_percent + 2.0);
    bin.ledger().check_from_empty().unwrap();
    bin.live(35.0);
    plain.live(35.0);
    assert!(bin.signs().ph > plain.signs().ph - 0.3);
    bin.ledger().check_from_empty().unwrap();
}

/// Lime by the kilo makes a bed heavier, not drier for its worms.
#[test]
fn mineral_matter_does_not_dry_a_bed_for_worms() {
    let plain = Bin::usual(&tote(), &GOOD, 20.0);
    let mut limed = plain.clone();
    limed.dose("limestone_calcitic", 2000.0);
    let (a, b) = (plain.signs(), limed.signs());
    assert!(a.moisture_percent - b.moisture_percent > 5.0);
    let less = a.moisture_felt_percent - b.moisture_felt_percent;
    assert!(
        less < 0.45 * (a.moisture_percent - b.moisture_percent),
        "{less}"
    );
    assert!((a.moisture_felt_percent - a.moisture_percent).abs() < 1.0);
}

/// Fresh food holds its own water until it rots.
#[test]
fn the_water_of_food_drains_as_the_food_rots_and_not_at_once() {
    let mut bin = Bin::usual(&tote(), &GOOD, 20.0);
    let to_brim = bin.life.holds_kg(
        bin.around().priors,
        &bin.nature,
        bin.kg() - bin.life.water_kg,
    );
    bin.pour(to_brim - bin.life.water_kg);
    bin.live(3.0);
    let before = bin.life.books.water_out;
    bin.feed(&[("kitchen_scraps_veg", "4000 g")]);
    bin.live(1.0);
    let first = bin.life.books.water_out - before;
    bin.live(20.0);
    let later = bin.life.books.water_out - before;
    assert!(first < 0.8, "{first} kg at once");
    assert!(
        later > 2.0 * first && later > 1.0,
        "{first} kg, then {later}"
    );
}

/// 500 g of bread, 36 % water and 2 % salt of its dry matter, is 0.11 mol of
/// sodium chloride: 2.2 mS/cm kg at 20 mS/cm kg/mol.
#[test]
fn the_salt_of_bread_comes_with_the_bread() {
    let mut bin = Bin::usual(&tote(), &GOOD, 20.0);
    let before = bin.life.salt;
    bin.feed(&[("bread_white", "500 g")]);
    let more = bin.life.salt - before;
    assert!((1.6..3.0).contains(&more), "{more}");
}

/// What runs out within a day is no liquid standing in the base.
#[test]
fn water_just_poured_stands_where_there_are_no_holes() {
    let poured = |of: &BinDescription| {
        let mut bin = Bin::usual(of, &GOOD, 20.0);
        bin.pour(20.0);
        bin.signs().pooled_kg
    };
    let holes = BinDescription {
        drains: true,
        ..tote()
    };
    assert!(poured(&holes) < 0.3, "{}", poured(&holes));
    assert!(poured(&sealed()) > 3.0, "{}", poured(&sealed()));
}
