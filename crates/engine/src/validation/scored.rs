//! Bins whose truth is hidden, estimated from their log alone: where the truth
//! lay, how far off, and proper scores, so that a wide interval does not win.
//!
//! The continuous ranked probability score of an ensemble `x_i` of weights `w_i`
//! is `Σ w_i |x_i - y| - ½ ΣΣ w_i w_j |x_i - x_j|` (Gneiting and Raftery 2007): in
//! the unit of the figure, the smaller the better; of one sure value it is its
//! error. The log score is the log of the ensemble's density at the truth, the
//! larger the better; the density is that of kernels with the tails of Student's
//! t (4 degrees), so that one far miss does not weigh more than all else.

use super::ValidationError;
use crate::bed::fill::Own;
use crate::estimate::filter::{Along, settle};
use crate::estimate::standing::Standing;
use crate::estimate::track::Track;
use crate::estimate::{Setup, Told};
use crate::living::room::Day;
use crate::living::signs::Signs;
use crate::log::{BinDescription, Body, Entry};
use crate::quantity::{Band, Celsius};
use crate::table::{TableError, Tables};
use crate::validation::trust::{Looks, Trust};
use std::cmp::Ordering;

/// Members of a run that looks at nothing: only its spread is wanted.
const BLIND_MEMBERS: usize = 150;
const DAY: i64 = 86_400;
const DAYS_OF_A_WEEK: u32 = 7;

/// How one figure of one estimate did against the truth.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Score {
    /// The truth below the 80 % interval (-1), in it (0) or above it (1).
    pub side: i8,
    /// Median less truth, in the figure's unit.
    pub error: f64,
    /// Half-width of the interval, in the figure's unit.
    pub half_width: f64,
    /// Continuous ranked probability score, in the figure's unit.
    pub crps: f64,
    /// Log of the density at the truth, per unit of the figure.
    pub log_score: f64,
    /// Rank of the truth: share of the ensemble below it, half of what equals it
    /// with it [0 to 1]. Over many bins all ranks are as frequent if the ensemble
    /// is honest (Talts et al. 2018).
    pub rank: f64,
}

/// The same figure with what was looked at and without.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pair {
    /// By the whole log.
    pub looked: Score,
    /// By the same log, but nothing looked at.
    pub blind: Score,
}

/// One bin followed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Followed {
    /// Its number.
    pub bin: usize,
    /// Times its log went against its ensemble.
    pub contradictions: usize,
    /// By week and figure.
    pub held: Vec<Vec<Pair>>,
}

/// Sums of scores over bins.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sums {
    /// Bins with the truth in the interval.
    pub inside: usize,
    /// Bins with the truth below it.
    pub below: usize,
    /// Of medians less truths.
    pub error: f64,
    /// Of half-widths.
    pub half_width: f64,
    /// Of continuous ranked probability scores.
    pub crps: f64,
    /// Of log scores.
    pub log_score: f64,
}

impl Sums {
    fn add(&mut self, score: &Score) {
        self.inside += usize::from(score.side == 0);
        self.below += usize::from(score.side < 0);
        self.error += score.error;
        self.half_width += score.half_width;
        self.crps += score.crps;
        self.log_score += score.log_score;
    }
}

/// Parts that ranks are counted in.
pub const RANKS: usize = 10;

/// What came of one figure in one week.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cell {
    /// Bins by the rank of their truth, by tenths.
    pub ranks: [usize; RANKS],
    /// By the whole logs.
    pub looked: Sums,
    /// By the same logs, but nothing looked at.
    pub blind: Sums,
}

/// What came of all bins followed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Following {
    /// Bins lived through.
    pub bins: usize,
    /// Times a log went against its ensemble.
    pub contradictions: usize,
    /// By week and figure.
    pub cells: Vec<Vec<Cell>>,
}

