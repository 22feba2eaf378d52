//! Clocks that are ahead, and what an import takes in unasked.

use super::home::Home;
use std::fs;

/// What a machine writes with its clock ahead cannot be put right later: it is
/// asked about, and what was confirmed can be had back from an export all the same.
#[test]
fn a_clock_far_ahead_is_asked_about_and_its_export_can_be_taken_in() {
    let home = Home::with_log();
    let ahead = "2099-11-01T10:00";
    for words in [
        &["log", "1", "note", "far"][..],
        &["shed", "add", "coir_pith", "--have", "2 kg"],
        &[
            "add-bin", "New", "--length", "60", "--width", "40", "--depth", "30",
        ],
    ] {
        let asked = home.run_at("log.db", ahead, words);
        let told = asked.refused();
        assert!(
            told.contains("2099-11-01 10:00 by the clock of this machine, long after what was written last in this log"),
            "{told}"
        );
        assert!(told.contains("--confirmed"), "{told}");
    }
    assert_eq!(home.entries("log.db").len(), 4);
    let note = ["log", "1", "note", "far", "--confirmed"];
    assert_eq!(home.run_at("log.db", ahead, &note).code, 0);
    for form in [&["all.jsonl"][..], &["all.csv", "--csv"]] {
        assert_eq!(home.run(&[&["export"], form].concat()).code, 0);
        let new = format!("of {}.db", form[0]);
        let taken = home.run_on(&new, &[&["import"], form].concat());
        assert_eq!(taken.code, 0, "{}", taken.err);
        assert_eq!(home.entries(&new), home.entries("log.db"));
    }
    // A line without its checksum is a line somebody wrote.
    let lines = fs::read_to_string(home.path("all.jsonl")).unwrap();
    let mut by_hand: Vec<serde_json::Value> = lines
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect();
    for line in &mut by_hand {
        line.as_object_mut().unwrap().remove("checksum");
    }
    let text: Vec<String> = by_hand.iter().map(ToString::to_string).collect();
    fs::write(home.path("hand.jsonl"), text.join("\n")).unwrap();
    let refused = home.run_on("hand.db", &["import", "hand.jsonl"]);
    assert!(
        refused.refused().contains("is still to come"),
        "{}",
        refused.err
    );
}

/// Own values far from their material are asked about at every other door.
#[test]
fn an_import_tells_of_own_values_far_from_their_material() {
    let home = Home::with_log();
    let odd = ["shed", "add", "coir_pith", "--own", "ph=12", "--confirmed"];
    assert_eq!(home.run(&odd).code, 0);
    let near = ["shed", "add", "coir_pith", "--own", "ph=6.1"];
    assert_eq!(home.run(&near).code, 0);
    assert_eq!(home.run(&["export", "all.jsonl"]).code, 0);
    let told = home.run_on("new.db", &["import", "all.jsonl"]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(told.err.contains("entry 5, coir_pith:"), "{}", told.err);
    assert!(told.err.contains("12"), "{}", told.err);
    assert!(!told.err.contains("entry 6"), "{}", told.err);
}
