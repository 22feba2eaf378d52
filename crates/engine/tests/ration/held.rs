//! What holds food back: trouble that it makes worse, few worms, and weeks
//! without any.

use super::{Kept, ask};
use engine::living::trouble::Trouble;
use engine::log::{BinDescription, Body, Lid, Walls};
use engine::measure::Amount;
use engine::ration::{Held, Ration, RationAsk, ration};
use engine::table::Tables;

/// What the keeper saw of trouble that food makes worse goes before what is
/// reckoned.
#[test]
fn nothing_is_fed_into_trouble_that_was_seen() {
    let tables = Tables::load().unwrap();
    let e = Kept::new(500.0).fed(10, "2 cups").estimate(&tables, 49.0);
    let with = |seen: Trouble| {
        let ask = RationAsk {
            seen: vec![seen],
            ..ask(&tables, &e, &[("kitchen_scraps_veg", "100 g")])
        };
        ration(&ask).unwrap()
    };
    for trouble in [
        Trouble::WetBase,
        Trouble::Drowning,
        Trouble::Souring,
        Trouble::Ammonia,
        Trouble::TooHot,
    ] {
        let r = with(trouble);
        assert!(r.grams.high.abs() < 1e-9, "{trouble:?} {:?}", r.grams);
        assert_eq!(r.held[0], Held::There(trouble));
    }
    assert!(with(Trouble::Starving).grams.median > 50.0);
}

/// A closed tote in which liquid stands, whatever its keeper saw.
#[test]
fn nothing_is_fed_while_liquid_likely_stands() {
    let mut kept = Kept::new(500.0).fed(10, "2 cups");
    kept.bin = Some(BinDescription {
        name: String::new(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 35.0,
        bedding_depth_cm: None,
        walls: Walls::Plastic,
        lid: Lid::Tight,
        drains: false,
        place: String::new(),
        retired: false,
    });
    let amount = Amount::parse("12 L").unwrap();
    kept.add(
        48.0,
        Body::Water {
            amount,
            soft: false,
        },
    );
    let r = kept.ration(49.0);
    assert!(r.grams.high.abs() < 1e-9, "{:?}", r.grams);
    assert!(matches!(
        r.held[0],
        Held::There(Trouble::WetBase | Trouble::Drowning)
    ));
}

/// Microbes of a large bed take up food too, but few worms are not fed for them.
#[test]
fn few_worms_are_fed_what_they_can_eat() {
    let tables = Tables::load().unwrap();
    let kept = Kept::new(40.0).fed(10, "2 cups");
    let e = kept.estimate(&tables, 49.0);
    let r = ration(&ask(&tables, &e, &[("kitchen_scraps_veg", "100 g")])).unwrap();
    assert!(r.held.contains(&Held::Mouths), "{:?}", r.held);
    let per_worms = r.per_worms_per_day.unwrap();
    assert!(per_worms.median < 1.3, "{per_worms:?}");
    let eaten = e
        .ensemble
        .band(|m| 1000.0 * m.life.carried.appetite_kg / 0.12);
    assert!(
        r.grams.high <= 1.1 * eaten.median * r.look_in_days,
        "{eaten:?}"
    );
}

#[test]
fn after_weeks_without_food_half_a_ration_is_given() {
    let usual = Kept::new(500.0).fed(10, "2 cups").ration(49.0);
    let paused = Kept::new(500.0).fed(1, "2 cups").ration(49.0);
    assert!(paused.held.contains(&Held::Pause), "{:?}", paused.held);
    assert!(!usual.held.contains(&Held::Pause), "{:?}", usual.held);
    let day = |r: &Ration| r.could_take_per_day.median * r.look_in_days;
    assert!(
        paused.grams.median <= 0.5 * day(&paused),
        "{:?}",
        paused.grams
    );
}
