//! Axes shared by the plots: a scale that covers its data, and rulings.

use super::Size;
use super::ink::{Anchor, Sheet};

/// One axis: values to pixels.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    pub(super) low: f64,
    pub(super) high: f64,
    from_px: f64,
    to_px: f64,
}

impl Scale {
    /// Covers `low` to `high`; a range of nothing is widened by `least`.
    pub(super) fn new(low: f64, high: f64, least: f64, from_px: f64, to_px: f64) -> Self {
        let short = (least - (high - low)).max(0.0);
        Self {
            low: low - short / 2.0,
            high: high + short / 2.0,
            from_px,
            to_px,
        }
    }

    pub(super) fn at(&self, value: f64) -> f64 {
        let share = (value - self.low) / (self.high - self.low);
        self.from_px + (self.to_px - self.from_px) * share
    }

    /// Round marks, about `wanted` of them, inside the axis; never so few that
    /// the axis cannot be read.
    pub(super) fn marks(&self, wanted: f64) -> Vec<f64> {
        const FEWEST: usize = 3;
        let every = |step: f64| -> Vec<f64> {
            let first = (self.low / step - 1e-9).ceil() as i64;
            let last = (self.high / step + 1e-9).floor() as i64;
            (first..=last).take(60).map(|i| i as f64 * step).collect()
        };
        let finer =
            [1.0, 1.5, 2.5].map(|more| every(round_step((self.high - self.low) / (wanted * more))));
        let [usual, ..] = &finer;
        let enough = finer.iter().find(|marks| marks.len() >= FEWEST);
        enough.unwrap_or(usual).clone()
    }
}

/// 1, 2 or 5 times a power of ten, at least `rough`.
pub(super) fn round_step(rough: f64) -> f64 {
    let tens = 10f64.powf(rough.max(1e-9).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .iter()
        .map(|m| m * tens)
        .find(|s| *s >= rough * 0.999_999)
        .unwrap_or(10.0 * tens)
}

/// Decimals needed to tell marks `step` apart.
pub(super) fn places(step: f64) -> usize {
    (-step.log10()).ceil().clamp(0.0, 4.0) as usize
}

/// The plotting field of a chart.
pub(super) struct Plane {
    pub(super) x: Scale,
    pub(super) y: Scale,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl Plane {
    /// Margins and field for a size; ranges widened where they are nothing.
    pub(super) fn new(size: Size, height: f64, x: (f64, f64), y: (f64, f64), least: f64) -> Self {
        let (left, right) = (30.0, size.width() - 10.0);
        let (top, bottom) = (26.0, height);
        Self {
            x: Scale::new(x.0, x.1, least, left, right),
            y: Scale::new(y.0, y.1, 1.0, bottom, top),
            left,
            right,
            top,
            bottom,
        }
    }

    pub(super) fn point(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x.at(x), self.y.at(y))
    }

    /// Left axis: rulings, numbers and what is measured.
    pub(super) fn rule_y(&self, sheet: &mut Sheet, name: &str) {
        let marks = self.y.marks(5.0);
        let step = marks.get(1).map_or(1.0, |b| b - marks[0]);
        for v in marks {
            let y = self.y.at(v);
            sheet.line(
                "rule",
                (self.left, y),
                (self.right, y),
                r#"stroke-opacity="0.18""#,
            );
            let text = format!("{v:.*}", places(step).max(usize::from(step < 1.0)));
            sheet.text("tick", (self.left - 6.0, y + 4.0), Anchor::End, &text);
        }
        sheet.line("axis", (self.left, self.top), (self.left, self.bottom), "");
        sheet.text("name", (2.0, 14.0), Anchor::Start, name);
    }

    /// Bottom axis: numbers and what is measured.
    pub(super) fn rule_x(&self, sheet: &mut Sheet, name: &str, wanted: f64) {
        sheet.line(
            "axis",
            (self.left, self.bottom),
            (self.right, self.bottom),
            "",
        );
        let marks = self.x.marks(wanted);
        let step = marks.get(1).map_or(1.0, |b| b - marks[0]);
        for v in marks {
            let x = self.x.at(v);
            sheet.line("axis", (x, self.bottom), (x, self.bottom + 4.0), "");
            let text = format!("{v:.*}", places(step));
            sheet.text("tick", (x, self.bottom + 17.0), Anchor::Middle, &text);
        }
        let middle = f64::midpoint(self.left, self.right);
        sheet.text("name", (middle, self.bottom + 34.0), Anchor::Middle, name);
    }
}

/// Smallest and largest of the finite values; `fallback` when there are none.
pub(super) fn extent(values: impl Iterator<Item = f64>, fallback: (f64, f64)) -> (f64, f64) {
    let (low, high) = values
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        });
    if low <= high { (low, high) } else { fallback }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_inside() {
        let s = Scale::new(0.0, 93.0, 1.0, 0.0, 100.0);
        assert_eq!(s.marks(5.0), vec![0.0, 20.0, 40.0, 60.0, 80.0]);
        assert!((round_step(0.3) - 0.5).abs() < 1e-12);
        // A step of 20 would mark this once.
        let warm = Scale::new(4.0, 39.0, 1.0, 0.0, 100.0);
        assert_eq!(warm.marks(4.0), vec![10.0, 20.0, 30.0]);
        let warm = Scale::new(11.0, 33.5, 1.0, 0.0, 100.0);
        assert!(warm.marks(2.0).len() >= 3);
    }

    #[test]
    fn a_range_of_nothing_is_widened() {
        let s = Scale::new(5.0, 5.0, 1.0, 0.0, 100.0);
        assert!((s.at(5.0) - 50.0).abs() < 1e-9);
    }
}
