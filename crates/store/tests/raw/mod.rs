//! Rows put in a log past the store, as another program, a newer version or
//! damage would leave them.

#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "shared by several test programs; a test that cannot go on should stop"
)]

use rusqlite::{Connection, params};
use std::path::Path;

/// A row as a newer version would write it, under a device of its own, with
/// the seal the format asks for (worked out here, not by the store).
pub(crate) fn put(db: &Connection, id: i64, bin: Option<i64>, at: i64, kind: &str, body: &str) {
    let device = format!("{id:032}");
    let version = "9.9.9";
    let mut sum = crc32fast::Hasher::new();
    let text = |sum: &mut crc32fast::Hasher, t: &str| {
        sum.update(&[2]);
        sum.update(&(t.len() as u64).to_le_bytes());
        sum.update(t.as_bytes());
    };
    let number = |sum: &mut crc32fast::Hasher, n: i64| {
        sum.update(&[1]);
        sum.update(&n.to_le_bytes());
    };
    text(&mut sum, "bedwright entry, schema 2");
    number(&mut sum, id);
    text(&mut sum, &device);
    number(&mut sum, 1);
    sum.update(&[0]);
    number(&mut sum, 0);
    match bin {
        Some(bin) => number(&mut sum, bin),
        None => sum.update(&[0]),
    }
    number(&mut sum, at);
    text(&mut sum, "UTC");
    number(&mut sum, at);
    for t in [kind, version, body] {
        text(&mut sum, t);
    }
    let checksum = i64::from(sum.finalize());
    db.execute(
        "INSERT INTO entry VALUES (?1, ?2, 1, NULL, 0, ?3, ?4, ?5, 'UTC', ?5, ?6, ?7, ?8)",
        params![id, device, checksum, bin, at, kind, version, body],
    )
    .unwrap();
}

/// Run SQL on the file with the rules of the log taken away, then put back:
/// what damage or another program could do to it.
pub(crate) fn meddle(path: &Path, sql: &str) {
    let db = Connection::open(path).unwrap();
    let rules: Vec<(String, String)> = {
        let mut query = db
            .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
            .unwrap();
        let rows = query.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).unwrap();
        rows.map(Result::unwrap).collect()
    };
    for (name, _) in &rules {
        db.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    // Nothing of what is taken away stays in the pages.
    db.execute_batch("PRAGMA secure_delete = on").unwrap();
    db.execute_batch(sql).unwrap();
    for (_, rule) in &rules {
        db.execute_batch(rule).unwrap();
    }
}
