//! The field of a panel: where values lie on the paper, and its rulings.

use super::super::ink::{Anchor, Sheet, n};
use super::super::plane::{Scale, places};
use super::{PlotAxis, PlotPanel};

/// Least value of an axis of factors.
const LEAST: f64 = 1e-12;

/// Values to pixels, plainly or by factors, kept to the axis.
pub(super) struct Axis {
    log: bool,
    scale: Scale,
}

impl Axis {
    fn new(of: &PlotAxis, from_px: f64, to_px: f64) -> Self {
        let (low, high) = (place(of.log, of.low), place(of.log, of.high));
        Self {
            log: of.log,
            scale: Scale::new(low, high, 1e-9, from_px, to_px),
        }
    }

    pub(super) fn at(&self, value: f64) -> f64 {
        let kept = place(self.log, value).clamp(self.scale.low, self.scale.high);
        self.scale.at(kept)
    }
}

fn place(log: bool, value: f64) -> f64 {
    if log { value.max(LEAST).ln() } else { value }
}

/// Where an axis is marked.
fn ticks(of: &PlotAxis) -> Vec<f64> {
    if !of.ticks.is_empty() {
        return of.ticks.clone();
    }
    if !of.log {
        return Scale::new(of.low, of.high, 1e-9, 0.0, 1.0).marks(5.0);
    }
    let steps = |steps: &[f64]| -> Vec<f64> {
        (-6..=7)
            .flat_map(|e| steps.iter().map(move |s| s * 10f64.powi(e)))
            .filter(|v| (of.low * 0.999..=of.high * 1.001).contains(v))
            .collect()
    };
    let tens = steps(&[1.0]);
    if tens.len() > 2 {
        tens
    } else {
        steps(&[1.0, 2.0, 5.0])
    }
}

fn tick_text(of: &PlotAxis, all: &[f64], value: f64) -> String {
    if of.log {
        let digits = (-value.log10() - 1e-9).ceil().clamp(0.0, 6.0) as usize;
        return format!("{value:.digits$}");
    }
    let step = all.get(1).map_or(1.0, |b| (b - all[0]).abs());
    format!("{value:.*}", places(step.max(1e-4)))
}

/// The field.
pub(super) struct Field {
    x: Axis,
    y: Axis,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl Field {
    pub(super) fn new(panel: &PlotPanel, at: (f64, f64), size: (f64, f64)) -> Self {
        let (left, right) = (at.0 + 46.0, at.0 + size.0 - 18.0);
        let (top, bottom) = (at.1 + 44.0, at.1 + size.1 - 46.0);
        Self {
            x: Axis::new(&panel.x, left, right),
            y: Axis::new(&panel.y, bottom, top),
            left,
            right,
            top,
            bottom,
        }
    }

    pub(super) fn point(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x.at(x), self.y.at(y))
    }

    /// The side of a point on which a word has room.
    pub(super) fn room_right_of(&self, x: f64) -> bool {
        x < f64::midpoint(self.left, self.right)
    }

    /// A range of the upright axis: grey, with an edge of dashes.
    pub(super) fn shade(&self, sheet: &mut Sheet, low: f64, high: f64) {
        let (low, high) = (self.y.at(low), self.y.at(high));
        let (left, right) = (n(self.left), n(self.right));
        let d = format!("M{left} {}H{right}V{}H{left}Z", n(low), n(high));
        sheet.fill("range", &d, 0.12);
        for y in [low, high] {
            sheet.line(
                "range-edge",
                (self.left, y),
                (self.right, y),
                r#"stroke-dasharray="6 3""#,
            );
        }
    }

    /// Frame, rulings, numbers and the name of the axis across.
    pub(super) fn rule(&self, sheet: &mut Sheet, panel: &PlotPanel) {
        let thin = r#"stroke-opacity="0.18""#;
        let marks = ticks(&panel.y);
        for v in &marks {
            let y = self.y.at(*v);
            sheet.line("rule", (self.left, y), (self.right, y), thin);
            let text = tick_text(&panel.y, &marks, *v);
            sheet.text("tick", (self.left - 6.0, y + 4.0), Anchor::End, &text);
        }
        let marks = ticks(&panel.x);
        for v in &marks {
            let x = self.x.at(*v);
            sheet.line("axis", (x, self.bottom), (x, self.bottom + 4.0), "");
            let text = tick_text(&panel.x, &marks, *v);
            sheet.text("tick", (x, self.bottom + 17.0), Anchor::Middle, &text);
        }
        sheet.line("axis", (self.left, self.top), (self.left, self.bottom), "");
        let corner = (self.right, self.bottom);
        sheet.line("axis", (self.left, self.bottom), corner, "");
        let middle = f64::midpoint(self.left, self.right);
        let at = (middle, self.bottom + 33.0);
        sheet.text("name", at, Anchor::Middle, &panel.x.name);
    }
}
