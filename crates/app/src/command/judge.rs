//! `bedwright judge PART...`: will worms stay in this bedding.

use super::parts;
use super::session::{Fault, Reply, Session, units};
use super::verdict;
use super::words;
use crate::typed;
use serde_json::json;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Parts, such as "20 L coir_pith" "5 L vermicompost"; if known, with
    /// ph=6.1, moisture=60 or label=not-limed.
    #[arg(required = true)]
    parts: Vec<String>,
    /// Depth of bedding [cm].
    #[arg(long, value_name = "CM", value_parser = typed::number)]
    depth: Option<f64>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_if_any()?;
    let parts = parts::from_words(desk.tables, &a.parts)?;
    if let Some(depth) = a.depth {
        engine::bounds::BIN_DEPTH_CM.check(depth)?;
    }
    let judged = desk.judge(&parts, a.depth)?;
    let mut json = verdict::json("bedwright-judge-1", desk.tables, &judged);
    json["parts"] = (parts.iter())
        .map(|p| json!({ "material": p.material, "amount": p.amount.to_string() }))
        .collect();
    let judged_of = format!("Judged: {}.\n", words::parts(desk.tables, &parts));
    Reply::new(judged_of + &verdict::text(&judged, units(&desk)), json)
}
