//! `bedwright materials [SEARCH]` and `material KEY`: the tables.

use super::parts;
use super::session::{Fault, Reply, Session};
use crate::report;
use engine::table::{Material, Number, Property, Tables};
use serde_json::{Value, json};
use std::fmt::Write;

/// Arguments of `materials`.
#[derive(Debug, clap::Args)]
pub struct List {
    /// Words to look for; all materials when none is given.
    search: Vec<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `material`.
#[derive(Debug, clap::Args)]
pub struct One {
    /// Key of the material.
    key: String,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn list(a: &List, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_if_any()?;
    let asked = a.search.join(" ");
    let found = desk.tables.search(&asked);
    let mut text = String::new();
    for m in &found {
        // Writing to a string does not fail.
        let _ = writeln!(text, "{:<28}{:<11}{}", m.key, m.role.name(), m.name);
    }
    let unfed = desk.tables.unfed(&asked);
    if let Some(unfed) = unfed {
        let _ = writeln!(text, "{}", unfed.text());
    } else if found.is_empty() {
        let _ = writeln!(text, "No material fits `{asked}`.");
    }
    let list: Vec<Value> = found
        .iter()
        .map(|m| json!({ "key": m.key, "name": m.name, "role": m.role.name() }))
        .collect();
    Reply::new(
        text,
        json!({
            "schema": "bedwright-materials-1",
            "materials": list,
            "not_fed": unfed.map(|u| u.text()),
        }),
    )
}

pub(super) fn one(a: &One, session: &Session) -> Result<Reply, Fault> {
    let desk = session.desk_if_any()?;
    let key = parts::key_of(desk.tables, &a.key).map_err(Fault::input)?;
    let mut own = desk.own()?.remove(&key).unwrap_or_default();
    own.remove("particle_mm");
    let material = desk.tables.material(&key)?.with_own(&own)?;
    Reply::new(text(desk.tables, &material), json(desk.tables, &material))
}

/// Every number, known or not, computed ones too.
fn numbers(m: &Material) -> Vec<(Property, Number)> {
    Property::ALL
        .iter()
        .filter_map(|p| {
            let number = m.number(*p).or_else(|| m.numbers.get(p).cloned())?;
            Some((*p, number))
        })
        .collect()
}

fn citation(tables: &Tables, key: &str) -> Option<String> {
    tables.source(key).ok().map(|s| s.citation.clone())
}

fn json(tables: &Tables, m: &Material) -> Value {
    let list: Vec<Value> = numbers(m)
        .iter()
        .map(|(p, n)| {
            json!({
                "property": p.name(),
                "value": n.value,
                "low": n.low,
                "high": n.high,
                "unit": n.unit,
                "basis": n.basis,
                "status": n.status.name(),
                "source": n.source,
                "citation": citation(tables, &n.source),
                "place": n.place,
                "note": n.note,
            })
        })
        .collect();
    json!({
        "schema": "bedwright-material-1",
        "key": m.key,
        "name": m.name,
        "role": m.role.name(),
        "confidence": m.confidence,
        "cautions": m.cautions,
        "numbers": list,
    })
}

fn text(tables: &Tables, m: &Material) -> String {
    let mut out = format!("{}, {} ({})\n", m.name, m.role.name(), m.key);
    for caution in &m.cautions {
        let _ = writeln!(out, "Mind: {caution}.");
    }
    let _ = writeln!(out, "How sure the main numbers are: {}.\n", m.confidence);
    for (p, n) in numbers(m) {
        let figure = match n.triple() {
            Some((low, value, high)) => {
                let say = |x: f64| report::significant(x, 3);
                format!("{} ({} to {}) {}", say(value), say(low), say(high), n.unit)
            }
            None => format!("not known: {}", n.note),
        };
        let source = citation(tables, &n.source).unwrap_or_else(|| n.source.clone());
        let place = if n.place.is_empty() {
            String::new()
        } else {
            format!(", {}", n.place)
        };
        let _ = writeln!(
            out,
            "{:<24}{figure}\n{:<24}{}; {source}{place}",
            p.name(),
            "",
            n.status.name()
        );
    }
    out
}
