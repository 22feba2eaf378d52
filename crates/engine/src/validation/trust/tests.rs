use super::*;
use crate::validation::experiments::Quantity;
use crate::validation::trust_evidence;

fn band(low: f64, median: f64, high: f64) -> Band {
    Band { median, low, high }
}

fn prediction(kind: Kind, treatment: &str, observed: f64) -> Prediction {
    Prediction {
        experiment: "x".to_owned(),
        treatment: treatment.to_owned(),
        blind: Blind::Yes,
        day: 1.0,
        quantity: Quantity::Ph,
        kind,
        observed,
        sd: None,
        median: 4.0,
        low: 2.0,
        high: 8.0,
        assumed: "",
    }
}

fn trust() -> Trust {
    Trust {
        widening: BTreeMap::from([
            (Kind::Ph, 1.5),
            (Kind::Moisture, 3.0),
            (Kind::WormMass, 2.0),
            (Kind::WormNumber, 1.0),
        ]),
        least: [(8.0, 1.5), (26.0, 2.0)],
    }
}

#[test]
fn reach_is_on_the_scale_of_the_figure() {
    assert!((reach(&prediction(Kind::Ph, "a", 7.0)) - 0.75).abs() < 1e-12);
    assert!((reach(&prediction(Kind::WormMass, "a", 16.0)) - 2.0).abs() < 1e-12);
    assert!((reach(&prediction(Kind::WormMass, "a", 0.5)) - 3.0).abs() < 1e-12);
    assert_eq!(reach(&prediction(Kind::WormMass, "a", 4.0)), 0.0);
}

#[test]
fn a_box_of_many_days_counts_as_one() {
    // Box a: ten days far out; boxes b, c and d: inside.
    let mut all: Vec<Prediction> = (0..10)
        .map(|_| prediction(Kind::WormMass, "a", 1000.0))
        .collect();
    for t in ["b", "c", "d"] {
        all.push(prediction(Kind::WormMass, t, 5.0));
    }
    let t = trusted(&all)
        .into_iter()
        .find(|t| t.kind == Kind::WormMass)
        .unwrap();
    assert_eq!((t.treatments, t.values), (4, 13));
    assert!((t.widening - 1.0).abs() < 1e-12, "{t:?}");
    // Without two of them the far box decides, and the factor is held.
    all.truncate(11);
    let t = trusted(&all)
        .into_iter()
        .find(|t| t.kind == Kind::WormMass)
        .unwrap();
    assert!(t.needed.unwrap() > 7.0 && (t.widening - MOST).abs() < 1e-12);
}

#[test]
fn copies_widen_and_never_narrow() {
    let factor = |all: &[Prediction]| {
        let list = trusted(all);
        list.iter().find(|t| t.kind == Kind::Ph).unwrap().widening
    };
    // pH 4 (2 to 8): 10 needs a factor 1.5, 12 one of 2.
    let read = ["a", "b"].map(|t| prediction(Kind::Ph, t, 10.0)).to_vec();
    assert!((factor(&read) - 1.5).abs() < 1e-12);
    let with_copies = |observed: f64| {
        let copy = |t| Prediction {
            experiment: "quadar2022".to_owned(),
            ..prediction(Kind::Ph, t, observed)
        };
        let copies = ["c", "d", "e", "f", "g", "h"].map(copy).to_vec();
        [read.clone(), copies].concat()
    };
    assert!((factor(&with_copies(4.0)) - 1.5).abs() < 1e-12);
    assert!((factor(&with_copies(12.0)) - 2.0).abs() < 1e-12);
}

/// The band of a figure at its full factor, known just now.
fn widest(t: &Trust, track: Track, b: Band) -> Band {
    t.widen_by(track, b, t.widening(track), Some(0.0))
}

#[test]
fn widening_is_plain_for_ph_and_a_factor_for_mass() {
    let t = trust();
    let ph = widest(&t, Track::Ph, band(6.0, 7.0, 7.4));
    assert!((ph.low - 5.5).abs() < 1e-12 && (ph.high - 7.6).abs() < 1e-12);
    let kg = widest(&t, Track::WormKg, band(0.5, 1.0, 2.0));
    assert!((kg.low - 0.25).abs() < 1e-12 && (kg.high - 4.0).abs() < 1e-12);
    let none = widest(&t, Track::WormKg, band(0.0, 0.0, 0.1));
    assert!(none.low >= 0.0 && (none.high - 0.2).abs() < 1e-12);
    let wet = widest(&t, Track::Moisture, band(70.0, 85.0, 95.0));
    assert!((wet.high - 100.0).abs() < 1e-12 && (wet.low - 40.0).abs() < 1e-12);
    let air = band(0.1, 0.2, 0.3);
    assert_eq!(widest(&t, Track::AirFilled, air), air);
}

#[test]
fn numbers_of_worms_have_the_published_least_spread() {
    let t = trust();
    let narrow = band(99.0, 100.0, 101.0);
    let at = |weeks: f64| t.widen_by(Track::Worms, narrow, 1.0, Some(7.0 * weeks));
    assert!((at(8.0).high - 150.0).abs() < 1e-9 && (at(8.0).low - 100.0 / 1.5).abs() < 1e-9);
    assert!((at(26.0).high - 200.0).abs() < 1e-9);
    assert!((at(52.0).high - 200.0).abs() < 1e-9);
    assert!(at(0.0).high < 102.0);
    assert!((t.widen_by(Track::Worms, narrow, 1.0, None).high - 200.0).abs() < 1e-9);
    // A band that is wide enough stays.
    let wide = band(10.0, 100.0, 900.0);
    assert_eq!(t.widen_by(Track::Worms, wide, 1.0, Some(56.0)), wide);
    assert_eq!(
        t.widen_by(Track::AirFilled, narrow, 1.0, Some(56.0)),
        narrow
    );
}

#[test]
fn the_table_is_what_is_worked_out() {
    let tables = Tables::load().unwrap();
    let all = trust_evidence(&tables).unwrap();
    for t in trusted(&all) {
        let row = |property: &str| tables.value(TABLE, t.kind.name(), property).unwrap();
        let name = t.kind.name();
        assert!(
            (row("widening") - t.widening).abs() < 0.006,
            "{name}: the table says {}, worked out {:.2}",
            row("widening"),
            t.widening
        );
        assert_eq!(row("treatments") as usize, t.treatments, "{name}");
        assert_eq!(row("values") as usize, t.values, "{name}");
    }
}
