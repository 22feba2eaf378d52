use super::*;
use crate::validation::experiments::Quantity;

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
        error: BTreeMap::from([
            (Kind::Ph, 0.6),
            (Kind::Moisture, 20.0),
            (Kind::WormMass, 2.0_f64.ln()),
            (Kind::WormNumber, 0.0),
        ]),
        worth: BTreeMap::new(),
        least: [(8.0, 1.5), (26.0, 2.0)],
    }
}

#[test]
fn what_lies_outside_is_reached_on_the_scale_of_the_figure() {
    // pH 4 (2 to 8) and worms 4 (2 to 8): inside nothing is needed.
    assert_eq!(beyond(&prediction(Kind::Ph, "a", 7.0)), 0.0);
    // 5 and 3, 4 beside: a half of 4 and an error of 3 reach 5.
    assert!((beyond(&prediction(Kind::Ph, "a", 9.0)) - 3.0).abs() < 1e-12);
    // Two doublings from the median, one is covered: ln 2 x sqrt(4 - 1).
    let error = beyond(&prediction(Kind::WormMass, "a", 16.0));
    assert!((error - 2.0_f64.ln() * 3.0_f64.sqrt()).abs() < 1e-12);
    let error = beyond(&prediction(Kind::WormMass, "a", 1.0));
    assert!((error - 2.0_f64.ln() * 3.0_f64.sqrt()).abs() < 1e-12);
}

fn of_kind(all: &[Prediction], kind: Kind) -> Trusted {
    let list = trusted(all);
    *list.iter().find(|t| t.kind == kind).unwrap()
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
    let t = of_kind(&all, Kind::WormMass);
    assert_eq!((t.treatments, t.values), (4, 13));
    assert_eq!(t.error, 0.0, "{t:?}");
    // Without two of them the far box decides, and the error is held.
    all.truncate(11);
    let t = of_kind(&all, Kind::WormMass);
    assert!(t.needed.unwrap() > 5.0 && (t.error - 3.0_f64.ln()).abs() < 1e-12);
}

#[test]
fn copies_widen_and_never_narrow() {
    let error = |all: &[Prediction]| of_kind(all, Kind::Ph).error;
    // pH 4 (2 to 8): 8.2 needs sqrt(4.2² - 4²), 8.1 less.
    let needs = |v: f64| ((v - 4.0) * (v - 4.0) - 16.0_f64).sqrt();
    let read = ["a", "b"].map(|t| prediction(Kind::Ph, t, 8.1)).to_vec();
    assert!((error(&read) - needs(8.1)).abs() < 1e-12);
    let with_copies = |observed: f64| {
        let copy = |t| Prediction {
            experiment: "quadar2022".to_owned(),
            ..prediction(Kind::Ph, t, observed)
        };
        let copies = ["c", "d", "e", "f", "g", "h"].map(copy).to_vec();
        [read.clone(), copies].concat()
    };
    assert!((error(&with_copies(4.0)) - needs(8.1)).abs() < 1e-12);
    assert!((error(&with_copies(8.12)) - needs(8.12)).abs() < 1e-12);
}

#[test]
fn what_is_fresh_widens_and_never_narrows() {
    let error = |all: &[Prediction]| of_kind(all, Kind::Ph).error;
    let needs = |v: f64| ((v - 4.0) * (v - 4.0) - 16.0_f64).sqrt();
    let seen = ["a", "b"].map(|t| prediction(Kind::Ph, t, 8.1)).to_vec();
    let and = |experiment: &str, observed: f64| {
        // Of these C:N is fresh still; the scale does not hang on it.
        let fresh = |t| Prediction {
            experiment: experiment.to_owned(),
            quantity: Quantity::CarbonToNitrogen,
            ..prediction(Kind::Ph, t, observed)
        };
        let fresh = ["c", "d", "e", "f", "g", "h"].map(fresh).to_vec();
        [seen.clone(), fresh].concat()
    };
    // Both fresh, and read in an abstract.
    for experiment in ["sharafi2012", "amouei2017"] {
        let inside = and(experiment, 4.0);
        assert!((error(&inside) - needs(8.1)).abs() < 1e-12, "{experiment}");
        assert_eq!(of_kind(&inside, Kind::Ph).fresh, 6);
        let wider = error(&and(experiment, 8.12));
        assert!((wider - needs(8.12)).abs() < 1e-12, "{experiment}");
    }
    // With nothing else to go by, what is fresh is gone by.
    let alone = and("sharafi2012", 8.12).split_off(2);
    assert!((error(&alone) - needs(8.12)).abs() < 1e-12);
}

/// The band of a figure with all its error, known just now.
fn widest(t: &Trust, track: Track, b: Band) -> Band {
    t.widen_by(track, b, t.error(track), Some(0.0))
}

#[test]
fn errors_add_plainly_for_ph_and_as_factors_for_mass() {
    let t = trust();
    let ph = widest(&t, Track::Ph, band(6.2, 7.0, 7.8));
    assert!((ph.low - 6.0).abs() < 1e-12 && (ph.high - 8.0).abs() < 1e-12);
    // Two doublings with one more: sqrt(4 + 1) of them.
    let kg = widest(&t, Track::WormKg, band(0.25, 1.0, 4.0));
    let factor = 2.0_f64.powf(5.0_f64.sqrt());
    assert!((kg.low - 1.0 / factor).abs() < 1e-12 && (kg.high - factor).abs() < 1e-12);
    let none = widest(&t, Track::WormKg, band(0.0, 0.0, 0.1));
    assert_eq!(none, band(0.0, 0.0, 0.1));
    let wet = widest(&t, Track::Moisture, band(70.0, 85.0, 95.0));
    assert!((wet.high - 100.0).abs() < 1e-12 && (wet.low - 60.0).abs() < 1e-12);
    let air = band(0.1, 0.2, 0.3);
    assert_eq!(widest(&t, Track::AirFilled, air), air);
}

#[test]
fn numbers_of_worms_have_the_published_least_spread() {
    let t = trust();
    let narrow = band(99.0, 100.0, 101.0);
    let at = |weeks: f64| t.widen_by(Track::Worms, narrow, 0.0, Some(7.0 * weeks));
    assert!((at(8.0).high - 150.0).abs() < 1e-9 && (at(8.0).low - 100.0 / 1.5).abs() < 1e-9);
    assert!((at(26.0).high - 200.0).abs() < 1e-9);
    assert!((at(52.0).high - 200.0).abs() < 1e-9);
    assert!(at(0.0).high < 102.0);
    assert!((t.widen_by(Track::Worms, narrow, 0.0, None).high - 200.0).abs() < 1e-9);
    // A band that is wide enough stays.
    let wide = band(10.0, 100.0, 900.0);
    let stays = t.widen_by(Track::Worms, wide, 0.0, Some(56.0));
    assert!((stays.high - 900.0).abs() < 1e-9 && (stays.low - 10.0).abs() < 1e-9);
    assert_eq!(
        t.widen_by(Track::AirFilled, narrow, 0.0, Some(56.0)),
        narrow
    );
}
