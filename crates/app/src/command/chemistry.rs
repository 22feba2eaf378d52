//! `bedwright chemistry FILE.toml --json`: see docs/contract-chemistry.md.

mod input;
mod output;

use super::{print_line, report_fault};
use crate::command;
use crate::shown;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::Args;
use engine::chemistry::{AqueousModel, ChemistryError, Problem, equilibrate};
use engine::table::Tables;

/// Arguments of the command.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Files in TOML, each one water.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Print JSON, one line per file.
    #[arg(long)]
    json: bool,
}

/// What went wrong with one file.
enum Fault {
    /// The input is at fault; one line each, without the file's name.
    Input(Vec<input::Mistake>),
    /// Something else.
    Other(String),
}

impl From<ChemistryError> for Fault {
    fn from(error: ChemistryError) -> Self {
        match error {
            ChemistryError::Table { .. } | ChemistryError::Unsolved => {
                Self::Other(error.to_string())
            }
            _ => Self::Input(vec![input::Mistake {
                line: None,
                what: error.to_string(),
            }]),
        }
    }
}

/// Answer every file; all faults are reported before the exit code says so.
#[must_use]
pub fn run(arguments: &Arguments) -> ExitCode {
    let loaded = AqueousModel::load()
        .map_err(|e| e.to_string())
        .and_then(|model| Ok((model, Tables::load().map_err(|e| e.to_string())?)));
    let (model, tables) = match loaded {
        Ok(loaded) => loaded,
        Err(what) => return report_fault(&command::Fault::Other(what)),
    };
    let mut worst = 0;
    for file in &arguments.files {
        let name = file.display();
        let fault = match answer(&model, &tables, file, arguments.json) {
            Ok(text) => match print_line(&text) {
                Ok(()) => continue,
                Err(fault) => fault,
            },
            Err(Fault::Input(mistakes)) => told(&name.to_string(), &mistakes),
            Err(Fault::Other(what)) => command::Fault::Other(format!("{name}: {what}")),
        };
        let _ = report_fault(&fault);
        // What was asked wrongly outranks what went wrong.
        worst = worst.max(fault.code());
    }
    ExitCode::from(worst)
}

/// Every mistake with the file's name and its line.
fn told(name: &str, mistakes: &[input::Mistake]) -> command::Fault {
    let line = |m: &input::Mistake| match m.line {
        Some(line) => format!("{name}:{line}: {}", m.what),
        None => format!("{name}: {}", m.what),
    };
    command::Fault::Input(mistakes.iter().map(line).collect())
}

/// Reads the text of a file, or lists every mistake in it.
pub(super) fn read(tables: &Tables, name: &str, text: &str) -> Result<Problem, command::Fault> {
    input::read(tables, text).map_err(|mistakes| told(name, &mistakes))
}

fn answer(model: &AqueousModel, tables: &Tables, file: &Path, json: bool) -> Result<String, Fault> {
    let text = command::given_file::read(file)
        .map_err(|what| Fault::Input(vec![input::Mistake { line: None, what }]))?;
    let problem = input::read(tables, &text).map_err(Fault::Input)?;
    let equilibrium = equilibrate(model, &problem)?;
    if json {
        let text = output::json(model, &problem, &equilibrium);
        text.map(|t| shown::json(&t).into_owned())
            .map_err(|e| Fault::Other(e.to_string()))
    } else {
        Ok(shown::text(&output::table(&problem, &equilibrium)).into_owned())
    }
}
