//! Tables: every number with its unit, range, source and how it was read.
//!
//! The CSV files of `data/` are part of the program: one row is one number.
//! A number nobody knows is a row with an empty value and a note. `low` to
//! `high` is the plausible range, to be read as the central 90 %; the rule
//! behind each is in `data/README.md`.

pub mod embedded;
pub mod material;
pub mod number;
pub mod product;
pub mod property;
pub mod search;
pub mod sites;
mod unfed;

pub use material::{Material, Role, inside_a_sentence};
pub use number::{Number, Row, Status};
pub use property::Property;
pub use sites::SiteClass;
pub use unfed::Unfed;

use crate::bounds::BoundError;
use crate::echo;
use embedded::Cells;
use std::collections::BTreeMap;
use std::sync::Arc;
use thiserror::Error;

/// What was wrong with a table, or with what was asked of it.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum TableError {
    /// A row breaks the rules of its file.
    #[error("{file} line {line}: {what}")]
    Malformed {
        /// File name.
        file: &'static str,
        /// Line, the heading being line 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// No material of that key.
    #[error("material `{}` is not in the tables; nearest: {nearest}", echo(.key))]
    UnknownMaterial {
        /// Key asked for.
        key: String,
        /// Nearest keys, joined by commas.
        nearest: String,
    },
    /// Something that is not fed.
    #[error("material `{}`: {why}", echo(.key))]
    NotFed {
        /// Asked for.
        key: String,
        /// Why it is not in the tables.
        why: String,
    },
    /// Nothing that is given as a dose.
    #[error("`{}` is not given as a dose; what can be dosed: {known}", echo(.key))]
    NoDose {
        /// Key asked for.
        key: String,
        /// What can be dosed, joined by commas.
        known: &'static str,
    },
    /// No such number.
    #[error("table `{table}` has no `{property}` for `{}`; nearest: {nearest}", echo(.subject))]
    UnknownNumber {
        /// Table asked.
        table: String,
        /// Subject asked for.
        subject: String,
        /// Property asked for.
        property: String,
        /// Nearest subject and property pairs.
        nearest: String,
    },
    /// The number is listed, but nobody knows its value.
    #[error("`{property}` of `{subject}` is not known: {note}")]
    NoValue {
        /// Subject asked for.
        subject: String,
        /// Property asked for.
        property: String,
        /// Why there is no value.
        note: String,
    },
    /// No such property.
    #[error("`{}` is not a property of a material; nearest: {nearest}", echo(.name))]
    UnknownProperty {
        /// Name asked for.
        name: String,
        /// Nearest names.
        nearest: String,
    },
    /// A keeper's own value is outside its range.
    #[error("`{property}` of `{material}`: {error}")]
    Own {
        /// Material.
        material: String,
        /// Property.
        property: &'static str,
        /// Range broken.
        error: BoundError,
    },
    /// The ratio is computed, never given.
    #[error(
        "`carbon_nitrogen_ratio` is computed; give `carbon_percent` and `nitrogen_percent` instead"
    )]
    OwnRatio,
    /// No such source.
    #[error("source `{key}` is not in sources.csv")]
    UnknownSource {
        /// Key asked for.
        key: String,
    },
    /// A material without acid sites of its own, such as a lime.
    #[error("`{material}` has no exchange sites: it is a reagent, not a bedding")]
    NoSites {
        /// Material asked for.
        material: String,
    },
}

/// One work a number was read in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Short name used by the rows.
    pub key: String,
    /// Author, year, title, place.
    pub citation: String,
    /// Web address or DOI, when known.
    pub url: String,
    /// How it was read: opened, abstract, reprint, memory or none.
    pub read: String,
}

/// A disagreement between sources, decided once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Short name.
    pub key: String,
    /// What disagrees.
    pub about: String,
    /// What the sources say.
    pub sources_say: String,
    /// What the tables use.
    pub choice: String,
    /// Why.
    pub reason: String,
    /// Key of the source the choice leans on.
    pub source: String,
}

