//! How sound the file is: what SQLite says of it, every seal, every number.

use crate::error::plain;
use crate::seal::{COLUMNS, Record};
use crate::spans::Spans;
use crate::validate::{LIST_LONG, endless_list};
use crate::{Store, StoreError};
use engine::log::{BinId, Body, EntryId};
use rusqlite::types::FromSql;
use rusqlite::{Connection, Row};
use std::collections::BTreeMap;
use std::fmt;

/// Complaints of SQLite worth keeping.
const COMPLAINTS: usize = 5;

/// Most entries that can be missing in one place; beyond, the count is false.
const BELIEVED: i64 = 1_000_000;

/// An entry that is in the file and cannot be shown. All others can.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// The entry.
    pub id: EntryId,
    /// The bin it is about, as far as that can be read.
    pub bin: Option<BinId>,
    /// When what it tells of was seen or done [s since 1970-01-01 00:00 UTC],
    /// as far as that can be read.
    pub at_unix_seconds: Option<i64>,
    /// Its kind, as far as that can be read.
    pub kind: String,
    /// The version that wrote it, as far as that can be read.
    pub engine_version: String,
    /// Whether it stands as it was written, so that a newer version may read
    /// it. If not, the file was damaged or changed there.
    pub intact: bool,
    /// What could not be read.
    pub problem: String,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let id = self.id.0;
        if self.intact {
            write!(
                f,
                "entry {id} (kind `{}`, written by version {}) cannot be read by this version: {}; it is kept in the file, and a newer version may read it",
                self.kind, self.engine_version, self.problem
            )
        } else {
            write!(
                f,
                "entry {id} no longer says what was written ({}); it is left out of everything shown",
                self.problem
            )
        }
    }
}

/// Entries that were written and are not in the file: places `first` to `last`
/// of one device, or numbers of entries when no device is named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// The device they were written on.
    pub device: String,
    /// First place missing, from 1.
    pub first: i64,
    /// Last place missing.
    pub last: i64,
    /// The entry that stands before the gap, if any.
    pub after: Option<EntryId>,
    /// The entry that stands after the gap; `None` at the end of the log.
    pub before: Option<EntryId>,
}

impl Missing {
    /// How many.
    #[must_use]
    pub fn count(&self) -> i64 {
        self.last.saturating_sub(self.first).saturating_add(1)
    }

    /// Whether more are missing than a keeper can have written: then it is the
    /// count kept in the file that was changed, and how many are missing, if
    /// any, is not known.
    #[must_use]
    pub fn is_false_count(&self) -> bool {
        self.count() > BELIEVED
    }

    /// What stands in a gap and no longer says what was written is not missing.
    pub(crate) fn is_told_by(&self, unreadable: &[Unreadable]) -> bool {
        let within = |u: &&Unreadable| {
            !u.intact && self.after < Some(u.id) && self.before.is_none_or(|b| u.id < b)
        };
        unreadable.iter().filter(within).count() as i64 >= self.count()
    }
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_false_count() {
            return write!(
                f,
                "the count of entries that the file keeps was changed or damaged; whether entries are missing{} is not known",
                match self.after {
                    Some(a) => format!(" after entry {}", a.0),
                    None => String::new(),
                }
            );
        }
        let (many, verb) = match self.count() {
            1 => ("1 entry".to_owned(), "is"),
            n => (format!("{n} entries"), "are"),
        };
        match (self.after, self.before) {
            (Some(a), Some(b)) => {
                write!(
                    f,
                    "{many} between entries {} and {} {verb} missing",
                    a.0, b.0
                )
            }
            (Some(a), None) => write!(f, "{many} after entry {} {verb} missing", a.0),
            (None, Some(b)) => write!(f, "{many} before entry {} {verb} missing", b.0),
            (None, None) => write!(f, "{many} {verb} missing"),
        }
    }
}

/// How sound a log is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Health {
    /// Entries in the file, those that cannot be read among them.
    pub entries: usize,
    /// What is wrong with the file itself. When there is
    /// anything, nothing more is written in it.
    pub damage: Vec<String>,
    /// Entries that cannot be read.
    pub unreadable: Vec<Unreadable>,
    /// Entries that are not there any more.
    pub missing: Vec<Missing>,
}

