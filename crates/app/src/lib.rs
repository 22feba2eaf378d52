//! The app: commands, pages and charts.

use std::process::ExitCode;

use clap::Parser;

pub mod chart;
pub mod command;
pub mod counter;
pub mod demo;
pub mod desk;
pub mod report;
pub mod web;

/// The command line.
#[derive(Debug, Parser)]
#[command(
    name = "bedwright",
    version,
    about = "For people who keep composting worms."
)]
struct CommandLine {
    #[command(subcommand)]
    command: command::Command,
}

/// Run the command line of this process.
#[must_use]
pub fn run() -> ExitCode {
    CommandLine::parse().command.run()
}
