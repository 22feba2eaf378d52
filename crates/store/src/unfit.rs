//! Whether what an import adds can be used, asked of those who know: entry by
//! entry, and, once all are in, of the logs as they then are.

use crate::health::readable;
use crate::seal::COLUMNS;
use crate::{New, StoreError};
use engine::log::{BinId, Body, Entry, EntryId};
use rusqlite::{Connection, params};
use std::collections::{BTreeMap, BTreeSet};

/// What is asked about.
#[derive(Debug)]
#[non_exhaustive]
pub enum Asked<'a> {
    /// An entry that is to be added.
    Entry {
        /// The entry.
        new: &'a New,
        /// Its line carries the checksum it was written with.
        sealed: bool,
    },
    /// All entries as written about one bin or, first of all, about none, with
    /// those that are to be added. Asked only where an entry added can change
    /// what others mean.
    Log(Option<BinId>, &'a [Entry]),
}

/// What cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unfit {
    /// The entry, where a whole log was asked about.
    pub entry: Option<EntryId>,
    /// What is wrong with it.
    pub why: String,
}

impl From<String> for Unfit {
    fn from(why: String) -> Self {
        Self { entry: None, why }
    }
}

/// Whether it can be used; else what keeps it from being used. The tables that
/// tell are not this crate's.
pub type Fits<'f> = &'f mut dyn FnMut(Asked<'_>) -> Result<(), Unfit>;

/// Where in the file the entries added stand.
#[derive(Debug, Default)]
pub(crate) struct Lines {
    /// Number of the entry, and its line; both rise.
    of: Vec<(i64, u64)>,
    /// Line of the last entry, by bin, that can change what others mean.
    last: BTreeMap<Option<BinId>, u64>,
}

impl Lines {
    /// An entry was added.
    pub(crate) fn put(&mut self, id: i64, new: &New, line: u64) {
        self.of.push((id, line));
        if matches!(
            new.body,
            Body::Bin(_) | Body::Shed(_) | Body::Correction { .. }
        ) {
            self.last.insert(new.bin, line);
        }
    }

    /// All that was added can be used, and all that was there as before.
    pub(crate) fn fit(&self, tx: &Connection, fits: Fits<'_>) -> Result<(), StoreError> {
        let ours = |bin: &BinId| self.last.contains_key(&Some(*bin));
        let shed = self.last.contains_key(&None);
        if shed {
            self.asked(tx, None, fits)?;
        }
        let bins = bins(tx)?.into_iter().filter(|bin| shed || ours(bin));
        for bin in bins {
            self.asked(tx, Some(bin), fits)?;
        }
        Ok(())
    }

    fn asked(&self, tx: &Connection, bin: Option<BinId>, fits: Fits<'_>) -> Result<(), StoreError> {
        fits(Asked::Log(bin, &entries(tx, bin)?)).map_err(|unfit| self.told(bin, unfit))
    }

    /// By the line of the entry or, of one that was there before, of the last
    /// that changed what it means.
    fn told(&self, bin: Option<BinId>, unfit: Unfit) -> StoreError {
        let id = unfit.entry.map_or(0, |entry| entry.0);
        let own = self.of.binary_search_by_key(&id, |(id, _)| *id);
        let (what, line) = match own.ok().and_then(|at| self.of.get(at)) {
            Some((_, line)) => (
                "entry cannot be used with what the file says later:".to_owned(),
                Some(*line),
            ),
            None => (
                format!("entry {id} of the log could no longer be used with this:"),
                self.last.get(&bin).max(self.last.get(&None)).copied(),
            ),
        };
        StoreError::invalid(what, unfit.why).at_line(line.unwrap_or(1))
    }
}

fn bins(tx: &Connection) -> Result<BTreeSet<BinId>, StoreError> {
    let mut query = tx.prepare("SELECT DISTINCT bin FROM entry WHERE bin IS NOT NULL")?;
    let bins = query.query_map([], |r| Ok(BinId(r.get(0)?)))?;
    Ok(bins.collect::<Result<_, _>>()?)
}

/// The entries about one bin or none that can be read.
fn entries(tx: &Connection, bin: Option<BinId>) -> Result<Vec<Entry>, StoreError> {
    let mut query = tx.prepare(&format!(
        "SELECT {COLUMNS} FROM entry WHERE bin IS ?1 ORDER BY id"
    ))?;
    let mut rows = query.query(params![bin.map(|b| b.0)])?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next()? {
        if let Ok((record, body)) = readable(row) {
            entries.push(record.entry(body));
        }
    }
    Ok(entries)
}
