//! A file looked over without an answer being worked out: what a command would
//! refuse in it.

use super::session::Fault;
use super::{chemistry, dose, mix, simulate};
use engine::table::Tables;

/// A file in TOML, by the command that takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TomlFile {
    /// For `mix`.
    Mix,
    /// For `dose`.
    Dose,
    /// For `simulate`.
    Simulate,
    /// For `chemistry`.
    Chemistry,
}

impl TomlFile {
    /// What keeps a file from being answered, one line each; none when nothing
    /// does.
    #[must_use]
    pub fn faults(self, tables: &Tables, text: &str) -> Vec<String> {
        let name = "file.toml";
        let read = match self {
            Self::Mix => mix::read(tables, name, text).map(drop),
            Self::Dose => dose::input::read(tables, name, text).map(drop),
            Self::Simulate => simulate::input::read(tables, name, text).map(drop),
            Self::Chemistry => chemistry::read(tables, name, text).map(drop),
        };
        match read {
            Ok(()) => Vec::new(),
            Err(Fault::Input(lines)) => lines,
            Err(Fault::Other(line)) => vec![line],
        }
    }
}
