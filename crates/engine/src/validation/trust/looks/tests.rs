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

#[test]
fn a_figure_is_trusted_less_as_its_measurement_ages() {
    let factor = 1.5;
    let trust = Trust {
        widening: BTreeMap::from([(Kind::Ph, factor)]),
        least: [(8.0, 1.5), (26.0, 2.0)],
    };
    let looks = Looks::of(&[ph_read(10.0), ph_read(30.0)]);
    let band = Band {
        median: 6.5,
        low: 6.0,
        high: 7.0,
    };
    let half = |day: f64| {
        let at = (day * DAY) as i64;
        trust.shown(&looks, Track::Ph, band, at).half_width()
    };
    assert!(
        (half(5.0) - 0.5 * factor).abs() < 1e-9,
        "before any reading"
    );
    assert!((half(30.0) - 0.5).abs() < 1e-9, "at the reading");
    assert!(
        (half(58.0) - 0.5 * factor.sqrt()).abs() < 1e-9,
        "half forgotten"
    );
    assert!((half(400.0) - 0.5 * factor).abs() < 1e-9, "long after");
    assert!(half(20.0) > half(10.0) && half(30.0) < half(20.0));
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
