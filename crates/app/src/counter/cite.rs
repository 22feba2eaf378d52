//! Numbers with their sources, in words.

use crate::desk::Desk;
use crate::report;
use engine::quantity::Band;
use engine::table::{Number, Status};

/// A band in another unit.
pub(super) fn scaled(band: &Band, by: f64) -> Band {
    let (a, b) = (band.low * by, band.high * by);
    Band {
        median: band.median * by,
        low: a.min(b),
        high: a.max(b),
    }
}

/// How a number came to the tables, in a word.
pub(super) fn status(status: Status) -> &'static str {
    match status {
        Status::Opened => "read in the source",
        Status::Memory => "from memory",
        Status::Estimate => "estimate",
        Status::Derived => "computed",
        Status::Fitted => "fitted",
        Status::Own => "your own",
    }
}

/// Text of the tables as it is read: `at most` for `<=`.
pub(super) fn readable(text: &str) -> String {
    text.replace("<=", "at most ").replace(">=", "at least ")
}

/// A number with its source: `pH 3.8 (3.0 to 4.5): author year (read)`.
pub(super) fn cited(desk: &Desk, what: &str, number: &Number) -> Option<String> {
    let (low, value, high) = number.triple()?;
    let digits = |v: f64| report::significant(v, 2);
    let unit = match number.unit.as_str() {
        "pH" => String::new(),
        "C" => " °C".to_owned(),
        unit => format!(" {unit}"),
    };
    let source = desk
        .tables
        .source(&number.source)
        .map_or_else(|_| number.source.clone(), |s| s.citation.clone());
    let from = if number.status == Status::Own {
        "your own measurement".to_owned()
    } else {
        format!("{source} ({})", status(number.status))
    };
    Some(format!(
        "{what} {}{unit} ({} to {}): {from}",
        digits(value),
        digits(low),
        digits(high)
    ))
}

/// What worms stand, with sources.
pub(super) fn worm_limits(desk: &Desk) -> Vec<String> {
    [
        ("ph_uncomfortable_below", "Worms are uneasy below pH"),
        ("ph_low", "In one trial worms died within a week below pH"),
        ("ammonia_mg_g", "Ammonia worms stand"),
        ("temperature_high_celsius", "Heat worms stand"),
    ]
    .iter()
    .filter_map(|(property, what)| {
        let number = desk.tables.number("tolerances", "worms", property).ok()?;
        cited(desk, what, number)
    })
    .collect()
}
