//! pH over time: what was read, what was given, and what the bed is thought
//! to be, with its interval, up to now and beyond.

use super::ink::{Anchor, Sheet, TEXT, between, n, text_width, through};
use super::levels::{self, PhLevels};
use super::plane::{Plane, extent, round_step};
use super::{Size, Svg};
use crate::report;
use jiff::civil::Date;
use std::fmt::Write;

/// What a reading is worth. Each kind has its own shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingKind {
    /// Of the bulk: a filled circle.
    Settled,
    /// Within a day of a dose or watering: a hollow diamond.
    Local,
    /// Unlikely, kept on the keeper's word: a cross.
    Doubtful,
}

impl ReadingKind {
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Settled => "settled reading",
            Self::Local => "just after a dose",
            Self::Doubtful => "doubtful",
        }
    }
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhReading {
    /// Days since the start of the chart.
    pub day: f64,
    /// pH read (mean of the spots).
    pub ph: f64,
    /// Lower end of its 80 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What it is worth.
    pub kind: ReadingKind,
}

/// One dose.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseMark {
    /// Days since the start of the chart.
    pub day: f64,
    /// Amount and material, as shown: `40 g limestone`.
    pub label: String,
}

/// The estimate on one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PathPoint {
    /// Days since the start of the chart.
    pub day: f64,
    /// Middle pH.
    pub median: f64,
    /// 10th percentile.
    pub low: f64,
    /// 90th percentile.
    pub high: f64,
}

/// A second path: what would happen instead.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIf {
    /// Its name: `with 80 g limestone`.
    pub label: String,
    /// Its days.
    pub path: Vec<PathPoint>,
}

/// pH of one bin over time.
#[derive(Debug, Clone, PartialEq)]
pub struct PhChart {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// The bin.
    pub bin: String,
    /// Day 0.
    pub start: Date,
    /// Now, in days since the start.
    pub now: f64,
    /// Readings.
    pub readings: Vec<PhReading>,
    /// Doses.
    pub doses: Vec<DoseMark>,
    /// Estimate up to now.
    pub path: Vec<PathPoint>,
    /// Estimate beyond now.
    pub forecast: Vec<PathPoint>,
    /// A second path.
    pub what_if: Option<WhatIf>,
    /// What worms stand, when the tables say.
    pub levels: Option<PhLevels>,
}

/// The chart's data with everything that is not a number left out.
struct Clean<'a> {
    now: f64,
    readings: Vec<PhReading>,
    doses: Vec<&'a DoseMark>,
    path: Vec<PathPoint>,
    forecast: Vec<PathPoint>,
    what_if: Option<(&'a str, Vec<PathPoint>)>,
    levels: Option<PhLevels>,
}

/// Doses listed by name below the axis; earlier ones are counted.
const LISTED: usize = 5;

fn clean_path(path: &[PathPoint]) -> Vec<PathPoint> {
    let mut kept: Vec<PathPoint> = path
        .iter()
        .copied()
        .filter(|p| {
            [p.day, p.median, p.low, p.high]
                .iter()
                .all(|v| v.is_finite())
        })
        .collect();
    kept.sort_by(|a, b| a.day.total_cmp(&b.day));
    kept
}

fn clean(data: &PhChart) -> Clean<'_> {
    let mut doses: Vec<&DoseMark> = data.doses.iter().filter(|d| d.day.is_finite()).collect();
    doses.sort_by(|a, b| a.day.total_cmp(&b.day));
    let whole = |r: &&PhReading| [r.day, r.ph, r.low, r.high].iter().all(|v| v.is_finite());
    Clean {
        now: if data.now.is_finite() { data.now } else { 0.0 },
        readings: data.readings.iter().filter(whole).copied().collect(),
        doses,
        path: clean_path(&data.path),
        forecast: clean_path(&data.forecast),
        what_if: data
            .what_if
            .as_ref()
            .map(|w| (w.label.as_str(), clean_path(&w.path))),
        levels: data.levels.filter(PhLevels::is_finite),
    }
}

