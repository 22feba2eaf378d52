//! The way out: entries as written, and bins, shed and settings as the log
//! now says they are.

use crate::append::find;
use crate::{Store, StoreError};
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, ShedItem, effective};
use rusqlite::{Connection, Params, Row};
use std::collections::BTreeMap;

/// A bin as the log now describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct BinView {
    /// Its number.
    pub id: BinId,
    /// The description that holds: the latest in time, then in writing.
    pub description: BinDescription,
    /// Put away: no longer on the shelf.
    pub retired: bool,
    /// Time of its first description [s since 1970-01-01 00:00 UTC].
    pub made_at: i64,
    /// Last entry written about it.
    pub last_entry: EntryId,
}

/// The columns [`entry_from`] reads.
pub(crate) const ENTRY_COLUMNS: &str =
    "id, bin, at_unix_seconds, zone, written_unix_seconds, body, kind, engine_version";

impl Store {
    /// The entries about one bin, or (`None`) about none, as written and in
    /// the order written. [`engine::log::effective`] applies the corrections.
    ///
    /// # Errors
    /// When there is no such bin, or an entry cannot be read by this version
    /// (the error names it).
    pub fn entries(&self, bin: Option<BinId>) -> Result<Vec<Entry>, StoreError> {
        let found = select(&self.db, "bin IS ?1", [bin.map(|b| b.0)])?;
        match bin {
            Some(bin) if found.is_empty() => Err(StoreError::UnknownBin(bin)),
            _ => Ok(found),
        }
    }

    /// All entries, as written and in the order written.
    ///
    /// # Errors
    /// When an entry cannot be read by this version (the error names it).
    pub fn all_entries(&self) -> Result<Vec<Entry>, StoreError> {
        select(&self.db, "true", [])
    }

    /// One entry.
    ///
    /// # Errors
    /// When it is not there or cannot be read by this version.
    pub fn entry(&self, id: EntryId) -> Result<Entry, StoreError> {
        find(&self.db, id)
    }

    /// Number of the last entry written; `None` when there is none. While it is
    /// the same, so is everything else read from the log.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn last_id(&self) -> Result<Option<EntryId>, StoreError> {
        let last: Option<i64> = self
            .db
            .query_row("SELECT max(id) FROM entry", [], |r| r.get(0))?;
        Ok(last.map(EntryId))
    }

    /// Whether nothing was ever written.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn is_empty(&self) -> Result<bool, StoreError> {
        Ok(self.last_id()?.is_none())
    }

    /// All bins, retired ones too, by number.
    ///
    /// # Errors
    /// When an entry cannot be read by this version (the error names it).
    pub fn bins(&self) -> Result<Vec<BinView>, StoreError> {
        let mut bins: BTreeMap<BinId, BinView> = BTreeMap::new();
        for entry in self.standing("bin")? {
            let (Some(id), Body::Bin(description)) = (entry.bin, entry.body) else {
                continue;
            };
            let made_at = bins.get(&id).map_or(entry.at_unix_seconds, |b| b.made_at);
            let retired = description.retired;
            bins.insert(
                id,
                BinView {
                    id,
                    description,
                    retired,
                    made_at,
                    last_entry: entry.id,
                },
            );
        }
        let mut query = self
            .db
            .prepare_cached("SELECT bin, max(id) FROM entry WHERE bin IS NOT NULL GROUP BY bin")?;
        let mut rows = query.query([])?;
        while let Some(row) = rows.next()? {
            if let Some(bin) = bins.get_mut(&BinId(row.get(0)?)) {
                bin.last_entry = EntryId(row.get(1)?);
            }
        }
        Ok(bins.into_values().collect())
    }

    /// The shed: for each material the latest description in time, then in
    /// writing; by key. Items no longer there (`have: false`) are among them.
    ///
    /// # Errors
    /// When an entry cannot be read by this version (the error names it).
    pub fn shed(&self) -> Result<Vec<ShedItem>, StoreError> {
        let mut items = BTreeMap::new();
        for entry in self.standing("shed")? {
            if let Body::Shed(item) = entry.body {
                items.insert(item.material.clone(), item);
            }
        }
        Ok(items.into_values().collect())
    }

    /// The settings: for each name the latest value in time, then in writing.
    ///
    /// # Errors
    /// When an entry cannot be read by this version (the error names it).
    pub fn settings(&self) -> Result<BTreeMap<String, String>, StoreError> {
        let mut settings = BTreeMap::new();
        for entry in self.standing("setting")? {
            if let Body::Setting { name, value } = entry.body {
                settings.insert(name, value);
            }
        }
        Ok(settings)
    }

    /// The entries of one lasting kind that stand, corrections applied. Such an
    /// entry is only ever replaced by its own kind (`append.rs` sees to that),
    /// so no other kinds need be read.
    fn standing(&self, kind: &str) -> Result<Vec<Entry>, StoreError> {
        Ok(effective(&select(
            &self.db,
            "kind IN (?1, 'correction')",
            [kind],
        )?))
    }

    /// Every entry readable, every correction of an earlier entry of the same
    /// bin, every bin opened by a description.
    pub(crate) fn check_entries(&self) -> Result<(), StoreError> {
        let damaged = |id: EntryId, problem: &str| StoreError::Damaged {
            path: self.shown(),
            problem: format!("entry {} {problem}", id.0),
        };
        let mut seen: BTreeMap<EntryId, Option<BinId>> = BTreeMap::new();
        let mut opened: Vec<BinId> = Vec::new();
        for entry in self.all_entries()? {
            if let Body::Correction { corrects, .. } = entry.body
                && seen.get(&corrects) != Some(&entry.bin)
            {
                return Err(damaged(entry.id, "corrects no earlier entry of its bin"));
            }
            if let Some(bin) = entry.bin
                && !opened.contains(&bin)
            {
                if !matches!(entry.body, Body::Bin(_)) {
                    return Err(damaged(entry.id, "is about a bin not yet described"));
                }
                opened.push(bin);
            }
            seen.insert(entry.id, entry.bin);
        }
        Ok(())
    }
}

fn select(db: &Connection, which: &str, values: impl Params) -> Result<Vec<Entry>, StoreError> {
    let mut query = db.prepare_cached(&format!(
        "SELECT {ENTRY_COLUMNS} FROM entry WHERE {which} ORDER BY id"
    ))?;
    let mut rows = query.query(values)?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next()? {
        entries.push(entry_from(row)?);
    }
    Ok(entries)
}

/// An entry from a row of [`ENTRY_COLUMNS`].
pub(crate) fn entry_from(row: &Row<'_>) -> Result<Entry, StoreError> {
    let id = EntryId(row.get(0)?);
    let text: String = row.get(5)?;
    let body = match serde_json::from_str(&text) {
        Ok(body) => body,
        Err(error) => {
            return Err(StoreError::Unreadable {
                id,
                kind: row.get(6)?,
                engine_version: row.get(7)?,
                problem: error.to_string(),
            });
        }
    };
    Ok(Entry {
        id,
        bin: row.get::<_, Option<i64>>(1)?.map(BinId),
        at_unix_seconds: row.get(2)?,
        zone: row.get(3)?,
        written_unix_seconds: row.get(4)?,
        body,
    })
}
