//! The invented shelf goes, and nothing of the keeper's goes with it.

use super::home::{Home, Server};
use rusqlite::{Connection, OpenFlags};
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};

const OWN_BIN: &str = "kind=bin&name=Mine&size=own&length=50&width=30&depth=28&walls=wood&lid=cover&drains=yes&material1=coir_pith&amount1=20+L&grams=250&when=2026-11-14T10:00";

fn names(home: &Home) -> Vec<String> {
    let bins = home.run(&["bins", "--json"]).json();
    let list = bins["bins"].as_array().unwrap();
    list.iter()
        .map(|b| b["name"].as_str().unwrap().to_owned())
        .collect()
}

fn shed(home: &Home) -> Vec<(String, bool, Value)> {
    let shed = home.run(&["shed", "--json"]).json();
    let list = shed["shed"].as_array().unwrap();
    list.iter()
        .map(|i| {
            let name = i["material"].as_str().unwrap().to_owned();
            (name, i["have"] == true, i["available"].clone())
        })
        .filter(|(_, have, _)| *have)
        .collect()
}

fn put_away(server: &Server) {
    let gone = server.post("/demo/away", "");
    assert_eq!(gone.status, 303, "{}", gone.words());
}

#[test]
fn putting_the_demo_away_leaves_the_keepers_own() {
    let home = Home::new();
    let server = home.serve();
    assert_eq!(server.post("/demo", "").status, 303);
    assert_eq!(server.post("/bins/new", OWN_BIN).status, 303);
    for shed in [
        &["shed", "add", "sawdust", "--have", "3 L"][..],
        &["shed", "add", "dolomite", "--have", "333 g"],
        &["settings", "units", "us"],
    ] {
        assert_eq!(home.run(shed).code, 0, "{shed:?}");
    }
    let shelf = server.get("/").words();
    assert!(
        shelf.contains("Mine") && shelf.contains("Attic tub"),
        "{shelf}"
    );
    put_away(&server);
    let shelf = server.get("/").words();
    assert!(
        shelf.contains("Mine") && !shelf.contains("Attic tub"),
        "{shelf}"
    );
    assert!(!shelf.contains("Invented"), "{shelf}");
    drop(server);
    assert_eq!(names(&home), ["Mine"]);
    let left = shed(&home);
    let items: Vec<&str> = left.iter().map(|i| i.0.as_str()).collect();
    assert_eq!(items.len(), 2, "{items:?}");
    assert!(
        left.contains(&("dolomite".into(), true, "333 g".into())),
        "{left:?}"
    );
    assert_eq!(
        home.run(&["settings", "--json"]).json()["settings"]["units"],
        "us"
    );
}

#[test]
fn the_demo_goes_by_command_too() {
    let home = Home::new();
    assert_eq!(home.run(&["demo"]).code, 0);
    let made = [
        "add-bin", "Mine", "--length", "50", "--width", "30", "--depth", "28",
    ];
    assert_eq!(home.run(&made).code, 0);
    let gone = home.run(&["demo", "--away"]);
    assert_eq!(gone.code, 0, "{}", gone.err);
    assert!(gone.out.contains("Your own bins stayed"), "{}", gone.out);
    assert_eq!(names(&home), ["Mine"]);
    assert!(shed(&home).is_empty());
    let again = home.run(&["demo", "--away"]);
    assert!(again.refused().contains("no demo"), "{}", again.err);
}

#[test]
fn what_was_written_in_an_invented_bin_stays_in_the_file() {
    let home = Home::new();
    let server = home.serve();
    assert_eq!(server.post("/demo", "").status, 303);
    assert_eq!(server.note("tried it out").status, 303);
    let shelf = server.get("/").words();
    assert!(shelf.contains("1 entry of yours"), "{shelf}");
    put_away(&server);
    drop(server);
    assert!(names(&home).is_empty());
    assert!(home.holds("log.db", "tried it out"));
}

