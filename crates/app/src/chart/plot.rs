//! A sheet of plots for print: panels of points with their error, curves and
//! ranges, told apart by shape and dash alone.
//!
//! Made to stand by itself as a file: white paper, black ink, its own size.
//! Values beyond an axis are drawn on its edge; values that are no numbers are
//! left out.

mod axis;
mod marks;

use super::Svg;
use super::ink::{Anchor, Sheet, TEXT, escaped, n, text_width};
use axis::Field;
use std::fmt::Write;

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Unbroken.
    Solid,
    /// Long dashes.
    Dashed,
    /// Dots.
    Dotted,
}

/// Shape of a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Filled circle.
    Disc,
    /// Open circle.
    Ring,
    /// Filled square.
    Square,
    /// Open square.
    Frame,
    /// Filled triangle.
    Triangle,
    /// Open triangle.
    Tent,
    /// Diagonal cross.
    Cross,
    /// Upright cross.
    Plus,
    /// Short level stroke.
    Stroke,
}

/// One point.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotMark {
    /// Across.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Lowest and highest it may be, drawn as an upright bar.
    pub bar: Option<(f64, f64)>,
    /// How it is drawn.
    pub shape: Shape,
    /// A word beside it.
    pub label: Option<String>,
}

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotLine {
    /// Points, in order.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn.
    pub dash: Dash,
}

/// One axis.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotAxis {
    /// What it is, with its unit.
    pub name: String,
    /// Lowest value shown.
    pub low: f64,
    /// Highest value shown.
    pub high: f64,
    /// Whether equal steps are equal factors.
    pub log: bool,
    /// Where the axis is marked; round values when empty.
    pub ticks: Vec<f64>,
}

/// One panel.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotPanel {
    /// What it shows, with its misses counted.
    pub title: String,
    /// Axis across.
    pub x: PlotAxis,
    /// Axis up.
    pub y: PlotAxis,
    /// A range of the upright axis, shaded.
    pub range: Option<(f64, f64)>,
    /// Lines, under the points.
    pub lines: Vec<PlotLine>,
    /// Points.
    pub marks: Vec<PlotMark>,
}

/// What a sign of the key stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// A point.
    Mark(Shape),
    /// A point with its bar.
    Bar,
    /// A line.
    Line(Dash),
    /// A point on a line.
    Both(Shape, Dash),
    /// The shaded range.
    Range,
}

/// A sheet of panels.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotSheet {
    /// Name, part of ids.
    pub id: String,
    /// What the sheet shows.
    pub title: String,
    /// What to know, under the title.
    pub note: String,
    /// What the signs mean.
    pub key: Vec<(Sign, String)>,
    /// The panels, row by row.
    pub panels: Vec<PlotPanel>,
    /// Panels in a row.
    pub columns: usize,
}

const WIDTH: f64 = 800.0;
const EDGE: f64 = 8.0;
const LINE: f64 = 17.0;
const PANEL_HEIGHT: f64 = 246.0;
/// Points beyond which bars are drawn faintly.
const CROWD: usize = 40;
const TITLE: f64 = 16.0;

/// Text in lines of at most `room` pixels.
fn wrapped(text: &str, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(line, TEXT) + text_width(word, TEXT) + 7.0 <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Bold text at its own size.
fn heading(sheet: &mut Sheet, at: (f64, f64), size: f64, text: &str) {
    sheet.raw(&format!(
        r#"<text class="heading" x="{}" y="{}" text-anchor="start" font-size="{}" font-weight="600" fill="currentColor">{}</text>"#,
        n(at.0),
        n(at.1),
        n(size),
        escaped(text)
    ));
}

/// Where each entry of the key goes: row and left end.
fn key_places(key: &[(Sign, String)]) -> Vec<(usize, f64)> {
    let (mut row, mut left) = (0, EDGE);
    key.iter()
        .map(|(_, words)| {
            let wide = 30.0 + text_width(words, TEXT) + 18.0;
            if left > EDGE && left + wide > WIDTH - EDGE {
                (row, left) = (row + 1, EDGE);
            }
            let at = (row, left);
            left += wide;
            at
        })
        .collect()
}

fn draw_key(sheet: &mut Sheet, key: &[(Sign, String)], top: f64) {
    for ((sign, words), (row, left)) in key.iter().zip(key_places(key)) {
        let y = top + row as f64 * LINE;
        marks::sign(sheet, *sign, (left, y - 4.0));
        sheet.text("key", (left + 30.0, y), Anchor::Start, words);
    }
}

/// The sheet as a picture that stands by itself.
#[must_use]
pub fn plot_sheet(data: &PlotSheet) -> Svg {
    let columns = data.columns.clamp(1, 4);
    let notes = wrapped(&data.note, WIDTH - 2.0 * EDGE);
    let key_rows = key_places(&data.key).last().map_or(0, |(row, _)| row + 1);
    let head = 30.0 + LINE * (notes.len() + key_rows) as f64 + 12.0;
    let rows = data.panels.len().div_ceil(columns);
    let mut sheet = Sheet::new(WIDTH, head + rows as f64 * PANEL_HEIGHT + EDGE);
    heading(&mut sheet, (EDGE, 22.0), TITLE, &data.title);
    for (i, line) in notes.iter().enumerate() {
        let y = 42.0 + i as f64 * LINE;
        sheet.text("note", (EDGE, y), Anchor::Start, line);
    }
    draw_key(&mut sheet, &data.key, 44.0 + notes.len() as f64 * LINE);
    let wide = (WIDTH - EDGE) / columns as f64;
    for (i, panel) in data.panels.iter().enumerate() {
        let left = EDGE + (i % columns) as f64 * wide;
        let top = head + (i / columns) as f64 * PANEL_HEIGHT;
        draw_panel(&mut sheet, panel, (left, top), wide);
    }
    let mut words = data.note.clone();
    for panel in &data.panels {
        let _ = write!(words, " {}.", panel.title);
    }
    sheet.alone(&data.id, &data.title, &words)
}

fn draw_panel(sheet: &mut Sheet, panel: &PlotPanel, at: (f64, f64), wide: f64) {
    heading(sheet, (at.0, at.1 + 16.0), TEXT, &panel.title);
    sheet.text_in(
        "name",
        (at.0, at.1 + 33.0),
        Anchor::Start,
        &panel.y.name,
        wide - 6.0,
    );
    let field = Field::new(panel, at, (wide, PANEL_HEIGHT));
    if let Some((low, high)) = panel.range {
        field.shade(sheet, low, high);
    }
    field.rule(sheet, panel);
    for line in &panel.lines {
        marks::line(sheet, &field, line);
    }
    for mark in &panel.marks {
        marks::mark(sheet, &field, mark, panel.marks.len() > CROWD);
    }
}
