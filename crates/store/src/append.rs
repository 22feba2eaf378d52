//! The way in: every entry passes here, typed or imported.

use crate::admit::admit;
use crate::again::{is_no_such_bin, is_not_again};
use crate::described::Known;
use crate::health::missing_in;
use crate::seal::Record;
use crate::standing::Tally;
use crate::validate;
use crate::{Missing, New, NewBin, Store, StoreError};
use engine::log::{BinDescription, BinId, Body, EntryId};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};

/// The version written beside each entry.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

impl Store {
    /// Write one entry. When this returns its number, the entry is on disk, in
    /// the file that stands at the log's path.
    ///
    /// # Errors
    /// When the entry is refused (the error names field, value, unit and
    /// range), was written before ([`StoreError::Already`], [`StoreError::Again`]) or cannot be
    /// written; the log is then as it was.
    pub fn append(&mut self, new: New) -> Result<EntryId, StoreError> {
        self.in_one_go(|pen| pen.take(&new))
    }

    /// Write several entries, all or none.
    ///
    /// # Errors
    /// As [`Store::append`], for the first entry refused; none is written.
    pub fn append_all(&mut self, news: Vec<New>) -> Result<Vec<EntryId>, StoreError> {
        self.in_one_go(|pen| news.iter().map(|new| pen.take(new)).collect())
    }

    /// In an empty log, make bins with their first entries and write loose
    /// entries, all or none in one transaction. For each bin its number and those of its entries,
    /// the description's first.
    ///
    /// # Errors
    /// As [`Store::append`], and [`StoreError::NotEmpty`]; then there is no new
    /// bin and no new entry.
    pub fn append_shelf(
        &mut self,
        bins: Vec<NewBin>,
        loose: Vec<New>,
    ) -> Result<Vec<(BinId, Vec<EntryId>)>, StoreError> {
        self.in_one_go(|pen| {
            // That the form was sent before says more than that it came late.
            loose.iter().try_for_each(|new| pen.is_new(new))?;
            if pen.last > 0 {
                return Err(StoreError::NotEmpty);
            }
            for new in &loose {
                pen.take(new)?;
            }
            bins.into_iter().map(|bin| pen.make_bin(bin)).collect()
        })
    }

    /// Describe a new bin; the store gives it its number.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn create_bin(
        &mut self,
        description: BinDescription,
        at_unix_seconds: i64,
        zone: &str,
        written_unix_seconds: i64,
    ) -> Result<(BinId, EntryId), StoreError> {
        let (bin, ids) = self.create_bin_with(
            description,
            at_unix_seconds,
            zone,
            written_unix_seconds,
            Vec::new(),
        )?;
        let id = ids.first().copied().ok_or(StoreError::UnknownBin(bin))?;
        Ok((bin, id))
    }

    /// Describe a new bin together with its first entries (what it was filled
    /// with, the worms put in, ...), all or none. The number of the description
    /// comes first.
    ///
    /// # Errors
    /// As [`Store::append`]; then there is no new bin either.
    pub fn create_bin_with(
        &mut self,
        description: BinDescription,
        at_unix_seconds: i64,
        zone: &str,
        written_unix_seconds: i64,
        first: Vec<Body>,
    ) -> Result<(BinId, Vec<EntryId>), StoreError> {
        let new = |body| New::at(at_unix_seconds, zone, body).written(written_unix_seconds);
        self.create(NewBin {
            description: new(Body::Bin(description)),
            entries: first.into_iter().map(new).collect(),
        })
    }

    /// As [`Store::create_bin_with`], each entry with its own time, key and mark.
    ///
    /// # Errors
    /// As [`Store::append`]; then there is no new bin either.
    pub fn create(&mut self, bin: NewBin) -> Result<(BinId, Vec<EntryId>), StoreError> {
        self.in_one_go(|pen| pen.make_bin(bin))
    }

    /// The entry a form's one-time key wrote, if it wrote one.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub fn written_by(&self, once: &str) -> Result<Option<EntryId>, StoreError> {
        let mut query = self
            .reading()?
            .prepare_cached("SELECT id FROM entry WHERE once = ?1")?;
        let found = query.query_row([once], |r| r.get(0));
        Ok(found.optional()?.map(EntryId))
    }

    /// Run `work` in one transaction that holds the right to write from its
    /// start, so that what was checked still stands when it is written. It is
    /// acknowledged only when the file at the log's path holds it.
    pub(crate) fn in_one_go<T>(
        &mut self,
        work: impl FnOnce(&mut Pen<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.go(work).map_err(|error| error.about(&self.shown()))
    }

    fn go<T>(
        &mut self,
        work: impl FnOnce(&mut Pen<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        if let Some(damage) = self.health.borrow().damage.first() {
            return Err(StoreError::damaged(&self.shown(), damage.as_str()));
        }
        self.may_be_written()?;
        self.stands()?;
        let tx = rusqlite::Transaction::new_unchecked(&self.db, TransactionBehavior::Immediate)?;
        let mut pen = Pen::new(&tx)?;
        let before = pen.last;
        let mut tally = self.tally.clone();
        tally.extend(&tx, before)?;
        self.is_in_the_file(&tally, before)?;
        let done = work(&mut pen)?;
        let last = pen.put_down()?;
        crate::restoring::end(&tx, self.path())?;
        tally.extend(&tx, last)?;
        self.stands()?;
        tx.commit()?;
        self.is_acknowledged(&tally, before)?;
        self.tally = tally;
        Ok(done)
    }

    /// After a commit: fold the journal into the file, and ask the file.
    fn is_acknowledged(&self, tally: &Tally, before: i64) -> Result<(), StoreError> {
        self.fold_journal();
        match self.is_in_the_file(tally, before) {
            Ok(()) => Ok(()),
            Err(gone @ StoreError::Gone(_)) => Err(gone),
            Err(other) => Err(StoreError::Unsure {
                problem: crate::error::plain(&other.to_string(), 120),
            }),
        }
    }
}

/// The right to write, and what the next entry is numbered.
pub(crate) struct Pen<'t> {
    pub(crate) tx: &'t Connection,
    device: String,
    sequence: i64,
    /// Number of the last entry.
    pub(crate) last: i64,
    /// Largest number ever given, which is never given again.
    given: i64,
    /// What is known of corrections and descriptions.
    pub(crate) known: Known,
}

