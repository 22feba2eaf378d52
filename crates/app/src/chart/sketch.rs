//! A steady hand: lines a little off true, crumbs and strokes placed by
//! count and not by chance, so the same bin is always the same drawing.

use super::ink::n;
use std::fmt::Write;

/// The `i`th number of a well-spread sequence [0 to 1) (golden-ratio steps).
pub(super) fn spread(i: usize, start: f64) -> f64 {
    (start + i as f64 * 0.618_033_988_749_895).fract()
}

/// A line drawn by hand: a slight bow, the size of which `seed` picks.
pub(super) fn by_hand(from: (f64, f64), to: (f64, f64), seed: usize) -> String {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = dx.hypot(dy).max(1e-6);
    let bow = (spread(seed, 0.3) - 0.5) * (long * 0.012).min(2.4);
    let (mx, my) = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    format!(
        "M{} {}Q{} {} {} {}",
        n(from.0),
        n(from.1),
        n(mx - dy / long * bow),
        n(my + dx / long * bow),
        n(to.0),
        n(to.1)
    )
}

/// A rectangle of the drawing [px].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) w: f64,
    pub(super) h: f64,
}

impl Area {
    pub(super) fn right(&self) -> f64 {
        self.x + self.w
    }

    pub(super) fn bottom(&self) -> f64 {
        self.y + self.h
    }

    /// A point by shares of width and height.
    pub(super) fn share(&self, across: f64, down: f64) -> (f64, f64) {
        (self.x + self.w * across, self.y + self.h * down)
    }
}

/// Slanted strokes over an area, one every `gap` pixels, `long` pixels long.
pub(super) fn hatch(area: Area, gap: f64, long: f64) -> String {
    let mut d = String::new();
    let gap = gap.min(area.h * 0.8).max(2.0);
    let rows = (area.h / gap).floor() as usize;
    let columns = (area.w / gap).floor() as usize;
    for row in 0..rows {
        for column in 0..columns {
            let i = row * 31 + column * 7;
            let x = area.x + gap * (column as f64 + 0.15 + 0.5 * spread(i, 0.1));
            let y = area.y + gap * (row as f64 + 0.15 + 0.5 * spread(i, 0.7));
            let run = (long * (0.7 + 0.6 * spread(i, 0.4))).min(area.right() - x);
            let drop = (long * 0.35).min(area.bottom() - y);
            if run > 0.5 && drop > 0.0 {
                let _ = write!(d, "M{} {}l{} {}", n(x), n(y), n(run), n(drop));
            }
        }
    }
    d
}

/// Crumbs over an area.
pub(super) fn crumbs(area: Area, gap: f64) -> String {
    let mut d = String::new();
    let count = ((area.w * area.h) / (gap * gap)).floor().min(900.0) as usize;
    for i in 0..count {
        let x = area.x + 2.0 + (area.w - 4.0).max(0.0) * spread(i, 0.05);
        let y = area.y + 2.0 + (area.h - 4.0).max(0.0) * ((i as f64 + 0.5) / count as f64);
        let _ = write!(d, "M{} {}h.01", n(x), n(y));
    }
    d
}

/// Level waves across an area, `gap` apart.
pub(super) fn waves(area: Area, gap: f64) -> String {
    let mut d = String::new();
    let mut y = area.y + gap * 0.6;
    while y < area.bottom() - 1.0 {
        let _ = write!(d, "M{} {}", n(area.x + 1.0), n(y));
        let steps = ((area.w - 2.0) / 10.0).floor() as usize;
        for i in 0..steps {
            let up = if i % 2 == 0 { -2.0 } else { 2.0 };
            let _ = write!(d, "q5 {} 10 0", n(up));
        }
        y += gap;
    }
    d
}

/// One worm, lying `long` pixels along a heading [rad] from a point.
pub(super) fn worm(at: (f64, f64), long: f64, heading: f64) -> String {
    let (c, s) = (heading.cos(), heading.sin());
    let turn = |along: f64, aside: f64| -> String {
        format!("{} {}", n(along * c - aside * s), n(along * s + aside * c))
    };
    let third = long / 3.0;
    format!(
        "M{} {}c{} {} {}s{} {}",
        n(at.0),
        n(at.1),
        turn(third * 0.4, -third * 0.7),
        turn(third, -third * 0.7),
        turn(third * 1.5, 0.0),
        turn(third, third * 0.8),
        turn(third * 1.5, 0.0),
    )
}
