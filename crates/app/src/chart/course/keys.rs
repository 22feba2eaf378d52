//! What the lines and shapes of a chart mean, listed below it.

use super::MarkKind;
use super::clean::Clean;
use super::lines::{LIMIT, PATTERNS, Placed, TO_COME, WIDTHS};
use super::marks::{counted, kinds, shape};
use crate::chart::ReadingKind;
use crate::chart::ink::{Anchor, Sheet, TEXT, n, text_width};
use crate::chart::ph::draw_mark;

/// Height of a row [px].
pub(super) const ROW: f64 = 18.0;

#[derive(Clone, Copy)]
pub(super) enum Key {
    Past,
    ToCome,
    Limit,
    /// A further line, by its place.
    Line(usize),
    Read(ReadingKind),
    Mark(MarkKind),
    /// Goes on from the key before.
    More,
}

/// What is on the chart.
pub(super) fn keys(clean: &Clean<'_>, limits: &[Placed<'_>], width: f64) -> Vec<(Key, String)> {
    let mut keys = Vec::new();
    let now = clean.now.unwrap_or(f64::INFINITY);
    if clean.band.first().is_some_and(|p| p.day < now) {
        keys.push((Key::Past, range_words(clean)));
    }
    if clean.band.last().is_some_and(|p| p.day > now) {
        keys.push((Key::ToCome, "to come".to_owned()));
    }
    let lines = clean.drawn_extra.iter().enumerate();
    keys.extend(lines.map(|(i, (name, _))| (Key::Line(i), (*name).to_owned())));
    for kind in [
        ReadingKind::Settled,
        ReadingKind::Local,
        ReadingKind::Doubtful,
    ] {
        if clean.readings.iter().any(|r| r.kind == kind) {
            keys.push((Key::Read(kind), kind.words().to_owned()));
        }
    }
    let off = limits.iter().filter_map(Placed::below);
    for words in off {
        let (first, more) = in_two(&words, width - 40.0);
        keys.push((Key::Limit, first));
        keys.extend(more.map(|words| (Key::More, words)));
    }
    let done = kinds(&clean.marks).into_iter();
    keys.extend(done.map(|kind| (Key::Mark(kind), counted(clean, kind))));
    keys
}

/// What the main line and its range are: by its name where there are others.
fn range_words(clean: &Clean<'_>) -> String {
    let name = clean.course.name.as_str();
    if name.is_empty() || clean.drawn_extra.is_empty() {
        "middle value and 80 % range".to_owned()
    } else {
        format!("{name}, with 80 % range")
    }
}

/// Words that do not fit on one line, on two.
fn in_two(words: &str, room: f64) -> (String, Option<String>) {
    let fits = |text: &str| text_width(text, TEXT) <= room;
    if fits(words) {
        return (words.to_owned(), None);
    }
    let mut breaks = words.match_indices(' ').map(|(at, _)| at);
    match breaks.rfind(|at| fits(&words[..*at])) {
        Some(at) => (words[..at].to_owned(), Some(words[at + 1..].to_owned())),
        None => (words.to_owned(), None),
    }
}

/// A key, its left edge and its words.
pub(super) type Placement<'a> = (Key, f64, &'a str);

/// The keys in rows that fit.
pub(super) fn rows(keys: &[(Key, String)], width: f64) -> Vec<Vec<Placement<'_>>> {
    let mut rows: Vec<Vec<Placement<'_>>> = Vec::new();
    let mut x = f64::INFINITY;
    for (key, words) in keys {
        let wide = lead(*key) + text_width(words, TEXT) + 14.0;
        if x + wide > width || matches!(key, Key::More) {
            rows.push(Vec::new());
            x = 4.0;
        }
        if let Some(row) = rows.last_mut() {
            row.push((*key, x, words));
        }
        x += wide;
    }
    rows
}

/// Room for the shape itself [px].
fn lead(key: Key) -> f64 {
    match key {
        Key::Past | Key::ToCome | Key::Limit | Key::Line(_) | Key::More => 31.0,
        Key::Read(_) | Key::Mark(_) => 18.0,
    }
}

/// Draw the rows; returns the height of the next one.
pub(super) fn draw(sheet: &mut Sheet, rows: &[Vec<Placement<'_>>], top: f64) -> f64 {
    let mut y = top;
    for row in rows {
        for (key, x, words) in row {
            draw_key(sheet, *key, *x, y - 4.0);
            let left = x + lead(*key);
            let room = sheet.width - left - 4.0;
            sheet.text_in("note", (left, y), Anchor::Start, words, room);
        }
        y += ROW;
    }
    y
}

fn draw_key(sheet: &mut Sheet, key: Key, x: f64, y: f64) {
    match key {
        Key::Past => draw_band_key(sheet, x, y, ("past", 0.13, 4, "")),
        Key::ToCome => draw_band_key(sheet, x, y, ("to-come", 0.06, 9, TO_COME)),
        Key::Limit => {
            let d = format!("M{} {}h26", n(x), n(y));
            sheet.stroke("limit", &d, 1.75, LIMIT);
        }
        Key::Line(i) => {
            let d = format!("M{} {}h26", n(x), n(y));
            sheet.stroke(&format!("extra extra-{i}"), &d, WIDTHS[i], PATTERNS[i]);
        }
        Key::Read(kind) => draw_mark(sheet, kind, x + 6.0, y),
        Key::More => {}
        Key::Mark(kind) => shape(sheet, kind, x + 6.0, y),
    }
}

fn draw_band_key(
    sheet: &mut Sheet,
    x: f64,
    y: f64,
    (class, tint, gap, dashes): (&str, f64, usize, &str),
) {
    let patch = format!("M{} {}h26v12h-26Z", n(x), n(y - 6.0));
    sheet.fill(&format!("band {class}"), &patch, tint);
    let hairs: String = (0..=26 / gap)
        .map(|i| format!("M{} {}v12", n(x + (i * gap) as f64), n(y - 6.0)))
        .collect();
    sheet.stroke("hair", &hairs, 0.75, r#"stroke-opacity="0.3""#);
    let d = format!("M{} {}h26", n(x), n(y));
    sheet.stroke(&format!("median {class}"), &d, 2.25, dashes);
}
