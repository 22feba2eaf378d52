//! The command line, word for word. Each file of `cases` is a story: a line
//! that starts with `$ ` is run in the story's own folder, and what follows is
//! what it must print: standard output, then standard error with `! ` before
//! each line, then the exit code. `RECORD=1 cargo test -p app --test
//! command_line` writes the stories anew; read the difference before keeping it.

#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test that cannot go on fails the test"
)]

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of its own, with the files of `cases/files` in it and no log.
struct Desk {
    folder: tempfile::TempDir,
}

fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let files = folder.path().join("files");
        std::fs::create_dir(&files).unwrap();
        for entry in std::fs::read_dir(cases().join("files")).unwrap() {
            let from = entry.unwrap();
            std::fs::copy(from.path(), files.join(from.file_name())).unwrap();
        }
        Self { folder }
    }

    fn file(&self, name: &str, text: &str) -> String {
        std::fs::write(self.folder.path().join(name), text).unwrap();
        name.to_owned()
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_bedwright"));
        command
            .current_dir(self.folder.path())
            .env("TZ", "Europe/Paris")
            .args(["--data", "log.db"]);
        if !arguments.contains(&"--now") {
            command.args(["--now", "2026-11-24T18:05"]);
        }
        command.args(arguments).output().unwrap()
    }

    /// The JSON of an answer.
    fn json(&self, arguments: &[&str]) -> Value {
        let output = self.run(arguments);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        serde_json::from_slice(&output.stdout).unwrap()
    }

    /// Standard error and exit code of a refusal; nothing may be answered.
    fn refused(&self, arguments: &[&str]) -> (Vec<String>, i32) {
        let output = self.run(arguments);
        assert_eq!(String::from_utf8_lossy(&output.stdout), "");
        let lines = String::from_utf8_lossy(&output.stderr)
            .lines()
            .map(str::to_owned)
            .collect();
        (lines, output.status.code().unwrap())
    }
}

/// Words of a line; double quotes keep spaces in one word.
fn words(line: &str) -> Vec<String> {
    let mut list = Vec::new();
    let mut word: Option<String> = None;
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => {
                quoted = !quoted;
                word.get_or_insert_default();
            }
            ' ' if !quoted => list.extend(word.take()),
            c => word.get_or_insert_default().push(c),
        }
    }
    list.extend(word);
    list
}

fn answered(desk: &Desk, line: &str) -> String {
    let typed = words(line);
    let output = desk.run(&typed.iter().map(String::as_str).collect::<Vec<_>>());
    let mut text = format!("$ {line}\n");
    text.push_str(&String::from_utf8(output.stdout).unwrap());
    for fault in String::from_utf8(output.stderr).unwrap().lines() {
        text.push_str(&format!("! {fault}\n"));
    }
    text.push_str(&format!("-> {}\n\n", output.status.code().unwrap()));
    text
}

fn story(name: &str) {
    let path = cases().join(format!("{name}.txt"));
    let expected = std::fs::read_to_string(&path).unwrap();
    let desk = Desk::new();
    let told: String = expected
        .lines()
        .filter_map(|l| l.strip_prefix("$ "))
        .map(|line| answered(&desk, line))
        .collect();
    if std::env::var_os("RECORD").is_some() {
        std::fs::write(&path, &told).unwrap();
        return;
    }
    for (n, (is, should)) in told.lines().zip(expected.lines()).enumerate() {
        assert_eq!(is, should, "{name}.txt line {}", n + 1);
    }
    assert_eq!(told.lines().count(), expected.lines().count(), "{name}.txt");
}

#[test]
fn a_mix_is_judged() {
    story("mix");
}

#[test]
fn a_dose_is_planned() {
    story("dose");
}

#[test]
fn a_shelf_is_kept() {
    story("shelf");
}

#[test]
fn the_house_is_in_order() {
    story("house");
}

#[test]
fn the_invented_shelf_opens_once() {
    story("demo");
}

#[test]
fn the_tools_answer() {
    story("tools");
}

