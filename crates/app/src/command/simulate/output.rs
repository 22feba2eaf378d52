//! How a scenario went, for people and for programs.

use super::input::Asked;
use crate::command::living::tracks;
use crate::report::{self, Units};
use engine::estimate::Track;
use engine::scenario::Played;
use jiff::ToSpan;
use serde_json::{Value, json};
use std::fmt::Write;

/// The date of a day, when the file gives the first.
fn date(asked: &Asked, day: usize) -> Value {
    asked
        .start
        .and_then(|first| first.checked_add((day as i64).days()).ok())
        .map_or(Value::Null, |d| d.to_string().into())
}

/// The answer for programs; keys as in docs/contract-simulate.md.
pub(super) fn json(asked: &Asked, p: &Played) -> Value {
    let days: Vec<Value> = p
        .course
        .iter()
        .enumerate()
        .map(|(day, moment)| {
            let mut all = tracks::bands(moment);
            all.insert("day".to_owned(), day.into());
            all.insert("date".to_owned(), date(asked, day));
            all.into()
        })
        .collect();
    let alarms: Vec<Value> = p
        .chances
        .iter()
        .map(|c| {
            let now = c.there.last().copied().unwrap_or(0.0);
            let mut alarm = tracks::alarm(c.trouble, now, &c.come, &|day| date(asked, day));
            alarm["chance_there_by_day"] = json!(c.there);
            alarm
        })
        .collect();
    let books: serde_json::Map<String, Value> = p
        .balances
        .books
        .iter()
        .map(|b| {
            let book = json!({
                "in": b.put_in,
                "made": b.made,
                "to_air": b.to_air,
                "taken": b.taken,
                "held": b.held,
                "gap": b.gap,
                "largest_gap": b.largest_gap,
            });
            (b.name.to_owned(), book)
        })
        .collect();
    let s = &asked.scenario;
    json!({
        "schema": "bedwright-simulate-1",
        "days_run": s.days,
        "seed": s.seed,
        "members": s.members,
        "units": tracks::units(),
        "days": days,
        "alarms": alarms,
        "balances": books,
        "base_posted_mol": p.balances.base_posted_mol,
        "worms_dead": p.dead,
        "worms_left": p.left,
        "contradictions": p.contradictions,
    })
}

/// Chance under which an alarm is not spoken of.
const QUIET: f64 = 0.05;

/// The answer for people.
pub(super) fn text(asked: &Asked, p: &Played) -> String {
    let mut out = String::new();
    let last = p.course.len().saturating_sub(1);
    let mut shown: Vec<usize> = (0..=8).map(|i| i * last / 8).collect();
    shown.dedup();
    // Writing to a string does not fail.
    for day in shown {
        let on = match date(asked, day) {
            Value::String(date) => format!(", {date}"),
            _ => String::new(),
        };
        let _ = writeln!(out, "Day {day}{on}");
        for track in [
            Track::Ph,
            Track::Moisture,
            Track::Core,
            Track::Worms,
            Track::WormKg,
            Track::FoodLeft,
            Track::CastingsShare,
        ] {
            let _ = writeln!(
                out,
                "  {:<18} {}",
                tracks::title(track),
                tracks::say(track, &p.course[day].band(track), Units::Metric)
            );
        }
    }
    let _ = writeln!(out, "\nChance that it came up:");
    for c in p.chances.iter().filter(|c| c.most() >= QUIET) {
        let by = c
            .day_of(0.1)
            .map_or_else(String::new, |d| format!(", 10 % by day {d}"));
        let _ = writeln!(
            out,
            "  {:<24} {}{by}",
            c.trouble.title(),
            tracks::chance(c.most())
        );
    }
    if p.chances.iter().all(|c| c.most() < QUIET) {
        let _ = writeln!(out, "  none over 5 %");
    }
    let _ = writeln!(
        out,
        "\nThe books (in and made, gone to the air, taken out, there; largest gap):"
    );
    for b in &p.balances.books {
        let few = |x: f64| report::significant(x, 3);
        let _ = writeln!(
            out,
            "  {:<18} {} + {}, {}, {}, {}; {:.1e}",
            b.name,
            few(b.put_in.median),
            few(b.made.median),
            few(b.to_air.median),
            few(b.taken.median),
            few(b.held.median),
            b.largest_gap
        );
    }
    out
}
