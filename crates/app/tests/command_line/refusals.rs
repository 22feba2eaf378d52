//! Every argument that takes a value, with bad values of each kind: what is
//! refused names the value and says what may be given, in plain words and in
//! at most 300 characters.

use super::desk::Desk;
use app::args::CommandLine;
use clap::CommandFactory;
use std::collections::BTreeSet;

/// Longest message [characters].
const LONGEST: usize = 300;
/// Words of the inside that say nothing to a keeper.
const INNER: [&str; 10] = [
    "struct",
    "Err(",
    "products",
    "serde",
    "TryFrom",
    "ParseInt",
    "invalid digit",
    "target type",
    "unexpected argument",
    "panicked",
];
/// What is said of what may be given.
const ALLOWED: [&str; 14] = [
    " to ",
    "such as",
    "one of",
    "known are",
    "nearest",
    "write",
    "Write",
    "give",
    "list",
    "there is no",
    "must be",
    "Please",
    "not known",
    "`--help`",
];

/// Commands with the place of one value, `{}`; no bad value of it is taken.
const LINES: [&str; 37] = [
    "log 1 reading --instrument good_pen {}",
    "log 1 reading --of {} 5",
    "log 1 reading --instrument {} 5",
    "log 1 reading --instrument good_pen --at {} 5",
    "log 1 look {}",
    "log 1 fed {}",
    "log 1 dose {}",
    "log 1 water {}",
    "log 1 drain {}",
    "log 1 filled {}",
    "log 1 bedding {}",
    "log 1 worms --grams {}",
    "log 1 worms --count {}",
    "log 1 worms --grams 5 --species {}",
    "log 1 worm-count {}",
    "log 1 worm-count 5 --litres {}",
    "log 1 harvest {}",
    "log 1 turned --when {}",
    "log {} turned",
    "correct 1 {} turned",
    "strike 1 {}",
    "bin {}",
    "outlook 1 --days {}",
    "away 1 {}",
    "plan 1 --target {}",
    "jar-test 1 --instrument good_pen --jar 0=5 --jar {}",
    "tray-test --trusted 3 --suspect 3 --hours {}",
    "judge {}",
    "shed add limestone_calcitic --have {}",
    "shed add limestone_calcitic --own {}",
    "settings room_celsius {}",
    "settings units {}",
    "spots --instrument good_pen {}",
    "calibrate {} 7=7",
    "calibrate 4=4 7=7 --at {}",
    "add-bin x --width 30 --depth 30 --length {}",
    "add-bin x --width 30 --length 30 --depth {}",
];

#[test]
fn every_refusal_names_the_value_and_what_may_be_given_in_plain_words() {
    let desk = Desk::new();
    let sizes = ["--length", "55", "--width", "36", "--depth", "28"];
    let held = ["--filled", "30 L coir_pith", "--when", "30 days ago"];
    desk.json(&[&["add-bin", "box"], &sizes[..], &held, &["--json"]].concat());
    let (nines, letters) = ("9".repeat(10_000), "x".repeat(10_000));
    // Too large, below zero, no number, text, nothing, endless, a wrong unit.
    let bad = [
        "99999999",
        "-5",
        "NaN",
        "1e9",
        "lots",
        "",
        &nines,
        &letters,
        "5 parsecs",
    ];
    for line in LINES {
        for value in bad {
            let words: Vec<&str> = line
                .split(' ')
                .map(|w| if w == "{}" { value } else { w })
                .collect();
            let output = desk.run(&words);
            // A number may be the number of an entry or bin, but none of these is.
            assert_eq!(output.status.code(), Some(2), "{line} {value:.20}");
            let said = String::from_utf8(output.stderr).unwrap();
            for message in said.lines() {
                let named = format!("{line} {value:.20}: {message}");
                assert!(message.chars().count() <= LONGEST, "{named}");
                assert!(message.contains(value.get(..5).unwrap_or(value)), "{named}");
                assert!(ALLOWED.iter().any(|w| message.contains(w)), "{named}");
                let inner = INNER.iter().find(|w| message.contains(**w));
                assert_eq!(inner, None, "{named}");
            }
        }
    }
}

/// Every option that takes a number is among the lines above, or is held to
/// the same by a test of its own command.
#[test]
fn every_command_that_writes_in_a_log_is_among_the_lines() {
    let tried: BTreeSet<&str> = LINES.iter().filter_map(|l| l.split(' ').next()).collect();
    let all = CommandLine::command();
    for name in [
        "log",
        "correct",
        "strike",
        "add-bin",
        "jar-test",
        "tray-test",
        "shed",
        "settings",
    ] {
        assert!(all.find_subcommand(name).is_some(), "{name}");
        assert!(tried.contains(name), "{name}");
    }
    let log = all.find_subcommand("log").unwrap();
    for kind in log.get_subcommands().filter(|c| c.get_name() != "help") {
        let free = ["note", "move"].contains(&kind.get_name());
        let head = format!("log 1 {}", kind.get_name());
        assert!(free || LINES.iter().any(|l| l.starts_with(&head)), "{head}");
    }
}
