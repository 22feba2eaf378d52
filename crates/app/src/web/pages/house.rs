//! Shed, one material, settings, error.

use super::Shell;
use crate::web::error::PageError;
use crate::web::widgets::{Form, Sources};
use askama::Template;

/// The shed, and all materials of the tables.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "shed.html")]
pub struct ShedPage {
    /// Around it.
    pub shell: Shell,
    /// What is searched for.
    pub q: String,
    /// Roles: value, words, chosen.
    pub roles: Vec<(String, String, bool)>,
    /// What the keeper has.
    pub mine: Vec<MaterialLine>,
    /// What was found in the tables.
    pub found: Vec<MaterialLine>,
    /// How many there are in all.
    pub total: usize,
    /// Why what is searched for is not fed; empty where it is no such thing.
    pub unfed: String,
}

/// One material in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MaterialLine {
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Role: `bedding`.
    pub role: String,
    /// The figure that matters most: `pH 3.0 to 4.5`.
    pub line: String,
    /// How much the keeper has; empty when not in the shed.
    pub have: String,
}

/// One material: every number with range, status and source.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "material.html")]
pub struct MaterialPage {
    /// Around it.
    pub shell: Shell,
    /// Key.
    pub key: String,
    /// Name.
    pub name: String,
    /// Role.
    pub role: String,
    /// What it is, and what to know of it.
    pub about: String,
    /// Numbers.
    pub numbers: Vec<NumberRow>,
    /// What household measures of it weigh.
    pub measures: Vec<NumberRow>,
    /// Where sources disagreed, and what was chosen and why.
    pub conflicts: Vec<String>,
    /// Own values.
    pub form: Form,
    /// Sources, with their status.
    pub sources: Sources,
}

/// One number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberRow {
    /// What.
    pub name: String,
    /// Value with unit.
    pub value: String,
    /// Range.
    pub range: String,
    /// Status: `read`, `from memory`, `estimate`, `computed`.
    pub status: String,
    /// Source, short.
    pub source: String,
    /// The keeper's own value, when given.
    pub own: String,
}

/// Settings.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "settings.html")]
pub struct SettingsPage {
    /// Around it.
    pub shell: Shell,
    /// Units, bucket and cup.
    pub form: Form,
    /// Where the data file is.
    pub data_place: String,
    /// Entries and size, in words.
    pub data_size: String,
    /// Its backups.
    pub backups: Backups,
    /// What was wrong with a file given in, and the id of its field; `None` when
    /// nothing was.
    pub file_error: Option<(&'static str, String)>,
    /// Version of the program.
    pub version: String,
}

impl SettingsPage {
    /// What was wrong with the file given in a field; empty when nothing.
    fn wrong_with(&self, field: &str) -> &str {
        match &self.file_error {
            Some((of, said)) if *of == field => said,
            _ => "",
        }
    }
}

/// The backups of the log, as far as is known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Backups {
    /// Whether they are made of themselves, and where they are.
    pub how: String,
    /// The folder they are in; empty in memory.
    pub folder: String,
    /// The newest, newest first.
    pub list: Vec<BackupLine>,
    /// Why the last one could not be made; empty when it could.
    pub failed: String,
    /// That it is time to save one; empty when it is not.
    pub reminder: String,
}

/// One backup made without being asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackupLine {
    /// When: `Tue 24 Nov 18:05`.
    pub when: String,
    /// Entries and size: `214 entries, 96 kB`, or that it cannot be read.
    pub size: String,
    /// File name.
    pub name: String,
}

/// What is wrong with the log, and what to do about it.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "damage.html")]
pub struct DamagePage {
    /// Around it.
    pub shell: Shell,
    /// What is wrong, a sentence each; empty when nothing is.
    pub lines: Vec<String>,
    /// The log cannot be opened at all.
    pub closed: bool,
    /// Nothing can be written in it.
    pub no_writing: bool,
    /// Where the data file is.
    pub data_place: String,
    /// Its backups.
    pub backups: Backups,
}

/// What went wrong, and ways out.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "error.html")]
pub struct ErrorPage {
    /// Around it.
    pub shell: Shell,
    /// What went wrong.
    pub error: PageError,
}
