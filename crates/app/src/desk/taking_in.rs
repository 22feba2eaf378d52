//! What an import holds a file to: what every other door asks of an entry, and
//! that nothing in the log can no longer be used when all is in.

use super::log_in::fits;
use super::{Desk, DeskError};
use engine::bed::fill::Own;
use engine::estimate::left_out;
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, effective};
use std::collections::{BTreeMap, BTreeSet};
use store::{Asked, Unfit};

impl Desk {
    /// What an import holds each entry to: as at every other door, what it
    /// says, with the own values given by then, its zone and its times; and in
    /// the end each bin, with the own values and sizes that then hold.
    pub(crate) fn for_import(
        &self,
    ) -> Result<impl FnMut(Asked<'_>) -> Result<(), Unfit> + '_, DeskError> {
        let mut own = self.own()?;
        let there = self.store().bins()?.into_iter();
        let mut bins: BTreeMap<BinId, BinDescription> =
            there.map(|b| (b.id, b.description)).collect();
        let mut unused = BTreeSet::new();
        for bin in bins.keys() {
            let log = effective(&self.store().entries(Some(*bin))?);
            let out = left_out(&self.tables, &log, &own).map_err(DeskError::NoEstimate)?;
            unused.extend(out.into_iter().map(|l| l.entry));
        }
        let mut own_in_the_end = own.clone();
        let now = self.clock.unix_seconds();
        Ok(move |asked: Asked<'_>| match asked {
            Asked::Entry(new) => {
                super::moment::may_stand(new, now)?;
                let described = new.bin.and_then(|b| bins.get(&b));
                fits(&self.tables, &own, described, &new.body).map_err(|e| e.to_string())?;
                follow(&mut own, &new.body);
                if let (Some(bin), Some(described)) = (new.bin, description_in(&new.body)) {
                    bins.insert(bin, described.clone());
                }
                Ok(())
            }
            Asked::Log(None, log) => {
                own_in_the_end.clear();
                effective(log)
                    .iter()
                    .for_each(|e| follow(&mut own_in_the_end, &e.body));
                Ok(())
            }
            Asked::Log(Some(_), log) => self.all_fit(log, &own_in_the_end, &unused),
            _ => Ok(()),
        })
    }

    /// All entries of a bin can be used, but for those that could not before.
    fn all_fit(&self, log: &[Entry], own: &Own, before: &BTreeSet<EntryId>) -> Result<(), Unfit> {
        let out = left_out(&self.tables, &effective(log), own).map_err(|e| e.to_string())?;
        match out.into_iter().find(|l| !before.contains(&l.entry)) {
            Some(l) => Err(Unfit {
                entry: Some(l.entry),
                why: l.why.to_string(),
            }),
            None => Ok(()),
        }
    }
}

/// The keeper's own values as entries of the shed come by.
fn follow(own: &mut Own, body: &Body) {
    match body {
        Body::Shed(item) => {
            own.insert(item.material.clone(), item.own.clone());
        }
        Body::Correction {
            replacement: Some(new),
            ..
        } => follow(own, new),
        _ => {}
    }
}

/// The bin as an entry, or a correction, describes it.
fn description_in(body: &Body) -> Option<&BinDescription> {
    match body {
        Body::Bin(bin) => Some(bin),
        Body::Correction {
            replacement: Some(new),
            ..
        } => description_in(new),
        _ => None,
    }
}
