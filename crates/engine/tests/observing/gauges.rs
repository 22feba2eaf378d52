//! Readings, the tare, trays and harvests.

use super::laws::reading;
use super::{SAYINGS, quiet};
use engine::living::observe::Tare;
use engine::living::signs::Signs;
use engine::log::{Measured, Place, TrayTest, Walls};

#[test]
fn a_thermometer_shows_the_place_it_is_put() {
    let hot = Signs {
        core_celsius: 30.0,
        hot_celsius: 45.0,
        refuge_celsius: 24.0,
        air_celsius: 20.0,
        ..quiet()
    };
    let shown = |place| {
        let r = reading(Measured::BeddingCelsius, &[30.0], place);
        SAYINGS.gauge(&r).unwrap().expected(&hot)
    };
    assert_eq!(shown(Place::Middle), 30.0);
    assert_eq!(shown(Place::Food), 45.0);
    assert_eq!(shown(Place::Edge), 24.0);
    assert!(shown(Place::Top) < 30.0 && shown(Place::Spread) < 30.0);
    // In the cold the kindest zone is the middle; the wall is colder.
    let cold = Signs {
        core_celsius: 8.0,
        refuge_celsius: 8.0,
        air_celsius: -2.0,
        ..quiet()
    };
    let r = reading(Measured::BeddingCelsius, &[5.0], Place::Edge);
    assert_eq!(SAYINGS.gauge(&r).unwrap().expected(&cold), 4.0);
}

#[test]
fn more_spots_help_until_the_instrument_does_not() {
    let sd = |spots: &[f64]| {
        let r = reading(Measured::BeddingCelsius, spots, Place::Middle);
        SAYINGS.gauge(&r).unwrap().sd()
    };
    assert!(sd(&[20.0]) > sd(&[20.0; 4]));
    assert!(sd(&[20.0; 60]) > 1.0);
}

#[test]
fn a_wild_spot_does_not_shut_out_a_bin() {
    let r = reading(Measured::BeddingCelsius, &[60.0], Place::Middle);
    let fits = |core| {
        SAYINGS.reading_log_likelihood(
            &r,
            &Signs {
                core_celsius: core,
                ..quiet()
            },
        )
    };
    // Normal tails would make this gap hundreds.
    assert!(fits(59.0) - fits(20.0) < 20.0);
    assert!(fits(59.0) > fits(40.0) && fits(40.0) > fits(20.0));
}

#[test]
fn how_moisture_was_measured_matters() {
    let mut r = reading(Measured::MoisturePercent, &[70.0], Place::Spread);
    let mut sd = |instrument: &str| {
        r.instrument = instrument.into();
        SAYINGS.gauge(&r).unwrap().sd()
    };
    assert!(sd("oven") < sd("by_hand") && sd("by_hand") < sd("moisture_probe"));
}

#[test]
fn what_is_weighed_elsewhere_is_not_weighed_here() {
    for what in [Measured::Ph, Measured::AirCelsius, Measured::BinKg] {
        let r = reading(what, &[7.0], Place::Spread);
        assert!(SAYINGS.gauge(&r).is_none());
        assert_eq!(SAYINGS.reading_log_likelihood(&r, &quiet()), 0.0);
    }
    let r = reading(Measured::EcMsCm, &[], Place::Spread);
    assert!(SAYINGS.gauge(&r).is_none());
}

#[test]
fn the_first_weighing_teaches_the_tare_and_the_next_the_contents() {
    let bin = |kg| Signs {
        contents_kg: kg,
        ..quiet()
    };
    let tare = SAYINGS.tare((60.0, 40.0, 30.0), Walls::Plastic);
    assert!(tare.kg > 2.0 && tare.kg < 6.0, "{tare:?}");
    // Two possible bins a kilogram apart; both fit the first weighing.
    let (heavy, heavy_tare) = SAYINGS.mass(17.5, tare, &bin(14.0));
    let (light, light_tare) = SAYINGS.mass(17.5, tare, &bin(13.0));
    assert!((heavy - light).abs() < 1.0);
    assert!((heavy_tare.kg - light_tare.kg + 1.0).abs() < 0.1);
    // A month later both say 12 kg are left: the tares tell them apart.
    let after = |tare, kg: f64| SAYINGS.mass(15.5, tare, &bin(kg)).0;
    assert!(after(heavy_tare, 12.0) > after(heavy_tare, 11.0) + 2.0);
    assert!(after(light_tare, 11.0) > after(light_tare, 12.0) + 2.0);
    assert!((after(heavy_tare, 12.0) - after(light_tare, 11.0)).abs() < 0.2);
}

#[test]
fn a_slip_on_the_scale_does_not_fix_the_tare() {
    let tare = Tare {
        kg: 3.0,
        variance: 0.04,
    };
    let slip = SAYINGS.mass(77.0, tare, &quiet()).1;
    assert!((slip.kg - 3.0).abs() < 1.0, "{slip:?}");
}

#[test]
fn a_tray_left_half_empty_says_they_would_leave() {
    let tray = |suspect, trusted, hours, urge| {
        let test = TrayTest {
            worms: suspect + trusted,
            in_suspect: suspect,
            in_trusted: trusted,
            dead_or_missing: 0,
            hours,
        };
        let s = Signs {
            urge_to_leave: urge,
            ..quiet()
        };
        SAYINGS.tray_log_likelihood(&test, &s)
    };
    // ISO 17512: more than 80 % in the control side is impaired habitat.
    assert!(tray(2, 18, 48.0, 0.8) > tray(2, 18, 48.0, 0.0) + 2.0);
    assert!(tray(10, 10, 48.0, 0.0) > tray(10, 10, 48.0, 0.8) + 2.0);
    // An hour is no test.
    let hour = tray(10, 10, 1.0, 0.0) - tray(10, 10, 1.0, 0.8);
    assert!(hour.abs() < 0.3, "{hour}");
    // Twenty worms that follow each other are not twenty answers.
    assert!(tray(2, 18, 48.0, 0.8) - tray(2, 18, 48.0, 0.0) < 6.0);
}

#[test]
fn a_harvest_is_weak_evidence_of_castings() {
    let bin = |dry| Signs {
        castings_dry_kg: dry,
        ..quiet()
    };
    // 3 kg wet at 75 % is 0.75 kg dry.
    let h = |dry| SAYINGS.harvest_log_likelihood(3.0, &bin(dry));
    assert!(h(2.0) == h(0.8) && h(0.1) < h(0.8) - 2.0);
    assert!(h(0.5) > h(0.8) - 1.0);
}

fn tote() -> engine::log::BinDescription {
    let tables = engine::table::Tables::load().unwrap();
    engine::estimate::scene::usual_tote(&tables).unwrap()
}

/// A tub of 60 by 40 cm that holds 48 L stands 20 cm deep.
#[test]
fn a_written_depth_fits_the_volume_it_stands_for() {
    let bin = engine::log::BinDescription {
        bedding_depth_cm: Some(20.0),
        ..tote()
    };
    let level = SAYINGS.level(&bin).unwrap();
    let fits = |litres: f64| level.log_likelihood(&Signs { litres, ..quiet() });
    assert!(fits(48.0) > fits(42.0) && fits(48.0) > fits(55.0));
    // A tenth off is no surprise, half is.
    assert!(fits(48.0) - fits(43.2) < 1.0 && fits(48.0) - fits(24.0) > 3.0);
    assert!(fits(f64::NAN).is_finite());
    let unread = tote();
    assert!(SAYINGS.level(&unread).is_none());
}
