//! `bedwright ration N [PART]...`: how much to feed now, with what beside it.

use super::tracks;
use crate::command::parts;
use crate::command::session::{Fault, Reply, Session, units};
use crate::desk::living::{Chosen, Fed, Helping, RationWish, held_words};
use crate::desk::{BinState, Desk, DeskError};
use crate::report;
use crate::typed;
use engine::bounds::Bound;
use engine::log::BinId;
use engine::ration::{Held, Prepared, may_be_fed, published};
use serde_json::{Value, json};
use std::fmt::Write;

/// Arguments of the command.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Number of the bin.
    bin: i64,
    /// What to feed, by its parts to each other: `300 g kitchen_scraps_veg`;
    /// as fed last when not given.
    feed: Vec<String>,
    /// whole, chopped, blended, frozen or thawed.
    #[arg(long, default_value = "whole")]
    prepared: String,
    /// Key of the dry bedding at hand; that of the shed, or cardboard.
    #[arg(long, value_name = "KEY")]
    bedding: Option<String>,
    /// Days until you can look again, half a day to 60: `3` or `3..7`.
    #[arg(long, value_name = "DAYS")]
    look: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

const LOOK_DAYS: Bound = Bound {
    name: "days until the next look",
    unit: "days",
    low: 0.5,
    high: 60.0,
    why: "for longer see `outlook --away`",
};

pub(in crate::command) fn run(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let wish = RationWish {
        feed: parts::from_words(desk.tables, &a.feed)?,
        prepared: prepared(&a.prepared)?,
        bedding: a
            .bedding
            .as_deref()
            .map(|typed| parts::key_of(desk.tables, typed).map_err(Fault::input))
            .transpose()?,
        look_days: a.look.as_deref().map(look_days).transpose()?,
    };
    // Told before the bin is followed, which takes seconds.
    may_be_fed(desk.tables, &wish.feed).map_err(DeskError::from)?;
    let state = desk.bin(BinId(a.bin))?;
    let fed = desk.ration(&state, &wish)?;
    let mut json = json(&desk, &state, &fed);
    json["bin"] = a.bin.into();
    Reply::new(text(&desk, &fed), json)
}

fn prepared(typed: &str) -> Result<Prepared, Fault> {
    Ok(match typed {
        "whole" => Prepared::Whole,
        "chopped" => Prepared::Chopped,
        "blended" => Prepared::Blended,
        "frozen" => Prepared::Frozen,
        "thawed" => Prepared::Thawed,
        other => {
            return Err(Fault::input(format!(
                "--prepared `{other}` is not one of whole, chopped, blended, frozen, thawed"
            )));
        }
    })
}

/// `3` or `3..7`.
fn look_days(given: &str) -> Result<(f64, f64), Fault> {
    let (from, to) = given.split_once("..").unwrap_or((given, given));
    let day = |text: &str| -> Result<f64, Fault> {
        let days = typed::number(text).map_err(|_| {
            Fault::input(format!(
                "--look `{given}` is not a number of days; write `3` or `3..7`"
            ))
        })?;
        Ok(LOOK_DAYS.check(days)?)
    };
    let (from, to) = (day(from)?, day(to)?);
    if to < from {
        return Err(Fault::input(format!(
            "--look `{given}` ends before it begins; write the sooner day first"
        )));
    }
    Ok((from, to))
}

/// Stable name of what holds it.
fn held(h: Held) -> &'static str {
    match h {
        Held::Appetite => "appetite",
        Held::Trouble(t) | Held::There(t) => t.name(),
        Held::Mouths => "mouths",
        Held::OffTheBed => "off_the_bed",
        Held::Pause => "pause",
        Held::NewBin => "new_bin",
        Held::FoodLeft => "food_left",
        Held::Step => "step",
        Held::NoWorms => "no_worms",
        Held::Cold => "cold",
        Held::Food(food) => food.name(),
        Held::Salt => "salt",
        Held::Chill => "chill",
        Held::Look => "look",
        Held::Room => "room",
    }
}

fn helping(h: &Helping) -> Value {
    json!({ "material": h.material, "name": h.name, "grams": h.grams, "measure": h.measure })
}

