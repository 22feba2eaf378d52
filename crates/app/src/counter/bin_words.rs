//! What a bin's page says: things to do, figures now, and what the last
//! reading is worth.

use super::around::units;
use super::living::alarms;
use super::log_lines::PURE_LIME_G_PER_MEQ;
use super::words;
use crate::desk::attention::latest;
use crate::desk::coming::meant;
use crate::desk::ph_scale::PhScale;
use crate::desk::state::TEMPERATURE_DAYS;
use crate::desk::today::{HUNGRY, Task};
use crate::desk::{Attention, BinState, Desk, Level};
use crate::report::{self, Units};
use crate::web::TodoLine;
use crate::web::widgets::Figure;
use engine::advice::Remedy;
use engine::estimate::{Estimate, Heard};
use engine::living::trouble::Trouble;
use engine::log::{Body, Measured};
use engine::quantity::Band;
use engine::reading::combine::{combine, more_spots};
use engine::reading::instrument::Instrument;
use engine::reading::settling::Settling;
use engine::table::inside_a_sentence;
use std::sync::Arc;

const DAY: f64 = 86_400.0;
/// Axis of the small pH bars.
const PH_AXIS: (f64, f64) = (3.0, 9.0);
/// Base too small to speak of [meq]: under half a gram of pure lime.
const LITTLE_MEQ: f64 = 10.0;

/// Things worth doing now, the most important first.
pub(super) fn todo(desk: &Desk, state: &Arc<BinState>, a: &Attention) -> Vec<TodoLine> {
    let mut list = Vec::new();
    if a.level != Level::Well || a.trouble.is_some() {
        list.push(first(state, a));
    }
    let tasks = desk.tasks_of(state).unwrap_or_default();
    let more: Vec<&Task> = (tasks.iter())
        .filter(|t| t.by_days < 1.0 && t.kind != "attention" && t.kind != "feed")
        .filter(|t| a.trouble != Some(Trouble::Ready) || t.kind != "harvest")
        .collect();
    let acted: Vec<Trouble> = (a.wrong.iter().filter_map(|w| meant(w)))
        .chain(a.trouble)
        .chain(more.iter().filter_map(|t| trouble_of(&t.kind)))
        .collect();
    for trouble in a.wrong.iter().filter_map(|w| meant(w)) {
        let said = more.iter().any(|t| t.kind == trouble.name());
        if said || trouble.is_settled_by(&acted) {
            continue;
        }
        // An acid bed is the business of the dose plan.
        if a.trouble != Some(trouble) && trouble != Trouble::Acid {
            let said = Remedy::of(trouble);
            let what = format!("{}: {}.", trouble.title(), inside_a_sentence(said.act));
            list.push(by_hand(&what, said.why, &words::lower(said.waits)));
        }
    }
    let told: Vec<TodoLine> = (more.iter())
        .filter(|t| {
            !list
                .iter()
                .any(|l: &TodoLine| l.what.trim_end_matches('.') == t.what)
        })
        .map(|t| task(state, t))
        .collect();
    list.extend(told);
    if a.feed_now() {
        list.push(TodoLine {
            what: "Feed it.".into(),
            why: a.feed_why.clone(),
            if_it_waits: words::lower(HUNGRY),
            href: format!("/bins/{}/ration", state.id.0),
            link: "How much, and what with".into(),
        });
    }
    if let Ok(e) = &state.estimate {
        list.extend(jar_test(state, e, a));
        list.extend(tray_test(state));
    }
    if list.is_empty() {
        let next = state.now + (a.next_look() * DAY) as i64;
        let what = match a.feed_days {
            Some(d) if d < a.next_days => "Feed",
            _ => "Look again",
        };
        list.push(by_hand(
            "Nothing.",
            &format!("{} {what} {}.", a.why, words::day_words(desk, next)),
            "",
        ));
    }
    list
}

/// The trouble that a kind of task is about.
fn trouble_of(kind: &str) -> Option<Trouble> {
    let named = |t: &&Trouble| t.name() == kind || (**t == Trouble::Ready && kind == "harvest");
    Trouble::ALL.iter().find(named).copied()
}

/// A task of the day as a line.
fn task(state: &BinState, t: &Task) -> TodoLine {
    let page = trouble_of(&t.kind).and_then(alarms::link);
    let mut line = by_hand(
        &format!("{}.", t.what),
        &t.why,
        &words::lower(&t.if_it_waits),
    );
    if let Some((page, link)) = page {
        line.href = format!("/bins/{}{page}", state.id.0);
        line.link = link.to_owned();
    }
    line
}

fn by_hand(what: &str, why: &str, waits: &str) -> TodoLine {
    TodoLine {
        what: what.into(),
        why: why.into(),
        if_it_waits: waits.into(),
        href: String::new(),
        link: String::new(),
    }
}