#[test]
fn a_living_bin_is_told_of() {
    story("living");
}

#[test]
fn a_scenario_is_played() {
    story("simulate");
}

fn number(v: &Value, path: &str) -> f64 {
    v.pointer(path)
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("no number at {path}"))
}

#[test]
fn unlimed_peat_is_not_ready_and_its_lime_is_stated_with_the_wait() {
    let answer = Desk::new().json(&["mix", "files/peat.toml", "--json"]);
    assert_eq!(answer["verdict"], "ready_after");
    assert!(number(&answer, "/ph/high") < 5.5);
    assert!(number(&answer, "/lime/grams/median") > 50.0);
    assert!(number(&answer, "/ready_after/days/soonest") >= 7.0);
    let text = answer["ready_after"]["what"][0].as_str().unwrap();
    for said in ["tablespoons", " g)", "10-litre bucket", "days", "eyes"] {
        assert!(text.contains(said), "{said}: {text}");
    }
}

#[test]
fn lime_adjusted_peat_with_outdoor_compost_reads_about_7_1() {
    let answer = Desk::new().json(&["mix", "files/limed-and-compost.toml", "--json"]);
    assert!(number(&answer, "/ph/low") <= 7.1 && number(&answer, "/ph/high") >= 7.1);
    assert!((number(&answer, "/ph/median") - 7.1).abs() <= 0.3);
}

#[test]
fn caustic_lime_is_refused_with_worms_in() {
    let answer = Desk::new().json(&["dose", "files/acid.toml", "--json"]);
    assert_eq!(answer["direction"], "raise");
    let refused = answer["refused"].as_array().unwrap();
    assert_eq!(refused.len(), 1);
    assert_eq!(refused[0]["material"], "hydrated_lime");
    assert!(refused[0]["reason"].as_str().unwrap().contains("Caustic"));
    for step in answer["plan"]["steps"].as_array().unwrap() {
        assert!(number(step, "/reread_day") > number(step, "/day"));
        assert!(number(step, "/grams") > 0.0);
    }
}

#[test]
fn an_over_limed_bed_is_brought_down() {
    let answer = Desk::new().json(&["dose", "files/over.toml", "--json"]);
    assert_eq!(answer["direction"], "lower");
    assert!(number(&answer, "/needed_base_meq/median") < 0.0);
    assert_eq!(answer["plan"]["material"], "peat_sphagnum_unlimed");
    assert!(number(&answer, "/plan/steps/0/ph_after/median") < number(&answer, "/ph/median"));
}

#[test]
fn a_bed_at_6_8_needs_no_dose() {
    let answer = Desk::new().json(&["dose", "files/well.toml", "--json"]);
    assert_eq!(answer["direction"], "stay");
    assert!(answer["plan"].is_null());
    assert!(answer["why"].as_str().unwrap().contains("No dose needed"));
}

#[test]
fn a_stocked_bed_without_a_settled_reading_gets_no_plan() {
    let desk = Desk::new();
    for file in ["files/unread.toml", "files/local.toml"] {
        let answer = desk.json(&["dose", file, "--json"]);
        assert!(answer["plan"].is_null(), "{file}");
        assert!(answer["why"].as_str().unwrap().contains("no settled pH"));
    }
    let local = desk.json(&["dose", "files/local.toml", "--json"]);
    assert_eq!(local["readings"][0]["settled"], false);
    assert_eq!(local["readings"][0]["local_after"], "dose");
    // The liquor's 5.6 is the place; the bed is not taken to have moved there.
    assert!(number(&local, "/ph/high") < 5.2);
}

#[test]
fn what_was_given_is_counted() {
    let answer = Desk::new().json(&["dose", "files/dosed.toml", "--json"]);
    assert_eq!(answer["running_total"]["doses"], 1);
    // 80 g of lime is at most 1600 meq.
    let given = number(&answer, "/running_total/given_meq");
    assert!((1000.0..=1650.0).contains(&given), "{given}");
}

