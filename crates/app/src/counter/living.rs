//! The living bin on pages: now, outlook, ration, away, weather, today.

pub(super) mod alarms;
pub(super) mod away;
mod courses;
mod days;
mod figures;
mod look;
pub(super) mod now;
pub(super) mod outlook;
pub(super) mod ration;
pub(super) mod today;
pub(super) mod weather;
