//! `bedwright simulate FILE.toml`: see docs/contract-simulate.md.

pub(super) mod input;
pub(super) mod output;

use super::given_file;
use super::mix;
use super::session::{Fault, Reply, Session, bars};
use crate::desk::DeskError;
use crate::desk::bar::Bar;
use crate::desk::hands::ALL_CORES;
use engine::scenario::play;
use engine::table::Tables;
use engine::validation::trust::{Looks, Trust};
use std::path::PathBuf;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// File in TOML that describes the bin and what is done to it.
    file: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(a: &Arguments, _session: &Session) -> Result<Reply, Fault> {
    let tables = Tables::load()?;
    let asked = input::read(&tables, &mix::name(&a.file), &given_file::text(&a.file)?)?;
    let mut bar = Bar::new(bars(), "playing it through");
    let mut played = play(&tables, &asked.scenario, &ALL_CORES, &mut |done| {
        bar.at(done);
    })
    .map_err(DeskError::NoEstimate)?;
    drop(bar);
    let looks = Looks::of_scenario(&asked.scenario);
    played.course = Trust::load(&tables)?.shown_course(&looks, &played.course);
    Reply::new(output::text(&asked, &played), output::json(&asked, &played))
}
