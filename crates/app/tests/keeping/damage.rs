//! A damaged log says so on every command and page, shows what can be read, and
//! offers to save it.

use super::home::Home;
use std::fs;

/// Commands that answer from the log.
const READING: [&[&str]; 8] = [
    &["bins"],
    &["bin", "1"],
    &["today"],
    &["shed"],
    &["settings"],
    &["now", "1"],
    &["plan", "1"],
    &["judge", "20 L coir_pith"],
];

#[test]
fn one_unreadable_entry_is_left_out_and_named_on_every_command() {
    let home = Home::with_log();
    home.flip("log.db", "the second note", "the Second note");
    for command in READING {
        let said = home.run(command);
        assert_eq!(said.code, 0, "{command:?} {}", said.err);
        assert!(said.err.contains("entry 4"), "{command:?} {}", said.err);
        assert!(said.err.contains("bedwright check"), "{}", said.err);
        assert_eq!(said.err.lines().count(), 1, "{}", said.err);
        let json = home.run(&[command, &["--json"]].concat()).json();
        assert!(
            json["log_notices"].to_string().contains("entry 4"),
            "{json}"
        );
    }
    let bin = home.run(&["bin", "1"]);
    assert!(bin.out.contains("the first note") && !bin.out.contains("econd note"));
    // A log in order says nothing of the kind.
    let sound = Home::with_log().run(&["bins", "--json"]);
    assert_eq!(sound.err, "");
    assert!(sound.json().get("log_notices").is_none());
}

#[test]
fn a_log_with_an_unreadable_entry_still_takes_entries() {
    let home = Home::with_log();
    home.flip("log.db", "the second note", "the Second note");
    let said = home.run(&["log", "1", "note", "and one more"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.err.contains("entry 4"), "{}", said.err);
    assert!(home.run(&["bin", "1"]).out.contains("and one more"));
}

#[test]
fn check_names_what_is_wrong_and_how_to_save_the_rest() {
    let home = Home::with_log();
    let sound = home.run(&["check", "--json"]).json();
    assert_eq!(
        (&sound["sound"], &sound["entries"]),
        (&true.into(), &4.into())
    );
    home.flip("log.db", "the first note", "The first note");
    let told = home.run(&["check"]);
    assert_eq!(told.code, 1, "{}", told.out);
    assert!(told.err.contains("entry 3"), "{}", told.err);
    assert!(told.err.contains("bedwright rescue"), "{}", told.err);
    let json = home.run(&["check", "--json"]);
    assert_eq!(json.code, 1);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["sound"], false);
    assert_eq!(json["unreadable"][0]["entry"], 3);
}

/// Each on a line of its own, and what to do comes last.
#[test]
fn check_names_much_that_is_wrong_a_line_each() {
    let home = Home::with_log();
    let lines: String = (5..30)
        .map(|id| {
            format!(
                r#"{{"id":{id},"bin":1,"at_unix_seconds":1795000000,"zone":"UTC","written_unix_seconds":1795000000,"body":{{"kind":"note","text":"word {id:02}"}},"engine_version":"0.1.0"}}{}"#,
                "\n"
            )
        })
        .collect();
    fs::write(home.path("more.jsonl"), lines).unwrap();
    assert_eq!(home.run(&["import", "more.jsonl"]).code, 0);
    assert_eq!(home.run(&["backup", "whole.db"]).code, 0);
    let told = |home: &Home| -> Vec<String> {
        let said = home.run(&["check"]);
        assert_eq!(said.code, 1, "{}", said.out);
        said.refused().lines().map(str::to_owned).collect()
    };
    let ends = |lines: &[String]| {
        let [.., rescue, newest] = lines else {
            panic!("{lines:?}");
        };
        assert!(rescue.starts_with("`bedwright rescue log.db NEW.db`"));
        assert!(newest.starts_with("The newest backup is "), "{newest}");
    };
    for id in 5..8 {
        home.flip("log.db", &format!("word {id:02}"), &format!("Word {id:02}"));
    }
    let three = told(&home);
    for (line, id) in three.iter().zip(5..8) {
        assert!(line.starts_with(&format!("entry {id} no longer")), "{line}");
    }
    assert_eq!(three.len(), 5, "{three:?}");
    ends(&three);
    for id in 8..30 {
        home.flip("log.db", &format!("word {id:02}"), &format!("Word {id:02}"));
    }
    let many = told(&home);
    assert_eq!(many.len(), 20 + 1 + 2, "{many:?}");
    assert!(many[19].starts_with("entry 24 no longer"), "{}", many[19]);
    assert!(many[20].starts_with("and 5 more"), "{}", many[20]);
    ends(&many);
}

