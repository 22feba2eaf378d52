//! Is a reading of the bed, or of the place just dosed or watered?
//!
//! A reading within a day of a dose or of watering meets the touched part,
//! not the bed. It is kept, marked local, given little weight (a standard
//! deviation of at least 0.6 pH), and the keeper is told when to read again.

use crate::table::{TableError, Tables};

/// When a reading is local, what it is then worth, and when to read again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// Hours after a dose or watering within which a reading is local [h].
    pub local_hours: f64,
    /// Least standard deviation given to a local reading [pH].
    pub local_sd: f64,
    /// Hours after which to read again when the dose was mixed through [h].
    pub reread_mixed_hours: f64,
    /// Hours after which to read again when it was poured or dusted on [h].
    pub reread_poured_hours: f64,
}

impl Rules {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        Ok(Self {
            local_hours: tables.value("constants", "dose", "unsettled_hours")?,
            local_sd: tables.value("constants", "dose", "unsettled_sd_ph")?,
            reread_mixed_hours: tables.value("bed", "dose", "reread_mixed_hours")?,
            reread_poured_hours: tables.value("bed", "dose", "reread_poured_hours")?,
        })
    }
}

/// Whether a reading stands for the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Settling {
    /// Long enough after the last dose or watering.
    Settled,
    /// Too soon after a dose.
    LocalAfterDose {
        /// Hours since.
        hours: f64,
        /// Hours from the reading until it is worth reading again.
        reread_in_hours: f64,
    },
    /// Too soon after watering.
    LocalAfterWater {
        /// Hours since.
        hours: f64,
        /// Hours from the reading until it is worth reading again.
        reread_in_hours: f64,
    },
}

impl Settling {
    /// Whether the reading is local.
    #[must_use]
    pub fn is_local(&self) -> bool {
        !matches!(self, Self::Settled)
    }

    /// Judges a reading from the hours since the last dose (and whether it was
    /// mixed through) and since the last watering.
    #[must_use]
    pub fn judge(rules: &Rules, dose: Option<(f64, bool)>, water: Option<f64>) -> Self {
        if let Some((hours, mixed)) = dose.filter(|(h, _)| *h < rules.local_hours) {
            let wait = if mixed {
                rules.reread_mixed_hours
            } else {
                rules.reread_poured_hours
            };
            return Self::LocalAfterDose {
                hours,
                reread_in_hours: wait - hours,
            };
        }
        if let Some(hours) = water.filter(|h| *h < rules.local_hours) {
            return Self::LocalAfterWater {
                hours,
                reread_in_hours: rules.reread_mixed_hours - hours,
            };
        }
        Self::Settled
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rules() -> Rules {
        Rules::from_tables(&Tables::load().unwrap()).unwrap()
    }

    #[test]
    fn a_reading_the_same_day_as_a_pour_is_local_and_waits_two_days() {
        let s = Settling::judge(&rules(), Some((3.0, false)), None);
        assert_eq!(
            s,
            Settling::LocalAfterDose {
                hours: 3.0,
                reread_in_hours: 45.0
            }
        );
        assert!(s.is_local());
    }

    #[test]
    fn a_day_later_it_is_settled() {
        assert_eq!(
            Settling::judge(&rules(), Some((24.0, true)), Some(30.0)),
            Settling::Settled
        );
        assert!(Settling::judge(&rules(), Some((48.0, true)), Some(2.0)).is_local());
    }
}
