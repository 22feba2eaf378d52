//! One bin and its quick entry.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn bin(_desk: &Desk, _bin: i64, _fields: &Fields) -> Answer<BinPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn log_entry(_desk: &Desk, _bin: i64, _fields: &Fields) -> Answer<Outcome<BinPage>> {
    Err(PageError::ours("This page is not built yet."))
}