impl Clean<'_> {
    fn days(&self) -> (f64, f64) {
        let paths = self.path.iter().chain(&self.forecast);
        let other = self.what_if.iter().flat_map(|w| &w.1);
        let days = paths
            .chain(other)
            .map(|p| p.day)
            .chain(self.readings.iter().map(|r| r.day))
            .chain(self.doses.iter().map(|d| d.day))
            .chain([self.now]);
        let (low, high) = extent(days, (0.0, 1.0));
        (low.floor(), (high + 0.5).ceil())
    }

    fn phs(&self) -> (f64, f64) {
        let paths = self.path.iter().chain(&self.forecast);
        let other = self.what_if.iter().flat_map(|w| &w.1);
        let phs = paths
            .chain(other)
            .flat_map(|p| [p.low, p.median, p.high])
            .chain(self.readings.iter().flat_map(|r| [r.low, r.ph, r.high]))
            .chain(self.levels.iter().flat_map(|l| [l.too_acid, l.best.0]));
        let (low, high) = extent(phs, (4.0, 8.0));
        (
            (low * 2.0 - 0.2).floor() / 2.0,
            (high * 2.0 + 0.2).ceil() / 2.0,
        )
    }
}

/// Draw the chart for one size of screen.
#[must_use]
pub fn ph_chart(data: &PhChart, size: Size) -> Svg {
    let clean = clean(data);
    let bottom = if size == Size::Wide { 270.0 } else { 260.0 };
    let keys = legend(&clean);
    let legend = legend_rows(&keys, size.width());
    let listed = clean.doses.len().min(LISTED) + usize::from(clean.doses.len() > LISTED);
    let below = 42.0 + 18.0 * (legend.len() + listed) as f64;
    let mut sheet = Sheet::new(size.width(), bottom + below);
    let plane = Plane::new(size, bottom, clean.days(), clean.phs(), 2.0);
    if let Some(levels) = &clean.levels {
        levels.draw(&mut sheet, &plane);
    }
    plane.rule_y(&mut sheet, "pH");
    draw_dates(&mut sheet, &plane, data.start, size);
    draw_path(&mut sheet, &plane, &clean.path, "estimate", "");
    draw_path(
        &mut sheet,
        &plane,
        &clean.forecast,
        "forecast",
        r#"stroke-dasharray="6 4""#,
    );
    if let Some((_, path)) = &clean.what_if {
        draw_path(
            &mut sheet,
            &plane,
            path,
            "what-if",
            r#"stroke-dasharray="9 3 2 3""#,
        );
    }
    draw_now(&mut sheet, &plane, clean.now);
    draw_doses(&mut sheet, &plane, &clean.doses);
    for reading in &clean.readings {
        draw_reading(&mut sheet, &plane, reading);
    }
    if clean.readings.is_empty() && clean.path.is_empty() {
        let middle = f64::midpoint(plane.left, plane.right);
        sheet.text(
            "note",
            (middle, plane.top + 60.0),
            Anchor::Middle,
            "no reading yet",
        );
    }
    let mut y = draw_legend(&mut sheet, &legend, bottom + 40.0);
    for line in dose_lines(&clean.doses, data.start) {
        sheet.text("note", (4.0, y), Anchor::Start, &format!("Dose {line}"));
        y += 18.0;
    }
    let id = format!("{}-{}", data.id, size.word());
    let title = format!("pH of {} over time", data.bin);
    sheet.finish(&id, "chart ph", &title, &in_words(&clean, data.start))
}

fn draw_dates(sheet: &mut Sheet, plane: &Plane, start: Date, size: Size) {
    let wanted = if size == Size::Wide { 8.0 } else { 4.0 };
    let span = plane.x.high - plane.x.low;
    let rough = span / wanted;
    let step = [1.0, 2.0, 3.0, 7.0, 14.0, 28.0, 56.0]
        .into_iter()
        .find(|s| *s >= rough)
        .unwrap_or_else(|| round_step(rough).max(1.0));
    sheet.line(
        "axis",
        (plane.left, plane.bottom),
        (plane.right, plane.bottom),
        "",
    );
    let mut day = (plane.x.low / step).ceil() * step;
    while day <= plane.x.high + 1e-9 {
        let x = plane.x.at(day);
        sheet.line("axis", (x, plane.bottom), (x, plane.bottom + 4.0), "");
        if let Some(text) = day_words(start, day) {
            sheet.text("tick", (x, plane.bottom + 17.0), Anchor::Middle, &text);
        }
        day += step;
    }
}

