//! What was worked out of a log lies beside it as a cache: nobody has to trust it,
//! and answers say when there is more to learn.

use super::home::Home;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

/// A month of a bin in words, readings and a dose.
fn home() -> Home {
    let home = Home::with_log();
    let at = |day: u32| format!("2026-11-{day:02}T09:00Z");
    let kinds: [(u32, &[&str]); 8] = [
        (2, &["worms", "--grams", "250"]),
        (4, &["fed", "200 g kitchen_scraps_veg"]),
        (6, &["look", "squeeze-drops", "worms-spread"]),
        (8, &["reading", "6.5", "--instrument", "cheap_pen"]),
        (11, &["fed", "300 g kitchen_scraps_veg"]),
        (14, &["look", "food-gone", "worms-plump"]),
        (17, &["look", "worms-climbing", "smell-sour"]),
        (18, &["look", "worms-climbing"]),
    ];
    for (day, kind) in kinds {
        let when = at(day);
        let mut words = vec!["log", "1"];
        words.extend(kind);
        words.extend(["--when", &when, "--confirmed"]);
        let said = home.run_at("log.db", "2026-11-20T09:00Z", &words);
        assert_eq!(said.code, 0, "{words:?} {}", said.err);
    }
    home
}

fn folder(home: &Home) -> PathBuf {
    home.folder.path().join("log.db.settled")
}

fn files(home: &Home) -> Vec<String> {
    let all = fs::read_dir(folder(home)).into_iter().flatten().flatten();
    all.map(|e| e.file_name().into_string().unwrap()).collect()
}

fn now(home: &Home, settled: bool) -> Value {
    let mut words = vec!["now", "1", "--json"];
    words.extend(settled.then_some("--settled"));
    home.run_at("log.db", "2026-11-20T10:00Z", &words).json()
}

#[test]
fn deleting_what_was_worked_out_changes_no_bit_of_a_settled_answer() {
    let home = home();
    let first = now(&home, true);
    assert_eq!(first["still_settling"], Value::Bool(false));
    assert!(files(&home).iter().any(|f| f.ends_with(".lived")));
    assert!(!files(&home).iter().any(|f| f.ends_with(".moving")));
    assert_eq!(first, now(&home, true));
    fs::remove_dir_all(folder(&home)).unwrap();
    assert_eq!(first, now(&home, true));
    // Nor does what is damaged, or not ours.
    for file in files(&home) {
        fs::write(folder(&home).join(file), b"\x07nonsense").unwrap();
    }
    fs::write(folder(&home).join("0-1-5-7.lived"), b"of another build").unwrap();
    assert_eq!(first, now(&home, true));
}

#[test]
fn asked_again_and_again_an_answer_settles_where_waiting_would_bring_it() {
    let home = home();
    fs::remove_dir_all(folder(&home)).unwrap();
    let mut asked = 0;
    let last = loop {
        let answer = now(&home, false);
        if answer["still_settling"] == Value::Bool(false) {
            break answer;
        }
        asked += 1;
        assert!(asked < 200);
    };
    fs::remove_dir_all(folder(&home)).unwrap();
    assert_eq!(last, now(&home, true));
}

/// Another seed is another draw, and leaves what the first one answers as it was.
#[test]
fn another_seed_is_another_draw_of_the_same_log() {
    let home = home();
    let first = now(&home, true);
    let with = |seed: &str| {
        let words = ["now", "1", "--json", "--settled", "--seed", seed];
        home.run_at("log.db", "2026-11-20T10:00Z", &words).json()
    };
    let other = with("7");
    assert_ne!(first["now"]["ph"], other["now"]["ph"]);
    assert_eq!(other, with("7"));
    assert_eq!(first, now(&home, true));
    let refused = home.run(&["now", "1", "--seed", "many"]);
    assert!(
        refused.code != 0 && refused.err.contains("--seed"),
        "{}",
        refused.err
    );
}

/// Nothing is kept of a log that is not there.
#[test]
fn no_folder_is_made_for_a_log_that_is_not_there() {
    let home = Home::new();
    let said = home.run(&["bins"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(!folder(&home).exists());
}
