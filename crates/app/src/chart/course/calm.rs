//! Lines too restless to be seen at the scale of the chart are drawn as means
//! over several days, and the range then holds every day of them.

use super::CoursePoint;

/// A turn of the line for every so many pixels is too restless; more, where
/// several lines share the axis.
const TURN: [f64; 2] = [8.0, 12.0];
/// Days are taken together over so many pixels.
const OVER: f64 = 26.0;
/// Turns smaller than this share of the values covered do not count.
const SMALL: f64 = 0.04;

/// Days to take together, when the line turns too often for `days_per_pixel`;
/// `covered` is the spread of the values on the axis, which several lines may
/// share.
pub(super) fn needed(
    path: &[CoursePoint],
    days_per_pixel: f64,
    covered: f64,
    is_shared: bool,
) -> Option<f64> {
    let (first, last) = (path.first()?, path.last()?);
    let pixels = (last.day - first.day) / days_per_pixel;
    let many = turns(path, covered * SMALL) as f64 * TURN[usize::from(is_shared)] > pixels;
    (many && pixels > OVER).then(|| (OVER * days_per_pixel).ceil().max(1.0))
}

/// How often the middle line turns by more than `least`.
fn turns(path: &[CoursePoint], least: f64) -> usize {
    let mut count = 0;
    let mut rising = None;
    let mut extreme = path.first().map_or(0.0, |p| p.median);
    for p in path {
        let up = p.median > extreme;
        if rising == Some(up) || p.median == extreme {
            extreme = p.median;
        } else if (p.median - extreme).abs() > least {
            count += usize::from(rising.is_some());
            rising = Some(up);
            extreme = p.median;
        }
    }
    count
}

/// Means over `window` days about each day, the nearer counting more; the
/// range holds all of them.
pub(super) fn calmed(path: &[CoursePoint], window: f64) -> Vec<CoursePoint> {
    let half = window / 2.0;
    let (mut from, mut to) = (0, 0);
    let about = |p: &CoursePoint| {
        while path[from].day < p.day - half {
            from += 1;
        }
        while to < path.len() && path[to].day <= p.day + half {
            to += 1;
        }
        let near = &path[from..to];
        let weight = |q: &CoursePoint| 1.0 - 0.98 * (q.day - p.day).abs() / half;
        let all: f64 = near.iter().map(weight).sum();
        CoursePoint {
            day: p.day,
            median: near.iter().map(|q| q.median * weight(q)).sum::<f64>() / all,
            low: near.iter().map(|q| q.low).fold(f64::INFINITY, f64::min),
            high: near
                .iter()
                .map(|q| q.high)
                .fold(f64::NEG_INFINITY, f64::max),
        }
    };
    path.iter().map(about).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn saw() -> Vec<CoursePoint> {
        (0..200)
            .map(|d| CoursePoint::sure(f64::from(d), f64::from(d % 4)))
            .collect()
    }

    #[test]
    fn a_saw_is_restless_and_a_slope_is_not() {
        assert!(needed(&saw(), 1.0, 4.0, false).is_some());
        assert_eq!(needed(&saw(), 0.1, 4.0, false), None);
        let slope: Vec<CoursePoint> = (0..200)
            .map(|d| CoursePoint::sure(f64::from(d), f64::from(d)))
            .collect();
        assert_eq!(needed(&slope, 1.0, 200.0, false), None);
    }

    #[test]
    fn the_mean_of_a_saw_is_its_middle_and_its_range_holds_every_day() {
        let calm = calmed(&saw(), 8.0);
        let p = calm[100];
        assert!((p.median - 1.5).abs() < 0.2, "{}", p.median);
        assert_eq!((p.low, p.high), (0.0, 3.0));
        assert_eq!(calm.len(), saw().len());
    }
}
