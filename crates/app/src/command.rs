//! The commands, one file each. Faults are printed here and nowhere else
//! (`chemistry` answers several files and prints as it goes).

pub mod bins;
pub mod chemistry;
mod demo;
pub mod dose;
pub mod entry;
mod figures;
mod given_file;
pub mod judge;
pub mod keeping;
pub mod living;
pub mod materials;
pub mod mix;
mod parts;
pub mod plan;
pub mod probe;
pub mod scrutiny;
pub mod serve;
pub mod session;
pub mod shed;
pub mod simulate;
mod toml_file;
pub mod trials;
pub mod validation;
mod verdict;
mod words;

pub use session::{Fault, Reply};

use crate::args::CommandLine;
use crate::shown;
use clap::Subcommand;
use session::Session;
use std::borrow::Cow;
use std::io::Write;
use std::process::ExitCode;

/// What may be asked on the command line.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Open the web app on this machine (as without a command).
    Serve(serve::Arguments),
    /// The shelf: each bin with its one most important line.
    Bins(bins::Shelf),
    /// One bin: how it stands, its log, what readings were worth.
    Bin(bins::One),
    /// Put a new bin on the shelf.
    AddBin(bins::Add),
    /// Write in the log of a bin.
    Log(entry::Log),
    /// Say what an entry should have said.
    Correct(entry::Correct),
    /// Strike out an entry that should not be there.
    Strike(entry::Strike),
    /// What is worth doing today, over all bins.
    Today(living::today::Arguments),
    /// How a bin is now, with what the last entries taught.
    Now(living::now::Arguments),
    /// How much to feed a bin now.
    Ration(living::ration::Arguments),
    /// The days to come of a bin.
    Outlook(living::outlook::Arguments),
    /// Leaving a bin alone: what to do before, and the latest safe return.
    Away(living::away::Arguments),
    /// Heat and cold by the hour, and the least to do about it.
    Weather(living::weather::Arguments),
    /// What to dose a bin with, and when to read again.
    Plan(plan::Arguments),
    /// Test a bedding's buffer in jars.
    JarTest(trials::Jars),
    /// Let a few worms choose before all go in.
    TrayTest(trials::Tray),
    /// Will worms stay in this bedding.
    Judge(judge::Arguments),
    /// The materials of the tables.
    Materials(materials::List),
    /// Every number of one material, with its range and source.
    Material(materials::One),
    /// What is in the shed.
    Shed(shed::Arguments),
    /// Settings, and setting one.
    Settings(shed::Settings),
    /// How many more spots are worth reading.
    Spots(probe::Spots),
    /// Judge an electrode by two buffers.
    Calibrate(probe::Calibrate),
    /// Save the log to one file.
    Backup(keeping::Backup),
    /// Put a saved log in place.
    Restore(keeping::Restore),
    /// Write the log as JSON Lines or CSV.
    Export(keeping::Export),
    /// Read a log from JSON Lines or CSV.
    Import(keeping::Import),
    /// An invented shelf to look at.
    Demo(demo::Arguments),
    /// Check the data file, and say what to do where it is damaged.
    Check(keeping::Plain),
    /// Save what can be read of a damaged log.
    Rescue(keeping::Rescue),
    /// Will worms stay in the bedding of a file.
    Mix(mix::Arguments),
    /// What to dose the bin of a file with.
    Dose(dose::Arguments),
    /// Play a bin of a file through, from filling on.
    Simulate(simulate::Arguments),
    /// Published checks worked out anew; --write makes VALIDATION.md.
    Validation(validation::Arguments),
    /// Solve the charge balance of one or more waters described in files.
    Chemistry(chemistry::Arguments),
}

/// Runs the command line. 0: answered, 2: bad input, 1: anything else.
#[must_use]
pub fn run(line: CommandLine) -> ExitCode {
    let command = match line.command {
        Some(Command::Chemistry(a)) => return chemistry::run(&a),
        Some(other) => other,
        None => Command::Serve(serve::Arguments::default()),
    };
    match Session::new(line.global) {
        Ok(session) => carry_out(command, &session),
        Err(fault) => report_fault(&fault),
    }
}

/// Answers; what is to be known of the log itself is said beside the answer,
/// and a log that was written in is backed up where that is due.
fn carry_out(command: Command, session: &Session) -> ExitCode {
    let answer = reply(command, session);
    let notices = session.notices();
    say(notices.clone());
    let (mut reply, json) = match answer {
        Ok(answered) => answered,
        Err(fault) => return report_fault(&fault),
    };
    reply.with_notices(&notices);
    let code = print_answer(&reply, json);
    if session.writes() {
        keeping::tend(session);
        say(session.notices());
    }
    code
}

