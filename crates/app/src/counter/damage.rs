//! What is wrong with the log, and what can be saved of it.

use super::around::{refused, sentence, shell};
use super::settings::{backups, file_name};
use super::words;
use crate::desk::{Desk, DeskError};
use crate::web::{Answer, DamagePage, Download, Nav};
use store::Unreadable;

pub(super) fn damage(desk: &Desk) -> Answer<DamagePage> {
    let mut shell = shell(desk, "The log itself", Nav::Settings);
    // This page says all of it.
    shell.damage.clear();
    let place = desk.path().map(|p| p.display().to_string());
    let mut page = DamagePage {
        shell,
        lines: Vec::new(),
        closed: false,
        no_writing: false,
        data_place: place.unwrap_or_default(),
        backups: backups(desk)?,
    };
    if let Some(why) = desk.why_closed() {
        page.lines = vec![sentence(&why)];
        page.closed = true;
        return Ok(page);
    }
    // Looked at anew: what was found when the log was opened may be mended, or
    // not be all.
    let found = desk.store().examine();
    let health = found.map_err(DeskError::from).map_err(refused)?;
    page.no_writing = !health.damage.is_empty();
    let damage = health.damage.iter().map(|d| format!("In the file: {d}."));
    let unreadable = health.unreadable.iter().map(|u| left_out(desk, u));
    let missing = health.missing.iter().map(sentence);
    page.lines = damage.chain(unreadable).chain(missing).collect();
    Ok(page)
}

/// An entry that cannot be read, by what a keeper knows it by.
fn left_out(desk: &Desk, entry: &Unreadable) -> String {
    let bins = desk.store().bins().unwrap_or_default();
    let bin = bins.iter().find(|b| Some(b.id) == entry.bin);
    let mut known: Vec<String> = bin
        .map(|b| b.description.name.clone())
        .into_iter()
        .collect();
    known.extend(entry.at_unix_seconds.map(|at| words::when(desk, at)));
    known.push(format!("entry {}", entry.id.0));
    let known = known.join(", ");
    if entry.intact {
        return format!(
            "{known}: written by version {} (as `{}`), which this version cannot read. It is kept in the file, and a newer version may read it.",
            entry.engine_version, entry.kind
        );
    }
    format!(
        "{known}: no longer says what was written, so it is left out of everything shown. It was of the kind `{}`, as far as that can be read.",
        entry.kind
    )
}

pub(super) fn rescued(desk: &Desk) -> Answer<Download> {
    let (bytes, _) = desk.rescued().map_err(refused)?;
    Ok(Download {
        name: file_name(desk, "rescued-", "db"),
        mime: "application/vnd.sqlite3",
        bytes,
    })
}
