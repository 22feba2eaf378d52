//! The way in: every entry passes here, typed or imported.

use crate::read::{ENTRY_COLUMNS, entry_from};
use crate::validate::{self, validate};
use crate::{Store, StoreError};
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, effective};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use std::mem::discriminant;

/// An entry to be written; the store gives it its number.
#[derive(Debug, Clone, PartialEq)]
pub struct New {
    /// The bin it is about; `None` for the shed and settings.
    pub bin: Option<BinId>,
    /// When it was seen or done [s since 1970-01-01 00:00 UTC].
    pub at_unix_seconds: i64,
    /// Name of the time zone the keeper was in, such as `Europe/Paris`.
    pub zone: String,
    /// When it was written down [s since 1970-01-01 00:00 UTC].
    pub written_unix_seconds: i64,
    /// What was seen or done.
    pub body: Body,
}

/// The version written beside each entry.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

impl Store {
    /// Write one entry. When this returns its number, the entry is on disk.
    ///
    /// # Errors
    /// When the entry is refused (the error names field, value, unit and
    /// range) or cannot be written; the log is then as it was.
    pub fn append(&mut self, new: New) -> Result<EntryId, StoreError> {
        self.in_one_go(|tx| take(tx, &new))
    }

    /// Write several entries, all or none.
    ///
    /// # Errors
    /// As [`Store::append`], for the first entry refused; none is written.
    pub fn append_all(&mut self, news: Vec<New>) -> Result<Vec<EntryId>, StoreError> {
        self.in_one_go(|tx| news.iter().map(|new| take(tx, new)).collect())
    }

    /// Describe a new bin; the store gives it its number.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn create_bin(
        &mut self,
        description: BinDescription,
        at_unix_seconds: i64,
        zone: &str,
        written_unix_seconds: i64,
    ) -> Result<(BinId, EntryId), StoreError> {
        let (bin, ids) = self.create_bin_with(
            description,
            at_unix_seconds,
            zone,
            written_unix_seconds,
            Vec::new(),
        )?;
        let id = ids.first().copied().ok_or(StoreError::UnknownBin(bin))?;
        Ok((bin, id))
    }

    /// Describe a new bin together with its first entries (what it was filled
    /// with, the worms put in, ...), all or none. The number of the description
    /// comes first.
    ///
    /// # Errors
    /// As [`Store::append`]; then there is no new bin either.
    pub fn create_bin_with(
        &mut self,
        description: BinDescription,
        at_unix_seconds: i64,
        zone: &str,
        written_unix_seconds: i64,
        first: Vec<Body>,
    ) -> Result<(BinId, Vec<EntryId>), StoreError> {
        self.in_one_go(|tx| {
            let bin: i64 =
                tx.query_row("SELECT coalesce(max(bin), 0) + 1 FROM entry", [], |r| {
                    r.get(0)
                })?;
            let new = |body| New {
                bin: Some(BinId(bin)),
                at_unix_seconds,
                zone: zone.to_owned(),
                written_unix_seconds,
                body,
            };
            let opening = new(Body::Bin(description));
            admit(tx, &opening, true)?;
            let mut ids = vec![insert(tx, None, &opening, VERSION)?];
            for body in first {
                ids.push(take(tx, &new(body))?);
            }
            Ok((BinId(bin), ids))
        })
    }

    /// Run `work` in one transaction that holds the right to write from its
    /// start, so that what was checked still stands when it is written.
    pub(crate) fn in_one_go<T>(
        &mut self,
        work: impl FnOnce(&Connection) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let tx = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = work(&tx)?;
        tx.commit()?;
        Ok(done)
    }
}

fn take(tx: &Connection, new: &New) -> Result<EntryId, StoreError> {
    admit(tx, new, false)?;
    insert(tx, None, new, VERSION)
}

/// Check an entry against the rules and against the log as it stands.
/// `new_bin`: a description may open a bin not seen before.
pub(crate) fn admit(tx: &Connection, new: &New, new_bin: bool) -> Result<(), StoreError> {
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
        check_correction(tx, new, *corrects, replacement.as_deref())?;
    }
    Ok(())
}

