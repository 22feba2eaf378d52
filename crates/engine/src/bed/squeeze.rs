//! At which moisture a squeezed handful gives its first drop, and from where on
//! water runs: one scale for judging a bedding, for what a keeper's squeeze says
//! and for the water advised.

use crate::table::{TableError, Tables};

/// Where a first drop shows when squeezed [% of wet mass]: `under` what the
/// bedding `held` against draining, and sooner where it holds much, for a hand
/// wrings out more than runs off by itself. Between `least` and `most`.
/// Source: rows `water, drop_*` of `living.csv`.
#[must_use]
pub fn first_drop(held: f64, under: f64, (least, most): (f64, f64)) -> f64 {
    (held - under).clamp(least, most)
}

/// Moisture from which on so many `classes` are passed [% of wet mass]: each
/// spans the `share` of what lies between a first drop and all water.
#[must_use]
pub fn class_from(drop: f64, share: f64, classes: f64) -> f64 {
    drop + classes * share * (100.0 - drop)
}

/// The scale, from the tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Squeeze {
    under: f64,
    least_most: (f64, f64),
    share: f64,
    runs: f64,
}

impl Squeeze {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let water = |property| tables.value("living", "water", property);
        Ok(Self {
            under: water("drop_under_percent")?,
            least_most: (water("drop_least_percent")?, water("drop_most_percent")?),
            share: tables.value("observations", "squeeze", "step_share")?,
            runs: tables.value("bed", "judge", "runs_from_classes")?,
        })
    }

    /// Where a first drop shows, of a bedding that holds so much against
    /// draining [% of wet mass].
    #[must_use]
    pub fn first_drop(&self, held: f64) -> f64 {
        first_drop(held, self.under, self.least_most)
    }

    /// Where water runs instead of dropping [% of wet mass].
    #[must_use]
    pub fn runs_from(&self, held: f64) -> f64 {
        class_from(self.first_drop(held), self.share, self.runs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Paper and coir at 75 % feel like a few drops, above 80 to 85 % a stream
    /// comes (common practice, no source).
    #[test]
    fn fibre_drops_at_75_percent_and_runs_above_80() {
        let squeeze = Squeeze::load(&Tables::load().unwrap()).unwrap();
        let held = 90.0;
        assert!((65.0..75.0).contains(&squeeze.first_drop(held)));
        assert!((78.0..85.0).contains(&squeeze.runs_from(held)));
        // Sand holds a tenth of that.
        assert!(squeeze.runs_from(20.0) < 60.0);
    }
}
