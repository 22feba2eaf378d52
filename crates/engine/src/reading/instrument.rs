//! Instruments and methods, with their error.

use crate::reading::combine::Expected;
use crate::table::{TableError, Tables};

/// An instrument or method for pH.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// Key in the instruments table.
    pub key: String,
    /// Name as a keeper would say it.
    pub name: String,
    /// Scatter of one reading about its own mean [pH].
    pub noise_sd: f64,
    /// Uncertainty of the instrument's own bias [pH]; more spots do not shrink it.
    pub bias_sd: f64,
    /// What to add to a reading to bring it to the 1:5 water slurry scale [pH].
    pub offset: f64,
    /// Uncertainty of that shift [pH].
    pub offset_sd: f64,
    /// Smallest step it shows [pH].
    pub resolution: f64,
    /// Value it rests at when not in contact, if it has one [pH].
    pub idle: Option<f64>,
    /// Pushed into the bedding as it lies, so moisture and contact matter.
    pub in_bedding: bool,
    /// What is expected of spots read with any instrument.
    pub expected: Expected,
}

impl Instrument {
    /// The instrument `key` of the tables.
    ///
    /// # Errors
    /// [`TableError`] when there is no such instrument; it lists those there are.
    pub fn from_tables(tables: &Tables, key: &str) -> Result<Self, TableError> {
        tables.instrument(key)?;
        let need = |property: &str| tables.value("instruments", key, property);
        let idle = tables
            .number("instruments", key, "idle_ph")
            .ok()
            .and_then(|n| n.value);
        Ok(Self {
            key: key.to_owned(),
            name: tables.instrument(key)?.name.clone(),
            noise_sd: need("noise_sd_ph")?,
            bias_sd: need("bias_sd_ph")?,
            offset: need("method_offset_ph")?,
            offset_sd: need("offset_sd_ph")?,
            resolution: need("resolution_ph")?,
            idle,
            in_bedding: tables.instrument(key)?.in_bedding,
            expected: Expected::from_tables(tables)?,
        })
    }

    /// Uncertainty that more spots cannot shrink: bias and method shift
    /// together [pH].
    #[must_use]
    pub fn systematic_sd(&self) -> f64 {
        self.bias_sd.hypot(self.offset_sd)
    }
}
