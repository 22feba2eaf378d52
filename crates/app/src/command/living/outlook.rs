//! `bedwright outlook N`: the days to come, under the present plan or a
//! what-if.

use super::{days, tracks};
use crate::command::session::{Fault, Reply, Session, units};
use crate::command::{given_file, parts};
use crate::desk::outlook::{AIR_CELSIUS, OUTLOOK_DAYS, Outlook, WhatIf};
use crate::desk::{BinState, Desk};
use crate::report;
use crate::typed;
use engine::estimate::Track;
use engine::living::room::Day;
use engine::log::BinId;
use jiff::ToSpan;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Number of the bin.
    bin: i64,
    /// Days ahead, up to 365.
    #[arg(long, default_value_t = 56.0, value_parser = typed::number)]
    days: f64,
    /// Feed this many times as much as lately.
    #[arg(long, value_name = "TIMES", conflicts_with = "no_feeding", value_parser = typed::number)]
    feed_times: Option<f64>,
    /// Stop feeding.
    #[arg(long)]
    no_feeding: bool,
    /// Water it once a week, so much that it stays as moist as now.
    #[arg(long)]
    top_up: bool,
    /// Move it to air of this mean [°C].
    #[arg(long, value_name = "CELSIUS", allow_negative_numbers = true, value_parser = typed::number)]
    move_to: Option<f64>,
    /// Add bedding today: `10 L cardboard_corrugated`.
    #[arg(long, value_name = "PART")]
    add_bedding: Vec<String>,
    /// Nobody feeds or waters: `2026-12-01..2026-12-20`, or days from now,
    /// `3..20`.
    #[arg(long, value_name = "FROM..TO")]
    away: Option<String>,
    /// The air of the next days from today: CSV with columns `low_celsius`
    /// and `high_celsius`.
    #[arg(long, value_name = "FILE")]
    air: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(in crate::command) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let days = OUTLOOK_DAYS.check(a.days)?;
    if days.fract() != 0.0 {
        return Err(Fault::input(format!(
            "--days `{days}` is not a whole number of days; give 1 to 365"
        )));
    }
    let desk = session.desk()?;
    let what_if = WhatIf {
        feed_times: match a.feed_times {
            Some(times) => times,
            None if a.no_feeding => 0.0,
            None => 1.0,
        },
        move_to: a.move_to,
        move_from: 0,
        bedding: parts::from_words(desk.tables, &a.add_bedding)?,
        away: a
            .away
            .as_deref()
            .map(|typed| {
                let today = desk.clock.now().date();
                days::stretch("--away", typed, today, OUTLOOK_DAYS.high)
            })
            .transpose()?,
        air: a.air.as_deref().map(air).transpose()?.unwrap_or_default(),
        top_up: a.top_up,
    };
    let state = desk.bin(BinId(a.bin))?;
    let outlook = desk.outlook(&state, &what_if, days as u32)?;
    Reply::new(
        text(&desk, &state, &what_if, &outlook),
        json(&desk, &state, &what_if, &outlook),
    )
}

/// Daily lows and highs out of a file.
pub(in crate::command) fn air(path: &Path) -> Result<Vec<Day>, Fault> {
    let name = path.display();
    let text = given_file::text(path)?;
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headers = reader
        .headers()
        .map_err(|e| Fault::input(format!("{name}:1: {e}")))?
        .clone();
    let column = |wanted: &str| {
        headers.iter().position(|h| h == wanted).ok_or_else(|| {
            Fault::input(format!(
                "{name}:1: column `{wanted}` is missing; the columns are low_celsius and high_celsius"
            ))
        })
    };
    let (low, high) = (column("low_celsius")?, column("high_celsius")?);
    let mut days = Vec::new();
    let mut faults = Vec::new();
    for (row, line) in reader.records().zip(2..) {
        let read = row.map_err(|e| e.to_string()).and_then(|row| {
            let number = |i: usize, column: &str| -> Result<f64, String> {
                let value = typed::number(row.get(i).unwrap_or_default())
                    .map_err(|fault| format!("{column}: {fault}"))?;
                AIR_CELSIUS
                    .check(value)
                    .map_err(|e| format!("{column}: {e}"))
            };
            let (low, high) = (number(low, "low_celsius")?, number(high, "high_celsius")?);
            if high < low {
                return Err(format!(
                    "high_celsius `{high}` is below low_celsius `{low}`"
                ));
            }
            Ok(Day { low, high })
        });
        match read {
            Ok(day) => days.push(day),
            Err(fault) => faults.push(format!("{name}:{line}: {fault}")),
        }
    }
    if days.is_empty() && faults.is_empty() {
        faults.push(format!("{name}: it holds no day"));
    }
    if faults.is_empty() {
        Ok(days)
    } else {
        Err(Fault::Input(faults))
    }
}

