//! Dice, and the table of this world.

use crate::table::{TableError, Tables};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Name of the table.
const TABLE: &str = "second_world";
/// Standard deviations from the middle to either end of where nine in ten lie.
const NINE_IN_TEN: f64 = 1.645;
/// No draw lies further out than so many standard deviations.
const FURTHEST: f64 = 2.2;

/// Dice of one seed.
#[derive(Debug, Clone)]
pub(super) struct Chance(ChaCha8Rng);

impl Chance {
    /// The dice of one stream of a seed.
    pub(super) fn new(seed: u64, stream: u64) -> Self {
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        dice.set_stream(stream);
        Self(dice)
    }

    /// Even from 0 to 1 [-].
    pub(super) fn even(&mut self) -> f64 {
        self.0.random()
    }

    /// Even from `low` to `high`, in their unit.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// Whether something of this probability [0 to 1] happens.
    pub(super) fn happens(&mut self, probability: f64) -> bool {
        self.even() < probability
    }

    /// One of `n` that are as likely.
    pub(super) fn one_of(&mut self, n: usize) -> usize {
        self.0.random_range(0..n)
    }

    /// A standard normal draw, by the polar way [-].
    pub(super) fn bell(&mut self) -> f64 {
        loop {
            let (a, b) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let r = a * a + b * b;
            if r > 0.0 && r < 1.0 {
                return a * (-2.0 * r.ln() / r).sqrt();
            }
        }
    }

    /// A log-normal factor of median 1 and this spread of its logarithm [-].
    pub(super) fn factor(&mut self, spread: f64) -> f64 {
        (spread * self.bell()).exp()
    }

    /// How many turn up where `mean` are expected, each by itself.
    pub(super) fn tally(&mut self, mean: f64) -> f64 {
        if mean > 60.0 {
            return (mean + mean.sqrt() * self.bell()).round().max(0.0);
        }
        let (floor, mut product, mut n) = ((-mean).exp(), self.even(), 0.0);
        while product > floor {
            product *= self.even();
            n += 1.0;
        }
        n
    }
}

/// The table, asked by subject and property.
#[derive(Debug, Clone, Copy)]
pub(super) struct Book<'a>(pub(super) &'a Tables);

impl Book<'_> {
    /// A number as it stands, in the unit of its row.
    pub(super) fn plain(self, subject: &str, property: &str) -> Result<f64, TableError> {
        self.0.value(TABLE, subject, property)
    }

    /// A draw, nine in ten of which lie in the range of the row: by factors where
    /// all of the range is above 0, else by steps.
    pub(super) fn draw(
        self,
        subject: &str,
        property: &str,
        chance: &mut Chance,
    ) -> Result<f64, TableError> {
        let (low, value, high) = self.0.triple(TABLE, subject, property)?;
        let z = chance.bell().clamp(-FURTHEST, FURTHEST) / NINE_IN_TEN;
        Ok(match (z < 0.0, low > 0.0) {
            (true, true) => value * (value / low).powf(z),
            (false, true) => value * (high / value).powf(z),
            (true, false) => value + z * (value - low),
            (false, false) => value + z * (high - value),
        })
    }
}
