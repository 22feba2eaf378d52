//! Correcting or striking an entry.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn correct_form(_desk: &Desk, _bin: i64, _entry: i64) -> Answer<CorrectPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn correct(
    _desk: &Desk,
    _bin: i64,
    _entry: i64,
    _fields: &Fields,
) -> Answer<Outcome<CorrectPage>> {
    Err(PageError::ours("This page is not built yet."))
}
