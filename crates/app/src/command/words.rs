//! Log entries said in words.

use super::figures::key_of;
use crate::report;
use engine::log::{Body, Measured, Part};
use engine::table::Tables;

fn name(tables: &Tables, key: &str) -> String {
    tables
        .material(key)
        .map_or_else(|_| key.to_owned(), |m| m.name_inside())
}

/// Parts in a line: `20 L of coconut coir pith, 5 L of ...`.
pub(super) fn parts(tables: &Tables, parts: &[Part]) -> String {
    let list: Vec<String> = parts
        .iter()
        .map(|p| format!("{} of {}", p.amount, name(tables, &p.material)))
        .collect();
    list.join(", ")
}

/// One entry in a line.
pub(super) fn say(tables: &Tables, body: &Body) -> String {
    let name = |key: &str| name(tables, key);
    let parts = |parts: &[Part]| self::parts(tables, parts);
    match body {
        Body::Bin(d) => format!("described: {}", d.name),
        Body::Filled { parts: p } => format!("filled with {}", parts(p)),
        Body::BeddingAdded { parts: p } => format!("bedding added: {}", parts(p)),
        Body::Feeding { parts: p } => format!("fed {}", parts(p)),
        Body::Reading(r) => {
            let spots: Vec<String> = r.spots.iter().map(|s| report::plain(*s)).collect();
            let by = match tables.instrument(&r.instrument) {
                Ok(i) => format!(" by {}", engine::table::inside_a_sentence(&i.name)),
                Err(_) if r.instrument == "own" || r.instrument.is_empty() => String::new(),
                Err(_) => format!(" by {}", r.instrument.replace('_', " ")),
            };
            format!("{} {}{by}", measured(r.what), spots.join(", "))
        }
        Body::Observation { words, text } => {
            let mut list: Vec<String> = words.iter().map(|w| key_of(w).replace('_', " ")).collect();
            if !text.is_empty() {
                list.push(text.to_string());
            }
            format!("looked: {}", list.join(", "))
        }
        Body::Dose(d) => format!(
            "dosed with {} of {}, {}",
            d.amount,
            name(&d.material),
            key_of(&d.how).replace('_', " ")
        ),
        Body::Water { amount, soft } => {
            format!("watered with {amount}{}", if *soft { ", soft" } else { "" })
        }
        Body::Drain { amount } => format!("drained {amount}"),
        Body::WormsIn { grams, count, .. } => match (grams, count) {
            (Some(g), _) => format!("worms in: {}", report::grams(*g, report::Units::Metric)),
            (None, Some(n)) => format!("worms in: {n}"),
            _ => "worms in".to_owned(),
        },
        Body::WormCount { found, .. } => format!("counted {found} worms"),
        Body::Harvest { amount } => format!("harvested {amount}"),
        Body::Move { place } => format!("moved to {place}"),
        Body::Turned => "turned".to_owned(),
        Body::JarTest(t) => format!("jar test with {}, {} jars", name(&t.material), t.jars.len()),
        Body::TrayTest(t) => format!(
            "tray test: {} in the suspect half, {} in the trusted",
            t.in_suspect, t.in_trusted
        ),
        Body::Note { text } => format!("note: {text}"),
        Body::Shed(i) => format!("shed: {}", name(&i.material)),
        Body::Setting { name, value } => format!("setting {name}: {value}"),
        Body::Correction { corrects, .. } => format!("corrects entry {}", corrects.0),
        _ => "an entry of a newer kind".to_owned(),
    }
}

fn measured(what: Measured) -> &'static str {
    match what {
        Measured::Ph => "pH",
        Measured::BeddingCelsius => "bedding °C",
        Measured::AirCelsius => "air °C",
        Measured::EcMsCm => "salt mS/cm",
        Measured::MoisturePercent => "moisture %",
        Measured::BinKg => "bin kg",
        _ => "reading",
    }
}