/// All tables, parsed.
#[derive(Debug, Clone)]
pub struct Tables {
    materials: Vec<Material>,
    by_key: BTreeMap<String, usize>,
    rows: Vec<Row>,
    index: BTreeMap<(&'static str, String, String), usize>,
    classes: BTreeMap<String, SiteClass>,
    mapping: BTreeMap<String, sites::Mapping>,
    sources: BTreeMap<String, Source>,
    conflicts: Vec<Conflict>,
    products: Vec<product::ProductRow>,
    instruments: Vec<product::InstrumentName>,
}

impl Tables {
    /// Parse the embedded tables.
    ///
    /// # Errors
    /// [`TableError::Malformed`] naming file and line. The tables are tested,
    /// so an error here is a fault of the build.
    pub fn load() -> Result<Self, TableError> {
        let mut tables = Self {
            materials: Vec::new(),
            by_key: BTreeMap::new(),
            rows: Vec::new(),
            index: BTreeMap::new(),
            classes: BTreeMap::new(),
            mapping: BTreeMap::new(),
            sources: BTreeMap::new(),
            conflicts: Vec::new(),
            products: Vec::new(),
            instruments: Vec::new(),
        };
        tables.read_sources()?;
        tables.read_numbers()?;
        tables.read_materials()?;
        tables.read_sites()?;
        tables.read_conflicts()?;
        tables.read_products()?;
        Ok(tables)
    }

    /// The material of that key.
    ///
    /// # Errors
    /// [`TableError::UnknownMaterial`] naming the nearest keys, or
    /// [`TableError::NotFed`] saying why it is left out.
    pub fn material(&self, key: &str) -> Result<&Material, TableError> {
        self.by_key
            .get(key)
            .map(|&i| &self.materials[i])
            .ok_or_else(|| self.unknown(key))
    }

    /// Why a material is not there.
    fn unknown(&self, key: &str) -> TableError {
        match search::unfed(key) {
            Some(unfed) => TableError::NotFed {
                key: key.to_owned(),
                why: unfed.text(),
            },
            None => TableError::UnknownMaterial {
                key: key.to_owned(),
                nearest: self.nearest(key),
            },
        }
    }

    /// Keys of what is named so, else those spelt most like it.
    fn nearest(&self, key: &str) -> String {
        const OFFERED: usize = 3;
        let named = search::search(&self.materials, key);
        if named.is_empty() {
            return search::nearest(key, self.by_key.keys().map(String::as_str));
        }
        search::joined(named.iter().take(OFFERED).map(|m| m.key.as_str()))
    }

    /// What is asked for, where it is something that is not fed.
    #[must_use]
    pub fn unfed(&self, text: &str) -> Option<Unfed> {
        search::unfed(text)
    }

    /// All materials, in the order of the file.
    pub fn materials(&self) -> impl Iterator<Item = &Material> {
        self.materials.iter()
    }

    /// Materials that fit a searched text, best first: key, name, role and
    /// cautions are looked through, small slips of the pen are forgiven.
    /// An empty text fits all.
    #[must_use]
    pub fn search(&self, text: &str) -> Vec<&Material> {
        search::search(&self.materials, text)
    }

    /// Materials named so, by the whole words of a keeper's usual name; more
    /// than one where it may be several.
    #[must_use]
    pub fn named(&self, text: &str) -> Vec<&Material> {
        search::named(&self.materials, text)
    }

