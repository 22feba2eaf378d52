//! What each kind of entry may not say, and the words it is refused with.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::{
    BinDescription, Body, Jar, JarTest, Lid, Measured, Place, Reading, ShedItem, TrayTest, Walls,
};
use std::collections::BTreeMap;
use store::{plain_text, validate};

fn refused(body: &Body, text: &str) {
    let error = validate(body).unwrap_err();
    assert_eq!(error.to_string(), text);
    assert!(error.is_input());
}

fn bin() -> BinDescription {
    BinDescription {
        name: "North".into(),
        length_cm: 60.0,
        width_cm: 40.0,
        depth_cm: 30.0,
        bedding_depth_cm: Some(30.0),
        walls: Walls::default(),
        lid: Lid::default(),
        drains: true,
        place: String::new(),
        retired: false,
    }
}

#[test]
fn bins() {
    validate(&Body::Bin(bin())).unwrap();
    let mut wide = bin();
    wide.width_cm = 1200.0;
    refused(
        &Body::Bin(wide),
        "inner width: bin side `1200` cm is outside the allowed range 5 to 1000 cm (from a jar to a ten-metre bed)",
    );
    let mut lines = bin();
    lines.name = "North\nSouth".into();
    refused(
        &Body::Bin(lines),
        "bin name holds a line break or control character; write one plain line",
    );
    let mut long = bin();
    long.place = "é".repeat(81);
    refused(
        &Body::Bin(long),
        "place is 81 characters long; at most 80 are taken",
    );
}

#[test]
fn readings_are_held_to_the_range_of_what_they_measure() {
    let reading = |what, spots: Vec<f64>| {
        Body::Reading(Reading {
            what,
            spots,
            instrument: "probe".into(),
            place: Place::Top,
            text: String::new(),
            confirmed: true,
        })
    };
    for (what, good, bad, words) in [
        (
            Measured::Ph,
            14.0,
            14.1,
            "pH `14.1` pH is outside the allowed range 0 to 14 pH",
        ),
        (
            Measured::BeddingCelsius,
            -40.0,
            90.5,
            "temperature `90.5` °C is outside the allowed range -40 to 90 °C",
        ),
        (
            Measured::AirCelsius,
            90.0,
            -41.0,
            "temperature `-41` °C is outside the allowed range -40 to 90 °C",
        ),
        (
            Measured::EcMsCm,
            60.0,
            -0.1,
            "salt reading (EC) `-0.1` mS/cm is outside the allowed range 0 to 60 mS/cm",
        ),
        (
            Measured::MoisturePercent,
            97.0,
            98.0,
            "moisture `98` % of wet mass is outside the allowed range 0 to 97 % of wet mass",
        ),
        (
            Measured::BinKg,
            1000.0,
            1001.0,
            "bin mass `1001` kg is outside the allowed range 0 to 1000 kg",
        ),
    ] {
        validate(&reading(what, vec![good])).unwrap();
        let text = validate(&reading(what, vec![good, bad]))
            .unwrap_err()
            .to_string();
        assert!(
            text.starts_with(&format!("reading at spot 2: {words}")),
            "{text}"
        );
    }
    for spots in [0, 61] {
        let text = validate(&reading(Measured::Ph, vec![7.0; spots]))
            .unwrap_err()
            .to_string();
        assert!(
            text.starts_with(&format!(
                "reading: number of spots `{spots}` spots is outside"
            )),
            "{text}"
        );
    }
}

#[test]
fn worms() {
    refused(
        &Body::WormsIn {
            grams: None,
            count: None,
            species: String::new(),
        },
        "worms put in has neither mass nor number; give one",
    );
    refused(
        &Body::WormsIn {
            grams: Some(-1.0),
            count: None,
            species: String::new(),
        },
        "worms put in: worms `-1` g is outside the allowed range 0 to 50000 g (fifty kilograms of worms is a farm)",
    );
    refused(
        &Body::WormCount {
            found: 3.0,
            litres_searched: Some(0.0),
            grams: None,
            ball: false,
        },
        "litres of bedding looked through: litres searched `0` L is outside the allowed range 0.01 to 1000 L (from a spoonful to a cubic metre)",
    );
    refused(
        &Body::WormCount {
            found: 0.0,
            litres_searched: None,
            grams: Some(60_000.0),
            ball: false,
        },
        "worms found: worms `60000` g is outside the allowed range 0 to 50000 g (fifty kilograms of worms is a farm)",
    );
    refused(
        &Body::WormCount {
            found: 0.0,
            litres_searched: None,
            grams: None,
            ball: true,
        },
        "ball of worms has no mass; give its grams",
    );
}

