//! What every page has around it, and how a refusal becomes a page.

use crate::demo;
use crate::desk::keeping::may_be_rescued;
use crate::desk::{Desk, DeskError};
use crate::report::Units;
use crate::web::{Answer, Nav, PageError, Shell};
use store::StoreError;

/// A shell with the place of the data file and whether the shelf is invented.
pub(super) fn shell(desk: &Desk, title: &str, nav: Nav) -> Shell {
    let mut shell = Shell::new(title, nav);
    if let Some(path) = desk.path() {
        shell.data_place = path.display().to_string();
    }
    shell.damage = desk.damage_in_short();
    if let Ok(Some(demo)) = demo::there(desk) {
        shell.demo = true;
        shell.own_too = demo.own_bins > 0;
    }
    shell
}

/// The log is there to be read and written, or one page that says why not.
pub(super) fn ready(desk: &Desk) -> Answer<()> {
    desk.ready().map_err(refused)
}

/// The units the keeper reads.
pub(super) fn units(desk: &Desk) -> Units {
    desk.units()
}

/// What the desk could not answer, as a page.
pub(super) fn refused(error: DeskError) -> PageError {
    match &error {
        DeskError::Store(StoreError::Gone(_)) => {
            let said = format!("{} Nothing was written.", sentence(&error));
            PageError::new(503, "The log is not where it was", &said)
        }
        DeskError::Store(StoreError::Unsure { .. }) => {
            PageError::new(500, "Not sure that it was written", &sentence(&error))
        }
        e if may_be_rescued(e) => {
            let said = format!("{} Nothing was written.", sentence(e));
            PageError::new(503, "The log is damaged", &said)
                .or("/settings/rescued", "Save what can be read")
        }
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
