//! The command line, and only that.

use crate::command::{self, Command};
use crate::desk::Desk;
use clap::Parser;
use clap::error::ErrorKind;
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;
use std::thread;

/// The command line.
#[derive(Debug, Parser)]
#[command(
    name = "bedwright",
    version,
    about = "For people who keep composting worms.",
    long_about = "For people who keep composting worms: will they stay in this bedding, \
                  what is a pH reading worth, and what to do about an acid bed.\n\n\
                  Without a command it opens the web app on this machine."
)]
pub struct CommandLine {
    /// What holds for every command.
    #[command(flatten)]
    pub global: Global,
    /// The command; the web app when there is none.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What holds for every command.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Global {
    /// Where the data file is; by custom of the platform when not given.
    #[arg(long, global = true, value_name = "PATH")]
    pub data: Option<PathBuf>,
    /// Answer as of this moment, such as 2026-11-24T18:05.
    #[arg(long, global = true, value_name = "TIME")]
    pub now: Option<String>,
    /// Wait until all that the log has to teach is worked out.
    #[arg(long, global = true)]
    pub settled: bool,
    /// Another draw of all chances: how far its answers differ is chance.
    #[arg(long, global = true, value_name = "NUMBER")]
    pub seed: Option<u64>,
}

/// Reads the command line of this process and runs it.
#[must_use]
pub fn run() -> ExitCode {
    outlast_a_full_file();
    // Nearly every answer wants the tables: another core reads them meanwhile.
    let _ = thread::Builder::new().spawn(Desk::make_ready);
    let typed: Vec<OsString> = std::env::args_os().map(as_value).collect();
    match CommandLine::try_parse_from(&typed) {
        Ok(line) => command::run(line),
        Err(error) if error.kind() == ErrorKind::InvalidUtf8 => {
            command::report_fault(&command::Fault::Input(no_text(&typed)))
        }
        Err(error) => refused(&error),
    }
}

/// Which of what was typed is no text. Names of files may be none.
fn no_text(typed: &[OsString]) -> Vec<String> {
    let odd = typed
        .iter()
        .enumerate()
        .filter(|(_, t)| t.to_str().is_none());
    odd.map(|(n, t)| {
        let shown = crate::typed::short(&t.to_string_lossy());
        format!("argument {n}, `{shown}`, has letters in it that are no UTF-8 text; type it again, or set the terminal to UTF-8")
    })
    .collect()
}

/// Where the system limits how long a file may grow, it ends the program at the
/// write that goes beyond. With the signal taken that write fails instead, and
/// is told of like a full disk. Best effort: without it nothing is lost either.
fn outlast_a_full_file() {
    #[cfg(unix)]
    let _ = signal_hook::flag::register(
        signal_hook::consts::SIGXFSZ,
        std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false)),
    );
}

/// What is below zero, such as `-200 g apple` or `-5`, is a value, not an
/// option: a space before it says so to the parser, and it is then refused in
/// our own words. A number is read without the space.
fn as_value(typed: OsString) -> OsString {
    let is_amount = typed.to_str().is_some_and(|text| {
        text.strip_prefix('-')
            .is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || c == '.'))
    });
    if !is_amount {
        return typed;
    }
    let mut value = OsString::from(" ");
    value.push(typed);
    value
}

/// Help and version are answers; anything else is one line on stderr.
fn refused(error: &clap::Error) -> ExitCode {
    if matches!(
        error.kind(),
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion
    ) {
        let said = error.to_string();
        return match command::print_line(said.trim_end()) {
            Ok(()) => ExitCode::SUCCESS,
            Err(fault) => command::report_fault(&fault),
        };
    }
    command::report_fault(&command::Fault::input(one_line(&error.to_string())))
}

/// What the parser says at the end of a refused whole number, and plain words.
const NO_WHOLE_NUMBER: [(&str, &str); 4] = [
    (
        "invalid digit found in string",
        "give a whole number, such as 3",
    ),
    (
        "cannot parse integer from empty string",
        "give a whole number, such as 3",
    ),
    (
        "number too large to fit in target type",
        "give a smaller whole number, such as 3",
    ),
    (
        "number too small to fit in target type",
        "give a larger whole number, such as 3",
    ),
];

/// The first paragraph of clap's message, and where to read on.
fn one_line(text: &str) -> String {
    let said: Vec<&str> = text
        .lines()
        .take_while(|l| !l.trim().is_empty())
        .map(str::trim)
        .collect();
    // The space put before what is below zero is not of the keeper.
    let said = said
        .join(" ")
        .replace("invalid value ' -", "invalid value '-");
    let said = said.strip_prefix("error: ").unwrap_or(&said);
    let said = (NO_WHOLE_NUMBER.iter()).fold(said.to_owned(), |said, (inner, words)| {
        match said.strip_suffix(inner) {
            Some(head) => format!("{head}{words}"),
            None => said,
        }
    });
    format!("{said}; `--help` lists what there is")
}
