//! The one most important line of a bin: what was seen, smelt or measured
//! comes before what the model of pH has to say.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

use app::desk::{Attention, Clock, Desk, Level};
use engine::log::{
    Applied, BinDescription, BinId, Body, Dose, Lid, Measured, Part, Place, Reading, Walls, Word,
};
use engine::measure::Amount;

const DAY: i64 = 86_400;

struct House {
    desk: Desk,
    bin: BinId,
    now: i64,
}

impl House {
    /// Coir and castings with worms in, filled two months ago and read well.
    fn new() -> Self {
        let clock = Clock::stopped("2026-11-24T18:05[Europe/Paris]".parse().unwrap());
        let now = clock.unix_seconds();
        let desk = Desk::in_memory(clock).unwrap().waiting(true);
        let described = BinDescription {
            name: "Cellar".into(),
            length_cm: 60.0,
            width_cm: 40.0,
            depth_cm: 30.0,
            bedding_depth_cm: None,
            walls: Walls::Plastic,
            lid: Lid::Vented,
            drains: true,
            place: String::new(),
            retired: false,
        };
        let zone = desk.clock.zone_name();
        let (bin, _) = desk
            .store()
            .create_bin_with(described, now - 60 * DAY, &zone, now, Vec::new())
            .unwrap();
        let house = Self { desk, bin, now };
        house.write(
            60,
            Body::Filled {
                parts: vec![part("coir_pith", "20 L"), part("vermicompost", "10 L")],
            },
        );
        house.write(
            59,
            Body::WormsIn {
                grams: Some(250.0),
                count: None,
                species: String::new(),
            },
        );
        house.write(1, reading(Measured::Ph, 7.0, "good_pen"));
        house
    }

    fn write(&self, days_ago: i64, body: Body) {
        self.desk
            .write(Some(self.bin), self.now - days_ago * DAY, body)
            .unwrap();
    }

    fn line(&self) -> Attention {
        self.desk.attention(&self.desk.bin(self.bin).unwrap())
    }
}

fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

fn reading(what: Measured, value: f64, instrument: &str) -> Body {
    Body::Reading(Reading {
        what,
        spots: vec![value],
        instrument: instrument.into(),
        place: Place::Spread,
        text: String::new(),
        confirmed: false,
    })
}

fn saw(word: Word) -> Body {
    Body::Observation {
        words: vec![word],
        text: "".into(),
    }
}

#[test]
fn a_bed_that_reads_well_is_left_be() {
    let said = House::new().line();
    assert_eq!(said.level, Level::Well, "{said:?}");
}

#[test]
fn a_good_ph_does_not_hide_heat_salt_water_or_leaving_worms() {
    for (body, level, words) in [
        (
            reading(Measured::BeddingCelsius, 37.0, "thermometer"),
            Level::Act,
            "Too hot for worms, 37 °C in the bedding: stop feeding",
        ),
        (
            reading(Measured::EcMsCm, 12.0, "salt_meter"),
            Level::Watch,
            "Salty: thin it",
        ),
        (
            saw(Word::Pooling),
            Level::Watch,
            "Too wet, short of air: mix in dry bedding",
        ),
        (
            saw(Word::SqueezeDusty),
            Level::Watch,
            "Drying out: sprinkle water",
        ),
        (saw(Word::WormsLeft), Level::Act, "Worms want to leave"),
        (
            saw(Word::WormsClimbing),
            Level::Watch,
            "Worms want to leave",
        ),
    ] {
        let house = House::new();
        house.write(0, body);
        let said = house.line();
        assert_eq!(said.level, level, "{said:?}");
        assert!(said.line.starts_with(words), "{said:?}");
    }
}

#[test]
fn an_old_temperature_is_no_alarm() {
    let house = House::new();
    house.write(20, reading(Measured::BeddingCelsius, 37.0, "thermometer"));
    assert_eq!(house.line().level, Level::Well);
}

#[test]
fn caustic_lime_or_ash_among_worms_is_said_at_once() {
    for (material, how) in [
        ("hydrated_lime", Applied::MixedIn),
        ("wood_ash", Applied::PouredLiquor),
    ] {
        let house = House::new();
        house.write(
            0,
            Body::Dose(Dose {
                material: material.into(),
                amount: Amount::parse("2 tbsp").unwrap(),
                how,
            }),
        );
        let said = house.line();
        assert_eq!(said.level, Level::Act);
        assert!(said.line.contains("went in with the worms"), "{said:?}");
        assert!(said.why.contains("gloves and goggles"), "{said:?}");
    }
}

