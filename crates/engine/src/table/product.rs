//! How liming and acidifying products act: kind, grain shape and sizes, contact.

use super::embedded::{self, Cells};
use super::{TableError, Tables};

/// One row of products.csv, with the grain sizes it points to.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductRow {
    /// Key of the material.
    pub key: String,
    /// Kind of action, a word of the products table.
    pub action: String,
    /// Grain or plate.
    pub shape: String,
    /// Subject in the dissolution table whose shares of mass by size apply;
    /// empty when it does not come in grains.
    pub sizes_from: String,
    /// Subject in the dissolution table whose contact factor applies; empty
    /// for 1.
    pub contact_from: String,
    /// Source key.
    pub source: String,
    /// Note.
    pub note: String,
}

impl ProductRow {
    pub(super) fn read(cells: &Cells) -> Result<Self, TableError> {
        Ok(Self {
            key: cells.filled("key")?,
            action: cells.filled("action")?,
            shape: cells.filled("shape")?,
            sizes_from: cells.text("sizes")?,
            contact_from: cells.text("contact")?,
            source: cells.filled("source")?,
            note: cells.text("note")?,
        })
    }
}

/// One row of instrument_names.csv.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InstrumentName {
    /// Key in the instruments table.
    pub key: String,
    /// Name as a keeper would say it.
    pub name: String,
    /// Pushed into the bedding as it lies, rather than into a slurry.
    pub in_bedding: bool,
    /// Reads warmth, moisture or salt besides pH.
    pub reads_more: bool,
    /// How to take a reading with it.
    pub how: String,
}

impl InstrumentName {
    pub(super) fn read(cells: &Cells) -> Result<Self, TableError> {
        Ok(Self {
            key: cells.filled("key")?,
            name: cells.filled("name")?,
            in_bedding: cells.filled("in_bedding")? == "yes",
            reads_more: cells.filled("reads_more")? == "yes",
            how: cells.filled("how")?,
        })
    }
}

/// What can be dosed, in a keeper's words.
const DOSES: &str = "lime and other ground rock or shell, wood ash, baking soda and potash, sulphur, vinegar or citric acid, gypsum, grit, rock dust, sour peat";

impl Tables {
    /// How a product acts.
    ///
    /// # Errors
    /// [`TableError::NoDose`] saying what can be dosed.
    pub fn product(&self, key: &str) -> Result<&ProductRow, TableError> {
        self.products
            .iter()
            .find(|p| p.key == key)
            .ok_or_else(|| TableError::NoDose {
                key: key.to_owned(),
                known: DOSES,
            })
    }

    /// All products, in the order of the file.
    #[must_use]
    pub fn products(&self) -> &[ProductRow] {
        &self.products
    }

    /// All instruments, in the order of the file.
    #[must_use]
    pub fn instruments(&self) -> &[InstrumentName] {
        &self.instruments
    }

    /// An instrument by key.
    ///
    /// # Errors
    /// [`TableError::UnknownNumber`] naming the instruments there are.
    pub fn instrument(&self, key: &str) -> Result<&InstrumentName, TableError> {
        self.instruments
            .iter()
            .find(|i| i.key == key)
            .ok_or_else(|| {
                missing(
                    "instruments",
                    key,
                    self.instruments.iter().map(|i| i.key.as_str()),
                )
            })
    }

    /// Shares of mass by grain size of a subject of the dissolution table:
    /// (share, low edge [µm], high edge [µm]), shares summing to one.
    #[must_use]
    pub fn grain_sizes(&self, subject: &str) -> Vec<(f64, f64, f64)> {
        let rows: Vec<(f64, f64, f64)> = self
            .rows
            .iter()
            .filter(|r| r.table == "dissolution" && r.subject == subject)
            .filter_map(|r| {
                let edges = r.property.strip_prefix("share_")?.strip_suffix("_um")?;
                let (high, low) = edges.split_once('_')?;
                Some((r.number.value?, low.parse().ok()?, high.parse().ok()?))
            })
            .collect();
        let whole: f64 = rows.iter().map(|r| r.0).sum();
        rows.iter().map(|r| (r.0 / whole, r.1, r.2)).collect()
    }

    pub(super) fn read_products(&mut self) -> Result<(), TableError> {
        for cells in embedded::PRODUCTS.cells()? {
            let row = ProductRow::read(&cells)?;
            self.known_source(&row.source, &cells)?;
            self.material(&row.key)?;
            self.products.push(row);
        }
        for cells in embedded::INSTRUMENT_NAMES.cells()? {
            self.instruments.push(InstrumentName::read(&cells)?);
        }
        Ok(())
    }
}

fn missing<'a>(table: &str, key: &str, all: impl Iterator<Item = &'a str>) -> TableError {
    TableError::UnknownNumber {
        table: table.to_owned(),
        subject: key.to_owned(),
        property: "row".to_owned(),
        nearest: super::search::joined(all),
    }
}
