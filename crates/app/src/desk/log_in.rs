//! Writing in the log: what is unlikely is questioned before it is saved;
//! everything is checked.

use super::against::{Against, against};
use super::{Desk, DeskError, Given, setting};
use engine::bed::fill::Own;
use engine::estimate::usable;
use engine::living::species::Species;
use engine::log::{BinDescription, BinId, Body, Entry, EntryId, Measured, effective, possible};
use engine::reading::doubt::{Past, doubts, shed_doubts, undone};
use engine::reading::early::{Early, before_filled, begun_long_ago, early};
use engine::reading::instrument::Instrument;
use engine::reading::question::{Question, questions, unlikely_warmth};
use engine::table::Tables;
use std::collections::BTreeMap;

impl Desk {
    /// Questions an entry raises, none for most: about what it says, and about
    /// its time.
    ///
    /// # Errors
    /// [`DeskError`] when the instrument or bin is not known.
    fn questions(
        &self,
        bin: BinId,
        at: i64,
        new: &Body,
        confirmed: bool,
    ) -> Result<Vec<Question>, DeskError> {
        let description = self.description(bin)?;
        let written = self.store().entries(Some(bin))?;
        let back = brings_back(&written, new).or_else(|| strikes_the_first(&written, new));
        let before = effective(&written);
        let mut held = against(written, at, new);
        let Some(body) = held.said else {
            return Ok(back.into_iter().collect());
        };
        let own = self.own()?;
        // What the estimate leaves out counts for nothing here either.
        let counts = |e: &Entry| usable(self.tables, &own, Some(&description), &e.body).is_ok();
        held.rest.retain(counts);
        let at = held.at;
        let past = held.past();
        let mut asked = match body {
            Body::Reading(reading) if reading.what == Measured::Ph => {
                let instrument = Instrument::from_tables(self.tables, &reading.instrument)?;
                let asked = questions(&reading.spots, &instrument, None);
                // The estimate takes a second: it is worked out before the entry
                // is written only where it may raise a question.
                match confirmed || !asked.is_empty() {
                    true => asked,
                    false => {
                        let expected = self.bin(bin)?.estimate.as_ref().ok().map(|e| e.ph);
                        questions(&reading.spots, &instrument, expected)
                    }
                }
            }
            Body::Reading(r)
                if matches!(r.what, Measured::BeddingCelsius | Measured::AirCelsius) =>
            {
                unlikely_warmth(&r.spots).into_iter().collect()
            }
            body => doubts(self.tables, &own, &description, &past, body)?,
        };
        let far = |old: &Entry| (old.at_unix_seconds - at).abs() > FAR_SECONDS;
        let is_new = !matches!(new, Body::Correction { .. });
        let odd = match is_new || held.old.as_ref().is_some_and(far) {
            true => early(self.tables, &past, body)?,
            false => before_filled(&past, body),
        };
        let odd = odd.or_else(|| held.left_behind());
        asked.extend(odd.map(|odd| self.early(odd, at)));
        asked.extend(back);
        if asked.is_empty() && !confirmed {
            let before: Vec<Entry> = before.into_iter().filter(counts).collect();
            asked.extend(self.undone(&own, &before, &held)?);
        }
        Ok(self.in_units(asked))
    }

    /// Asks about the first entry of the log that would be too much for the bin
    /// with what an entry says.
    fn undone(
        &self,
        own: &Own,
        before: &[Entry],
        held: &Against<'_>,
    ) -> Result<Option<Question>, DeskError> {
        let Some((changed, after)) = held.with_it() else {
            return Ok(None);
        };
        let undone = undone(self.tables, own, before, &after, &changed)?;
        Ok(undone.map(|(entry, asked)| {
            let asked = asked.text_in(self.system());
            Question::InWords(format!("Entry {} would then be odd. {asked}", entry.0))
        }))
    }

    /// The last entry of the log.
    ///
    /// # Errors
    /// [`DeskError`] when the store cannot be read.
    pub(crate) fn last_entry(&self) -> Result<EntryId, DeskError> {
        let all = self.store().all_entries()?;
        Ok(all.iter().map(|e| e.id).max().unwrap_or(EntryId(0)))
    }

    /// How a bin is described.
    ///
    /// # Errors
    /// [`DeskError::NoBin`] when there is no such bin, or the log cannot be read.
    pub fn description(&self, bin: BinId) -> Result<BinDescription, DeskError> {
        let bins = self.store().bins()?;
        let found = bins.into_iter().find(|b| b.id == bin);
        Ok(found.ok_or(DeskError::NoBin(bin))?.description)
    }

    fn in_units(&self, asked: Vec<Question>) -> Vec<Question> {
        let system = self.system();
        asked.into_iter().map(|q| q.in_units_of(system)).collect()
    }

    /// What is odd about a time, with the date as it was understood.
    fn early(&self, odd: Early, at: i64) -> Question {
        let why = self.why_odd(odd);
        let at = self.clock.minute(at);
        Question::When { at, why }
    }

