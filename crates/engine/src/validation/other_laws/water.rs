//! Water: one bucket. It loses to the air through the lid in proportion to the
//! floor, and what stands over what the matter holds drains off by a share a
//! day, where there is a drain.

use super::chance::{Book, Chance};
use crate::table::TableError;

/// Warmth at which the loss through the lid is told [°C].
const TOLD_AT: f64 = 20.0;

/// The bucket of one bin.
#[derive(Debug, Clone)]
pub(super) struct Bucket {
    lid_kg_per_day: f64,
    per_kelvin: f64,
    dry_below: f64,
    drains_per_day: f64,
    /// Water in it [kg].
    pub(super) kg: f64,
}

impl Bucket {
    /// Draws the bucket of a bin.
    pub(super) fn drawn(
        book: Book<'_>,
        c: &mut Chance,
        bin: &super::world::Container,
    ) -> Result<Self, TableError> {
        let wood = book.times(("water", "wood_times"), c)?;
        let lid = book.times(("water", "lid_kg_per_m2_day"), c)?;
        let drains = book.around(("water", "drain_per_day"), c)?.clamp(0.0, 1.0);
        Ok(Self {
            lid_kg_per_day: lid * bin.floor_m2 * if bin.wood { wood } else { 1.0 },
            per_kelvin: book.around(("water", "lid_per_kelvin"), c)?,
            dry_below: book.around(("water", "dry_below_percent"), c)?,
            drains_per_day: if bin.drains { drains } else { 0.0 },
            kg: 0.0,
        })
    }

    /// A day at `celsius`, of matter of `dry` [kg] that holds `holds` [kg];
    /// gives the share of the water that drained off [0 to 1].
    pub(super) fn day(&mut self, celsius: f64, dry: f64, holds: f64) -> f64 {
        let moisture = 100.0 * self.kg / (self.kg + dry).max(1e-9);
        let warmer = (1.0 + self.per_kelvin * (celsius - TOLD_AT)).max(0.0);
        let lost = self.lid_kg_per_day * warmer * (moisture / self.dry_below).min(1.0);
        self.kg = (self.kg - lost).max(0.0);
        let drained = self.drains_per_day * (self.kg - holds).max(0.0);
        let share = drained / self.kg.max(1e-9);
        self.kg -= drained;
        share
    }
}
