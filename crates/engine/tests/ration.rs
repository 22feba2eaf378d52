//! What to feed now: the rules a ration must keep.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[path = "ration/held.rs"]
mod held;

use engine::bed::fill::Own;
use engine::estimate::{Estimate, Setup, estimate};
use engine::living::room::Day;
use engine::living::trouble::Trouble;
use engine::log::{BinDescription, Lid, Walls};
use engine::log::{BinId, Body, Entry, EntryId, Part, Word};
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::ration::{Held, Prepared, Ration, RationAsk, RationError, Sparing, ration};
use engine::table::Tables;

const DAY: f64 = 86_400.0;

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

/// A bin filled on day 0, stocked on day 3, fed every four days.
struct Kept {
    log: Vec<Entry>,
    air: f64,
    bin: Option<BinDescription>,
    species: &'static str,
}

impl Kept {
    fn new(grams: f64) -> Self {
        let mut kept = Self {
            log: Vec::new(),
            air: 20.0,
            bin: None,
            species: "",
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

    /// The same bin with its worms of another species.
    fn stocked_as(mut self) -> Self {
        for entry in &mut self.log {
            if let Body::WormsIn { species, .. } = &mut entry.body {
                self.species.clone_into(species);
            }
        }
        self
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
                bin: self.bin.as_ref(),
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

    /// The ration of a feed made ready some way, looked at after some days.
    fn ration_made(&self, day: f64, feed: &str, prepared: Prepared, look: (f64, f64)) -> Ration {
        let tables = Tables::load().unwrap();
        let e = self.estimate(&tables, day);
        let mut ask = ask(&tables, &e, &[(feed, "100 g")]);
        ask.prepared = prepared;
        (ask.soonest_days, ask.latest_days) = look;
        ration(&ask).unwrap()
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
        seen: Vec::new(),
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
            text: String::new().into(),
        },
    );
    kept.add(
        45.0,
        Body::Observation {
            words: vec![Word::FoodMost],
            text: String::new().into(),
        },
    );
    let left = kept.ration(45.0);
    let mut gone = Kept::new(500.0).fed(10, "2 cups");
    gone.add(
        45.0,
        Body::Observation {
            words: vec![Word::FoodGone],
            text: String::new().into(),
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

/// Food does not make a bed more acid that is acid of itself, but its worms eat
/// little: they are fed little, and are not left hungry for weeks.
#[test]
fn an_acid_bed_is_fed_as_its_worms_eat() {
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
    let (acid, usual) = (
        kept.ration(49.0),
        Kept::new(500.0).fed(10, "2 cups").ration(49.0),
    );
    assert!(acid.grams.median < 0.5 * usual.grams.median, "{acid:?}");
    assert!(!matches!(acid.held[0], Held::There(_)), "{:?}", acid.held);
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

/// What holds a ration down, by name, with the first the tightest.
#[test]
fn each_kind_of_sparing_food_binds_and_says_so() {
    let kept = Kept::new(500.0).fed(10, "2 cups");
    for (key, sparing) in [
        ("citrus_peel", Sparing::Repellent),
        ("onion", Sparing::Repellent),
        ("bread_white", Sparing::Starch),
        ("rice_cooked", Sparing::Starch),
        ("wheat_bran", Sparing::Protein),
        ("coffee_grounds", Sparing::Grounds),
    ] {
        let r = kept.ration_of(49.0, &[(key, "100 g")]);
        let mut held = r.held.iter().filter(|h| !matches!(h, Held::Trouble(_)));
        assert_eq!(
            held.next(),
            Some(&Held::Food(sparing)),
            "{key} {:?}",
            r.held
        );
        assert!(r.grams.median > 0.0, "{key}");
    }
}

#[test]
fn a_new_bin_binds_and_says_so() {
    let r = Kept::new(500.0).ration(5.0);
    assert_eq!(r.held[0], Held::NewBin, "{:?}", r.held);
}

#[test]
fn cold_binds_and_says_so_by_the_species() {
    let mut cold = Kept::new(500.0).fed(5, "1 cup");
    cold.air = 3.0;
    let r = cold.ration(49.0);
    assert!(r.held.contains(&Held::Cold), "{:?}", r.held);
    // Ten degrees: red worms eat, African nightcrawlers hardly.
    let mut cool = Kept::new(500.0).fed(5, "1 cup");
    cool.air = 10.0;
    assert!(!cool.ration(49.0).held.contains(&Held::Cold));
    cool.species = "eudrilus_eugeniae";
    let r = cool.stocked_as().ration(49.0);
    assert!(r.held.contains(&Held::Cold), "{:?}", r.held);
}

#[test]
fn a_long_absence_is_fed_for_a_week_and_says_so() {
    let kept = Kept::new(500.0).fed(10, "2 cups");
    let week = kept.ration_made(49.0, "kitchen_scraps_veg", Prepared::Whole, (7.0, 7.0));
    assert!(!week.held.contains(&Held::Look), "{:?}", week.held);
    let month = kept.ration_made(49.0, "kitchen_scraps_veg", Prepared::Whole, (21.0, 21.0));
    assert!(month.held.contains(&Held::Look), "{:?}", month.held);
    assert!(month.grams.median <= week.grams.median * 1.001);
}

/// A kilogram of frozen scraps takes some 450 kJ: a little bed is chilled by it.
#[test]
fn frozen_food_binds_by_its_chill_where_thawed_does_not() {
    let mut kept = Kept::new(500.0).fed(10, "2 cups");
    kept.air = 10.0;
    let of = |p| kept.ration_made(49.0, "watermelon_flesh", p, (6.0, 7.0));
    let (frozen, thawed) = (of(Prepared::Frozen), of(Prepared::Thawed));
    assert!(!thawed.held.contains(&Held::Chill), "{:?}", thawed.held);
    assert!(frozen.grams.median <= thawed.grams.median);
    // Near freezing the bed has next to nothing to give.
    let mut kept = Kept::new(500.0);
    kept.air = 1.5;
    let near = kept.ration_made(49.0, "watermelon_flesh", Prepared::Frozen, (6.0, 7.0));
    assert_eq!(
        near.held[0],
        Held::Chill,
        "{:?} {:?}",
        near.held,
        near.grams
    );
}

/// Seaweed off the beach: a twelfth of its dry matter is salt.
#[test]
fn salty_food_binds_and_says_so() {
    let kept = Kept::new(500.0).fed(10, "2 cups");
    let wrack = kept.ration_of(49.0, &[("seaweed_wrack", "100 g")]);
    assert_eq!(
        wrack.held[0],
        Held::Salt,
        "{:?} {:?}",
        wrack.held,
        wrack.grams
    );
    assert!(wrack.grams.median > 0.0);
    let scraps = kept.ration(49.0);
    assert!(!scraps.held.contains(&Held::Salt), "{:?}", scraps.held);
    assert!(scraps.chances.iter().any(|(t, _)| *t == Trouble::Salty));
}

#[test]
fn a_full_bin_binds_and_says_so() {
    let mut kept = Kept::new(500.0).fed(10, "2 cups");
    kept.bin = Some(BinDescription {
        name: "low".into(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 7.0,
        bedding_depth_cm: None,
        walls: Walls::Plastic,
        lid: Lid::Vented,
        drains: true,
        place: String::new(),
        retired: false,
    });
    let r = kept.ration(49.0);
    assert_eq!(r.held[0], Held::Room, "{:?} {:?}", r.held, r.grams);
    // 60 x 40 x 7 cm holds 16.8 L.
    assert!(r.room_litres.median < 0.5, "{:?}", r.room_litres);
    let tote = Kept::new(500.0).fed(10, "2 cups").ration(49.0);
    assert!(tote.room_litres.median > 20.0, "{:?}", tote.room_litres);
}

/// Finely cut food is taken up sooner and rots sooner: the same amount is the
/// greater risk.
#[test]
fn blended_food_carries_more_risk_than_the_same_whole() {
    use engine::bed::fill::ready;
    use engine::estimate::ahead::{Act, Outlooker, Plan};
    use engine::living::rot::Kind;
    let tables = Tables::load().unwrap();
    let e = Kept::new(500.0).fed(10, "2 cups").estimate(&tables, 49.0);
    let o = Outlooker::new(&tables, &e, Celsius(20.0)).unwrap();
    let risk = |times: f64| {
        let feed = ready(&tables, &[part("kitchen_scraps_veg", "3 kg")], &Own::new()).unwrap();
        let plan = Plan {
            acts: vec![(0.0, Act::Feed(feed))],
            hastened: vec![(Kind::Food, times)],
            ..Plan::default()
        };
        let ahead = o.ahead(&e.ensemble.thinned(120), &plan, 4);
        let hottest = ahead
            .course
            .iter()
            .map(|m| m.band(engine::estimate::Track::Hot).median);
        (
            ahead.alarm(Trouble::Souring).in_all(),
            hottest.fold(f64::MIN, f64::max),
        )
    };
    let (whole, blended) = (risk(1.0), risk(1.6));
    assert!(blended.1 > whole.1 + 0.5, "{blended:?} {whole:?}");
    assert!(blended.0 >= whole.0, "{blended:?} {whole:?}");
}

#[test]
fn where_trouble_binds_blended_food_is_given_no_more_freely_than_whole() {
    let mut kept = Kept::new(3000.0).fed(11, "4 kg");
    kept.air = 26.0;
    let of = |p| kept.ration_made(49.0, "kitchen_scraps_veg", p, (2.0, 4.0));
    let (whole, blended) = (of(Prepared::Whole), of(Prepared::Blended));
    assert!(
        matches!(whole.held[0], Held::Trouble(_) | Held::There(_)),
        "{:?} {:?}",
        whole.held,
        whole.grams
    );
    assert!(
        blended.grams.median <= whole.grams.median * 1.05,
        "{:?} {:?}",
        blended.grams,
        whole.grams
    );
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