fn bin_is_known(tx: &Connection, bin: BinId) -> Result<bool, StoreError> {
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
) -> Result<(), StoreError> {
    let refuse = |problem| Err(StoreError::Correction { corrects, problem });
    if find(tx, corrects)?.bin != new.bin {
        return refuse("it is about another bin");
    }
    let root = root_of(tx, corrects)?;
    let lasting = |b: &Body| matches!(b, Body::Bin(_) | Body::Shed(_) | Body::Setting { .. });
    if let Some(body) = replacement
        && (lasting(body) || lasting(&root.body))
        && discriminant(body) != discriminant(&root.body)
    {
        return refuse("a bin, shed item or setting can only be replaced by one of its own kind");
    }
    if replacement.is_none()
        && matches!(root.body, Body::Bin(_))
        && !keeps_a_description(tx, &root, new)?
    {
        return refuse("the bin would be left without a description; mark it retired instead");
    }
    Ok(())
}

/// The entry at the far end of a chain of corrections.
fn root_of(tx: &Connection, id: EntryId) -> Result<Entry, StoreError> {
    let mut entry = find(tx, id)?;
    while let Body::Correction { corrects, .. } = entry.body {
        if corrects >= entry.id {
            return Err(StoreError::Correction {
                corrects,
                problem: "it stands after its own correction",
            });
        }
        entry = find(tx, corrects)?;
    }
    Ok(entry)
}

fn keeps_a_description(tx: &Connection, root: &Entry, new: &New) -> Result<bool, StoreError> {
    let sql = format!(
        "SELECT {ENTRY_COLUMNS} FROM entry WHERE bin = ?1 AND kind IN ('bin', 'correction') ORDER BY id"
    );
    let mut query = tx.prepare_cached(&sql)?;
    let mut entries: Vec<Entry> = Vec::new();
    let mut rows = query.query(params![root.bin.map(|b| b.0)])?;
    while let Some(row) = rows.next()? {
        entries.push(entry_from(row)?);
    }
    entries.push(Entry {
        id: EntryId(i64::MAX),
        bin: new.bin,
        at_unix_seconds: new.at_unix_seconds,
        zone: new.zone.clone(),
        written_unix_seconds: new.written_unix_seconds,
        body: new.body.clone(),
    });
    Ok(effective(&entries)
        .iter()
        .any(|e| matches!(e.body, Body::Bin(_))))
}

/// The entry numbered `id`.
pub(crate) fn find(tx: &Connection, id: EntryId) -> Result<Entry, StoreError> {
    let mut query =
        tx.prepare_cached(&format!("SELECT {ENTRY_COLUMNS} FROM entry WHERE id = ?1"))?;
    let found = query
        .query_row([id.0], |row| Ok(entry_from(row)))
        .optional()?;
    found.unwrap_or(Err(StoreError::UnknownEntry(id)))
}

/// Add the row. The kind is read from the body, so the two cannot disagree.
pub(crate) fn insert(
    tx: &Connection,
    id: Option<EntryId>,
    new: &New,
    version: &str,
) -> Result<EntryId, StoreError> {
    let body = serde_json::to_string(&new.body)
        .map_err(|e| StoreError::invalid("entry", e.to_string()))?;
    let mut query = tx.prepare_cached(
        "INSERT INTO entry (id, bin, at_unix_seconds, zone, written_unix_seconds, kind, body, engine_version)
         VALUES (?1, ?2, ?3, ?4, ?5, json_extract(?6, '$.kind'), ?6, ?7)",
    )?;
    query.execute(params![
        id.map(|id| id.0),
        new.bin.map(|bin| bin.0),
        new.at_unix_seconds,
        new.zone,
        new.written_unix_seconds,
        body,
        version,
    ])?;
    Ok(EntryId(tx.last_insert_rowid()))
}
