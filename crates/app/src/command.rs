//! The commands, one file each.

use std::process::ExitCode;

use clap::Subcommand;

pub mod chemistry;

/// What may be asked on the command line.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Solve the charge balance of one or more waters described in files.
    Chemistry(chemistry::Arguments),
}

impl Command {
    /// Run it. 0: answered, 2: bad input, 1: anything else.
    #[must_use]
    pub fn run(self) -> ExitCode {
        match self {
            Self::Chemistry(arguments) => chemistry::run(&arguments),
        }
    }
}