#[test]
fn the_demo_says_when_the_keepers_own_stand_beside_it() {
    let home = Home::new();
    let server = home.serve();
    assert_eq!(server.post("/demo", "").status, 303);
    assert!(server.get("/").words().contains("Nothing here is your own"));
    assert_eq!(server.post("/bins/new", OWN_BIN).status, 303);
    let shelf = server.get("/").words();
    assert!(!shelf.contains("Nothing here is your own"), "{shelf}");
    assert!(shelf.contains("Your own bins stay"), "{shelf}");
    put_away(&server);
    assert_eq!(server.post("/demo/away", "").status, 409);
}

/// Whoever looks while the demo is made sees nothing of it or all of it.
#[test]
fn the_demo_comes_whole_or_not_at_all() {
    let home = Home::new();
    let log = home.path("log.db");
    let done = AtomicBool::new(false);
    let seen = std::thread::scope(|s| {
        let looking = s.spawn(|| {
            let mut seen = BTreeSet::new();
            while !done.load(Ordering::Relaxed) {
                if let Ok(db) = Connection::open_with_flags(&log, OpenFlags::SQLITE_OPEN_READ_ONLY)
                {
                    let count = |r: &rusqlite::Row<'_>| r.get::<_, i64>(0);
                    for _ in 0..200 {
                        let many = db.query_row("SELECT count(*) FROM entry", [], count);
                        seen.extend(many.ok());
                    }
                }
            }
            seen
        });
        let said = home.run(&["demo"]);
        done.store(true, Ordering::Relaxed);
        assert_eq!(said.code, 0, "{}", said.err);
        looking.join().unwrap()
    });
    let whole = home.entries("log.db").len() as i64;
    assert!(whole > 100);
    assert!(seen.iter().all(|n| [0, whole].contains(n)), "{seen:?}");
    let again = home.run(&["demo"]);
    assert!(again.refused().contains("empty log"), "{}", again.err);
}

/// A shelf made by a version that did not mark its entries.
#[test]
fn an_old_demo_goes_and_what_is_in_doubt_stays() {
    let home = Home::new();
    assert_eq!(home.run(&["demo"]).code, 0);
    let lines: String = home
        .entries("log.db")
        .into_iter()
        .map(|mut e| {
            let line = e.as_object_mut().unwrap();
            line.retain(|k, _| !["demo", "device", "sequence", "checksum"].contains(&k.as_str()));
            format!("{e}\n")
        })
        .collect();
    let old = Home::new();
    std::fs::write(old.path("old.jsonl"), lines).unwrap();
    assert_eq!(old.run(&["import", "old.jsonl"]).code, 0);
    let server = old.serve();
    assert!(server.get("/").words().contains("Invented demo shelf"));
    assert_eq!(server.post("/bins/new", OWN_BIN).status, 303);
    assert_eq!(
        old.run(&["shed", "add", "dolomite", "--have", "333 g"])
            .code,
        0
    );
    put_away(&server);
    drop(server);
    assert_eq!(names(&old), ["Mine"]);
    assert_eq!(shed(&old).len(), 1);
}

#[test]
fn a_page_left_open_on_an_invented_bin_takes_nothing_once_it_is_put_away() {
    let home = Home::new();
    let server = home.serve();
    assert_eq!(server.post("/demo", "").status, 303);
    assert_eq!(server.post("/demo/away", "").status, 303);
    let got = server.note("from a page left open");
    assert_eq!(got.status, 422, "{}", got.to);
    assert!(
        got.words().contains("This bin was put away"),
        "{}",
        got.words()
    );
    let shown = server.get("/bins/1").words();
    assert!(shown.contains("This bin was put away"), "{shown}");
    drop(server);
    assert!(!home.holds("log.db", "from a page left open"));
    // Nor by command.
    let refused = home.run(&["log", "1", "note", "from a page left open"]);
    let text = refused.refused();
    assert!(
        text.contains("bin 1 was one of the invented bins"),
        "{text}"
    );
    assert!(!home.holds("log.db", "from a page left open"));
}
