//! Entries that can hardly be: more than the bin could hold, or words that
//! contradict each other. They are asked about, never refused.

mod amounts;
mod figures;
mod jars;
mod own;
#[cfg(test)]
mod tests;
mod words;

use super::contents;
use super::question::Question;
use crate::bed::fill::Own;
use crate::log::{BinDescription, Body, Entry, EntryId, ShedItem};
use crate::table::{TableError, Tables};
use figures::unusual;
use own::far_from_its_material;
use std::collections::BTreeSet;
use words::contradictions;

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// What an entry is held against: the rest of the log of its bin.
#[derive(Debug, Clone, Copy)]
pub struct Past<'a> {
    /// The log as it stands ([`crate::log::effective`]), without the entry and
    /// without what cannot be used.
    pub log: &'a [Entry],
    /// When the entry happened [s since 1970-01-01 00:00 UTC].
    pub at: i64,
}

/// Questions an entry raises about a bin of this size, a pH and a temperature
/// aside ([`super::question`]). Parts that cannot be made ready raise none:
/// they are refused elsewhere.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn doubts(
    tables: &Tables,
    own: &Own,
    bin: &BinDescription,
    past: &Past<'_>,
    body: &Body,
) -> Result<Vec<Question>, TableError> {
    let holds = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
    if holds.is_nan() || holds <= 0.0 {
        // Such a bin is refused by its sizes.
        return Ok(Vec::new());
    }
    let asker = Asker { tables, own, holds };
    let mut found = asker.by_size(past, body)?;
    // One question about one amount.
    if found.is_empty() {
        if let Some(within) = contents::held(tables, own, past) {
            found.extend(asker.beyond_contents(within, body)?);
        }
        found.extend(contents::too_little(tables, own, body)?);
    }
    Ok(found)
}

/// The first later entry that is too much for the bin once the log says
/// `after` where it said `before` ([`crate::log::effective`] both, of the same
/// numbers but for `changed`), and was not before, with its question.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn undone(
    tables: &Tables,
    own: &Own,
    before: &[Entry],
    after: &[Entry],
    changed: &Entry,
) -> Result<Option<(EntryId, Question)>, TableError> {
    let was = before.iter().find(|e| e.id == changed.id);
    let of_contents = |e: &Entry| contents::is_content(&e.body);
    if !of_contents(changed) && !was.is_some_and(of_contents) {
        return Ok(None);
    }
    let from = was.map_or(i64::MAX, |e| e.at_unix_seconds);
    let from = from.min(changed.at_unix_seconds);
    let later = |e: &Entry| e.id != changed.id && e.at_unix_seconds >= from;
    if !after.iter().any(later) {
        return Ok(None);
    }
    let asker = Asker {
        tables,
        own,
        holds: 0.0,
    };
    let beyond = |log: &[Entry]| {
        let within = contents::held_beside_each(tables, own, log);
        let of_each = log.iter().zip(within).filter(|(e, _)| later(e));
        let asked = of_each.map(|(e, within)| {
            let asked = within
                .map(|w| asker.beyond_contents(w, &e.body))
                .transpose()?;
            Ok(asked.flatten().map(|q| (e.id, q)))
        });
        asked
            .filter_map(Result::transpose)
            .collect::<Result<Vec<_>, TableError>>()
    };
    let odd: BTreeSet<EntryId> = beyond(before)?.into_iter().map(|(id, _)| id).collect();
    Ok(beyond(after)?.into_iter().find(|(id, _)| !odd.contains(id)))
}