fn json(desk: &Desk, state: &BinState, fed: &Fed) -> Value {
    let r = &fed.ration;
    let unfed = |i: usize| r.chances_unfed.get(i).map(|c| c.1);
    json!({
        "schema": "bedwright-ration-1",
        "grams": r.grams,
        "parts": fed.parts.iter().map(helping).collect::<Vec<_>>(),
        "feed_from": match fed.chosen {
            Chosen::Asked => "asked",
            Chosen::LastFed => "last_fed",
            Chosen::Usual => "usual",
        },
        "bedding": helping(&fed.bedding),
        "water_grams": r.water_grams,
        "look_in_days": r.look_in_days,
        "held_by": r.held.iter().map(|h| held(*h)).collect::<Vec<_>>(),
        "chances": r.chances.iter().enumerate().map(|(i, (t, chance))| json!({
            "trouble": t.name(), "title": t.title(), "fed": chance, "unfed": unfed(i),
        })).collect::<Vec<_>>(),
        "could_take_grams_per_day": r.could_take_per_day,
        "kg_per_kg_worms_per_day": r.per_worms_per_day,
        "published_kg_per_kg_worms_per_day": published(desk.tables).unwrap_or_default().iter().map(|p| json!({
            "rate": p.rate, "from": p.from,
        })).collect::<Vec<_>>(),
        "food_left_share": r.food_left,
        "food_left": super::seen::food_left(state),
        "room_litres": r.room_litres,
        "food_left_words": fed.food,
        "cautions": r.cautions.iter().map(|c| json!({
            "material": c.material, "text": c.text,
        })).collect::<Vec<_>>(),
    })
}

fn text(desk: &Desk, fed: &Fed) -> String {
    let units = units(desk);
    let r = &fed.ration;
    let mut out = String::new();
    let amount = |h: &Helping| {
        let words = if h.measure.is_empty() {
            report::grams(h.grams, units)
        } else {
            h.measure.clone()
        };
        format!("{words} of {}", engine::table::inside_a_sentence(&h.name))
    };
    // Writing to a string does not fail.
    if r.grams.median > 0.0 {
        let list: Vec<String> = fed.parts.iter().map(amount).collect();
        let _ = writeln!(out, "Feed {} now.", list.join(" and "));
        let _ = writeln!(
            out,
            "In all {}, by how much the worms may eat.",
            report::grams_band(&r.grams, units)
        );
    } else {
        let _ = writeln!(out, "Do not feed now.");
    }
    if fed.bedding.grams >= 1.0 {
        let with = match fed.holds_bedding() {
            true => "On top of that, dry",
            false => "With it, dry",
        };
        let _ = writeln!(out, "{with}: {}.", amount(&fed.bedding));
    }
    if r.water_grams >= 10.0 {
        let _ = writeln!(
            out,
            "And water: {}.",
            report::litres(r.water_grams / 1000.0, units)
        );
    }
    let _ = writeln!(out, "{}", report::look_again(r.look_in_days));
    if let Some(h) = r.held.first() {
        let _ = writeln!(out, "\nWhy not more: {}", held_words(*h));
    }
    if let Some(food) = &fed.food {
        let _ = writeln!(out, "{food}");
    }
    let _ = writeln!(out, "\nChance of trouble until then, fed so and not fed:");
    for ((t, with), (_, without)) in r.chances.iter().zip(&r.chances_unfed) {
        let _ = writeln!(
            out,
            "  {:<24} {}, {}",
            t.title(),
            tracks::chance(*with),
            tracks::chance(*without)
        );
    }
    let given = r.grams.median > 0.0;
    if let Some(rate) = r.per_worms_per_day.filter(|_| given) {
        let _ = writeln!(
            out,
            "\nThis is {} kg of feed per kg of worms a day. Published advice:",
            report::band(&rate, "")
        );
        for p in published(desk.tables).unwrap_or_default() {
            let _ = writeln!(out, "  {}: {}", p.rate, p.from);
        }
    }
    for c in r.cautions.iter().filter(|_| given) {
        let name = desk
            .tables
            .material(&c.material)
            .map_or(c.material.as_str(), |m| m.name.as_str());
        let text = c.text.trim_end_matches('.');
        let _ = writeln!(
            out,
            "Mind, {}: {text}.",
            engine::table::inside_a_sentence(name)
        );
    }
    out
}