#[test]
fn what_the_outlook_fears_is_said_before_all_is_well() {
    let house = House::new();
    for days in 0..6 {
        house.write(days, reading(Measured::AirCelsius, 39.0, "thermometer"));
    }
    let state = house.desk.bin(house.bin).unwrap();
    let soon = house.desk.soon(&state).unwrap();
    let hot = soon.ahead.alarm(engine::living::trouble::Trouble::TooHot);
    assert!(hot.in_all() > 0.5, "the outlook must fear heat: {hot:?}");
    let said = house.line();
    assert_eq!(said.level, Level::Act, "{said:?}");
    assert!(said.line.starts_with("Too hot"), "{said:?}");
    let today = house.desk.today().unwrap();
    let about_heat: Vec<_> = today
        .now
        .iter()
        .filter(|t| t.what.starts_with("Too hot") || t.kind == "too_hot")
        .collect();
    assert_eq!(about_heat.len(), 1, "once: {:?}", today.now);
}

#[test]
fn no_bin_of_the_demo_is_well_while_trouble_is_likely() {
    let clock = Clock::stopped("2026-11-24T18:05[Europe/Paris]".parse().unwrap());
    let desk = Desk::in_memory(clock).unwrap();
    app::demo::open(&desk, None).unwrap();
    for view in desk.bins().unwrap() {
        let state = desk.bin(view.id).unwrap();
        let said = desk.attention(&state);
        let Ok(soon) = desk.soon(&state) else {
            continue;
        };
        let feared = app::desk::coming::coming(&soon.ahead, false)
            .into_iter()
            .find(|c| c.trouble.is_bad() && c.act);
        assert!(
            said.level != Level::Well || feared.is_none(),
            "{}: {said:?} but {feared:?}",
            state.description.name
        );
    }
}

#[test]
fn what_was_seen_is_told_as_seen_until_something_written_ends_it() {
    let house = House::new();
    house.write(3, saw(Word::WormsClimbing));
    house.write(1, saw(Word::WormsClimbing));
    let state = house.desk.bin(house.bin).unwrap();
    let seen = house.desk.seen(&state);
    assert_eq!(seen.len(), 1, "{seen:?}");
    assert_eq!(
        seen[0].sentence,
        "You saw worms climbing on Sat 21 Nov and Mon 23 Nov."
    );
    let beside = house.desk.seen_words(&state);
    assert!(beside[0].starts_with(&seen[0].sentence), "{beside:?}");
    assert!(
        beside[0].contains("With that weighed in, the model gives"),
        "{beside:?}"
    );
    let today = house.desk.today().unwrap();
    assert!(today.now.iter().any(|t| t.seen == beside), "{today:?}");
    house.write(0, saw(Word::WormsSpread));
    let state = house.desk.bin(house.bin).unwrap();
    assert!(house.desk.seen(&state).is_empty());
}

#[test]
fn an_outlook_says_what_it_takes_for_given_whatever_its_horizon() {
    use app::desk::outlook::WhatIf;
    let house = House::new();
    for days_ago in [15, 9, 3] {
        house.write(
            days_ago,
            Body::Feeding {
                parts: vec![part("kitchen_scraps_veg", "150 g")],
            },
        );
    }
    let state = house.desk.bin(house.bin).unwrap();
    let short = house.desk.outlook_as_now(&state, 14).unwrap();
    let long = house.desk.outlook_as_now(&state, 56).unwrap();
    assert_eq!(short.plan, long.plan);
    assert!(long.premise.contains("given no water"), "{}", long.premise);
    // Now is the same now on every page.
    let now = &state.estimate.as_ref().unwrap().moment;
    assert_eq!(&short.ahead.course[0], now);
    assert_eq!(&long.ahead.course[0], now);
    let asked = WhatIf {
        top_up: true,
        ..WhatIf::default()
    };
    let topped = house.desk.outlook(&state, &asked, 56).unwrap();
    let moist = |o: &app::desk::outlook::Outlook| {
        let last = o.ahead.course.last().unwrap();
        last.band(engine::estimate::Track::Moisture).median
    };
    assert!(topped.plan[0].contains("water kept topped up"));
    assert!(moist(&topped) >= moist(&long));
}

