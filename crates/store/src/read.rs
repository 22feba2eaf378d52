//! The way out: entries as written, and bins, shed and settings as the log
//! now says they are.

use crate::admit::{bin_is_known, find};
use crate::health::{known_lost, readable};
use crate::seal::COLUMNS;
use crate::{Store, StoreError};
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, ShedItem, effective};
use rusqlite::{Connection, OptionalExtension, Params};
use std::collections::{BTreeMap, BTreeSet};

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

/// Which log this is and how far it goes: while it is the same, so is
/// everything else read from the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mark {
    /// Number of the last entry; `None` when there is none.
    pub last: Option<EntryId>,
    /// Checksum of that entry, its place and device among what is summed.
    pub checksum: i64,
}

impl Store {
    /// The entries about one bin, or (`None`) about none, as written and in
    /// the order written. [`engine::log::effective`] applies the corrections.
    ///
    /// # Errors
    /// When there is no such bin, or the file cannot be read.
    pub fn entries(&self, bin: Option<BinId>) -> Result<Vec<Entry>, StoreError> {
        let found = self.select("bin IS ?1", [bin.map(|b| b.0)])?;
        match bin {
            Some(bin) if found.is_empty() && !bin_is_known(self.reading()?, bin)? => {
                Err(StoreError::UnknownBin(bin))
            }
            _ => Ok(found),
        }
    }

    /// All entries, as written and in the order written.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn all_entries(&self) -> Result<Vec<Entry>, StoreError> {
        self.select("true", [])
    }

    /// One entry.
    ///
    /// # Errors
    /// When it is not there or cannot be read by this version.
    pub fn entry(&self, id: EntryId) -> Result<Entry, StoreError> {
        find(self.reading()?, id)
    }

    /// Number of the last entry written; `None` when there is none. While it is
    /// the same, so is everything else read from the log.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn last_id(&self) -> Result<Option<EntryId>, StoreError> {
        Ok(self.mark()?.last)
    }

    /// The latest time anything was written down [s since 1970-01-01 00:00 UTC];
    /// `None` in an empty log.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn written_last(&self) -> Result<Option<i64>, StoreError> {
        let latest = "SELECT max(written_unix_seconds) FROM entry";
        Ok(self.reading()?.query_row(latest, [], |r| r.get(0))?)
    }

    /// Which log this is and how far it goes.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn mark(&self) -> Result<Mark, StoreError> {
        Ok(mark_of(self.reading()?)?)
    }

    /// The entries written as part of an invented shelf.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn demo_entries(&self) -> Result<BTreeSet<EntryId>, StoreError> {
        let mut query = self
            .reading()?
            .prepare_cached("SELECT id FROM entry WHERE demo = 1")?;
        let ids = query.query_map([], |r| Ok(EntryId(r.get(0)?)))?;
        Ok(ids.collect::<Result<_, _>>()?)
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
    /// When the file cannot be read.
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
            .reading()?
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
    /// When the file cannot be read.
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
    /// When the file cannot be read.
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
        Ok(effective(
            &self.select("kind IN (?1, 'correction')", [kind])?,
        ))
    }

    /// Every correction of an earlier entry of the same bin, every bin opened
    /// by a description; unless entries are known to be lost, as after a
    /// rescue, when it may have been those.
    pub(crate) fn check_entries(&self) -> Result<(), StoreError> {
        if !known_lost(self.reading()?)?.is_empty() {
            return Ok(());
        }
        let damaged = |id: EntryId, problem: &str| {
            StoreError::damaged(&self.shown(), format!("entry {} {problem}", id.0))
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

    /// The entries of which `which` holds, in the order written. One that
    /// cannot be read is left out, and known from then on.
    fn select(&self, which: &str, values: impl Params) -> Result<Vec<Entry>, StoreError> {
        // The indices of a damaged file may leave out an entry.
        let how = match self.health.borrow().damage.is_empty() {
            true => "",
            false => "NOT INDEXED",
        };
        let mut query = self.reading()?.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM entry {how} WHERE {which} ORDER BY id"
        ))?;
        let mut rows = query.query(values)?;
        let mut entries = Vec::new();
        while let Some(row) = rows
            .next()
            .map_err(|e| StoreError::from(e).about(&self.shown()))?
        {
            match readable(row) {
                Ok((record, body)) => entries.push(record.entry(body)),
                Err(flaw) => self.met(flaw),
            }
        }
        Ok(entries)
    }
}

/// How far the log in a file goes.
pub(crate) fn mark_of(db: &Connection) -> rusqlite::Result<Mark> {
    let mut query = db.prepare_cached("SELECT id, checksum FROM entry ORDER BY id DESC LIMIT 1")?;
    let last = query.query_row([], |r| {
        Ok(Mark {
            last: Some(EntryId(r.get(0)?)),
            checksum: r.get(1)?,
        })
    });
    Ok(last.optional()?.unwrap_or_default())
}
