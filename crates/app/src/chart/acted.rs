//! How much of a dose has acted by a day: a small row of bars.

use super::Svg;
use super::ink::{Anchor, Sheet, n};

/// Share acted by one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ActedDay {
    /// Days after the dose.
    pub day: f64,
    /// Share of the base that has acted, middle [0 to 1].
    pub share: f64,
    /// 10th percentile [0 to 1].
    pub low: f64,
    /// 90th percentile [0 to 1].
    pub high: f64,
}

/// The row for one material.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ActedShare {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// The material.
    pub material: String,
    /// Days, in order.
    pub days: Vec<ActedDay>,
}

/// Bars of the share acted at each day, with the interval as a whisker.
#[must_use]
pub fn acted_share(data: &ActedShare) -> Svg {
    let days: Vec<ActedDay> = data
        .days
        .iter()
        .copied()
        .filter(|d| {
            [d.day, d.share, d.low, d.high]
                .iter()
                .all(|v| v.is_finite())
        })
        .take(8)
        .collect();
    let (column, tall, base) = (44.0, 40.0, 58.0);
    let width = (column * days.len() as f64 + 8.0).max(120.0);
    let mut sheet = Sheet::new(width, 78.0);
    for (i, day) in days.iter().enumerate() {
        let x = 4.0 + column * i as f64 + 10.0;
        let height = |share: f64| base - tall * share.clamp(0.0, 1.0);
        let outline = format!("M{} {base}V{}H{}V{base}", n(x), n(base - tall), n(x + 24.0));
        sheet.stroke("rule", &outline, 1.0, r#"stroke-opacity="0.35""#);
        let top = n(height(day.share));
        let bar = format!("M{} {base}V{top}H{}V{base}Z", n(x), n(x + 24.0));
        sheet.fill("bar", &bar, 0.3);
        sheet.stroke("bar-edge", &bar, 1.0, "");
        let whisker = format!(
            "M{} {}V{}",
            n(x + 12.0),
            n(height(day.low)),
            n(height(day.high))
        );
        sheet.stroke("whisker", &whisker, 1.5, "");
        let share = format!("{:.0} %", day.share.clamp(0.0, 1.0) * 100.0);
        sheet.text_in("tick", (x + 12.0, 14.0), Anchor::Middle, &share, column);
        let name = format!("d {}", n(day.day));
        sheet.text_in("tick", (x + 12.0, 73.0), Anchor::Middle, &name, column);
    }
    sheet.line("axis", (4.0, base), (width - 4.0, base), "");
    if days.is_empty() {
        sheet.text("tick", (4.0, 40.0), Anchor::Start, "not known");
    }
    let title = format!("{}: share of its base that has acted", data.material);
    sheet.finish(&data.id, "chart acted", &title, &in_words(&days))
}

fn in_words(days: &[ActedDay]) -> String {
    if days.is_empty() {
        return "How fast it acts is not known.".to_owned();
    }
    let parts: Vec<String> = days
        .iter()
        .map(|d| {
            format!(
                "{:.0} % by day {}",
                d.share.clamp(0.0, 1.0) * 100.0,
                n(d.day)
            )
        })
        .collect();
    format!("{}.", parts.join(", "))
}
