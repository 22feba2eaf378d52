//! `bedwright dose FILE.toml --json`: see docs/contract-dose.md.

pub(super) mod input;
pub(super) mod output;

use super::given_file;
use super::mix;
use super::session::{Fault, Reply, Session};
use crate::desk::{DOSE_MEMBERS, Desk, DeskError};
use crate::report;
use engine::bed::fill::Own;
use engine::dose::{self, Answer, Ask, Refused};
use engine::estimate::{Estimate, Setup, estimate_told};
use engine::log::ShedItem;
use std::path::PathBuf;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// File in TOML that describes bin, readings and shed.
    file: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.empty_desk()?;
    let asked = input::read(
        desk.tables,
        &mix::name(&a.file),
        &given_file::text(&a.file)?,
    )?;
    let estimate = estimated(&desk, &asked)?;
    let answer = answered(&desk, &asked, &estimate)?;
    let mut json = output::json("bedwright-dose-1", desk.tables, &estimate, &answer);
    json["questions"] = asked.questions.clone().into();
    let mut text = output::text(desk.tables, &estimate, &answer, &|day| {
        format!("day {}", report::decimals(day, 0))
    });
    for question in &asked.questions {
        text.push_str(&format!("\nLook at that reading again: {question}\n"));
    }
    Reply::new(text, json)
}

fn estimated(desk: &Desk, asked: &input::Asked) -> Result<Estimate, Fault> {
    let own = own(&asked.shed);
    estimate_told(
        &Setup {
            tables: desk.tables,
            own: &own,
            temperature: asked.temperature,
            now: input::NOW,
            seed: desk.seed,
            members: DOSE_MEMBERS,
            bin: None,
            air: None,
        },
        &asked.log,
        &asked.told,
    )
    .map_err(|e| DeskError::NoEstimate(e).into())
}

fn own(shed: &[ShedItem]) -> Own {
    shed.iter()
        .filter(|i| !i.own.is_empty())
        .map(|i| (i.material.clone(), i.own.clone()))
        .collect()
}

fn answered(desk: &Desk, asked: &input::Asked, estimate: &Estimate) -> Result<Answer, Fault> {
    let mut shed = Vec::new();
    let mut not_products = Vec::new();
    for item in &asked.shed {
        if desk.tables.product(&item.material).is_ok() {
            shed.push(desk.shed_product(item)?);
        } else {
            let name = desk.tables.material(&item.material)?.name.clone();
            not_products.push(Refused {
                material: item.material.clone(),
                name,
                reason: "It is not a liming or acidifying material.".to_owned(),
            });
        }
    }
    let mut answer = dose::answer(&Ask {
        tables: desk.tables,
        estimate,
        shed: &shed,
        stocked: asked.stocked,
        target_ph: asked.target_ph,
        system: desk.system(),
        seed: desk.seed,
    })?;
    answer.refused.extend(not_products);
    Ok(answer)
}