/// The one most important line, and where to do it.
fn first(state: &BinState, a: &Attention) -> TodoLine {
    let id = state.id.0;
    let (href, link) = if state.estimate.is_err() {
        (format!("/bins/{id}?open=filled#write"), "Say what is in it")
    } else if a.line.contains("pH again") || a.line.contains("first pH") {
        (format!("/bins/{id}?open=reading#write"), "Write a reading")
    } else if a.dose {
        (format!("/bins/{id}/dose"), "See the dose plan")
    } else if let Some(trouble) = a.trouble {
        let (page, link) =
            alarms::link(trouble).unwrap_or(("/outlook?days=14", "See what may come"));
        (format!("/bins/{id}{page}"), link)
    } else {
        (String::new(), "")
    };
    TodoLine {
        what: format!("{}.", a.line.trim_end_matches('.')),
        why: a.why.clone(),
        if_it_waits: words::lower(&a.if_it_waits),
        href,
        link: link.into(),
    }
}

/// A jar test is worth it when lime is wanted and the buffer is not known.
fn jar_test(state: &BinState, e: &Estimate, a: &Attention) -> Option<TodoLine> {
    let b = &e.buffer_meq_per_ph;
    let tested = state
        .log
        .iter()
        .any(|x| matches!(x.body, Body::JarTest(_)) && x.at_unix_seconds >= e.filled_at);
    let acid = a.wrong.iter().any(|w| w == "acid");
    if tested || !acid || b.high < 2.0 * b.low {
        return None;
    }
    Some(TodoLine {
        what: "Try a jar test.".into(),
        why: format!(
            "How much lime this bedding takes is known only within a factor of {}; three jars and a kitchen scale tell.",
            report::significant(b.high / b.low, 2)
        ),
        if_it_waits: "the dose plan stays careful, and takes more steps.".into(),
        href: format!("/bins/{}/jar-test", state.id.0),
        link: "Do a jar test".into(),
    })
}

/// Before worms go in, a few of them are asked.
fn tray_test(state: &BinState) -> Option<TodoLine> {
    let tested = state
        .log
        .iter()
        .any(|x| matches!(x.body, Body::TrayTest(_)));
    (!state.stocked && !tested).then(|| TodoLine {
        what: "Ask a few worms before stocking.".into(),
        why: "A half-and-half tray with 20 worms shows in two days whether they will stay.".into(),
        if_it_waits: "nothing, as long as no worms go in.".into(),
        href: "/tray-test".into(),
        link: "The tray test".into(),
    })
}

/// Figures now, each with its range and where it comes from.
pub(super) fn figures(desk: &Desk, state: &BinState) -> Vec<Figure> {
    let Ok(e) = &state.estimate else {
        return vec![Figure::plain(
            "pH",
            report::NOT_KNOWN,
            "say what is in it first",
        )];
    };
    let units = units(desk);
    let mut list = vec![Figure::new(
        "pH now",
        report::ph_band(&e.ph),
        &e.ph,
        PH_AXIS,
        PhScale::of(desk.tables).map_or("", |s| s.words(e.ph.median)),
    )];
    if e.pending_meq.median > LITTLE_MEQ {
        list.push(Figure::new(
            "pH to come",
            report::ph_band(&e.ph_to_come),
            &e.ph_to_come,
            PH_AXIS,
            "when all lime in it has acted",
        ));
        list.push(pending(e, units));
    }
    let buffer = scaled(&e.buffer_meq_per_ph, PURE_LIME_G_PER_MEQ);
    list.push(Figure::plain(
        "To move it by one pH unit",
        &format!("{} of lime", report::grams_band(&buffer, units)),
        &learned(e),
    ));
    list.push(Figure::plain(
        "Dry bedding",
        &report::grams_band(&scaled(&e.dry_kg, 1000.0), units),
        "from what went in",
    ));
    list.push(Figure::plain(
        "Bed temperature used",
        &report::celsius(state.temperature.0, units),
        temperature_source(state),
    ));
    list
}

/// Base that has yet to act.
fn pending(e: &Estimate, units: Units) -> Figure {
    let from = if e.given.is_empty() {
        "brought by the bedding"
    } else {
        "given, and brought by the bedding"
    };
    Figure::plain(
        "Lime yet to act",
        &report::grams_band(&scaled(&e.pending_meq, PURE_LIME_G_PER_MEQ), units),
        &format!(
            "{from}; counted as pure lime, {} meq of base",
            report::significant(e.pending_meq.median, 2)
        ),
    )
}

fn scaled(band: &Band, by: f64) -> Band {
    Band {
        median: band.median * by,
        low: band.low * by,
        high: band.high * by,
    }
}

