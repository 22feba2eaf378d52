//! Writing in the log: what is unlikely is questioned before it is saved;
//! everything is checked.

use super::{Desk, DeskError};
use engine::log::{BinDescription, BinId, Body, EntryId, Measured};
use engine::reading::doubt::doubts;
use engine::reading::instrument::Instrument;
use engine::reading::question::{Question, questions, unlikely_warmth};
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
        let new = New::at(at_unix_seconds, self.clock.zone_name(), body)
            .about(bin)
            .written(written_unix_seconds);
        Ok(self.store().append(new)?)
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

    /// Every material named must be in the tables, and every amount must fit it.
    pub(crate) fn check_materials(&self, body: &Body) -> Result<(), DeskError> {
        let own = self.own()?;
        match body {
            Body::Filled { parts } => {
                engine::bed::fill::ready_bed(&self.tables, parts, &own)?;
            }
            Body::BeddingAdded { parts } => {
                engine::bed::fill::ready(&self.tables, parts, &own)?;
            }
            Body::Feeding { parts } => {
                engine::bed::fill::ready(&self.tables, parts, &own)?;
                engine::ration::may_be_fed(&self.tables, parts)?;
            }
            Body::Dose(d) => {
                self.tables.product(&d.material)?;
                let material = self.tables.material(&d.material)?;
                d.amount.grams(material, &self.tables)?;
            }
            Body::JarTest(t) => {
                self.tables.product(&t.material)?;
                self.tables.instrument(&t.instrument)?;
            }
            Body::Shed(item) => {
                self.shed_item_fits(item)?;
            }
            Body::Correction {
                replacement: Some(new),
                ..
            } => self.check_materials(new)?,
            _ => {}
        }
        Ok(())
    }

    fn shed_item_fits(&self, item: &engine::log::ShedItem) -> Result<(), DeskError> {
        let mut values = item.own.clone();
        if let Some(mm) = values.remove("particle_mm") {
            engine::bounds::PARTICLE_MM.check(mm)?;
        }
        let material = self.tables.material(&item.material)?.with_own(&values)?;
        if let Some(amount) = item.available {
            amount.grams(&material, &self.tables)?;
        }
        Ok(())
    }
}
