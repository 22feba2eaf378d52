//! The outlook: what lies ahead, as things are or with a what-if.

use super::courses::Drawn;
use super::days::{self, on};
use super::{alarms, figures, now};
use crate::chart::{Course, CoursePoint};
use crate::counter::around::{capital, materials, refused, sentence, shell, units, units_of};
use crate::counter::parse::{self, Check, Faults};
use crate::counter::words;
use crate::desk::outlook::{AIR_CELSIUS, Outlook, WhatIf};
use crate::desk::{BinState, Desk, DeskError};
use crate::report;
use crate::web::widgets::{Drift, Table, Verdict};
use crate::web::{
    AlarmLine, Answer, Choice, CourseView, Fields, Nav, OutlookPage, PageError, SHOWN_IN,
    outlook_folds,
};
use engine::estimate::Estimate;
use engine::estimate::track::{Moment, Track};
use engine::log::{BinId, Part};
use std::sync::Arc;

/// How far ahead one may look: days, words.
const HORIZONS: [(u32, &str); 4] = [
    (14, "2 weeks"),
    (56, "8 weeks"),
    (182, "6 months"),
    (365, "1 year"),
];
/// How far when nothing is said [d].
const USUAL: u32 = 56;

/// The estimate of a bin, or the page that says why there is none.
pub(super) fn estimated(state: &BinState) -> Answer<&Estimate> {
    state.estimated().map_err(|e| {
        let bin = state.id.0;
        PageError::new(422, "This cannot be answered yet", &sentence(&e)).or(
            &format!("/bins/{bin}?open=filled#write-filled"),
            "Say what is in it",
        )
    })
}

pub(in crate::counter) fn outlook(desk: &Desk, bin: i64, fields: &Fields) -> Answer<OutlookPage> {
    let state = desk.bin(BinId(bin)).map_err(refused)?;
    let e = estimated(&state)?;
    let days = horizon(bin, fields)?;
    let (wish, mut faults) = match read(desk, e, fields) {
        Ok(wish) => (wish, Vec::new()),
        Err(faults) => (Wish::default(), faults),
    };
    let seen = match looked(desk, &state, &wish.what_if, days) {
        Ok(seen) => seen,
        Err(e) if e.is_input() && !wish.what_if.is_present() => {
            faults.push((String::new(), sentence(&e)));
            looked(desk, &state, &WhatIf::default(), days).map_err(refused)?
        }
        Err(e) => return Err(refused(e)),
    };
    let is_what_if = faults.is_empty() && !wish.what_if.is_present();
    let alarms = alarms::lines(desk, &state, &seen, days);
    let drawn = Drawn::of(desk, &state, e, &seen.ahead.course, back(days)).planned(&seen.acts);
    let error: Vec<&str> = faults
        .iter()
        .filter(|(field, _)| field.is_empty())
        .map(|(_, fault)| fault.as_str())
        .collect();
    let read_in = units_of(desk, fields);
    Ok(OutlookPage {
        shell: shell(desk, "Outlook", Nav::Shelf),
        id: bin,
        name: state.description.name.clone(),
        verdict: verdict(desk, &state, &seen, &alarms, days),
        horizons: choices(bin, fields, days),
        plan: plan_words(desk, &state, &seen, &wish, is_what_if),
        water: if seen.watered || !state.stocked || wish.what_if.top_up {
            String::new()
        } else {
            topped_address(bin, fields, days)
        },
        is_what_if,
        alarms,
        charts: charts(desk, &state, &drawn, &seen),
        folds: outlook_folds(fields, &faults, days::degrees(read_in)),
        hidden: vec![
            ("days".to_owned(), days.to_string()),
            (SHOWN_IN.to_owned(), read_in.word().to_owned()),
        ],
        error: error.join(" "),
        table: Some(table(desk, &state, &seen.ahead.course, days)),
        trust: trust(days).to_owned(),
        materials: materials(desk),
        sources: now::sources(desk),
    })
}

fn looked(
    desk: &Desk,
    state: &BinState,
    what_if: &WhatIf,
    days: u32,
) -> Result<Arc<Outlook>, DeskError> {
    if what_if.is_present() {
        desk.outlook_as_now(state, days)
    } else {
        desk.outlook(state, what_if, days).map(Arc::new)
    }
}

