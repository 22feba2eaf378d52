//! How an entry is given, and how the same, given twice, is met: a form's
//! one-time key writes once, and what was written within the last minute, by
//! another form or by a command, is asked about.

use super::{Desk, DeskError};
use engine::log::{BinDescription, BinId, Body, EntryId};
use engine::reading::early::after_silence;
use engine::reading::question::Question;
use store::{New, NewBin, StoreError};

/// What goes along with an entry.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Given {
    /// The keeper said that it is right all the same.
    pub confirmed: bool,
    /// The one-time key of the form it comes from.
    pub once: Option<String>,
}

impl Given {
    /// Without a key, as commands give it.
    #[must_use]
    pub fn typed(confirmed: bool) -> Self {
        Self {
            confirmed,
            once: None,
        }
    }
}

/// Seconds within which the same, given again, is asked about.
const LATELY: i64 = 60;

/// Within how many seconds an entry is not to be written again [s]; `None`
/// when it may.
fn not_again(body: &Body, given: &Given) -> Option<i64> {
    // A setting set twice is the same setting.
    let may = given.confirmed || matches!(body, Body::Setting { .. });
    (!may).then_some(LATELY)
}

impl Desk {
    /// Writes an entry that was checked. Whether it was given before is asked
    /// once more as it is written: another may have come at the same moment.
    pub(super) fn write_once(&self, new: New, given: &Given) -> Result<EntryId, DeskError> {
        let not_again = not_again(&new.body, given);
        let new = new.once(given.once.clone()).not_again(not_again);
        Ok(self.store().append(new)?)
    }

    /// An entry as it goes to the store, written down now.
    pub(super) fn new_entry(&self, bin: Option<BinId>, at: i64, body: Body) -> New {
        New::at(at, self.clock.zone_name(), body)
            .about(bin)
            .written(self.clock.unix_seconds())
    }

    /// Refuses what was given before.
    pub(super) fn check_once(&self, new: &New, given: &Given) -> Result<(), DeskError> {
        // Looked for before its key is: one that is being written at this
        // moment under this very key is then known by its key.
        let again = self.given_lately(new, given)?;
        if let Some(key) = &given.once
            && let Some(entry) = self.store().written_by(key)?
        {
            return Err(StoreError::Already { entry }.into());
        }
        if let Some(entry) = again {
            return Err(DeskError::Again { entry });
        }
        self.check_clock(new, given)
    }

    /// Asks whether the clock is right where nothing was written for very long:
    /// what one that is ahead writes stands behind all that comes after.
    fn check_clock(&self, new: &New, given: &Given) -> Result<(), DeskError> {
        if given.confirmed || matches!(new.body, Body::Setting { .. }) {
            return Ok(());
        }
        let now = self.clock.unix_seconds();
        let last = self.store().written_last()?;
        match last {
            Some(last) if after_silence(self.tables, last, now)? => {
                let at = format!("{} by the clock of this machine", self.clock.minute(now));
                let why = format!(
                    "long after what was written last in this log ({})",
                    self.clock.minute(last)
                );
                Err(DeskError::Asked(vec![Question::When { at, why }]))
            }
            _ => Ok(()),
        }
    }

    /// The entry that said the same within the last minute, where the keeper
    /// has not said that it is right.
    fn given_lately(&self, new: &New, given: &Given) -> Result<Option<EntryId>, DeskError> {
        if not_again(&new.body, given).is_none() {
            return Ok(None);
        }
        Ok(self.store().lately(new, LATELY)?)
    }

    /// Makes a bin with its first entries, all or none. The number of its
    /// description comes first.
    ///
    /// # Errors
    /// [`DeskError::Asked`] about what is unlikely, [`DeskError::Again`] when a
    /// bin of this name and size was made within the last minute, or what is
    /// wrong with a value; then there is no new bin.
    pub fn add_bin(
        &self,
        description: BinDescription,
        first: Vec<Body>,
        at: i64,
        given: &Given,
    ) -> Result<(BinId, Vec<EntryId>), DeskError> {
        // What cannot be is refused before what is odd is asked about.
        store::validate(&Body::Bin(description.clone()))?;
        for body in &first {
            self.check_materials(Some(&description), body)?;
            store::validate(body)?;
        }
        self.check_bin_once(&description, at, given)?;
        let doubts = self.doubts(&description, &first, at)?;
        if !doubts.is_empty() && !given.confirmed {
            return Err(DeskError::Asked(doubts));
        }
        let new = |body| self.new_entry(None, at, body);
        let bin = NewBin {
            description: new(Body::Bin(description))
                .once(given.once.clone())
                .not_again((!given.confirmed).then_some(LATELY)),
            entries: first.into_iter().map(new).collect(),
        };
        Ok(self.store().create(bin)?)
    }

    fn check_bin_once(
        &self,
        new: &BinDescription,
        at: i64,
        given: &Given,
    ) -> Result<(), DeskError> {
        let size = |b: &BinDescription| [b.length_cm, b.width_cm, b.depth_cm];
        let alike = |b: &BinDescription| b.name == new.name && size(b) == size(new);
        let entry =
            |bin, description: BinDescription| self.new_entry(bin, at, Body::Bin(description));
        self.check_once(&entry(None, new.clone()), given)?;
        let bins = self.store().bins()?;
        for bin in bins.into_iter().filter(|b| alike(&b.description)) {
            self.check_once(&entry(Some(bin.id), bin.description), given)?;
        }
        Ok(())
    }
}
