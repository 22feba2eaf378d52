//! Scenarios played from a file, and the app coming up.

use super::desk::{Desk, number};
use std::path::Path;
use std::process::Command;

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
        let went = number(book, "/to_air/high") + number(book, "/held/median");
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
        (
            "material = \"kitchen_scraps_veg\"",
            "material = \"quicklime\"",
            "never fed",
        ),
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

/// It was refused as "entry 2", without file or line, once the play was begun.
#[test]
fn an_amount_the_bin_cannot_hold_is_refused_at_its_line() {
    let desk = Desk::new();
    let begun = "days = 10\n[[parts]]\nmaterial = \"coir_pith\"\namount = \"20 L\"\n";
    let action = |what: &str, amount: &str| {
        format!("{begun}[[actions]]\n{what}\namount = \"{amount}\"\nday = 2\n")
    };
    let feed = "do = \"feed\"\nmaterial = \"apple\"";
    let bedding = "do = \"bedding\"\nmaterial = \"coir_pith\"";
    let many =
        format!("{begun}[[parts]]\nmaterial = \"peat_sphagnum_unlimed\"\namount = \"400 L\"\n");
    for (text, line, amount) in [
        (action(feed, "200 kg"), 8, "apple `200 kg`"),
        (action(bedding, "900 L"), 8, "coir_pith `900 L`"),
        (action("do = \"water\"", "900 L"), 7, "`900 L`"),
        (many, 7, "`400 L`"),
    ] {
        let file = desk.file("much.toml", &text);
        let (lines, code) = desk.refused(&["simulate", &file]);
        assert_eq!(code, 2, "{lines:?}");
        assert!(
            lines[0].contains(&format!("much.toml:{line}: `amount`: ")),
            "{lines:?}"
        );
        assert!(lines[0].contains(amount), "{lines:?}");
        assert!(
            lines[0].contains("outside the allowed range 0 to "),
            "{lines:?}"
        );
        assert!(lines[0].chars().count() <= 300, "{lines:?}");
        assert_eq!(lines.len(), 1, "{lines:?}");
    }
}

#[test]
fn brackets_without_end_are_refused_in_words() {
    let desk = Desk::new();
    let text = format!("days = {}{}\n", "[".repeat(500), "]".repeat(500));
    let file = desk.file("deep.toml", &text);
    for command in ["simulate", "mix", "dose"] {
        let (lines, code) = desk.refused(&[command, &file]);
        assert_eq!(code, 2, "{lines:?}");
        assert!(lines[0].contains("stand one inside another"), "{lines:?}");
    }
}
