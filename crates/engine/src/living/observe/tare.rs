//! Gross mass of a bin: contents and the empty bin together.
//!
//! Nobody knows what the empty bin weighs, and it does not change. So every
//! possible bin carries its own [`Tare`], a normal belief that each weighing
//! narrows given that bin's contents (Rao-Blackwell: solved, not sampled).
//! The first weighing then says little of the contents and much of the tare;
//! later ones teach by their difference from it. Copy the tare with its member
//! when resampling.

use super::chance::{at_least, student_ln};
use super::row;
use crate::living::signs::Signs;
use crate::log::Walls;
use crate::table::{TableError, Tables};
use serde::{Deserialize, Serialize};

/// What the empty bin may weigh, in one possible world.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Tare {
    /// Mean [kg].
    pub kg: f64,
    /// Variance [kg²].
    pub variance: f64,
}

/// Tares and scales.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tares {
    /// Plastic, wood, foam, metal, fabric, masonry: value, and standard
    /// deviation from the range [kg/m²].
    walls: [(f64, f64); 6],
    trays: (f64, f64),
    noise_kg: f64,
    noise_share: f64,
    tail_df: f64,
}

/// Half-width of a 90 % range in standard deviations.
const Z90: f64 = 1.645;

impl Tares {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let spread = |subject, property| {
            let (low, value, high) = tables.triple(super::TABLE, subject, property)?;
            Ok::<_, TableError>((value, (high - low) / (2.0 * Z90)))
        };
        let wall = |subject| spread(subject, "kg_per_m2");
        Ok(Self {
            walls: [
                wall("tare_plastic")?,
                wall("tare_wood")?,
                wall("tare_foam")?,
                wall("tare_metal")?,
                wall("tare_fabric")?,
                wall("tare_masonry")?,
            ],
            trays: spread("tare", "trays_kg")?,
            noise_kg: row(tables, "bin_kg", "noise")?,
            noise_share: row(tables, "bin_kg", "noise_share")?,
            tail_df: row(tables, "readings", "tail_df")?,
        })
    }

    pub(super) fn prior(&self, (length, width, depth): (f64, f64, f64), walls: Walls) -> Tare {
        let index = match walls {
            Walls::Plastic => 0,
            Walls::Wood => 1,
            Walls::Foam => 2,
            Walls::Metal => 3,
            Walls::Fabric => 4,
            Walls::Masonry => 5,
        };
        let (kg_m2, sd) = self.walls[index];
        let cm2 = 2.0 * (length * width + length * depth + width * depth);
        let m2 = at_least(cm2 / 10_000.0, 0.01);
        Tare {
            kg: kg_m2 * m2 + self.trays.0,
            variance: (sd * m2).powi(2) + self.trays.1.powi(2),
        }
    }

    /// Noise of one weighing [kg²].
    pub(super) fn noise(&self, gross_kg: f64) -> f64 {
        self.noise_kg.powi(2) + (self.noise_share * gross_kg).powi(2)
    }

    /// Log likelihood of `gross = contents + tare + noise` with the tare's own
    /// uncertainty in it, and the tare after. A weighing far off narrows the
    /// tare less: its noise is taken as larger by `(df + z²)/(df + 1)`.
    pub(super) fn heard(&self, gross_kg: f64, tare: Tare, s: &Signs) -> (f64, Tare) {
        let noise = self.noise(gross_kg);
        let gap = gross_kg - at_least(s.contents_kg, 0.0) - tare.kg;
        let variance = tare.variance + noise;
        let log = student_ln(gap, variance, self.tail_df);
        let z2 = gap * gap / variance;
        let noise = noise * ((self.tail_df + z2) / (self.tail_df + 1.0)).max(1.0);
        let gain = tare.variance / (tare.variance + noise);
        let after = Tare {
            kg: (tare.kg + gain * gap).max(0.0),
            variance: tare.variance * (1.0 - gain),
        };
        (log, after)
    }
}
