//! The data of a chart with everything left out that cannot be drawn, and
//! what the axes cover.

use super::calm::{calmed, needed};
use super::{Course, CourseLimit, CourseMark, CoursePoint, CourseReading};
use crate::chart::plane::{extent, round_step};

/// Furthest day drawn, either way: a hundred years.
const FAR: f64 = 36_525.0;
/// Largest value drawn, either way.
const LARGE: f64 = 1e9;
/// Most stretches a line is drawn in: finer cannot be seen.
const STRETCHES: usize = 300;
/// Further lines drawn.
const MOST_EXTRA: usize = 3;

/// What can be drawn.
pub(super) struct Clean<'a> {
    pub(super) course: &'a Course,
    /// Days covered.
    pub(super) days: (f64, f64),
    /// Values covered.
    pub(super) values: (f64, f64),
    /// Step between rulings.
    pub(super) step: f64,
    pub(super) now: Option<f64>,
    /// As estimated.
    pub(super) band: Vec<CoursePoint>,
    /// As drawn.
    pub(super) drawn: Vec<CoursePoint>,
    /// Further lines, as estimated.
    pub(super) extra: Vec<(&'a str, Vec<CoursePoint>)>,
    /// Further lines, as drawn.
    pub(super) drawn_extra: Vec<(&'a str, Vec<CoursePoint>)>,
    /// Days taken together in what is drawn.
    window: Option<f64>,
    pub(super) readings: Vec<&'a CourseReading>,
    pub(super) marks: Vec<&'a CourseMark>,
    pub(super) limits: Vec<&'a CourseLimit>,
}

fn drawable(value: f64) -> bool {
    value.is_finite() && value.abs() <= LARGE
}

impl<'a> Clean<'a> {
    pub(super) fn of(course: &'a Course) -> Self {
        let shown = course
            .shown
            .filter(|(a, b)| a.is_finite() && b.is_finite() && a < b);
        let (from, to) = shown.map_or((-FAR, FAR), |(a, b)| (a.max(-FAR), b.min(FAR)));
        let near = |day: f64| day.is_finite() && day >= from && day <= to;
        let path = |points: &[CoursePoint]| thinned(kept(points, near));
        let mut marks: Vec<&CourseMark> = course.marks.iter().filter(|m| near(m.day)).collect();
        marks.sort_by(|a, b| a.day.total_cmp(&b.day));
        let read =
            |r: &&CourseReading| near(r.day) && [r.value, r.low, r.high].into_iter().all(drawable);
        let mut readings: Vec<&CourseReading> = course.readings.iter().filter(read).collect();
        readings.sort_by(|a, b| a.day.total_cmp(&b.day));
        let mut clean = Self {
            course,
            days: (0.0, 1.0),
            values: (0.0, 1.0),
            step: 1.0,
            now: course.now.filter(|now| near(*now)),
            band: path(&course.band),
            drawn: Vec::new(),
            drawn_extra: Vec::new(),
            window: None,
            extra: course
                .extra
                .iter()
                .map(|l| (l.name.as_str(), path(&l.points)))
                .filter(|(_, p)| !p.is_empty())
                .take(MOST_EXTRA)
                .collect(),
            readings,
            marks,
            limits: course.limits.iter().filter(|l| drawable(l.value)).collect(),
        };
        clean.days = shown.map_or_else(|| clean.all_days(), |_| (from, to));
        (clean.values, clean.step) = clean.all_values();
        clean.drawn.clone_from(&clean.band);
        clean.drawn_extra.clone_from(&clean.extra);
        clean
    }

    /// Draw restless lines calmly on an axis `pixels` long.
    pub(super) fn calm(&mut self, pixels: f64) {
        let scale = (self.days.1 - self.days.0) / pixels;
        let covered = self.values.1 - self.values.0;
        let lines = std::iter::once(&self.band).chain(self.extra.iter().map(|e| &e.1));
        let is_shared = !self.extra.is_empty();
        let windows = lines.filter_map(|l| needed(l, scale, covered, is_shared));
        self.window = windows.reduce(f64::max);
        if let Some(window) = self.window {
            self.drawn = calmed(&self.band, window);
            for (_, line) in &mut self.drawn_extra {
                *line = calmed(line, window);
            }
        }
    }

    /// What was done to the lines, in words.
    pub(super) fn calm_words(&self) -> Option<String> {
        let days = self.window?;
        Some(format!(
            "lines: means over {days:.0} days; range: every day"
        ))
    }

    /// Nothing was estimated and nothing read.
    pub(super) fn is_empty(&self) -> bool {
        self.band.is_empty() && self.readings.is_empty() && self.extra.is_empty()
    }

    /// Names at the ends of the lines; none when there is one line only.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        let main = (!self.band.is_empty()).then_some(self.course.name.as_str());
        let all = main.into_iter().chain(self.extra.iter().map(|(n, _)| *n));
        all.filter(|name| !name.is_empty() && !self.extra.is_empty())
    }

    /// Main line up to now and from now on; all of it is past without a now.
    pub(super) fn halves(&self) -> (Vec<CoursePoint>, Vec<CoursePoint>) {
        let Some(now) = self.now else {
            return (self.drawn.clone(), Vec::new());
        };
        let mut past: Vec<CoursePoint> = self.until(now).copied().collect();
        let mut future: Vec<CoursePoint> =
            self.drawn.iter().filter(|p| p.day > now).copied().collect();
        if let Some(here) = inside(&self.drawn, now) {
            if past.last().is_some_and(|p| p.day < now) {
                past.push(here);
            }
            if !future.is_empty() {
                future.insert(0, here);
            }
        }
        (past, future)
    }

    fn until(&self, now: f64) -> impl Iterator<Item = &CoursePoint> {
        self.drawn.iter().filter(move |p| p.day <= now)
    }

    fn all_days(&self) -> (f64, f64) {
        let paths = self.band.iter().chain(self.extra.iter().flat_map(|e| &e.1));
        let days = paths
            .map(|p| p.day)
            .chain(self.readings.iter().map(|r| r.day))
            .chain(self.marks.iter().map(|m| m.day))
            .chain(self.now);
        let (low, high) = extent(days, (0.0, 7.0));
        (low.floor(), high.ceil().max(low.floor() + 1.0))
    }

    /// Values covered, and the step between rulings. A limit
    /// near the data is taken in; one far off would flatten it.
    fn all_values(&self) -> ((f64, f64), f64) {
        let paths = self.band.iter().chain(self.extra.iter().flat_map(|e| &e.1));
        let values = paths
            .flat_map(|p| [p.low, p.high])
            .chain(self.readings.iter().flat_map(|r| [r.low, r.value, r.high]));
        let limits = extent(self.limits.iter().map(|l| l.value), (0.0, 1.0));
        let (mut low, mut high) = extent(values, limits);
        let least = (low.abs().max(high.abs()) * 0.08).max(1e-3);
        let reach = (high - low).max(least) * 0.6;
        for limit in &self.limits {
            if limit.value >= low - reach && limit.value <= high + reach {
                low = low.min(limit.value);
                high = high.max(limit.value);
            }
        }
        let short = (least - (high - low)).max(0.0);
        let pad = 0.04 * (high - low + short) + short / 2.0;
        let (floor, ceiling) = self.course.possible;
        let floor = floor.filter(|f| drawable(*f) && *f <= low);
        let ceiling = ceiling.filter(|c| drawable(*c) && *c >= high);
        // Close to nothing, the axis starts at nothing.
        let start = match floor {
            Some(f) if low - f < 0.2 * (high - f) => f,
            Some(f) => (low - pad).max(f),
            None => low - pad,
        };
        let end = ceiling.map_or(high + pad, |c| (high + pad).min(c));
        let end = end.max(start + 1e-3);
        ((start, end), round_step((end - start) / 4.0))
    }
}

