//! Food and bedding: each rots by a first-order law that goes faster by a
//! factor each 10 K. Of the food lost worms eat a share, as far as their
//! appetite goes, and some of the bedding with what appetite is left. A share
//! of what is eaten is castings, some days later.

use super::chance::{Book, Chance};
use crate::table::TableError;
use std::collections::VecDeque;

/// Warmth at which rates of rotting are told [°C].
const TOLD_AT: f64 = 20.0;
/// Warmth at which the appetite of worms is told [°C].
const APPETITE_AT: f64 = 25.0;
/// Most of the bedding that is eaten in a day.
const MOST_EATEN: f64 = 0.05;

/// How matter rots and is eaten in one bin.
#[derive(Debug, Clone)]
pub(super) struct Law {
    lost_per_day: f64,
    q10: f64,
    eaten_share: f64,
    castings_share: f64,
    humus_share: f64,
    water_made: f64,
    appetite: f64,
    appetite_q10: f64,
    bedding_appetite: f64,
    bedding_castings: f64,
    delay_days: usize,
}

/// Bedding of one material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bedding {
    /// Which, by its place in the list of the world.
    pub(super) material: usize,
    /// Dry matter [kg].
    pub(super) dry_kg: f64,
}

/// One feeding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Batch {
    /// Which food, by its place in the list of the world.
    pub(super) food: usize,
    /// Day it was fed.
    pub(super) day: u32,
    /// Dry matter when fed [kg].
    pub(super) fresh_kg: f64,
    /// Dry matter left [kg].
    pub(super) dry_kg: f64,
}

/// Matter in the bin.
#[derive(Debug, Clone, Default)]
pub(super) struct Matter {
    /// Bedding.
    pub(super) bedding: Vec<Bedding>,
    /// Food, the latest last.
    pub(super) food: Vec<Batch>,
    /// What is left of what rotted uneaten, dry [kg].
    pub(super) humus_kg: f64,
    /// Castings made here, dry [kg].
    pub(super) castings_kg: f64,
    /// What was eaten and is not castings yet, by day, dry [kg].
    pub(super) on_the_way: VecDeque<f64>,
}

/// What a day of rotting did.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Rotted {
    /// Dry food lost [kg].
    pub(super) food_kg: f64,
    /// Water made [kg].
    pub(super) water_kg: f64,
}

impl Matter {
    /// Dry bedding [kg].
    pub(super) fn bedding_kg(&self) -> f64 {
        self.bedding.iter().map(|b| b.dry_kg).sum()
    }

    /// Dry food [kg].
    pub(super) fn food_kg(&self) -> f64 {
        self.food.iter().map(|b| b.dry_kg).sum()
    }

    /// Dry matter that is neither bedding nor food [kg].
    pub(super) fn fine_kg(&self) -> f64 {
        self.humus_kg + self.castings_kg + self.on_the_way.iter().sum::<f64>()
    }

    /// All dry matter [kg].
    pub(super) fn dry_kg(&self) -> f64 {
        self.bedding_kg() + self.food_kg() + self.fine_kg()
    }
}

impl Law {
    /// Draws a law.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        Ok(Self {
            lost_per_day: book.times(("food", "lost_per_day"), c)?,
            q10: book.times(("food", "q10"), c)?,
            eaten_share: book.around(("food", "eaten_share"), c)?.clamp(0.0, 1.0),
            castings_share: book.around(("food", "castings_share"), c)?,
            humus_share: book.around(("food", "humus_share"), c)?,
            water_made: book.around(("food", "water_made"), c)?,
            appetite: book.times(("worms", "appetite_per_day"), c)?,
            appetite_q10: book.times(("worms", "appetite_q10"), c)?,
            bedding_appetite: book.times(("worms", "bedding_appetite"), c)?,
            bedding_castings: book.around(("worms", "bedding_castings_share"), c)?,
            delay_days: book.times(("castings", "delay_days"), c)?.round() as usize,
        })
    }

    /// A day at `celsius` with `worms_kg` of live worms; `rates` are those of
    /// the beddings at 20 °C [1/d], by their place in the list of the world.
    pub(super) fn day(&self, m: &mut Matter, celsius: f64, worms_kg: f64, rates: &[f64]) -> Rotted {
        let faster = self.q10.powf((celsius - TOLD_AT) / 10.0);
        let mut lost = 0.0;
        for batch in &mut m.food {
            let gone = batch.dry_kg * (1.0 - (-self.lost_per_day * faster).exp());
            batch.dry_kg -= gone;
            lost += gone;
        }
        let hungry = self.appetite_q10.powf((celsius - APPETITE_AT) / 10.0);
        let appetite = self.appetite * hungry * worms_kg;
        let eaten = (self.eaten_share * lost).min(appetite);
        let mut humus = self.humus_share * (lost - eaten);
        let mut castings = self.castings_share * eaten;
        let mut gone = lost - humus - castings;

        let bedding = m.bedding_kg();
        let wanted = self.bedding_appetite * (appetite - eaten);
        let share = (wanted / bedding.max(1e-9)).min(MOST_EATEN);
        for b in &mut m.bedding {
            let rotted = b.dry_kg * (1.0 - (-rates[b.material] * faster).exp());
            let eaten = (b.dry_kg - rotted) * share;
            b.dry_kg -= rotted + eaten;
            humus += self.humus_share * rotted;
            castings += self.bedding_castings * eaten;
            gone += (1.0 - self.humus_share) * rotted + (1.0 - self.bedding_castings) * eaten;
        }
        m.humus_kg += humus;
        m.on_the_way.push_back(castings);
        while m.on_the_way.len() > self.delay_days {
            m.castings_kg += m.on_the_way.pop_front().unwrap_or(0.0);
        }
        Rotted {
            food_kg: lost,
            water_kg: self.water_made * gone,
        }
    }
}