/// `3 Nov`; nothing when the day is beyond the calendar.
pub(super) fn day_words(start: Date, day: f64) -> Option<String> {
    let days = jiff::Span::new().try_days(day.floor() as i64).ok()?;
    start.checked_add(days).ok().map(report::day_month)
}

fn draw_path(sheet: &mut Sheet, plane: &Plane, path: &[PathPoint], class: &str, dashes: &str) {
    let along = |f: fn(&PathPoint) -> f64| -> Vec<(f64, f64)> {
        path.iter().map(|p| plane.point(p.day, f(p))).collect()
    };
    let (low, high) = (along(|p| p.low), along(|p| p.high));
    let opacity = if class == "estimate" { 0.14 } else { 0.07 };
    sheet.fill(&format!("band {class}"), &between(&high, &low), opacity);
    let faint = r#"stroke-opacity="0.45""#;
    sheet.stroke("band-edge", &through(&low), 0.75, faint);
    sheet.stroke("band-edge", &through(&high), 0.75, faint);
    sheet.stroke(class, &through(&along(|p| p.median)), 2.25, dashes);
}

fn draw_now(sheet: &mut Sheet, plane: &Plane, now: f64) {
    let x = plane.x.at(now);
    sheet.line(
        "now",
        (x, plane.top),
        (x, plane.bottom),
        r#"stroke-opacity="0.8""#,
    );
    sheet.text("strong", (x, plane.top - 5.0), Anchor::Middle, "now");
}

/// A spade mark on the axis for each dose, numbered in order.
fn draw_doses(sheet: &mut Sheet, plane: &Plane, doses: &[&DoseMark]) {
    let first = doses.len().saturating_sub(LISTED);
    let mut last_x = f64::NEG_INFINITY;
    for (i, dose) in doses.iter().enumerate() {
        let x = plane.x.at(dose.day);
        let y = plane.bottom;
        let mark = format!("M{} {}l-5 -9h10Z", n(x), n(y - 1.0));
        sheet.fill("dose", &mark, 1.0);
        let stem = r#"stroke-dasharray="3 4" stroke-opacity="0.5""#;
        sheet.line("dose-stem", (x, plane.top), (x, y - 10.0), stem);
        if i >= first {
            let at = x.max(last_x + 12.0);
            last_x = at;
            sheet.text(
                "strong",
                (at, y - 13.0),
                Anchor::Middle,
                &number(i + 1 - first),
            );
        }
    }
}

fn number(i: usize) -> String {
    i.to_string()
}

fn dose_lines(doses: &[&DoseMark], start: Date) -> Vec<String> {
    let first = doses.len().saturating_sub(LISTED);
    let mut lines: Vec<String> = doses[first..]
        .iter()
        .enumerate()
        .map(|(i, d)| {
            let day = day_words(start, d.day).unwrap_or_default();
            format!("{}  {day}: {}", i + 1, d.label)
        })
        .collect();
    if first > 0 {
        lines.push(format!(
            "and {} earlier",
            report::count(first, "dose", "doses")
        ));
    }
    lines
}

fn draw_reading(sheet: &mut Sheet, plane: &Plane, r: &PhReading) {
    let (x, y) = plane.point(r.day, r.ph);
    let (low, high) = (plane.y.at(r.low), plane.y.at(r.high));
    let bar = format!(
        "M{x} {l}V{h}M{a} {l}H{b}M{a} {h}H{b}",
        x = n(x),
        l = n(low),
        h = n(high),
        a = n(x - 3.0),
        b = n(x + 3.0)
    );
    let more = match r.kind {
        ReadingKind::Settled => "",
        _ => r#"stroke-opacity="0.45""#,
    };
    sheet.stroke("error-bar", &bar, 1.25, more);
    draw_mark(sheet, r.kind, x, y);
}

pub(super) fn draw_mark(sheet: &mut Sheet, kind: ReadingKind, x: f64, y: f64) {
    let (x, y) = (n(x), n(y));
    match kind {
        ReadingKind::Settled => sheet.raw(&format!(
            r#"<circle class="reading settled" cx="{x}" cy="{y}" r="4.5" fill="currentColor"/>"#
        )),
        ReadingKind::Local => sheet.raw(&format!(
            r#"<path class="reading local" d="M{x} {y}m0 -6l6 6l-6 6l-6 -6Z" fill="none" stroke="currentColor" stroke-width="1.75"/>"#
        )),
        ReadingKind::Doubtful => sheet.raw(&format!(
            r#"<path class="reading doubtful" d="M{x} {y}m-5 -5l10 10m0 -10l-10 10" fill="none" stroke="currentColor" stroke-width="2"/>"#
        )),
    }
}

