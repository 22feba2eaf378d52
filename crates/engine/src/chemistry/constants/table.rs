//! Reading the table of aqueous constants: one row per number.

use super::Law;
use crate::chemistry::ChemistryError;
use crate::chemistry::activity::Activity;

/// All rows of one component, species or phase.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    pub(super) kind: String,
    pub(super) name: String,
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq)]
struct Row {
    line: u64,
    property: String,
    value: f64,
    unit: String,
}

pub(super) fn missing(kind: &str, name: &str) -> ChemistryError {
    ChemistryError::Table {
        line: 0,
        what: format!("no {kind} `{name}`"),
    }
}

/// Read every row; rows of one name gather in one entry.
pub(super) fn read(text: &str) -> Result<Vec<Entry>, ChemistryError> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    for record in reader.records() {
        let record = record.map_err(|e| ChemistryError::Table {
            line: e.position().map_or(0, csv::Position::line),
            what: e.to_string(),
        })?;
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |i: usize| record.get(i).unwrap_or("");
        let value: f64 = cell(3).parse().map_err(|_| ChemistryError::Table {
            line,
            what: format!("`{}` is not a number", cell(3)),
        })?;
        let row = Row {
            line,
            property: cell(2).to_owned(),
            value,
            unit: cell(4).to_owned(),
        };
        let same = |e: &&mut Entry| e.kind == cell(0) && e.name == cell(1);
        match entries.iter_mut().find(same) {
            Some(entry) => entry.push(row)?,
            None => entries.push(Entry {
                kind: cell(0).to_owned(),
                name: cell(1).to_owned(),
                rows: vec![row],
            }),
        }
    }
    Ok(entries)
}

pub(super) fn find<'a>(
    entries: &'a [Entry],
    kind: &str,
    name: &str,
) -> Result<&'a Entry, ChemistryError> {
    entries
        .iter()
        .find(|e| e.kind == kind && e.name == name)
        .ok_or_else(|| missing(kind, name))
}

impl Entry {
    fn push(&mut self, row: Row) -> Result<(), ChemistryError> {
        if self.rows.iter().any(|r| r.property == row.property) {
            return Err(ChemistryError::Table {
                line: row.line,
                what: format!("`{}` of `{}` is given twice", row.property, self.name),
            });
        }
        self.rows.push(row);
        Ok(())
    }

    pub(super) fn get(&self, property: &str) -> Option<f64> {
        let row = self.rows.iter().find(|r| r.property == property);
        row.map(|r| r.value)
    }

    pub(super) fn number(&self, property: &str) -> Result<f64, ChemistryError> {
        self.get(property)
            .ok_or_else(|| missing(property, &self.name))
    }

    /// Parts of a reaction: the rows whose property starts with `word`.
    pub(super) fn parts(&self, word: &str) -> Result<Vec<(&str, i8)>, ChemistryError> {
        let mut parts = Vec::new();
        for row in &self.rows {
            let Some(name) = row.property.strip_prefix(word) else {
                continue;
            };
            if row.value.fract() != 0.0 || row.value.abs() > 9.0 {
                return Err(ChemistryError::Table {
                    line: row.line,
                    what: format!("`{}` is not a count of molecules", row.value),
                });
            }
            parts.push((name, row.value as i8));
        }
        Ok(parts)
    }

    /// log K as a function of temperature.
    pub(super) fn law(&self) -> Result<Law, ChemistryError> {
        let mut analytic = [0.0; 6];
        let mut given = false;
        for (i, slot) in analytic.iter_mut().enumerate() {
            if let Some(value) = self.get(&format!("analytic_{}", i + 1)) {
                *slot = value;
                given = true;
            }
        }
        if given {
            return Ok(Law {
                analytic: Some(analytic),
                ..Law::default()
            });
        }
        Ok(Law {
            analytic: None,
            log_k: self.number("log_k")?,
            heat: self.heat_kj()?,
        })
    }

    fn heat_kj(&self) -> Result<f64, ChemistryError> {
        let Some(row) = self.rows.iter().find(|r| r.property == "delta_h") else {
            return Ok(0.0);
        };
        match row.unit.as_str() {
            "kJ/mol" => Ok(row.value),
            "kcal/mol" => Ok(row.value * 4.184),
            other => Err(ChemistryError::Table {
                line: row.line,
                what: format!("`{other}` is not a unit of heat per mole"),
            }),
        }
    }

    /// The activity law of a species of `charge`.
    pub(super) fn activity(&self, charge: f64) -> Activity {
        let z2 = charge * charge;
        match (self.get("ion_size"), self.get("ion_b")) {
            _ if z2 == 0.0 => Activity::Neutral,
            (Some(size), Some(b)) => Activity::TruesdellJones { z2, size, b },
            _ => Activity::Davies { z2 },
        }
    }
}
