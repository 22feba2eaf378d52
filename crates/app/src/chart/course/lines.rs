//! The main line with its range, the further lines, the limits, the readings.

use super::clean::{Clean, inside};
use super::{CourseLimit, CoursePoint, Trouble};
use crate::chart::ReadingKind;
use crate::chart::ink::{Anchor, Sheet, TEXT, between, fitted, n, text_width, through};
use crate::chart::ph::draw_mark;
use crate::chart::plane::Plane;
use std::fmt::Write;

/// Line to come.
pub(super) const TO_COME: &str = r#"stroke-dasharray="6 4""#;
/// Patterns of the further lines.
pub(super) const PATTERNS: [&str; 3] = [
    r#"stroke-dasharray="0.1 5" stroke-linecap="round""#,
    r#"stroke-dasharray="11 3 2 3""#,
    r#"stroke-dasharray="2.5 2.5""#,
];
/// Widths of the further lines [px].
pub(super) const WIDTHS: [f64; 3] = [3.0, 1.75, 1.5];
/// Pattern of a limit.
pub(super) const LIMIT: &str = r#"stroke-dasharray="1.5 3.5""#;
/// Least distance of two names at the ends of lines [px].
const APART: f64 = 14.0;

fn along(plane: &Plane, path: &[CoursePoint], f: fn(&CoursePoint) -> f64) -> Vec<(f64, f64)> {
    path.iter().map(|p| plane.point(p.day, f(p))).collect()
}

/// Range and middle line: up to now, and from now on.
pub(super) fn draw_band(sheet: &mut Sheet, plane: &Plane, clean: &Clean<'_>) {
    let (past, future) = clean.halves();
    draw_half(sheet, plane, &past, ("past", 0.13, 4.0, ""));
    draw_half(sheet, plane, &future, ("to-come", 0.06, 9.0, TO_COME));
}

