//! `bedwright weather N --day "HIGH LOW"`: heat and cold by the hour, and the least
//! that has to be done about it.

use super::{days, tracks};
use crate::command::given_file;
use crate::command::session::{Fault, Reply, Session, units};
use crate::desk::Desk;
use crate::desk::outlook::AIR_CELSIUS;
use crate::desk::planners::{HUMIDITY_PERCENT, Spell};
use crate::report;
use crate::typed;
use engine::log::BinId;
use engine::weather::{Course, Hour, Kind, Measure, Sun, Tried, Weather, WeatherAsk};
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::PathBuf;

/// Sun on the bin.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum Shine {
    /// Indoors, or shade all day.
    None,
    /// Some hours, or thin shade.
    Part,
    /// All day.
    Full,
}

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Number of the bin.
    bin: i64,
    /// High and low of a day, in your degrees, from today on; once for each
    /// day: `--day "38 24"`.
    #[arg(long, value_name = "HIGH LOW", allow_hyphen_values = true)]
    day: Vec<String>,
    /// The same from a file, a line a day: `high, low` or `date, high, low`.
    #[arg(long, value_name = "FILE", conflicts_with = "day")]
    file: Option<PathBuf>,
    /// Sun on the bin.
    #[arg(long, value_enum, default_value_t = Shine::None)]
    sun: Shine,
    /// Relative humidity at the hottest hour, when known [%].
    #[arg(long, value_name = "PERCENT", value_parser = typed::number)]
    humidity: Option<f64>,
    /// Another place to compare with, its air [°C].
    #[arg(long, value_name = "CELSIUS", allow_negative_numbers = true, value_parser = typed::number)]
    place: Option<f64>,
    /// What cannot be done: `no_feeding`, `shade`, `wet_cover`, `wrap`,
    /// `other_place`, `ice`, `warm_bottles`, `heater`.
    #[arg(long, value_name = "MEASURE")]
    without: Vec<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(in crate::command) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let text_of_days = match &a.file {
        Some(path) => given_file::text(path)?,
        None => a.day.join("\n"),
    };
    if text_of_days.trim().is_empty() {
        return Err(Fault::input(
            "say what is forecast: --day \"HIGH LOW\" once for each day from today on, such as --day \"38 24\" --day \"36 22\", or --file FILE".to_owned(),
        ));
    }
    let desk = session.desk()?;
    let state = desk.bin(BinId(a.bin))?;
    let e = state.estimated()?;
    let spell = Spell {
        days: desk.spell(e, &text_of_days, units(&desk))?,
        sun: match a.sun {
            Shine::None => Sun::None,
            Shine::Part => Sun::Part,
            Shine::Full => Sun::Full,
        },
        humidity_percent: a.humidity.map(|h| HUMIDITY_PERCENT.check(h)).transpose()?,
        other_place: a.place.map(|t| AIR_CELSIUS.check(t)).transpose()?,
        without: a
            .without
            .iter()
            .map(|t| kind(t))
            .collect::<Result<_, _>>()?,
    };
    let ask = desk.weather_ask(e, &spell);
    let found = desk.weather(&ask)?;
    let mut json = json(&ask, &found);
    json["bin"] = a.bin.into();
    Reply::new(text(&desk, &ask, &found), json)
}

fn kind(typed: &str) -> Result<Kind, Fault> {
    Kind::ALL
        .into_iter()
        .find(|k| k.name() == typed)
        .ok_or_else(|| {
            let names = Kind::ALL.map(Kind::name).join(", ");
            Fault::input(format!("--without `{typed}` is not one of {names}"))
        })
}

fn tried(t: &Tried) -> Value {
    json!({
        "measures": t.measures.iter().map(measure).collect::<Vec<_>>(),
        "chance_of_harm": t.either,
        "chance_too_hot": t.hot,
        "chance_too_cold": t.cold,
        "hottest_celsius": t.hottest,
        "coldest_celsius": t.coldest,
    })
}

fn measure(m: &Measure) -> Value {
    let mut value = json!({ "measure": m.kind().name(), "title": m.kind().title() });
    match m {
        Measure::Move { celsius } => value["celsius"] = (*celsius).into(),
        Measure::Ice { kg, swaps } | Measure::WarmBottles { kg, swaps } => {
            value["kg"] = (*kg).into();
            value["swap_at_hours"] = json!(swaps);
        }
        Measure::Heater { watts, target } => {
            value["watts"] = (*watts).into();
            value["keeps_celsius"] = (*target).into();
        }
        Measure::StopFeeding | Measure::Shade | Measure::WetCover | Measure::Wrap => {}
    }
    value
}

