//! One number: value, range, unit, basis, source, and how it was read.

use super::TableError;
use super::embedded::Cells;

/// How a number came here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Read in the opened text of the source.
    Opened,
    /// From memory of the source, not read again.
    Memory,
    /// An estimate; the rule is in the note or in `data/README.md`.
    Estimate,
    /// Computed from other numbers.
    Derived,
    /// Fitted to the measurements that the note names.
    Fitted,
    /// Measured by the keeper.
    Own,
}

impl Status {
    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::Memory => "memory",
            Self::Estimate => "estimate",
            Self::Derived => "derived",
            Self::Fitted => "fitted",
            Self::Own => "own",
        }
    }

    /// The status of that name, as written in the tables.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        [
            Self::Opened,
            Self::Memory,
            Self::Estimate,
            Self::Derived,
            Self::Fitted,
        ]
        .into_iter()
        .find(|s| s.name() == name)
    }
}

/// One number. `low` to `high` is the central 90 % plausible range.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    /// Value in `unit`; `None` when nobody knows it.
    pub value: Option<f64>,
    /// Low end of the plausible range, in `unit`.
    pub low: Option<f64>,
    /// High end of the plausible range, in `unit`.
    pub high: Option<f64>,
    /// Unit.
    pub unit: String,
    /// Basis, such as `dry mass` or `1:5 extract`.
    pub basis: String,
    /// Key of the source.
    pub source: String,
    /// Place in the source: table, page, abstract.
    pub place: String,
    /// How it came here.
    pub status: Status,
    /// Note; never empty when there is no value.
    pub note: String,
}

impl Number {
    /// Value with its range, when known: (low, value, high).
    #[must_use]
    pub fn triple(&self) -> Option<(f64, f64, f64)> {
        let value = self.value?;
        Some((self.low.unwrap_or(value), value, self.high.unwrap_or(value)))
    }

    pub(crate) fn read(cells: &Cells) -> Result<Self, TableError> {
        let status = cells.filled("status")?;
        let number = Self {
            value: cells.number("value")?,
            low: cells.number("low")?,
            high: cells.number("high")?,
            unit: cells.filled("unit")?,
            basis: cells.text("basis")?,
            source: cells.filled("source")?,
            place: cells.text("place")?,
            status: Status::from_name(&status).ok_or_else(|| {
                cells.wrong(format!(
                    "status `{status}` is not one of opened, memory, estimate, derived"
                ))
            })?,
            note: cells.text("note")?,
        };
        number.check(cells)?;
        Ok(number)
    }

    fn check(&self, cells: &Cells) -> Result<(), TableError> {
        let Some(value) = self.value else {
            if self.note.is_empty() {
                return Err(cells.wrong("an empty value needs a note".to_owned()));
            }
            if self.low.is_some() || self.high.is_some() {
                return Err(cells.wrong("an empty value can have no range".to_owned()));
            }
            return Ok(());
        };
        let (Some(low), Some(high)) = (self.low, self.high) else {
            return Err(cells.wrong("a value needs `low` and `high`".to_owned()));
        };
        if low <= value && value <= high {
            return Ok(());
        }
        Err(cells.wrong(format!("value {value} is not within {low} to {high}")))
    }
}

/// One row of a table of numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Name of the table.
    pub table: &'static str,
    /// Line in its file, the heading being line 1.
    pub line: usize,
    /// What the number is about.
    pub subject: String,
    /// Which number of it.
    pub property: String,
    /// The number.
    pub number: Number,
}

impl Row {
    pub(crate) fn read(
        table: &'static str,
        subject: &str,
        cells: &Cells,
    ) -> Result<Self, TableError> {
        Ok(Self {
            table,
            line: cells.line(),
            subject: cells.filled(subject)?,
            property: cells.filled("property")?,
            number: Number::read(cells)?,
        })
    }
}
