//! The story of a chart in words, for those who cannot see it.

use super::clean::{Clean, inside};
use super::dates::day_words;
use super::marks::{counted, kinds, notes};
use super::{CourseLimit, CoursePoint, Trouble};
use crate::report;
use std::fmt::Write;

/// Readings told, counted from the last.
const TOLD: usize = 8;

/// A value with two figures, three from a hundred up.
pub(super) fn figure(value: f64) -> String {
    report::significant(value, if value.abs() >= 100.0 { 3 } else { 2 })
}

/// From when to when, now, at the end, extremes, limits, lines, readings and
/// what was done.
pub(super) fn in_words(clean: &Clean<'_>) -> String {
    let start = clean.course.start;
    let (Some(first), Some(last)) = (clean.band.first(), clean.band.last()) else {
        return format!("There is no estimate to draw yet.{}", rest(clean));
    };
    let unit = unit(clean);
    let say = |p: &CoursePoint| {
        format!(
            "{}{unit} ({} to {})",
            figure(p.median),
            figure(p.low),
            figure(p.high)
        )
    };
    let on = |day: f64| day_words(start, day);
    let mut words = format!("From {} to {}.", on(first.day), on(last.day));
    let now = clean.now.and_then(|now| inside(&clean.band, now));
    if let Some(now) = &now {
        let _ = write!(words, " Now, on {}: {}.", on(now.day), say(now));
    } else {
        let _ = write!(words, " On {}: {}.", on(first.day), say(first));
    }
    if last.day > first.day {
        let _ = write!(words, " On {}: {}.", on(last.day), say(last));
    }
    words.push_str(&extremes(clean, now.map(|p| p.day)));
    for limit in &clean.limits {
        let _ = write!(words, " {}", crossing(clean, limit, now.map(|p| p.day)));
    }
    words.push_str(&rest(clean));
    words
}

fn unit(clean: &Clean<'_>) -> String {
    let unit = &clean.course.unit;
    let gap = if unit.is_empty() { "" } else { " " };
    format!("{gap}{unit}")
}

/// Lowest and highest of the middle line, from now on when there is a now.
fn extremes(clean: &Clean<'_>, now: Option<f64>) -> String {
    let from = now.unwrap_or(f64::NEG_INFINITY);
    let rest = || clean.band.iter().filter(|p| p.day >= from);
    let by_value = |a: &&CoursePoint, b: &&CoursePoint| a.median.total_cmp(&b.median);
    let (Some(low), Some(high)) = (rest().min_by(by_value), rest().max_by(by_value)) else {
        return String::new();
    };
    let start = clean.course.start;
    let when = if now.is_some() { " from now on" } else { "" };
    if figure(low.median) == figure(high.median) {
        return format!(
            " The middle value stays at {}{}{when}.",
            figure(low.median),
            unit(clean)
        );
    }
    format!(
        " The middle value{when} is lowest on {} at {} and highest on {} at {}.",
        day_words(start, low.day),
        figure(low.median),
        day_words(start, high.day),
        figure(high.median)
    )
}

/// When a limit is crossed: by the middle line, or by the end of the range.
fn crossing(clean: &Clean<'_>, limit: &CourseLimit, now: Option<f64>) -> String {
    let beyond = |v: f64| match limit.trouble {
        Trouble::Above => v > limit.value,
        Trouble::Below => v < limit.value,
    };
    let from = now.unwrap_or(f64::NEG_INFINITY);
    let first = |value: fn(&CoursePoint) -> f64| {
        let after = clean.band.iter().filter(|p| p.day >= from);
        after.clone().find(|p| beyond(value(p))).map(|p| p.day)
    };
    let edge: fn(&CoursePoint) -> f64 = match limit.trouble {
        Trouble::Above => |p| p.high,
        Trouble::Below => |p| p.low,
    };
    let on = |day: f64| day_words(clean.course.start, day);
    let said = match (first(|p| p.median), first(edge)) {
        (Some(middle), _) if clean.band.first().is_some_and(|p| p.day >= middle) => {
            "crossed from the first day shown".to_owned()
        }
        (Some(middle), _) if now.is_some_and(|n| middle - n < 1.0) => {
            "crossed now by the middle value".to_owned()
        }
        (Some(middle), _) => format!("crossed by the middle value on {}", on(middle)),
        (None, Some(end)) if now.is_some_and(|n| end - n < 1.0) => {
            "within the range already, not crossed by the middle value".to_owned()
        }
        (None, Some(end)) => format!(
            "within the range from {}, not crossed by the middle value",
            on(end)
        ),
        (None, None) => "not reached".to_owned(),
    };
    format!("Limit, {}: {said}.", limit.words)
}

/// Further lines, readings, what was done.
fn rest(clean: &Clean<'_>) -> String {
    let start = clean.course.start;
    let mut words = String::new();
    for (name, path) in &clean.extra {
        if let Some(end) = path.last() {
            let (day, value) = (day_words(start, end.day), figure(end.median));
            let _ = write!(words, " Line {name}: {value}{} on {day}.", unit(clean));
        }
    }
    let earlier = clean.readings.len().saturating_sub(TOLD);
    for r in &clean.readings[earlier..] {
        let how = if r.what.is_empty() {
            r.kind.words()
        } else {
            &r.what
        };
        let (day, value) = (day_words(start, r.day), figure(r.value));
        let _ = write!(words, " Read on {day}: {value}{} ({how}).", unit(clean));
    }
    if earlier > 0 {
        let _ = write!(
            words,
            " {} before that.",
            report::count(earlier, "reading", "readings")
        );
    }
    for kind in kinds(&clean.marks) {
        let _ = write!(words, " {}.", sentence(&counted(clean, kind)));
    }
    for note in notes(clean) {
        let _ = write!(words, " {note}.");
    }
    words
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
