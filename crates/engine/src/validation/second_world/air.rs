//! The room by season and weather, and the warmth of rot in the bed.

use super::chance::{Book, Chance};
use super::water::{LATENT, vapour_kpa};
use crate::table::TableError;
use std::f64::consts::TAU;

/// Seconds of a day.
const DAY: f64 = 86_400.0;
/// Days of a year.
const YEAR: f64 = 365.25;

/// Where the bin stands.
#[derive(Debug, Clone)]
pub(super) struct Room {
    /// Mean of the year [°C].
    pub(super) mean: f64,
    swing: f64,
    phase: f64,
    keeps: f64,
    gusts: f64,
    weather: f64,
    humid: f64,
    humid_swing: f64,
}

impl Room {
    /// A room of one name.
    pub(super) fn drawn(book: Book<'_>, name: &str, c: &mut Chance) -> Result<Self, TableError> {
        Ok(Self {
            mean: book.draw(name, "mean_celsius", c)?,
            swing: book.draw(name, "season_kelvin", c)?,
            phase: c.even(),
            keeps: book.plain("room", "keeps")?,
            gusts: book.draw(name, "weather_kelvin", c)?,
            weather: 0.0,
            humid: book.draw(name, "humid_percent", c)? / 100.0,
            humid_swing: book.plain("room", "humid_swing_percent")? / 100.0,
        })
    }

    /// Weather of the next day: partly that of the day before.
    pub(super) fn next(&mut self, c: &mut Chance) {
        let fresh = (1.0 - self.keeps * self.keeps).sqrt() * self.gusts;
        self.weather = self.keeps * self.weather + fresh * c.bell();
    }

    fn season(&self, day: u32) -> f64 {
        (TAU * (f64::from(day) / YEAR + self.phase)).cos()
    }

    /// Mean of a day [°C].
    pub(super) fn celsius(&self, day: u32) -> f64 {
        self.mean + self.swing * self.season(day) + self.weather
    }

    /// Vapour in its air [kPa].
    pub(super) fn vapour(&self, day: u32) -> f64 {
        let humid = self.humid + self.humid_swing * self.season(day);
        humid.clamp(0.1, 0.95) * vapour_kpa(self.celsius(day))
    }
}

/// How the bed keeps warmth.
#[derive(Debug, Clone)]
pub(super) struct Warmth {
    /// Middle of the bed, mean of the day [°C].
    pub(super) core: f64,
    heat: f64,
    passes: f64,
    dry_share: f64,
    slow_days: f64,
    core_over_mean: f64,
    surface_m2: f64,
}

impl Warmth {
    /// Walls of one name around so much surface, in a room so warm.
    pub(super) fn drawn(
        book: Book<'_>,
        walls: &str,
        (surface_m2, celsius): (f64, f64),
        c: &mut Chance,
    ) -> Result<Self, TableError> {
        Ok(Self {
            core: celsius,
            heat: book.draw("heat", "mj_per_kg", c)?,
            passes: book.draw(walls, "walls_w_m2_k", c)?,
            dry_share: book.draw("heat", "dry_share", c)?,
            slow_days: book.draw("heat", "slow_days", c)?,
            core_over_mean: book.draw("heat", "core_over_mean", c)?,
            surface_m2,
        })
    }

    /// A day in a room so warm: dry matter gone and water into the air [kg], and
    /// moisture [% of wet mass].
    pub(super) fn live_a_day(&mut self, room: f64, gone: f64, dried: f64, moisture: f64) {
        let watt = (gone * self.heat - dried * LATENT) * 1e6 / DAY;
        let wet = self.dry_share + (1.0 - self.dry_share) * moisture / 75.0;
        let over = watt * self.core_over_mean / (self.passes * self.surface_m2 * wet);
        let nears = 1.0 - (-1.0 / self.slow_days).exp();
        self.core += nears * (room + over - self.core);
    }
}
