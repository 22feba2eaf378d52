//! Many possible beds with weights.

use crate::bed::draw::{in_range_log, normal};
use crate::bed::possible::PossibleBed;
use crate::bed::product::Ranged;
use crate::quantity::Band;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;

/// One possible bed and what goes with it.
#[derive(Debug, Clone)]
pub struct Possible {
    /// The bed.
    pub bed: PossibleBed,
    /// Bias of each instrument in this possible world, by key [pH].
    pub bias: BTreeMap<String, f64>,
    /// pH of the bed just before the last dose.
    pub before_dose: Option<f64>,
}

/// Many possible beds with weights that sum to one, and a generator for each
/// place in the list, so that copies made by resampling go their own ways.
#[derive(Debug, Clone)]
pub struct Ensemble {
    /// The possible beds.
    pub members: Vec<Possible>,
    /// Their weights.
    pub weights: Vec<f64>,
    generators: Vec<ChaCha8Rng>,
}

/// Below this share of effective members the ensemble is resampled.
const RESAMPLE_BELOW: f64 = 0.5;
/// Standard deviations beyond which a reading contradicts the ensemble.
const SURPRISED_BEYOND: f64 = 3.0;
/// An effective share this small after one jar test is a contradiction.
const CONTRADICTED_BELOW: f64 = 0.04;
/// Jitter of a copied member's pH and of its buffer (log scale).
const JITTER_PH: f64 = 0.03;
/// Jitter of a copied member's instrument bias [pH].
const JITTER_BIAS: f64 = 0.02;
const JITTER_BUFFER: f64 = 0.06;
/// pH spread given to fresh members when the log contradicts the ensemble.
const FRESH_PH_SD: f64 = 0.5;
/// Spread given to their buffers then (log scale).
const FRESH_BUFFER_SD: f64 = 0.25;

/// What weighing by one observation did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weighed {
    /// Went as expected.
    Agreed,
    /// The observation contradicted nearly every member; the ensemble was
    /// widened and weighed again.
    Contradicted,
}

impl Ensemble {
    /// `count` members, each made by `make` with its own generator.
    pub fn new(seed: u64, count: usize, mut make: impl FnMut(&mut ChaCha8Rng) -> Possible) -> Self {
        let mut generators: Vec<ChaCha8Rng> = (0..count)
            .map(|i| {
                let mut g = ChaCha8Rng::seed_from_u64(seed);
                g.set_stream(i as u64);
                g
            })
            .collect();
        let members = generators.iter_mut().map(&mut make).collect();
        Self {
            members,
            weights: vec![1.0 / count.max(1) as f64; count],
            generators,
        }
    }

    /// Runs `f` on every member with its generator.
    pub fn each(&mut self, mut f: impl FnMut(&mut Possible, &mut ChaCha8Rng)) {
        for (m, g) in self.members.iter_mut().zip(&mut self.generators) {
            f(m, g);
        }
    }

    /// Carries every member forward by `days`, wandering by `drift` [pH per
    /// root day] as it goes.
    pub(crate) fn carry(&mut self, days: f64, drift: &Ranged) {
        self.each(|m, g| {
            let sd = in_range_log(g, drift.value, drift.low, drift.high);
            let step = sd * days.sqrt() * normal(g);
            m.bed.base += step * m.bed.curve.buffer_at(m.bed.ph()) * m.bed.stretch;
            m.bed.advance(days);
        });
    }

    /// Band of a figure over the members.
    #[must_use]
    pub fn band(&self, f: impl Fn(&Possible) -> f64) -> Band {
        let values: Vec<f64> = self.members.iter().map(f).collect();
        Band::weighted(&values, &self.weights).unwrap_or(Band {
            median: f64::NAN,
            low: f64::NAN,
            high: f64::NAN,
        })
    }

    /// Weighted mean and standard deviation of a figure.
    #[must_use]
    pub fn moments(&self, f: impl Fn(&Possible) -> f64) -> (f64, f64) {
        let mean: f64 = self.pairs().map(|(m, w)| w * f(m)).sum();
        let var: f64 = self.pairs().map(|(m, w)| w * (f(m) - mean).powi(2)).sum();
        (mean, var.max(0.0).sqrt())
    }

    /// Chance that something holds [0 to 1].
    #[must_use]
    pub fn chance(&self, f: impl Fn(&Possible) -> bool) -> f64 {
        let sum: f64 = self.pairs().filter(|(m, _)| f(m)).map(|(_, w)| w).sum();
        sum.clamp(0.0, 1.0)
    }

    fn pairs(&self) -> impl Iterator<Item = (&Possible, f64)> {
        self.members.iter().zip(self.weights.iter().copied())
    }