/// Points that can be drawn, in order, low under middle under high.
fn kept(points: &[CoursePoint], near: impl Fn(f64) -> bool) -> Vec<CoursePoint> {
    let mut kept: Vec<CoursePoint> = points
        .iter()
        .filter(|p| near(p.day) && [p.median, p.low, p.high].into_iter().all(drawable))
        .map(|p| CoursePoint {
            low: p.low.min(p.median),
            high: p.high.max(p.median),
            ..*p
        })
        .collect();
    kept.sort_by(|a, b| a.day.total_cmp(&b.day));
    kept
}

/// Fewer points for the same look: from each stretch the lowest and the
/// highest stay, and the range covers the whole stretch.
fn thinned(points: Vec<CoursePoint>) -> Vec<CoursePoint> {
    if points.len() <= 2 * STRETCHES {
        return points;
    }
    let long = points.len().div_ceil(STRETCHES);
    let mut out = Vec::with_capacity(2 * STRETCHES + 2);
    out.extend(points.first().copied());
    for stretch in points[1..points.len() - 1].chunks(long) {
        let low = stretch.iter().map(|p| p.low).fold(f64::INFINITY, f64::min);
        let high = stretch
            .iter()
            .map(|p| p.high)
            .fold(f64::NEG_INFINITY, f64::max);
        let by_value = |a: &&CoursePoint, b: &&CoursePoint| a.median.total_cmp(&b.median);
        let ends = [
            stretch.iter().min_by(by_value),
            stretch.iter().max_by(by_value),
        ];
        let mut ends: Vec<CoursePoint> = ends
            .into_iter()
            .flatten()
            .map(|p| CoursePoint { low, high, ..*p })
            .collect();
        ends.sort_by(|a, b| a.day.total_cmp(&b.day));
        ends.dedup_by(|a, b| a.day == b.day);
        out.extend(ends);
    }
    out.extend(points.last().copied());
    out
}