#[derive(Clone, PartialEq)]
enum Key {
    Best,
    TooAcid,
    Mark(ReadingKind),
    Line(&'static str, &'static str),
}

fn legend(clean: &Clean<'_>) -> Vec<(Key, String)> {
    let mut keys = Vec::new();
    for kind in [
        ReadingKind::Settled,
        ReadingKind::Local,
        ReadingKind::Doubtful,
    ] {
        if clean.readings.iter().any(|r| r.kind == kind) {
            keys.push((Key::Mark(kind), kind.words().to_owned()));
        }
    }
    if !clean.path.is_empty() {
        keys.push((Key::Line("estimate", ""), "estimate, 80 % band".to_owned()));
    }
    if !clean.forecast.is_empty() {
        let dashes = r#"stroke-dasharray="6 4""#;
        keys.push((
            Key::Line("forecast", dashes),
            "if things go on as now".to_owned(),
        ));
    }
    if let Some((label, _)) = &clean.what_if {
        let dashes = r#"stroke-dasharray="9 3 2 3""#;
        keys.push((Key::Line("what-if", dashes), (*label).to_owned()));
    }
    if let Some(levels) = &clean.levels {
        keys.push((Key::Best, levels.best_words()));
        keys.push((Key::TooAcid, levels.too_acid_words()));
        if clean.phs().1 >= levels.too_alkaline {
            keys.push((Key::TooAcid, levels.too_alkaline_words()));
        }
    }
    keys
}

/// A key, its left edge and its words.
type Placed<'a> = (&'a Key, f64, &'a str);

fn legend_rows(keys: &[(Key, String)], width: f64) -> Vec<Vec<Placed<'_>>> {
    let mut rows: Vec<Vec<Placed<'_>>> = Vec::new();
    let mut x = f64::INFINITY;
    for (key, words) in keys {
        let wide = 30.0 + text_width(words, TEXT) + 14.0;
        if x + wide > width {
            rows.push(Vec::new());
            x = 4.0;
        }
        if let Some(row) = rows.last_mut() {
            row.push((key, x, words));
        }
        x += wide;
    }
    rows
}

fn draw_legend(sheet: &mut Sheet, rows: &[Vec<Placed<'_>>], top: f64) -> f64 {
    let mut y = top;
    for row in rows {
        for (key, x, words) in row {
            match key {
                Key::Best => levels::draw_best_key(sheet, *x, y),
                Key::TooAcid => levels::draw_too_acid_key(sheet, *x, y),
                Key::Mark(kind) => draw_mark(sheet, *kind, x + 12.0, y - 4.0),
                Key::Line(class, dashes) => {
                    let d = format!("M{} {}h26", n(*x), n(y - 4.0));
                    sheet.stroke(class, &d, 2.25, dashes);
                }
            }
            let room = sheet.width - x - 34.0;
            sheet.text_in("note", (x + 30.0, y), Anchor::Start, words, room);
        }
        y += 18.0;
    }
    y
}

fn in_words(clean: &Clean<'_>, start: Date) -> String {
    let mut words = match clean.path.last() {
        Some(p) => format!(
            "The estimate now is pH {} ({} to {}). ",
            report::ph(p.median),
            report::ph(p.low),
            report::ph(p.high)
        ),
        None => "There is no estimate yet. ".to_owned(),
    };
    if let Some(p) = clean.forecast.last() {
        let day = day_words(start, p.day).unwrap_or_default();
        let _ = write!(
            words,
            "If things go on as now, by {day}: pH {} ({} to {}). ",
            report::ph(p.median),
            report::ph(p.low),
            report::ph(p.high)
        );
    }
    for r in clean.readings.iter().rev().take(12).rev() {
        let day = day_words(start, r.day).unwrap_or_default();
        let _ = write!(
            words,
            "{day}: read {} ({}). ",
            report::ph(r.ph),
            r.kind.words()
        );
    }
    for line in dose_lines(&clean.doses, start) {
        let _ = write!(words, "Dose {line}. ");
    }
    words.trim_end().to_owned()
}
