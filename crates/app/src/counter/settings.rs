//! Settings, backup, restore, export and import.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn settings(_desk: &Desk) -> Answer<SettingsPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn set(_desk: &Desk, _fields: &Fields) -> Answer<Outcome<SettingsPage>> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn backup(_desk: &Desk) -> Answer<Download> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn export(_desk: &Desk, _form: Export) -> Answer<Download> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn restore(_desk: &Desk, _file: &[u8]) -> Answer<Outcome<SettingsPage>> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn import(_desk: &Desk, _file: &[u8]) -> Answer<Outcome<SettingsPage>> {
    Err(PageError::ours("This page is not built yet."))
}
