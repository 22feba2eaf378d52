//! Dates and daily highs and lows as typed.

use crate::counter::around::sentence;
use crate::counter::{parse, words};
use crate::desk::Desk;
use crate::report::Units;
use crate::typed;
use crate::web::widgets::{Control, Field, Kind};
use crate::web::{Fields, SHOWN_IN};
use engine::bounds::Bound;
use engine::estimate::Estimate;
use engine::living::room::Day;
use engine::measure::fahrenheit;
use jiff::civil::Date;

/// Days from today to a date typed; `None` when the field is empty.
pub(super) fn date(desk: &Desk, fields: &Fields, name: &str) -> Result<Option<i64>, String> {
    if !fields.has(name) {
        return Ok(None);
    }
    let text = fields.get(name);
    let day = typed::date(text).ok_or_else(|| {
        format!(
            "`{}` is not a date. Write it as 2026-12-20.",
            parse::short(text)
        )
    })?;
    Ok(Some(from_today(desk, day)))
}

/// Days from today to a date.
fn from_today(desk: &Desk, day: Date) -> i64 {
    day.duration_since(words::today(desk)).as_hours() / 24
}

/// A moment so many days from now in words: `Fri 27 Nov`.
pub(super) fn on(desk: &Desk, now: i64, days: f64) -> String {
    let at = now + (days * 86_400.0) as i64;
    crate::report::date(words::day(desk, at), words::today(desk))
}

/// As [`on`], with its distance: `Fri 27 Nov (in 3 days)`.
pub(super) fn on_and_distance(desk: &Desk, now: i64, days: f64) -> String {
    words::day_words(desk, now + (days * 86_400.0) as i64)
}

/// Degrees in these units.
pub(super) fn degrees(units: Units) -> &'static str {
    match units {
        Units::Metric => "°C",
        Units::Us => "°F",
    }
}

/// A temperature typed in these units [°C]; `None` when empty.
pub(super) fn celsius(
    read_in: Units,
    fields: &Fields,
    name: &str,
    bound: &Bound,
) -> Result<Option<f64>, String> {
    if !fields.has(name) {
        return Ok(None);
    }
    let typed = parse::number(fields.get(name))?;
    let us = read_in == Units::Us;
    let held = if us { (typed - 32.0) / 1.8 } else { typed };
    if us {
        let f = |c: f64| crate::report::decimals(fahrenheit(c), 0);
        bound.check(held).map(Some).map_err(|_| {
            format!(
                "{} {typed} °F is outside the allowed range {} to {} °F.",
                bound.name,
                f(bound.low),
                f(bound.high)
            )
        })
    } else {
        bound.check(held).map(Some).map_err(|e| sentence(&e))
    }
}

/// Highs and lows from today on, as [`Desk::spell`].
pub(super) fn spell(
    desk: &Desk,
    e: &Estimate,
    text: &str,
    read_in: Units,
) -> Result<Vec<Day>, String> {
    desk.spell(e, text, read_in).map_err(|e| sentence(&e))
}

/// Says in which units a question was asked.
pub(super) fn asked_in(units: Units) -> Control {
    Control::Field(Field::new(Kind::Hidden, SHOWN_IN, "").value(units.word()))
}