impl Following {
    /// Over these bins, all with as many weeks and figures as the first.
    #[must_use]
    pub fn over(bins: &[Followed]) -> Self {
        let shape = bins.first().map_or(&[][..], |b| &b.held);
        let empty = shape.iter().map(|week| vec![Cell::default(); week.len()]);
        let mut cells: Vec<Vec<Cell>> = empty.collect();
        for bin in bins {
            for (cells, held) in cells.iter_mut().zip(&bin.held) {
                for (cell, pair) in cells.iter_mut().zip(held) {
                    cell.looked.add(&pair.looked);
                    let tenth = (pair.looked.rank * RANKS as f64) as usize;
                    cell.ranks[tenth.min(RANKS - 1)] += 1;
                    cell.blind.add(&pair.blind);
                }
            }
        }
        Self {
            bins: bins.len(),
            contradictions: bins.iter().map(|b| b.contradictions).sum(),
            cells,
        }
    }

    /// Share of bins with the truth inside [0 to 1].
    #[must_use]
    pub fn share(&self, week: usize, figure: usize) -> f64 {
        self.cells[week][figure].looked.inside as f64 / self.bins.max(1) as f64
    }
}

/// A bin whose log is to be estimated and held against its truth.
#[derive(Debug, Clone, Copy)]
pub(super) struct Case<'a> {
    /// Its number.
    pub(super) number: usize,
    /// Its log.
    pub(super) log: &'a [Entry],
    /// Its container; a household tote when not known.
    pub(super) bin: Option<&'a BinDescription>,
    /// The usual day of the air around it.
    pub(super) air: Day,
    /// Bed temperature [°C].
    pub(super) temperature: Celsius,
    /// Figures held against the truth.
    pub(super) figures: &'a [Track],
    /// At the end of which weeks.
    pub(super) weeks: &'a [u32],
    /// The truth, by week and figure.
    pub(super) truth: &'a [Vec<f64>],
    /// Members of the estimate.
    pub(super) members: usize,
    /// Seed of the estimate.
    pub(super) seed: u64,
    /// Intervals are those that are shown, the model's own error with them: where
    /// the truth follows other laws.
    pub(super) as_shown: bool,
}

impl Case<'_> {
    /// Estimates the log as it is, and as if nothing had been looked at.
    ///
    /// # Errors
    /// [`ValidationError`] when a number is missing.
    pub(super) fn judged(&self, tables: &Tables) -> Result<Followed, ValidationError> {
        let is_look = |e: &&Entry| {
            let body = &e.body;
            matches!(
                body,
                Body::Observation { .. } | Body::Reading(_) | Body::WormCount { .. }
            )
        };
        let acts: Vec<Entry> = self.log.iter().filter(|e| !is_look(e)).cloned().collect();
        let (looked, contradictions) = self.scores(tables, self.log, self.members)?;
        let (blind, _) = self.scores(tables, &acts, BLIND_MEMBERS.min(self.members))?;
        let pairs = |(looked, blind): (&Vec<Score>, &Vec<Score>)| {
            let both = looked.iter().zip(blind);
            both.map(|(l, b)| Pair {
                looked: *l,
                blind: *b,
            })
            .collect()
        };
        Ok(Followed {
            bin: self.number,
            contradictions,
            held: looked.iter().zip(&blind).map(pairs).collect(),
        })
    }

    /// Scores of the estimate by week and figure, and how often the log
    /// contradicted it.
    fn scores(
        &self,
        tables: &Tables,
        log: &[Entry],
        members: usize,
    ) -> Result<(Vec<Vec<Score>>, usize), ValidationError> {
        static NOTHING_OWN: Own = Own::new();
        let mut setup = Setup {
            tables,
            own: &NOTHING_OWN,
            temperature: self.temperature,
            now: 0,
            seed: self.seed,
            members,
            bin: self.bin,
            air: Some(self.air),
        };
        let least = self.figures.iter().map(|f| least(tables, *f));
        let least: Vec<f64> = least.collect::<Result<_, _>>()?;
        let trust = match self.as_shown {
            true => Some((Looks::of(log), Trust::load(tables)?)),
            false => None,
        };
        let told = Told::new();
        let mut kept: Option<Standing> = None;
        let mut scores = Vec::new();
        let mut contradictions = 0;
        for (week, truth) in self.weeks.iter().zip(self.truth) {
            setup.now = i64::from(week * DAYS_OF_A_WEEK) * DAY;
            // What came later is not known yet.
            let mut along = Along::told(&told);
            let mut before = kept.into_iter();
            along.kept = Some(&mut before);
            let run = settle(&setup, log, &mut along)?;
            kept = Some(run.standing());
            let estimate = run.answer(&setup, &mut along)?;
            let ensemble = &estimate.ensemble;
            let signs = ensemble.signs(&estimate.scene);
            let shown = |track: Track, band: Band| match &trust {
                Some((looks, trust)) => trust.shown(looks, track, band, setup.now),
                None => band,
            };
            scores.push(self.week((&signs, &ensemble.weights), (truth, &least), &shown));
            contradictions = estimate.contradictions;
        }
        Ok((scores, contradictions))
    }

    fn week(
        &self,
        (signs, weights): (&[Signs], &[f64]),
        (truth, least): (&[f64], &[f64]),
        shown: &dyn Fn(Track, Band) -> Band,
    ) -> Vec<Score> {
        let figures = self.figures.iter().zip(truth).zip(least);
        figures
            .map(|((figure, truth), least)| {
                let values: Vec<f64> = signs.iter().map(|s| figure.of(s)).collect();
                let own = score(&values, weights, *truth, *least);
                let band = Band::weighted(&values, weights).map(|band| shown(*figure, band));
                let held = |band: Band| Score {
                    side: side(*truth, &band),
                    half_width: band.half_width(),
                    ..own
                };
                band.map_or(own, held)
            })
            .collect()
    }
}

