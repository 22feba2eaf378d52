//! The same course as a small strip beside a figure.

use super::Course;
use super::clean::Clean;
use super::words::in_words;
use crate::chart::Svg;
use crate::chart::ink::{Sheet, between, n, through};
use crate::chart::plane::Scale;

/// Width of the strip [px].
const WIDE: f64 = 150.0;
/// Height of the strip [px].
const TALL: f64 = 40.0;

/// What a strip covers, in words: its days and the values from foot to top.
#[must_use]
pub fn spark_scale(course: &Course) -> String {
    let clean = Clean::of(course);
    let days = (clean.days.1 - clean.days.0).round().max(1.0);
    let over = if days < 14.0 {
        crate::report::count(days as usize, "day", "days")
    } else {
        format!("{:.0} weeks", days / 7.0)
    };
    let unit = match course.unit.as_str() {
        "" => String::new(),
        unit => format!("\u{a0}{unit}"),
    };
    let at = |v: f64| crate::report::significant(v, 2);
    format!(
        "{over}, {} to {}{unit}",
        at(clean.values.0),
        at(clean.values.1)
    )
}

/// A course as a strip without numbers: range, middle line, now. The figure
/// stands beside it; the words of the whole chart go with it.
#[must_use]
pub fn course_spark(course: &Course) -> Svg {
    let mut clean = Clean::of(course);
    clean.calm(WIDE - 6.0);
    let x = Scale::new(clean.days.0, clean.days.1, 1.0, 3.0, WIDE - 3.0);
    let y = Scale::new(clean.values.0, clean.values.1, 1e-6, TALL - 3.0, 3.0);
    let mut sheet = Sheet::new(WIDE, TALL);
    let faint = r#"stroke-opacity="0.35""#;
    sheet.line("axis", (3.0, TALL - 1.5), (WIDE - 3.0, TALL - 1.5), faint);
    for limit in &clean.limits {
        if limit.value >= clean.values.0 && limit.value <= clean.values.1 {
            let d = format!("M3 {}H{}", n(y.at(limit.value)), n(WIDE - 3.0));
            sheet.stroke("limit", &d, 1.25, super::lines::LIMIT);
        }
    }
    let (past, future) = clean.halves();
    for (path, tint, dashes) in [(past, 0.2, ""), (future, 0.1, r#"stroke-dasharray="4 3""#)] {
        let line = |f: fn(&super::CoursePoint) -> f64| -> Vec<(f64, f64)> {
            path.iter().map(|p| (x.at(p.day), y.at(f(p)))).collect()
        };
        let (low, high) = (line(|p| p.low), line(|p| p.high));
        sheet.fill("band", &between(&high, &low), tint);
        sheet.stroke("median", &through(&line(|p| p.median)), 1.75, dashes);
    }
    if let Some(now) = clean.now {
        let at = n(x.at(now));
        sheet.stroke("now", &format!("M{at} 2V{}", n(TALL - 1.5)), 1.25, "");
    }
    for r in &clean.readings {
        let (cx, cy) = (n(x.at(r.day)), n(y.at(r.value)));
        sheet.raw(&format!(
            r#"<circle class="reading" cx="{cx}" cy="{cy}" r="2" fill="currentColor"/>"#
        ));
    }
    let id = format!("{}-strip", course.id);
    let title = format!("{} lately", course.heading());
    sheet.finish(&id, "chart spark", &title, &in_words(&clean))
}