fn horizon(bin: i64, fields: &Fields) -> Answer<u32> {
    let sent = fields.get("days");
    let listed = HORIZONS.iter().find(|(days, _)| sent == days.to_string());
    match listed {
        Some((days, _)) => Ok(*days),
        None if sent.is_empty() => Ok(USUAL),
        None => {
            let known = HORIZONS.map(|(days, _)| days.to_string()).join(", ");
            let why = format!("Days `{}` is not one of {known}.", parse::short(sent));
            Err(PageError::new(422, "So far ahead is not shown", &why)
                .or(&format!("/bins/{bin}/outlook"), "The outlook"))
        }
    }
}

/// Days of the past shown beside so many ahead.
fn back(days: u32) -> f64 {
    (f64::from(days) * 0.6).clamp(21.0, 120.0)
}

/// Horizons, each carrying the what-if along.
fn choices(bin: i64, fields: &Fields, shown: u32) -> Vec<Choice> {
    let along = along(fields, &["days"]);
    HORIZONS
        .iter()
        .map(|(days, words)| Choice {
            href: format!("/bins/{bin}/outlook?days={days}{along}"),
            words: (*words).to_owned(),
            chosen: *days == shown,
        })
        .collect()
}

/// The same outlook with water kept topped up.
fn topped_address(bin: i64, fields: &Fields, days: u32) -> String {
    let along = along(fields, &["days", "water"]);
    format!("/bins/{bin}/outlook?days={days}&water=topped{along}")
}

/// The fields of a question as they stand in an address, some left out.
fn along(fields: &Fields, without: &[&str]) -> String {
    fields
        .0
        .iter()
        .filter(|(name, value)| !without.contains(&name.as_str()) && !value.trim().is_empty())
        .map(|(name, value)| format!("&{}={}", encoded(name), encoded(value)))
        .collect()
}

/// Text as it stands in an address.
fn encoded(text: &str) -> String {
    text.bytes()
        .map(|b| match b {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' => {
                char::from(b).to_string()
            }
            _ => format!("%{b:02X}"),
        })
        .collect()
}

/// A what-if with its words.
#[derive(Debug, Default)]
struct Wish {
    what_if: WhatIf,
    words: Vec<String>,
}

/// Reads the what-if, telling all faults at once.
fn read(desk: &Desk, e: &Estimate, fields: &Fields) -> Result<Wish, Faults> {
    let mut check = Check::default();
    let mut wish = Wish::default();
    if let Some(times) = check.take("feed", feed(fields)) {
        wish.what_if.feed_times = times;
    }
    match fields.get("water") {
        "" | "lately" => {}
        "topped" => wish.what_if.top_up = true,
        other => {
            let fault = format!(
                "Choose from the list; `{}` is not on it.",
                parse::short(other)
            );
            check.faults.push(("water".into(), fault));
        }
    }
    place(desk, fields, &mut wish, &mut check);
    bedding(desk, fields, &mut wish, &mut check);
    away(desk, e, fields, &mut wish, &mut check);
    if fields.has("weather")
        && let Some(air) = check.take(
            "weather",
            days::spell(desk, e, fields.get("weather"), units_of(desk, fields)),
        )
    {
        wish.words.push(format!(
            "The air of the next {} as forecast.",
            report::count(air.len(), "day", "days")
        ));
        wish.what_if.air = air;
    }
    if check.faults.is_empty() {
        Ok(wish)
    } else {
        Err(check.faults)
    }
}

fn feed(fields: &Fields) -> Result<f64, String> {
    if !fields.has("feed") {
        return Ok(1.0);
    }
    let times = parse::number(fields.get("feed"))?;
    crate::desk::outlook::FEED_TIMES
        .check(times)
        .map_err(|e| sentence(&e))
}

fn place(desk: &Desk, fields: &Fields, wish: &mut Wish, check: &mut Check) {
    let celsius = days::celsius(
        units_of(desk, fields),
        fields,
        "place_celsius",
        &AIR_CELSIUS,
    );
    let from = check.take("place_from", days::date(desk, fields, "place_from"));
    let Some(celsius) = check.take("place_celsius", celsius) else {
        return;
    };
    match (celsius, from.flatten()) {
        (None, Some(_)) => check
            .faults
            .push(("place_celsius".into(), "Say how warm it is there.".into())),
        (Some(_), Some(days)) if days < 0 => check
            .faults
            .push(("place_from".into(), "That day is past.".into())),
        (Some(c), from) => {
            wish.what_if.move_to = Some(c);
            wish.what_if.move_from = from.unwrap_or(0).max(0) as u32;
            let when = match wish.what_if.move_from {
                0 => "now".to_owned(),
                days => format!("in {}", report::count(days as usize, "day", "days")),
            };
            wish.words.push(format!(
                "Moved {when} to a place at {}.",
                report::celsius(c, units(desk))
            ));
        }
        (None, None) => {}
    }
}

