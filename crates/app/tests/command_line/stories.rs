//! The stories of `cases`, word for word.

use super::desk::{Desk, cases};

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