fn draw_half(
    sheet: &mut Sheet,
    plane: &Plane,
    path: &[CoursePoint],
    (class, tint, gap, dashes): (&str, f64, f64, &str),
) {
    let (low, high) = (
        along(plane, path, |p| p.low),
        along(plane, path, |p| p.high),
    );
    sheet.fill(&format!("band {class}"), &between(&high, &low), tint);
    let hairs = hairlines(plane, path, gap);
    sheet.stroke("hair", &hairs, 0.75, r#"stroke-opacity="0.3""#);
    let faint = r#"stroke-opacity="0.5""#;
    sheet.stroke("band-edge", &through(&low), 0.75, faint);
    sheet.stroke("band-edge", &through(&high), 0.75, faint);
    let middle = along(plane, path, |p| p.median);
    if let [(x, y)] = middle[..] {
        // A single day is a point with its range.
        let (bottom, top) = (low[0].1, high[0].1);
        let d = format!(
            "M{} {}V{}M{} {}h10",
            n(x),
            n(bottom),
            n(top),
            n(x - 5.0),
            n(y)
        );
        sheet.stroke("median", &d, 2.25, "");
        return;
    }
    sheet.stroke(&format!("median {class}"), &through(&middle), 2.25, dashes);
}

/// Upright hairlines across the range, on a grid fixed to the sheet.
fn hairlines(plane: &Plane, path: &[CoursePoint], gap: f64) -> String {
    let (Some(first), Some(last)) = (path.first(), path.last()) else {
        return String::new();
    };
    let (from, to) = (plane.x.at(first.day), plane.x.at(last.day));
    let days = (last.day - first.day) / (to - from).max(1e-9);
    let mut d = String::new();
    let mut x = (from / gap).ceil() * gap;
    while x < to {
        if let Some(p) = inside(path, first.day + (x - from) * days) {
            let (low, high) = (plane.y.at(p.low), plane.y.at(p.high));
            if low - high > 1.0 {
                let _ = write!(d, "M{} {}V{}", n(x), n(low), n(high));
            }
        }
        x += gap;
    }
    d
}

/// The further lines, and the names at the ends of all lines.
pub(super) fn draw_extra(sheet: &mut Sheet, plane: &Plane, clean: &Clean<'_>) {
    for (i, (_, path)) in clean.drawn_extra.iter().enumerate() {
        if path.iter().any(|p| p.high > p.low) {
            let edge = r#"stroke-dasharray="1 3" stroke-opacity="0.7""#;
            sheet.stroke("edge", &through(&along(plane, path, |p| p.low)), 0.9, edge);
            sheet.stroke("edge", &through(&along(plane, path, |p| p.high)), 0.9, edge);
        }
        let middle = through(&along(plane, path, |p| p.median));
        sheet.stroke(&format!("extra extra-{i}"), &middle, WIDTHS[i], PATTERNS[i]);
    }
    if !clean.drawn_extra.is_empty() {
        draw_names(sheet, plane, clean);
    }
}

/// Names beside the ends of the lines, moved apart where they would meet.
fn draw_names(sheet: &mut Sheet, plane: &Plane, clean: &Clean<'_>) {
    let main = (clean.course.name.as_str(), &clean.drawn);
    let extra = clean.drawn_extra.iter().map(|(name, path)| (*name, path));
    let mut ends: Vec<(f64, f64, f64, &str)> = std::iter::once(main)
        .chain(extra)
        .filter(|(name, _)| !name.is_empty())
        .filter_map(|(name, path)| path.last().map(|p| (name, p)))
        .map(|(name, p)| {
            let (x, y) = plane.point(p.day, p.median);
            (y, x, y, name)
        })
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    for i in 1..ends.len() {
        ends[i].0 = ends[i].0.max(ends[i - 1].0 + APART);
    }
    let over = ends
        .last()
        .map_or(0.0, |e| (e.0 - plane.bottom + 2.0).max(0.0));
    let room = sheet.width - plane.right - 8.0;
    let mut floor = f64::INFINITY;
    for (i, end) in ends.iter_mut().enumerate().rev() {
        if over > 0.0 || i > 0 {
            end.0 = end.0.min(floor - APART).min(plane.bottom - 2.0);
        }
        floor = end.0;
    }
    for (y, x, line_y, name) in ends {
        let leader = format!("M{} {}L{} {}", n(x), n(line_y), n(plane.right + 5.0), n(y));
        sheet.stroke("leader", &leader, 0.75, r#"stroke-opacity="0.6""#);
        let at = (plane.right + 7.0, y + 4.0);
        // The key has it whole; beside the line its first words are enough.
        let short = name.split(',').next().unwrap_or(name);
        sheet.text_in("tick", at, Anchor::Start, short, room);
    }
}

/// A limit, and where its words stand.
pub(super) struct Placed<'a> {
    pub(super) limit: &'a CourseLimit,
    /// Height of its line [px]; nothing when it lies off the chart.
    y: Option<f64>,
    /// Place and text of its words on the line; nothing when they stand below.
    words: Option<((f64, f64), Anchor, String)>,
}

impl Placed<'_> {
    /// Words for the list below the chart, when they are not on the line.
    pub(super) fn below(&self) -> Option<String> {
        if self.words.is_some() {
            return None;
        }
        let off = if self.y.is_some() {
            ""
        } else {
            ", off the chart"
        };
        Some(format!("{}{off}", self.limit.words))
    }
}

/// Where the words of each limit stand: on its line when they are clear of
/// the range, of the other limits and of the frame; else below the chart.
pub(super) fn place_limits<'a>(clean: &Clean<'a>, plane: &Plane) -> Vec<Placed<'a>> {
    let mut placed: Vec<Placed<'a>> = Vec::new();
    for limit in &clean.limits {
        let inside = limit.value >= plane.y.low && limit.value <= plane.y.high;
        let y = inside.then(|| plane.y.at(limit.value));
        let taken: Vec<f64> = placed
            .iter()
            .filter_map(|o| o.words.as_ref().map(|w| w.0.1))
            .collect();
        let words = y.and_then(|y| on_line(clean, plane, limit, y, &taken));
        placed.push(Placed { limit, y, words });
    }
    placed
}

