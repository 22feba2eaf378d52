//! The jar test and the tray test.

use crate::desk::Desk;
use crate::web::*;

pub(super) fn jar_test(_desk: &Desk, _bin: i64) -> Answer<JarTestPage> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn record_jar_test(
    _desk: &Desk,
    _bin: i64,
    _fields: &Fields,
) -> Answer<Outcome<JarTestPage>> {
    Err(PageError::ours("This page is not built yet."))
}

pub(super) fn tray_test(_desk: &Desk, _fields: &Fields) -> Answer<TrayTestPage> {
    Err(PageError::ours("This page is not built yet."))
}
