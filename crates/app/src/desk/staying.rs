//! What was taken in stays of use: an entry that would keep an earlier one from
//! being used is refused.

use super::{Desk, DeskError};
use engine::bed::fill::Own;
use engine::estimate::{LeftOut, left_out};
use engine::log::{BinId, Body, Entry, EntryId, effective};
use store::New;

impl Desk {
    /// Own values, and the sizes of a bin corrected or struck, are read by every
    /// entry of a bin, also by those written before.
    pub(super) fn check_others_stay(&self, new: &New) -> Result<(), DeskError> {
        match (&new.body, new.bin) {
            (Body::Shed(item), _) => {
                let own = self.own()?;
                let mut with = own.clone();
                with.insert(item.material.clone(), item.own.clone());
                let bins = self.store().bins()?;
                bins.iter().try_for_each(|bin| {
                    let log = effective(&self.store().entries(Some(bin.id))?);
                    self.stay(bin.id, (&log, &own), (&log, &with))
                })
            }
            (Body::Bin(_) | Body::Correction { .. }, Some(bin)) => {
                let own = self.own()?;
                let mut written = self.store().entries(Some(bin))?;
                let before = effective(&written);
                written.push(as_next(new));
                self.stay(bin, (&before, &own), (&effective(&written), &own))
            }
            _ => Ok(()),
        }
    }

    /// What could be used before can be used after.
    fn stay(
        &self,
        bin: BinId,
        before: (&[Entry], &Own),
        after: (&[Entry], &Own),
    ) -> Result<(), DeskError> {
        let of = |(log, own): (&[Entry], &Own)| -> Result<Vec<LeftOut>, DeskError> {
            left_out(self.tables, log, own).map_err(DeskError::NoEstimate)
        };
        let was = of(before)?;
        let lost = of(after)?.into_iter();
        let mut lost = lost.filter(|l| was.iter().all(|w| w.entry != l.entry));
        lost.next().map_or(Ok(()), |LeftOut { entry, why }| {
            Err(DeskError::LeavesOut { bin, entry, why })
        })
    }

    /// Whether a bin was put away.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn is_put_away(&self, bin: BinId) -> Result<bool, DeskError> {
        let bins = self.store().bins()?;
        Ok(bins.iter().any(|b| b.id == bin && b.retired))
    }

    /// Whether a bin is one of the invented ones, and was put away.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn went_with_the_demo(&self, bin: BinId) -> Result<bool, DeskError> {
        if !self.is_put_away(bin)? {
            return Ok(false);
        }
        let first = self.store().entries(Some(bin))?.first().map(|e| e.id);
        let invented = self.store().demo_entries()?;
        Ok(first.is_some_and(|id| invented.contains(&id)))
    }
}

/// An entry as the next of the log.
fn as_next(new: &New) -> Entry {
    Entry {
        id: EntryId(i64::MAX),
        bin: new.bin,
        at_unix_seconds: new.at_unix_seconds,
        zone: new.zone.clone(),
        written_unix_seconds: new.written_unix_seconds,
        body: new.body.clone(),
    }
}