/// Where the buffer comes from: the tables, or the log as well.
fn learned(e: &Estimate) -> String {
    let width = |b: &Band| b.high / b.low.max(1e-9);
    if width(&e.buffer_meq_per_ph) < 0.85 * width(&e.buffer_at_start) {
        "the bed's buffer, learned from your log".into()
    } else {
        "the bed's buffer, from the tables for what went in".into()
    }
}

fn temperature_source(state: &BinState) -> &'static str {
    if latest(state, Measured::BeddingCelsius, TEMPERATURE_DAYS).is_some() {
        "last bed reading, if not over a month old"
    } else if latest(state, Measured::AirCelsius, TEMPERATURE_DAYS).is_some() {
        "last air reading, if not over a month old"
    } else {
        "the room temperature under settings"
    }
}

/// What the last reading is worth: local or not, whether the bed has really
/// changed, and whether more spots would help. One note a line.
pub(super) fn reading_note(desk: &Desk, state: &BinState) -> String {
    let Ok(e) = &state.estimate else {
        return String::new();
    };
    let Some(last) = e.heard.last() else {
        return String::new();
    };
    let mut notes: Vec<String> = Vec::new();
    notes.extend(local(desk, state, last));
    if last.contradicted {
        notes.push("The last reading went against nearly all that was believed, so the figures now go by what could have led to it. Read once more, with a clean and rested instrument.".into());
    }
    notes.extend(changed(desk, e));
    notes.extend(spots(desk, state, last));
    notes.join("\n")
}

fn local(desk: &Desk, state: &BinState, last: &Heard) -> Option<String> {
    let (hours, after) = match last.settling {
        Settling::Settled => return None,
        Settling::LocalAfterDose { hours, .. } => (hours, "a dose"),
        Settling::LocalAfterWater { hours, .. } => (hours, "watering"),
    };
    let since = if hours < 1.0 {
        "within an hour of".to_owned()
    } else {
        format!(
            "{} after",
            report::count(hours.round() as usize, "hour", "hours")
        )
    };
    let again = match last.reread_at {
        Some(at) if at > state.now => format!("Read again {}.", words::when(desk, at)),
        _ => "Read again now.".into(),
    };
    Some(format!(
        "The last reading, {}, was taken {since} {after}: it shows the place, not the bed. The whole bed was probably {}. {again}",
        report::ph(last.mean),
        report::ph_band(&last.bed)
    ))
}

/// Has the bed really changed since the last dose?
fn changed(desk: &Desk, e: &Estimate) -> Option<String> {
    let (rise, chance) = e.change.as_ref()?;
    let at = e.last_dose_at?;
    let verdict = match chance {
        c if *c > 0.9 => "It has really changed",
        c if *c > 0.6 => "It has probably changed",
        c if *c > 0.3 => "It may have changed",
        _ => "It has hardly changed",
    };
    Some(format!(
        "Has the bed changed since the dose of {}? {verdict}: by {} ({} to {}) pH, chance of more than 0.2: {}.",
        words::when(desk, at),
        signed(rise.median),
        signed(rise.low),
        signed(rise.high),
        crate::chart::chances::chance_words(*chance)
    ))
}

fn signed(value: f64) -> String {
    let text = report::decimals(value, 1);
    if value > 0.0 && text != "0.0" {
        format!("+{text}")
    } else {
        text.replace('-', "−")
    }
}

/// How many more spots are worth it.
fn spots(desk: &Desk, state: &BinState, last: &Heard) -> Option<String> {
    let entry = state.log.iter().find(|e| e.id == last.entry)?;
    let Body::Reading(r) = &entry.body else {
        return None;
    };
    let instrument = Instrument::from_tables(desk.tables, &r.instrument).ok()?;
    let advice = more_spots(&combine(&r.spots, &instrument)?, &instrument.expected);
    let name = words::lower(&instrument.name);
    Some(if advice.add == 0 && advice.instrument_limits {
        format!(
            "Read at {}: more spots would not help. The {name} itself is the limit (±\u{a0}{}).",
            report::count(r.spots.len(), "spot", "spots"),
            report::decimals(advice.half_width_now, 1)
        )
    } else if advice.add == 0 {
        format!(
            "Read at {}: enough.",
            report::count(r.spots.len(), "spot", "spots")
        )
    } else {
        format!(
            "Read at {}: {} next time would narrow a reading from ±\u{a0}{} to ±\u{a0}{}; beyond that spots add little.",
            report::count(r.spots.len(), "spot", "spots"),
            report::count(advice.add, "more spot", "more spots").replace("1 more", "one more"),
            report::decimals(advice.half_width_now, 2),
            report::decimals(advice.half_width_then, 2)
        )
    })
}
