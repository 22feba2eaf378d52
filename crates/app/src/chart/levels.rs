//! The two levels a pH is read against: where worms do best, and what is
//! too acid or too alkaline for them. Ruled across the chart and named below it, clear of the data.

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
    /// pH below which it is too acid.
    pub too_acid: f64,
    /// pH above which it is too alkaline.
    pub too_alkaline: f64,
}

impl PhLevels {
    pub(super) fn is_finite(&self) -> bool {
        [self.best.0, self.best.1, self.too_acid, self.too_alkaline]
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
        for level in [self.too_acid, self.too_alkaline] {
            if plane.y.low <= level && level <= plane.y.high {
                let y = plane.y.at(level);
                let d = format!("M{} {}H{}", n(plane.left), n(y), n(plane.right));
                sheet.stroke("limit", &d, 1.75, DOTS);
            }
        }
    }

    /// `best for worms, 6.5 to 7.5`.
    pub(super) fn best_words(&self) -> String {
        let (low, high) = (report::ph(self.best.0), report::ph(self.best.1));
        format!("best for worms, {low} to {high}")
    }

    /// `too acid below 5.5`.
    pub(super) fn too_acid_words(&self) -> String {
        format!("too acid below {}", report::ph(self.too_acid))
    }

    /// `too alkaline above 8.5`.
    pub(super) fn too_alkaline_words(&self) -> String {
        format!("too alkaline above {}", report::ph(self.too_alkaline))
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
