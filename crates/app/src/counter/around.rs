//! What every page has around it, and how a refusal becomes a page.

use super::words;
use crate::demo;
use crate::desk::keeping::may_be_rescued;
use crate::desk::{Desk, DeskError};
use crate::report::Units;
use crate::web::{Answer, Fields, Nav, PageError, Shell};
use engine::log::BinId;
use store::{Fate, GoneFile, StoreError};

/// A shell with the place of the data file and whether the shelf is invented.
pub(super) fn shell(desk: &Desk, title: &str, nav: Nav) -> Shell {
    let mut shell = Shell::new(title, nav);
    if let Some(path) = desk.path() {
        shell.data_place = path.display().to_string();
    }
    shell.damage = desk.damage_in_short();
    let why = desk.why_only_shown();
    shell.only_shown = why.map_or_else(String::new, |why| sentence(&why));
    if let Ok(Some(demo)) = demo::there(desk) {
        shell.demo = true;
        shell.own_too = demo.own_bins > 0;
    }
    shell
}

/// The log is there to be read and written, or one page that says why not.
pub(super) fn ready(desk: &Desk) -> Answer<()> {
    let Err(error) = desk.ready() else {
        return Ok(());
    };
    let mut page = refused(error);
    if page.status == 503 {
        page.detail.push_str(&newest_backup(desk));
    }
    Err(page)
}

/// Where the tool's own backups lie, as a sentence with a space before it;
/// empty when there are none.
fn newest_backup(desk: &Desk) -> String {
    let list = desk.path().and_then(|log| store::backups(log).ok());
    let newest = list.into_iter().flatten().find(|b| b.entries.is_some());
    newest.map_or_else(String::new, |b| {
        format!(
            " The newest backup the program made itself is `{}`, of {}.",
            b.path.display(),
            words::when(desk, b.at_unix_seconds)
        )
    })
}

/// Whether a bin was put away.
pub(super) fn is_put_away(desk: &Desk, bin: i64) -> Answer<bool> {
    desk.is_put_away(BinId(bin)).map_err(refused)
}

/// A page left open on an invented bin that was put away takes nothing more.
pub(super) fn not_invented_and_gone(desk: &Desk, bin: i64) -> Answer<()> {
    match desk.went_with_the_demo(BinId(bin)).map_err(refused)? {
        true => Err(PageError::new(
            422,
            "This bin was put away",
            "It was one of the invented bins, and the demo shelf was put away since this page was opened. Nothing was written.",
        )),
        false => Ok(()),
    }
}

/// What to do when the file in use is no longer the log that was opened.
fn gone(file: &GoneFile, said: &str) -> PageError {
    let (heading, button, after) = match file.fate {
        Fate::Away => (
            "The log is not where it was",
            "Save what was in it",
            "Then stop this program. If the file was only moved, move it back and start again. If it was deleted, start again and put what you saved in place under Settings.",
        ),
        Fate::Replaced => (
            "Another file is in the place of the log",
            "Save what was in it",
            "Then stop this program, and move one of the two away before you start it again.",
        ),
        Fate::Changed => (
            "The log was changed by another program",
            "Save what can be read",
            "Then stop this program and start it again: after a restore by another window all is well; else it says how much of the log is left.",
        ),
    };
    let held = "Before you stop this program, save what it still holds of the log as it was before: that is lost when the program ends.";
    PageError::new(
        503,
        heading,
        &format!("{said} Nothing was written. {held} {after}"),
    )
    .or("/settings/rescued", button)
}

/// The units the keeper reads.
pub(super) fn units(desk: &Desk) -> Units {
    desk.units()
}

/// The units a form was shown in, and so is read in; those the keeper reads
/// where it does not say.
pub(super) fn units_of(desk: &Desk, fields: &Fields) -> Units {
    fields.shown_in().unwrap_or_else(|| desk.units())
}

/// What the desk could not answer, as a page.
pub(super) fn refused(error: DeskError) -> PageError {
    match &error {
        DeskError::Store(StoreError::Gone(file)) => gone(file, &sentence(&error)),
        DeskError::Store(StoreError::Unsure { .. }) => {
            PageError::new(500, "Not sure that it was written", &sentence(&error))
        }
        DeskError::Store(StoreError::NotWritable(_)) => {
            PageError::new(503, "Nothing can be written down", &sentence(&error))
        }
        DeskError::Store(StoreError::NotReadable { .. }) => {
            PageError::new(503, "The log cannot be read", &sentence(&error))
        }
        DeskError::Store(StoreError::Busy) => PageError::new(
            503,
            "The log is in use by another program",
            &sentence(&error),
        ),
        DeskError::Store(StoreError::NoRoom) => {
            PageError::new(503, "The disk is full", &sentence(&error))
        }
        e if may_be_rescued(e) => {
            let said = format!("{} Nothing was written.", sentence(e));
            PageError::new(503, "The log is damaged", &said)
                .or("/settings/damage", "What to do")
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