#[test]
fn every_fault_has_its_line() {
    let desk = Desk::new();
    let file = desk.file(
        "two.toml",
        "[[parts]]\nmaterial = \"coir_pith\"\namount = \"20\"\nph = 56\n",
    );
    let (lines, code) = desk.refused(&["mix", &file, "--json"]);
    assert_eq!(code, 2);
    assert_eq!(lines.len(), 2, "{lines:?}");
    assert!(lines[0].starts_with("two.toml:3: "));
    assert!(lines[1].starts_with("two.toml:4: "));
}

#[test]
fn a_refusal_leaves_the_log_as_it_was() {
    let desk = Desk::new();
    desk.json(&[
        "add-bin",
        "A",
        "--length",
        "40",
        "--width",
        "30",
        "--depth",
        "25",
        "--filled",
        "20 L coir_pith",
        "--json",
    ]);
    let before = desk.run(&["export", "-"]).stdout;
    for refused in [
        vec!["log", "1", "reading", "56", "--instrument", "pen"],
        vec!["log", "1", "reading", "7.0", "--instrument", "probe"],
        vec!["log", "9", "turned"],
        vec!["log", "1", "dose", "2 spoons limestone_calcitic"],
        vec!["correct", "1", "77", "turned"],
        vec!["shed", "add", "dolomite", "--own", "ph=70"],
        vec!["settings", "units", "cubits"],
        vec![
            "add-bin", "B", "--length", "1", "--width", "30", "--depth", "25",
        ],
    ] {
        let (lines, code) = desk.refused(&refused);
        assert_eq!(code, 2, "{refused:?}");
        assert_eq!(lines.len(), 1, "{refused:?}: {lines:?}");
    }
    assert_eq!(desk.run(&["export", "-"]).stdout, before);
    let kept = desk.json(&[
        "log",
        "1",
        "reading",
        "7.0",
        "--instrument",
        "probe",
        "--confirmed",
        "--json",
    ]);
    assert_eq!(kept["bin"], 1);
}

#[test]
fn the_same_question_has_the_same_answer() {
    let desk = Desk::new();
    let ask = || desk.run(&["dose", "files/acid.toml", "--json"]).stdout;
    assert_eq!(ask(), ask());
}

fn keys(v: &Value) -> Vec<&str> {
    v.as_object().unwrap().keys().map(String::as_str).collect()
}

/// Keys may be added to the contracts, never taken away.
fn holds(v: &Value, wanted: &[&str]) {
    for key in wanted {
        assert!(keys(v).contains(key), "{key} is gone from {:?}", keys(v));
    }
}

