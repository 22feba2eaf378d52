//! Salt: each load of bedding or food lets go of its salt by a first-order law,
//! and what drains takes its share along.

use super::chance::{Book, Chance};
use crate::table::TableError;

/// Salt of one bin, as conductivity of a 1:5 extract times dry matter
/// [mS/cm kg].
#[derive(Debug, Clone)]
pub(super) struct Salt {
    stays: f64,
    bound: f64,
    free: f64,
}

impl Salt {
    /// Draws how fast it comes out.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        Ok(Self {
            stays: (-book.times(("salt", "release_per_day"), c)?).exp(),
            bound: 0.0,
            free: 0.0,
        })
    }

    /// A load comes in [mS/cm kg]. One rate for all, so that loads add up.
    pub(super) fn load(&mut self, salt: f64) {
        self.bound += salt;
    }

    /// The salt that came in free: that of bedding as it was filled [mS/cm kg].
    pub(super) fn free(&mut self, salt: f64) {
        self.free += salt;
    }

    /// A day.
    pub(super) fn day(&mut self) {
        let out = self.bound * (1.0 - self.stays);
        self.bound -= out;
        self.free += out;
    }

    /// So much of the water goes [0 to 1].
    pub(super) fn drain(&mut self, share: f64) {
        self.free *= 1.0 - share;
    }

    /// Conductivity of a 1:5 extract of so much dry matter [mS/cm].
    pub(super) fn ec(&self, dry_kg: f64) -> f64 {
        self.free / dry_kg.max(1e-9)
    }
}
