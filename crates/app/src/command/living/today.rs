//! `bedwright today`: what is worth doing now, over all bins.

use crate::command::session::{Fault, Reply, Session};
use crate::desk::Desk;
use crate::desk::today::{Task, Today};
use crate::report;
use jiff::ToSpan;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::fmt::Write;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(in crate::command) fn run(_a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let today = desk.today()?;
    let task = |t: &Task| task(&desk, t);
    let json = json!({
        "schema": "bedwright-today-1",
        "bins": today.bins,
        "now": today.now.iter().map(task).collect::<Vec<_>>(),
        "later": today.later.iter().map(task).collect::<Vec<_>>(),
        "nothing_until_days": today.nothing_until,
        "nothing_until_date": today.nothing_until.map(|d| date(&desk, d).to_string()),
    });
    Reply::new(text(&desk, &today), json)
}

fn task(desk: &Desk, t: &Task) -> Value {
    json!({
        "bin": t.bin.0,
        "name": t.name,
        "kind": t.kind,
        "what": t.what,
        "why": t.why,
        "by_days": t.by_days,
        "by_date": date(desk, t.by_days).to_string(),
        "if_it_waits": t.if_it_waits,
        "chance": t.chance,
        "seen": t.seen,
    })
}

/// The day so many days from now.
fn date(desk: &Desk, days: f64) -> Date {
    let now = desk.clock.now().date();
    // Days from now are few, so the sum cannot overflow.
    now.checked_add((days.floor() as i64).days()).unwrap_or(now)
}

fn text(desk: &Desk, today: &Today) -> String {
    let mut out = String::new();
    let on = desk.clock.now().date();
    if today.bins == 0 {
        return "There is no bin yet. `bedwright add-bin` makes one, `bedwright demo` shows an invented shelf."
            .to_owned();
    }
    // Writing to a string does not fail.
    if today.now.is_empty() {
        let until = date(desk, today.nothing_until.unwrap_or(1.0));
        let _ = writeln!(
            out,
            "Nothing to do until {}.",
            report::date_and_distance(until, on)
        );
    } else {
        let _ = writeln!(out, "Today:");
    }
    for t in &today.now {
        let _ = writeln!(out, "  {} ({}): {}.", t.name, t.bin.0, t.what);
        for seen in &t.seen {
            let _ = writeln!(out, "    {seen}");
        }
        let _ = writeln!(out, "    {}", t.why);
        let _ = writeln!(out, "    If it waits: {}", t.if_it_waits);
    }
    if !today.later.is_empty() {
        let _ = writeln!(out, "Later:");
    }
    for t in &today.later {
        let by = report::date(date(desk, t.by_days), on);
        let _ = writeln!(out, "  {by}, {} ({}): {}.", t.name, t.bin.0, t.what);
        let _ = writeln!(out, "    {}", t.why);
    }
    out
}