fn date(desk: &Desk, days: usize) -> Date {
    let now = desk.clock.now().date();
    // At most a year, so the sum cannot overflow.
    now.checked_add((days as i64).days()).unwrap_or(now)
}

fn json(desk: &Desk, state: &BinState, what_if: &WhatIf, o: &Outlook) -> Value {
    let days: Vec<Value> = o
        .ahead
        .course
        .iter()
        .enumerate()
        .map(|(day, moment)| {
            let mut all = tracks::bands(moment);
            all.insert("day".to_owned(), day.into());
            all.insert("date".to_owned(), date(desk, day).to_string().into());
            all.into()
        })
        .collect();
    let on = |day: usize| Value::from(date(desk, day).to_string());
    json!({
        "schema": "bedwright-outlook-1",
        "bin": state.id.0,
        "name": state.description.name,
        "present_plan": what_if.is_present(),
        "plan": o.plan,
        "premise": o.premise,
        "notes": notes(desk, state, what_if, o),
        "seen": super::seen::json(desk, state),
        "air_taken_celsius": desk.air_taken(state).map(|(band, _)| band),
        "units": tracks::units(),
        "days": days,
        "alarms": o.ahead.alarms.iter()
            .map(|a| tracks::alarm(a.trouble, a.now, &a.by_day, &on))
            .collect::<Vec<_>>(),
        "chance_of_losing_a_tenth_of_the_worms": o.losing_worms,
    })
}

/// Figures of the table for people.
const SHOWN: [Track; 6] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::FoodLeft,
    Track::CastingsShare,
];
/// Chance under which an alarm is not spoken of.
const QUIET: f64 = 0.05;

/// What is taken for given and may be otherwise.
fn notes(desk: &Desk, state: &BinState, asked: &WhatIf, o: &Outlook) -> Vec<String> {
    let mut list = Vec::new();
    if !o.watered && !asked.top_up {
        list.push(format!(
            "No water was written down in the last four weeks, so none is given here. `bedwright outlook {} --top-up` shows it with water kept topped up.",
            state.id.0
        ));
    }
    if asked.move_to.is_none() {
        list.extend(desk.air_taken(state).map(|(_, words)| words));
    }
    list
}

fn text(desk: &Desk, state: &BinState, asked: &WhatIf, o: &Outlook) -> String {
    let units = units(desk);
    let today = desk.clock.now().date();
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(
        out,
        "Bin {}, {}: {}.",
        state.id.0,
        state.description.name,
        o.plan.join("; ")
    );
    for said in notes(desk, state, asked, o)
        .iter()
        .chain(&desk.seen_words(state))
    {
        let _ = writeln!(out, "{said}");
    }
    let last = o.ahead.course.len().saturating_sub(1);
    let mut shown: Vec<usize> = [0, 7, 14, 28, 56, 91, 182, 273]
        .into_iter()
        .filter(|d| *d < last)
        .collect();
    shown.push(last);
    for day in shown {
        let moment = &o.ahead.course[day];
        let _ = writeln!(
            out,
            "\n{}",
            report::date_and_distance(date(desk, day), today)
        );
        for track in SHOWN {
            let _ = writeln!(
                out,
                "  {:<18} {}",
                tracks::title(track),
                tracks::say(track, &moment.band(track), units)
            );
        }
    }
    let first = o.ahead.course.first();
    if let Some(said) = first.and_then(|m| desk.food_against(state, &m.band(Track::FoodLeft))) {
        let _ = writeln!(out, "\n{said}");
    }
    let _ = writeln!(out);
    let mut quiet = true;
    for a in &o.ahead.alarms {
        if a.in_all() < QUIET {
            continue;
        }
        quiet = false;
        let by = a.day_of(0.1).map_or_else(String::new, |d| {
            format!(", 10 % by {}", report::date(date(desk, d), today))
        });
        let _ = writeln!(
            out,
            "{}: {}{by}",
            a.trouble.title(),
            tracks::chance(a.in_all())
        );
    }
    if quiet {
        let _ = writeln!(out, "No trouble in sight (every chance is under 5 %).");
    }
    let _ = writeln!(
        out,
        "Chance of losing a tenth of the worms or more, beyond usual deaths, {}: {}.",
        o.premise,
        tracks::chance(o.losing_worms)
    );
    out
}