#[test]
fn the_keys_of_the_contracts_stay() {
    let desk = Desk::new();
    let mix = desk.json(&["mix", "files/peat.toml", "--json"]);
    holds(
        &mix,
        &[
            "schema",
            "ph",
            "moisture_percent",
            "cn",
            "air_filled_porosity",
            "ec_ms_per_cm",
            "dry_kg",
            "volume_l",
            "verdict",
            "ready_after",
            "reasons",
            "ph_in_four_weeks",
            "water_to_add_l",
            "ammonia_mg_per_g",
            "heating_celsius",
            "lime",
            "chances",
        ],
    );
    for band in [
        "ph",
        "moisture_percent",
        "cn",
        "air_filled_porosity",
        "ec_ms_per_cm",
        "dry_kg",
        "volume_l",
    ] {
        assert_eq!(keys(&mix[band]), ["high", "low", "median"]);
        assert!(number(&mix[band], "/low") <= number(&mix[band], "/median"));
        assert!(number(&mix[band], "/median") <= number(&mix[band], "/high"));
    }
    holds(
        &mix["reasons"][0],
        &["topic", "weight", "text", "remedy", "days", "fatal"],
    );
    let weights: Vec<f64> = mix["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| number(r, "/weight"))
        .collect();
    assert!(weights.is_sorted_by(|a, b| a >= b), "{weights:?}");
    let dose = desk.json(&["dose", "files/acid.toml", "--json"]);
    holds(
        &dose,
        &[
            "schema",
            "ph",
            "ph_to_come",
            "direction",
            "why",
            "target_ph",
            "needed_base_meq",
            "options",
            "plan",
            "refused",
            "running_total",
            "readings",
            "also",
            "look_again_days",
            "questions",
        ],
    );
    holds(
        &dose["options"][0],
        &[
            "material",
            "grams",
            "measure",
            "acted",
            "path",
            "ec_rise_ms_per_cm",
            "ammonia_factor",
            "cautions",
            "enough",
        ],
    );
    holds(
        &dose["plan"]["steps"][0],
        &[
            "grams",
            "measure",
            "day",
            "ph_after",
            "reread_day",
            "if_lower",
            "as_expected",
            "if_higher",
            "how",
            "limit",
        ],
    );
}

fn example() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/examples/simulate.toml");
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn the_books_of_the_documented_scenario_close() {
    let desk = Desk::new();
    let file = desk.file("example.toml", &example());
    let answer = desk.json(&["simulate", &file, "--json"]);
    let days = answer["days"].as_array().unwrap();
    assert_eq!(days.len(), 71);
    assert_eq!(days[70]["date"], "2026-06-10");
    for (name, book) in answer["balances"].as_object().unwrap() {
        let turned = number(book, "/in/high") + number(book, "/made/high");
        let gap = number(book, "/largest_gap");
        assert!(turned > 0.0 && gap <= 1e-9 * turned, "{name}: {gap}");
        let went = number(book, "/to_air/median") + number(book, "/held/median");
        assert!(went > 0.0, "{name}");
    }
    for day in days {
        for name in answer["units"].as_object().unwrap().keys() {
            let at = |part: &str| number(day, &format!("/{name}/{part}"));
            assert!(
                at("low") <= at("median") && at("median") <= at("high"),
                "{name}"
            );
        }
    }
    assert_eq!(answer, desk.json(&["simulate", &file, "--json"]));
}

#[test]
fn a_scenario_with_faults_is_refused_with_a_line_each() {
    let desk = Desk::new();
    let sound = example();
    for (from, to, said) in [
        ("days = 70", "days = 7000", "days"),
        ("days = 70", "days = 70.5", "whole number"),
        ("seed = 7", "seeed = 7", "unknown key"),
        ("members = 400", "members = 0", "members"),
        ("walls = \"wood\"", "walls = \"straw\"", "plastic, wood"),
        ("length_cm = 60", "length_cm = \"60\"", "length_cm"),
        ("swing_celsius = 8", "swing_celsius = -8", "swing"),
        (
            "lows_celsius  = [ 9,",
            "lows_celsius  = [ ",
            "6 lows and 7 highs",
        ),
        ("amount = \"0.5 L\"", "amount = \"0.5 bushels\"", "bushels"),
        ("do = \"water\"", "do = \"bless\"", "bless"),
        ("adults = 350", "adults = -1", "adults"),
        ("\"eisenia_fetida\"", "\"lumbricus\"", "lumbricus"),
        ("\"smell_earthy\"", "\"smell_of_roses\"", "smell_of_roses"),
        ("values = [6.4, 6.6, 6.3]", "values = [64]", "pH"),
        ("instrument = \"cheap_pen\"", "", "instrument"),
        ("date = \"2026-05-20\"", "date = \"2027-05-20\"", "date"),
        ("until_day = 24", "until_day = 90", "until_day"),
    ] {
        let bad = sound.replacen(from, to, 1);
        assert_ne!(bad, sound, "{from}");
        let file = desk.file("bad.toml", &bad);
        let (lines, code) = desk.refused(&["simulate", &file, "--json"]);
        assert_eq!(code, 2, "{to}");
        assert_eq!(lines.len(), 1, "{to}: {lines:?}");
        assert!(lines[0].starts_with("bad.toml:"), "{}", lines[0]);
        assert!(lines[0].contains(said), "{to}: {}", lines[0]);
    }
}

#[test]
fn the_keys_of_the_living_contracts_stay() {
    let desk = Desk::new();
    assert!(desk.run(&["demo"]).status.success());
    let now = desk.json(&["now", "1", "--json"]);
    holds(
        &now,
        &[
            "schema",
            "bin",
            "name",
            "stocked",
            "now",
            "units",
            "troubles",
            "taught",
            "look",
            "fed_days_ago",
            "contradictions",
        ],
    );
    assert!(number(&now, "/now/worms_kg/median") > 0.0);
    let ration = desk.json(&["ration", "1", "300 g kitchen_scraps_veg", "--json"]);
    holds(
        &ration,
        &[
            "schema",
            "grams",
            "parts",
            "feed_from",
            "bedding",
            "water_grams",
            "look_in_days",
            "held_by",
            "chances",
            "could_take_grams_per_day",
            "kg_per_kg_worms_per_day",
            "published_kg_per_kg_worms_per_day",
            "food_left_share",
            "cautions",
        ],
    );
    let fed = desk.json(&["outlook", "2", "--days", "21", "--json"]);
    let starved = desk.json(&["outlook", "2", "--days", "21", "--no-feeding", "--json"]);
    assert_eq!(fed["days"].as_array().unwrap().len(), 22);
    assert_eq!(fed["present_plan"], true);
    assert_eq!(starved["present_plan"], false);
    assert_eq!(fed["days"][0], starved["days"][0]);
    let castings = |v: &Value| number(v, "/days/21/contents_kg/median");
    assert!(castings(&starved) < castings(&fed));
    for alarm in fed["alarms"].as_array().unwrap() {
        let days = alarm["chance_by_day"].as_array().unwrap();
        assert!(days.is_sorted_by(|a, b| a.as_f64() <= b.as_f64()));
    }
    let today = desk.json(&["today", "--json"]);
    holds(
        &today,
        &["schema", "bins", "now", "later", "nothing_until_days"],
    );
    assert_eq!(today["bins"], 4);
    for task in today["now"].as_array().unwrap() {
        holds(
            task,
            &["bin", "kind", "what", "why", "by_days", "if_it_waits"],
        );
        assert!(number(task, "/by_days") < 1.0);
    }
}

#[test]
fn a_heat_wave_in_a_file_warms_the_bin() {
    let desk = Desk::new();
    assert!(desk.run(&["demo"]).status.success());
    let hot = format!("low_celsius,high_celsius\n{}", "30,42\n".repeat(7));
    let file = desk.file("hot.csv", &hot);
    let with = desk.json(&["outlook", "2", "--days", "7", "--air", &file, "--json"]);
    let without = desk.json(&["outlook", "2", "--days", "7", "--json"]);
    let core = |v: &Value| number(v, "/days/7/core_celsius/median");
    assert!(core(&with) > core(&without) + 5.0);
    let bad = desk.file("bad.csv", "low_celsius,high_celsius\n20,10\nx,5\n");
    let (lines, code) = desk.refused(&["outlook", "2", "--air", &bad]);
    assert_eq!((lines.len(), code), (2, 2), "{lines:?}");
    assert!(lines[0].starts_with("bad.csv:2: "));
}

#[test]
fn the_web_app_starts_on_a_free_port_and_says_where() {
    use std::io::{BufRead, BufReader, Read, Write};
    let desk = Desk::new();
    let mut child = Command::new(env!("CARGO_BIN_EXE_bedwright"))
        .current_dir(desk.folder.path())
        .args(["--data", "log.db", "serve", "--port", "0"])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let first = lines.next().unwrap().unwrap();
    let second = lines.next().unwrap().unwrap();
    let address = first
        .strip_prefix("Bedwright is at http://")
        .and_then(|a| a.strip_suffix('/'))
        .unwrap()
        .to_owned();
    let mut page = String::new();
    let mut socket = std::net::TcpStream::connect(&address).unwrap();
    write!(
        socket,
        "GET / HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    socket.read_to_string(&mut page).unwrap();
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(second, "Your data is in log.db");
    assert!(page.starts_with("HTTP/1.1 "), "{page}");
}
