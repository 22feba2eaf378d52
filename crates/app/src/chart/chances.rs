//! The chance of one trouble, rising through time: a small strip.

use super::ink::{Anchor, Sheet, TEXT, n, text_width, through};
use super::plane::Scale;
use super::{Size, Svg};
use crate::report;
use jiff::civil::Date;
use std::fmt::Write;

/// The chance that it has come by a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChancePoint {
    /// Days since the start of the strip.
    pub day: f64,
    /// Chance that it has come by then [0 to 1].
    pub share: f64,
}

/// One trouble, or one hope: what, and how likely by when.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// What may come: `Too hot for worms`.
    pub what: String,
    /// Day 0: the day the outlook starts.
    pub start: Date,
    /// Last day of the outlook.
    pub days: f64,
    /// The chance by day.
    pub points: Vec<ChancePoint>,
}

/// Chances named when they are reached.
const NAMED: [(f64, &str); 2] = [(0.1, "1 in 10"), (0.5, "even chance")];

/// The points that can be drawn, by day.
fn usable(chance: &Chance) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = chance
        .points
        .iter()
        .filter(|p| p.day.is_finite() && p.share.is_finite())
        .filter(|p| p.day >= 0.0 && p.day <= last_day(chance))
        .map(|p| (p.day, p.share.clamp(0.0, 1.0)))
        .collect();
    kept.sort_by(|a, b| a.0.total_cmp(&b.0));
    kept
}

fn last_day(chance: &Chance) -> f64 {
    if chance.days.is_finite() {
        chance.days.clamp(1.0, 36_525.0)
    } else {
        14.0
    }
}

fn on(chance: &Chance, day: f64) -> String {
    let days = jiff::Span::new().try_days(day.floor() as i64);
    let date = days.and_then(|d| chance.start.checked_add(d));
    date.map_or_else(|_| "far off".to_owned(), report::day_month)
}

/// Days on which the named chances are first reached.
fn reached(points: &[(f64, f64)]) -> Vec<(f64, &'static str)> {
    let first = |share: f64| points.iter().find(|p| p.1 >= share).map(|p| p.0);
    NAMED
        .iter()
        .filter_map(|(share, words)| first(*share).map(|day| (day, *words)))
        .collect()
}

/// `62 %`, `under 1 %`, `over 99 %`: a chance is never shown as none or sure
/// because of rounding.
#[must_use]
pub fn chance_words(share: f64) -> String {
    if !share.is_finite() {
        return report::NOT_KNOWN.to_owned();
    }
    report::chance(share)
}

/// A strip from today to the end of the outlook: as high as the chance.
#[must_use]
pub fn chance_strip(chance: &Chance, size: Size) -> Svg {
    let points = usable(chance);
    let (top, base) = (8.0, 44.0);
    let mut sheet = Sheet::new(size.width(), 64.0);
    // Bold letters are wider.
    let right = size.width() - 1.2 * text_width("under 1 %", TEXT) - 10.0;
    let x = Scale::new(0.0, last_day(chance), 1.0, 4.0, right);
    let y = |share: f64| base - (base - top) * share;
    for (share, strong) in [(1.0, "0.25"), (0.5, "0.25")] {
        let d = format!("M4 {}H{}", n(y(share)), n(right));
        let more = format!(r#"stroke-opacity="{strong}" stroke-dasharray="1 3""#);
        sheet.stroke("rule", &d, 1.0, &more);
    }
    let line: Vec<(f64, f64)> = points.iter().map(|(d, s)| (x.at(*d), y(*s))).collect();
    if let (Some(first), Some(last)) = (line.first(), line.last()) {
        let (from, to) = (n(first.0), n(last.0));
        let area = format!("{}L{to} {}L{from} {}Z", through(&line), n(base), n(base));
        sheet.fill("chance", &area, 0.25);
        sheet.stroke("chance-edge", &through(&line), 2.0, "");
        let share = points.last().map_or(0.0, |p| p.1);
        let at = (right + 6.0, f64::midpoint(top, base) + 4.0);
        sheet.text("strong", at, Anchor::Start, &chance_words(share));
    } else {
        sheet.text("note", (8.0, 30.0), Anchor::Start, "not known");
    }
    sheet.line("axis", (4.0, base), (right, base), "");
    draw_dates(&mut sheet, chance, &points, &x, base);
    let id = format!("{}-{}", chance.id, size.word());
    let title = format!("{}: chance by day", chance.what);
    sheet.finish(&id, "chart chances", &title, &in_words(chance, &points))
}

/// First and last day, and the day of the highest named chance between them.
fn draw_dates(sheet: &mut Sheet, chance: &Chance, points: &[(f64, f64)], x: &Scale, base: f64) {
    let below = base + 15.0;
    let (left, right) = (x.at(0.0), x.at(last_day(chance)));
    let end = on(chance, last_day(chance));
    sheet.text("tick", (left, below), Anchor::Start, "today");
    sheet.text("tick", (right, below), Anchor::End, &end);
    let mut free = left + text_width("today", TEXT) + 8.0;
    let until = right - text_width(&end, TEXT) - 8.0;
    for (day, words) in reached(points) {
        let at = x.at(day);
        let words = format!("{words} by {}", on(chance, day));
        let half = text_width(&words, TEXT) / 2.0;
        let middle = at.max(free + half).min(until - half);
        if middle - half >= free - 1e-9 && (middle - at).abs() <= half {
            let d = format!("M{} {}v8", n(at), n(base - 4.0));
            sheet.stroke("axis", &d, 1.5, "");
            sheet.text("tick", (middle, below), Anchor::Middle, &words);
            free = middle + half + 10.0;
        }
    }
}

fn in_words(chance: &Chance, points: &[(f64, f64)]) -> String {
    let Some((day, share)) = points.last() else {
        return "The chance is not known.".to_owned();
    };
    let mut words = format!("{} by {}.", chance_words(*share), on(chance, *day));
    for (day, name) in reached(points) {
        let _ = write!(words, " {name} by {}.", on(chance, day));
    }
    words
}
