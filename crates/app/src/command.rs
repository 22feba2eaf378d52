//! The commands, one file each. Faults are printed here and nowhere else
//! (`chemistry` answers several files and prints as it goes).

pub mod chemistry;
pub mod dose;
mod figures;
pub mod mix;
mod parts;
pub mod session;
mod toml_file;
mod verdict;

pub use session::{Fault, Reply};

use crate::args::CommandLine;
use clap::Subcommand;
use session::Session;
use std::io::Write;
use std::process::ExitCode;

/// What may be asked on the command line.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Will worms stay in the bedding of a file.
    Mix(mix::Arguments),
    /// What to dose the bin of a file with.
    Dose(dose::Arguments),
    /// Solve the charge balance of one or more waters described in files.
    Chemistry(chemistry::Arguments),
}

/// Runs the command line. 0: answered, 2: bad input, 1: anything else.
#[must_use]
pub fn run(line: CommandLine) -> ExitCode {
    let command = match line.command {
        Some(Command::Chemistry(a)) => return chemistry::run(&a),
        other => other,
    };
    let answer = Session::new(line.global).and_then(|s| command_reply(command, &s));
    match answer.and_then(|text| print_line(&text)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => report_fault(&fault),
    }
}

fn command_reply(command: Option<Command>, s: &Session) -> Result<String, Fault> {
    Ok(match command {
        Some(Command::Mix(a)) => mix::run(&a, s)?.written(a.json),
        Some(Command::Dose(a)) => dose::run(&a, s)?.written(a.json),
        _ => String::new(),
    })
}

fn print_line(text: &str) -> Result<(), Fault> {
    if text.is_empty() {
        return Ok(());
    }
    writeln!(std::io::stdout(), "{text}")
        .map_err(|e| Fault::Other(format!("the answer could not be printed: {e}")))
}

/// Prints a fault, one line each, and gives its exit code.
#[must_use]
pub fn report_fault(fault: &Fault) -> ExitCode {
    match fault {
        Fault::Input(lines) => lines.iter().for_each(|l| eprintln!("{l}")),
        Fault::Other(line) => eprintln!("{line}"),
    }
    ExitCode::from(fault.code())
}
