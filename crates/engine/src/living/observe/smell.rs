//! What the nose says.

use super::chance::{logistic, steep};
use super::{Rates, row};
use crate::living::signs::Signs;
use crate::table::{TableError, Tables};

/// Smells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Smell {
    sour: Rates,
    sour_half: f64,
    sour_half_ph: f64,
    sour_ph_scale: f64,
    alkaline_left: f64,
    rotten: Rates,
    rotten_half: f64,
    ammonia: Rates,
    ammonia_half: f64,
    earthy_share: f64,
    steepness: f64,
}

impl Smell {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        Ok(Self {
            sour: Rates::load(tables, "sour")?,
            sour_half: row(tables, "sour", "half_meq_per_kg")?,
            sour_half_ph: row(tables, "sour", "half_ph")?,
            sour_ph_scale: row(tables, "sour", "ph_scale")?,
            alkaline_left: row(tables, "sour", "alkaline_left")?,
            rotten: Rates::load(tables, "rotten")?,
            rotten_half: row(tables, "rotten", "half_airless")?,
            ammonia: Rates::load(tables, "ammonia")?,
            ammonia_half: row(tables, "ammonia", "half_mg_per_kg")?,
            earthy_share: row(tables, "earthy", "said_share")?,
            steepness: row(tables, "nose", "steepness")?,
        })
    }

    /// Chance that sour is said [0 to 1]: acids of the pocket, less of them
    /// where its pH holds them as salts. `nose` is how strong smells seem [-].
    pub(super) fn sour(&self, s: &Signs, nose: f64) -> f64 {
        let free = logistic((self.sour_half_ph - s.pocket_ph) / self.sour_ph_scale);
        let smelt = s.sour_meq_per_kg * (self.alkaline_left + (1.0 - self.alkaline_left) * free);
        self.sour.said(self.smelt(nose * smelt, self.sour_half))
    }

    /// Chance that rotten is said [0 to 1]: the airless share of decay.
    pub(super) fn rotten(&self, s: &Signs, nose: f64) -> f64 {
        self.rotten
            .said(self.smelt(nose * s.airless, self.rotten_half))
    }

    /// Chance that ammonia is said [0 to 1].
    pub(super) fn ammonia(&self, s: &Signs, nose: f64) -> f64 {
        self.ammonia
            .said(self.smelt(nose * s.free_ammonia_mg_per_kg, self.ammonia_half))
    }

    /// Chance that one nose notices a smell so strong, `half` being as strong as it
    /// notices half the time [0 to 1].
    fn smelt(&self, strong: f64, half: f64) -> f64 {
        steep(strong, half, self.steepness)
    }

    /// Chance that earthy is said [0 to 1]: only where nothing else smells.
    pub(super) fn earthy(&self, s: &Signs, nose: f64) -> f64 {
        let none = (1.0 - self.sour(s, nose))
            * (1.0 - self.rotten(s, nose))
            * (1.0 - self.ammonia(s, nose));
        self.earthy_share * none
    }
}
