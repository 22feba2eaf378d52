//! Chance, and the numbers of this world's own table.

use crate::table::{TableError, Tables};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::f64::consts::TAU;

/// Name of the table.
const TABLE: &str = "other_laws";
/// Standard deviations from the middle to the ends of a range of 90 %.
const TO_THE_END: f64 = 1.645;
/// No draw lies further out, so that ranges set apart stay apart.
const FURTHEST: f64 = 2.0;

/// Throws of dice, all of one seed.
#[derive(Debug, Clone)]
pub(super) struct Chance(ChaCha8Rng);

impl Chance {
    /// The dice of one stream of a seed.
    pub(super) fn new(seed: u64, stream: u64) -> Self {
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        dice.set_stream(stream);
        Self(dice)
    }

    /// Even between 0 and 1 [-].
    pub(super) fn even(&mut self) -> f64 {
        self.0.random()
    }

    /// Whether what happens with this probability [0 to 1] happens.
    pub(super) fn happens(&mut self, probability: f64) -> bool {
        self.even() < probability
    }

    /// One of `n`, each as likely.
    pub(super) fn one_of(&mut self, n: usize) -> usize {
        self.0.random_range(0..n)
    }

    /// A standard normal draw, after Box and Muller [-].
    pub(super) fn bell(&mut self) -> f64 {
        let (a, b) = (1.0 - self.even(), self.even());
        (-2.0 * a.ln()).sqrt() * (TAU * b).cos()
    }

    /// How often something rare and independent happens, `mean` expected.
    pub(super) fn tally(&mut self, mean: f64) -> f64 {
        // The normal limit, where adding up waiting times would take long.
        if mean > 200.0 {
            return (mean + mean.sqrt() * self.bell()).round().max(0.0);
        }
        let (mut waited, mut n) = (-(1.0 - self.even()).ln(), 0.0);
        while waited < mean {
            waited -= (1.0 - self.even()).ln();
            n += 1.0;
        }
        n
    }

    /// A factor of mean about 1 with variance about `1 / clump`, lognormal.
    pub(super) fn clumped(&mut self, clump: f64) -> f64 {
        let variance = (1.0 + 1.0 / clump).ln();
        (variance.sqrt() * self.bell() - variance / 2.0).exp()
    }
}

/// The table, asked by subject and property.
#[derive(Debug, Clone, Copy)]
pub(super) struct Book<'a>(pub(super) &'a Tables);

impl Book<'_> {
    /// A number as it stands.
    pub(super) fn plain(self, subject: &str, property: &str) -> Result<f64, TableError> {
        self.0.value(TABLE, subject, property)
    }

    /// A draw whose central 90 % is the range: half a normal to either side.
    pub(super) fn around(
        self,
        (subject, property): (&str, &str),
        chance: &mut Chance,
    ) -> Result<f64, TableError> {
        let (low, value, high) = self.0.triple(TABLE, subject, property)?;
        let z = chance.bell().clamp(-FURTHEST, FURTHEST) / TO_THE_END;
        let side = if z < 0.0 { value - low } else { high - value };
        Ok(value + z * side)
    }

    /// The same by factors, for what cannot be 0.
    pub(super) fn times(
        self,
        (subject, property): (&str, &str),
        chance: &mut Chance,
    ) -> Result<f64, TableError> {
        let (low, value, high) = self.0.triple(TABLE, subject, property)?;
        let z = chance.bell().clamp(-FURTHEST, FURTHEST) / TO_THE_END;
        let side = if z < 0.0 { value / low } else { high / value };
        Ok(value * side.powf(z))
    }
}
