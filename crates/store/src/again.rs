//! Whether an entry says again what was written a moment ago: the same meaning,
//! in whatever unit. Asked within the transaction that writes, so that of two
//! sent at once one is written.

use crate::{New, Store, StoreError};
use engine::log::{BinDescription, BinId, Body, EntryId};
use engine::measure::{Amount, Unit};
use rusqlite::{Connection, params};
use serde_json::Value;

/// Fields that hold an amount.
const AMOUNTS: [&str; 2] = ["amount", "available"];

/// How far amounts in different units may differ by rounding, as a part of
/// themselves.
const ROUNDING: f64 = 1e-9;

impl Store {
    /// The entry that says the same about the same bin for the same time, and
    /// was written within so many seconds of this one, if there is one: it may
    /// have been sent twice. `200 g` and `0.2 kg` are the same, and so is an
    /// entry struck out for another reason.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub fn lately(&self, new: &New, seconds: i64) -> Result<Option<EntryId>, StoreError> {
        said_lately(self.reading()?, new, seconds)
    }
}

/// Refuses what is not to be written again so soon; see [`New::not_again`].
pub(crate) fn is_not_again(db: &Connection, new: &New) -> Result<(), StoreError> {
    let again = match new.not_again {
        Some(seconds) => said_lately(db, new, seconds)?,
        None => None,
    };
    again.map_or(Ok(()), |entry| Err(StoreError::Again { entry }))
}

/// As [`is_not_again`], for the description of a bin to be made: a bin of its
/// name and size.
pub(crate) fn is_no_such_bin(db: &Connection, new: &New) -> Result<(), StoreError> {
    let (Some(seconds), Body::Bin(wanted)) = (new.not_again, &new.body) else {
        return Ok(());
    };
    let size = |b: &BinDescription| [b.length_cm, b.width_cm, b.depth_cm];
    let found = recent(db, new, seconds)?.into_iter().find(|(_, _, body)| {
        matches!(body, Body::Bin(b) if b.name == wanted.name && size(b) == size(wanted))
    });
    found.map_or(Ok(()), |(entry, _, _)| Err(StoreError::Again { entry }))
}

fn said_lately(db: &Connection, new: &New, seconds: i64) -> Result<Option<EntryId>, StoreError> {
    let of_this_bin = recent(db, new, seconds)?
        .into_iter()
        .filter(|(_, bin, _)| *bin == new.bin);
    for (id, _, body) in of_this_bin {
        if alike(&body, &new.body) {
            return Ok(Some(id));
        }
        // A material described anew, and then as before, was changed twice.
        if let (Body::Shed(there), Body::Shed(now)) = (&body, &new.body)
            && there.material == now.material
        {
            return Ok(None);
        }
    }
    Ok(None)
}

/// Entries of about the same time, written at about the same time; the latest
/// first. What cannot be read says nothing.
fn recent(
    db: &Connection,
    new: &New,
    seconds: i64,
) -> Result<Vec<(EntryId, Option<BinId>, Body)>, StoreError> {
    let mut query = db.prepare_cached(
        "SELECT id, bin, body FROM entry
            WHERE abs(written_unix_seconds - ?1) <= ?3 AND abs(at_unix_seconds - ?2) <= ?3
         ORDER BY id DESC",
    )?;
    let asked = params![new.written_unix_seconds, new.at_unix_seconds, seconds];
    let rows = query.query_map(asked, |r| {
        let read = (r.get(0), r.get::<_, Option<i64>>(1), r.get::<_, String>(2));
        Ok(match read {
            (Ok(id), Ok(bin), Ok(body)) => Some((EntryId(id), bin.map(BinId), body)),
            _ => None,
        })
    })?;
    let mut found = Vec::new();
    for row in rows {
        if let Some((id, bin, body)) = row?
            && let Ok(body) = serde_json::from_str(&body)
        {
            found.push((id, bin, body));
        }
    }
    Ok(found)
}

/// Whether two bodies say the same.
fn alike(one: &Body, other: &Body) -> bool {
    match (one, other) {
        // For whatever reason.
        (
            Body::Correction {
                corrects,
                replacement,
                at_unix_seconds,
                ..
            },
            Body::Correction {
                corrects: corrects_too,
                replacement: replacement_too,
                at_unix_seconds: at_too,
                ..
            },
        ) => {
            (corrects, at_unix_seconds) == (corrects_too, at_too)
                && match (replacement, replacement_too) {
                    (Some(one), Some(other)) => alike(one, other),
                    (None, None) => true,
                    _ => false,
                }
        }
        _ => match (serde_json::to_value(one), serde_json::to_value(other)) {
            (Ok(one), Ok(other)) => same(&one, &other, ""),
            _ => one == other,
        },
    }
}

fn same(one: &Value, other: &Value, field: &str) -> bool {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) => {
            let there = |(name, value): (&String, &Value)| {
                b.get(name).is_some_and(|v| same(value, v, name))
            };
            a.len() == b.len() && a.iter().all(there)
        }
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b, field))
        }
        (Value::String(a), Value::String(b)) if AMOUNTS.contains(&field) => a == b || as_much(a, b),
        _ => one == other,
    }
}

/// Whether two amounts are as much, in units that do not hang on a household.
fn as_much(one: &str, other: &str) -> bool {
    let read = |text: &str| {
        let amount = Amount::try_from(text.to_owned()).ok()?;
        let (grams, each) = match (amount.unit.grams(), amount.unit) {
            (Some(grams), _) => (true, grams),
            (None, Unit::Litre) => (false, 1.0),
            (None, Unit::Millilitre) => (false, 0.001),
            _ => return None,
        };
        Some((grams, amount.number * each))
    };
    match (read(one), read(other)) {
        (Some((a, one)), Some((b, other))) => {
            a == b && (one - other).abs() <= ROUNDING * one.abs().max(other.abs())
        }
        _ => false,
    }
}
