//! Plots of pH against an amount: the dose curve with its slider, and the
//! jar test with its fitted line.

use super::ink::{Anchor, Sheet, between, n, through};
use super::plane::{Plane, extent};
use super::{Size, Svg};
use crate::report;

/// pH at one amount, with its 80 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Amount given, in the unit of the chart.
    pub amount: f64,
    /// Middle pH.
    pub median: f64,
    /// 10th percentile.
    pub low: f64,
    /// 90th percentile.
    pub high: f64,
}

/// pH against amount of one material.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DoseCurve {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// What is plotted, as a sentence start: `pH in 4 weeks by limestone given`.
    pub title: String,
    /// Unit of the amount, as shown on the axis: `g of limestone`.
    pub unit: String,
    /// The curve, by rising amount.
    pub points: Vec<CurvePoint>,
    /// Running totals after each recommended step, in the same unit.
    pub steps: Vec<f64>,
    /// Where the slider stands.
    pub at: Option<f64>,
    /// pH aimed at.
    pub target: Option<f64>,
}

/// A jar test: points and the line fitted to them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct JarPlot {
    /// Distinguishes this picture on a page.
    pub id: String,
    /// Unit of the amount: `g of limestone per jar`.
    pub unit: String,
    /// Amount and pH of each jar.
    pub jars: Vec<(f64, f64)>,
    /// Fitted line with its interval.
    pub fit: Vec<CurvePoint>,
}

fn finite(points: &[CurvePoint]) -> Vec<CurvePoint> {
    let mut kept: Vec<CurvePoint> = points
        .iter()
        .copied()
        .filter(|p| {
            [p.amount, p.median, p.low, p.high]
                .iter()
                .all(|v| v.is_finite())
        })
        .collect();
    kept.sort_by(|a, b| a.amount.total_cmp(&b.amount));
    kept
}

/// Band and line of a curve on a plane.
fn draw_curve(sheet: &mut Sheet, plane: &Plane, points: &[CurvePoint]) {
    let along = |f: fn(&CurvePoint) -> f64| -> Vec<(f64, f64)> {
        points.iter().map(|p| plane.point(p.amount, f(p))).collect()
    };
    let (low, high) = (along(|p| p.low), along(|p| p.high));
    sheet.fill("band", &between(&high, &low), 0.13);
    sheet.stroke("band-edge", &through(&low), 0.75, r#"stroke-opacity="0.5""#);
    sheet.stroke(
        "band-edge",
        &through(&high),
        0.75,
        r#"stroke-opacity="0.5""#,
    );
    sheet.stroke("estimate", &through(&along(|p| p.median)), 2.25, "");
}

fn plane_for(size: Size, xs: Vec<f64>, ys: Vec<f64>) -> (Sheet, Plane) {
    let x = extent(xs.into_iter().chain([0.0]), (0.0, 1.0));
    let y = extent(ys.into_iter(), (4.0, 8.0));
    let y = ((y.0 - 0.15).floor(), (y.1 + 0.15).ceil());
    let least = if x.1 > x.0 { 0.0 } else { 1.0 };
    let bottom = if size == Size::Wide { 250.0 } else { 220.0 };
    let plane = Plane::new(size, bottom, x, y, least);
    (Sheet::new(size.width(), bottom + 42.0), plane)
}

/// The pH reached for each amount, with the recommended steps and the
/// slider's place.
#[must_use]
pub fn dose_curve(data: &DoseCurve, size: Size) -> Svg {
    let points = finite(&data.points);
    let marks: Vec<f64> = data
        .steps
        .iter()
        .copied()
        .filter(|s| s.is_finite())
        .collect();
    let at = data.at.filter(|a| a.is_finite());
    let target = data.target.filter(|t| t.is_finite());
    let xs = points
        .iter()
        .map(|p| p.amount)
        .chain(marks.clone())
        .chain(at);
    let ys = points
        .iter()
        .flat_map(|p| [p.low, p.median, p.high])
        .chain(target);
    let (mut sheet, plane) = plane_for(size, xs.collect(), ys.collect());
    plane.rule_y(&mut sheet, "pH");
    plane.rule_x(
        &mut sheet,
        &data.unit,
        if size == Size::Wide { 8.0 } else { 4.0 },
    );
    if let Some(target) = target {
        let y = plane.y.at(target);
        sheet.line(
            "target",
            (plane.left, y),
            (plane.right, y),
            r#"stroke-dasharray="2 3""#,
        );
        let words = format!("aim {}", report::ph(target));
        let away = |p: Option<&CurvePoint>| p.map_or(0.0, |p| (p.median - target).abs());
        let (at, anchor) = if away(points.first()) > away(points.last()) {
            (plane.left + 4.0, Anchor::Start)
        } else {
            (plane.right - 2.0, Anchor::End)
        };
        sheet.text("on-lines", (at, y - 5.0), anchor, &words);
    }
    draw_curve(&mut sheet, &plane, &points);
    draw_steps(&mut sheet, &plane, &marks);
    let here = at.and_then(|a| value_at(&points, a).map(|p| (a, p)));
    if let Some((_, p)) = here {
        draw_slider(&mut sheet, &plane, &p);
    }
    if points.is_empty() {
        sheet.text(
            "note",
            plane_middle(&plane),
            Anchor::Middle,
            "no estimate yet",
        );
    }
    let id = format!("{}-{}", data.id, size.word());
    sheet.finish(
        &id,
        "chart curve",
        &data.title,
        &curve_words(&points, here, &data.unit),
    )
}

fn plane_middle(plane: &Plane) -> (f64, f64) {
    (
        f64::midpoint(plane.left, plane.right),
        f64::midpoint(plane.top, plane.bottom),
    )
}

fn draw_steps(sheet: &mut Sheet, plane: &Plane, steps: &[f64]) {
    for (i, step) in steps.iter().take(9).enumerate() {
        let x = plane.x.at(*step);
        let (top, bottom) = (n(plane.top), n(plane.bottom));
        let d = format!("M{} {bottom}V{top}", n(x));
        sheet.stroke(
            "step",
            &d,
            1.0,
            r#"stroke-dasharray="5 3" stroke-opacity="0.7""#,
        );
        let words = format!("{}", i + 1);
        sheet.text("tick", (x, plane.top - 3.0), Anchor::Middle, &words);
    }
}

fn draw_slider(sheet: &mut Sheet, plane: &Plane, p: &CurvePoint) {
    let (x, y) = plane.point(p.amount, p.median);
    let bar = format!(
        "M{} {}V{}",
        n(x),
        n(plane.y.at(p.low)),
        n(plane.y.at(p.high))
    );
    sheet.stroke("here", &bar, 3.0, "");
    sheet.raw(&format!(
        r#"<circle class="here-dot" cx="{}" cy="{}" r="6" fill="currentColor"/>"#,
        n(x),
        n(y)
    ));
    let words = report::ph(p.median);
    let (dx, anchor) = if x > plane.right - 40.0 {
        (-11.0, Anchor::End)
    } else {
        (11.0, Anchor::Start)
    };
    sheet.text("strong", (x + dx, y + 14.0), anchor, &words);
}

/// The curve at an amount, by straight lines between its points.
fn value_at(points: &[CurvePoint], amount: f64) -> Option<CurvePoint> {
    let (first, last) = (points.first()?, points.last()?);
    let amount = amount.clamp(first.amount, last.amount);
    let after = points.iter().position(|p| p.amount >= amount)?;
    let (a, b) = (points[after.saturating_sub(1)], points[after]);
    let gap = b.amount - a.amount;
    let share = if gap > 0.0 {
        (amount - a.amount) / gap
    } else {
        1.0
    };
    let mix = |from: f64, to: f64| from + (to - from) * share;
    Some(CurvePoint {
        amount,
        median: mix(a.median, b.median),
        low: mix(a.low, b.low),
        high: mix(a.high, b.high),
    })
}

fn curve_words(points: &[CurvePoint], here: Option<(f64, CurvePoint)>, unit: &str) -> String {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return "There is no estimate to draw yet.".to_owned();
    };
    let say = |p: &CurvePoint| {
        format!(
            "{} {unit}: pH {} ({} to {})",
            report::significant(p.amount, 2),
            report::ph(p.median),
            report::ph(p.low),
            report::ph(p.high)
        )
    };
    let mut words = format!("{}; {}.", say(first), say(last));
    if let Some((_, p)) = here {
        words = format!("At the slider, {}. {words}", say(&p));
    }
    words
}

