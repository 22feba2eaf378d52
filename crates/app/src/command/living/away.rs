//! `bedwright away N FROM..TO`: what to do before an absence, and how long the
//! bin does without its keeper.

use super::{days, tracks};
use crate::command::session::{Fault, Reply, Session};
use crate::desk::Desk;
use crate::desk::outlook::AIR_CELSIUS;
use crate::desk::planners::Absence;
use crate::report;
use crate::typed;
use engine::away::{Away, Course, MOST_DAYS, MOST_LEAVE_IN};
use engine::log::BinId;
use serde_json::{Value, json};
use std::fmt::Write;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Number of the bin.
    bin: i64,
    /// Leaving and return: `2026-12-01..2026-12-20`, or days from now, `3..20`.
    #[arg(value_name = "FROM..TO")]
    stretch: String,
    /// Mean air where the bin is moved meanwhile [°C].
    #[arg(long, value_name = "CELSIUS", allow_negative_numbers = true, value_parser = typed::number)]
    place: Option<f64>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(in crate::command) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let today = desk.clock.now().date();
    let most = f64::from(MOST_LEAVE_IN + MOST_DAYS);
    let (from, to) = days::stretch("FROM..TO", &a.stretch, today, most)?;
    if from.fract() != 0.0 || to.fract() != 0.0 {
        return Err(Fault::input(format!(
            "FROM..TO `{}` is not in whole days",
            a.stretch
        )));
    }
    let absence = Absence {
        leave: from as u32,
        days: (to - from) as u32,
        place: a.place.map(|t| AIR_CELSIUS.check(t)).transpose()?,
    };
    let state = desk.bin(BinId(a.bin))?;
    let found = desk.away(&state, &absence)?;
    let mut json = json(&desk, &absence, &found);
    json["bin"] = a.bin.into();
    Reply::new(text(&desk, &absence, &found), json)
}

fn course(c: &Course) -> Value {
    json!({
        "chance_of_harm_by_return": c.at_return,
        "chance_by_day": c.by_day,
        "harm_day": { "one_in_ten": c.harm_day[0], "even": c.harm_day[1], "nine_in_ten": c.harm_day[2] },
        "latest_safe_days": c.latest_safe_days,
        "looked_days": c.looked_days,
        "troubles": c.chances.iter().map(|(t, chance)| json!({
            "trouble": t.name(), "title": t.title(), "chance": chance,
        })).collect::<Vec<_>>(),
        "first": c.first.iter().map(|(h, chance)| json!({
            "title": h.title(), "chance": chance,
        })).collect::<Vec<_>>(),
        "worm_mass_against_well_fed": c.condition,
        "moisture_percent_at_return": c.moisture_percent,
    })
}

fn json(desk: &Desk, absence: &Absence, found: &Away) -> Value {
    let on = |days: u32| desk.day_from_now(days).to_string();
    json!({
        "schema": "bedwright-away-1",
        "leave_in_days": absence.leave,
        "leave_date": on(absence.leave),
        "days_away": absence.days,
        "return_date": on(absence.leave + absence.days),
        "latest_safe_date": found.done.latest_safe_days.map(|d| on(absence.leave + d)),
        "feed_grams": found.feed_grams,
        "parts": found.parts.iter().map(|(key, grams)| json!({
            "material": key, "grams": grams,
        })).collect::<Vec<_>>(),
        "bedding_grams": found.bedding_grams,
        "soak_grams": found.soak_grams,
        "water_grams": found.water_grams,
        "done": course(&found.done),
        "undone": course(&found.undone),
        "unsettled": found.unsettled().map(|(h, chance)| json!({
            "title": h.title(), "chance": chance,
        })),
        "already": found.already.iter().map(|(h, chance)| json!({
            "title": h.title(), "chance": chance,
        })).collect::<Vec<_>>(),
        "advice": days::advice(&found.advice),
    })
}

/// Chance under which a trouble is not spoken of.
const QUIET: f64 = 0.05;

fn text(desk: &Desk, absence: &Absence, found: &Away) -> String {
    let today = desk.clock.now().date();
    let on = |days: u32| report::date_and_distance(desk.day_from_now(days), today);
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(
        out,
        "Away from {} to {}: chance of new harm by then {} with what is below, {} as it is.",
        on(absence.leave),
        on(absence.leave + absence.days),
        tracks::chance(found.done.at_return),
        tracks::chance(found.undone.at_return),
    );
    if let Some((harm, chance)) = found.unsettled() {
        let _ = writeln!(
            out,
            "Settle it before you leave. {}: {} when you leave.",
            harm.title(),
            tracks::chance(chance)
        );
    }
    let _ = match found.done.latest_safe_days {
        Some(days) if found.unsettled().is_some() => writeln!(
            out,
            "Put that right first; then be back by {}. After that the chance of new harm passes 1 in 10.",
            on(absence.leave + days)
        ),
        Some(days) => writeln!(
            out,
            "Latest safe return: {}. After that the chance passes 1 in 10.",
            on(absence.leave + days)
        ),
        None => writeln!(
            out,
            "{} until {} at least.",
            if found.unsettled().is_some() {
                "Put that right first; then safe"
            } else {
                "Safe"
            },
            on(absence.leave + found.done.looked_days)
        ),
    };
    let _ = writeln!(out, "\nWhat to do:");
    days::advice_text(&mut out, &found.advice);
    let _ = writeln!(out, "\nChance of each trouble before the return, so done:");
    let mut quiet = true;
    for (t, chance) in found.done.chances.iter().filter(|c| c.1 >= QUIET) {
        quiet = false;
        let _ = writeln!(out, "  {:<24} {}", t.title(), tracks::chance(*chance));
    }
    if quiet {
        let _ = writeln!(out, "  none over 5 %");
    }
    out
}
