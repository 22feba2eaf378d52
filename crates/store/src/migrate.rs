//! Schema numbers, and the steps from one to the next. All run in one
//! transaction; a file that is not ours or too new is left untouched.

use crate::StoreError;
use crate::backup::copy_to;
use crate::open::{BUSY_SECONDS, READ_ONLY, connect};
use crate::seal::Record;
use crate::whole_file::keep_beside;
use rusqlite::{Connection, Row, TransactionBehavior};
use std::path::Path;
use std::time::Duration;

/// Marks a SQLite file as ours: the letters `BWRT`.
pub(crate) const APPLICATION_ID: i64 = 0x4257_5254;

/// One step from a schema to the next: SQL, then what SQL cannot do.
pub(crate) type Step = (&'static str, fn(&Connection) -> Result<(), StoreError>);

/// The step to schema 1, to schema 2, and so on.
pub(crate) const STEPS: &[Step] = &[
    (include_str!("../migrations/0001_first.sql"), nothing_more),
    (include_str!("../migrations/0002_sealed.sql"), seal_all),
];

fn nothing_more(_: &Connection) -> Result<(), StoreError> {
    Ok(())
}

/// Bring the entries of schema 1 over, sealed, under this file's device. Which
/// of them were an invented shelf's is not known for certain, so none is
/// marked: a keeper's own must never be taken for one.
fn seal_all(tx: &Connection) -> Result<(), StoreError> {
    let device = device(tx)?;
    let mut query = tx.prepare(
        "SELECT id, bin, at_unix_seconds, zone, written_unix_seconds, kind, engine_version, body
         FROM entry_of_schema_1 ORDER BY id",
    )?;
    let mut rows = query.query([])?;
    let mut sequence = 0;
    while let Some(row) = rows.next()? {
        sequence += 1;
        let record = unsealed(row, &device, sequence)?;
        let record = match is_as_taken(&record) {
            true => record.sealed(),
            // Damaged before it had a seal: it gets none that fits.
            false => Record {
                checksum: -1,
                ..record
            },
        };
        record.add(tx)?;
    }
    drop(rows);
    drop(query);
    // A number given stays given, even when its entry is missing.
    tx.execute_batch(
        "INSERT INTO sqlite_sequence (name, seq) SELECT 'entry', 0
            WHERE NOT EXISTS (SELECT 1 FROM sqlite_sequence WHERE name = 'entry');
         UPDATE sqlite_sequence SET seq = max(seq, coalesce((
            SELECT seq FROM sqlite_sequence WHERE name = 'entry_of_schema_1'), 0))
            WHERE name = 'entry';
         DROP TABLE entry_of_schema_1;",
    )?;
    tx.execute("UPDATE this_log SET sequence = ?1", [sequence])?;
    Ok(())
}

/// Whether a body is one schema 1 took: JSON that says the kind of its row.
pub(crate) fn is_as_taken(record: &Record) -> bool {
    serde_json::from_str::<serde_json::Value>(&record.body)
        .is_ok_and(|body| body["kind"] == record.kind.as_str())
}

/// A row of schema 1, in the order [`seal_all`] asks for it.
fn unsealed(row: &Row<'_>, device: &str, sequence: i64) -> rusqlite::Result<Record> {
    Ok(Record {
        id: row.get(0)?,
        device: device.to_owned(),
        sequence,
        once: None,
        demo: 0,
        checksum: 0,
        bin: row.get(1)?,
        at_unix_seconds: row.get(2)?,
        zone: row.get(3)?,
        written_unix_seconds: row.get(4)?,
        kind: row.get(5)?,
        engine_version: row.get(6)?,
        body: row.get(7)?,
    })
}

/// The device new entries of this file go under.
pub(crate) fn device(db: &Connection) -> rusqlite::Result<String> {
    db.query_row("SELECT device FROM this_log", [], |r| r.get(0))
}

/// Let a file that was copied from a log go on under a device of its own, so
/// that what is written in the two never has the same place.
pub(crate) fn take_new_device(db: &Connection) -> rusqlite::Result<()> {
    db.execute_batch("UPDATE this_log SET device = lower(hex(randomblob(16))), sequence = 0")
}

/// What the file is made of: sort, name, table and SQL of each thing.
type Shape = Vec<(String, String, String, Option<String>)>;

fn shape(db: &Connection) -> rusqlite::Result<Shape> {
    let mut query =
        db.prepare("SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY type, name")?;
    let rows = query.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?)))?;
    rows.collect()
}

/// Compare the shape of a file of schema `found` with that of a new one made
/// by the same steps. A trigger added could swallow entries.
pub(crate) fn check_shape(
    db: &Connection,
    path: &Path,
    found: usize,
    steps: &[Step],
) -> Result<(), StoreError> {
    let mut fresh = Connection::open_in_memory()?;
    bring_up(&mut fresh, None, &steps[..found.min(steps.len())])?;
    let (wanted, there) = (shape(&fresh)?, shape(db)?);
    let told = |word: &str, thing: &(String, String, String, Option<String>)| {
        format!(
            "the {} `{}` {word}",
            thing.0,
            crate::error::plain(&thing.1, 30)
        )
    };
    let named = |list: &Shape, name: &str| list.iter().any(|t| t.1 == name);
    let what = there
        .iter()
        .find(|t| !wanted.contains(t))
        .map(|t| {
            told(
                if named(&wanted, &t.1) {
                    "was changed"
                } else {
                    "was added"
                },
                t,
            )
        })
        .or_else(|| {
            let missing = wanted.iter().find(|t| !there.contains(t));
            missing.map(|t| told("is missing", t))
        });
    match what {
        None if wanted.len() == there.len() => Ok(()),
        what => Err(StoreError::Changed {
            path: path.to_owned(),
            what: what.unwrap_or_else(|| "it names a thing twice".to_owned()),
        }),
    }
}

