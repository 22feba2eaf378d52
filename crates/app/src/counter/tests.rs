//! The jar test and the tray test.

mod amounts;
mod jar;
mod tray;

pub(super) use jar::{jar_test, record_jar_test};
pub(super) use tray::{record_tray_test, tray_test};