/// Smallest difference of a figure that tells, in its unit.
fn least(tables: &Tables, figure: Track) -> Result<f64, TableError> {
    let property = format!("least_{}", figure.name());
    tables.value("other_laws", "telling", &property)
}

/// How an ensemble of `values` did against a truth. `least` is the least width of
/// the kernels of its density, in the unit of the values.
pub(super) fn score(values: &[f64], weights: &[f64], truth: f64, least: f64) -> Score {
    let Some(band) = Band::weighted(values, weights) else {
        let nothing = f64::NAN;
        return Score {
            side: 0,
            error: nothing,
            half_width: nothing,
            crps: nothing,
            log_score: nothing,
            rank: nothing,
        };
    };
    Score {
        side: side(truth, &band),
        error: band.median - truth,
        half_width: band.half_width(),
        crps: crps(values, weights, truth),
        log_score: log_score(values, weights, truth, least),
        rank: rank(values, weights, truth),
    }
}

/// Share of the values below a truth [0 to 1].
fn rank(values: &[f64], weights: &[f64], truth: f64) -> f64 {
    let of = |x: f64| match x.total_cmp(&truth) {
        Ordering::Less => 1.0,
        Ordering::Equal => 0.5,
        Ordering::Greater => 0.0,
    };
    let below: f64 = values.iter().zip(weights).map(|(x, w)| w * of(*x)).sum();
    below / weights.iter().sum::<f64>()
}

/// Where a truth lies: below the interval (-1), in it (0), above it (1).
pub(super) fn side(truth: f64, band: &Band) -> i8 {
    i8::from(truth > band.high) - i8::from(truth < band.low)
}

/// The continuous ranked probability score, in the unit of the values.
fn crps(values: &[f64], weights: &[f64], truth: f64) -> f64 {
    let total: f64 = weights.iter().sum();
    let mut off: Vec<(f64, f64)> = values
        .iter()
        .zip(weights)
        .map(|(x, w)| (x - truth, w / total))
        .collect();
    off.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut before, mut moment, mut sum) = (0.0, 0.0, 0.0);
    for (x, w) in off {
        sum += w * (x.abs() - (x * before - moment));
        before += w;
        moment += w * x;
    }
    sum
}

/// Width of kernels by Silverman's rule, of as many values as the weights are
/// worth, but no less than `least`.
fn kernel_width(values: &[f64], weights: &[f64], least: f64) -> f64 {
    let total: f64 = weights.iter().sum();
    let mean = |f: &dyn Fn(f64) -> f64| {
        let sum: f64 = values.iter().zip(weights).map(|(x, w)| w * f(*x)).sum();
        sum / total
    };
    let middle = mean(&|x| x);
    let sd = mean(&|x| (x - middle).powi(2)).sqrt();
    let squares: f64 = weights.iter().map(|w| (w / total).powi(2)).sum();
    (0.9 * sd * squares.powf(0.2)).max(least)
}