/// The jars and the line fitted through them.
#[must_use]
pub fn jar_plot(data: &JarPlot, size: Size) -> Svg {
    let fit = finite(&data.fit);
    let jars: Vec<(f64, f64)> = data
        .jars
        .iter()
        .copied()
        .filter(|(a, p)| a.is_finite() && p.is_finite())
        .collect();
    let xs = fit.iter().map(|p| p.amount).chain(jars.iter().map(|j| j.0));
    let ys = fit
        .iter()
        .flat_map(|p| [p.low, p.high])
        .chain(jars.iter().map(|j| j.1));
    let (mut sheet, plane) = plane_for(size, xs.collect(), ys.collect());
    plane.rule_y(&mut sheet, "pH");
    plane.rule_x(
        &mut sheet,
        &data.unit,
        if size == Size::Wide { 8.0 } else { 4.0 },
    );
    draw_curve(&mut sheet, &plane, &fit);
    for (amount, ph) in &jars {
        let (x, y) = plane.point(*amount, *ph);
        let jar = format!("M{} {}h8v-9h-2v-3h-4v3h-2Z", n(x - 4.0), n(y + 6.0));
        sheet.fill("jar", &jar, 1.0);
    }
    if jars.is_empty() {
        sheet.text("note", plane_middle(&plane), Anchor::Middle, "no jars yet");
    }
    let list: Vec<String> = jars
        .iter()
        .map(|(a, p)| {
            format!(
                "{} {}: pH {}",
                report::significant(*a, 2),
                data.unit,
                report::ph(*p)
            )
        })
        .collect();
    let id = format!("{}-{}", data.id, size.word());
    let words = format!(
        "Jars: {}. Line: fit with its 80 % interval.",
        list.join("; ")
    );
    sheet.finish(
        &id,
        "chart curve",
        "Jar test: pH against amount given",
        &words,
    )
}
