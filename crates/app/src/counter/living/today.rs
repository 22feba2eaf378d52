//! What is worth doing now across all bins.

use super::days::on_and_distance;
use crate::counter::around::{refused, shell};
use crate::counter::words;
use crate::desk::today::Task;
use crate::desk::{Desk, Level};
use crate::report;
use crate::web::widgets::Drift;
use crate::web::{Answer, Nav, TodayLine, TodayPage};
use engine::log::BinId;

/// Things named for one bin; the rest is on its page.
const EACH: usize = 3;
/// Chance from which trouble should not wait.
const LIKELY: f64 = 0.5;

pub(in crate::counter) fn today(desk: &Desk) -> Answer<TodayPage> {
    let found = desk.today().map_err(refused)?;
    let mut things: Vec<TodayLine> = Vec::new();
    for task in &found.now {
        let named = things.iter().filter(|t| t.bin == task.bin.0).count();
        if named < EACH {
            things.push(line(desk, task)?);
        }
    }
    things.sort_by_key(|t| match t.drift {
        Drift::Stop => 0,
        Drift::Wait => 1,
        Drift::Unknown => 2,
        Drift::Good => 3,
    });
    let now = desk.clock.unix_seconds();
    let (mut quiet, mut later) = (Vec::new(), Vec::new());
    for task in &found.later {
        let id = task.bin.0;
        let when = on_and_distance(desk, now, task.by_days);
        let line = (id, task.name.clone(), format!("{}, {when}", task.what));
        let is_quiet = |q: &(i64, String, String)| q.0 == id;
        // Of a bin that asks for nothing today, what comes first says so.
        if things.iter().any(|t| t.bin == id) || quiet.iter().any(is_quiet) {
            later.push(line);
        } else {
            quiet.push(line);
        }
    }
    Ok(TodayPage {
        shell: shell(desk, "Today", Nav::Today),
        day: report::date(words::today(desk), words::today(desk)),
        things,
        later,
        quiet,
    })
}

fn line(desk: &Desk, task: &Task) -> Answer<TodayLine> {
    let id = task.bin.0;
    let drift = match task.kind.as_str() {
        "feed" | "harvest" => Drift::Good,
        "attention" => match desk
            .attention(&*desk.bin(BinId(id)).map_err(refused)?)
            .level
        {
            Level::Act => Drift::Stop,
            Level::Watch => Drift::Wait,
            Level::Well => Drift::Good,
            Level::Unknown => Drift::Unknown,
        },
        _ if task.chance.is_some_and(|c| c >= LIKELY) => Drift::Stop,
        _ => Drift::Wait,
    };
    let (page, link) = match task.kind.as_str() {
        "feed" => ("/ration", "How much, and what with"),
        "harvest" => ("?open=harvest#write-harvest", "Write down a harvest"),
        "too_hot" | "freezing" => ("/weather", "Heat and cold"),
        "attention" => ("", "Look at the bin"),
        _ => ("/outlook?days=14", "See what may come"),
    };
    Ok(TodayLine {
        bin: id,
        name: task.name.clone(),
        drift,
        what: format!("{}.", task.what.trim_end_matches('.')),
        seen: task.seen.clone(),
        why: task.why.clone(),
        if_it_waits: words::lower(&task.if_it_waits),
        // The reason gives the chance.
        chance: String::new(),
        href: format!("/bins/{id}{page}"),
        link: link.to_owned(),
    })
}
