//! `bedwright chemistry FILE.toml --json`: see docs/contract-chemistry.md.

mod input;
mod output;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;
use engine::chemistry::{AqueousModel, ChemistryError, equilibrate};
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
    let model = match AqueousModel::load() {
        Ok(model) => model,
        Err(error) => {
            eprintln!("{error}");
            return ExitCode::from(1);
        }
    };
    let tables = match Tables::load() {
        Ok(tables) => tables,
        Err(error) => {
            eprintln!("{error}");
            return ExitCode::from(1);
        }
    };
    let mut worst = 0;
    for file in &arguments.files {
        let name = file.display();
        match answer(&model, &tables, file, arguments.json) {
            Ok(text) => println!("{text}"),
            Err(Fault::Input(mistakes)) => {
                for mistake in mistakes {
                    match mistake.line {
                        Some(line) => eprintln!("{name}:{line}: {}", mistake.what),
                        None => eprintln!("{name}: {}", mistake.what),
                    }
                }
                worst = worst.max(2);
            }
            Err(Fault::Other(what)) => {
                eprintln!("{name}: {what}");
                worst = if worst == 2 { 2 } else { 1 };
            }
        }
    }
    ExitCode::from(worst)
}

fn answer(
    model: &AqueousModel,
    tables: &Tables,
    file: &PathBuf,
    json: bool,
) -> Result<String, Fault> {
    let text = std::fs::read_to_string(file).map_err(|e| {
        Fault::Input(vec![input::Mistake {
            line: None,
            what: format!("cannot be read: {e}"),
        }])
    })?;
    let problem = input::read(tables, &text).map_err(Fault::Input)?;
    let equilibrium = equilibrate(model, &problem)?;
    if json {
        output::json(model, &problem, &equilibrium).map_err(|e| Fault::Other(e.to_string()))
    } else {
        Ok(output::table(&problem, &equilibrium))
    }
}