#[test]
fn every_page_names_the_entry_left_out() {
    let home = Home::with_log();
    home.flip("log.db", "the second note", "the Second note");
    let server = home.serve();
    for page in [
        "/",
        "/bins/1",
        "/today",
        "/shed",
        "/settings",
        "/judge",
        "/bins/new",
        "/bins/1/dose",
    ] {
        let got = server.get(page);
        assert_eq!(got.status, 200, "{page} {}", got.words());
        let said = "One entry cannot be read and is left out. What to do";
        assert!(got.words().contains(said), "{page} {}", got.words());
        let text = String::from_utf8_lossy(&got.body).into_owned();
        assert!(text.contains("/settings/damage"), "{page}");
    }
    let help = server.get("/settings/damage");
    assert_eq!(help.status, 200, "{}", help.words());
    assert!(help.words().contains("entry 4"), "{}", help.words());
    let saved = server.get("/settings/rescued").body;
    fs::write(home.path("saved.db"), saved).unwrap();
    assert!(home.holds("saved.db", "the first note"));
    assert!(!home.holds("saved.db", "econd note"));
    assert_eq!(home.run_on("saved.db", &["check"]).code, 0);
}

#[test]
fn what_can_be_read_of_a_torn_log_is_rescued() {
    let home = Home::with_long_log();
    home.tear("log.db");
    let raw = fs::read(home.path("log.db")).unwrap();
    let said = home.run_on("nowhere.db", &["rescue", "log.db", "saved.db"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert_eq!(fs::read(home.path("log.db")).unwrap(), raw, "untouched");
    assert!(!home.path("nowhere.db").exists());
    let entries = home.entries("saved.db");
    assert!(entries.len() > 2500, "{}", entries.len());
    assert!(said.out.contains("missing"), "{}", said.out);
    assert_eq!(home.run_on("saved.db", &["check"]).code, 0);
    let json = home
        .run_on("nowhere.db", &["rescue", "log.db", "again.db", "--json"])
        .json();
    assert_eq!(json["schema"], "bedwright-rescue-1");
    assert!(json["saved"].as_u64().unwrap() > 2500);
    assert!(json["lost"].as_array().is_some_and(|l| !l.is_empty()));
    // Never over something that is there.
    let told = home.run_on("nowhere.db", &["rescue", "log.db", "saved.db"]);
    assert!(told.refused().contains("saved.db"), "{}", told.err);
    home.run_on("nowhere.db", &["rescue", "log.db", "log.db"])
        .refused();
}

#[test]
fn a_log_that_cannot_be_opened_has_one_clear_page() {
    let home = Home::with_long_log();
    assert_eq!(home.run(&["backup", "whole.db"]).code, 0);
    home.hostile(
        "log.db",
        "CREATE TRIGGER quiet BEFORE INSERT ON entry BEGIN SELECT RAISE(IGNORE); END;",
    );
    let told = home.run(&["log", "1", "note", "swallowed"]);
    assert!(told.refused().contains("bedwright rescue"), "{}", told.err);
    let server = home.serve();
    let refused = server.note("swallowed");
    assert!(refused.status >= 500, "{} {}", refused.status, refused.to);
    let words = refused.words();
    assert!(
        words.contains("log.db") && words.contains("rescue"),
        "{words}"
    );
    let saved = server.get("/settings/rescued");
    assert_eq!(saved.status, 200, "{}", saved.words());
    fs::write(home.path("saved.db"), saved.body).unwrap();
    // Every entry, and a note of where they come from.
    let (saved, whole) = (home.entries("saved.db"), home.entries("whole.db"));
    assert_eq!(saved.len(), whole.len() + 1);
    let bodies =
        |list: &[serde_json::Value]| -> Vec<_> { list.iter().map(|e| e["body"].clone()).collect() };
    assert_eq!(bodies(&saved)[..whole.len()], bodies(&whole)[..]);
}

/// A log with an entry of a kind that only a newer version knows.
#[test]
fn an_entry_of_a_newer_version_is_left_out_kept_and_named() {
    let home = Home::new();
    let old = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../store/tests/old/schema-1.sql"
    );
    home.hostile("log.db", &fs::read_to_string(old).unwrap());
    home.hostile(
        "log.db",
        r#"INSERT INTO entry VALUES (90, 1, 1793000000, 'UTC', 1793000000, 'moonlight', '{"kind":"moonlight","lux":0.2}', '9.0.0');"#,
    );
    home.note("after the upgrade");
    // Nothing says what is in that bin, so there is no estimate of it.
    let estimated = |c: &&&[&str]| !["now", "plan"].contains(&c[0]);
    for command in READING.iter().filter(estimated) {
        let said = home.run(command);
        assert_eq!(said.code, 0, "{command:?} {}", said.err);
        assert!(said.err.contains("entry 90"), "{command:?} {}", said.err);
    }
    assert!(home.run(&["bin", "1"]).out.contains("after the upgrade"));
    let server = home.serve();
    for (page, said) in [
        ("/", "One entry cannot be read"),
        ("/bins/1", "One entry cannot be read"),
        ("/settings", "One entry cannot be read"),
        ("/settings/damage", "entry 90"),
    ] {
        let got = server.get(page);
        assert_eq!(got.status, 200, "{page} {}", got.words());
        assert!(got.words().contains(said), "{page} {}", got.words());
    }
    // Carried along untouched; but a version that cannot read it does not put
    // it in place of a log it can read.
    assert_eq!(home.run(&["backup", "saved.db"]).code, 0);
    assert!(home.holds("saved.db", "moonlight"));
    let before = home.entries("log.db");
    let told = home.run(&["restore", "saved.db"]);
    assert!(told.refused().contains("entry 90"), "{}", told.err);
    let got = server.upload(
        "/settings/restore",
        &fs::read(home.path("saved.db")).unwrap(),
    );
    assert_eq!(got.status, 422, "{}", got.to);
    assert!(
        got.words().contains("Nothing was replaced"),
        "{}",
        got.words()
    );
    drop(server);
    assert_eq!(home.entries("log.db"), before);
}

/// Takes entries out of a log and leaves its schema as it was.
fn take_out(home: &Home, entries: &str) {
    let sql = "SELECT sql FROM sqlite_schema WHERE name = 'entry_is_never_deleted'";
    let db = rusqlite::Connection::open(home.path("log.db")).unwrap();
    let guard: String = db.query_row(sql, [], |r| r.get(0)).unwrap();
    db.execute_batch(&format!(
        "DROP TRIGGER entry_is_never_deleted; DELETE FROM entry WHERE id IN ({entries}); {guard};"
    ))
    .unwrap();
}

#[test]
fn entries_that_are_missing_are_told_of() {
    let home = Home::with_log();
    home.note("the third note");
    take_out(&home, "4");
    let said = home.run(&["bin", "1"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.err
            .contains("1 entry between entries 3 and 5 is missing"),
        "{}",
        said.err
    );
    let json = home.run(&["check", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["sound"], false);
    assert_eq!(json["missing"][0]["after_entry"], 3);
    // At the end too.
    take_out(&home, "5");
    assert!(home.run(&["check"]).refused().contains("missing"));
    // A backup that holds it all is not written over by one that does not.
    fs::write(home.path("good.db"), "good").unwrap();
    let told = home.run(&["backup", "good.db", "--replace"]);
    assert!(told.refused().contains("missing"), "{}", told.err);
    assert_eq!(fs::read(home.path("good.db")).unwrap(), b"good");
    let words = home.serve().get("/").words();
    assert!(words.contains("missing"), "{words}");
}

/// Cuts off the end of a file.
fn cut(home: &Home, keep: impl FnOnce(u64) -> u64) {
    let file = fs::File::options().write(true).open(home.path("log.db"));
    let file = file.unwrap();
    file.set_len(keep(file.metadata().unwrap().len())).unwrap();
}

/// Every page of a log that cannot be opened says so and what to do, and one of
/// them takes a backup in.
fn is_damaged_and_can_be_mended(home: &Home) {
    let server = home.serve();
    for page in ["/", "/bins/1", "/settings", "/today", "/settings/backup"] {
        let got = server.get(page);
        let words = got.words();
        assert_eq!(got.status, 503, "{page} {words}");
        assert!(words.contains("The log is damaged"), "{words}");
        assert!(words.contains("Save what can be read"), "{words}");
        assert!(words.contains("log.db.backups"), "{words}");
        assert!(
            !words.contains("safe") && !words.contains("our side"),
            "{words}"
        );
    }
    assert_eq!(server.note("not taken").status, 503);
    let help = server.get("/settings/damage");
    assert_eq!(help.status, 200, "{}", help.words());
    assert!(help.words().contains("automatic-"), "{}", help.words());
    assert!(String::from_utf8_lossy(&help.body).contains("/settings/restore"));
    assert_eq!(server.get("/settings/rescued").status, 200);
    let junk = server.upload("/settings/restore", b"SQLite format 3\0 and no more");
    assert_eq!(junk.status, 422, "{}", junk.words());
    assert!(
        junk.words().contains("Nothing was replaced"),
        "{}",
        junk.words()
    );
    assert_eq!(server.get("/").status, 503);
    let whole = fs::read(home.path("whole.db")).unwrap();
    let got = server.upload("/settings/restore", &whole);
    assert_eq!(got.status, 303, "{}", got.words());
    let words = server.get(&got.to).words();
    assert!(
        words.contains("log.db.replaced"),
        "names what is kept: {words}"
    );
    assert_eq!(server.get("/").status, 200);
    assert_eq!(server.note("after it was mended").status, 303);
    drop(server);
    assert!(home.holds("log.db", "after it was mended"));
}

#[test]
fn a_log_cut_in_half_is_mended_on_the_page() {
    let home = Home::with_long_log();
    assert_eq!(home.run(&["backup", "whole.db"]).code, 0);
    cut(&home, |long| long / 4096 / 2 * 4096);
    is_damaged_and_can_be_mended(&home);
}

#[test]
fn a_log_without_its_last_page_is_mended_on_the_page() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "whole.db"]).code, 0);
    cut(&home, |long| long - 4096);
    is_damaged_and_can_be_mended(&home);
}