impl Health {
    /// Nothing wrong at all.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.is_whole() && self.unreadable.is_empty()
    }

    /// Every entry written is there as it was written, though perhaps by a
    /// newer version and not to be read by this one.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.first_damage().is_none() && self.missing.is_empty()
    }

    /// What is wrong with the file or an entry in it, missing entries aside.
    #[must_use]
    pub(crate) fn first_damage(&self) -> Option<String> {
        let changed = self.unreadable.iter().find(|u| !u.intact);
        self.damage
            .first()
            .cloned()
            .or_else(|| changed.map(ToString::to_string))
    }

    /// Everything that is wrong, a line each.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let damage = self
            .damage
            .iter()
            .map(|d| format!("the file is damaged: {d}"));
        let unreadable = self.unreadable.iter().map(ToString::to_string);
        let missing = self.missing.iter().map(ToString::to_string);
        damage.chain(unreadable).chain(missing).collect()
    }
}

impl Store {
    /// How sound the log was when it was opened or last examined.
    #[must_use]
    pub fn health(&self) -> Health {
        self.health.borrow().clone()
    }

    /// Entries found that cannot be read, by number: those known from opening
    /// and those met since.
    #[must_use]
    pub fn unreadable(&self) -> Vec<Unreadable> {
        self.health.borrow().unreadable.clone()
    }

    /// Go through the whole file now: what SQLite says of it, every seal,
    /// every number.
    ///
    /// # Errors
    /// When the file is gone from its path or cannot be read at all.
    pub fn examine(&self) -> Result<Health, StoreError> {
        let found = examine(self.reading()?).map_err(|e| e.about(&self.shown()))?;
        *self.health.borrow_mut() = found.clone();
        Ok(found)
    }

    /// Keep in mind an entry met that cannot be read.
    pub(crate) fn met(&self, met: Unreadable) {
        let mut health = self.health.borrow_mut();
        if let Err(at) = health.unreadable.binary_search_by_key(&met.id, |u| u.id) {
            health.unreadable.insert(at, met);
        }
    }
}

/// Go through a whole file.
pub(crate) fn examine(db: &Connection) -> Result<Health, StoreError> {
    let mut health = Health {
        damage: complaints(db)?,
        ..Health::default()
    };
    let read = db.unchecked_transaction()?;
    if let Err(error) = go_through(&read, &mut health) {
        health.damage.push(damage_in(error)?);
    }
    read.finish()?;
    Ok(health)
}

fn complaints(db: &Connection) -> Result<Vec<String>, StoreError> {
    let ask = || -> rusqlite::Result<Vec<String>> {
        let mut query = db.prepare(&format!("PRAGMA integrity_check({COMPLAINTS})"))?;
        let lines = query.query_map([], |r| r.get::<_, String>(0))?;
        lines.collect()
    };
    match ask() {
        Ok(lines) if lines == ["ok"] => Ok(Vec::new()),
        Ok(lines) => Ok(lines.iter().map(|l| torn(l)).collect()),
        Err(error) => Ok(vec![damage_in(error.into())?]),
    }
}

/// What SQLite complains of, after words for a keeper.
fn torn(said: &str) -> String {
    let said = said.trim_start_matches("*** in database main ***").trim();
    format!(
        "a part of it cannot be read (SQLite says: {})",
        plain(said, 80)
    )
}

/// What is wrong with a file that could not be gone through; the error itself
/// when that was not the file's fault.
fn damage_in(error: StoreError) -> Result<String, StoreError> {
    match error {
        StoreError::Sqlite(e) if e.sqlite_error_code().is_none() => {
            Ok("what it says of itself cannot be read".to_owned())
        }
        StoreError::Sqlite(e)
            if e.sqlite_error_code() == Some(rusqlite::ErrorCode::DatabaseCorrupt) =>
        {
            Ok(torn(&e.to_string()))
        }
        other => Err(other),
    }
}

fn go_through(db: &Connection, health: &mut Health) -> Result<(), StoreError> {
    // Not by an index: the table itself is what is asked about.
    let mut query = db.prepare(&format!("SELECT {COLUMNS} FROM entry NOT INDEXED"))?;
    let mut rows = query.query([])?;
    let mut places: BTreeMap<String, BTreeMap<i64, i64>> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        health.entries += 1;
        match readable(row) {
            Ok((record, _)) => {
                places
                    .entry(record.device)
                    .or_default()
                    .insert(record.sequence, record.id);
            }
            Err(flaw) => {
                if flaw.intact {
                    places
                        .entry(row.get(1)?)
                        .or_default()
                        .insert(row.get(2)?, flaw.id.0);
                }
                health.unreadable.push(flaw);
            }
        }
    }
    health.unreadable.sort_by_key(|u| u.id);
    health.missing = missing(db, &places)?;
    let unreadable = &health.unreadable;
    health.missing.retain(|gap| !gap.is_told_by(unreadable));
    Ok(())
}

