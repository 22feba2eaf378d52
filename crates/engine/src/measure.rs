//! Household measures: what a keeper types ("2 cups", "3 handfuls", "20 L")
//! and how many grams of a given material that is, with its range.

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// An amount as typed: a number and a unit. Written as text (`"2 cup"`).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Amount {
    /// How many.
    pub number: f64,
    /// Of what.
    pub unit: Unit,
}

/// A unit a keeper owns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Unit {
    /// Gram.
    Gram,
    /// Litre.
    Litre,
}

/// What was wrong with an amount.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AmountError {
    /// Could not be read.
    #[error("amount `{0}` could not be read; write a number and a unit, such as `20 L`, `500 g` or `3 cups`")]
    Unreadable(String),
}

impl Amount {
    /// Read an amount such as `2 cups`.
    ///
    /// # Errors
    /// [`AmountError`] saying what could not be read and what would be.
    pub fn parse(text: &str) -> Result<Self, AmountError> {
        Err(AmountError::Unreadable(text.to_owned()))
    }
}

impl TryFrom<String> for Amount {
    type Error = AmountError;
    fn try_from(text: String) -> Result<Self, AmountError> {
        Self::parse(&text)
    }
}

impl From<Amount> for String {
    fn from(amount: Amount) -> Self {
        format!("{} {:?}", amount.number, amount.unit)
    }
}
