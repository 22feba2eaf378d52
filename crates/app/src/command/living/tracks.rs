//! Figures followed through time, in words and as JSON.

use crate::report::{self, Units};
use engine::estimate::{Moment, Track};
use engine::living::trouble::Trouble;
use engine::quantity::Band;
use serde_json::{Map, Value, json};

/// All figures of a moment, by their stable names.
pub(in crate::command) fn bands(moment: &Moment) -> Map<String, Value> {
    Track::ALL
        .iter()
        .map(|t| (t.name().to_owned(), json!(moment.band(*t))))
        .collect()
}

/// The units of all figures, by their stable names.
pub(in crate::command) fn units() -> Value {
    Track::ALL
        .iter()
        .map(|t| (t.name().to_owned(), Value::from(t.unit())))
        .collect::<Map<_, _>>()
        .into()
}

/// Name in a list for people.
pub(in crate::command) fn title(track: Track) -> &'static str {
    match track {
        Track::Ph => "pH",
        Track::Moisture => "moisture",
        Track::Core => "in the middle",
        Track::Refuge => "where worms sit",
        Track::Hot => "hottest pocket",
        Track::Air => "air at the bin",
        Track::WormKg => "worms by mass",
        Track::Worms => "worms",
        Track::Cocoons => "cocoons",
        Track::FoodLeft => "last food left",
        Track::Castings => "castings, dry",
        Track::CastingsShare => "castings, share",
        Track::Salt => "salt",
        Track::Sour => "acids in the food",
        Track::Ammonia => "free ammonia",
        Track::AirFilled => "air in the bed",
        Track::Contents => "contents",
        Track::Dry => "dry matter",
        Track::Litres => "volume",
        Track::Urge => "urge to leave",
    }
}

/// A figure with its interval, in the keeper's units.
pub(in crate::command) fn say(track: Track, band: &Band, units: Units) -> String {
    let times = |by: f64| Band {
        median: band.median * by,
        low: band.low * by,
        high: band.high * by,
    };
    match track {
        Track::Ph => report::ph_band(band),
        Track::Moisture => report::percent_band(band),
        Track::FoodLeft | Track::CastingsShare | Track::AirFilled => {
            report::percent_band(&times(100.0))
        }
        Track::Core | Track::Refuge | Track::Hot | Track::Air => report::celsius_band(band, units),
        Track::WormKg | Track::Castings | Track::Contents | Track::Dry => {
            report::grams_band(&times(1000.0), units)
        }
        Track::Litres => report::litres_band(band, units),
        Track::Worms | Track::Cocoons => report::band(band, ""),
        Track::Urge => report::band(band, ""),
        Track::Salt | Track::Sour | Track::Ammonia => report::band(band, track.unit()),
    }
}

/// A chance for people, without false precision.
pub(in crate::command) fn chance(of: f64) -> String {
    report::chance(of)
}

/// An alarm for programs.
pub(in crate::command) fn alarm(
    trouble: Trouble,
    now: f64,
    by_day: &[f64],
    date: &dyn Fn(usize) -> Value,
) -> Value {
    let first = |chance: f64| {
        by_day
            .iter()
            .position(|c| *c >= chance)
            .map(|day| json!({ "day": day, "date": date(day) }))
    };
    json!({
        "trouble": trouble.name(),
        "title": trouble.title(),
        "bad": trouble.is_bad(),
        "chance_now": now,
        "chance_in_all": by_day.iter().copied().fold(0.0, f64::max),
        "first_10_percent": first(0.1),
        "first_50_percent": first(0.5),
        "chance_by_day": by_day,
    })
}
