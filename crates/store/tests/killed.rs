//! Killed while a log is restored into, brought up to a new schema, or saved
//! over an older backup: it is one whole log or the other, never between.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use engine::log::Body;
use rusqlite::Connection;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use store::{Form, New, Store};

const NOW: i64 = 1_760_000_000;
/// Kills of each sort of work.
const ROUNDS: u32 = 40;

fn a_log(path: &Path, entries: usize) -> Store {
    let mut store = Store::open(path).unwrap();
    let text = |n: usize| Body::Note {
        text: format!("{n} of {entries} {}", "long ".repeat(n % 90)).into(),
    };
    let news = (0..entries).map(|n| New::at(NOW, "UTC", text(n)));
    store.append_all(news.collect()).unwrap();
    store
}

/// Not a test of its own: what is killed. Run as part of the suite, without
/// `WORK`, it has nothing to do.
#[test]
fn worker() {
    let Ok(work) = std::env::var("WORK") else {
        return;
    };
    let folder = std::env::var("WORK_FOLDER").unwrap();
    let folder = Path::new(&folder);
    let log = folder.join("log.db");
    loop {
        let mut store = Store::open(&log).unwrap();
        match work.as_str() {
            "restore into" => {
                for from in ["small.db", "large.db"] {
                    let kept = store.restore_into(&folder.join(from)).unwrap();
                    std::fs::remove_file(kept).unwrap();
                }
            }
            "restore" => {
                drop(store);
                for from in ["small.db", "large.db"] {
                    let kept = Store::restore(&folder.join(from), &log).unwrap();
                    std::fs::remove_file(kept.unwrap()).unwrap();
                }
            }
            "save" => {
                store.backup_to(&folder.join("saved.db"), true).unwrap();
                let lines = folder.join("saved.jsonl");
                store.export_to(&lines, Form::JsonLines, true).unwrap();
            }
            // Opening it was the work.
            _ => return,
        }
    }
}

/// Kill the worker after `wait`.
fn kill_at_work(work: &str, folder: &Path, wait: Duration) {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "worker", "--nocapture", "--test-threads=1"])
        .env("WORK", work)
        .env("WORK_FOLDER", folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(wait);
    // It may have ended by itself, its work done.
    let _ = child.kill();
    let ended = child.wait().unwrap();
    assert!(
        ended.code().is_none_or(|c| c == 0),
        "the worker failed: {work}"
    );
}

/// Moments of the kill: spread over so much, none twice.
fn moments(most_ms: u64) -> impl Iterator<Item = Duration> {
    (0..ROUNDS).map(move |n| {
        let share = f64::from(n) * 0.618_033_988_75 % 1.0;
        Duration::from_secs_f64(0.003 + share * most_ms as f64 / 1000.0)
    })
}

#[test]
fn a_kill_during_a_restore_leaves_one_log_or_the_other() {
    for work in ["restore into", "restore"] {
        let dir = tempfile::tempdir().unwrap();
        let file = |name: &str| dir.path().join(name);
        for (name, entries) in [("small.db", 7), ("large.db", 400)] {
            let store = a_log(&file("from.db"), entries);
            store.backup_to(&file(name), false).unwrap();
            drop(store);
            std::fs::remove_file(file("from.db")).unwrap();
        }
        drop(a_log(&file("log.db"), 7));
        let mut seen = [0, 0];
        for wait in moments(500) {
            kill_at_work(work, dir.path(), wait);
            let store = Store::open_existing(&file("log.db")).unwrap();
            store.check().unwrap();
            match store.all_entries().unwrap().len() {
                7 => seen[0] += 1,
                400 => seen[1] += 1,
                other => panic!("{work}: {other} entries"),
            }
            // What is kept beside it is whole, too.
            for found in std::fs::read_dir(dir.path()).unwrap() {
                let path = found.unwrap().path();
                let name = path.file_name().unwrap().to_str().unwrap().to_owned();
                if name.contains(".replaced") && !name.ends_with("-wal") {
                    Store::open(&path).unwrap().check().unwrap();
                }
                // A second name of what is kept goes when that is opened.
                if name.starts_with("log.db.") && path.exists() {
                    std::fs::remove_file(&path).unwrap();
                }
            }
        }
        assert!(seen[0] > 0 && seen[1] > 0, "{work}: {seen:?}");
    }
}

#[test]
fn a_kill_while_an_old_log_is_brought_up_loses_nothing() {
    for wait in moments(60) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("log.db");
        Connection::open(&path)
            .unwrap()
            .execute_batch(include_str!("old/schema-1.sql"))
            .unwrap();
        kill_at_work("bring up", dir.path(), wait);
        let store = Store::open(&path).unwrap();
        store.check().unwrap();
        assert_eq!(store.all_entries().unwrap().len(), 14);
        // The copy from before is there and whole.
        let copy = Connection::open(dir.path().join("log.db.before-schema-2")).unwrap();
        let count: i64 = copy
            .query_row("SELECT count(*) FROM entry", [], |r| r.get(0))
            .unwrap();
        assert_eq!(count, 14);
    }
}

#[test]
fn a_kill_while_a_backup_is_saved_over_leaves_a_whole_one() {
    let dir = tempfile::tempdir().unwrap();
    let file = |name: &str| dir.path().join(name);
    let store = a_log(&file("log.db"), 300);
    store.backup_to(&file("saved.db"), false).unwrap();
    store
        .export_to(&file("saved.jsonl"), Form::JsonLines, false)
        .unwrap();
    drop(store);
    for wait in moments(120) {
        kill_at_work("save", dir.path(), wait);
        assert_eq!(
            Store::open(&file("saved.db"))
                .unwrap()
                .all_entries()
                .unwrap()
                .len(),
            300
        );
        let lines = std::fs::read_to_string(file("saved.jsonl")).unwrap();
        assert_eq!(lines.lines().count(), 300);
        assert_eq!(
            Store::open(&file("log.db"))
                .unwrap()
                .all_entries()
                .unwrap()
                .len(),
            300
        );
    }
}
