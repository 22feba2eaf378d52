//! `bedwright demo`: an invented shelf to look at.

use super::keeping::Plain;
use super::session::{Fault, Reply, Session};
use crate::desk::Desk;
use serde_json::json;

pub(super) fn run(_a: &Plain, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    if !desk.store().is_empty()? {
        return Err(Fault::input(
            "there is a log already, and the invented shelf does not mix with it; name another file with --data",
        ));
    }
    open(&desk)?;
    let bins = desk.bins()?.len();
    Reply::new(
        format!("An invented shelf of {bins} bins is there. `bedwright bins` lists it."),
        json!({ "schema": "bedwright-demo-1", "bins": bins }),
    )
}

/// Fills an empty log with the invented shelf.
fn open(_desk: &Desk) -> Result<(), Fault> {
    Err(Fault::Other(
        "the invented shelf is not in this build".to_owned(),
    ))
}