/// As [`missing`], of the file as it stands, read by its index of places.
pub(crate) fn missing_in(db: &Connection) -> Result<Vec<Missing>, StoreError> {
    let mut query = db.prepare("SELECT device, sequence, id FROM entry")?;
    let mut rows = query.query([])?;
    let mut places: BTreeMap<String, BTreeMap<i64, i64>> = BTreeMap::new();
    while let Some(row) = rows.next()? {
        let of = places.entry(row.get(0)?).or_default();
        of.insert(row.get(1)?, row.get(2)?);
    }
    missing(db, &places)
}

/// The places not taken, between those that are and up to the last one given.
fn missing(
    db: &Connection,
    places: &BTreeMap<String, BTreeMap<i64, i64>>,
) -> Result<Vec<Missing>, StoreError> {
    let (own, given): (String, i64) =
        db.query_row("SELECT device, sequence FROM this_log", [], |r| {
            Ok((r.get(0)?, r.get(1)?))
        })?;
    let lost = known_lost(db)?;
    let known = Spans::of(lost.iter().map(|(d, f, l)| (d.as_str(), *f, *l)));
    let mut found = Vec::new();
    let none = BTreeMap::new();
    let unseen = (!places.contains_key(&own)).then_some((&own, &none));
    for (device, taken) in places.iter().chain(unseen) {
        let mut before: (i64, Option<i64>) = (0, None);
        let end = (*device == own).then_some((given.saturating_add(1), None));
        let steps = taken.iter().map(|(s, id)| (*s, Some(*id))).chain(end);
        for (sequence, id) in steps {
            let (first, last) = (before.0.saturating_add(1), sequence.saturating_sub(1));
            if first <= last && !known.cover(device, first, last) {
                found.push(Missing {
                    device: device.clone(),
                    first,
                    last,
                    after: before.1.map(EntryId),
                    before: id.map(EntryId),
                });
            }
            before = (sequence, id);
        }
    }
    if found.iter().all(|gap| gap.before.is_some()) {
        found.extend(cut_off(db)?);
    }
    Ok(found)
}

/// Entries at the end that were given a number once and are not there, on
/// whatever device. Told in numbers of entries.
fn cut_off(db: &Connection) -> rusqlite::Result<Option<Missing>> {
    let (last, given): (i64, i64) = db.query_row(
        "SELECT coalesce(max(id), 0),
            coalesce((SELECT max(seq) FROM sqlite_sequence WHERE name = 'entry'), 0) FROM entry",
        [],
        |r| Ok((r.get(0)?, r.get(1)?)),
    )?;
    Ok((given > last).then(|| Missing {
        device: String::new(),
        first: last.saturating_add(1),
        last: given,
        after: (last > 0).then_some(EntryId(last)),
        before: None,
    }))
}

type Lost = (String, i64, i64);

pub(crate) fn known_lost(db: &Connection) -> rusqlite::Result<Vec<Lost>> {
    let mut query = db.prepare("SELECT device, first, last FROM lost")?;
    let rows = query.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
    rows.collect()
}

/// A row of [`COLUMNS`], verified, with its body; or what is wrong with it.
pub(crate) fn readable(row: &Row<'_>) -> Result<(Record, Body), Unreadable> {
    let flaw = |intact, problem: String| {
        fn seen<T: FromSql>(row: &Row<'_>, column: usize) -> Option<T> {
            row.get(column).ok()
        }
        let text = |column, long| plain(&seen::<String>(row, column).unwrap_or_default(), long);
        Unreadable {
            id: EntryId(seen(row, 0).unwrap_or(0)),
            bin: seen(row, 6).map(BinId),
            at_unix_seconds: seen(row, 7),
            kind: text(10, 24),
            engine_version: text(11, 16),
            intact,
            problem: plain(&problem, 90),
        }
    };
    let record = Record::read(row).map_err(|e| flaw(false, e.to_string()))?;
    if !record.holds() {
        return Err(flaw(false, "its checksum does not fit".to_owned()));
    }
    match serde_json::from_str(&record.body) {
        Ok(body) => match endless_list(&body) {
            None => Ok((record, body)),
            Some((what, count)) => {
                let problem =
                    format!("it has {count} {what}, and at most {LIST_LONG} are taken in");
                Err(flaw(true, problem))
            }
        },
        Err(e) => Err(flaw(true, crate::words::of_json(&e))),
    }
}
