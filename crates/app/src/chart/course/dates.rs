//! The dated axis: few dates, never one over another.

use crate::chart::ink::{Anchor, Sheet, TEXT, n, text_width};
use crate::chart::plane::Plane;
use crate::report;
use jiff::civil::Date;

/// Clear space between two dates [px].
const CLEAR: f64 = 10.0;
/// Beyond this many days the axis counts in months.
const MONTHS_FROM: f64 = 100.0;

/// The date of a day; nothing beyond the calendar.
pub(super) fn date_of(start: Date, day: f64) -> Option<Date> {
    let days = jiff::Span::new().try_days(day.floor() as i64).ok()?;
    start.checked_add(days).ok()
}

/// `3 Nov`, with the year when it is not the year of the start.
pub(super) fn day_words(start: Date, day: f64) -> String {
    match date_of(start, day) {
        Some(date) if date.year() == start.year() => report::day_month(date),
        Some(date) => format!("{} {}", report::day_month(date), date.year()),
        None => "far off".to_owned(),
    }
}

/// Axis line, ticks, dates.
pub(super) fn draw(sheet: &mut Sheet, plane: &Plane, start: Date, y: f64) {
    let (left, right) = ((plane.left, plane.bottom), (plane.right, plane.bottom));
    sheet.line("axis", left, right, "");
    let ticks = if plane.x.high - plane.x.low > MONTHS_FROM {
        by_month(plane, start)
    } else {
        by_day(plane, start)
    };
    for (day, words) in ticks {
        let x = plane.x.at(day);
        let d = format!("M{} {}V{}", n(x), n(plane.bottom), n(y - 12.0));
        sheet.stroke("axis", &d, 1.0, r#"stroke-opacity="0.45""#);
        sheet.text("tick", (x, y), Anchor::Middle, &words);
    }
}

/// Days a round number apart, or hours of the day when there is room.
fn by_day(plane: &Plane, start: Date) -> Vec<(f64, String)> {
    let pixels = (plane.right - plane.left) / (plane.x.high - plane.x.low);
    let room = text_width("30 Nov", TEXT) + CLEAR;
    let step = [0.25, 0.5, 1.0, 2.0, 3.0, 7.0, 14.0, 28.0]
        .into_iter()
        .find(|s| s * pixels >= room)
        .unwrap_or(56.0);
    let mut day = (plane.x.low / step).ceil() * step;
    let mut ticks = Vec::new();
    while day <= plane.x.high + 1e-9 {
        if let Some(date) = date_of(start, day) {
            let hour = (day.rem_euclid(1.0) * 24.0).round();
            let words = if hour > 0.0 {
                format!("{hour:02}:00")
            } else {
                report::day_month(date)
            };
            ticks.push((day, words));
        }
        day += step;
    }
    ticks
}

/// The first of months, a round number of months apart; January with its year.
fn by_month(plane: &Plane, start: Date) -> Vec<(f64, String)> {
    let pixels = (plane.right - plane.left) / (plane.x.high - plane.x.low) * 30.4;
    // Only January carries its year, so that its neighbours are short.
    let (long, short) = (text_width("Jan 2026", TEXT), text_width("Oct", TEXT));
    let room = |step: i32| {
        CLEAR
            + if step < 12 {
                f64::midpoint(long, short)
            } else {
                long
            }
    };
    let step = [1_i32, 2, 3, 6, 12, 24, 60, 120, 240, 480]
        .into_iter()
        .find(|s| f64::from(*s) * pixels >= room(*s))
        .unwrap_or(1200);
    let Some(first) = date_of(start, plane.x.low) else {
        return Vec::new();
    };
    let from = i32::from(first.year()) * 12 + i32::from(first.month()) - 1;
    let mut month = (from + step - 1).div_euclid(step) * step;
    let mut ticks = Vec::new();
    while let Some(date) = first_of(month) {
        let day = date.duration_since(start).as_hours() as f64 / 24.0;
        if day > plane.x.high {
            break;
        }
        if day >= plane.x.low {
            let name = report::day_month(date);
            let name = name.trim_start_matches("1 ");
            let words = if date.month() == 1 {
                format!("{name} {}", date.year())
            } else {
                name.to_owned()
            };
            ticks.push((day, words));
        }
        month += step;
    }
    ticks
}

/// The first day of a month counted from year 0.
fn first_of(month: i32) -> Option<Date> {
    let year = i16::try_from(month.div_euclid(12)).ok()?;
    let month = i8::try_from(month.rem_euclid(12) + 1).ok()?;
    Date::new(year, month, 1).ok()
}
