//! What to feed now: the rules a ration must keep.

#![allow(clippy::unwrap_used)] // tests may unwrap

use engine::bed::fill::Own;
use engine::estimate::{Estimate, Setup, estimate};
use engine::living::room::Day;
use engine::log::{BinId, Body, Entry, EntryId, Part, Word};
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::ration::{Held, Prepared, Ration, RationAsk, RationError, ration};
use engine::table::Tables;

const DAY: f64 = 86_400.0;

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

/// A bin filled on day 0, stocked on day 3, fed every four days.
struct Kept {
    log: Vec<Entry>,
    air: f64,
}

impl Kept {
    fn new(grams: f64) -> Self {
        let mut kept = Self {
            log: Vec::new(),
            air: 20.0,
        };
        kept.add(
            0.0,
            Body::Filled {
                parts: vec![
                    part("cardboard_corrugated", "30 L"),
                    part("coir_pith", "12 L"),
                    part("yard_compost_finished", "5 L"),
                    part("water", "3 L"),
                ],
            },
        );
        if grams > 0.0 {
            kept.add(
                3.0,
                Body::WormsIn {
                    grams: Some(grams),
                    count: None,
                    species: String::new(),
                },
            );
        }
        kept
    }

    fn add(&mut self, day: f64, body: Body) {
        let at = (day * DAY) as i64;
        self.log.push(Entry {
            id: EntryId(self.log.len() as i64 + 1),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body,
        });
    }

    fn fed(mut self, times: u32, amount: &str) -> Self {
        for k in 0..times {
            let parts = vec![part("kitchen_scraps_veg", amount)];
            self.add(5.0 + 4.0 * f64::from(k), Body::Feeding { parts });
        }
        self
    }

    fn estimate(&self, tables: &Tables, day: f64) -> Estimate {
        estimate(
            &Setup {
                tables,
                own: &Own::new(),
                temperature: Celsius(20.0),
                now: (day * DAY) as i64,
                seed: 4,
                members: 200,
                bin: None,
                air: Some(Day::around(self.air, 4.0)),
            },
            &self.log,
        )
        .unwrap()
    }

    fn ration_of(&self, day: f64, feed: &[(&str, &str)]) -> Ration {
        let tables = Tables::load().unwrap();
        let e = self.estimate(&tables, day);
        ration(&ask(&tables, &e, feed)).unwrap()
    }

    fn ration(&self, day: f64) -> Ration {
        self.ration_of(day, &[("kitchen_scraps_veg", "100 g")])
    }
}

fn ask<'a>(tables: &'a Tables, e: &'a Estimate, feed: &[(&str, &str)]) -> RationAsk<'a> {
    static NOTHING: Own = Own::new();
    RationAsk {
        tables,
        own: &NOTHING,
        estimate: e,
        bed: Celsius(20.0),
        feed: feed.iter().map(|(m, a)| part(m, a)).collect(),
        prepared: Prepared::Whole,
        bedding: "cardboard_corrugated".into(),
        soonest_days: 2.0,
        latest_days: 4.0,
        members: 120,
        seen_left: None,
    }
}

#[test]
fn a_kept_bin_is_fed_within_what_is_published() {
    let r = Kept::new(500.0).fed(10, "2 cups").ration(49.0);
    let each = r.per_worms_per_day.unwrap();
    assert!((0.05..1.25).contains(&each.median), "{each:?}");
    assert!(r.grams.median > 50.0 && r.grams.low <= r.grams.median);
    assert!(r.chances.iter().all(|(_, c)| (0.0..=1.0).contains(c)));
    assert!((2.0..=4.0).contains(&r.look_in_days), "{}", r.look_in_days);
    // Wet scraps go with dry bedding.
    assert!(r.bedding_grams > 0.0);
}

#[test]
fn no_worms_no_ration() {
    let r = Kept::new(0.0).ration(10.0);
    assert!(r.grams.median.abs() < 1e-9);
    assert_eq!(r.held[0], Held::NoWorms);
}

#[test]
fn a_new_bin_is_fed_little() {
    let new = Kept::new(500.0).ration(5.0);
    let old = Kept::new(500.0).fed(10, "2 cups").ration(49.0);
    let (new_day, old_day) = (
        new.grams.median / new.look_in_days,
        old.grams.median / old.look_in_days,
    );
    assert!(new_day < 0.7 * old_day, "{new_day} {old_day}");
    // A fifth to two fifths of a quarter of their weight a day.
    assert!(new_day <= 500.0 * 0.25 * 0.4, "{new_day}");
}

#[test]
fn food_still_lying_there_is_not_added_to() {
    let mut kept = Kept::new(500.0).fed(10, "2 cups");
    kept.add(
        44.0,
        Body::Observation {
            words: vec![Word::FoodMost],
            text: String::new(),
        },
    );
    kept.add(
        45.0,
        Body::Observation {
            words: vec![Word::FoodMost],
            text: String::new(),
        },
    );
    let left = kept.ration(45.0);
    let mut gone = Kept::new(500.0).fed(10, "2 cups");
    gone.add(
        45.0,
        Body::Observation {
            words: vec![Word::FoodGone],
            text: String::new(),
        },
    );
    let eaten = gone.ration(45.0);
    assert!(left.food_left.median > eaten.food_left.median);
    assert!(
        left.grams.median < 0.6 * eaten.grams.median,
        "{:?} {:?}",
        left.grams,
        eaten.grams
    );
}

