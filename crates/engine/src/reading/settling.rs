//! Is a reading of the bed, or of the place just dosed or watered?
//!
//! A reading within a day of a dose or of watering meets the touched part,
//! not the bed. It is kept, marked local, given little weight (a standard
//! deviation of at least 0.6 pH), and the keeper is told when to read again.

/// Hours after a dose or watering within which a reading is local [h].
pub const LOCAL_HOURS: f64 = 24.0;
/// Least standard deviation given to a local reading [pH].
pub const LOCAL_SD: f64 = 0.6;
/// Hours after which to read again when the dose was mixed through [h].
pub const REREAD_MIXED_HOURS: f64 = 24.0;
/// Hours after which to read again when it was poured or dusted on [h].
pub const REREAD_POURED_HOURS: f64 = 48.0;

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
    pub fn judge(dose: Option<(f64, bool)>, water: Option<f64>) -> Self {
        if let Some((hours, mixed)) = dose.filter(|(h, _)| *h < LOCAL_HOURS) {
            let wait = if mixed {
                REREAD_MIXED_HOURS
            } else {
                REREAD_POURED_HOURS
            };
            return Self::LocalAfterDose {
                hours,
                reread_in_hours: wait - hours,
            };
        }
        if let Some(hours) = water.filter(|h| *h < LOCAL_HOURS) {
            return Self::LocalAfterWater {
                hours,
                reread_in_hours: REREAD_MIXED_HOURS - hours,
            };
        }
        Self::Settled
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_the_same_day_as_a_pour_is_local_and_waits_two_days() {
        let s = Settling::judge(Some((3.0, false)), None);
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
            Settling::judge(Some((24.0, true)), Some(30.0)),
            Settling::Settled
        );
        assert!(Settling::judge(Some((48.0, true)), Some(2.0)).is_local());
    }
}
