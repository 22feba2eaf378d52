//! Automatic backups in a folder beside the log: one a day at most, each
//! checked before it takes its name, thinned as they grow old.

use crate::backup::copy_to;
use crate::health::examine;
use crate::migrate::{APPLICATION_ID, device};
use crate::open::{READ_ONLY, connect, connect_to_backup};
use crate::place::{BACKUPS, discard, make_folder, with_end};
use crate::read::mark_of;
use crate::whole_file::place_whole;
use crate::{Mark, Store, StoreError};
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use rusqlite::OptionalExtension;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// How many of the last days, weeks and months with a backup keep theirs.
const DAYS: usize = 7;
const WEEKS: usize = 5;
const MONTHS: usize = 12;

/// How our files are named; the time is in UTC.
const NAME: &str = "automatic-%Y-%m-%d-%H%M%S.db";

/// How copies of a log with damaged entries are named. Kept apart: they are
/// counted and thinned among themselves, and no whole backup goes for one.
const OF_DAMAGED: &str = "damaged-%Y-%m-%d-%H%M%S.db";

/// An automatic backup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saved {
    /// The file.
    pub path: PathBuf,
    /// When it was made [s since 1970-01-01 00:00 UTC].
    pub at_unix_seconds: i64,
    /// How large it is [bytes].
    pub bytes: u64,
    /// Entries in it; `None` when it can no longer be read.
    pub entries: Option<usize>,
    /// The device it is a log of, and its last entry.
    of: Option<Of>,
}

/// What tells whose log a backup is of: its device, and the number and
/// checksum of its last entry.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Of {
    device: String,
    last: Option<(i64, i64)>,
}

/// Automatic backups at the place of a log.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Backups {
    /// Those of this log, the newest first; and what cannot be read.
    pub own: Vec<Saved>,
    /// Those of other logs that stood at its place, the newest first.
    pub of_others: Vec<Saved>,
}

impl Store {
    /// The automatic backups at the place of this log: of this log, when they
    /// are of its device or it holds the last entry of theirs.
    ///
    /// # Errors
    /// When the folder is there and cannot be read.
    pub fn backups(&self) -> Result<Backups, StoreError> {
        let Some(log) = self.path() else {
            return Ok(Backups::default());
        };
        let (own, of_others) = backups(log)?.into_iter().partition(|saved| {
            let of = saved.of.as_ref();
            of.is_none_or(|of| self.is_of_this(of))
        });
        Ok(Backups { own, of_others })
    }

    /// Best effort: a log too torn to say takes them all for its own.
    fn is_of_this(&self, of: &Of) -> bool {
        let same = |(id, checksum): (i64, i64)| {
            let there = "SELECT EXISTS (SELECT 1 FROM entry WHERE id = ?1 AND checksum = ?2)";
            self.db.query_row(there, [id, checksum], |r| r.get(0))
        };
        device(&self.db).map_or(true, |own| own == of.device)
            || of.last.is_some_and(|last| same(last).unwrap_or(true))
    }
}

/// What came of the wish for an automatic backup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rolled {
    /// One was made and checked.
    Made(Saved),
    /// Nothing was written since the last one.
    NothingNew,
    /// There is one of today.
    NotYet,
}

/// The folder of automatic backups of the log at `log`.
///
/// It stands beside the file itself: a link to a log has none of its own.
#[must_use]
pub fn backups_folder(log: &Path) -> PathBuf {
    let is_link = fs::symlink_metadata(log).is_ok_and(|found| found.is_symlink());
    let real = is_link.then(|| fs::canonicalize(log).ok()).flatten();
    with_end(real.as_deref().unwrap_or(log), BACKUPS)
}

/// The automatic backups of the log at `log`, the newest first: of what holds more
/// entries, for a clock may have been ahead. Those that cannot be read come last.
/// Copies of a damaged log, which stand beside them, are none.
///
/// # Errors
/// When the folder is there and cannot be read.
pub fn backups(log: &Path) -> Result<Vec<Saved>, StoreError> {
    let mut all: Vec<Saved> = files(log, NAME)?
        .into_iter()
        .map(|(at, path)| saved(at, path))
        .collect();
    all.sort_by_key(|b| Reverse((b.entries, b.at_unix_seconds)));
    Ok(all)
}

fn saved(at_unix_seconds: i64, path: PathBuf) -> Saved {
    let (entries, of) = look(&path).map(|l| (l.entries, l.of)).unzip();
    Saved {
        at_unix_seconds,
        bytes: fs::metadata(&path).map_or(0, |found| found.len()),
        entries,
        of,
        path,
    }
}