/// Log of the density at the truth [ln per unit of the values].
fn log_score(values: &[f64], weights: &[f64], truth: f64, least: f64) -> f64 {
    let width = kernel_width(values, weights, least);
    let total: f64 = weights.iter().sum();
    // Student's t of 4 degrees: 3/8 (1 + x²/4)^(-5/2).
    let kernel = |x: f64| 0.375 * (1.0 + (x / width).powi(2) / 4.0).powf(-2.5);
    let sum: f64 = values
        .iter()
        .zip(weights)
        .map(|(x, w)| w * kernel(x - truth))
        .sum();
    (sum / (total * width)).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_one_sure_value_the_score_is_its_error() {
        let s = score(&[3.0], &[0.4], 5.0, 0.1);
        assert!((s.crps - 2.0).abs() < 1e-12, "{s:?}");
        assert_eq!((s.side, s.error, s.half_width), (1, -2.0, 0.0));
    }

    #[test]
    fn the_ranked_score_is_the_double_sum() {
        let (x, w, y) = ([1.0, 4.0, 2.5, -3.0_f64], [0.1, 0.5, 0.2, 0.4], 1.7);
        let total: f64 = w.iter().sum();
        let mut slow = 0.0;
        for i in 0..4 {
            slow += w[i] / total * (x[i] - y).abs();
            for j in 0..4 {
                slow -= w[i] * w[j] / (total * total) * (x[i] - x[j]).abs() / 2.0;
            }
        }
        assert!((crps(&x, &w, y) - slow).abs() < 1e-12);
    }

    #[test]
    fn a_rank_is_the_share_below() {
        let (x, w) = ([3.0, 1.0, 2.0], [1.0, 2.0, 1.0]);
        let of = |truth: f64| rank(&x, &w, truth);
        assert_eq!([of(0.0), of(1.5), of(2.0), of(4.0)], [0.0, 0.5, 0.625, 1.0]);
    }

    #[test]
    fn right_and_narrow_beats_wide_and_both_beat_wrong() {
        let spread = |middle: f64, by: f64| -> Vec<f64> {
            (-50..=50)
                .map(|i| middle + by * f64::from(i) / 50.0)
                .collect()
        };
        let weights = vec![1.0; 101];
        let of = |values: &[f64]| score(values, &weights, 7.0, 0.01);
        let narrow = of(&spread(7.0, 0.3));
        let wide = of(&spread(7.0, 3.0));
        let wrong = of(&spread(11.0, 0.3));
        assert!(narrow.crps < wide.crps && wide.crps < wrong.crps);
        assert!(narrow.log_score > wide.log_score && wide.log_score > wrong.log_score);
        assert_eq!([narrow.side, wide.side, wrong.side], [0, 0, -1]);
    }

    #[test]
    fn the_density_sums_to_one() {
        let (x, w) = ([1.0, 2.0, 5.0], [1.0, 2.0, 1.0]);
        let sum: f64 = (-20_000..20_000)
            .map(|i| f64::from(i) * 0.01)
            .map(|y| log_score(&x, &w, y, 0.1).exp() * 0.01)
            .sum();
        assert!((sum - 1.0).abs() < 1e-3, "{sum}");
    }

    #[test]
    fn sums_are_of_all_bins() {
        let bin = |side: i8| Followed {
            bin: 0,
            contradictions: 1,
            held: vec![vec![Pair {
                looked: Score {
                    side,
                    crps: 0.5,
                    ..Score::default()
                },
                blind: Score::default(),
            }]],
        };
        let all = Following::over(&[bin(0), bin(-1), bin(1), bin(0)]);
        let looked = all.cells[0][0].looked;
        // The default rank is nought.
        assert_eq!(all.cells[0][0].ranks, [4, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        assert_eq!((looked.inside, looked.below, all.contradictions), (2, 1, 4));
        assert!((looked.crps - 2.0).abs() < 1e-12);
        assert!((all.share(0, 0) - 0.5).abs() < 1e-12);
        assert_eq!(all.cells[0][0].blind.inside, 4);
    }
}
