//! What every page has around it, and how a refusal becomes a page.

use crate::desk::{Desk, DeskError};
use crate::report::Units;
use crate::web::{Nav, PageError, Shell};

/// A shell with the place of the data file and whether the shelf is invented.
pub(super) fn shell(desk: &Desk, title: &str, nav: Nav) -> Shell {
    let mut shell = Shell::new(title, nav);
    if let Some(path) = desk.path() {
        shell.data_place = path.display().to_string();
    }
    shell.demo = desk
        .settings()
        .is_ok_and(|s| s.get("demo").is_some_and(|v| v == "yes"));
    shell
}

/// The units the keeper reads.
pub(super) fn units(desk: &Desk) -> Units {
    desk.units()
}

/// What the desk could not answer, as a page.
pub(super) fn refused(error: DeskError) -> PageError {
    match &error {
        DeskError::NoBin(_) => PageError::not_found("bin of this number"),
        e if e.is_input() => PageError::new(422, "This cannot be answered yet", &sentence(e)),
        e => PageError::ours(&sentence(e)),
    }
}

/// Text of an error as a sentence: a capital at the head, a stop at the end.
pub(super) fn sentence(error: &impl std::fmt::Display) -> String {
    let mut whole = capital(&error.to_string());
    if !whole.ends_with(['.', '?']) {
        whole.push('.');
    }
    whole
}

/// Names offered where a material is typed: key and name, those in the shed
/// first.
pub(super) fn materials(desk: &Desk) -> Vec<(String, String)> {
    let shed: Vec<String> = desk
        .shed()
        .unwrap_or_default()
        .into_iter()
        .filter(|i| i.have)
        .map(|i| i.material)
        .collect();
    let mut list: Vec<(String, String)> = desk
        .tables
        .materials()
        .map(|m| (m.key.clone(), m.name.clone()))
        .collect();
    list.sort_by_key(|(key, _)| !shed.contains(key));
    list
}

/// Instruments offered: key and name; the one used last comes first.
pub(super) fn instruments<'a>(desk: &'a Desk, last: Option<&str>) -> Vec<(&'a str, &'a str)> {
    let mut list: Vec<(&str, &str)> = desk
        .tables
        .instruments()
        .iter()
        .map(|i| (i.key.as_str(), i.name.as_str()))
        .collect();
    list.sort_by_key(|(key, _)| Some(*key) != last);
    list
}

/// With a capital at its head.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        // `pH` keeps its small p.
        (Some(_), Some(second)) if second.is_uppercase() => text.to_owned(),
        (Some(first), _) => first.to_uppercase().chain(letters).collect(),
        _ => String::new(),
    }
}
