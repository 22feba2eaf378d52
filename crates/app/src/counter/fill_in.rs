//! An entry as the fields of its form, for correcting it.

use super::words;
use crate::desk::Desk;
use crate::report::Units;
use crate::web::Fields;
use engine::living::species::Species;
use engine::log::{BinDescription, Body, Part};
use serde::Serialize;

/// The fields that would say `body` at `at`, in these units.
pub(super) fn fields(desk: &Desk, body: &Body, at: i64, units: Units) -> Fields {
    let mut list: Vec<(String, String)> = vec![
        ("kind".into(), tag(body)),
        ("when".into(), words::machine_time(desk, at)),
    ];
    let mut say = |name: &str, value: String| list.push((name.to_owned(), value));
    match body {
        Body::Reading(r) => {
            let spots: Vec<String> = r
                .spots
                .iter()
                .map(|s| words::spot(r.what, *s, units))
                .collect();
            say("what", name(&r.what));
            say("spots", spots.join(" "));
            say("instrument", r.instrument.clone());
            say("place", name(&r.place));
        }
        Body::Observation { words, text } => {
            for word in words {
                say("word", name(word));
            }
            say("text", text.to_string());
        }
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
            let single = parts.len() == 1 && !matches!(body, Body::Filled { .. });
            for (n, part) in (1..).zip(parts) {
                let suffix = if single {
                    String::new()
                } else {
                    format!("{n}")
                };
                let (material, amount) = one(desk, part);
                say(&format!("material{suffix}"), material);
                say(&format!("amount{suffix}"), amount);
            }
        }
        Body::Dose(d) => {
            say("material", table_name(desk, &d.material));
            say("amount", d.amount.to_string());
            say("how", name(&d.how));
        }
        Body::Water { amount, soft } => {
            say("amount", amount.to_string());
            say("soft", if *soft { "yes" } else { "no" }.into());
        }
        Body::Drain { amount } | Body::Harvest { amount } => say("amount", amount.to_string()),
        Body::WormsIn {
            grams,
            count,
            species,
        } => {
            say("grams", number(*grams));
            say("count", number(*count));
            if let Some(kind) = Species::parse(species) {
                say("species", kind.name().to_owned());
            }
        }
        Body::WormCount {
            found,
            litres_searched,
            grams,
            ball,
        } => {
            // Worms weighed but not counted stand as none found.
            let counted = *found > 0.0 || grams.is_none();
            say("found", number(counted.then_some(*found)));
            say("grams", number(*grams));
            say("ball", if *ball { "yes" } else { "no" }.into());
            say("litres", number(*litres_searched));
        }
        Body::Move { place } => say("place", place.clone()),
        Body::Note { text } => say("text", text.to_string()),
        Body::Bin(b) => list.extend(bin(b, units)),
        _ => {}
    }
    Fields(list)
}

fn number(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| v.to_string())
}

/// The word a value is stored under.
fn name(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(text)) => text,
        _ => String::new(),
    }
}

/// The word a kind of entry is stored under.
fn tag(body: &Body) -> String {
    let value = serde_json::to_value(body).unwrap_or_default();
    value["kind"].as_str().unwrap_or_default().to_owned()
}

/// Fields of a link with every key of a material as its name, as a keeper would
/// type it.
pub(super) fn named(desk: &Desk, fields: &Fields) -> Fields {
    let is_of_material = |name: &str| name.starts_with("material") || name.starts_with("bedding");
    let shown = |(name, value): &(String, String)| {
        let value = if is_of_material(name) {
            table_name(desk, value.trim())
        } else {
            value.clone()
        };
        (name.clone(), value)
    };
    Fields(fields.0.iter().map(shown).collect())
}

fn table_name(desk: &Desk, key: &str) -> String {
    desk.tables
        .material(key)
        .map_or_else(|_| key.to_owned(), |m| m.name.clone())
}

fn one(desk: &Desk, part: &Part) -> (String, String) {
    (table_name(desk, &part.material), part.amount.to_string())
}

fn bin(b: &BinDescription, units: Units) -> Vec<(String, String)> {
    let cm = match units {
        Units::Metric => 1.0,
        Units::Us => 2.54,
    };
    let length = |v: f64| {
        let text = crate::report::decimals(v / cm, 2);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let say = |n: &str, v: String| (n.to_owned(), v);
    vec![
        say("name", b.name.clone()),
        say("length", length(b.length_cm)),
        say("width", length(b.width_cm)),
        say("depth", length(b.depth_cm)),
        say("bedding", b.bedding_depth_cm.map_or(String::new(), length)),
        say("walls", name(&b.walls)),
        say("lid", name(&b.lid)),
        say("drains", if b.drains { "yes" } else { "no" }.into()),
        say("place", b.place.clone()),
    ]
}
