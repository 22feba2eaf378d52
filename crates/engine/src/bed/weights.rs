//! What weighs how much in judging a bedding, and how long each remedy takes:
//! subjects `weight` and `remedy` of `bed.csv`.

use crate::table::{TableError, Tables};

/// Weights of reasons; 1 decides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// That the pH is as it should be.
    pub well: f64,
    /// Water, for its chance.
    pub moisture: f64,
    /// Air, for its chance.
    pub air: f64,
    /// Salt, for its chance.
    pub salt: f64,
    /// What no worm lives in.
    pub never: f64,
    /// Slaked lime.
    pub caustic: f64,
    /// Wood ash.
    pub ash: f64,
    /// Fresh dung.
    pub manure: f64,
}

impl Weights {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let of = |property| tables.value("bed", "weight", property);
        Ok(Self {
            well: of("well")?,
            moisture: of("moisture")?,
            air: of("air")?,
            salt: of("salt")?,
            never: of("never")?,
            caustic: of("caustic")?,
            ash: of("ash")?,
            manure: of("manure")?,
        })
    }
}

/// Least and most days that each remedy takes [d].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remedies {
    /// Measure peat that may be limed.
    pub measure_first: (f64, f64),
    /// Let lime in the mix act.
    pub lime_acts: (f64, f64),
    /// Mix compost or limed peat in.
    pub compost: (f64, f64),
    /// Mix plain peat into what is too alkaline.
    pub acid: (f64, f64),
    /// Wet it.
    pub wet: (f64, f64),
    /// Mix dry card in.
    pub dry: (f64, f64),
    /// Wring it out.
    pub wring: (f64, f64),
    /// Fluff it.
    pub fluff: (f64, f64),
    /// Rinse it.
    pub rinse: (f64, f64),
    /// Let it rot in a heap.
    pub rot: (f64, f64),
    /// Let it heat in a heap.
    pub heat: (f64, f64),
    /// Let slaked lime or ash act.
    pub caustic: (f64, f64),
    /// Age dung.
    pub age: (f64, f64),
}

impl Remedies {
    /// From the tables: the ends of each row's range.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let of = |property| {
            let (low, _, high) = tables.triple("bed", "remedy", property)?;
            Ok::<_, TableError>((low, high))
        };
        Ok(Self {
            measure_first: of("measure_first_days")?,
            lime_acts: of("lime_acts_days")?,
            compost: of("compost_days")?,
            acid: of("acid_days")?,
            wet: of("wet_days")?,
            dry: of("dry_days")?,
            wring: of("wring_days")?,
            fluff: of("fluff_days")?,
            rinse: of("rinse_days")?,
            rot: of("rot_days")?,
            heat: of("heat_days")?,
            caustic: of("caustic_days")?,
            age: of("age_days")?,
        })
    }
}
