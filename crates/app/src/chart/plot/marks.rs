//! Points and lines of a panel, and the signs of its key.

use super::super::ink::{Anchor, Sheet, n, through};
use super::axis::Field;
use super::{Dash, PlotLine, PlotMark, Shape, Sign};

/// Ink of bars in a crowd.
const FAINT: &str = r#"stroke-opacity="0.3""#;

fn pattern(dash: Dash) -> &'static str {
    match dash {
        Dash::Solid => "",
        Dash::Dashed => r#"stroke-dasharray="7 4""#,
        Dash::Dotted => r#"stroke-dasharray="1.5 3.5""#,
    }
}

pub(super) fn line(sheet: &mut Sheet, field: &Field, line: &PlotLine) {
    let points: Vec<(f64, f64)> = line
        .points
        .iter()
        .filter(|(x, y)| x.is_finite() && y.is_finite())
        .map(|(x, y)| field.point(*x, *y))
        .collect();
    if points.len() > 1 {
        sheet.stroke("line", &through(&points), 1.5, pattern(line.dash));
    }
}

pub(super) fn mark(sheet: &mut Sheet, field: &Field, mark: &PlotMark, crowd: bool) {
    if !(mark.x.is_finite() && mark.y.is_finite()) {
        return;
    }
    let at = field.point(mark.x, mark.y);
    if let Some((low, high)) = mark.bar.filter(|(l, h)| l.is_finite() && h.is_finite()) {
        let (low, high) = (field.point(mark.x, low).1, field.point(mark.x, high).1);
        let more = if crowd { FAINT } else { "" };
        bar(sheet, at.0, (low, high), more);
    }
    shape(sheet, mark.shape, at);
    if let Some(words) = &mark.label {
        let (dx, anchor) = if field.room_right_of(at.0) {
            (7.0, Anchor::Start)
        } else {
            (-7.0, Anchor::End)
        };
        sheet.text("label", (at.0 + dx, at.1 + 4.0), anchor, words);
    }
}

/// An upright bar with short ends.
fn bar(sheet: &mut Sheet, x: f64, (low, high): (f64, f64), more: &str) {
    let ends = n(x - 2.5);
    let d = format!(
        "M{} {}V{}M{ends} {}h5M{ends} {}h5",
        n(x),
        n(low),
        n(high),
        n(low),
        n(high)
    );
    sheet.stroke("bar", &d, 0.9, more);
}

fn shape(sheet: &mut Sheet, shape: Shape, (x, y): (f64, f64)) {
    let (l, t) = (n(x - 3.3), n(y - 3.3));
    let disc = format!(
        "M{} {}a3.6 3.6 0 1 0 7.2 0a3.6 3.6 0 1 0 -7.2 0Z",
        n(x - 3.6),
        n(y)
    );
    let square = format!("M{l} {t}h6.6v6.6h-6.6Z");
    let triangle = format!("M{} {}l4.2 7.2h-8.4Z", n(x), n(y - 4.4));
    match shape {
        Shape::Disc => sheet.fill("mark", &disc, 1.0),
        Shape::Square => sheet.fill("mark", &square, 1.0),
        Shape::Triangle => sheet.fill("mark", &triangle, 1.0),
        Shape::Ring => open(sheet, &disc),
        Shape::Frame => open(sheet, &square),
        Shape::Tent => open(sheet, &triangle),
        Shape::Cross => {
            let d = format!("M{} {}l8 8m0 -8l-8 8", n(x - 4.0), n(y - 4.0));
            sheet.stroke("mark", &d, 1.7, "");
        }
        Shape::Plus => {
            let d = format!("M{} {}h9m-4.5 -4.5v9", n(x - 4.5), n(y));
            sheet.stroke("mark", &d, 1.4, "");
        }
        Shape::Stroke => {
            let d = format!("M{} {}h9", n(x - 4.5), n(y));
            sheet.stroke("mark", &d, 2.4, "");
        }
    }
}

/// An open shape: white inside, so that what lies under it does not fill it.
fn open(sheet: &mut Sheet, d: &str) {
    sheet.raw(&format!(
        r##"<path class="mark" d="{d}" fill="#fff" stroke="currentColor" stroke-width="1.2"/>"##
    ));
}

/// A sign of the key, from `at` to the right.
pub(super) fn sign(sheet: &mut Sheet, of: Sign, at: (f64, f64)) {
    let (left, y) = at;
    match of {
        Sign::Mark(s) => shape(sheet, s, (left + 12.0, y)),
        Sign::Bar => bar(sheet, left + 12.0, (y + 6.0, y - 6.0), ""),
        Sign::Both(s, dash) => {
            sign(sheet, Sign::Line(dash), at);
            shape(sheet, s, (left + 12.0, y));
        }
        Sign::Line(dash) => {
            let d = format!("M{} {}h24", n(left), n(y));
            sheet.stroke("line", &d, 1.5, pattern(dash));
        }
        Sign::Range => {
            let d = format!("M{} {}h24v10h-24Z", n(left), n(y - 5.0));
            sheet.fill("range", &d, 0.12);
            sheet.stroke("range-edge", &d, 1.0, r#"stroke-dasharray="6 3""#);
        }
    }
}
