//! Stretches of days as typed, and advice as told.

use crate::command::session::Fault;
use crate::typed;
use engine::advice::Advice;
use jiff::civil::Date;
use serde_json::{Value, json};
use std::fmt::Write;

/// Days from now, as dates or numbers: `2026-12-01..2026-12-20` or `3..20`.
pub(super) fn stretch(
    name: &str,
    given: &str,
    today: Date,
    most: f64,
) -> Result<(f64, f64), Fault> {
    let wrong = || {
        Fault::input(format!(
            "{name} `{given}` is not two days; write `2026-12-01..2026-12-20`, or days from now, `3..20`"
        ))
    };
    let (from, to) = given.split_once("..").ok_or_else(wrong)?;
    let day = |text: &str| -> Result<f64, Fault> {
        let text = text.trim();
        if let Some(date) = typed::date(text) {
            return Ok((date.duration_since(today).as_hours() / 24) as f64);
        }
        typed::number(text).map_err(|_| wrong())
    };
    let (from, to) = (day(from)?, day(to)?);
    if from < 0.0 || to <= from || to > most {
        return Err(Fault::input(format!(
            "{name} `{given}` is not a stretch of days to come; give a first and a later day, 0 to {most} days from now"
        )));
    }
    Ok((from, to))
}

/// Advice for programs.
pub(super) fn advice(list: &[Advice]) -> Vec<Value> {
    list.iter()
        .map(|a| {
            json!({
                "what": a.what,
                "amount": a.amount,
                "unit": a.unit,
                "when": a.when,
                "why": a.why,
            })
        })
        .collect()
}

/// Advice for people, a line each.
pub(super) fn advice_text(out: &mut String, list: &[Advice]) {
    for (i, a) in list.iter().enumerate() {
        // Writing to a string does not fail.
        let _ = writeln!(out, "  {}. {}", i + 1, a.text());
    }
}