#[test]
fn a_place_told_as_so_warm_is_taken_as_so_warm() {
    use app::desk::outlook::WhatIf;
    let house = House::new();
    house.write(2, reading(Measured::BeddingCelsius, 16.0, "thermometer"));
    let state = house.desk.bin(house.bin).unwrap();
    let asked = WhatIf {
        move_to: Some(12.0),
        ..WhatIf::default()
    };
    let moved = house.desk.outlook(&state, &asked, 56).unwrap();
    let air: Vec<f64> = moved.ahead.course[42..]
        .iter()
        .map(|m| m.band(engine::estimate::Track::Air).median)
        .collect();
    let mean = air.iter().sum::<f64>() / air.len() as f64;
    assert!((mean - 12.0).abs() < 1.5, "{mean}");
}

/// What they flee is asked only where nothing that is put right explains it.
#[test]
fn worms_on_the_move_are_not_looked_into_beside_what_they_flee() {
    let flee = "Find out what they flee";
    let all = |house: &House| -> Vec<String> {
        let state = house.desk.bin(house.bin).unwrap();
        let tasks = house.desk.tasks_of(&state).unwrap();
        tasks.into_iter().map(|t| t.what).collect()
    };
    let of_two = |one: Body, first: &str| {
        let house = House::new();
        house.write(0, one);
        house.write(0, saw(Word::WormsClimbing));
        let said = all(&house);
        assert!(said[0].starts_with(first), "{said:?}");
        assert!(!said.iter().any(|w| w.contains(flee)), "{said:?}");
    };
    let mut sour = reading(Measured::Ph, 4.4, "good_pen");
    if let Body::Reading(r) = &mut sour {
        // It lies far from what is expected, and is meant.
        r.confirmed = true;
    }
    of_two(sour, "Acid, pH");
    of_two(saw(Word::Pooling), "Too wet, short of air");
    of_two(saw(Word::SmellSour), "Food turning sour, by the smell");
    // By itself it is.
    let house = House::new();
    house.write(0, saw(Word::WormsClimbing));
    assert!(
        all(&house)[0].contains(&flee.to_lowercase()),
        "{:?}",
        all(&house)
    );
}

/// Food makes these worse: what was seen holds it back wherever food is told of.
#[test]
fn no_food_is_told_of_anywhere_while_liquid_stands_or_it_smells() {
    use app::desk::living::RationWish;
    for word in [
        Word::Pooling,
        Word::SqueezeStream,
        Word::SmellRotten,
        Word::SmellSour,
        Word::SmellAmmonia,
    ] {
        let house = House::new();
        house.write(0, saw(word));
        let state = house.desk.bin(house.bin).unwrap();
        let fed = house.desk.ration(&state, &RationWish::default()).unwrap();
        assert!(
            fed.ration.grams.median.abs() < 1e-9,
            "{word:?} {:?}",
            fed.ration
        );
        assert!(!house.desk.attention(&state).feed_now(), "{word:?}");
        let tasks = house.desk.tasks_of(&state).unwrap();
        assert!(
            !tasks.iter().any(|t| t.what.starts_with("Feed ")),
            "{tasks:?}"
        );
    }
}

/// An acid bed that nobody read comes after soaked bedding that was felt: it is
/// sour for want of air.
#[test]
fn soaked_bedding_that_was_felt_comes_before_acid_that_was_only_thought() {
    let clock = Clock::stopped("2026-11-24T18:05[Europe/Paris]".parse().unwrap());
    let house = House::new();
    let desk = Desk::in_memory(clock).unwrap();
    let zone = desk.clock.zone_name();
    let described = desk_bin(&house);
    let (bin, _) = desk
        .store()
        .create_bin_with(described, house.now - 9 * DAY, &zone, house.now, Vec::new())
        .unwrap();
    let sour = House {
        desk,
        bin,
        now: house.now,
    };
    let peat = part("peat_sphagnum_unlimed", "30 L");
    sour.write(
        9,
        Body::Filled {
            parts: vec![peat, part("water", "9 L")],
        },
    );
    let grams = Some(250.0);
    let species = String::new();
    sour.write(
        8,
        Body::WormsIn {
            grams,
            count: None,
            species,
        },
    );
    assert!(
        sour.line().line.starts_with("Probably acid, pH"),
        "{:?}",
        sour.line()
    );
    sour.write(0, saw(Word::SqueezeStream));
    assert!(sour.line().line.starts_with("Too wet"), "{:?}", sour.line());
}

/// The description of the bin of a house.
fn desk_bin(house: &House) -> BinDescription {
    house.desk.bin(house.bin).unwrap().description.clone()
}
