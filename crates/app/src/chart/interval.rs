//! The small bar beside a figure: where its 80 % interval lies.

use super::Svg;
use super::ink::{Sheet, n};
use super::plane::Scale;
use engine::quantity::Band;

/// A bar from low to high with a tick at the median, on an axis `axis`.
/// Nothing is drawn beyond the axis; an arrow says it goes on.
#[must_use]
pub fn interval_bar(id: &str, band: &Band, axis: (f64, f64), words: &str) -> Svg {
    let mut sheet = Sheet::new(120.0, 16.0);
    let known = [band.low, band.median, band.high, axis.0, axis.1];
    sheet.line("rule", (4.0, 8.0), (116.0, 8.0), r#"stroke-opacity="0.35""#);
    if known.iter().all(|v| v.is_finite()) && axis.0 < axis.1 {
        let scale = Scale::new(axis.0, axis.1, 1e-9, 4.0, 116.0);
        let at = |v: f64| scale.at(v.clamp(axis.0, axis.1));
        let (low, high) = (at(band.low), at(band.high).max(at(band.low) + 1.0));
        let d = format!("M{} 4.5H{}V11.5H{}Z", n(low), n(high), n(low));
        sheet.fill("band", &d, 0.28);
        sheet.stroke("band-edge", &d, 1.0, "");
        let middle = n(at(band.median));
        sheet.stroke("median", &format!("M{middle} 1V15"), 2.5, "");
        if band.low < axis.0 {
            sheet.stroke("beyond", "M8 4L3 8L8 12", 1.5, "");
        }
        if band.high > axis.1 {
            sheet.stroke("beyond", "M112 4L117 8L112 12", 1.5, "");
        }
    }
    sheet.finish(
        id,
        "chart interval",
        words,
        "Bar: 80 % interval. Tick: middle value.",
    )
}
