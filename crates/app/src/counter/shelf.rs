//! The shelf, the invented shelf, and a new bin.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn shelf(_desk: &Desk) -> Answer<ShelfPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn open_demo(_desk: &Desk) -> Answer<String> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn add_bin_form(_desk: &Desk) -> Answer<AddBinPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn add_bin(_desk: &Desk, _fields: &Fields) -> Answer<Outcome<AddBinPage>> {
    Err(PageError::ours("This page is not built yet."))
}