impl Asker<'_> {
    /// What is asked by the size of the bin, or by any bin's.
    fn by_size(&self, past: &Past<'_>, body: &Body) -> Result<Vec<Question>, TableError> {
        let (asker, tables, holds) = (self, self.tables, self.holds);
        match body {
            Body::Bin(bin) => {
                let mut asked = asker.sizes(bin)?;
                asked.extend(asker.made_smaller(bin, past)?);
                Ok(asked)
            }
            Body::Filled { parts } => {
                let mut found = asker.bedding(parts)?;
                found.extend(asker.thin(parts)?);
                found.extend(asker.again(past)?);
                Ok(found)
            }
            Body::BeddingAdded { parts } => asker.bedding(parts),
            Body::Feeding { parts } => asker.feed(parts),
            Body::Dose(dose) => asker.dose(dose),
            Body::Water { amount, .. } => asker.water(amount, past),
            Body::Drain { amount } => {
                let litres = amount.water_litres(tables).map_or(0.0, |l| l.litres);
                asker.over("liquid drained", litres)
            }
            Body::Harvest { amount } => {
                let litres = tables
                    .material("vermicompost")
                    .ok()
                    .and_then(|m| amount.litres(m, tables).ok());
                asker.over("castings", litres.map_or(0.0, |l| l.low))
            }
            Body::WormsIn { grams, count, .. } => {
                let mut found = asker.worms(*grams, *count, holds)?;
                found.extend(asker.first_worms(*count, past)?);
                Ok(found)
            }
            Body::WormCount {
                found,
                litres_searched,
                grams,
                ..
            } => {
                let mut asked =
                    asker.over("bedding looked through", litres_searched.unwrap_or(0.0))?;
                let litres = litres_searched.map_or(holds, |l| l.min(holds));
                asked.extend(asker.worms(*grams, Some(*found), litres)?);
                Ok(asked)
            }
            Body::Reading(reading) => asker.reading(reading),
            Body::JarTest(test) => asker.jars(test),
            Body::TrayTest(test) => asker.tray(test),
            Body::Observation { words, .. } => Ok(contradictions(words)),
            _ => Ok(Vec::new()),
        }
    }
}

/// Whether an amount put in the shed is far more than one is, or a value of the
/// keeper's own far from what is known of the material.
///
/// # Errors
/// [`TableError`] when a threshold is missing.
pub fn shed_doubts(tables: &Tables, item: &ShedItem) -> Result<Vec<Question>, TableError> {
    let most = tables.value("observations", "doubt", "shed_kg")?;
    let material = tables.material(&item.material)?;
    let grams = item.available.and_then(|a| a.grams(material, tables).ok());
    let kg = grams.map_or(0.0, |g| g.low / 1000.0);
    let mut asked = unusual("the amount in the shed", kg, 0.0, most, "kg");
    asked.extend(far_from_its_material(tables, material, item)?);
    Ok(asked)
}

/// One bin, with the thresholds of the table.
struct Asker<'a> {
    tables: &'a Tables,
    own: &'a Own,
    /// Inner volume of the bin [L].
    holds: f64,
}

impl Asker<'_> {
    fn most(&self, property: &str) -> Result<f64, TableError> {
        self.tables.value("observations", "doubt", property)
    }

    /// Described as smaller than it was: what was put in must go into that.
    fn made_smaller(
        &self,
        bin: &BinDescription,
        past: &Past<'_>,
    ) -> Result<Vec<Question>, TableError> {
        let holds = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
        if holds.is_nan() || holds >= self.holds {
            return Ok(Vec::new());
        }
        let smaller = Asker { holds, ..*self };
        for entry in past.log {
            let (Body::Filled { parts } | Body::BeddingAdded { parts }) = &entry.body else {
                continue;
            };
            let asked = smaller.bedding(parts)?;
            if !asked.is_empty() {
                return Ok(asked);
            }
        }
        Ok(Vec::new())
    }

    /// Filled anew soon after it was filled: bedding added was meant, or the
    /// same was written twice.
    fn again(&self, past: &Past<'_>) -> Result<Vec<Question>, TableError> {
        let days = self.most("filled_again_days")?;
        let near = |t: i64| ((past.at - t) as f64).abs() <= days * DAY;
        let twice = past
            .log
            .iter()
            .any(|e| matches!(e.body, Body::Filled { .. }) && near(e.at_unix_seconds));
        Ok(twice
            .then_some(Question::FilledTwice { days })
            .into_iter()
            .collect())
    }
}