/// Make an automatic backup of the log if one is due: something was written
/// since the last, and there is none of today (by UTC). Of a log in which
/// entries are damaged or missing it is a copy of the file as it is, damage and
/// all, under a name that says so; whole backups stay as they are.
///
/// # Errors
/// As [`Store::backup_to`], and when the folder cannot be made or read. The
/// log and the backups are then as they were.
pub fn roll_backups(store: &Store, now_unix_seconds: i64) -> Result<Rolled, StoreError> {
    let Some(log) = store.path() else {
        return Ok(Rolled::NothingNew);
    };
    let named = |damaged| if damaged { OF_DAMAGED } else { NAME };
    let known = named(!store.health().is_whole());
    if let Some(not) = not_due(store, log, known, now_unix_seconds)? {
        return Ok(not);
    }
    let damaged = !store.examine()?.is_whole();
    let name = named(damaged);
    let folder = backups_folder(log);
    make_folder(&folder)?;
    let path = folder.join(civil(now_unix_seconds)?.strftime(name).to_string());
    match damaged {
        true => copy_as_it_is(store, &path)?,
        false => store.backup_to(&path, false)?,
    };
    thin(log, name, now_unix_seconds)?;
    Ok(Rolled::Made(saved(now_unix_seconds, path)))
}

/// Why none of this name is due; `None` when one is.
fn not_due(
    store: &Store,
    log: &Path,
    name: &str,
    now_unix_seconds: i64,
) -> Result<Option<Rolled>, StoreError> {
    let own = device(store.reading()?)?;
    // Those of a clock that was ahead say nothing about today, nor do those of
    // another log, and what cannot be read is no backup.
    let before = files(log, name)?
        .into_iter()
        .rev()
        .filter(|(at, _)| *at <= now_unix_seconds)
        .filter_map(|(at, path)| Some((at, look(&path)?)))
        .find(|(_, found)| found.of.device == own)
        .map(|(at, found)| (at, found.mark));
    let Some((at, mark)) = before else {
        return Ok(store.is_empty()?.then_some(Rolled::NothingNew));
    };
    if Ok(mark) == store.mark().map_err(drop) {
        return Ok(Some(Rolled::NothingNew));
    }
    let today = civil(at)?.date() == civil(now_unix_seconds)?.date();
    Ok(today.then_some(Rolled::NotYet))
}

/// A damaged log as it is: what can be read of it, and the rest byte for byte.
/// The copy must say the same of itself as the log does.
fn copy_as_it_is(store: &Store, path: &Path) -> Result<usize, StoreError> {
    place_whole(path, false, store.path(), |part| {
        copy_to(store.reading()?, part)?;
        let copy = connect(part, READ_ONLY)?;
        let (found, wanted) = (examine(&copy)?, store.health());
        match found.entries >= wanted.entries && found.unreadable == wanted.unreadable {
            true => Ok(found.entries),
            false => Err(StoreError::not_whole(
                path,
                "it does not say what the log says",
            )),
        }
    })
}

fn civil(unix_seconds: i64) -> Result<DateTime, StoreError> {
    let at = Timestamp::from_second(unix_seconds)
        .map_err(|e| StoreError::invalid("the time of the backup", e.to_string()))?;
    Ok(TimeZone::UTC.to_datetime(at))
}

/// Our files, the oldest first: named as we name them, plain, and logs. What
/// else is in the folder is not ours to touch.
fn files(log: &Path, name: &str) -> Result<Vec<(i64, PathBuf)>, StoreError> {
    let folder = backups_folder(log);
    let list = match fs::read_dir(&folder) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) if e.kind() == std::io::ErrorKind::NotADirectory => {
            return Err(StoreError::NotAFolder(folder));
        }
        other => other.map_err(crate::error::io_at("read the folder", &folder))?,
    };
    let mut found: Vec<(i64, PathBuf)> = list
        .filter_map(Result::ok)
        .filter(|f| f.file_type().is_ok_and(|t| t.is_file()))
        .filter_map(|f| Some((made_at(name, f.file_name().to_str()?)?, f.path())))
        .collect();
    found.sort();
    Ok(found)
}

