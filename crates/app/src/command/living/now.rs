//! `bedwright now N`: how a bin is, what the last entries taught, and the one
//! look worth taking.

use super::tracks;
use crate::command::session::{Fault, Reply, Session, units};
use crate::command::words;
use crate::desk::living::{Decision, Now, WorthALook};
use crate::desk::ph_lesson::PhLesson;
use crate::desk::taught;
use crate::desk::wetness::{Wetness, wetness};
use crate::desk::{BinState, Desk};
use crate::report;
use engine::estimate::{Lesson, Track};
use engine::log::{BinId, Body, Entry, Measured};
use engine::quantity::Band;
use serde_json::{Value, json};
use std::fmt::Write;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Number of the bin.
    bin: i64,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Chance under which a trouble is not spoken of.
const QUIET: f64 = 0.05;

pub(in crate::command) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let state = desk.bin(BinId(a.bin))?;
    let now = desk.now_of(&state)?;
    Reply::new(text(&desk, &state, &now), json(&desk, &state, &now))
}

fn json(desk: &Desk, state: &BinState, now: &Now) -> Value {
    json!({
        "schema": "bedwright-now-1",
        "bin": state.id.0,
        "name": state.description.name,
        "stocked": state.stocked,
        "still_settling": state.still_settling,
        "cause_outside_the_model_chance": state.cause_outside(desk),
        "now": tracks::bands(&now.moment),
        "units": tracks::units(),
        "troubles": now.troubles.iter().map(|(t, chance)| json!({
            "trouble": t.name(), "title": t.title(), "bad": t.is_bad(), "chance": chance,
        })).collect::<Vec<_>>(),
        "taught": now.lessons.iter().map(|l| lesson(state, l)).collect::<Vec<_>>(),
        "look": now.look.as_ref().map(look),
        "fed_days_ago": now.fed_days_ago,
        "wetness": wetness(desk.tables, state).map(Wetness::words),
        "food_left_of": desk.food_words(state),
        "food_seen_gone": state.last_food().is_some_and(|f| f.is_gone()),
        "food_left": super::seen::food_left(state),
        "depth": depth(desk, state),
        "seen": super::seen::json(desk, state),
        "contradictions": now.contradictions,
    })
}

/// How deep the bedding stands, as written and by the model.
fn depth(desk: &Desk, state: &BinState) -> Value {
    let depth = desk.depth_of(state);
    json!({
        "written_cm": depth.written.map(|(cm, _)| cm),
        "written_unix_seconds": depth.written.map(|(_, at)| at),
        "model_cm": depth.model_cm,
        "model_litres": depth.model_litres,
        "words": desk.depth_words(state),
    })
}

fn lesson(state: &BinState, l: &Lesson) -> Value {
    let figures: serde_json::Map<String, Value> = l
        .figures
        .iter()
        .map(|(track, before, after)| {
            let pair = json!({ "before": before, "after": after });
            (track.name().to_owned(), pair)
        })
        .collect();
    json!({
        "entry": l.entry.0,
        "figures": figures,
        "effective_share": l.effective_share,
        "contradicted": l.contradicted,
        "ph_reading": PhLesson::of(state, l).map(|p| json!({
            "read": p.read,
            "half_width": p.reading_half_width,
            "spots": p.spots,
            "local": p.local,
            "apart": p.apart(),
            "moved": p.moved(),
            "words": p.words(),
        })),
    })
}

fn look(w: &WorthALook) -> Value {
    let (decision, unit) = match w.decision {
        Decision::Feed => ("feed", "g/d"),
        Decision::Trouble => ("trouble", "chance"),
    };
    json!({
        "what": w.gain.look.name(),
        "minutes": w.gain.minutes,
        "decision": decision,
        "unit": unit,
        "spread_now": w.gain.spread_now,
        "spread_then": w.gain.spread_then,
    })
}

