//! How a long past is followed, so that no log, and no wrong year in one, makes
//! an answer slow: a long silence is followed only so far, and what is long
//! ago by fewer possible bins.

use super::{DAY, Ensemble, Run};

/// Of a silence so much is followed; more of it would change little [d].
const SILENCE_DAYS: f64 = 365.0;
/// Days of silence worth telling as cut short [d].
const TOLD_DAYS: f64 = 1.0;
/// Fewest possible bins that a past is followed by.
const FEWEST: usize = 40;

/// How a run is paced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pace {
    /// Possible bins at first.
    pub(super) few: usize,
    /// From when on all are followed [s since 1970-01-01 00:00 UTC].
    pub(super) all_from: i64,
}

impl Pace {
    /// For `times` of what is in the log, filling first and now last
    /// [s since 1970-01-01 00:00 UTC], with `members` possible bins and at
    /// most about `work` of them times days. Half of it goes to the latest
    /// days.
    pub(super) fn of(times: &[i64], members: usize, work: f64) -> Self {
        let first = times.first().copied().unwrap_or_default();
        let days = |w: &[i64]| ((w[1] - w[0]) as f64 / DAY).clamp(0.0, SILENCE_DAYS);
        let all: f64 = times.windows(2).map(days).sum();
        if all * members as f64 <= work {
            return Self {
                few: members,
                all_from: first,
            };
        }
        let late = 0.5 * work / members as f64;
        let mut left = late;
        let mut all_from = first;
        for w in times.windows(2).rev() {
            if days(w) > left {
                all_from = w[0] + ((days(w) - left) * DAY) as i64;
                break;
            }
            left -= days(w);
        }
        let few = (0.5 * work / (all - late).max(1.0)) as usize;
        Self {
            few: few.max(FEWEST).min(members),
            all_from,
        }
    }
}

impl Run {
    /// Goes back to as many possible bins as were asked for, when it is time.
    pub(super) fn keep_pace(&mut self, to: i64, carry: &mut dyn FnMut(&mut Self, i64)) {
        if let Some(from) = self.all_from.filter(|from| *from <= to) {
            carry(self, from);
            self.ensemble.grow(&self.scene);
            self.all_from = None;
        }
    }

    /// The end of what is followed of a silence that ends at `to`; the rest is
    /// noted as passed over.
    pub(super) fn silence(&mut self, to: i64) -> i64 {
        let end = self.at + (SILENCE_DAYS * DAY) as i64;
        if !self.paced || (to - end) as f64 <= TOLD_DAYS * DAY {
            return to;
        }
        self.passed_over.push((end, to));
        end
    }
}

impl Ensemble {
    /// The first `few` of the members alone, until [`Ensemble::grow`].
    pub(super) fn begin_with(&mut self, few: usize) {
        self.members.truncate(few);
        let count = self.members.len();
        self.weights = vec![1.0 / count.max(1) as f64; count];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAYS: i64 = DAY as i64;

    #[test]
    fn a_year_is_followed_by_all_and_twenty_by_few_until_lately() {
        let year = Pace::of(&[0, 100 * DAYS, 365 * DAYS], 1000, 400_000.0);
        assert_eq!((year.few, year.all_from), (1000, 0));
        let weekly: Vec<i64> = (0..1040).map(|w| 7 * w * DAYS).collect();
        let twenty = Pace::of(&weekly, 1000, 400_000.0);
        assert_eq!(twenty.few, FEWEST);
        let late = (weekly[1039] - twenty.all_from) / DAYS;
        assert!((199..=201).contains(&late), "{late}");
    }

    #[test]
    fn a_silence_of_centuries_counts_as_a_year() {
        let pace = Pace::of(&[0, 200_000 * DAYS], 1000, 400_000.0);
        assert_eq!(pace.few, 1000);
    }
}