/// The schema number of the file; 0 for an empty one. Read in one transaction:
/// another process may be making the file just now, and half of its step must
/// not be taken for somebody else's file.
pub(crate) fn schema_of(db: &Connection, path: &Path, steps: &[Step]) -> Result<usize, StoreError> {
    if !db.is_autocommit() {
        return schema_within(db, path, steps);
    }
    let read = db.unchecked_transaction()?;
    let found = schema_within(&read, path, steps);
    read.finish()?;
    found
}

fn schema_within(db: &Connection, path: &Path, steps: &[Step]) -> Result<usize, StoreError> {
    let owner: i64 = db.pragma_query_value(None, "application_id", |r| r.get(0))?;
    let found: i64 = db.pragma_query_value(None, "user_version", |r| r.get(0))?;
    let things: i64 = db.query_row("SELECT count(*) FROM sqlite_schema", [], |r| r.get(0))?;
    if owner == 0 && found == 0 && things == 0 {
        return Ok(0);
    }
    if owner != APPLICATION_ID || found < 1 {
        return Err(StoreError::NotOurs(path.to_owned()));
    }
    match usize::try_from(found) {
        Ok(n) if n <= steps.len() => Ok(n),
        _ => Err(StoreError::TooNew {
            path: path.to_owned(),
            found,
            known: i64::try_from(steps.len()).unwrap_or(i64::MAX),
        }),
    }
}

/// Bring the file up to the last of `steps`. A file that already holds a log
/// is first copied beside itself, as `NAME.before-schema-N`.
pub(crate) fn bring_up(
    db: &mut Connection,
    path: Option<&Path>,
    steps: &[Step],
) -> Result<(), StoreError> {
    let shown = path.unwrap_or(Path::new(":memory:"));
    if schema_of(db, shown, steps)? == steps.len() {
        return Ok(());
    }
    let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another process may have taken the steps while we waited.
    let found = schema_of(&tx, shown, steps)?;
    if let (Some(path), true) = (path, (1..steps.len()).contains(&found)) {
        let word = format!("before-schema-{}", steps.len());
        // Nobody else writes now; SQLite copies nothing from a connection that
        // may.
        keep_beside(path, &word, |part| {
            let as_it_was = connect(path, READ_ONLY)?;
            as_it_was.busy_timeout(Duration::from_secs(BUSY_SECONDS))?;
            copy_to(&as_it_was, part)
        })?;
    }
    for (index, (sql, then)) in steps.iter().enumerate().skip(found) {
        tx.execute_batch(sql)?;
        then(&tx)?;
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(
            None,
            "user_version",
            i64::try_from(index + 1).unwrap_or(i64::MAX),
        )?;
    }
    tx.commit()?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Store;

    const NEXT: Step = (
        "CREATE TABLE next (id INTEGER PRIMARY KEY) STRICT;",
        nothing_more,
    );
    const BROKEN: Step = (
        "CREATE TABLE third (id INTEGER); INSERT INTO nowhere VALUES (1);",
        nothing_more,
    );

    fn and(step: Step) -> Vec<Step> {
        STEPS.iter().copied().chain([step]).collect()
    }

    fn tables(db: &Connection) -> Vec<String> {
        let mut q = db
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name")
            .unwrap();
        let names = q.query_map([], |r| r.get(0)).unwrap();
        names.map(Result::unwrap).collect()
    }

    #[test]
    fn an_existing_file_is_copied_before_it_is_changed() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("log.db");
        drop(Store::open(&path).unwrap());
        let mut db = Connection::open(&path).unwrap();
        bring_up(&mut db, Some(&path), &and(NEXT)).unwrap();
        assert_eq!(tables(&db), ["entry", "lost", "next", "this_log"]);
        let copy = Connection::open(dir.path().join("log.db.before-schema-3")).unwrap();
        assert_eq!(tables(&copy), ["entry", "lost", "this_log"]);
        assert_eq!(schema_of(&copy, &path, STEPS).unwrap(), 2);
        // The changed file is now too new for a version that knows schema 2.
        drop(db);
        let refused = Store::open(&path).unwrap_err().to_string();
        assert!(
            refused.contains("schema 3; this version reads up to 2"),
            "{refused}"
        );
    }

    #[test]
    fn a_new_file_needs_no_copy() {
        let dir = tempfile::tempdir().unwrap();
        drop(Store::open(&dir.path().join("log.db")).unwrap());
        let names: Vec<_> = std::fs::read_dir(dir.path())
            .unwrap()
            .map(|f| f.unwrap().file_name())
            .collect();
        assert_eq!(names, ["log.db"]);
    }

    #[test]
    fn a_step_that_fails_leaves_the_file_as_it_was() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("log.db");
        drop(Store::open(&path).unwrap());
        let mut db = Connection::open(&path).unwrap();
        assert!(bring_up(&mut db, Some(&path), &and(BROKEN)).is_err());
        assert_eq!(tables(&db), ["entry", "lost", "this_log"]);
        assert_eq!(schema_of(&db, &path, STEPS).unwrap(), 2);
        drop(db);
        Store::open(&path).unwrap().check().unwrap();
    }
}
