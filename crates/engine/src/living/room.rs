//! The air around the bin, by the hour or the day.

use crate::table::{TableError, Tables};
use std::f64::consts::TAU;

/// Swing of a room between day and night when nobody logged it [K].
///
/// # Errors
/// [`TableError`] when the number is missing.
pub fn usual_swing(tables: &Tables) -> Result<f64, TableError> {
    tables.value("living", "heat", "usual_swing_celsius")
}

/// One day's air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Day {
    /// Lowest [°C].
    pub low: f64,
    /// Highest [°C].
    pub high: f64,
}

impl Day {
    /// A day of even warmth with a swing.
    #[must_use]
    pub fn around(celsius: f64, swing: f64) -> Self {
        Self {
            low: celsius - swing / 2.0,
            high: celsius + swing / 2.0,
        }
    }

    /// Its middle [°C].
    #[must_use]
    pub fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }
}

/// The air through time: what is known of each day from a first one on.
/// Before the first day it holds, and after the last the usual day holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    days: Vec<Day>,
    usual: Day,
    /// Time of the warmest air [share of the day].
    warmest: f64,
}

impl Room {
    /// The same every day, its air warmest at the time `warmest` [share of the
    /// day], see [`super::constants::Constants`].
    #[must_use]
    pub fn steady(usual: Day, warmest: f64) -> Self {
        Self::new(Vec::new(), usual, warmest)
    }

    /// Known days, then the usual one.
    #[must_use]
    pub fn new(days: Vec<Day>, usual: Day, warmest: f64) -> Self {
        Self {
            days,
            usual,
            warmest,
        }
    }

    /// The day that `time` [d] falls in.
    #[must_use]
    pub fn day(&self, time: f64) -> Day {
        if time < 0.0 {
            return self.days.first().copied().unwrap_or(self.usual);
        }
        self.days.get(time as usize).copied().unwrap_or(self.usual)
    }

    /// Sets the days from `first` on, as far as `days` goes; days between that
    /// nobody knows are the usual.
    pub fn set(&mut self, first: usize, days: &[Day]) {
        let end = first + days.len();
        if self.days.len() < end {
            self.days.resize(end, self.usual);
        }
        self.days[first..end].copy_from_slice(days);
    }

    /// From day `first` on nothing is known but a new usual day.
    pub fn usual_from(&mut self, first: usize, usual: Day) {
        let known = self.days.len();
        if known < first {
            self.days.resize(first, self.usual);
        }
        self.days.truncate(first);
        self.usual = usual;
    }

    /// Forgets what is known of days from `day` on.
    pub fn known_until(&mut self, day: usize) {
        self.days.truncate(day);
    }

    /// Mean of the air from `from` to `to` [°C], a sine through each day with
    /// its highest at its warmest time.
    #[must_use]
    pub fn mean(&self, from: f64, to: f64) -> f64 {
        let mut at = from;
        let mut sum = 0.0;
        while to - at > 1e-9 {
            let next = (at.floor() + 1.0).min(to);
            let day = self.day(f64::midpoint(at, next));
            let half = (day.high - day.low) / 2.0;
            let area =
                ((TAU * (next - self.warmest)).sin() - (TAU * (at - self.warmest)).sin()) / TAU;
            sum += day.middle() * (next - at) + half * area;
            at = next;
        }
        if to > from {
            sum / (to - from)
        } else {
            let day = self.day(from);
            day.middle() + (day.high - day.low) / 2.0 * (TAU * (from - self.warmest)).cos()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_of_a_day_is_its_middle_and_afternoons_are_warmer() {
        let day = Day {
            low: 10.0,
            high: 20.0,
        };
        let room = Room::steady(day, 0.625);
        assert!((room.mean(3.0, 4.0) - 15.0).abs() < 1e-9);
        // Mean of a half sine: 2/pi of the amplitude.
        assert!((room.mean(3.375, 3.875) - (15.0 + 10.0 / std::f64::consts::PI)).abs() < 1e-9);
        assert!((room.mean(3.625, 3.625) - 20.0).abs() < 1e-9);
    }

    #[test]
    fn known_days_come_before_the_usual() {
        let mut room = Room::steady(Day::around(18.0, 0.0), 0.625);
        room.set(2, &[Day::around(35.0, 0.0)]);
        assert!((room.mean(0.0, 4.0) - (18.0 * 3.0 + 35.0) / 4.0).abs() < 1e-9);
    }
}
