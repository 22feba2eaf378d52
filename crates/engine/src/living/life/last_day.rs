//! Warmth of the last day, over day and night alike.
//!
//! A bin is warm by day and cool by night, and what comes in or is written cuts
//! its steps unequally. A mean over the last two steps would lean to the night
//! after an evening's feeding; so stretches are kept until they make a day.

use crate::living::heat::Zones;
use serde::{Deserialize, Serialize};

/// Days that a mean reaches back [d].
const REACH: f64 = 1.0;
/// Steps are joined up to this length [d]: any two neighbours are then longer
/// together, and four hold a day.
const STRETCH: f64 = 0.5;
/// Stretches kept.
const KEPT: usize = 5;

/// Temperatures through some time [°C].
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
struct Stretch {
    days: f64,
    core: f64,
    refuge: f64,
    air: f64,
}

impl Stretch {
    /// Both as one: means by their length.
    fn joined(&self, next: &Self) -> Self {
        let days = self.days + next.days;
        let share = next.days / days.max(1e-12);
        let mean = |was: f64, now: f64| was + share * (now - was);
        Self {
            days,
            core: mean(self.core, next.core),
            refuge: mean(self.refuge, next.refuge),
            air: mean(self.air, next.air),
        }
    }
}

/// Stretches of the last day, newest first.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct LastDay {
    stretches: [Stretch; KEPT],
}

/// Means over the last day, by day and by night [°C].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DayMeans {
    /// Middle of the bed.
    pub core_celsius: f64,
    /// Kindest reachable zone.
    pub refuge_celsius: f64,
    /// Air at the bin.
    pub air_celsius: f64,
}

impl LastDay {
    /// Adds a step of `days` at these zones in air at `air` [°C].
    pub fn add(&mut self, days: f64, zones: &Zones, air: f64) {
        let new = Stretch {
            days,
            core: zones.core,
            refuge: zones.refuge,
            air,
        };
        let last = self.stretches[0];
        if last.days > 0.0 && last.days + days <= STRETCH + 1e-9 {
            self.stretches[0] = last.joined(&new);
            return;
        }
        self.stretches.rotate_right(1);
        self.stretches[0] = new;
    }

    /// Makes all of it `kelvin` warmer [K]: what a possible bin is taken to have
    /// been all along.
    pub fn warm_by(&mut self, kelvin: f64) {
        for s in &mut self.stretches {
            s.core += kelvin;
            s.refuge += kelvin;
        }
    }

    /// Stretches of the last day, the oldest only as far as it lies in it.
    fn within(&self) -> impl Iterator<Item = Stretch> {
        let mut left = REACH;
        self.stretches.into_iter().map_while(move |s| {
            let days = s.days.min(left);
            left -= days;
            (days > 1e-9).then_some(Stretch { days, ..s })
        })
    }

    /// Means over the last day, or as much of it as there has been; `None` before
    /// the first step.
    #[must_use]
    pub fn means(&self) -> Option<DayMeans> {
        let all = self.within().reduce(|sum, s| sum.joined(&s))?;
        Some(DayMeans {
            core_celsius: all.core,
            refuge_celsius: all.refuge,
            air_celsius: all.air,
        })
    }

    /// Coldest and hottest of the kindest zone [°C]; `None` before the first
    /// step.
    #[must_use]
    pub fn extremes(&self) -> Option<(f64, f64)> {
        self.within()
            .map(|s| (s.refuge, s.refuge))
            .reduce(|(low, high), (l, h)| (low.min(l), high.max(h)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(celsius: f64) -> Zones {
        Zones {
            core: celsius,
            edge: celsius,
            hot: celsius,
            refuge: celsius,
        }
    }

    #[test]
    fn a_days_mean_is_the_same_however_it_is_cut() {
        // By night 10, by day 20 degrees, in half days, and cut by six entries.
        let mut whole = LastDay::default();
        let mut cut = LastDay::default();
        for celsius in [10.0, 20.0, 10.0, 20.0] {
            whole.add(0.5, &at(celsius), celsius - 2.0);
            for days in [0.05, 0.2, 0.01, 0.24] {
                cut.add(days, &at(celsius), celsius - 2.0);
            }
        }
        for day in [whole.means().unwrap(), cut.means().unwrap()] {
            assert!((day.core_celsius - 15.0).abs() < 1e-9, "{day:?}");
            assert!((day.air_celsius - 13.0).abs() < 1e-9, "{day:?}");
        }
        assert_eq!(whole.extremes(), Some((10.0, 20.0)));
    }

    #[test]
    fn an_evening_after_a_whole_day_counts_as_much_as_it_lasted() {
        // Half a day at 10, half at 20, then 0.3 days at 10: of the last day
        // 0.2 days of the first stretch are left.
        let mut day = LastDay::default();
        for (days, celsius) in [(0.5, 10.0), (0.5, 20.0), (0.3, 10.0)] {
            day.add(days, &at(celsius), celsius);
        }
        assert!((day.means().unwrap().core_celsius - 15.0).abs() < 1e-9);
    }

    #[test]
    fn before_the_first_step_there_is_nothing() {
        assert_eq!(LastDay::default().means(), None);
        assert_eq!(LastDay::default().extremes(), None);
    }
}
