//! Chemistry of the bed: one process per file.
//!
//! The water of the bed is solved by [`speciate`] from a [`speciate::Problem`]:
//! what is dissolved, which solids may dissolve or form, what carbon dioxide
//! is above it and how much acidity the bedding's [`sites`] hold.

pub mod activity;
pub mod ammonia;
pub mod ash;
pub mod conductivity;
pub mod constants;
pub mod fineness;
pub mod lime;
pub mod neutralising;
pub mod pore;
pub mod sites;
pub mod solids;
pub mod speciate;
pub mod species;
pub mod water;

pub use constants::{AqueousModel, Constants};
pub use sites::SiteLoad;
pub use solids::{Solid, Solids};
pub use speciate::{Equilibrium, Gas, Problem, base_at_ph, equilibrate};
pub use species::Totals;

use thiserror::Error;

use crate::bounds::{Bound, BoundError};

/// Why a chemistry question could not be answered.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ChemistryError {
    /// A value outside its range.
    #[error("{field} `{value}` {unit} is outside the allowed range {low} to {high} {unit} ({why})")]
    Outside {
        /// Field, as a caller names it.
        field: &'static str,
        /// Value given.
        value: f64,
        /// Unit.
        unit: &'static str,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Why the range is what it is.
        why: &'static str,
    },
    /// Not a number at all.
    #[error("{field} is not a finite number; give a value from {low} to {high} {unit}")]
    NotFinite {
        /// Field, as a caller names it.
        field: &'static str,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Unit.
        unit: &'static str,
    },
    /// Constants for one temperature used for a problem at another.
    #[error(
        "temperature `{problem}` °C of the problem is not the {constants} °C the constants were made for"
    )]
    OtherTemperature {
        /// Temperature of the problem [°C].
        problem: f64,
        /// Temperature of the constants [°C].
        constants: f64,
    },
    /// The table of constants is damaged.
    #[error("table of aqueous constants, line {line}: {what}")]
    Table {
        /// Line of the table.
        line: u64,
        /// What is wrong there.
        what: String,
    },
    /// The solver gave up; a fault of ours, not of the input.
    #[error("the charge balance was not solved; please report this mixture")]
    Unsolved,
}

/// `value` when it lies in `bound`; else an error naming `field`.
pub(crate) fn check(field: &'static str, bound: &Bound, value: f64) -> Result<f64, ChemistryError> {
    bound.check(value).map_err(|e| match e {
        BoundError::Outside {
            value,
            unit,
            low,
            high,
            why,
            ..
        } => ChemistryError::Outside {
            field,
            value,
            unit,
            low,
            high,
            why,
        },
        BoundError::NotFinite {
            low, high, unit, ..
        } => ChemistryError::NotFinite {
            field,
            low,
            high,
            unit,
        },
    })
}
