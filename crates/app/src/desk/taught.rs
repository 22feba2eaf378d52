//! How much an entry taught of a figure, for command and page alike.

use engine::estimate::track::Track;
use engine::quantity::Band;

/// Share under which there is as good as none of it [0 to 1].
const NEXT_TO_NONE: f64 = 0.02;
/// From which on it is worth telling.
const WORTH: f64 = 0.12;

/// How far a figure moved or narrowed, against its range before; `None` where that
/// is not worth telling.
#[must_use]
pub fn taught(track: Track, before: &Band, after: &Band) -> Option<f64> {
    let is_share = matches!(track, Track::FoodLeft | Track::CastingsShare);
    if is_share && before.high.max(after.high) < NEXT_TO_NONE {
        return None;
    }
    let width = |b: &Band| b.high - b.low;
    let was = width(before).max(1e-9);
    let moved = (after.median - before.median).abs() / was;
    let narrowed = 1.0 - width(after) / was;
    let worth = moved + narrowed.max(0.0);
    (worth.is_finite() && worth > WORTH).then_some(worth)
}
