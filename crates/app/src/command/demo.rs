//! `bedwright demo`: an invented shelf to look at, and putting it away.

use super::session::{Fault, Reply, Session};
use crate::demo;
use serde_json::json;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Put it away: its bins leave the shelf and its things leave the shed.
    #[arg(long)]
    away: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    if a.away {
        return put_away(session);
    }
    let desk = session.desk_to_write()?;
    demo::open(&desk, None)?;
    let bins = desk.bins()?.len();
    Reply::new(
        format!("An invented shelf of {bins} bins is there. `bedwright bins` lists it."),
        json!({ "schema": "bedwright-demo-1", "bins": bins }),
    )
}

fn put_away(session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_there_to_write()?;
    let Some(demo) = demo::there(&desk)? else {
        return Err(Fault::input(
            "there is no demo to put away; what is on the shelf is your own, and stays",
        ));
    };
    let text = demo.gone();
    demo::put_away(&desk, None)?;
    let bins = desk.bins()?.len();
    Reply::new(
        text,
        json!({ "schema": "bedwright-demo-1", "bins": bins, "away": true }),
    )
}