#[test]
fn starch_protein_and_peel_are_held_tighter_than_scraps() {
    let kept = Kept::new(500.0).fed(10, "2 cups");
    let of = |key: &str| kept.ration_of(49.0, &[(key, "100 g")]).grams.median;
    let scraps = of("kitchen_scraps_veg");
    for key in ["bread_white", "wheat_bran", "citrus_peel"] {
        assert!(of(key) < 0.5 * scraps, "{key} {} {scraps}", of(key));
    }
    let peel = kept.ration_of(49.0, &[("citrus_peel", "100 g")]);
    assert!(peel.cautions.iter().any(|c| c.text.contains("keep off")));
}

#[test]
fn a_cold_bin_is_fed_little() {
    let mut cold = Kept::new(500.0).fed(10, "1 cup");
    cold.air = 4.0;
    let warm = Kept::new(500.0).fed(10, "1 cup").ration(49.0);
    let cold = cold.ration(49.0);
    let (cold_takes, warm_takes) = (cold.could_take_per_day, warm.could_take_per_day);
    assert!(
        cold_takes.median < 0.6 * warm_takes.median,
        "{cold_takes:?} {warm_takes:?}"
    );
    assert!(cold.grams.median <= warm.grams.median);
}

#[test]
fn a_ration_rises_by_half_at_most() {
    let kept = Kept::new(900.0).fed(10, "1 cup");
    let r = kept.ration(49.0);
    // A cup of scraps is 150 g give or take, every four days.
    assert!(r.grams.median / r.look_in_days <= 1.5 * 250.0 / 4.0 * 1.2);
}

#[test]
fn what_is_asked_amiss_is_told() {
    let tables = Tables::load().unwrap();
    let e = Kept::new(500.0).estimate(&tables, 10.0);
    assert_eq!(ration(&ask(&tables, &e, &[])), Err(RationError::NoFeed));
    let mut wrong = ask(&tables, &e, &[("apple", "100 g")]);
    wrong.bedding = "moon_dust".into();
    let told = ration(&wrong).unwrap_err().to_string();
    assert!(told.contains("moon_dust"), "{told}");
}

#[test]
fn a_sour_bin_is_not_fed() {
    let mut kept = Kept::new(500.0).fed(10, "2 cups");
    for day in [46.0, 48.0] {
        kept.add(
            day,
            Body::Reading(engine::log::Reading {
                what: engine::log::Measured::Ph,
                spots: vec![4.6, 4.7, 4.6],
                instrument: "glass_electrode".into(),
                place: engine::log::Place::Spread,
                text: String::new(),
                confirmed: false,
            }),
        );
    }
    let r = kept.ration(49.0);
    assert!(r.grams.median.abs() < 1e-9, "{:?}", r.grams);
    assert_eq!(
        r.held[0],
        Held::Trouble(engine::living::trouble::Trouble::Souring)
    );
}

/// By hand: lettuce-like feed of 90 % water and C:N 12 with dry card of 8 %
/// water and C:N 440. Moisture: 100 g of feed hold 90 g of water and 10 g dry;
/// at 75 % three grams of water go with one of dry, so 60 g of water are over,
/// and a gram of card takes 3 x 0.92 - 0.08 = 2.68 g: 22 g. Carbon asks for
/// (25 - 12) x N / (0.405 - 25 x 0.00092) with N = 10 x 0.36/12 = 0.3 g: 10 g,
/// less than the water does.
#[test]
fn dry_bedding_is_reckoned_as_by_hand() {
    use engine::ration::balance::{Aim, Balance};
    let balance = Balance {
        feed_dry: 0.10,
        feed_carbon: 0.036,
        feed_nitrogen: 0.003,
        bedding_dry: 0.92,
        bedding_carbon: 0.405,
        bedding_nitrogen: 0.000_92,
    };
    let aim = Aim::load(&Tables::load().unwrap()).unwrap();
    let (bedding, water) = balance.beside(&aim, 100.0, 70.0, 72.0, 10.0);
    assert!((bedding - 60.0 / 2.68).abs() < 0.1, "{bedding}");
    assert!(water.abs() < 1e-9);
    // A dry bed drinks the water itself.
    let (less, more) = balance.beside(&aim, 100.0, 55.0, 72.0, 10.0);
    assert!(less < bedding && more > 0.0, "{less} {more}");
}

/// What the keeper saw of the last food goes before what is reckoned.
#[test]
fn food_seen_gone_does_not_hold_a_ration_back() {
    let tables = Tables::load().unwrap();
    let kept = Kept::new(500.0).fed(47, "6 cups");
    let e = kept.estimate(&tables, 49.0);
    let feed = [("kitchen_scraps_veg", "100 g")];
    let with = |seen_left| {
        let ask = RationAsk {
            seen_left,
            ..ask(&tables, &e, &feed)
        };
        ration(&ask).unwrap()
    };
    assert!(!with(Some(0.0)).held.contains(&Held::FoodLeft));
    assert!(with(Some(0.9)).held.contains(&Held::FoodLeft));
    assert!(with(Some(0.9)).grams.median <= with(Some(0.0)).grams.median);
}
