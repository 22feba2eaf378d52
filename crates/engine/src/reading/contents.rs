//! What can be in a bin at most by its log, and amounts too small to be one.

use super::doubt::Past;
use super::question::Question;
use crate::bed::fill::{Own, ready};
use crate::log::{Body, Part};
use crate::measure::Amount;
use crate::table::{TableError, Tables};

/// Most that can be in the bin by its log [kg]: what went in since it was last
/// filled and did not come out. What rots and dries away is not taken off.
/// `None` before the bin was filled.
pub(super) fn heaviest_kg(tables: &Tables, own: &Own, past: &Past<'_>) -> Option<f64> {
    let mut before: Vec<&Body> = past
        .log
        .iter()
        .filter(|e| e.at_unix_seconds <= past.at)
        .map(|e| &e.body)
        .collect();
    let is_filled = |b: &&Body| matches!(b, Body::Filled { .. });
    let filled = before.iter().rposition(is_filled)?;
    let since = before.drain(filled..);
    Some(since.map(|b| gain_kg(tables, own, b)).sum::<f64>().max(0.0))
}

/// What an entry adds to the bin at most, or takes from it at least [kg].
fn gain_kg(tables: &Tables, own: &Own, body: &Body) -> f64 {
    let litres = |a: &Amount| {
        a.water_litres(tables)
            .map_or((0.0, 0.0), |l| (l.low, l.high))
    };
    match body {
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
            let ready = parts
                .iter()
                .flat_map(|p| ready(tables, std::slice::from_ref(p), own));
            ready.flatten().map(|p| p.grams.high / 1000.0).sum()
        }
        Body::Water { amount, .. } => litres(amount).1,
        Body::WormsIn { grams, .. } => grams.unwrap_or(0.0) / 1000.0,
        Body::Drain { amount } => -litres(amount).0,
        Body::Harvest { amount } => -castings_kg(tables, amount),
        _ => 0.0,
    }
}

/// Castings taken out, at least [kg].
pub(super) fn castings_kg(tables: &Tables, amount: &Amount) -> f64 {
    let castings = tables.material("vermicompost").ok();
    let grams = castings.and_then(|m| amount.grams(m, tables).ok());
    grams.map_or(0.0, |g| g.low / 1000.0)
}

/// Asks about an amount that no kitchen scale or spoon shows: a slip of the
/// unit or of the decimal point.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub(super) fn too_little(
    tables: &Tables,
    own: &Own,
    body: &Body,
) -> Result<Option<Question>, TableError> {
    let least = |property| tables.value("observations", "doubt", property);
    let part = |p: &Part| {
        let ready = ready(tables, std::slice::from_ref(p), own).ok()?;
        Some((p.amount, ready.iter().map(|r| r.grams.value).sum()))
    };
    let liquid = |a: &Amount| Some((*a, 1000.0 * a.water_litres(tables).ok()?.litres));
    let (given, least): (Vec<(Amount, f64)>, f64) = match body {
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => (
            parts.iter().filter_map(part).collect(),
            least("least_grams")?,
        ),
        Body::Dose(dose) => {
            let dose = Part::plain(dose.material.clone(), dose.amount);
            (
                part(&dose).into_iter().collect(),
                least("least_dose_grams")?,
            )
        }
        Body::Water { amount, .. } | Body::Drain { amount } => {
            (liquid(amount).into_iter().collect(), least("least_grams")?)
        }
        Body::Harvest { amount } => {
            let grams = 1000.0 * castings_kg(tables, amount);
            (vec![(*amount, grams)], least("least_grams")?)
        }
        _ => return Ok(None),
    };
    let small = given.into_iter().find(|(_, grams)| *grams < least);
    Ok(small.map(|(amount, _)| Question::TooLittle {
        typed: crate::echo::echo(&amount.to_string()),
    }))
}
