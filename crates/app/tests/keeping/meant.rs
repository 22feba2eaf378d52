//! What can hardly be meant is asked about by command and page, a correction
//! as a new entry is; what an import takes in of it is told of afterwards.

use super::home::{Home, Server};
use std::fs;

/// A bin of 72 L with 30 L of coir, worms, and things done to it since.
fn kept() -> Home {
    let home = Home::new();
    let made = "add-bin Home --length 60 --width 40 --depth 30 --when 2026-10-01 --filled";
    let mut made: Vec<&str> = made.split(' ').collect();
    made.push("30 L coir_pith");
    done(&home, &made);
    for (what, when) in [
        (&["worms", "--grams", "300"][..], "2026-10-02"),
        (&["fed", "200 g apple"], "2026-10-10"),
        (&["water", "1 L"], "2026-10-12"),
        (&["water", "25 L"], "2026-10-14"),
        (&["harvest", "10 L"], "2026-10-16"),
    ] {
        done(&home, &[&["log", "1"], what, &["--when", when]].concat());
    }
    home
}

fn done(home: &Home, typed: &[&str]) {
    let said = home.run(typed);
    assert_eq!(said.code, 0, "{typed:?} {}", said.err);
}

/// Asked about by command, nothing being written, and taken once confirmed.
fn asked(home: &Home, typed: &[&str], words: &str) {
    let before = home.entries("log.db").len();
    let told = home.run(typed);
    assert!(told.refused().contains(words), "{typed:?} {}", told.err);
    assert!(told.err.contains("give --confirmed"), "{}", told.err);
    assert_eq!(home.entries("log.db").len(), before, "{typed:?}");
    fs::copy(home.path("log.db"), home.path("sure.db")).unwrap();
    let sure = home.run_on("sure.db", &[typed, &["--confirmed"]].concat());
    assert_eq!(sure.code, 0, "{typed:?} {}", sure.err);
}

/// Asked about on the page, nothing being written.
fn asked_on_page(server: &Server, path: &str, form: &str, words: &str) {
    let got = server.post(path, form);
    let said = got.words();
    assert_eq!(got.status, 422, "{form} {said}");
    assert!(said.contains("Is this right?"), "{form} {said}");
    assert!(said.contains(words), "{form} {said}");
}

