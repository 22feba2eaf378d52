//! The app: commands, pages and charts.

use std::process::ExitCode;

pub mod args;
pub mod chart;
pub mod command;
pub mod counter;
pub mod demo;
pub mod desk;
pub mod report;
pub mod shown;
pub mod typed;
pub mod wanted;
pub mod web;

/// Run the command line of this process.
#[must_use]
pub fn run() -> ExitCode {
    args::run()
}
