//! `bedwright bins`, `bin N` and `add-bin`: the shelf and one bin.

use super::dose::output::readings;
use super::entry::{asked, species};
use super::figures::from_key;
use super::parts;
use super::session::{Fault, Reply, Session, units};
use super::words;
use crate::desk::learned::Learned;
use crate::desk::seen::STILL_SETTLING_SHORT;
use crate::desk::{Attention, BinState, Desk, Given};
use crate::report;
use crate::typed;
use engine::log::{BinDescription, BinId, Body};
use serde_json::{Value, json};
use std::fmt::Write;

/// Arguments of `bins`.
#[derive(Debug, clap::Args)]
pub struct Shelf {
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `bin`.
#[derive(Debug, clap::Args)]
pub struct One {
    /// Number of the bin.
    bin: i64,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `add-bin`.
#[derive(Debug, clap::Args)]
pub struct Add {
    /// What you call it.
    name: String,
    /// Inner length [cm].
    #[arg(long, value_name = "CM", value_parser = typed::number)]
    length: f64,
    /// Inner width [cm].
    #[arg(long, value_name = "CM", value_parser = typed::number)]
    width: f64,
    /// Inner depth [cm].
    #[arg(long, value_name = "CM", value_parser = typed::number)]
    depth: f64,
    /// Depth of the bedding in it [cm].
    #[arg(long, value_name = "CM", value_parser = typed::number)]
    bedding_depth: Option<f64>,
    /// plastic, wood, foam, metal, fabric or masonry.
    #[arg(long, default_value = "plastic")]
    walls: String,
    /// open, vented, tight or cover.
    #[arg(long, default_value = "vented")]
    lid: String,
    /// Liquid can drain out.
    #[arg(long)]
    drains: bool,
    /// Where it stands.
    #[arg(long, default_value = "")]
    place: String,
    /// What it was filled with, once for each part: `20 L coir_pith`.
    #[arg(long, value_name = "PART")]
    filled: Vec<String>,
    /// Live worms put in [g].
    #[arg(long, value_name = "GRAMS", allow_negative_numbers = true, value_parser = typed::number)]
    worms_grams: Option<f64>,
    /// Which worms: eisenia_fetida, dendrobaena_veneta, eudrilus_eugeniae or
    /// perionyx_excavatus; not known when not given.
    #[arg(long)]
    species: Option<String>,
    /// When; now when not given.
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    /// What was given is unlikely and stands all the same.
    #[arg(long)]
    confirmed: bool,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn shelf(_a: &Shelf, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let mut list = Vec::new();
    let mut text = String::new();
    for view in desk.bins()? {
        let state = desk.bin(view.id)?;
        let a = desk.attention(&state);
        let _ = writeln!(
            text,
            "{:>3}  {:<20} {}: {}",
            view.id.0,
            state.description.name,
            a.level.word(),
            a.line
        );
        for seen in desk.seen(&state) {
            let _ = writeln!(text, "{:>26}{}", "", seen.sentence);
        }
        if state.still_settling {
            let _ = writeln!(text, "{:>26}{STILL_SETTLING_SHORT}", "");
        }
        list.push(json!({
            "bin": view.id.0,
            "name": state.description.name,
            "ph": state.estimate.as_ref().ok().map(|e| e.ph),
            "still_settling": state.still_settling,
            "attention": attention(&a),
            "seen": super::living::seen::json(&desk, &state),
        }));
    }
    if let Some(reminder) = desk.backed_up()?.reminder {
        session.notice(format!("{reminder} `bedwright backup FILE` saves one."));
    }
    if list.is_empty() {
        text.push_str(
            "There is no bin yet. `bedwright add-bin` makes one, `bedwright demo` shows an invented shelf.",
        );
    }
    Reply::new(text, json!({ "schema": "bedwright-bins-1", "bins": list }))
}

/// The one line for programs.
pub(super) fn attention(a: &Attention) -> Value {
    json!({
        "level": match a.level {
            crate::desk::Level::Act => "act",
            crate::desk::Level::Watch => "watch",
            crate::desk::Level::Well => "well",
            crate::desk::Level::Unknown => "unknown",
        },
        "line": a.line,
        "why": a.why,
        "if_it_waits": a.if_it_waits,
        "next_days": a.next_days,
        "wrong": a.wrong,
        "dose": a.dose,
    })
}

pub(super) fn one(a: &One, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk()?;
    let state = desk.bin(BinId(a.bin))?;
    Reply::new(bin_text(&desk, &state), bin_json(&desk, &state))
}

fn bin_json(desk: &Desk, state: &BinState) -> Value {
    let now = match &state.estimate {
        Err(why) => json!({ "estimate": null, "no_estimate_because": why.to_string() }),
        Ok(e) => json!({
            "estimate": {
                "ph": e.ph,
                "ph_to_come": e.ph_to_come,
                "pending_meq": e.pending_meq,
                "buffer_meq_per_ph": e.buffer_meq_per_ph,
                "buffer_at_start_meq_per_ph": e.buffer_at_start,
                "dry_kg": e.dry_kg,
                "water_kg": e.water_kg,
                "rise_since_last_dose": e.change.map(|(rise, chance)| json!({
                    "ph": rise, "chance_it_is_real": chance,
                })),
                "smelt_ammonia": e.smelt_ammonia,
                "left_out": e.left_out.iter().map(|l| json!({
                    "entry": l.entry.0, "why": l.why.to_string(),
                })).collect::<Vec<_>>(),
                "readings": readings(desk.tables, e),
                "doses": e.given.iter().map(|g| json!({
                    "entry": g.entry.0, "material": g.material, "base_meq": g.base_meq,
                })).collect::<Vec<_>>(),
            },
            "no_estimate_because": null,
        }),
    };
    let mut all = json!({
        "schema": "bedwright-bin-1",
        "bin": state.id.0,
        "description": state.description,
        "stocked": state.stocked,
        "temperature_celsius": state.temperature.value(),
        "attention": attention(&desk.attention(state)),
        "seen": super::living::seen::json(desk, state),
        "learned": learned(desk, state).iter().map(|l| json!({
            "of": l.key, "what": l.what, "unit": l.unit,
            "now": l.now, "before": l.before, "from": l.from,
        })).collect::<Vec<_>>(),
        "log": state.log,
    });
    if let (Some(all), Some(now)) = (all.as_object_mut(), now.as_object()) {
        all.extend(now.clone());
    }
    all
}

fn bin_text(desk: &Desk, state: &BinState) -> String {
    let mut out = String::new();
    let a = desk.attention(state);
    let d = &state.description;
    // Writing to a string does not fail.
    let _ = writeln!(out, "Bin {}, {}", state.id.0, d.name);
    let _ = writeln!(out, "{}: {}", a.level.word(), a.line);
    for seen in desk.seen_words(state) {
        let _ = writeln!(out, "{seen}");
    }
    let _ = writeln!(out, "{}", a.why);
    match &state.estimate {
        Err(why) => {
            let _ = writeln!(out, "\nNo estimate: {why}");
        }
        Ok(e) => {
            let units = units(desk);
            let _ = writeln!(out);
            for (name, figure) in [
                ("pH now", report::ph_band(&e.ph)),
                ("pH when all has acted", report::ph_band(&e.ph_to_come)),
                ("still to act", report::band(&e.pending_meq, "meq")),
                (
                    "buffer",
                    format!(
                        "{} (1 meq is what 0.05 g of pure lime neutralises)",
                        report::band(&e.buffer_meq_per_ph, "meq per pH")
                    ),
                ),
                (
                    "dry bedding",
                    report::grams_band(&thousand(&e.dry_kg), units),
                ),
                ("water in it", report::litres_band(&e.water_kg, units)),
                (
                    "bed temperature",
                    report::celsius(state.temperature.value(), units),
                ),
            ] {
                let _ = writeln!(out, "{name:<24}{figure}");
            }
            if let Some((rise, chance)) = &e.change {
                let _ = writeln!(
                    out,
                    "{:<24}{} pH; the chance that it is more than 0.2 is {}",
                    "rise since last dose",
                    report::band(rise, ""),
                    super::living::tracks::chance(*chance)
                );
            }
        }
    }
    let learned = learned(desk, state);
    if !learned.is_empty() {
        let _ = writeln!(out, "\nWhat the log has taught:");
        for l in learned {
            let _ = writeln!(out, "  {}", l.words(units(desk)));
        }
    }
    log_text(&mut out, desk, state);
    out
}

/// What the log has taught; nothing where that cannot be told.
fn learned(desk: &Desk, state: &BinState) -> Vec<Learned> {
    desk.learned(state).unwrap_or_default()
}

fn thousand(b: &engine::quantity::Band) -> engine::quantity::Band {
    engine::quantity::Band {
        median: 1000.0 * b.median,
        low: 1000.0 * b.low,
        high: 1000.0 * b.high,
    }
}

fn log_text(out: &mut String, desk: &Desk, state: &BinState) {
    let today = desk.clock.now().date();
    let _ = writeln!(out, "\nLog, newest first:");
    for entry in state.log.iter().rev() {
        let at = desk.clock.local(entry.at_unix_seconds);
        let _ = writeln!(
            out,
            "{:>5}  {} {:02}:{:02}  {}",
            entry.id.0,
            report::date(at.date(), today),
            at.hour(),
            at.minute(),
            words::say(desk.tables, &entry.body)
        );
        let heard = state
            .estimate
            .as_ref()
            .ok()
            .and_then(|e| e.heard.iter().find(|h| h.entry == entry.id));
        if let Some(h) = heard {
            let _ = writeln!(out, "       {}", worth(h));
        }
    }
}

/// What a reading was worth, in a sentence.
pub(super) fn worth(h: &engine::estimate::Heard) -> String {
    let bar = report::decimals(h.half_width, 1);
    let bed = report::ph_band(&h.bed);
    if h.settling.is_local() {
        return format!(
            "Local: it shows the place just dosed or watered ({} ± {bar}). The bed was probably at {bed}. Read again.",
            report::ph(h.mean)
        );
    }
    let odd = if h.contradicted {
        " It went against nearly all the log said before."
    } else {
        ""
    };
    format!("Worth ± {bar}; with it the bed was at {bed}.{odd}")
}

pub(super) fn add(a: &Add, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_to_write()?;
    let mut faults = Vec::new();
    let walls = from_key(&a.walls);
    if walls.is_none() {
        faults.push(format!(
            "--walls `{}` is not one of plastic, wood, foam, metal, fabric, masonry",
            a.walls
        ));
    }
    let lid = from_key(&a.lid);
    if lid.is_none() {
        faults.push(format!(
            "--lid `{}` is not one of open, vented, tight, cover",
            a.lid
        ));
    }
    let mut first = Vec::new();
    match parts::from_words(desk.tables, &a.filled) {
        Ok(parts) if parts.is_empty() => {}
        Ok(parts) => first.push(Body::Filled { parts }),
        Err(Fault::Input(list)) => faults.extend(list),
        Err(other) => return Err(other),
    }
    match species(a.species.as_deref()) {
        Ok(species) => first.extend(a.worms_grams.map(|grams| Body::WormsIn {
            grams: Some(grams),
            count: None,
            species,
        })),
        Err(Fault::Input(list)) => faults.extend(list),
        Err(other) => return Err(other),
    }
    if a.species.is_some() && a.worms_grams.is_none() {
        faults.push("--species says which worms go in; give --worms-grams with it".to_owned());
    }
    let (Some(walls), Some(lid), true) = (walls, lid, faults.is_empty()) else {
        return Err(Fault::Input(faults));
    };
    let description = BinDescription {
        name: a.name.clone(),
        length_cm: a.length,
        width_cm: a.width,
        depth_cm: a.depth,
        bedding_depth_cm: a.bedding_depth,
        walls,
        lid,
        drains: a.drains,
        place: a.place.clone(),
        retired: false,
    };
    let at = session.when(a.when.as_deref())?;
    let (bin, entries) = desk
        .add_bin(description, first, at, &Given::typed(a.confirmed))
        .map_err(asked)?;
    Reply::new(
        format!("Bin {}, {}, is on the shelf.", bin.0, a.name),
        json!({
            "schema": "bedwright-add-bin-1",
            "bin": bin.0,
            "entries": entries.iter().map(|e| e.0).collect::<Vec<_>>(),
        }),
    )
}
