//! What corrections lead to, and which bins are left with a description: known
//! once while entries are written, and not found anew for each.

use crate::StoreError;
use crate::health::readable;
use crate::seal::COLUMNS;
use engine::log::{BinId, Body, EntryId};
use rusqlite::{Connection, params};
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

/// What is known of the entries written so far.
#[derive(Debug, Default)]
pub(crate) struct Known {
    /// The entry at the far end of each correction followed so far: a chain is
    /// followed once, and not again from each of its links.
    pub(crate) roots: BTreeMap<EntryId, EntryId>,
    /// Of each bin asked about so far, its descriptions.
    bins: BTreeMap<BinId, Described>,
}

impl Known {
    /// An entry was written.
    pub(crate) fn follow(&mut self, id: EntryId, bin: Option<BinId>, body: &Body) {
        if let Some(described) = bin.and_then(|bin| self.bins.get_mut(&bin)) {
            described.take(id, body);
        }
    }

    /// Whether a bin has a description left when the one written by `root` is
    /// struck.
    pub(crate) fn keeps_a_description(
        &mut self,
        tx: &Connection,
        bin: BinId,
        root: EntryId,
    ) -> Result<bool, StoreError> {
        let described = match self.bins.entry(bin) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => new.insert(Described::read(tx, bin)?),
        };
        Ok(described.standing.iter().take(2).any(|id| *id != root))
    }
}

/// The descriptions of one bin, corrections applied as
/// [`engine::log::effective`] does.
#[derive(Debug, Default)]
struct Described {
    /// All written.
    written: BTreeSet<EntryId>,
    /// Those not struck.
    standing: BTreeSet<EntryId>,
    /// The description each correction is of.
    of: BTreeMap<EntryId, EntryId>,
}

impl Described {
    fn read(tx: &Connection, bin: BinId) -> Result<Self, StoreError> {
        let mut query = tx.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM entry WHERE bin = ?1 AND kind IN ('bin', 'correction') ORDER BY id"
        ))?;
        let mut rows = query.query(params![bin.0])?;
        let mut found = Self::default();
        while let Some(row) = rows.next()? {
            // One that cannot be read describes nothing.
            if let Ok((record, body)) = readable(row) {
                found.take(EntryId(record.id), &body);
            }
        }
        Ok(found)
    }

    fn take(&mut self, id: EntryId, body: &Body) {
        match body {
            Body::Bin(_) => {
                self.written.insert(id);
                self.standing.insert(id);
            }
            Body::Correction {
                corrects,
                replacement,
                ..
            } => {
                let root = self.of.get(corrects).copied().unwrap_or(*corrects);
                self.of.insert(id, root);
                match replacement.as_deref() {
                    Some(Body::Bin(_)) if self.written.contains(&root) => {
                        self.standing.insert(root);
                    }
                    _ => {
                        self.standing.remove(&root);
                    }
                }
            }
            _ => {}
        }
    }
}
