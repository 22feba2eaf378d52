//! `bedwright plan N`: what to dose a bin of the shelf with.

use super::dose::output;
use super::session::{Fault, Reply, Session};
use crate::desk::DeskError;
use crate::report;
use crate::typed;
use engine::log::BinId;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Number of the bin.
    bin: i64,
    /// pH wanted; ours when not given.
    #[arg(long, value_name = "PH", value_parser = typed::number)]
    target: Option<f64>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let (state, answer) = desk.dose(BinId(a.bin), a.target)?;
    let estimate = state
        .estimate
        .as_ref()
        .map_err(|e| DeskError::NoEstimate(e.clone()))?;
    let mut text = output::text(desk.tables, estimate, &answer, &|days| {
        let at = state.now + (days * 86_400.0) as i64;
        report::date(desk.clock.local(at).date(), desk.clock.now().date())
    });
    if answer.options.is_empty() && answer.direction != engine::dose::Direction::Stay {
        text.push_str(
            "\nThere is nothing in the shed to use: `bedwright shed add limestone_calcitic` puts garden lime there.\n",
        );
    }
    let mut json = output::json("bedwright-plan-1", desk.tables, estimate, &answer);
    json["bin"] = a.bin.into();
    Reply::new(text, json)
}