fn course(c: &Course) -> Value {
    json!({
        "chance_of_harm": c.either,
        "chance_too_hot": c.hot,
        "chance_too_cold": c.cold,
        "hottest_celsius": c.hottest,
        "coldest_celsius": c.coldest,
        "hours": c.hours.iter().map(|h| json!({
            "hour": h.hour,
            "refuge_celsius": h.refuge,
            "core_celsius": h.core,
            "edge_celsius": h.edge,
            "air_celsius": h.air,
            "frozen_share": h.frozen,
            "chance_too_hot": h.too_hot,
            "chance_too_cold": h.too_cold,
            "chance_of_harm_by_now": h.by_now,
        })).collect::<Vec<_>>(),
    })
}

fn json(ask: &WeatherAsk<'_>, w: &Weather) -> Value {
    let f = &w.figures;
    json!({
        "schema": "bedwright-weather-1",
        "starts_at_hour": ask.start_hour,
        "nothing_needed": w.nothing_needed,
        "enough": w.enough,
        "enough_place_celsius": w.enough_place,
        "first_likely_hour": w.first_likely_hour,
        "undone": course(&w.undone),
        "done": w.done.as_ref().map(course),
        "least": w.least.as_ref().map(tried),
        "alone": w.alone.iter().map(tried).collect::<Vec<_>>(),
        "figures": {
            "passing_w_per_kelvin": f.passing_w_per_kelvin,
            "holds_kj_per_kelvin": f.holds_kj_per_kelvin,
            "lag_hours": f.lag_hours,
            "ice_kg_per_celsius": f.ice_kg_per_degree,
            "ice_kg_per_day_per_celsius": f.ice_kg_per_day_degree,
            "ice_lasts_hours": f.ice_lasts_hours,
            "wet_cloth_celsius": f.wet_cloth_degrees,
            "wet_cloth_kg_per_day": f.cloth_kg_per_day,
            "heater_watts": f.heater_watts,
            "heater_keeps_celsius": f.heater_target_celsius,
        },
        "advice": days::advice(&w.advice),
        "cautions": w.cautions,
    })
}

/// Hours between the lines that are shown.
const EVERY_HOURS: u32 = 6;

fn text(desk: &Desk, ask: &WeatherAsk<'_>, w: &Weather) -> String {
    let units = units(desk);
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(
        out,
        "Where worms sit, if nothing is done: {} at the hottest, {} at the coldest.",
        report::celsius_band(&w.undone.hottest, units),
        report::celsius_band(&w.undone.coldest, units)
    );
    let _ = writeln!(
        out,
        "Chance of harm: {} ({} too hot, {} too cold).",
        tracks::chance(w.undone.either),
        tracks::chance(w.undone.hot),
        tracks::chance(w.undone.cold)
    );
    if w.nothing_needed {
        let _ = writeln!(out, "Nothing needs to be done.");
    }
    if let Some(least) = &w.least {
        let _ = writeln!(out, "With what is below: {}.", tracks::chance(least.either));
    }
    let _ = writeln!(out, "\nWhat to do:");
    days::advice_text(&mut out, &w.advice);
    for caution in &w.cautions {
        let _ = writeln!(out, "  Mind: {caution}");
    }
    let _ = writeln!(
        out,
        "\nIf nothing is done, where worms sit, the middle, {}, chance of harm by then:",
        match ask.sun {
            Sun::None => "the air",
            Sun::Part | Sun::Full => "the air at the bin with the sun included",
        }
    );
    let shown = |h: &&Hour| h.hour.is_multiple_of(EVERY_HOURS);
    for h in w.undone.hours.iter().filter(shown) {
        let at = ask.start_hour + f64::from(h.hour);
        let day = (at / 24.0).floor();
        let _ = writeln!(
            out,
            "  {:<12} {:02.0}:00  {}, {}, {}, {}",
            desk.near(day as u32),
            (at - 24.0 * day).floor(),
            report::celsius_band(&h.refuge, units),
            report::celsius_band(&h.core, units),
            report::celsius(h.air.median, units),
            tracks::chance(h.by_now)
        );
    }
    out
}
