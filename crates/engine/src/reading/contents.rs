//! What can be in a bin at most by its log, and amounts too small to be one.

use super::doubt::Past;
use super::question::Question;
use crate::bed::fill::{Own, ready};
use crate::echo::{Said, echo};
use crate::log::{Body, Entry, Part};
use crate::measure::Amount;
use crate::table::{TableError, Tables};

/// Most that can be in the bin by its log: what went in since it was last
/// filled and did not come out. What rots and dries away is not taken off.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Held {
    /// Of everything [kg].
    pub(super) kg: f64,
    /// Of bedding and food, loose [L].
    pub(super) litres: f64,
}

impl Held {
    fn plus(self, gain: Self) -> Self {
        Self {
            kg: self.kg + gain.kg,
            litres: self.litres + gain.litres,
        }
    }

    fn without(self, gain: Self) -> Self {
        Self {
            kg: self.kg - gain.kg,
            litres: self.litres - gain.litres,
        }
    }

    fn there(self) -> Self {
        Self {
            kg: self.kg.max(0.0),
            litres: self.litres.max(0.0),
        }
    }
}

/// What is in the bin at the time of an entry. `None` before it was filled.
pub(super) fn held(tables: &Tables, own: &Own, past: &Past<'_>) -> Option<Held> {
    let mut before: Vec<&Body> = past
        .log
        .iter()
        .filter(|e| e.at_unix_seconds <= past.at)
        .map(|e| &e.body)
        .collect();
    let filled = before.iter().rposition(|b| is_filling(b))?;
    let since = before.drain(filled..).map(|b| gain(tables, own, b));
    Some(since.fold(Held::default(), Held::plus).there())
}

/// [`held`] of each entry of a log in order of its times, all else being its
/// past.
pub(super) fn held_beside_each(tables: &Tables, own: &Own, log: &[Entry]) -> Vec<Option<Held>> {
    let mut beside = Vec::with_capacity(log.len());
    let mut held: Option<Held> = None;
    for at_once in log.chunk_by(|a, b| a.at_unix_seconds == b.at_unix_seconds) {
        let gains: Vec<Held> = at_once.iter().map(|e| gain(tables, own, &e.body)).collect();
        let filled = at_once.iter().rposition(|e| is_filling(&e.body));
        let counted = filled.unwrap_or(0);
        held = filled.map_or(held, |_| Some(Held::default()));
        held = held.map(|h| gains[counted..].iter().copied().fold(h, Held::plus));
        beside.extend(gains.into_iter().enumerate().map(|(n, gain)| {
            let rest = if n < counted {
                held
            } else {
                held.map(|h| h.without(gain))
            };
            rest.map(Held::there)
        }));
    }
    beside
}

fn is_filling(body: &Body) -> bool {
    matches!(body, Body::Filled { .. })
}

/// Whether an entry changes what is in the bin.
pub(super) fn is_content(body: &Body) -> bool {
    matches!(
        body,
        Body::Filled { .. }
            | Body::BeddingAdded { .. }
            | Body::Feeding { .. }
            | Body::Water { .. }
            | Body::WormsIn { .. }
            | Body::Drain { .. }
            | Body::Harvest { .. }
    )
}

/// What an entry adds to the bin at most, or takes from it at least.
fn gain(tables: &Tables, own: &Own, body: &Body) -> Held {
    let litres = |a: &Amount| {
        a.water_litres(tables)
            .map_or((0.0, 0.0), |l| (l.low, l.high))
    };
    let of_kg = |kg| Held { kg, litres: 0.0 };
    match body {
        Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
            let ready = parts
                .iter()
                .flat_map(|p| ready(tables, std::slice::from_ref(p), own));
            ready.flatten().fold(Held::default(), |sum, p| {
                let is_solid = p.material.is_some();
                sum.plus(Held {
                    kg: p.grams.high / 1000.0,
                    litres: if is_solid { p.litres.high } else { 0.0 },
                })
            })
        }
        Body::Water { amount, .. } => of_kg(litres(amount).1),
        Body::WormsIn { grams, .. } => of_kg(grams.unwrap_or(0.0) / 1000.0),
        Body::Drain { amount } => of_kg(-litres(amount).0),
        Body::Harvest { amount } => of_kg(-castings_kg(tables, amount)),
        _ => Held::default(),
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
        let grams = ready.iter().map(|r| r.grams.value).sum();
        Some((p.amount.to_string(), grams))
    };
    let liquid = |a: &Amount| Some((a.to_string(), 1000.0 * a.water_litres(tables).ok()?.litres));
    let (given, least): (Vec<(String, f64)>, f64) = match body {
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
            (vec![(amount.to_string(), grams)], least("least_grams")?)
        }
        // None found is none.
        Body::WormsIn { grams, .. } | Body::WormCount { grams, .. } => {
            let grams = grams.filter(|g| *g > 0.0);
            let given = grams.map(|g| (format!("{} g", Said(g)), g));
            (given.into_iter().collect(), least("least_worms_grams")?)
        }
        _ => return Ok(None),
    };
    let small = given.into_iter().find(|(_, grams)| *grams < least);
    Ok(small.map(|(typed, _)| Question::TooLittle {
        typed: echo(&typed),
    }))
}