    /// Weighs the members by the log likelihood of one pH reading (given the
    /// member and its place in the list), `read` being what the instrument
    /// showed with scatter `sd`, and `shown` what it would show of a member.
    ///
    /// A reading further from what the ensemble expects than
    /// [`SURPRISED_BEYOND`] of its standard deviations, scatter included, is a
    /// contradiction: something happened that the log does not say. The
    /// ensemble is then widened far enough to reach the reading before it is
    /// weighed, instead of being pulled along by its few outermost members.
    pub fn weigh_reading(
        &mut self,
        (read, sd): (f64, f64),
        shown: impl Fn(&Possible) -> f64,
        log_likelihood: impl Fn(usize, &Possible) -> f64,
    ) -> Weighed {
        let (mean, spread) = self.moments(&shown);
        let gap = read - mean;
        if gap.abs() <= SURPRISED_BEYOND * spread.hypot(sd) {
            self.apply(&log_likelihood);
            if self.effective_share() < RESAMPLE_BELOW {
                self.resample();
            }
            return Weighed::Agreed;
        }
        if gap < 0.0 {
            // Lower than all thought: the lime still to act may not be there,
            // or not act.
            self.each(|m, g| m.bed.lose_grains((-normal(g).abs()).exp()));
        }
        self.widen(FRESH_PH_SD.max(gap.abs() / 2.0), &log_likelihood);
        Weighed::Contradicted
    }

    /// Weighs the members by the log likelihood of an observation that no one
    /// number sums up, and resamples when few are left in play. When next to
    /// none are, it is a contradiction: the ensemble is widened and weighed
    /// again.
    pub fn weigh(&mut self, log_likelihood: impl Fn(usize, &Possible) -> f64) -> Weighed {
        let before = self.weights.clone();
        self.apply(&log_likelihood);
        if self.effective_share() >= CONTRADICTED_BELOW {
            if self.effective_share() < RESAMPLE_BELOW {
                self.resample();
            }
            return Weighed::Agreed;
        }
        self.weights = before;
        self.widen(FRESH_PH_SD, &log_likelihood);
        Weighed::Contradicted
    }

    /// Spreads pH and buffer afresh and weighs again.
    fn widen(&mut self, ph_sd: f64, log_likelihood: &impl Fn(usize, &Possible) -> f64) {
        self.resample();
        self.each(|m, g| {
            m.bed.restretch((FRESH_BUFFER_SD * normal(g)).exp());
            let ph = m.bed.ph() + ph_sd * normal(g);
            m.bed.set_ph(ph.clamp(2.5, 11.0));
        });
        self.apply(log_likelihood);
        self.resample();
    }

    fn apply(&mut self, log_likelihood: &impl Fn(usize, &Possible) -> f64) {
        let logs: Vec<f64> = self
            .members
            .iter()
            .enumerate()
            .map(|(i, m)| log_likelihood(i, m))
            .collect();
        let best = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !best.is_finite() {
            return;
        }
        for (w, l) in self.weights.iter_mut().zip(&logs) {
            *w *= (l - best).exp();
        }
        let total: f64 = self.weights.iter().sum();
        for w in &mut self.weights {
            *w /= total;
        }
    }

    /// Effective number of members over their count [0 to 1].
    #[must_use]
    pub fn effective_share(&self) -> f64 {
        let squares: f64 = self.weights.iter().map(|w| w * w).sum();
        1.0 / (squares * self.weights.len().max(1) as f64)
    }

    /// Systematic resampling with a little jitter on copies.
    fn resample(&mut self) {
        let n = self.members.len();
        let mut chosen = Vec::with_capacity(n);
        let mut cumulative = self.weights[0];
        let mut i = 0;
        for k in 0..n {
            let target = (k as f64 + 0.5) / n as f64;
            while cumulative < target && i + 1 < n {
                i += 1;
                cumulative += self.weights[i];
            }
            chosen.push(i);
        }
        let old = std::mem::take(&mut self.members);
        let mut last = usize::MAX;
        for (slot, &from) in chosen.iter().enumerate() {
            let mut member = old[from].clone();
            if from == last {
                jitter(&mut member, &mut self.generators[slot]);
            }
            last = from;
            self.members.push(member);
        }
        self.weights = vec![1.0 / n as f64; n];
    }
}

fn jitter(member: &mut Possible, g: &mut ChaCha8Rng) {
    member.bed.restretch((JITTER_BUFFER * normal(g)).exp());
    let ph = member.bed.ph() + JITTER_PH * normal(g);
    member.bed.set_ph(ph.clamp(2.1, 12.9));
    for bias in member.bias.values_mut() {
        *bias += JITTER_BIAS * normal(g);
    }
}
