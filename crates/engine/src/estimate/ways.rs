//! The way of the members through time, kept member by member, so that what is
//! heard later weighs the past anew without its being lived again.

use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::hands::Hands;
use crate::estimate::scene::Scene;
use crate::estimate::track::{Moment, TRACKS, Track};
use crate::log::EntryId;
use crate::quantity::Band;
use serde::{Deserialize, Serialize};

/// At most twice so many moments of the courses are kept.
const MOMENTS: usize = 60;
/// At most twice so many of the bed's pH.
const PATH: usize = 160;
/// Shortest span of which one moment is kept [s].
const SPAN: i64 = 43_200;

/// Numbers of all members at moments spread evenly: of each span one, and where
/// there are too many of them spans of twice the length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Trace {
    most: usize,
    span: i64,
    /// When [s since the bin was filled], and a number for each member.
    moments: Vec<(i64, Vec<f32>)>,
}

impl Trace {
    const fn new(most: usize) -> Self {
        Self {
            most,
            span: SPAN,
            moments: Vec::new(),
        }
    }

    /// Whether a moment is the first of its span.
    fn is_new(&self, at: i64) -> bool {
        let cell = |t: i64| t.div_euclid(self.span);
        self.moments.last().is_none_or(|m| cell(m.0) < cell(at))
    }

    fn map(mut self, of: impl Fn(Vec<f32>) -> Vec<f32>) -> Self {
        let moments = self.moments.into_iter();
        self.moments = moments.map(|(at, numbers)| (at, of(numbers))).collect();
        self
    }

    fn keep(&mut self, at: i64, numbers: Vec<f32>) {
        self.moments.push((at, numbers));
        while self.moments.len() > 2 * self.most {
            self.span *= 2;
            let span = self.span;
            self.moments.dedup_by_key(|m| m.0.div_euclid(span));
        }
    }
}

/// The way of all members of an ensemble from their filling on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Ways {
    /// Of pH.
    path: Trace,
    /// Of the figures of every track, member after member.
    course: Trace,
    /// Base that each dose brought [meq].
    given: Vec<(EntryId, Vec<f32>)>,
    /// Buffer as filled [meq per pH unit].
    buffer: Vec<f32>,
}

impl Ways {
    /// Of members just filled.
    pub(crate) fn begin(e: &Ensemble, scene: &Scene) -> Self {
        let mut ways = Self {
            path: Trace::new(PATH),
            course: Trace::new(MOMENTS),
            given: Vec::new(),
            buffer: of(e, |m| 1000.0 * m.bed.buffer_at(m.bed.ph())),
        };
        ways.see(e, scene, scene.start);
        ways
    }

    /// Whether anything is kept of the end of a step
    /// [s since 1970-01-01 00:00 UTC].
    pub(crate) fn sees(&self, scene: &Scene, at: i64) -> bool {
        let at = at - scene.start;
        self.path.is_new(at) || self.course.is_new(at)
    }

    /// Sees them at the end of a step [s since 1970-01-01 00:00 UTC].
    pub(crate) fn see(&mut self, e: &Ensemble, scene: &Scene, at: i64) {
        let at = at - scene.start;
        if self.path.is_new(at) {
            self.path.keep(at, of(e, |m| m.bed.ph()));
        }
        if self.course.is_new(at) {
            let signs = e.signs(scene);
            let figures = |s| Track::ALL.iter().map(move |t| t.of(s) as f32);
            self.course
                .keep(at, signs.iter().flat_map(figures).collect());
        }
    }

    /// Sees what a dose brought them.
    pub(crate) fn see_dose(&mut self, e: &Ensemble, entry: EntryId) {
        self.given.push((entry, of(e, |m| m.given_meq)));
    }

    /// Of these members alone.
    pub(crate) fn few(self, chosen: &[usize]) -> Self {
        let one = |numbers: Vec<f32>| chosen.iter().map(|i| numbers[*i]).collect();
        let all = |numbers: Vec<f32>| {
            let of = |i: &usize| numbers[i * TRACKS..(i + 1) * TRACKS].to_vec();
            chosen.iter().flat_map(of).collect()
        };
        Self {
            path: self.path.map(one),
            course: self.course.map(all),
            given: self.given.into_iter().map(|(id, n)| (id, one(n))).collect(),
            buffer: one(self.buffer),
        }
    }

    /// The bed's pH through time (s since 1970-01-01 00:00 UTC, band).
    pub(crate) fn path(&self, start: i64, weights: &[f64]) -> Vec<(i64, Band)> {
        let moments = self.path.moments.iter();
        moments
            .map(|(at, numbers)| (start + at, band(numbers.iter(), weights)))
            .collect()
    }

    /// Every figure through time.
    pub(crate) fn course(&self, start: i64, weights: &[f64], hands: &dyn Hands) -> Vec<Moment> {
        let moments = &self.course.moments;
        let of = |place: usize, track: Track| {
            // Members lie one after another, each with all its figures.
            let numbers = moments[place].1.iter();
            band(numbers.skip(track as usize).step_by(TRACKS), weights)
        };
        let at: Vec<i64> = moments.iter().map(|m| start + m.0).collect();
        Moment::all(hands, &at, &of)
    }

    /// Base that a dose brought [meq].
    pub(crate) fn given(&self, entry: EntryId, weights: &[f64]) -> Option<Band> {
        let of = self.given.iter().find(|g| g.0 == entry)?;
        Some(band(of.1.iter(), weights))
    }

    /// Buffer as filled [meq per pH unit].
    pub(crate) fn buffer_at_start(&self, weights: &[f64]) -> Band {
        band(self.buffer.iter(), weights)
    }
}

fn of(e: &Ensemble, f: impl Fn(&Possible) -> f64) -> Vec<f32> {
    e.members.iter().map(|m| f(m) as f32).collect()
}

fn band<'a>(numbers: impl Iterator<Item = &'a f32>, weights: &[f64]) -> Band {
    let values: Vec<f64> = numbers.map(|x| f64::from(*x)).collect();
    Band::weighted(&values, weights).unwrap_or(Band {
        median: f64::NAN,
        low: f64::NAN,
        high: f64::NAN,
    })
}

#[cfg(test)]
mod tests {
    use super::{PATH, SPAN, Trace};

    #[test]
    fn a_trace_stays_short_evenly_spread_and_the_same_however_it_was_cut() {
        let see = |trace: &mut Trace, days: std::ops::Range<i64>| {
            for at in days.map(|d| d * 86_400) {
                if trace.is_new(at) {
                    trace.keep(at, vec![at as f32]);
                }
            }
        };
        let mut whole = Trace::new(PATH);
        see(&mut whole, 0..2000);
        let mut cut = Trace::new(PATH);
        see(&mut cut, 0..700);
        let mut cut = cut.clone();
        see(&mut cut, 700..2000);
        assert_eq!(whole, cut);
        assert!((PATH..=2 * PATH).contains(&whole.moments.len()));
        assert_eq!(whole.moments[0].0, 0);
        let gaps: Vec<i64> = whole.moments.windows(2).map(|w| w[1].0 - w[0].0).collect();
        assert!(gaps.iter().all(|g| *g == whole.span && g % SPAN == 0));
    }
}