fn bedding(desk: &Desk, fields: &Fields, wish: &mut Wish, check: &mut Check) {
    if !fields.has("bedding") && !fields.has("bedding_amount") {
        return;
    }
    let found = check.take("bedding", parse::material(desk, fields.get("bedding")));
    let amount = check.take("bedding_amount", parse::amount(fields, "bedding_amount"));
    let (Some(found), Some(amount)) = (found, amount) else {
        return;
    };
    if let Err(e) = amount.grams(found, desk.tables) {
        check.faults.push(("bedding_amount".into(), sentence(&e)));
        return;
    }
    wish.words.push(format!(
        "{amount} of {} added now.",
        words::of_material(desk, &found.key)
    ));
    wish.what_if.bedding = vec![Part::plain(found.key.clone(), amount)];
}

fn away(desk: &Desk, e: &Estimate, fields: &Fields, wish: &mut Wish, check: &mut Check) {
    let from = check.take("away_from", days::date(desk, fields, "away_from"));
    let to = check.take("away_to", days::date(desk, fields, "away_to"));
    let (Some(from), Some(to)) = (from, to) else {
        return;
    };
    let Some((from, to)) = pair(from, to, check) else {
        return;
    };
    wish.what_if.away = Some((from as f64, to as f64));
    wish.words.push(format!(
        "Nobody there from {} to {}.",
        on(desk, e.now, from as f64),
        on(desk, e.now, to as f64)
    ));
}

/// Leaving and return, both or neither, in order.
fn pair(from: Option<i64>, to: Option<i64>, check: &mut Check) -> Option<(i64, i64)> {
    let mut fault = |field: &str, words: &str| {
        check.faults.push((field.to_owned(), words.to_owned()));
        None
    };
    match (from, to) {
        (None, None) => None,
        (None, Some(_)) => fault("away_from", "Say when you leave."),
        (Some(_), None) => fault("away_to", "Say when you return."),
        (Some(f), _) if f < 0 => fault("away_from", "That day is past."),
        (Some(f), Some(t)) if t <= f => fault("away_to", "The return is not after leaving."),
        (Some(f), Some(t)) => Some((f, t)),
    }
}

/// What is assumed, in sentences.
fn plan_words(
    desk: &Desk,
    state: &BinState,
    seen: &Outlook,
    wish: &Wish,
    is_what_if: bool,
) -> Vec<String> {
    let first = seen.plan.first().map(|p| format!("{}.", capital(p)));
    let mut list: Vec<String> = first.into_iter().collect();
    if is_what_if {
        list.extend(wish.words.iter().cloned());
    }
    if wish.what_if.move_to.is_none() {
        list.extend(desk.air_taken(state).map(|(_, words)| words));
    }
    list
}

/// What was seen before what is thought; a chance with what it takes for
/// given.
fn verdict(
    desk: &Desk,
    state: &BinState,
    looked: &Outlook,
    alarms: &[AlarmLine],
    days: u32,
) -> Verdict {
    let until = on(desk, state.now, f64::from(days));
    let premise = &looked.premise;
    let seen: Vec<&str> = (alarms.iter())
        .map(|a| a.seen.as_str())
        .filter(|s| !s.is_empty())
        .collect();
    let thought =
        |drift: Drift| (alarms.iter()).find(move |a| a.drift == drift && a.seen.is_empty());
    let bad = thought(Drift::Stop).or_else(|| thought(Drift::Wait));
    let said = bad.map(|a| format!("{}, {premise}: {}.", a.what, a.chance));
    let stops = alarms.iter().any(|a| a.drift == Drift::Stop);
    let word = match (seen.is_empty(), stops, bad) {
        (false, ..) => "Trouble seen",
        (_, true, _) => "Trouble likely",
        (_, _, Some(_)) => "Trouble may come",
        (_, _, None) => "Quiet",
    };
    let mut line = seen.join(" ");
    match (&said, seen.is_empty()) {
        (Some(said), true) => line.clone_from(said),
        (Some(said), false) => line.push_str(&format!(" {said}")),
        (None, true) => line = format!("No trouble is likely by {until}, {premise}."),
        (None, false) => {}
    }
    Verdict {
        drift: match (stops, seen.is_empty() && bad.is_none()) {
            (true, _) => Drift::Stop,
            (_, true) => Drift::Good,
            _ => Drift::Wait,
        },
        word: word.to_owned(),
        line,
    }
}