impl<'t> Pen<'t> {
    fn new(tx: &'t Connection) -> Result<Self, StoreError> {
        let (device, sequence) = tx.query_row(
            "SELECT device, max(sequence, coalesce((
                SELECT max(e.sequence) FROM entry e WHERE e.device = l.device), 0)) FROM this_log l",
            [],
            |r| Ok((r.get(0)?, r.get(1)?)),
        )?;
        let (last, given) = tx.query_row(
            "SELECT coalesce(max(id), 0),
                coalesce((SELECT max(seq) FROM sqlite_sequence WHERE name = 'entry'), 0) FROM entry",
            [],
            |r| Ok((r.get::<_, i64>(0)?, r.get::<_, i64>(1)?)),
        )?;
        Ok(Self {
            tx,
            device,
            sequence,
            last,
            given: given.max(last),
            known: Known::default(),
        })
    }

    /// Leave the place of the last entry in the file; gives its number.
    fn put_down(&self) -> Result<i64, StoreError> {
        let mut query = self
            .tx
            .prepare_cached("UPDATE this_log SET sequence = ?1")?;
        match query.execute([self.sequence])? {
            1 => Ok(self.given.max(self.last)),
            _ => Err(StoreError::Unwritten),
        }
    }

    /// Add a row as it is, sealed anew; one without a place gets the next.
    pub(crate) fn put(&mut self, mut record: Record) -> Result<(), StoreError> {
        if record.device.is_empty() {
            self.sequence = self.sequence.checked_add(1).ok_or_else(full)?;
            record.device.clone_from(&self.device);
            record.sequence = self.sequence;
        }
        self.last = self.last.max(record.id);
        self.given = self.given.max(record.id);
        record.sealed().add(self.tx)
    }

    /// The place the next entry takes, when that is the device of this log.
    pub(crate) fn next_of(&self, device: &str) -> Option<i64> {
        (self.device == device).then(|| self.sequence.saturating_add(1))
    }

    /// Places missing now, of whatever device, with those given since the file
    /// was opened.
    pub(crate) fn missing(&self) -> Result<Vec<Missing>, StoreError> {
        self.put_down()?;
        missing_in(self.tx)
    }

    /// Put down that these places of a device are lost for good.
    pub(crate) fn lose(&self, device: &str, first: i64, last: i64) -> Result<(), StoreError> {
        let mut query = self
            .tx
            .prepare_cached("INSERT INTO lost VALUES (?1, ?2, ?3)")?;
        query.execute(params![device, first, last])?;
        Ok(())
    }

    pub(crate) fn take(&mut self, new: &New) -> Result<EntryId, StoreError> {
        self.is_new(new)?;
        is_not_again(self.tx, new)?;
        admit(self.tx, new, false, &mut self.known)?;
        self.insert(new, &Place::default(), VERSION)
    }

    fn make_bin(&mut self, mut given: NewBin) -> Result<(BinId, Vec<EntryId>), StoreError> {
        let last = "SELECT coalesce(max(bin), 0) FROM entry";
        let last: i64 = self.tx.query_row(last, [], |r| r.get(0))?;
        let bin = BinId(last.checked_add(1).ok_or_else(full)?);
        given.description.bin = Some(bin);
        self.is_new(&given.description)?;
        is_no_such_bin(self.tx, &given.description)?;
        admit(self.tx, &given.description, true, &mut self.known)?;
        let mut ids = vec![self.insert(&given.description, &Place::default(), VERSION)?];
        for mut new in given.entries {
            new.bin = Some(bin);
            ids.push(self.take(&new)?);
        }
        Ok((bin, ids))
    }

    /// The entry that has this place already.
    pub(crate) fn at_place(&self, device: &str, sequence: i64) -> Result<Option<i64>, StoreError> {
        let mut query = self
            .tx
            .prepare_cached("SELECT id FROM entry WHERE device = ?1 AND sequence = ?2")?;
        let there = query.query_row(params![device, sequence], |r| r.get(0));
        Ok(there.optional()?)
    }

    /// Its one-time key was not used before.
    pub(crate) fn is_new(&self, new: &New) -> Result<(), StoreError> {
        let Some(key) = &new.once else {
            return Ok(());
        };
        validate::name("one-time key", key)?;
        let mut query = self
            .tx
            .prepare_cached("SELECT id FROM entry WHERE once = ?1")?;
        match query.query_row([key], |r| r.get(0)).optional()? {
            Some(id) => Err(StoreError::Already { entry: EntryId(id) }),
            None => Ok(()),
        }
    }

    /// Add the row. The kind is read from the body, so the two cannot disagree.
    pub(crate) fn insert(
        &mut self,
        new: &New,
        place: &Place,
        version: &str,
    ) -> Result<EntryId, StoreError> {
        let next = |n: i64| n.checked_add(1).ok_or_else(full);
        let id = place.id.map_or_else(|| next(self.given), Ok)?;
        let (device, sequence) = match &place.written {
            Some((device, sequence)) => (device.clone(), *sequence),
            None => (self.device.clone(), next(self.sequence)?),
        };
        let body = text_of(&new.body)?;
        let record = Record {
            id,
            device,
            sequence,
            once: new.once.clone(),
            demo: i64::from(new.demo),
            checksum: 0,
            bin: new.bin.map(|bin| bin.0),
            at_unix_seconds: new.at_unix_seconds,
            zone: new.zone.clone(),
            written_unix_seconds: new.written_unix_seconds,
            kind: kind_of(&body)?,
            engine_version: version.to_owned(),
            body,
        };
        record.sealed().add(self.tx)?;
        if self.device
            == place
                .written
                .as_ref()
                .map_or(&self.device, |w| &w.0)
                .as_str()
        {
            self.sequence = self.sequence.max(sequence);
        }
        self.last = self.last.max(id);
        self.given = self.given.max(id);
        self.known.follow(EntryId(id), new.bin, &new.body);
        Ok(EntryId(id))
    }
}

fn full() -> StoreError {
    StoreError::invalid("the log", "has no number left for another entry or bin")
}

/// Where an entry stands, when that is given and not for us to choose.
#[derive(Debug, Default)]
pub(crate) struct Place {
    pub(crate) id: Option<i64>,
    /// Device and sequence.
    pub(crate) written: Option<(String, i64)>,
}

fn text_of(body: &Body) -> Result<String, StoreError> {
    serde_json::to_string(body).map_err(|e| StoreError::invalid("entry", e.to_string()))
}

/// The kind a body says it is.
fn kind_of(body: &str) -> Result<String, StoreError> {
    #[derive(serde::Deserialize)]
    struct Kind {
        kind: String,
    }
    let read: Kind =
        serde_json::from_str(body).map_err(|e| StoreError::invalid("entry", e.to_string()))?;
    Ok(read.kind)
}
