//! What an import holds a file to: what every other door asks of an entry, and
//! that nothing in the log can no longer be used when all is in.

use super::against::{against, is_filling};
use super::log_in::fits;
use super::{Desk, DeskError};
use engine::bed::fill::Own;
use engine::estimate::left_out;
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, ShedItem, effective};
use engine::reading::doubt::{Past, doubts, shed_doubts};
use engine::reading::question::Question;
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
            let out = left_out(self.tables, &log, &own).map_err(DeskError::NoEstimate)?;
            unused.extend(out.into_iter().map(|l| l.entry));
        }
        let mut own_in_the_end = own.clone();
        let now = self.clock.unix_seconds();
        Ok(move |asked: Asked<'_>| match asked {
            Asked::Entry { new, sealed } => {
                // What this tool wrote by a clock that was ahead can be had back.
                let now = if sealed {
                    new.written_unix_seconds.max(now)
                } else {
                    now
                };
                super::moment::may_stand(new, now)?;
                let described = new.bin.and_then(|b| bins.get(&b));
                fits(self.tables, &own, described, &new.body).map_err(|e| e.to_string())?;
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

    /// What an import takes in unasked and every other door asks about, of what
    /// stands after entry `last`, a sentence each: fillings after what was done
    /// to the bed, sizes that a bin can hardly have, own values far from their
    /// material.
    ///
    /// # Errors
    /// [`DeskError`] when the store cannot be read.
    pub(crate) fn odd_since(&self, last: EntryId) -> Result<Vec<String>, DeskError> {
        let mut told = self.left_behind_since(last)?;
        told.extend(self.described_since(last)?);
        let own_from = told.len();
        let loose = self.store().entries(None)?;
        let new = loose.iter().filter(|e| e.id > last);
        for (entry, item) in new.filter_map(|e| Some((e.id, shed_item(&e.body)?))) {
            let why = self.told(&shed_doubts(self.tables, item)?);
            told.extend(why.map(|why| format!("entry {}, {}: {why}", entry.0, item.material)));
            if told.len() >= own_from + MOST_TOLD {
                break;
            }
        }
        Ok(told)
    }

    /// Questions as one text, in the keeper's units.
    fn told(&self, asked: &[Question]) -> Option<String> {
        let why = asked.iter().map(|q| q.text_in(self.system()));
        let why: Vec<String> = why.collect();
        (!why.is_empty()).then(|| why.join(" "))
    }

    /// Descriptions after entry `last` by which a bin has odd sizes, or could
    /// not hold what is in it.
    fn described_since(&self, last: EntryId) -> Result<Vec<String>, DeskError> {
        let own = self.own()?;
        let mut told = Vec::new();
        let bins = self.store().bins()?;
        for bin in bins {
            let written = self.store().entries(Some(bin.id))?;
            let stands = effective(&written);
            let mut before: Option<&BinDescription> = None;
            let mut odd = Vec::new();
            for entry in &written {
                let Some(new) = description_in(&entry.body) else {
                    continue;
                };
                if entry.id > last && odd.len() < MOST_TOLD {
                    let (log, at) = (&stands[..], entry.at_unix_seconds);
                    let body = Body::Bin(new.clone());
                    let past = Past { log, at };
                    let was = before.unwrap_or(new);
                    let asked = doubts(self.tables, &own, was, &past, &body)?;
                    odd.extend(self.told(&asked).map(|why| {
                        format!("entry {} describes bin {}: {why}", entry.id.0, bin.id.0)
                    }));
                }
                before = Some(new);
            }
            told.extend(odd);
        }
        Ok(told)
    }

    /// Fillings after entry `last`, and corrections that move one, past what
    /// was done to the bed.
    fn left_behind_since(&self, last: EntryId) -> Result<Vec<String>, DeskError> {
        let mut told = Vec::new();
        let bins = self.store().bins()?;
        for bin in bins {
            let written = self.store().entries(Some(bin.id))?;
            let fills = written.iter().enumerate();
            let fills = fills.filter(|(_, e)| e.id > last && fills_it(&e.body));
            for (n, entry) in fills.take(MOST_TOLD) {
                let before = written.iter().take(n).cloned().collect();
                let held = against(before, entry.at_unix_seconds, &entry.body);
                told.extend(held.left_behind().map(|odd| {
                    format!(
                        "entry {} {} the filling of bin {} to {}, {}",
                        entry.id.0,
                        if is_filling(&entry.body) {
                            "dates"
                        } else {
                            "moves"
                        },
                        bin.id.0,
                        self.clock.minute(held.at),
                        self.why_odd(odd)
                    )
                }));
            }
        }
        Ok(told)
    }

    /// All entries of a bin can be used, but for those that could not before.
    fn all_fit(&self, log: &[Entry], own: &Own, before: &BTreeSet<EntryId>) -> Result<(), Unfit> {
        let out = left_out(self.tables, &effective(log), own).map_err(|e| e.to_string())?;
        match out.into_iter().find(|l| !before.contains(&l.entry)) {
            Some(l) => Err(Unfit {
                entry: Some(l.entry),
                why: l.why.to_string(),
            }),
            None => Ok(()),
        }
    }
}

/// Most odd things of one bin, or of the shed, that are told of after an import.
const MOST_TOLD: usize = 3;

/// The shed item an entry, or a correction, describes.
fn shed_item(body: &Body) -> Option<&ShedItem> {
    match body {
        Body::Shed(item) => Some(item),
        Body::Correction {
            replacement: Some(new),
            ..
        } => shed_item(new),
        _ => None,
    }
}

fn fills_it(body: &Body) -> bool {
    match body {
        Body::Correction {
            replacement: Some(new),
            ..
        } => is_filling(new),
        body => is_filling(body),
    }
}

/// The keeper's own values as entries of the shed come by.
fn follow(own: &mut Own, body: &Body) {
    if let Some(item) = shed_item(body) {
        own.insert(item.material.clone(), item.own.clone());
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
