//! Worms counted or weighed.
//!
//! A count in `v` of the bin's `V` litres is negative binomial with mean
//! `d N v/V`, where `d` is the share of numbers that hand sorting finds. Worms
//! lie in clumps: aggregation is `k` per half-litre core, so `k v/0.5` over the
//! litres looked through, and it matters only for the part not looked through.
//! What is common to a keeper's sorting does not shrink with litres:
//! `1/k' = (1 - v/V) 0.5/(k v) + cv²`. The mass found is treated alike, on the
//! log scale with Student tails. A share of counts is taken as a blunder.

use super::chance::{at_least, ln_mix, negative_binomial_ln, student_ln, unit};
use super::row;
use crate::living::signs::Signs;
use crate::table::{TableError, Tables};

/// What a mass of worms was gathered from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weighed {
    /// The whole bin, sorted.
    Whole,
    /// So many litres of bedding [L].
    Litres(f64),
    /// A ball, or what could be lured together: an unknown share of all.
    Ball,
}

/// One worm count entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Number; 0 beside a mass when they were not counted.
    pub found: f64,
    /// Mass [g], when weighed.
    pub grams: Option<f64>,
    /// Litres looked through [L]; `None` for the whole bin.
    pub litres: Option<f64>,
    /// The mass is of a ball.
    pub ball: bool,
}

impl Found {
    /// Worms that live for certain, where some were found.
    #[must_use]
    pub fn least_alive(&self) -> Option<f64> {
        let weighed = self.grams.is_some_and(|g| g > 0.0);
        (self.found > 0.0 || weighed).then(|| self.found.max(1.0))
    }
}

/// Counting and weighing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Counts {
    /// Litres per unit of aggregation: core / k [L].
    clump_litres: f64,
    number_detection: f64,
    number_var: f64,
    biomass_detection: f64,
    biomass_var: f64,
    worm_mass_var: f64,
    false_finds: f64,
    blunder: f64,
    blunder_k: f64,
    tail_df: f64,
    ball_ln: f64,
    ball_less: f64,
    ball_more: f64,
    /// Mean mass of a worm when there is none to weigh [kg].
    some_worm_kg: f64,
}

impl Counts {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let get = |property| row(tables, "count", property);
        Ok(Self {
            clump_litres: get("core_litres")? / get("aggregation_k")?,
            number_detection: get("number_detection")?,
            number_var: get("number_detection_cv")?.powi(2),
            biomass_detection: get("biomass_detection")?,
            biomass_var: get("biomass_detection_cv")?.powi(2),
            worm_mass_var: get("worm_mass_cv")?.powi(2),
            false_finds: get("false_finds")?,
            blunder: get("blunder")?,
            blunder_k: get("blunder_k")?,
            tail_df: row(tables, "readings", "tail_df")?,
            ball_ln: row(tables, "ball", "usual_share")?.ln(),
            ball_less: row(tables, "ball", "less_sd_ln")?,
            ball_more: row(tables, "ball", "more_sd_ln")?,
            some_worm_kg: get("some_worm_kg")?,
        })
    }

    /// Share of the bedding looked through, and the relative variance that
    /// clumping gives the find.
    fn sampled(&self, litres: Option<f64>, s: &Signs) -> (f64, f64) {
        let Some(v) = litres else {
            return (1.0, 0.0);
        };
        // Guards: no less is looked through, or in a bin.
        let v = at_least(v, 0.01);
        let share = unit(v / at_least(s.litres, 0.1));
        (share, (1.0 - share) * self.clump_litres / v)
    }

    /// Mean and relative variance beyond Poisson of a count.
    pub(super) fn count_moments(&self, litres: Option<f64>, s: &Signs) -> (f64, f64) {
        let (share, clump) = self.sampled(litres, s);
        let mean = self.number_detection * at_least(s.worms, 0.0) * share + self.false_finds;
        (mean, clump + self.number_var)
    }

    /// `times` is how many times as many as usual this keeper finds.
    pub(super) fn count(&self, found: f64, litres: Option<f64>, s: &Signs, times: f64) -> f64 {
        let found = at_least(found, 0.0);
        let (mean, over) = self.count_moments(litres, s);
        let mean = mean * times;
        let usual = negative_binomial_ln(found, mean, 1.0 / over);
        let slip = negative_binomial_ln(found, mean, self.blunder_k);
        ln_mix(usual, slip, self.blunder)
    }

    pub(super) fn weighed(&self, grams: f64, from: Weighed, s: &Signs, times: f64) -> f64 {
        let grams = at_least(grams, 0.0);
        let litres = match from {
            Weighed::Ball => return self.ball(grams, s),
            Weighed::Litres(v) => Some(v),
            Weighed::Whole => None,
        };
        if grams <= 0.0 {
            return self.count(0.0, litres, s, times);
        }
        let (share, clump) = self.sampled(litres, s);
        let worm_kg = self.worm_kg(s);
        let number = at_least(s.worms * share, 0.0) + self.false_finds;
        let poisson = (1.0 - share) * (1.0 + self.worm_mass_var) / number;
        let cv2 = clump + poisson + self.biomass_var;
        // The log-normal of that mean and coefficient of variation.
        let variance = cv2.ln_1p();
        let all = at_least(s.worms_kg, 0.0) * share + self.false_finds * worm_kg;
        let middle = (1000.0 * self.biomass_detection * all).ln() - variance / 2.0;
        student_ln(grams.ln() - middle, variance, self.tail_df)
    }

    /// A ball is some share of all: two half-normals on the log scale, wide
    /// below the usual share and narrow above, since only clinging water and
    /// bedding can take it past all there is.
    fn ball(&self, grams: f64, s: &Signs) -> f64 {
        if grams <= 0.0 {
            return 0.0;
        }
        let all = at_least(1000.0 * s.worms_kg, 0.001);
        let off = (grams / all).ln() - self.ball_ln;
        let sd = if off > 0.0 {
            self.ball_more
        } else {
            self.ball_less
        };
        student_ln(off, sd * sd, self.tail_df) + sd.ln()
    }

    /// Number, mass or both: the mass of a counted lot adds what it says of
    /// the mean worm only, as its number has been weighed already.
    pub(super) fn entry(&self, seen: &Found, s: &Signs, times: f64) -> f64 {
        let Some(grams) = seen.grams else {
            return self.count(seen.found, seen.litres, s, times);
        };
        if seen.ball {
            return self.weighed(grams, Weighed::Ball, s, times);
        }
        if seen.found <= 0.0 || grams <= 0.0 {
            let from = seen.litres.map_or(Weighed::Whole, Weighed::Litres);
            return self.weighed(grams, from, s, times);
        }
        let each = (grams / (1000.0 * seen.found)).ln();
        let missed = self.biomass_detection / (self.number_detection * times);
        let variance =
            self.worm_mass_var / seen.found.max(1.0) + self.biomass_var + self.number_var;
        let mean = (self.worm_kg(s) * missed).ln();
        self.count(seen.found, seen.litres, s, times)
            + student_ln(each - mean, variance, self.tail_df)
    }

    /// Mean mass of a worm [kg].
    fn worm_kg(&self, s: &Signs) -> f64 {
        if s.worms > 0.5 && s.worms_kg > 0.0 {
            at_least(s.worms_kg / s.worms, 1e-6)
        } else {
            self.some_worm_kg
        }
    }
}
