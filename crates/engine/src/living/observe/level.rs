//! How deep the bedding stands, as measured with a rule or told by a mark.
//!
//! `ln V_read ~ t(ln V, noise² + (δ/h)²)`: a rule is off by δ [cm] because the
//! top is not even, and the keeper by a share of the whole.

use super::chance::{at_least, student_ln};
use super::row;
use crate::living::signs::Signs;
use crate::log::BinDescription;
use crate::table::{TableError, Tables};

/// A written depth, ready to weigh any number of possible bins by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    ln_litres: f64,
    variance: f64,
    tail_df: f64,
}

/// Scatter of written depths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Levels {
    noise: f64,
    noise_cm: f64,
    tail_df: f64,
}

impl Levels {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        Ok(Self {
            noise: row(tables, "depth", "noise")?,
            noise_cm: row(tables, "depth", "noise_cm")?,
            tail_df: row(tables, "readings", "tail_df")?,
        })
    }

    /// The depth a description gives, over the floor it gives.
    pub(super) fn ready(&self, bin: &BinDescription) -> Option<Level> {
        let cm = bin.bedding_depth_cm.filter(|cm| *cm > 0.0)?;
        let litres = bin.length_cm * bin.width_cm * cm / 1000.0;
        Some(Level {
            ln_litres: at_least(litres, 1e-3).ln(),
            variance: self.noise.powi(2) + (self.noise_cm / cm).powi(2),
            tail_df: self.tail_df,
        })
    }
}

impl Level {
    /// Log likelihood, up to a constant. Always finite for finite signs.
    #[must_use]
    pub fn log_likelihood(&self, signs: &Signs) -> f64 {
        let gap = self.ln_litres - at_least(signs.litres, 1e-3).ln();
        student_ln(gap, self.variance, self.tail_df)
    }
}