/// The line at a day between its first and last, by straight lines.
pub(super) fn inside(points: &[CoursePoint], day: f64) -> Option<CoursePoint> {
    let (first, last) = (points.first()?, points.last()?);
    if day < first.day || day > last.day {
        return None;
    }
    let after = points.partition_point(|p| p.day < day);
    let (a, b) = (points[after.saturating_sub(1)], points[after]);
    let gap = b.day - a.day;
    let share = if gap > 0.0 { (day - a.day) / gap } else { 1.0 };
    let mix = |from: f64, to: f64| from + (to - from) * share;
    Some(CoursePoint {
        day,
        median: mix(a.median, b.median),
        low: mix(a.low, b.low),
        high: mix(a.high, b.high),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_the_ends_and_the_extremes() {
        let mut points: Vec<CoursePoint> = (0..8760)
            .map(|i| CoursePoint::sure(f64::from(i) / 24.0, (f64::from(i) / 100.0).sin()))
            .collect();
        points[4321] = CoursePoint::sure(points[4321].day, 9.0);
        let thin = thinned(points.clone());
        assert!(thin.len() <= 2 * STRETCHES + 2, "{}", thin.len());
        assert_eq!(thin.first(), points.first());
        assert_eq!(thin.last(), points.last());
        assert!(thin.iter().any(|p| p.median == 9.0));
        assert!(thin.windows(2).all(|w| w[0].day <= w[1].day));
    }

    #[test]
    fn between_two_days_lies_half_of_each() {
        let line = [CoursePoint::sure(0.0, 10.0), CoursePoint::sure(4.0, 20.0)];
        let at = |day: f64| inside(&line, day).map(|p| p.median);
        assert_eq!(at(1.0), Some(12.5));
        assert_eq!(at(0.0), Some(10.0));
        assert_eq!(at(4.0), Some(20.0));
        assert_eq!(at(4.1), None);
    }
}