    pub(super) fn why_odd(&self, odd: Early) -> String {
        match odd {
            Early::BeforeFilled(from) => {
                format!("before the bin was filled ({})", self.clock.minute(from))
            }
            Early::LongBefore(last) => format!(
                "long before what was written last for this bin ({})",
                self.clock.minute(last)
            ),
            Early::LeavesBehind(entry, stood) => format!(
                "after entry {} ({}), which would then stand before the bin was filled and count for nothing",
                entry.0,
                self.clock.minute(stood)
            ),
        }
    }

    /// Questions that a new bin and its first entries raise, begun at `at`
    /// [s since 1970-01-01 00:00 UTC].
    ///
    /// # Errors
    /// [`DeskError`] when the store cannot be read.
    pub fn doubts(
        &self,
        bin: &BinDescription,
        first: &[Body],
        at: i64,
    ) -> Result<Vec<Question>, DeskError> {
        let described = Body::Bin(bin.clone());
        let own = self.own()?;
        let past = Past { log: &[], at };
        let mut asked = doubts(self.tables, &own, bin, &past, &described)?;
        for body in first {
            asked.extend(doubts(self.tables, &own, bin, &past, body)?);
        }
        if begun_long_ago(self.tables, at, self.clock.unix_seconds())? {
            let (at, why) = (self.clock.minute(at), "long ago for a new bin".to_owned());
            asked.push(Question::When { at, why });
        }
        Ok(self.in_units(asked))
    }

    /// Writes an entry. A reading that cannot be is refused; what is unlikely
    /// is refused with its questions unless a reading says it was confirmed.
    ///
    /// # Errors
    /// [`DeskError::Asked`] with the questions, or what is wrong with a value.
    pub fn write(
        &self,
        bin: Option<BinId>,
        at_unix_seconds: i64,
        body: Body,
    ) -> Result<EntryId, DeskError> {
        self.write_asked(bin, at_unix_seconds, body, false)
    }

    /// As [`Desk::write`]; with `confirmed` the keeper has said that it is
    /// right all the same.
    ///
    /// # Errors
    /// As [`Desk::write`].
    pub fn write_asked(
        &self,
        bin: Option<BinId>,
        at_unix_seconds: i64,
        body: Body,
        confirmed: bool,
    ) -> Result<EntryId, DeskError> {
        self.write_given(bin, at_unix_seconds, body, &Given::typed(confirmed))
    }

    /// As [`Desk::write_asked`], with the key of a form: what is given a second
    /// time writes nothing.
    ///
    /// # Errors
    /// As [`Desk::write`]; [`store::StoreError::Already`] or
    /// [`DeskError::Again`] for what was given before.
    pub fn write_given(
        &self,
        bin: Option<BinId>,
        at_unix_seconds: i64,
        body: Body,
        given: &Given,
    ) -> Result<EntryId, DeskError> {
        let new = self.new_entry(bin, at_unix_seconds, body);
        if let Some(bin) = bin
            && self.went_with_the_demo(bin)?
        {
            return Err(DeskError::PutAway(bin));
        }
        let described = bin.map(|b| self.description(b)).transpose()?;
        self.check_materials(described.as_ref(), &new.body)?;
        // A pH off the scale is a question with what was likely meant.
        let said = match &new.body {
            Body::Correction {
                replacement: Some(said),
                ..
            } => said,
            body => body,
        };
        if !matches!(said, Body::Reading(r) if r.what == Measured::Ph) {
            store::validate(&new.body)?;
        }
        self.check_once(&new, given)?;
        self.check_others_stay(&new)?;
        if let Some(bin) = bin {
            self.check_filled(bin, at_unix_seconds, &new.body)?;
            self.check_unlikely(bin, at_unix_seconds, &new.body, given.confirmed)?;
        }
        if let Body::Shed(item) = said {
            let asked = self.in_units(shed_doubts(self.tables, item)?);
            if !asked.is_empty() && !given.confirmed {
                return Err(DeskError::Asked(asked));
            }
        }
        self.write_once(new, given)
    }

    /// A reading of the bed must not be older than the bed. Air may be.
    fn check_filled(&self, bin: BinId, at: i64, body: &Body) -> Result<(), DeskError> {
        let (body, at) = match body {
            Body::Correction {
                replacement: Some(new),
                at_unix_seconds: Some(moved_to),
                ..
            } => (&**new, *moved_to),
            other => (other, at),
        };
        let is_of_the_bed = matches!(body, Body::Reading(r) if r.what != Measured::AirCelsius);
        if !is_of_the_bed {
            return Ok(());
        }
        let log = effective(&self.store().entries(Some(bin))?);
        let filled = log
            .iter()
            .filter(|e| matches!(e.body, Body::Filled { .. }))
            .map(|e| e.at_unix_seconds)
            .min();
        match filled {
            Some(from) if at < from => Err(DeskError::BeforeFilled {
                at: self.clock.minute(at),
                from: self.clock.minute(from),
                to: self.clock.minute(self.clock.unix_seconds()),
            }),
            _ => Ok(()),
        }
    }

