//! Judging a bedding.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn judge(_desk: &Desk, _fields: &Fields) -> Answer<JudgePage> {
    Err(PageError::ours("This page is not built yet."))
}
