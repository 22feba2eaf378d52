//! Warmth: the bin follows its room with a lag, and food that rots warms it.
//!
//! `room = base + season cos(2π (d - warmest) / year) + weather`, the weather
//! a first-order chain by day; `T += (room + k lost - T) (1 - e^(-1/lag))`.

use super::chance::{Book, Chance};
use crate::table::TableError;
use std::f64::consts::TAU;

/// Days of a year.
const YEAR: f64 = 365.25;

/// The room of one bin and how the bin follows it.
#[derive(Debug, Clone)]
pub(super) struct Warmth {
    base: f64,
    season: f64,
    warmest_day: f64,
    weather_sd: f64,
    weather_keeps: f64,
    follows: f64,
    kelvin_per_kg: f64,
    weather: f64,
    /// The room today [°C].
    pub(super) room: f64,
    /// The bin today [°C].
    pub(super) bin: f64,
}

impl Warmth {
    /// Draws a room; a floor of `floor_m2` spreads the warmth of food.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance, floor_m2: f64) -> Result<Self, TableError> {
        let base = book.around(("room", "base_celsius"), c)?;
        let per_gram = book.times(("warmth", "food_kelvin_per_gram"), c)?;
        let told_of = book.plain("warmth", "floor_m2")?;
        Ok(Self {
            base,
            season: book.times(("room", "season_celsius"), c)?,
            warmest_day: YEAR * c.even(),
            weather_sd: book.times(("room", "weather_celsius"), c)?,
            weather_keeps: (-1.0 / book.times(("room", "weather_days"), c)?).exp(),
            follows: 1.0 - (-1.0 / book.times(("warmth", "lag_days"), c)?).exp(),
            kelvin_per_kg: 1000.0 * per_gram * told_of / floor_m2,
            weather: 0.0,
            room: base,
            bin: base,
        })
    }

    /// What the keeper would call the usual warmth of the room [°C].
    pub(super) fn usual(&self) -> f64 {
        self.base
    }

    /// A day, in which `lost_kg` of dry food rot.
    pub(super) fn day(&mut self, c: &mut Chance, day: f64, lost_kg: f64) {
        let fresh = (1.0 - self.weather_keeps.powi(2)).sqrt();
        self.weather = self.weather_keeps * self.weather + fresh * self.weather_sd * c.bell();
        let season = (TAU * (day - self.warmest_day) / YEAR).cos();
        self.room = self.base + self.season * season + self.weather;
        let towards = self.room + self.kelvin_per_kg * lost_kg;
        self.bin += (towards - self.bin) * self.follows;
    }
}
