//! Deaths by one cause each, as rates [1/d]: dose and time together, so that
//! what is stood for a day may kill in a month.
//!
//! Rates act at the same time on the same worms and add up
//! ([`super::mortality`]). They are those of the place where the worms sit,
//! see [`super::walls`]. Most anchors are judgement between a few published
//! times; the rows of `species.csv` say which, and how wide they are.

pub mod acid;
pub mod air;
pub mod ammonia;
pub mod cold;
pub mod drought;
pub mod heat;
pub mod salt;

use std::f64::consts::LN_2;

/// Fastest death counted [1/d]: all within hours, and no step is asked for more.
pub const AT_ONCE: f64 = 20.0;

/// Deaths [1/d] of which half die in so many days [d].
#[must_use]
pub fn half_in(days: f64) -> f64 {
    (LN_2 / days.max(1e-9)).min(AT_ONCE)
}

#[cfg(test)]
pub(crate) mod testing {
    use crate::living::species::{Species, Vital};
    use crate::table::Tables;

    /// The most likely red worms.
    pub(crate) fn fetida() -> Vital {
        Vital::of(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap()
    }

    /// Alive after `days` at `per_day` [share].
    pub(crate) fn alive(per_day: f64, days: f64) -> f64 {
        (-per_day * days).exp()
    }
}
