//! The figures followed, in words and in the keeper's units.

use crate::report::{self, Units};
use engine::estimate::track::Track;
use engine::quantity::Band;

/// How one figure is shown: unit, factor, offset.
#[derive(Debug, Clone, Copy)]
pub(in crate::counter) struct Shown {
    /// Unit; empty for pH, counts.
    pub(in crate::counter) unit: &'static str,
    factor: f64,
    offset: f64,
}

impl Shown {
    const fn times(factor: f64, unit: &'static str) -> Self {
        Self {
            unit,
            factor,
            offset: 0.0,
        }
    }

    /// A value as shown.
    pub(in crate::counter) fn of(self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// A band as shown.
    pub(in crate::counter) fn band(self, band: &Band) -> Band {
        Band {
            median: self.of(band.median),
            low: self.of(band.low),
            high: self.of(band.high),
        }
    }
}

/// Mass of worms over which kilograms or pounds are easier read [kg].
const MANY_WORMS_KG: f64 = 2.0;

/// How a track is shown; `largest` is the largest value to be shown with it,
/// in the track's own unit.
pub(in crate::counter) fn shown(track: Track, units: Units, largest: f64) -> Shown {
    let us = units == Units::Us;
    match track {
        Track::Moisture => Shown::times(1.0, "%"),
        Track::Core | Track::Refuge | Track::Hot | Track::Air if us => Shown {
            unit: "°F",
            factor: 1.8,
            offset: 32.0,
        },
        Track::Core | Track::Refuge | Track::Hot | Track::Air => Shown::times(1.0, "°C"),
        Track::WormKg if largest < MANY_WORMS_KG && !us => Shown::times(1000.0, "g"),
        Track::WormKg if largest < MANY_WORMS_KG => Shown::times(35.273_962, "oz"),
        Track::WormKg | Track::Castings | Track::Contents | Track::Dry if us => {
            Shown::times(1000.0 / engine::measure::GRAMS_PER_POUND, "lb")
        }
        Track::WormKg | Track::Castings | Track::Contents | Track::Dry => Shown::times(1.0, "kg"),
        Track::FoodLeft | Track::CastingsShare | Track::AirFilled => Shown::times(100.0, "%"),
        Track::Salt => Shown::times(1.0, "mS/cm"),
        Track::Sour => Shown::times(1.0, "meq/kg"),
        Track::Ammonia => Shown::times(1.0, "mg/kg"),
        Track::Litres => Shown::times(1.0, "L"),
        Track::Ph | Track::Worms | Track::Cocoons | Track::Urge => Shown::times(1.0, ""),
    }
}

/// Name of a track in a sentence: `worm zone`.
pub(in crate::counter) fn name(track: Track) -> &'static str {
    match track {
        Track::Ph => "pH",
        Track::Moisture => "moisture",
        Track::Core => "warmth in the middle",
        Track::Refuge => "warmth where worms sit",
        Track::Hot => "warmth in the food",
        Track::Air => "air",
        Track::WormKg => "worms by weight",
        Track::Worms => "worms",
        Track::Cocoons => "cocoons",
        Track::FoodLeft => "food left",
        Track::Castings => "castings, dry",
        Track::CastingsShare => "castings made here",
        Track::Salt => "salt",
        Track::Sour => "acids in the food",
        Track::Ammonia => "ammonia",
        Track::AirFilled => "air in the bed",
        Track::Contents => "contents",
        Track::Dry => "dry matter",
        Track::Litres => "volume",
        Track::Urge => "urge to leave",
    }
}

/// One value as written, without its unit.
fn digits(track: Track, value: f64) -> String {
    match track {
        Track::Ph | Track::Salt => report::decimals(value, 1),
        Track::Moisture
        | Track::Core
        | Track::Refuge
        | Track::Hot
        | Track::Air
        | Track::FoodLeft
        | Track::CastingsShare
        | Track::AirFilled => report::decimals(value, 0),
        Track::Ammonia => report::readable(value),
        _ if value.abs() < 0.05 => "0".to_owned(),
        _ => report::significant(value, 2),
    }
}

/// A band in words: `18 °C (16 to 20)`.
pub(in crate::counter) fn words(track: Track, band: &Band, units: Units) -> String {
    let how = shown(track, units, band.high);
    let b = how.band(band);
    if ![b.median, b.low, b.high].iter().all(|v| v.is_finite()) {
        return report::NOT_KNOWN.to_owned();
    }
    if how.unit == "%" && (b.low > 99.5 || b.low >= 0.0 && b.high < 0.5) {
        return report::percent_band(&b);
    }
    let in_wholes = matches!(how.unit, "%" | "°C" | "°F");
    let d = |v: f64| {
        if in_wholes {
            report::decimals(v, report::places(&b))
        } else {
            digits(track, v)
        }
    };
    let unit = if how.unit.is_empty() {
        String::new()
    } else {
        format!("\u{a0}{}", how.unit)
    };
    if track == Track::Ammonia && report::says_nothing(&b) {
        return format!("{}{unit}", d(b.high));
    }
    format!("{}{unit} ({} to {})", d(b.median), d(b.low), d(b.high))
}