/// Taken unasked, a neutralising value of 99 % for coir made thirty times the
/// lime of a bin.
#[test]
fn an_own_value_where_the_tables_have_none_is_asked_about() {
    let home = Home::with_log();
    let cases = [
        ("coir_pith", "neutralising_percent=99", "at most 30 %"),
        ("coir_pith", "cec_cmol_kg=0", "between 9.5 cmol/kg and 127"),
        ("apple", "ec_ms_cm=60", "at most 12 mS/cm"),
        ("apple", "cec_cmol_kg=400", "at most 330 cmol/kg"),
        (
            "limestone_calcitic",
            "cec_cmol_kg=400",
            "at most 330 cmol/kg",
        ),
        ("apple", "water_holding_g_per_g=30", "at most 5"),
    ];
    for (key, own, range) in cases {
        asked(&home, &["shed", "add", key, "--own", own], range);
    }
    for (key, own) in [
        ("coir_pith", "neutralising_percent=3"),
        ("coir_pith", "cec_cmol_kg=60"),
        ("apple", "neutralising_percent=0"),
        ("apple", "ec_ms_cm=2"),
        ("apple", "cec_cmol_kg=40"),
    ] {
        done(&home, &["shed", "add", key, "--own", own]);
    }
    // An import takes them in and tells of them.
    let last = home.entries("log.db").len();
    for (key, own, _) in &cases[..2] {
        done(&home, &["shed", "add", key, "--own", own, "--confirmed"]);
    }
    let log = home.run(&["export", "-"]).out;
    // Only the entries just written, not those before them.
    let file: String = log.split_inclusive('\n').skip(last).collect();
    fs::write(home.path("own.jsonl"), file).unwrap();
    let told = home.run_on("other.db", &["import", "own.jsonl"]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(
        told.err.contains("your own neutralising value of it 99 %"),
        "{}",
        told.err
    );
    assert!(
        told.err.contains("exchange capacity of it 0"),
        "{}",
        told.err
    );
}

#[test]
fn worms_too_few_or_too_light_to_be_meant_are_asked_about() {
    let home = Home::with_log();
    let little = "is too little to be measured";
    asked(&home, &["log", "1", "worms", "--grams", "0.0001"], little);
    let few = "the first worms of this bin 1 worms; usual is between 3 worms and";
    asked(&home, &["log", "1", "worms", "--count", "1"], few);
    let sizes = ["--length", "40", "--width", "30", "--depth", "25"];
    let new = [&["add-bin", "X"], &sizes[..], &["--worms-grams", "0.001"]].concat();
    asked(&home, &new, little);
    let server = home.serve();
    let when = "&when=2026-11-24T18:00";
    let form = |fields: &str| format!("kind=worms_in&{fields}{when}");
    asked_on_page(&server, "/bins/1/log", &form("grams=0.0001"), little);
    asked_on_page(&server, "/bins/1/log", &form("count=2"), "the first worms");
    drop(server);
    done(&home, &["log", "1", "worms", "--grams", "0.5"]);
    // One more, found on the floor.
    done(&home, &["log", "1", "worms", "--count", "1"]);
}

#[test]
fn a_correction_is_asked_what_a_new_entry_is() {
    let home = kept();
    let thin = "the bedding 0.0029 L; usual is between 0.72 L and 72 L";
    let sizes = ["--length", "60", "--width", "40", "--depth", "30"];
    let new = [
        &["add-bin", "X"],
        &sizes[..],
        &["--filled", "1 g coir_pith"],
    ]
    .concat();
    asked(&home, &new, thin);
    asked(
        &home,
        &["correct", "1", "2", "filled", "1 g coir_pith"],
        thin,
    );
    let bed = "bedding and food in this bin are 3";
    let most = "about 60 L of water; by the log, ".to_owned() + bed;
    // The later pour of the same week counts, and more than the bed is too much.
    let week = "about 85 L of water within a week";
    asked(&home, &["correct", "1", "5", "water", "60 L"], week);
    asked(&home, &["log", "1", "water", "60 L"], &most);
    done(&home, &["strike", "1", "6"]);
    asked(&home, &["correct", "1", "5", "water", "60 L"], &most);
    // Less than what was done with it since.
    let odd = "Entry 7 would then be odd. That is about";
    asked(
        &home,
        &["correct", "1", "2", "filled", "1 L coir_pith"],
        odd,
    );
    let early = ["log", "1", "drain", "14 L", "--when", "2026-10-15"];
    asked(&home, &early, odd);
    let server = home.serve();
    let when = "&when=2026-10-01T12:00";
    let fill = |amount: &str| format!("kind=filled&material1=coir_pith&amount1={amount}{when}");
    asked_on_page(&server, "/bins/1/log/2", &fill("1+g"), thin);
    asked_on_page(&server, "/bins/1/log/2", &fill("1+L"), odd);
    let pour = "kind=water&amount=60+L&when=2026-10-12T12:00";
    asked_on_page(&server, "/bins/1/log/5", pour, &most);
    drop(server);
    done(&home, &["correct", "1", "2", "filled", "28 L coir_pith"]);
    done(&home, &["correct", "1", "5", "water", "2 L"]);
}

#[test]
fn a_filling_written_anew_after_what_was_done_to_the_bed_is_asked_about() {
    let home = kept();
    done(&home, &["strike", "1", "2"]);
    let anew = |when| ["log", "1", "filled", "30 L coir_pith", "--when", when];
    let said = "after entry 3 (2026-10-02 12:00), which would then stand before the bin was filled";
    asked(&home, &anew("2026-10-20"), said);
    let server = home.serve();
    let form = "kind=filled&material1=coir_pith&amount1=30+L&when=2026-10-20T12:00";
    asked_on_page(&server, "/bins/1/log", form, said);
    drop(server);
    fs::copy(home.path("log.db"), home.path("old.db")).unwrap();
    fs::copy(home.path("log.db"), home.path("right.db")).unwrap();
    done(&home, &[&anew("2026-10-20")[..], &["--confirmed"]].concat());
    assert_eq!(home.run(&["export", "late.jsonl"]).code, 0);
    let told = home.run_on("old.db", &["import", "late.jsonl"]);
    assert_eq!(told.code, 0, "{}", told.err);
    let said = format!("dates the filling of bin 1 to 2026-10-20 12:00, {said}");
    assert!(told.err.contains(&said), "{}", told.err);
    // At its own time it is not asked about.
    let right = "log 1 filled --when 2026-10-01".split(' ');
    let right: Vec<&str> = right.chain(["31 L coir_pith"]).collect();
    let right = home.run_on("right.db", &right);
    assert_eq!(right.code, 0, "{}", right.err);
}

/// Ten litres of bin could not hold the thirty in it.
#[test]
fn an_import_that_describes_a_bin_too_small_for_what_is_in_it_says_so() {
    let home = kept();
    done(&home, &["backup", "page.db"]);
    let body = |side: u32| {
        format!(
            r#"{{"id":8,"bin":1,"at_unix_seconds":1795000000,"zone":"UTC","written_unix_seconds":1795000000,"body":{{"kind":"bin","name":"Home","length_cm":{side},"width_cm":{side},"depth_cm":{side},"walls":"plastic","lid":"vented","drains":true}},"engine_version":"0.1.0"}}"#
        )
    };
    fs::write(home.path("in.jsonl"), body(22)).unwrap();
    let told = home.run(&["import", "in.jsonl"]);
    assert_eq!(told.code, 0, "{}", told.err);
    let said = "ntry 8 describes bin 1: That is about 30 L of bedding, and this bin holds 11 L.";
    assert!(told.err.contains(said), "{}", told.err);
    let server = home.serve_on("page.db");
    let got = server.upload("/settings/import", body(22).as_bytes());
    assert_eq!(got.status, 303, "{}", got.words());
    let words = server.get(&got.to.replace("&amp;", "&")).words();
    assert!(words.contains(said), "{words}");
    drop(server);
    // One as large as it was is not told of.
    fs::write(
        home.path("in.jsonl"),
        body(40).replace("\"id\":8", "\"id\":9"),
    )
    .unwrap();
    let quiet = home.run(&["import", "in.jsonl"]);
    assert_eq!((quiet.code, &*quiet.err), (0, ""), "{}", quiet.err);
}

/// A correction is struck out with what it corrects; nothing comes back by it.
#[test]
fn striking_a_correction_is_asked_about() {
    let home = kept();
    // The apple of 10 October is entry 4.
    done(&home, &["correct", "1", "4", "fed", "70 g apple"]);
    let by = home.entries("log.db").len().to_string();
    asked(&home, &["strike", "1", &by], "strikes out both");
    let server = home.serve();
    let page = format!("/bins/1/log/{by}");
    asked_on_page(&server, &page, "strike=yes", "strikes out both");
    drop(server);
    done(&home, &["strike", "1", &by, "--confirmed"]);
    let strike = home.entries("log.db").len().to_string();
    let again = ["strike", "1", &strike];
    asked(
        &home,
        &again,
        "does not bring it back: to have it again, correct entry 4",
    );
}