#[test]
fn tests_with_trays_and_jars() {
    let tray = TrayTest {
        worms: 10,
        in_suspect: 2,
        in_trusted: 7,
        dead_or_missing: 1,
        hours: 24.0,
    };
    validate(&Body::TrayTest(tray)).unwrap();
    refused(
        &Body::TrayTest(TrayTest {
            in_suspect: 3,
            ..tray
        }),
        "tray test accounts for 11 worms of 10; the two halves and the dead or missing must add up to 10",
    );
    let most = u32::MAX;
    assert!(
        validate(&Body::TrayTest(TrayTest {
            in_suspect: most,
            in_trusted: most,
            ..tray
        }))
        .is_err()
    );
    let jars = |jars| {
        Body::JarTest(JarTest {
            wet_bedding_grams: 100.0,
            material: "limestone_calcitic".into(),
            hours: 48.0,
            instrument: "pen".into(),
            jars,
        })
    };
    refused(&jars(vec![]), "list of jars is empty");
    refused(
        &jars(vec![
            Jar {
                grams: 0.0,
                ph: 4.8,
            },
            Jar {
                grams: 1.0,
                ph: 66.0,
            },
        ]),
        "jar 2: pH `66` pH is outside the allowed range 0 to 14 pH (the pH scale of a water slurry)",
    );
}

#[test]
fn lists_and_shed() {
    refused(&Body::Filled { parts: vec![] }, "list of parts is empty");
    refused(
        &Body::Observation {
            words: vec![],
            text: " ".into(),
        },
        "observation is empty; choose a word or write a text",
    );
    let shed = |material: &str, property: &str, value| {
        Body::Shed(ShedItem {
            material: material.into(),
            called: String::new(),
            available: None,
            have: true,
            own: BTreeMap::from([(property.to_owned(), value)]),
        })
    };
    validate(&shed("peat", "ph", 3.9)).unwrap();
    refused(&shed("", "ph", 3.9), "shed material is empty");
    refused(
        &shed("lime", "neutralising_percent", 300.0),
        "own value `neutralising_percent`: neutralising value `300` % of pure CaCO3 is outside the allowed range 0 to 260 % of pure CaCO3 (magnesium oxide, the strongest, is 250)",
    );
    refused(
        &shed("lime", "carbon_percent", f64::INFINITY),
        "own value `carbon_percent`: amount is not a finite number; give a value from 0 to 1000000 units",
    );
    let long = "x".repeat(1_001);
    refused(
        &Body::Setting {
            name: "a".into(),
            value: long,
        },
        "setting value is 1001 characters long; at most 1000 are taken",
    );
}

/// Whatever is in it, a refusal is one line of at most 300 characters.
#[test]
fn refusals_are_short_whatever_was_given() {
    let pieces = ["x", "\u{1b}[2J", "\n", "\u{0}", "\u{202e}", "🪱", "`", " "];
    for long in pieces.map(|p| p.repeat(50_000)) {
        let reading = |value, instrument: &str| {
            Body::Reading(Reading {
                what: Measured::Ph,
                spots: vec![value],
                instrument: instrument.into(),
                place: Place::default(),
                text: String::new(),
                confirmed: false,
            })
        };
        let mut named = bin();
        named.name.clone_from(&long);
        let mut placed = bin();
        placed.place.clone_from(&long);
        let shed = |key: &str, value: f64| {
            Body::Shed(ShedItem {
                material: "coir_pith".into(),
                called: String::new(),
                available: None,
                have: true,
                own: BTreeMap::from([(key.to_owned(), value)]),
            })
        };
        for body in [
            Body::Bin(named),
            Body::Bin(placed),
            Body::Note {
                text: long.as_str().into(),
            },
            Body::Move {
                place: long.clone(),
            },
            reading(7.0, &long),
            reading(f64::MAX, "pen"),
            reading(-1.0 / 3.0, "pen"),
            reading(f64::NAN, "pen"),
            shed(&long, 1.0),
            shed(&"k".repeat(80), 1e300),
        ] {
            let Err(error) = validate(&body) else {
                continue;
            };
            let message = error.to_string();
            assert!(message.chars().count() <= 300, "{message}");
            assert!(!message.chars().any(char::is_control), "{message:?}");
        }
    }
}

#[test]
fn texts_are_lines_of_plain_text() {
    let note = |text: &str| Body::Note { text: text.into() };
    plain_text(&note("one\n\ttwo\r\nthree é 🪱")).unwrap();
    let error = plain_text(&note("é\0b")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "note holds the control character U+0000 as character 2; write plain text"
    );
    assert!(error.is_input());
    for odd in ["\u{1b}[2J", "a\rb", "\u{7f}", "\u{9b}"] {
        plain_text(&note(odd)).unwrap_err();
        validate(&note(odd)).unwrap();
    }
}