    /// A number of a table other than the materials.
    ///
    /// # Errors
    /// [`TableError::UnknownNumber`] naming the nearest rows.
    pub fn number(
        &self,
        table: &str,
        subject: &str,
        property: &str,
    ) -> Result<&Number, TableError> {
        self.listed(table, subject, property).ok_or_else(|| {
            let asked = format!("{subject} {property}");
            let all: Vec<String> = self
                .rows
                .iter()
                .filter(|r| r.table == table)
                .map(|r| format!("{} {}", r.subject, r.property))
                .collect();
            let nearest = if all.is_empty() {
                let names = embedded::NUMBER_TABLES.iter().map(|t| t.name);
                format!("no such table; tables are {}", search::joined(names))
            } else {
                search::nearest(&asked, all.iter().map(String::as_str))
            };
            TableError::UnknownNumber {
                table: table.to_owned(),
                subject: subject.to_owned(),
                property: property.to_owned(),
                nearest,
            }
        })
    }

    /// The bare value of a number.
    ///
    /// # Errors
    /// As [`Tables::number`], and [`TableError::NoValue`] when nobody knows it.
    pub fn value(&self, table: &str, subject: &str, property: &str) -> Result<f64, TableError> {
        let number = self.number(table, subject, property)?;
        number.value.ok_or_else(|| TableError::NoValue {
            subject: subject.to_owned(),
            property: property.to_owned(),
            note: number.note.clone(),
        })
    }

    /// The same where there is such a row, else `None`; the nearest rows are not
    /// looked for, which takes a thousand times as long as finding none.
    ///
    /// # Errors
    /// [`TableError::NoValue`] when nobody knows it.
    pub fn value_if_listed(
        &self,
        table: &str,
        subject: &str,
        property: &str,
    ) -> Result<Option<f64>, TableError> {
        self.listed(table, subject, property)
            .map(|_| self.value(table, subject, property))
            .transpose()
    }

    fn listed(&self, table: &str, subject: &str, property: &str) -> Option<&Number> {
        let table = embedded::NUMBER_TABLES.iter().find(|t| t.name == table)?;
        let id = (table.name, subject.to_owned(), property.to_owned());
        self.index.get(&id).map(|&i| &self.rows[i].number)
    }

    /// Low, value and high of a number.
    ///
    /// # Errors
    /// As [`Tables::value`].
    pub fn triple(
        &self,
        table: &str,
        subject: &str,
        property: &str,
    ) -> Result<(f64, f64, f64), TableError> {
        let value = self.value(table, subject, property)?;
        let number = self.number(table, subject, property)?;
        Ok(number.triple().unwrap_or((value, value, value)))
    }

    /// Subjects of a table, in the order of the file.
    #[must_use]
    pub fn subjects(&self, table: &str) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for row in self.rows.iter().filter(|r| r.table == table) {
            if !out.contains(&row.subject.as_str()) {
                out.push(&row.subject);
            }
        }
        out
    }

    /// Every row of every table of numbers, materials included.
    pub fn rows(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter()
    }

    /// Acid sites of a material [cmol of charge per kg dry matter].
    ///
    /// # Errors
    /// [`TableError::UnknownMaterial`], or [`TableError::NoSites`] for a
    /// reagent.
    pub fn sites(&self, material_key: &str) -> Result<SiteClass, TableError> {
        self.material(material_key)?;
        let none = || TableError::NoSites {
            material: material_key.to_owned(),
        };
        let mapping = self.mapping.get(material_key).ok_or_else(none)?;
        let class = self.classes.get(&mapping.class).ok_or_else(none)?;
        Ok(class.scaled(mapping))
    }

    /// The source of that key.
    ///
    /// # Errors
    /// [`TableError::UnknownSource`].
    pub fn source(&self, key: &str) -> Result<&Source, TableError> {
        self.sources
            .get(key)
            .ok_or_else(|| TableError::UnknownSource {
                key: key.to_owned(),
            })
    }

