//! Writing in the log: what is unlikely is questioned before it is saved;
//! everything is checked.

use super::{Desk, DeskError};
use engine::bed::fill::Own;
use engine::estimate::usable;
use engine::log::{BinDescription, BinId, Body, EntryId, Measured};
use engine::reading::doubt::doubts;
use engine::reading::instrument::Instrument;
use engine::reading::question::{Question, questions, unlikely_warmth};
use engine::table::Tables;
use store::New;

impl Desk {
    /// Questions a new entry raises, none for most.
    ///
    /// # Errors
    /// [`DeskError`] when the instrument or bin is not known.
    pub fn questions(&self, bin: BinId, body: &Body) -> Result<Vec<Question>, DeskError> {
        match body {
            Body::Reading(reading) if reading.what == Measured::Ph => {
                let instrument = Instrument::from_tables(&self.tables, &reading.instrument)?;
                let expected = self.bin(bin)?.estimate.as_ref().ok().map(|e| e.ph);
                Ok(questions(&reading.spots, &instrument, expected))
            }
            Body::Reading(r)
                if matches!(r.what, Measured::BeddingCelsius | Measured::AirCelsius) =>
            {
                Ok(unlikely_warmth(&r.spots).into_iter().collect())
            }
            Body::Feeding { .. }
            | Body::Filled { .. }
            | Body::BeddingAdded { .. }
            | Body::Water { .. }
            | Body::WormsIn { .. }
            | Body::Observation { .. } => {
                self.doubts(&self.bin(bin)?.description, std::slice::from_ref(body))
            }
            _ => Ok(Vec::new()),
        }
    }

    /// Questions that first entries raise about a bin so described.
    ///
    /// # Errors
    /// [`DeskError`] when the store cannot be read.
    pub fn doubts(
        &self,
        bin: &BinDescription,
        bodies: &[Body],
    ) -> Result<Vec<Question>, DeskError> {
        let own = self.own()?;
        let mut asked = Vec::new();
        for body in bodies {
            asked.extend(doubts(&self.tables, &own, bin, body)?);
        }
        Ok(asked)
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
        self.check_materials(&body)?;
        if let Some(bin) = bin {
            self.check_unlikely(bin, &body, confirmed)?;
            self.check_filled(bin, at_unix_seconds, &body)?;
        }
        let correcting = match &body {
            Body::Correction {
                replacement: Some(new),
                ..
            } => bin.map(|b| (b, (**new).clone())),
            _ => None,
        };
        if let Some((bin, new)) = correcting {
            self.check_unlikely(bin, &new, confirmed)?;
        }
        let written_unix_seconds = self.clock.unix_seconds();
        Ok(self.store().append(New {
            bin,
            at_unix_seconds,
            zone: self.clock.zone_name(),
            written_unix_seconds,
            body,
        })?)
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
        let log = engine::log::effective(&self.store().entries(Some(bin))?);
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

    fn check_unlikely(&self, bin: BinId, body: &Body, confirmed: bool) -> Result<(), DeskError> {
        let asked = self.questions(bin, body)?;
        let confirmed = match body {
            Body::Reading(r) => r.confirmed,
            _ => confirmed,
        };
        if asked.iter().any(Question::refuses) || (!asked.is_empty() && !confirmed) {
            return Err(DeskError::Asked(asked));
        }
        Ok(())
    }

    /// Every material named must be in the tables, every amount must fit it,
    /// and food must be food: what is taken in can be used.
    pub(crate) fn check_materials(&self, body: &Body) -> Result<(), DeskError> {
        fits(&self.tables, &self.own()?, body)
    }
}

/// Whether an entry can be used with these own values: asked at every door,
/// import too.
///
/// # Errors
/// [`DeskError`] naming what cannot be used and why.
pub fn fits(tables: &Tables, own: &Own, body: &Body) -> Result<(), DeskError> {
    match body {
        Body::Correction {
            replacement: Some(new),
            ..
        } => fits(tables, own, new),
        body => {
            usable(tables, own, body)?;
            match body {
                Body::Feeding { parts } => Ok(engine::ration::may_be_fed(tables, parts)?),
                _ => Ok(()),
            }
        }
    }
}
