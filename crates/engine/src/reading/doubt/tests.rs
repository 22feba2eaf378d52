#![allow(clippy::unwrap_used)] // tests may unwrap

use super::*;
use crate::log::{Part, Word};
use crate::measure::Amount;

fn asked(body: &Body) -> Vec<Question> {
    let past = Past { log: &[], at: 0 };
    doubts(&Tables::load().unwrap(), &Own::new(), &tote(), &past, body).unwrap()
}

/// A tote of 55 L.
fn tote() -> BinDescription {
    BinDescription {
        name: "Tote".into(),
        length_cm: 50.0,
        width_cm: 40.0,
        depth_cm: 27.5,
        bedding_depth_cm: None,
        walls: Default::default(),
        lid: Default::default(),
        drains: false,
        place: String::new(),
        retired: false,
    }
}

fn parts(list: &[(&str, &str)]) -> Vec<Part> {
    list.iter()
        .map(|(m, a)| Part::plain(*m, Amount::parse(a).unwrap()))
        .collect()
}

fn fed(material: &str, amount: &str) -> Vec<Question> {
    asked(&Body::Feeding {
        parts: parts(&[(material, amount)]),
    })
}

fn worms(grams: Option<f64>, count: Option<f64>) -> Vec<Question> {
    asked(&Body::WormsIn {
        grams,
        count,
        species: String::new(),
    })
}

#[test]
fn feed_beyond_the_bin_is_asked_about() {
    assert!(fed("apple", "2 kg").is_empty());
    assert!(matches!(
        fed("apple", "200 kg")[..],
        [Question::TooMuchFeed { kg, .. }] if (kg - 200.0).abs() < 1e-9
    ));
    assert!(fed("lettuce_leaf", "54 L").is_empty());
    assert!(matches!(
        fed("lettuce_leaf", "60 L")[..],
        [Question::Overfull { what: "feed", .. }]
    ));
}

#[test]
fn bedding_and_water_beyond_the_bin_are_asked_about() {
    let filled = |amount: &str| {
        asked(&Body::Filled {
            parts: parts(&[("coir_pith", amount), ("water", "10 L")]),
        })
    };
    assert!(filled("50 L").is_empty());
    assert_eq!(filled("80 L").len(), 1);
    let water = |amount: &str| {
        asked(&Body::Water {
            amount: Amount::parse(amount).unwrap(),
            soft: false,
        })
    };
    assert!(water("5 L").is_empty());
    assert_eq!(water("80 L").len(), 1);
}

/// Thirty litres of coir and eight of water in a tote of 55 L.
#[test]
fn more_than_is_in_the_bin_and_less_than_can_be_measured_is_asked_about() {
    let tables = Tables::load().unwrap();
    let filled = Entry {
        id: crate::log::EntryId(1),
        bin: None,
        at_unix_seconds: 0,
        zone: "UTC".into(),
        written_unix_seconds: 0,
        body: Body::Filled {
            parts: parts(&[("coir_pith", "30 L"), ("water", "8 L")]),
        },
    };
    let log = [filled];
    let past = Past { log: &log, at: 10 };
    let asked = |body: Body| {
        let found = doubts(&tables, &Own::new(), &tote(), &past, &body).unwrap();
        found
            .iter()
            .map(Question::text)
            .collect::<Vec<_>>()
            .join(" ")
    };
    let amount = |text: &str| Amount::parse(text).unwrap();
    let harvest = |a| Body::Harvest { amount: amount(a) };
    let drain = |a| Body::Drain { amount: amount(a) };
    let water = |a| Body::Water {
        amount: amount(a),
        soft: false,
    };
    let feed = |a| Body::Feeding {
        parts: parts(&[("apple", a)]),
    };
    for body in [
        harvest("50 L"),
        harvest("30 kg"),
        drain("45 L"),
        feed("20 kg"),
    ] {
        let said = asked(body);
        assert!(
            said.contains("by the log, all that is in this bin"),
            "{said}"
        );
    }
    for body in [water("0.0000001 L"), feed("0.0001 g"), harvest("0.001 g")] {
        let said = asked(body);
        assert!(said.contains("too little to be measured"), "{said}");
    }
    for body in [harvest("3 L"), drain("1 L"), feed("500 g"), water("1 cup")] {
        assert_eq!(asked(body), "");
    }
}

#[test]
fn worms_beyond_the_bin_are_asked_about() {
    assert!(worms(Some(1000.0), None).is_empty());
    assert_eq!(worms(Some(25_000.0), None).len(), 1);
    assert!(worms(None, Some(4000.0)).is_empty());
    assert_eq!(worms(None, Some(400_000.0)).len(), 1);
}

#[test]
fn dusty_and_streaming_contradict() {
    let look = |words: &[Word]| {
        asked(&Body::Observation {
            words: words.to_vec(),
            text: "".into(),
        })
    };
    assert!(look(&[Word::SqueezeDrops, Word::SqueezeSeveral]).is_empty());
    let found = look(&[Word::SqueezeStream, Word::SmellSour, Word::SqueezeDusty]);
    assert_eq!(found.len(), 1);
    let said = found[0].text();
    assert!(said.contains("dusty") && said.contains("stream"), "{said}");
    assert!(!found[0].refuses());
}