    /// All sources, by key.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        self.sources.values()
    }

    /// All conflicts between sources, with the choice made.
    #[must_use]
    pub fn conflicts(&self) -> &[Conflict] {
        &self.conflicts
    }

    fn read_sources(&mut self) -> Result<(), TableError> {
        let file = embedded::SOURCES;
        for cells in file.cells()? {
            let source = Source {
                key: cells.filled("key")?,
                citation: cells.filled("citation")?,
                url: cells.text("url")?,
                read: cells.filled("read")?,
            };
            if self.sources.contains_key(&source.key) {
                return Err(cells.wrong(format!("source `{}` is listed twice", source.key)));
            }
            self.sources.insert(source.key.clone(), source);
        }
        Ok(())
    }

    fn read_numbers(&mut self) -> Result<(), TableError> {
        for table in embedded::NUMBER_TABLES {
            for cells in table.cells()? {
                let row = Row::read(table.name, table.subject, &cells)?;
                self.known_source(&row.number.source, &cells)?;
                let id = (table.name, row.subject.clone(), row.property.clone());
                if self.index.insert(id, self.rows.len()).is_some() {
                    let what = format!("`{}` of `{}` is listed twice", row.property, row.subject);
                    return Err(cells.wrong(what));
                }
                self.rows.push(row);
            }
        }
        Ok(())
    }

    fn known_source(&self, key: &str, cells: &Cells) -> Result<(), TableError> {
        if self.sources.contains_key(key) {
            return Ok(());
        }
        Err(cells.wrong(format!("source `{key}` is not in sources.csv")))
    }

    fn read_materials(&mut self) -> Result<(), TableError> {
        for cells in embedded::MATERIAL_NAMES.cells()? {
            let material = Material::read(&cells)?;
            if self.by_key.contains_key(&material.key) {
                return Err(cells.wrong(format!("`{}` is listed twice", material.key)));
            }
            self.by_key
                .insert(material.key.clone(), self.materials.len());
            self.materials.push(material);
        }
        let file = embedded::MATERIAL_NUMBERS;
        for row in self.rows.iter().filter(|r| r.table == file.name) {
            let wrong = |what: String| TableError::Malformed {
                file: file.file,
                line: row.line,
                what,
            };
            let &i = self
                .by_key
                .get(&row.subject)
                .ok_or_else(|| wrong(format!("material `{}` has no name", row.subject)))?;
            let property = Property::from_name(&row.property)
                .ok_or_else(|| wrong(format!("`{}` is not a property", row.property)))?;
            Arc::make_mut(&mut self.materials[i].numbers).insert(property, row.number.clone());
        }
        Ok(())
    }

    fn read_sites(&mut self) -> Result<(), TableError> {
        for class in self
            .subjects(embedded::SITES.name)
            .iter()
            .map(|s| (*s).to_owned())
            .collect::<Vec<_>>()
        {
            let read = SiteClass::read(self, &class)?;
            self.classes.insert(class, read);
        }
        for cells in embedded::MATERIAL_SITES.cells()? {
            let mapping = sites::Mapping::read(&cells)?;
            self.known_source(&mapping.source, &cells)?;
            if !self.classes.contains_key(&mapping.class) {
                return Err(cells.wrong(format!("class `{}` is not in sites.csv", mapping.class)));
            }
            if !self.by_key.contains_key(&mapping.material) {
                return Err(cells.wrong(format!("material `{}` has no name", mapping.material)));
            }
            let material = mapping.material.clone();
            if self.mapping.insert(material.clone(), mapping).is_some() {
                return Err(cells.wrong(format!("`{material}` is mapped twice")));
            }
        }
        Ok(())
    }

    fn read_conflicts(&mut self) -> Result<(), TableError> {
        for cells in embedded::CONFLICTS.cells()? {
            let conflict = Conflict {
                key: cells.filled("key")?,
                about: cells.filled("about")?,
                sources_say: cells.filled("sources_say")?,
                choice: cells.filled("choice")?,
                reason: cells.filled("reason")?,
                source: cells.filled("source")?,
            };
            self.known_source(&conflict.source, &cells)?;
            self.conflicts.push(conflict);
        }
        Ok(())
    }
}
