//! The two levels a pH is read against: where worms do best, and what they do
//! not stand. Ruled across the chart and named below it, clear of the data.

use super::ink::{Sheet, n};
use super::plane::Plane;
use crate::report;
use std::fmt::Write;

/// Dots of the line worms should not be below.
const DOTS: &str = r#"stroke-dasharray="1 4" stroke-linecap="round""#;
/// Ruling of the best range.
const RULED: &str = r#"stroke-opacity="0.22""#;
/// Distance between its lines [pH].
const RULED_PH: f64 = 0.125;

/// What worms stand, from the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhLevels {
    /// pH from which and up to which worms do best.
    pub best: (f64, f64),
    /// pH below which worms leave or die.
    pub too_acid: f64,
}

impl PhLevels {
    pub(super) fn is_finite(&self) -> bool {
        [self.best.0, self.best.1, self.too_acid]
            .iter()
            .all(|v| v.is_finite())
    }

    /// Rulings inside the field of the chart.
    pub(super) fn draw(&self, sheet: &mut Sheet, plane: &Plane) {
        let (low, high) = (self.best.0.max(plane.y.low), self.best.1.min(plane.y.high));
        let mut ruled = String::new();
        let lines = ((high - low) / RULED_PH).floor().clamp(-1.0, 80.0) as i32;
        for i in 0..=lines {
            let y = plane.y.at(low + f64::from(i) * RULED_PH);
            let _ = write!(ruled, "M{} {}H{}", n(plane.left), n(y), n(plane.right));
        }
        sheet.stroke("comfort", &ruled, 1.0, RULED);
        if plane.y.low <= self.too_acid && self.too_acid <= plane.y.high {
            let y = plane.y.at(self.too_acid);
            sheet.stroke(
                "limit",
                &format!("M{} {}H{}", n(plane.left), n(y), n(plane.right)),
                1.75,
                DOTS,
            );
        }
    }

    /// `target for worms, 6.5 to 7.5`.
    pub(super) fn best_words(&self) -> String {
        let (low, high) = (report::ph(self.best.0), report::ph(self.best.1));
        format!("target for worms, {low} to {high}")
    }

    /// `worms leave or die below 5.0`.
    pub(super) fn too_acid_words(&self) -> String {
        format!("worms leave or die below {}", report::ph(self.too_acid))
    }
}

/// A patch of the ruling, for the list below the chart.
pub(super) fn draw_best_key(sheet: &mut Sheet, x: f64, y: f64) {
    let rows = [-9.0, -6.0, -3.0, 0.0].map(|dy| format!("M{} {}h26", n(x), n(y + dy)));
    sheet.stroke("comfort", &rows.concat(), 1.0, r#"stroke-opacity="0.5""#);
}

/// A piece of the dotted line, for the list below the chart.
pub(super) fn draw_too_acid_key(sheet: &mut Sheet, x: f64, y: f64) {
    let d = format!("M{} {}h26", n(x), n(y - 4.0));
    sheet.stroke("limit", &d, 1.75, DOTS);
}
