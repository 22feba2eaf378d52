//! Schema numbers, and the steps from one to the next. Every step runs in one
//! transaction; a file that is not ours or too new is left untouched.

use crate::StoreError;
use crate::backup::{copy_to, free_name};
use rusqlite::{Connection, TransactionBehavior};
use std::path::Path;

/// Marks a SQLite file as ours: the letters `BWRT`.
pub(crate) const APPLICATION_ID: i64 = 0x4257_5254;

/// The step to schema 1, to schema 2, and so on.
pub(crate) const STEPS: &[&str] = &[include_str!("../migrations/0001_first.sql")];

/// The schema number of the file; 0 for an empty one. Read in one transaction:
/// another process may be making the file just now, and half of its step must
/// not be taken for somebody else's file.
pub(crate) fn schema_of(db: &Connection, path: &Path, steps: &[&str]) -> Result<usize, StoreError> {
    if !db.is_autocommit() {
        return schema_within(db, path, steps);
    }
    let read = db.unchecked_transaction()?;
    let found = schema_within(&read, path, steps);
    read.finish()?;
    found
}

fn schema_within(db: &Connection, path: &Path, steps: &[&str]) -> Result<usize, StoreError> {
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
    steps: &[&str],
) -> Result<(), StoreError> {
    let shown = path.unwrap_or(Path::new(":memory:"));
    let found = schema_of(db, shown, steps)?;
    if found == steps.len() {
        return Ok(());
    }
    if let (Some(path), true) = (path, found > 0) {
        copy_to(
            db,
            &free_name(path, &format!("before-schema-{}", steps.len())),
        )?;
    }
    let untaken = steps
        .iter()
        .enumerate()
        .filter(|(index, _)| *index >= found);
    for (index, step) in untaken {
        let tx = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Another process may have taken this step while we waited.
        if schema_of(&tx, shown, steps)? > index {
            continue;
        }
        tx.execute_batch(step)?;
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(
            None,
            "user_version",
            i64::try_from(index + 1).unwrap_or(i64::MAX),
        )?;
        tx.commit()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Store;

    const SECOND: &str = "CREATE TABLE second (id INTEGER PRIMARY KEY) STRICT;";
    const BROKEN: &str = "CREATE TABLE third (id INTEGER); INSERT INTO nowhere VALUES (1);";

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
        bring_up(&mut db, Some(&path), &[STEPS[0], SECOND]).unwrap();
        assert_eq!(tables(&db), ["entry", "second"]);
        let copy = Connection::open(dir.path().join("log.db.before-schema-2")).unwrap();
        assert_eq!(tables(&copy), ["entry"]);
        assert_eq!(schema_of(&copy, &path, STEPS).unwrap(), 1);
        // The changed file is now too new for a version that knows schema 1.
        drop(db);
        let refused = Store::open(&path).unwrap_err().to_string();
        assert!(
            refused.contains("schema 2; this version reads up to 1"),
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
        assert!(bring_up(&mut db, Some(&path), &[STEPS[0], BROKEN]).is_err());
        assert_eq!(tables(&db), ["entry"]);
        assert_eq!(schema_of(&db, &path, STEPS).unwrap(), 1);
        drop(db);
        Store::open(&path).unwrap().check().unwrap();
    }
}
