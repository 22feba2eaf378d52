//! The mark a restore into an open log leaves, so that its own journal is told
//! from one of another log when a kill came before the two were folded.
//!
//! The log about to be replaced gets a sign no other file has, and what takes
//! its place says over which sign it was put, and over which places of each
//! device. All are rows of SQLite's own table of numbers given, beside the one
//! of `entry`: the shape of the file stays as it is.

use crate::open::open_unwritten;
use rusqlite::{Connection, params};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The log that is about to be replaced, by this sign.
const BEFORE: &str = "restore over ";
/// What was put in the place of the log with this sign.
const AFTER: &str = "restored over ";

/// A new sign, set in the log that is about to be replaced.
pub(crate) fn announce(log: &Connection) -> rusqlite::Result<String> {
    let sign: String = log.query_row("SELECT lower(hex(randomblob(16)))", [], |r| r.get(0))?;
    let told = log.unchecked_transaction()?;
    take_back(&told)?;
    set(&told, &format!("{BEFORE}{sign}"), 0)?;
    told.commit()?;
    Ok(sign)
}

/// An entry is written: a restore cut off before was not done, and one that was
/// done and stands in the file needs its sign no more. Left for good, the sign of
/// a file laid aside by hand would believe the journal of another day.
pub(crate) fn end(log: &Connection, path: Option<&Path>) -> rusqlite::Result<()> {
    take_back(log)?;
    let done = || -> rusqlite::Result<bool> {
        let said = format!("{AFTER}%");
        log.prepare_cached("SELECT EXISTS (SELECT 1 FROM sqlite_sequence WHERE name LIKE ?1)")?
            .query_row([said], |r| r.get(0))
    };
    if !done()? {
        return Ok(());
    }
    // Still in the journal only: the file alone says what is to be replaced.
    let alone = path.map(|path| open_unwritten(&real(path)).and_then(|db| to_come(&db)));
    match alone {
        None | Some(Ok(false)) => take_away(log, AFTER),
        Some(_) => Ok(()),
    }
}

/// Whether a file says that it is about to be replaced.
fn to_come(alone: &Connection) -> rusqlite::Result<bool> {
    let sql = "SELECT EXISTS (SELECT 1 FROM sqlite_sequence WHERE name LIKE ?1)";
    alone.query_row(sql, [format!("{BEFORE}%")], |r| r.get(0))
}

fn real(log: &Path) -> PathBuf {
    std::fs::canonicalize(log).unwrap_or_else(|_| log.to_owned())
}

/// Whether the file of the log, without its journal, has this sign.
pub(crate) fn has_sign(log: &Path, sign: &str) -> bool {
    let said =
        open_unwritten(&real(log)).and_then(|alone| number(&alone, &format!("{BEFORE}{sign}")));
    said.is_ok_and(|said| said.is_some())
}

/// No restore is under way: as in a log not replaced in the end, and in the
/// copy kept of one that was.
pub(crate) fn take_back(log: &Connection) -> rusqlite::Result<()> {
    take_away(log, BEFORE)
}

/// Say in `new` that it takes the place of the log `old`, which has this sign.
pub(crate) fn say_over(new: &Connection, sign: &str, old: &Connection) -> rusqlite::Result<()> {
    let told = new.unchecked_transaction()?;
    take_back(&told)?;
    take_away(&told, AFTER)?;
    set(&told, &format!("{AFTER}{sign}"), 0)?;
    let mut query = old.prepare("SELECT device, max(sequence) FROM entry GROUP BY device")?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let device: String = row.get(0)?;
        set(&told, &format!("{AFTER}{sign} {device}"), row.get(1)?)?;
    }
    told.commit()
}

/// Whether `whole`, a file read with its journal, was put in the place of what
/// `alone`, the file without it, still holds in part or whole, these places
/// among it. One that was kept or saved of it, and stands there now, has no
/// such sign.
pub(crate) fn was_put_over(
    whole: &Connection,
    alone: &Connection,
    places: impl IntoIterator<Item = (String, i64)>,
) -> rusqlite::Result<bool> {
    let signs = signs(alone)?;
    let Some(sign) = signs.into_iter().find(|sign| {
        let said = number(whole, &format!("{AFTER}{sign}"));
        said.is_ok_and(|said| said.is_some())
    }) else {
        return Ok(false);
    };
    covers(whole, &sign, places)
}

/// Whether what was put over the log with this sign was put over these places.
fn covers(
    whole: &Connection,
    sign: &str,
    places: impl IntoIterator<Item = (String, i64)>,
) -> rusqlite::Result<bool> {
    for (device, sequence) in places {
        let last = number(whole, &format!("{AFTER}{sign} {device}"))?;
        if last.is_none_or(|last| sequence > last) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// As [`was_put_over`], of a file that cannot be read: its sign is looked for among
/// its bytes.
pub(crate) fn was_put_over_bytes(
    whole: &Connection,
    bytes: &[u8],
    places: &[(String, i64)],
) -> rusqlite::Result<bool> {
    for sign in signs(whole)? {
        let told = number(whole, &format!("{AFTER}{sign}"))?.is_some();
        let here = || bytes.windows(sign.len()).any(|w| w == sign.as_bytes());
        if told && here() && covers(whole, &sign, places.iter().cloned())? {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The signs a file has, of a restore to come or, where that is being folded
/// into it, of one that was.
fn signs(db: &Connection) -> rusqlite::Result<BTreeSet<String>> {
    let mut query = db.prepare("SELECT name FROM sqlite_sequence")?;
    let names = query.query_map([], |r| r.get::<_, String>(0))?;
    let mut signs = BTreeSet::new();
    for name in names {
        let name = name?;
        let sign = name.strip_prefix(BEFORE).or(name.strip_prefix(AFTER));
        signs.extend(sign.filter(|s| !s.contains(' ')).map(ToOwned::to_owned));
    }
    Ok(signs)
}

fn number(db: &Connection, name: &str) -> rusqlite::Result<Option<i64>> {
    let mut query = db.prepare_cached("SELECT max(seq) FROM sqlite_sequence WHERE name = ?1")?;
    query.query_row([name], |r| r.get(0))
}

fn take_away(db: &Connection, beginning: &str) -> rusqlite::Result<()> {
    let sql = "DELETE FROM sqlite_sequence WHERE substr(name, 1, length(?1)) = ?1";
    db.execute(sql, [beginning]).map(drop)
}

fn set(db: &Connection, name: &str, number: i64) -> rusqlite::Result<()> {
    let mut query = db.prepare_cached("INSERT INTO sqlite_sequence (name, seq) VALUES (?1, ?2)")?;
    query.execute(params![name, number]).map(drop)
}