/// When a file of ours was made, by its name.
fn made_at(pattern: &str, name: &str) -> Option<i64> {
    let at = DateTime::strptime(pattern, name).ok()?;
    let exact = at.strftime(pattern).to_string() == name;
    let at = TimeZone::UTC.to_timestamp(at).ok()?;
    exact.then(|| at.as_second())
}

/// What a backup says of itself.
struct Looked {
    mark: Mark,
    entries: usize,
    of: Of,
}

/// How far a backup goes, what it holds and whose it is; `None` when it cannot
/// be read.
fn look(path: &Path) -> Option<Looked> {
    let db = connect_to_backup(path).ok()?;
    let ours = db.pragma_query_value(None, "application_id", |r| r.get::<_, i64>(0));
    (ours.ok()? == APPLICATION_ID).then_some(())?;
    let count = "SELECT count(*) FROM entry";
    let count: i64 = db.query_row(count, [], |r| r.get(0)).ok()?;
    let last = "SELECT id, checksum FROM entry ORDER BY id DESC LIMIT 1";
    let last = db.query_row(last, [], |r| Ok((r.get(0)?, r.get(1)?)));
    Some(Looked {
        mark: mark_of(&db).ok()?,
        entries: usize::try_from(count).ok()?,
        of: Of {
            device: device(&db).ok()?,
            last: last.optional().ok()?,
        },
    })
}

/// Take away what is older than it need be kept, of each log by itself: one
/// begun where another stood takes away none of the other's that it would have
/// kept. What was made later than now, by a clock that was ahead, and what
/// cannot be read, stays.
fn thin(log: &Path, name: &str, now: i64) -> Result<(), StoreError> {
    let mut of: BTreeMap<String, Vec<(i64, PathBuf)>> = BTreeMap::new();
    for (at, path) in files(log, name)?.into_iter().filter(|(at, _)| *at <= now) {
        if let Some(found) = look(&path) {
            of.entry(found.of.device).or_default().push((at, path));
        }
    }
    for past in of.into_values() {
        let keep = kept(past.iter().map(|(at, _)| *at))?;
        for (_, path) in past.iter().filter(|(at, _)| !keep.contains(at)) {
            fs::remove_file(path).map_err(crate::error::io_at("take away", path))?;
            discard(path);
        }
    }
    Ok(())
}

/// Of these times, rising, those whose backup is kept: the newest of each of
/// the last days, weeks and months that have one.
fn kept(times: impl DoubleEndedIterator<Item = i64>) -> Result<BTreeSet<i64>, StoreError> {
    let mut days = BTreeSet::new();
    let mut weeks = BTreeSet::new();
    let mut months = BTreeSet::new();
    let mut keep = BTreeSet::new();
    for at in times.rev() {
        let date = civil(at)?.date();
        let week = date.iso_week_date();
        let new_day = days.len() < DAYS && days.insert(date);
        let new_week = weeks.len() < WEEKS && weeks.insert((week.year(), week.week()));
        let new_month = months.len() < MONTHS && months.insert((date.year(), date.month()));
        if new_day | new_week | new_month {
            keep.insert(at);
        }
    }
    Ok(keep)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn old_backups_are_thinned_to_days_weeks_and_months() {
        const DAY: i64 = 86_400;
        let now = 1_760_000_000;
        // One a day for two years.
        let keep = kept((0..730).map(|d| now - (729 - d) * DAY)).unwrap();
        let ages: Vec<i64> = keep.iter().rev().map(|at| (now - at) / DAY).collect();
        assert_eq!(ages[..7], [0, 1, 2, 3, 4, 5, 6]);
        assert!(
            (DAYS + MONTHS - 1..=DAYS + WEEKS + MONTHS).contains(&ages.len()),
            "{ages:?}"
        );
        let oldest = *ages.last().unwrap();
        assert!((300..=366).contains(&oldest), "{ages:?}");
        // Nothing written for long: what there is stays.
        let few = [now - 900 * DAY, now - 890 * DAY, now - 400 * DAY];
        assert_eq!(kept(few.into_iter()).unwrap().len(), 3);
    }

    #[test]
    fn only_names_of_ours_are_ours() {
        assert_eq!(
            made_at(NAME, "automatic-2025-10-09-085320.db"),
            Some(1_760_000_000)
        );
        for other in [
            "automatic-2025-10-09-085320.db.part",
            "automatic-2025-13-09-085320.db",
            "automatic-2025-10-9-085320.db",
            "notes.db",
        ] {
            assert_eq!(made_at(NAME, other), None, "{other}");
        }
    }
}
