//! Where a ration lies among published advice: one row for each source, on
//! one axis of feed per worm mass and day.

use super::ink::{Anchor, Sheet, TEXT, n, text_width};
use super::plane::Scale;
use super::{Size, Svg};
use crate::report;
use engine::quantity::Band;
use std::fmt::Write;

/// One published figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Feed per worm mass and day [kg/kg/d].
    pub value: f64,
    /// Whose: `extension leaflet`.
    pub whose: String,
}

/// Our ration among published advice.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedScale {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// Our ration per worm mass and day, with its range [kg/kg/d].
    pub ours: Option<Band>,
    /// Published figures.
    pub advice: Vec<Advice>,
}

/// Ends of the axis [kg/kg/d]; it widens for figures beyond them.
const USUAL: (f64, f64) = (0.1, 2.0);
/// Numbers on the axis.
const MARKS: [f64; 9] = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0];

fn usable(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

/// A figure to three digits, without zeros that say nothing: `1.25`, `0.5`.
fn figure(value: f64) -> String {
    let text = report::significant(value, 3);
    if text.contains('.') {
        let text = text.trim_end_matches('0').trim_end_matches('.');
        return text.to_owned();
    }
    text
}

/// Rows of figures on a logarithmic axis, ours first.
#[must_use]
pub fn feed_scale(data: &FeedScale, size: Size) -> Svg {
    let ours = data
        .ours
        .filter(|b| [b.low, b.median, b.high].into_iter().all(usable));
    let advice: Vec<&Advice> = data
        .advice
        .iter()
        .filter(|a| usable(a.value))
        .take(8)
        .collect();
    let values = advice.iter().map(|a| a.value);
    let all = values.chain(ours.iter().flat_map(|b| [b.low, b.high]));
    let (low, high) = all.fold(USUAL, |(l, h), v| (l.min(v), h.max(v)));
    let (low, high) = (low.clamp(0.01, 5.0), high.clamp(0.02, 5.0));
    let wide = size == Size::Wide;
    let left = if wide { 252.0 } else { 8.0 };
    let row = if wide { 26.0 } else { 38.0 };
    let rows = advice.len() as f64 + 1.0;
    let foot = 8.0 + row * rows;
    let mut sheet = Sheet::new(size.width(), foot + 40.0);
    let x = Scale::new(low.log10(), high.log10(), 0.1, left, size.width() - 14.0);
    let at = |v: f64| x.at(v.clamp(low, high).log10());
    draw_axis(&mut sheet, &x, &at, (low, high), foot);
    let place = |i: usize| 8.0 + row * (i as f64 + 1.0) - if wide { 9.0 } else { 6.0 };
    let words = ours.map_or_else(
        || "this ration: not known".to_owned(),
        |b| format!("this ration: {}", report::significant(b.median, 2)),
    );
    label(&mut sheet, &words, "strong", place(0), wide);
    if let Some(b) = ours {
        draw_ours(&mut sheet, &b, &at, place(0));
    }
    for (i, a) in advice.iter().enumerate() {
        let y = place(i + 1);
        let words = format!("{}: {}", a.whose, figure(a.value));
        label(&mut sheet, &words, "on-lines", y, wide);
        let ring = format!("M{} {}m-4.5 -4.5h9v9h-9Z", n(at(a.value)), n(y));
        sheet.stroke("advice", &ring, 1.75, "");
    }
    let id = format!("{}-{}", data.id, size.word());
    let title = "Feed per worm mass and day: this ration and published advice";
    sheet.finish(&id, "chart feed-scale", title, &in_words(ours, &advice))
}

/// The words of a row: beside it where there is room, else above it.
fn label(sheet: &mut Sheet, words: &str, class: &str, y: f64, wide: bool) {
    let (at, room) = if wide {
        ((4.0, y + 4.0), 238.0)
    } else {
        ((4.0, y - 11.0), 316.0)
    };
    sheet.text_in(class, at, Anchor::Start, words, room);
}

fn draw_ours(sheet: &mut Sheet, b: &Band, at: &impl Fn(f64) -> f64, y: f64) {
    let (from, to) = (at(b.low), at(b.high));
    let bar = format!("M{} {}H{}v8H{}Z", n(from), n(y - 4.0), n(to), n(from));
    sheet.fill("band", &bar, 0.28);
    sheet.stroke("band-edge", &bar, 1.0, "");
    let d = format!("M{} {}l6 6l-6 6l-6 -6Z", n(at(b.median)), n(y - 6.0));
    sheet.fill("ours", &d, 1.0);
}

fn draw_axis(
    sheet: &mut Sheet,
    x: &Scale,
    at: &impl Fn(f64) -> f64,
    (low, high): (f64, f64),
    foot: f64,
) {
    let (left, right) = (x.at(x.low), x.at(x.high));
    sheet.line("axis", (left, foot), (right, foot), "");
    let mut free = f64::NEG_INFINITY;
    for mark in MARKS
        .into_iter()
        .filter(|m| *m >= low - 1e-9 && *m <= high + 1e-9)
    {
        let px = at(mark);
        let faint = r#"stroke-opacity="0.2""#;
        sheet.line("rule", (px, 8.0), (px, foot), faint);
        sheet.line("axis", (px, foot), (px, foot + 4.0), "");
        let text = report::significant(mark, 1);
        let half = text_width(&text, TEXT) / 2.0;
        if px - half > free + 4.0 {
            sheet.text("tick", (px, foot + 16.0), Anchor::Middle, &text);
            free = px + half;
        }
    }
    let words = "kg of feed per kg of worms a day";
    sheet.text("name", (right, foot + 33.0), Anchor::End, words);
}

fn in_words(ours: Option<Band>, advice: &[&Advice]) -> String {
    let mut words = ours.map_or_else(
        || "This ration is not known.".to_owned(),
        |b| format!("This ration: {}.", report::band(&b, "kg/kg/d")),
    );
    for a in advice {
        let _ = write!(words, " {}: {}.", a.whose, figure(a.value));
    }
    words
}