    fn check_unlikely(
        &self,
        bin: BinId,
        at: i64,
        body: &Body,
        confirmed: bool,
    ) -> Result<(), DeskError> {
        let confirmed = confirmed || says_confirmed(body);
        let asked = self.questions(bin, at, body, confirmed)?;
        if asked.iter().any(Question::refuses) || (!asked.is_empty() && !confirmed) {
            return Err(DeskError::Asked(asked));
        }
        Ok(())
    }

    /// Every material named must be in the tables, every amount must fit it
    /// and can have been in the bin, and food must be food: what is taken in
    /// can be used.
    pub(crate) fn check_materials(
        &self,
        bin: Option<&BinDescription>,
        body: &Body,
    ) -> Result<(), DeskError> {
        fits(self.tables, &self.own()?, bin, body)
    }
}

/// A reading keeps that the keeper was asked and said it stands.
fn says_confirmed(body: &Body) -> bool {
    match body {
        Body::Reading(r) => r.confirmed,
        Body::Correction {
            replacement: Some(new),
            ..
        } => says_confirmed(new),
        _ => false,
    }
}

/// The question whether a correction is to bring back what was struck out.
fn brings_back(written: &[Entry], body: &Body) -> Option<Question> {
    let Body::Correction {
        corrects,
        replacement: Some(_),
        ..
    } = body
    else {
        return None;
    };
    let (first, struck) = corrected(written);
    let of = first.get(corrects).copied().unwrap_or(*corrects);
    struck.get(&of).map(|by| {
        Question::InWords(format!(
            "Entry {} was struck out by entry {}, so it counts for nothing. This correction would bring it back, saying what is written here. Is it to be brought back?",
            corrects.0, by.0
        ))
    })
}

/// Of each correction the entry it is of in the end; and by which entry those are
/// struck out that are.
fn corrected(written: &[Entry]) -> (BTreeMap<EntryId, EntryId>, BTreeMap<EntryId, EntryId>) {
    let mut first: BTreeMap<EntryId, EntryId> = BTreeMap::new();
    let mut struck: BTreeMap<EntryId, EntryId> = BTreeMap::new();
    for entry in written {
        if let Body::Correction {
            corrects,
            replacement,
            ..
        } = &entry.body
        {
            let of = first.get(corrects).copied().unwrap_or(*corrects);
            first.insert(entry.id, of);
            match replacement {
                Some(_) => struck.remove(&of),
                None => struck.insert(of, entry.id),
            };
        }
    }
    (first, struck)
}

/// The question whether striking a correction is meant: it strikes out what was
/// corrected, and brings nothing back.
fn strikes_the_first(written: &[Entry], body: &Body) -> Option<Question> {
    let Body::Correction {
        corrects,
        replacement: None,
        ..
    } = body
    else {
        return None;
    };
    let (first, struck) = corrected(written);
    let of = first.get(corrects)?;
    let asked = if struck.contains_key(of) {
        format!(
            "Entry {} is struck out already, and striking entry {} does not bring it back: to have it again, correct entry {0}. Is it to be struck out once more?",
            of.0, corrects.0
        )
    } else {
        format!(
            "Entry {} corrects entry {}: striking it strikes out both, and does not bring back what entry {1} said before; for that, correct entry {1}. Are both to be struck out?",
            corrects.0, of.0
        )
    };
    Some(Question::InWords(asked))
}

/// A correction that moves an entry by no more than this mends an hour or a
/// day, and how long ago that is is not asked about [s].
const FAR_SECONDS: i64 = 30 * 86_400;

/// Whether an entry about a bin can be used with these own values: asked at every door,
/// import too.
///
/// # Errors
/// [`DeskError`] naming what cannot be used and why.
pub fn fits(
    tables: &Tables,
    own: &Own,
    bin: Option<&BinDescription>,
    body: &Body,
) -> Result<(), DeskError> {
    store::plain_text(body)?;
    match body {
        Body::Correction {
            replacement: Some(new),
            ..
        } => fits(tables, own, bin, new),
        body => {
            usable(tables, own, bin, body)?;
            possible(tables, body)?;
            match body {
                Body::Feeding { parts } => Ok(engine::ration::may_be_fed(tables, parts)?),
                Body::Setting { name, value } => {
                    setting::may_stand(name, value).map_err(DeskError::Unreadable)
                }
                Body::WormsIn { species, .. } => known(species),
                _ => Ok(()),
            }
        }
    }
}

/// Worms of no species, or of one the tables know by its stable name.
fn known(species: &str) -> Result<(), DeskError> {
    let names: Vec<&str> = Species::ALL.iter().map(|s| s.name()).collect();
    if species.is_empty() || names.contains(&species) {
        return Ok(());
    }
    Err(DeskError::Unreadable(format!(
        "species `{}` is not one of {}",
        engine::echo(species),
        names.join(", ")
    )))
}
