//! The dose plan and its slider.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn dose(_desk: &Desk, _bin: i64, _fields: &Fields) -> Answer<DosePage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn what_if(_desk: &Desk, _bin: i64, _fields: &Fields) -> Answer<WhatIfPart> {
    Err(PageError::ours("This page is not built yet."))
}
