//! The shed and the tables.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn shed(_desk: &Desk, _fields: &Fields) -> Answer<ShedPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn material(_desk: &Desk, _key: &str) -> Answer<MaterialPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn own_values(
    _desk: &Desk,
    _key: &str,
    _fields: &Fields,
) -> Answer<Outcome<MaterialPage>> {
    Err(PageError::ours("This page is not built yet."))
}
