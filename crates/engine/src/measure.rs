//! Household measures: what a keeper types ("2 cups", "3 handfuls", "20 L")
//! and how many grams of a given material that is, with its range.

pub mod convert;
pub mod display;
pub mod text;
pub mod unit;

pub use convert::{GramsRange, LitresRange, grams_per_litre, litres_per_kg_dry};
pub use display::{Household, System, describe_grams, describe_litres};
pub use text::plain_number;
pub use unit::{GRAMS_PER_OUNCE, GRAMS_PER_POUND, Kind, LITRES_PER_GALLON, Unit, fahrenheit};

use crate::bounds::{AMOUNT_GRAMS, AMOUNT_LITRES, AMOUNT_NUMBER, BoundError};
use crate::echo::{Said, echo, head};
use crate::table::TableError;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// An amount as typed: a number and a unit. Written as text (`"2 cups"`).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Amount {
    /// How many.
    pub number: f64,
    /// Of what.
    pub unit: Unit,
}

/// What was wrong with an amount.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AmountError {
    /// Could not be read.
    #[error(
        "amount `{}` could not be read; write a number and a unit, such as `20 L`, `500 g` or `3 cups`",
        echo(.0)
    )]
    Unreadable(String),
    /// A comma may be a decimal or a thousands mark.
    #[error(
        "amount `{}` has a comma, which may mean a decimal or thousands; write `1.5` or `1500`",
        echo(.0)
    )]
    Comma(String),
    /// A number in another notation than digits.
    #[error(
        "amount `{}`: numbers are written in plain digits, without an exponent or marks, such as `1000 L` or `0.5 kg`",
        echo(.0)
    )]
    NotPlain(String),
    /// A number without a unit.
    #[error("amount `{}` has no unit; write one, such as `20 L`, `500 g` or `3 cups`", echo(.0))]
    NoUnit(String),
    /// Not a unit we know.
    #[error(
        "amount `{}`: the unit `{}` is not known; known are {known}",
        head(.text, 20), head(.unit, 20)
    )]
    UnknownUnit {
        /// Text typed.
        text: String,
        /// Unit typed.
        unit: String,
        /// Units known.
        known: String,
    },
    /// Not more than nothing.
    #[error("amount `{}` must be more than 0", echo(.0))]
    NotPositive(String),
    /// Not a number at all.
    #[error(transparent)]
    Bound(#[from] BoundError),
    /// More than is taken, said in the unit typed.
    #[error("amount `{amount}` is outside the allowed range 0 to {most} ({why})")]
    TooMuch {
        /// As typed.
        amount: String,
        /// Most that is taken, in the same unit.
        most: String,
        /// Reason.
        why: &'static str,
    },
    /// A measure that makes no sense for the material.
    #[error("`{measure}` is not a measure for `{material}`; use {works}")]
    NotForMaterial {
        /// Measure typed.
        measure: &'static str,
        /// Key of the material.
        material: String,
        /// Measures that work.
        works: &'static str,
    },
    /// Nobody knows what a litre of it weighs.
    #[error(
        "what a litre of `{material}` weighs is not known; weigh a cup of it and give `grams_per_cup`, or use grams"
    )]
    NoDensity {
        /// Key of the material.
        material: String,
    },
    /// The tables lack what is needed.
    #[error(transparent)]
    Table(#[from] TableError),
}

impl Amount {
    /// An amount, checked.
    ///
    /// # Errors
    /// [`AmountError`] when the number is not finite, not above zero, or too
    /// large.
    pub fn new(number: f64, unit: Unit) -> Result<Self, AmountError> {
        if !number.is_finite() {
            AMOUNT_NUMBER.check(number)?;
        }
        let amount = Self { number, unit };
        if number <= 0.0 {
            return Err(AmountError::NotPositive(amount.to_string()));
        }
        if unit == Unit::Litre && number > AMOUNT_NUMBER.high {
            // How much a log may say; what is taken of a material is less.
            amount.within(AMOUNT_LITRES.high, AMOUNT_LITRES.why)?;
        }
        amount.within(AMOUNT_NUMBER.high, AMOUNT_NUMBER.why)?;
        if let Some(grams) = unit.grams() {
            amount.of_grams_each(grams)?;
        }
        Ok(amount)
    }

    /// That one of the unit weighs so much [g] and all of it not too much.
    fn of_grams_each(self, grams: f64) -> Result<(), AmountError> {
        self.within(AMOUNT_GRAMS.high / grams, AMOUNT_GRAMS.why)
    }

    /// That one of the unit takes so many litres and weighs so much [L, g], and
    /// all of it not too much of either.
    fn of_litres_and_grams_each(self, litres: f64, grams: f64) -> Result<(), AmountError> {
        let (most_litres, most_grams) = (AMOUNT_LITRES.high / litres, AMOUNT_GRAMS.high / grams);
        if most_litres <= most_grams {
            return self.within(most_litres, AMOUNT_LITRES.why);
        }
        self.within(most_grams, AMOUNT_GRAMS.why)
    }

    fn within(self, most: f64, why: &'static str) -> Result<(), AmountError> {
        if self.number <= most {
            return Ok(());
        }
        let digits = 10f64.powf(most.log10().floor() - 2.0);
        let most = (most / digits).floor() * digits;
        Err(AmountError::TooMuch {
            amount: echo(&format!("{} {}", Said(self.number), self.unit.many())),
            most: format!("{} {}", Said(most), self.unit.many()),
            why,
        })
    }

    /// Read an amount such as `2 cups`, `1 1/2 tsp` or `20 L`.
    ///
    /// # Errors
    /// [`AmountError`] saying what could not be read and what would be.
    ///
    /// # Example
    /// ```
    /// use engine::measure::{Amount, Unit};
    /// let amount = Amount::parse("1 1/2 tsp").unwrap();
    /// assert_eq!((amount.number, amount.unit), (1.5, Unit::Teaspoon));
    /// assert!(Amount::parse("1,5 kg").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Self, AmountError> {
        text::parse(text)
    }
}

impl std::fmt::Display for Amount {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&text::plain(self.number, self.unit))
    }
}

impl std::str::FromStr for Amount {
    type Err = AmountError;
    fn from_str(text: &str) -> Result<Self, AmountError> {
        Self::parse(text)
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
        amount.to_string()
    }
}