fn text(desk: &Desk, state: &BinState, now: &Now) -> String {
    let units = units(desk);
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(out, "Bin {}, {}, now", state.id.0, state.description.name);
    for seen in desk.seen_words(state) {
        let _ = writeln!(out, "{seen}");
    }
    for track in Track::ALL {
        let band = now.moment.band(*track);
        if *track == Track::Ammonia && report::says_nothing(&band) {
            continue;
        }
        let said = match track {
            Track::FoodLeft => food_left(desk, state, band),
            Track::Moisture => {
                let wet = wetness(desk.tables, state).map_or("", Wetness::words);
                format!("{}, {wet}", tracks::say(*track, &band, units))
            }
            _ => tracks::say(*track, &band, units),
        };
        let said = said.trim_end_matches(", ");
        let _ = writeln!(out, "  {:<18} {said}", tracks::title(*track));
    }
    let _ = writeln!(out, "{}", desk.depth_words(state));
    let _ = writeln!(
        out,
        "In brackets: four chances in five that it lies between."
    );
    let loud: Vec<String> = now
        .troubles
        .iter()
        .filter(|(_, chance)| *chance >= QUIET)
        .map(|(t, chance)| format!("  {}: {}", t.title(), tracks::chance(*chance)))
        .collect();
    if !loud.is_empty() {
        let _ = writeln!(out, "\nChance that it is there today:\n{}", loud.join("\n"));
    }
    if !now.lessons.is_empty() {
        let _ = writeln!(out, "\nWhat the last entries taught:");
        for l in &now.lessons {
            let _ = writeln!(out, "  {}", taught(desk, state, l));
        }
    }
    let _ = writeln!(out, "\n{}", worth(state, now.look.as_ref()));
    out
}

/// What is left of the last feeding, which that was, and the latest word on it.
fn food_left(desk: &Desk, state: &BinState, estimated: Band) -> String {
    match (state.last_food(), desk.food_words(state)) {
        (Some(food), Some(words)) => {
            format!("{} {words}", food.left_words(estimated, state.now))
        }
        _ => "nothing was fed yet".to_owned(),
    }
}

/// A lesson in a line: the entry and the figure it changed most.
fn taught(desk: &Desk, state: &BinState, l: &Lesson) -> String {
    let entry = state.log.iter().find(|e| e.id == l.entry);
    let said = entry.map_or_else(String::new, |e| words::say(desk.tables, &e.body));
    let told = |track: &Track, band| tracks::say(*track, band, units(desk));
    let most = l
        .figures
        .iter()
        .filter_map(|(track, before, after)| {
            let (was, is) = (told(track, before), told(track, after));
            let worth = taught::taught(*track, before, after)?;
            (was != is).then(|| {
                (
                    worth,
                    format!("{} was {was}, is {is}", tracks::title(*track)),
                )
            })
        })
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let changed = most.map_or_else(|| "as expected, little learnt".to_owned(), |most| most.1);
    let doubt = if l.contradicted {
        "; it went against nearly all that was believed"
    } else {
        ""
    };
    let of_ph = PhLesson::of(state, l).map_or_else(String::new, |l| format!(". {}", l.words()));
    format!("entry {} ({said}): {changed}{doubt}{of_ph}", l.entry.0)
}

fn worth(state: &BinState, look: Option<&WorthALook>) -> String {
    let Some(w) = look else {
        let read = |e: &Entry| matches!(&e.body, Body::Reading(r) if r.what == Measured::Ph);
        return if state.log.iter().any(read) {
            "No look would narrow the next decision by much."
        } else {
            "No look by eye, nose or hand would narrow the next decision by much; a pH reading may, where you have a probe or strips."
        }
        .to_owned();
    };
    let what = match w.decision {
        Decision::Feed => "what they can take",
        Decision::Trouble => "the chance of trouble within a fortnight",
    };
    let share = 100.0 * w.gain.narrows() / w.gain.spread_now.max(1e-9);
    format!(
        "The look worth most: {} (about {} minutes). It would narrow the range of {what} by about {}.",
        w.gain.look.name(),
        report::significant(w.gain.minutes, 2),
        report::percent(share),
    )
}
