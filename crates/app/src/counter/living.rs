//! The living bin on pages: now, outlook, ration, away, weather, today.

pub(super) mod courses;
pub(super) mod figures;
mod look;
pub(super) mod now;