#[test]
fn a_log_whose_beginning_was_written_over_names_rescue_and_backups() {
    let home = Home::with_log();
    assert_eq!(home.run(&["backup", "whole.db"]).code, 0);
    let mut bytes = fs::read(home.path("log.db")).unwrap();
    bytes[..100].fill(b'x');
    fs::write(home.path("log.db"), bytes).unwrap();
    let told = home.run(&["bin", "1"]);
    assert!(told.refused().contains("bedwright rescue"), "{}", told.err);
    assert!(told.err.contains("log.db.backups"), "{}", told.err);
    is_damaged_and_can_be_mended(&home);
    // What is none of ours stays that.
    fs::write(home.path("foreign.db"), "a shopping list\n".repeat(100)).unwrap();
    let told = home.run_on("foreign.db", &["bins"]);
    assert!(told.refused().contains("is not a Bedwright log"));
    assert!(!told.err.contains("rescue"), "{}", told.err);
}

#[test]
fn a_damaged_entry_is_told_of_briefly_everywhere_and_in_full_on_one_page() {
    let home = Home::with_log();
    home.flip("log.db", "the first note", "The first note");
    home.flip("log.db", "the second note", "The second note");
    let server = home.serve();
    let words = server.get("/").words();
    let said = "2 entries cannot be read and are left out. What to do";
    assert!(words.contains(said), "{words}");
    assert!(!words.contains("checksum"), "{words}");
    let help = server.get("/settings/damage").words();
    for number in ["entry 3", "entry 4"] {
        assert!(help.contains(number), "{help}");
    }
    assert!(
        help.contains("Porch, ") && !help.contains("checksum"),
        "{help}"
    );
    // Its own page, and what wants all of the log, say the same.
    let own = server.get("/bins/1/log/3");
    assert_eq!(own.status, 422, "{}", own.words());
    assert!(
        own.words().contains("This entry cannot be read"),
        "{}",
        own.words()
    );
    for export in [
        "/settings/log.jsonl",
        "/settings/log.csv",
        "/settings/backup",
    ] {
        let got = server.get(export);
        let words = got.words();
        assert_eq!(got.status, 503, "{export} {words}");
        assert!(words.contains("The log is damaged"), "{words}");
        assert!(words.contains("Save what can be read"), "{words}");
        assert!(!words.contains("safe"), "{words}");
    }
}
