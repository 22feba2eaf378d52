//! Whether an entry fits the rules and the log as it stands.

use crate::described::Known;
use crate::health::readable;
use crate::seal::COLUMNS;
use crate::validate::{self, validate};
use crate::{New, StoreError};
use engine::log::{BinId, Body, Entry, EntryId};
use rusqlite::Connection;
use std::collections::BTreeMap;
use std::mem::discriminant;

/// Check an entry against the rules and against the log as it stands.
/// `new_bin`: a description may open a bin not seen before.
pub(crate) fn admit(
    tx: &Connection,
    new: &New,
    new_bin: bool,
    known: &mut Known,
) -> Result<(), StoreError> {
    validate::time("time of the entry", new.at_unix_seconds)?;
    validate::time("time of writing", new.written_unix_seconds)?;
    validate::zone(&new.zone)?;
    validate(&new.body)?;
    let opens = new_bin && matches!(new.body, Body::Bin(_));
    match (new.bin, &new.body) {
        (Some(_), Body::Shed(_) | Body::Setting { .. }) => {
            return Err(StoreError::invalid(
                "entry",
                "of the shed or settings cannot be about a bin",
            ));
        }
        (
            None,
            Body::Shed(_) | Body::Setting { .. } | Body::Note { .. } | Body::Correction { .. },
        ) => {}
        (None, _) => {
            return Err(StoreError::invalid(
                "entry",
                "of this kind must name its bin",
            ));
        }
        (Some(bin), _) if !opens && !bin_is_known(tx, bin)? => {
            return Err(StoreError::UnknownBin(bin));
        }
        (Some(_), _) => {}
    }
    if let Body::Correction {
        corrects,
        replacement,
        ..
    } = &new.body
    {
        check_correction(tx, new, *corrects, replacement.as_deref(), known)?;
    }
    Ok(())
}

pub(crate) fn bin_is_known(tx: &Connection, bin: BinId) -> Result<bool, StoreError> {
    let mut query = tx.prepare_cached("SELECT EXISTS (SELECT 1 FROM entry WHERE bin = ?1)")?;
    Ok(query.query_row([bin.0], |r| r.get(0))?)
}

/// A correction must name an entry that is there and about the same bin. Bins,
/// shed items and settings stay what they are, and a bin keeps a description.
fn check_correction(
    tx: &Connection,
    new: &New,
    corrects: EntryId,
    replacement: Option<&Body>,
    known: &mut Known,
) -> Result<(), StoreError> {
    let refuse = |problem| Err(StoreError::Correction { corrects, problem });
    if find(tx, corrects)?.bin != new.bin {
        return refuse("it is about another bin");
    }
    let root = root_of(tx, corrects, &mut known.roots)?;
    let lasting = |b: &Body| matches!(b, Body::Bin(_) | Body::Shed(_) | Body::Setting { .. });
    if let Some(body) = replacement
        && (lasting(body) || lasting(&root.body))
        && discriminant(body) != discriminant(&root.body)
    {
        return refuse("a bin, shed item or setting can only be replaced by one of its own kind");
    }
    if replacement.is_none()
        && matches!(root.body, Body::Bin(_))
        && let Some(bin) = root.bin
        && !known.keeps_a_description(tx, bin, root.id)?
    {
        return refuse("the bin would be left without a description; mark it retired instead");
    }
    Ok(())
}

/// The entry at the far end of a chain of corrections.
fn root_of(
    tx: &Connection,
    id: EntryId,
    roots: &mut BTreeMap<EntryId, EntryId>,
) -> Result<Entry, StoreError> {
    let mut followed = Vec::new();
    let mut entry = find(tx, roots.get(&id).copied().unwrap_or(id))?;
    while let Body::Correction { corrects, .. } = entry.body {
        if corrects >= entry.id {
            return Err(StoreError::Correction {
                corrects,
                problem: "it stands after its own correction",
            });
        }
        followed.push(entry.id);
        entry = find(tx, roots.get(&corrects).copied().unwrap_or(corrects))?;
    }
    roots.extend(followed.into_iter().map(|link| (link, entry.id)));
    Ok(entry)
}

/// The entry numbered `id`.
pub(crate) fn find(tx: &Connection, id: EntryId) -> Result<Entry, StoreError> {
    let mut query = tx.prepare_cached(&format!("SELECT {COLUMNS} FROM entry WHERE id = ?1"))?;
    let mut rows = query.query([id.0])?;
    let row = rows.next()?.ok_or(StoreError::UnknownEntry(id))?;
    match readable(row) {
        Ok((record, body)) => Ok(record.entry(body)),
        Err(flaw) => Err(StoreError::Unreadable(flaw)),
    }
}