fn print_answer(reply: &Reply, json: bool) -> ExitCode {
    if reply.bad && !json {
        for line in reply.text.lines() {
            let _ = report_fault(&Fault::Other(line.to_owned()));
        }
        return ExitCode::FAILURE;
    }
    match print_line(&reply.written(json)) {
        Ok(()) if reply.bad => ExitCode::FAILURE,
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => report_fault(&fault),
    }
}

/// Lines beside the answer go where faults go.
pub(crate) fn say(lines: Vec<String>) {
    let _ = report_fault(&Fault::Input(lines));
}

macro_rules! answered {
    ($command:expr, $session:expr, { $($kind:ident => $run:path,)* }) => {
        match $command {
            Command::Serve(a) => serve::run(&a, $session).map(|()| (Reply::nothing(), false)),
            Command::Chemistry(_) => Ok((Reply::nothing(), false)),
            $(Command::$kind(a) => Ok(($run(&a, $session)?, a.json)),)*
        }
    };
}

fn reply(command: Command, s: &Session) -> Result<(Reply, bool), Fault> {
    answered!(command, s, {
        Bins => bins::shelf,
        Bin => bins::one,
        AddBin => bins::add,
        Log => entry::log,
        Correct => entry::correct,
        Strike => entry::strike,
        Today => living::today::run,
        Now => living::now::run,
        Ration => living::ration::run,
        Outlook => living::outlook::run,
        Away => living::away::run,
        Weather => living::weather::run,
        Plan => plan::run,
        JarTest => trials::jars,
        TrayTest => trials::tray,
        Judge => judge::run,
        Materials => materials::list,
        Material => materials::one,
        Shed => shed::shed,
        Settings => shed::settings,
        Spots => probe::spots,
        Calibrate => probe::calibrate,
        Backup => keeping::backup,
        Restore => keeping::restore,
        Export => keeping::export,
        Import => keeping::import,
        Demo => demo::run,
        Check => keeping::check,
        Rescue => keeping::rescue,
        Mix => mix::run,
        Dose => dose::run,
        Simulate => simulate::run,
        Validation => validation::run,
    })
}

pub(crate) fn print_line(text: &str) -> Result<(), Fault> {
    if text.is_empty() {
        return Ok(());
    }
    match writeln!(std::io::stdout(), "{text}") {
        // Whoever reads has had enough, as `head` does.
        Err(e) if e.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
        done => done.map_err(|e| Fault::Other(format!("the answer could not be printed: {e}"))),
    }
}

/// Most faults told one by one.
const MOST_TOLD: usize = 20;
/// Longest line of a fault [characters].
const LONGEST: usize = 300;

/// A line of a fault: when it is long, what was given is said back in part, as
/// what may be given comes after it.
fn in_part(line: &str) -> Cow<'_, str> {
    let mut said = Cow::Borrowed(line);
    for mark in ['`', '\'', '"'] {
        if said.chars().count() > LONGEST {
            let pieces = said.split(mark).enumerate();
            let pieces = pieces.map(|(n, piece)| match n % 2 {
                1 => engine::echo(piece),
                _ => piece.to_owned(),
            });
            said = pieces.collect::<Vec<_>>().join(&mark.to_string()).into();
        }
    }
    said
}

/// A line, its end left out when it is long all the same.
fn cut(line: &str) -> Cow<'_, str> {
    let said = in_part(line);
    match said.char_indices().nth(LONGEST) {
        None => said,
        Some(_) => said.chars().take(LONGEST - 1).chain(['…']).collect(),
    }
}

/// Prints a fault, one line each, and gives its exit code.
#[must_use]
pub fn report_fault(fault: &Fault) -> ExitCode {
    // Where nothing can be said any more, the exit code says it.
    let tell = |line: &str| {
        let _ = writeln!(std::io::stderr(), "{}", cut(&shown::line(line)));
    };
    match fault {
        Fault::Input(lines) => {
            lines.iter().take(MOST_TOLD).for_each(|l| tell(l));
            let more = lines.len().saturating_sub(MOST_TOLD);
            if more > 0 {
                tell(&format!("and {more} more faults"));
            }
        }
        Fault::Other(line) => tell(line),
    }
    ExitCode::from(fault.code())
}
