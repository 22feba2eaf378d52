//! The half-and-half tray, and what a harvest says.

use super::chance::{at_least, beta_binomial_ln, logistic, student_ln, unit};
use super::row;
use crate::living::signs::Signs;
use crate::log::TrayTest;
use crate::table::{TableError, Tables};

/// Trays and harvests.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Trays {
    least_share: f64,
    sorting_hours: f64,
    overdispersion: f64,
    missing: f64,
    tail_df: f64,
    over_var: f64,
    ready: (f64, f64),
    anyway: f64,
}

impl Trays {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        Ok(Self {
            least_share: row(tables, "tray", "least_share")?,
            sorting_hours: row(tables, "tray", "sorting_hours")?,
            overdispersion: row(tables, "tray", "overdispersion")?,
            missing: row(tables, "tray", "missing")?,
            tail_df: row(tables, "readings", "tail_df")?,
            over_var: row(tables, "harvest", "over_sd_ln")?.powi(2),
            ready: (
                row(tables, "harvest", "ready_share")?,
                row(tables, "harvest", "ready_scale")?,
            ),
            anyway: row(tables, "harvest", "anyway")?,
        })
    }

    /// Chance that one worm of a tray sits in the suspect half: a half when it
    /// has no wish to leave, next to none at full urge, in between when there
    /// was little time: `1/2 - (1/2 - least) u (1 - e^(-h/tau))`.
    fn in_suspect(&self, hours: f64, s: &Signs) -> f64 {
        let time = 1.0 - (-at_least(hours, 0.0) / self.sorting_hours).exp();
        0.5 - (0.5 - self.least_share) * unit(s.urge_to_leave) * time
    }

    pub(super) fn tray(&self, test: &TrayTest, s: &Signs) -> f64 {
        let suspect = f64::from(test.in_suspect);
        let living = suspect + f64::from(test.in_trusted);
        let p = self.in_suspect(test.hours, s);
        let halves = beta_binomial_ln(suspect, living, p, self.overdispersion);
        let lost = f64::from(test.dead_or_missing);
        let days = at_least(test.hours, 0.0) / 24.0;
        // Half the time in the suspect half at most.
        let dead = 1.0 - (-0.5 * at_least(s.dying_per_day, 0.0) * days).exp();
        let p_lost = self.missing + (1.0 - 2.0 * self.missing) * unit(dead);
        halves + beta_binomial_ln(lost, lost + living, p_lost, self.overdispersion)
    }

    /// A harvest cannot much pass the castings there are, and is seldom taken
    /// before there are many.
    pub(super) fn harvest(&self, wet_kg: f64, s: &Signs) -> f64 {
        let dry_share = 1.0 - unit(s.moisture_percent / 100.0);
        let there = at_least(s.castings_dry_kg, 1e-4) / dry_share.max(0.05);
        let over = (at_least(wet_kg, 1e-4) / there).ln().max(0.0);
        let (at, scale) = self.ready;
        let taken = self.anyway + (1.0 - self.anyway) * logistic((s.castings_share - at) / scale);
        student_ln(over, self.over_var, self.tail_df) + taken.ln()
    }
}
