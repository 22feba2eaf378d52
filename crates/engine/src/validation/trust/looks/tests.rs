use super::*;
use crate::log::{BinId, EntryId, Place, Reading};
use crate::table::Tables;

fn ph_read(day: f64) -> Entry {
    Entry {
        id: EntryId(1),
        bin: Some(BinId(1)),
        at_unix_seconds: (day * DAY) as i64,
        written_unix_seconds: (day * DAY) as i64,
        zone: "UTC".to_owned(),
        body: Body::Reading(Reading {
            what: Measured::Ph,
            spots: vec![6.4],
            instrument: "strips".to_owned(),
            place: Place::Spread,
            text: String::new(),
            confirmed: false,
        }),
    }
}

/// Half of what is shown of a pH of 6.0 to 7.0 on a day.
fn half_shown(trust: &Trust, looks: &Looks, day: f64) -> f64 {
    let band = Band {
        median: 6.5,
        low: 6.0,
        high: 7.0,
    };
    let at = (day * DAY) as i64;
    trust.shown(looks, Track::Ph, band, at).half_width()
}

#[test]
fn a_figure_is_trusted_less_as_its_measurement_ages() {
    let error = 1.2;
    let trust = Trust {
        error: BTreeMap::from([(Kind::Ph, error)]),
        worth: BTreeMap::new(),
        least: [(8.0, 1.5), (26.0, 2.0)],
    };
    let looks = Looks::of(&[ph_read(10.0), ph_read(30.0)]);
    let half = |day: f64| half_shown(&trust, &looks, day);
    assert!((half(5.0) - 1.3).abs() < 1e-9, "before any reading");
    assert!((half(30.0) - 0.5).abs() < 1e-9, "at the reading");
    assert!(
        (half(58.0) - 0.5_f64.hypot(0.6)).abs() < 1e-9,
        "half forgotten"
    );
    assert!((half(400.0) - 1.3).abs() < 1e-9, "long after");
    assert!(half(20.0) > half(10.0) && half(30.0) < half(20.0));
}

/// A model 0.8 pH off and strips worth 0.6 leave 0.8 x 0.6 / 1.0 = 0.48.
#[test]
fn a_poor_instrument_leaves_some_of_the_error() {
    let trust = Trust {
        error: BTreeMap::from([(Kind::Ph, 0.8)]),
        worth: BTreeMap::from([("strips".to_owned(), 0.6)]),
        least: [(8.0, 1.5), (26.0, 2.0)],
    };
    let looks = Looks::of(&[ph_read(10.0)]);
    let half = |day: f64| half_shown(&trust, &looks, day);
    assert!((half(10.0) - 0.5_f64.hypot(0.48)).abs() < 1e-9);
    assert!((half(38.0) - 0.5_f64.hypot(0.64)).abs() < 1e-9);
    assert!((half(100.0) - 0.5_f64.hypot(0.8)).abs() < 1e-9);
}

#[test]
fn there_are_no_more_castings_than_dry_matter() {
    let trust = Trust {
        error: BTreeMap::from([(Kind::Castings, 3.0_f64.ln())]),
        worth: BTreeMap::new(),
        least: [(8.0, 1.5), (26.0, 2.0)],
    };
    let band = |median: f64| Band {
        median,
        low: 0.9 * median,
        high: 1.1 * median,
    };
    let mut bands = vec![band(0.0); Track::ALL.len()];
    bands[Track::Castings as usize] = band(1.0);
    bands[Track::CastingsShare as usize] = band(0.5);
    let shown = trust.shown_moment(&Looks::default(), &Moment { at: 0, bands });
    assert!((shown.band(Track::Castings).high - 2.0).abs() < 1e-12);
    assert!((shown.band(Track::CastingsShare).high - 1.0).abs() < 1e-12);
    assert!(shown.band(Track::Castings).low < 0.34);
}

#[test]
fn what_was_held_against_nothing_is_shown_as_it_is() {
    let trust = Trust::load(&Tables::load().unwrap()).unwrap();
    let band = Band {
        median: 0.3,
        low: 0.2,
        high: 0.4,
    };
    let shown = trust.shown(&Looks::default(), Track::AirFilled, band, 0);
    assert_eq!(shown, band);
}
