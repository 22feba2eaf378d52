//! What is wrong with the log, and what can be saved of it.

use super::around::{refused, shell};
use super::settings::{backups, file_name};
use crate::desk::{Desk, DeskError};
use crate::web::{Answer, DamagePage, Download, Nav};

pub(super) fn damage(desk: &Desk) -> Answer<DamagePage> {
    // Looked at anew: what was found when the log was opened may be mended, or
    // not be all.
    let found = desk.store().examine();
    let lines = found.map_err(DeskError::from).map_err(refused)?.lines();
    let place = desk.path().map(|p| p.display().to_string());
    Ok(DamagePage {
        shell: shell(desk, "The log itself", Nav::Settings),
        lines,
        data_place: place.unwrap_or_default(),
        backups: backups(desk)?,
    })
}

pub(super) fn rescued(desk: &Desk) -> Answer<Download> {
    let (bytes, _) = desk.rescued().map_err(refused)?;
    Ok(Download {
        name: file_name(desk, "rescued-", "db"),
        mime: "application/vnd.sqlite3",
        bytes,
    })
}