fn on_line(
    clean: &Clean<'_>,
    plane: &Plane,
    limit: &CourseLimit,
    y: f64,
    taken: &[f64],
) -> Option<((f64, f64), Anchor, String)> {
    let wide = text_width(&limit.words, TEXT);
    if clean.is_empty() || wide > plane.right - plane.left - 16.0 {
        return None;
    }
    // On the safe side of the line when the data are on the other.
    let above = limit.trouble == Trouble::Above;
    let rows = if above {
        [y - 5.0, y + 13.0]
    } else {
        [y + 13.0, y - 5.0]
    };
    for base in rows {
        let crossed = clean.limits.iter().any(|o| {
            let line = plane.y.at(o.value);
            o.value != limit.value && line > base - TEXT && line < base + 4.0
        });
        let met = taken.iter().any(|t| (t - base).abs() < TEXT + 3.0);
        if crossed || met || base - TEXT < plane.top || base + 4.0 > plane.bottom {
            continue;
        }
        let left = (plane.left + 6.0, base);
        if is_clear(clean, plane, left.0, wide, base) {
            return Some((left, Anchor::Start, limit.words.clone()));
        }
        let right = (plane.right - 4.0, base);
        if is_clear(clean, plane, right.0 - wide, wide, base) {
            return Some((right, Anchor::End, limit.words.clone()));
        }
    }
    None
}

/// No line, range or reading passes through a text's place.
fn is_clear(clean: &Clean<'_>, plane: &Plane, left: f64, wide: f64, base: f64) -> bool {
    let (top, bottom) = (base - TEXT - 1.0, base + 4.0);
    let across = |x: f64| x >= left - 6.0 && x <= left + wide + 6.0;
    let hit = |low: f64, high: f64| plane.y.at(low) >= top && plane.y.at(high) <= bottom;
    let crossed = |path: &[CoursePoint]| {
        let points = path
            .iter()
            .any(|p| across(plane.x.at(p.day)) && hit(p.low, p.high));
        let steps = (0..=24).any(|i| {
            let x = left + wide * f64::from(i) / 24.0;
            let day = plane.x.low
                + (x - plane.left) / (plane.right - plane.left) * (plane.x.high - plane.x.low);
            inside(path, day).is_some_and(|p| hit(p.low, p.high))
        });
        points || steps
    };
    let read = clean
        .readings
        .iter()
        .any(|r| across(plane.x.at(r.day)) && hit(r.low, r.high));
    let now = clean.now.is_some_and(|d| across(plane.x.at(d)));
    !now && !read && !crossed(&clean.drawn) && !clean.drawn_extra.iter().any(|(_, p)| crossed(p))
}

/// The lines of the limits.
pub(super) fn draw_limits(sheet: &mut Sheet, plane: &Plane, limits: &[Placed<'_>]) {
    for y in limits.iter().filter_map(|l| l.y) {
        let d = format!("M{} {}H{}", n(plane.left), n(y), n(plane.right));
        sheet.stroke("limit", &d, 1.75, LIMIT);
    }
}

/// Their words, over everything else.
pub(super) fn draw_limit_words(sheet: &mut Sheet, limits: &[Placed<'_>]) {
    for (at, anchor, words) in limits.iter().filter_map(|l| l.words.as_ref()) {
        let words = fitted(words, sheet.width, TEXT);
        sheet.text("on-lines", *at, *anchor, &words);
    }
}

/// Readings with their error bars.
pub(super) fn draw_readings(sheet: &mut Sheet, plane: &Plane, clean: &Clean<'_>) {
    for r in &clean.readings {
        let (x, y) = plane.point(r.day, r.value);
        let low = plane.y.at(r.low.min(r.value));
        let high = plane.y.at(r.high.max(r.value));
        let bar = format!(
            "M{x} {l}V{h}M{a} {l}h6M{a} {h}h6",
            x = n(x),
            l = n(low),
            h = n(high),
            a = n(x - 3.0)
        );
        let more = match r.kind {
            ReadingKind::Settled => "",
            _ => r#"stroke-opacity="0.5""#,
        };
        if low - high > 2.0 {
            sheet.stroke("error-bar", &bar, 1.25, more);
        }
        draw_mark(sheet, r.kind, x, y);
    }
}