/// Figures charted, in order.
const CHARTS: [Track; 8] = [
    Track::Ph,
    Track::Moisture,
    Track::WormKg,
    Track::Worms,
    Track::FoodLeft,
    Track::Castings,
    Track::CastingsShare,
    Track::Salt,
];

fn charts(desk: &Desk, state: &BinState, drawn: &Drawn<'_>, seen: &Outlook) -> Vec<CourseView> {
    let Ok(e) = &state.estimate else {
        return Vec::new();
    };
    let ahead = &seen.ahead.course;
    let shown = |t: &Track| e.stocked || !matches!(t, Track::WormKg | Track::Worms);
    let mut list: Vec<CourseView> = CHARTS
        .iter()
        .filter(|t| shown(t))
        .map(|t| {
            let said = food_said(desk, state, *t, ahead);
            let line = format!("{} {said}", line(desk, *t, ahead));
            view(line.trim_end(), &drawn.course(*t))
        })
        .collect();
    let warmth = view(&warmth_line(desk, ahead), &drawn.temperature());
    list.insert(2, warmth);
    list
}

/// What was written of the last food, beside the chart of it.
fn food_said(desk: &Desk, state: &BinState, track: Track, ahead: &[Moment]) -> String {
    (ahead.first().filter(|_| track == Track::FoodLeft))
        .and_then(|first| desk.food_against(state, &first.band(track)))
        .unwrap_or_default()
}

fn view(line: &str, course: &Course) -> CourseView {
    CourseView::new(&course.title, line, course)
}

/// Where a figure stands and where it goes.
fn line(desk: &Desk, track: Track, ahead: &[Moment]) -> String {
    let (Some(first), Some(last)) = (ahead.first(), ahead.last()) else {
        return String::new();
    };
    let units = units(desk);
    let day = report::date(words::day(desk, last.at), words::today(desk));
    format!(
        "{} now; {} on {day}.",
        figures::words(track, &first.band(track), units),
        figures::words(track, &last.band(track), units)
    )
}

/// When the middle is warmest and coldest.
fn warmth_line(desk: &Desk, ahead: &[Moment]) -> String {
    let units = units(desk);
    let by = |m: &&Moment| m.band(Track::Core).median;
    let warmest = ahead.iter().max_by(|a, b| by(a).total_cmp(&by(b)));
    let coldest = ahead.iter().min_by(|a, b| by(a).total_cmp(&by(b)));
    let (Some(warmest), Some(coldest)) = (warmest, coldest) else {
        return String::new();
    };
    let said = |m: &Moment| {
        format!(
            "about {}, at {}",
            report::date(words::day(desk, m.at), words::today(desk)),
            figures::words(Track::Core, &m.band(Track::Core), units)
        )
    };
    format!(
        "The middle is warmest {}; coldest {}.",
        said(warmest),
        said(coldest)
    )
}

/// Figures in the table.
const COLUMNS: [Track; 8] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::Worms,
    Track::FoodLeft,
    Track::Castings,
    Track::Salt,
];

fn table(desk: &Desk, state: &BinState, ahead: &[Moment], days: u32) -> Table {
    let step = match days {
        0..=14 => 1,
        15..=56 => 7,
        57..=182 => 14,
        _ => 28,
    };
    let units = units(desk);
    let mut head = vec!["Day".to_owned()];
    head.extend(COLUMNS.iter().map(|t| capital(figures::name(*t))));
    let rows = ahead
        .iter()
        .step_by(step)
        .map(|m| {
            let day = report::date(words::day(desk, m.at), words::today(desk));
            let cells = COLUMNS
                .iter()
                .map(|t| figures::words(*t, &m.band(*t), units));
            std::iter::once(day).chain(cells).collect()
        })
        .collect();
    Table {
        caption: format!("{}, ahead", state.description.name),
        head,
        rows,
    }
}

fn trust(days: u32) -> &'static str {
    match days {
        0..=14 => {
            "Two weeks ahead the ranges rest on what was seen and on the plan being kept. The weather is taken as it was."
        }
        15..=56 => {
            "Eight weeks ahead the plan and the weather matter more than how well the bin is known today."
        }
        _ => {
            "Months ahead this shows what the plan leads to, not what will be: a missed feeding, a warm week or a new place changes it. Seasons are not foreseen; the air is taken as it was."
        }
    }
}

/// Needed where a course is drawn from points of its own.
pub(super) fn point(day: f64, b: &engine::quantity::Band) -> CoursePoint {
    CoursePoint {
        day,
        median: b.median,
        low: b.low,
        high: b.high,
    }
}
