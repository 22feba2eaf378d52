//! `bedwright demo`: an invented shelf to look at.

use super::keeping::Plain;
use super::session::{Fault, Reply, Session};
use crate::demo;
use serde_json::json;

pub(super) fn run(_a: &Plain, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_to_write()?;
    demo::open(&desk)?;
    let bins = desk.bins()?.len();
    Reply::new(
        format!("An invented shelf of {bins} bins is there. `bedwright bins` lists it."),
        json!({ "schema": "bedwright-demo-1", "bins": bins }),
    )
}
