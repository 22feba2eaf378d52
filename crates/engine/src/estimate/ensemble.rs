//! Many possible beds with weights.

mod alive;
mod astray;

use crate::bed::draw::{generator, in_range_log, normal};
use crate::bed::possible::PossibleBed;
use crate::bed::product::Ranged;
use crate::estimate::hands::{Hands, ONE_PAIR};
use crate::estimate::scene::Scene;
use crate::estimate::track::Moment;
use crate::estimate::tuning::Tuning;
use crate::living::draining;
use crate::living::life::Life;
use crate::living::nature::Nature;
use crate::living::observe::Tare;
use crate::living::signs::Signs;
use crate::living::species::Vital;
use crate::living::step::{self, Around, STEP_DAYS};
use crate::quantity::Band;
use astray::{another_life, jitter, jitter_life, wander, wander_ph};
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
    /// All else that goes on in it.
    pub life: Life,
    /// What this possible bin is like.
    pub nature: Nature,
    /// What its worms are like.
    pub vital: Vital,
    /// What the empty container weighs in this possible world, once weighed.
    pub tare: Option<Tare>,
    /// Troubles met so far, a bit each in the order of
    /// [`Trouble::ALL`](crate::living::trouble::Trouble::ALL); kept by who
    /// counts them.
    pub met: u32,
}

impl Possible {
    /// What is around it.
    #[must_use]
    pub fn around<'a>(&'a self, scene: &'a Scene) -> Around<'a> {
        Around {
            priors: &scene.priors,
            home: &scene.home,
            nature: &self.nature,
            vital: &self.vital,
        }
    }

    /// Its signs.
    #[must_use]
    pub fn signs(&self, scene: &Scene) -> Signs {
        Signs::of(&self.life, &self.bed, &self.around(scene))
    }

    /// Takes liquid off it [kg], see [`draining::take_off`].
    pub fn take_off(&mut self, scene: &Scene, kg: f64) {
        let around = Around {
            priors: &scene.priors,
            home: &scene.home,
            nature: &self.nature,
            vital: &self.vital,
        };
        draining::take_off(&mut self.life, &mut self.bed, &around, kg);
    }

    /// Carries it through steps of `dt` days, one for each mean air [°C].
    pub fn carry(&mut self, scene: &Scene, dt: f64, airs: &[f64]) {
        let Self {
            bed,
            life,
            nature,
            vital,
            ..
        } = self;
        let around = Around {
            priors: &scene.priors,
            home: &scene.home,
            nature,
            vital,
        };
        for air in airs {
            step::step(life, bed, &around, dt, *air);
        }
    }
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
    hands: &'static dyn Hands,
    tuning: Tuning,
}

/// Lives tried for each member after a surprise.
const LIVES: usize = 6;

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
    pub fn new(
        seed: u64,
        count: usize,
        tuning: Tuning,
        mut make: impl FnMut(&mut ChaCha8Rng) -> Possible,
    ) -> Self {
        let mut generators: Vec<ChaCha8Rng> = (0..count).map(|i| generator(seed, i)).collect();
        let members = generators.iter_mut().map(&mut make).collect();
        Self {
            members,
            weights: vec![1.0 / count.max(1) as f64; count],
            generators,
            hands: &ONE_PAIR,
            tuning,
        }
    }

    /// Runs `f` on every member with its generator.
    pub fn each(&mut self, mut f: impl FnMut(&mut Possible, &mut ChaCha8Rng)) {
        self.hands.rest();
        for (m, g) in self.members.iter_mut().zip(&mut self.generators) {
            f(m, g);
        }
    }

    /// Lends hands to everything this ensemble, and every copy of it, does.
    pub fn lend(&mut self, hands: &'static dyn Hands) {
        self.hands = hands;
    }

    /// As [`Ensemble::each`], by whatever hands were lent.
    pub fn each_by_hands(&mut self, f: impl Fn(&mut Possible, &mut ChaCha8Rng) + Sync) {
        self.hands.rest();
        self.hands.each(&mut self.members, &mut self.generators, &f);
    }

    /// Carries every member forward by `days` from day `from` of the scene,
    /// its pH wandering by `drift` [pH per root day], its water and its room
    /// by theirs, as it goes.
    pub fn carry(&mut self, scene: &Scene, from: f64, days: f64, drift: &Ranged) {
        let steps = (days / STEP_DAYS).ceil().max(1.0) as u32;
        let airs = scene.airs(from, days, steps);
        let dt = days / f64::from(steps);
        self.each_by_hands(|m, g| {
            let sd = in_range_log(g, drift.value, drift.low, drift.high);
            wander_ph(m, &scene.tuning, (sd * days.sqrt(), days), g);
            wander(m, scene, days, g);
            m.carry(scene, dt, &airs);
        });
    }

    /// A smaller ensemble of `count` members, drawn evenly by weight: the same
    /// answer, coarser and sooner.
    #[must_use]
    pub fn thinned(&self, count: usize) -> Self {
        self.hands.rest();
        if count >= self.members.len() {
            return self.clone();
        }
        let chosen = self.evenly(count);
        Self {
            members: chosen.iter().map(|i| self.members[*i].clone()).collect(),
            weights: vec![1.0 / count as f64; count],
            generators: self.generators[..count].to_vec(),
            hands: self.hands,
            tuning: self.tuning,
        }
    }

    /// Places of `count` members, as often as their weight says.
    fn evenly(&self, count: usize) -> Vec<usize> {
        let mut chosen = Vec::with_capacity(count);
        let mut cumulative = self.weights[0];
        let mut i = 0;
        for k in 0..count {
            let target = (k as f64 + 0.5) / count as f64;
            while cumulative < target && i + 1 < self.members.len() {
                i += 1;
                cumulative += self.weights[i];
            }
            chosen.push(i);
        }
        chosen
    }

    /// Signs of every member.
    #[must_use]
    pub fn signs(&self, scene: &Scene) -> Vec<Signs> {
        self.hands.rest();
        self.hands.signs(&self.members, &|m| m.signs(scene))
    }

    /// Bands of all tracks over the members, of whom the signs were read.
    #[must_use]
    pub fn moment(&self, at: i64, signs: &[Signs]) -> Moment {
        Moment::by(self.hands, at, signs, &self.weights)
    }

    /// Band of a figure over the members.
    #[must_use]
    pub fn band(&self, f: impl Fn(&Possible) -> f64) -> Band {
        self.hands.rest();
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
    /// [`Tuning::ph_surprise`] of its standard deviations, scatter included, is a
    /// contradiction: something happened that the log does not say. Every
    /// member then moves to where the reading says, instead of all being
    /// pulled along by the few outermost.
    pub fn weigh_reading(
        &mut self,
        (read, sd): (f64, f64),
        shown: impl Fn(&Possible) -> f64,
        log_likelihood: impl Fn(usize, &Possible) -> f64,
    ) -> Weighed {
        let (mean, spread) = self.moments(&shown);
        let gap = read - mean;
        if gap.abs() <= self.tuning.ph_surprise * spread.hypot(sd) {
            self.apply(&log_likelihood);
            if self.effective_share() < self.tuning.copies_below {
                self.resample();
            }
            return Weighed::Agreed;
        }
        if gap < 0.0 {
            // Lower than all thought: the lime still to act may not be there,
            // or not act.
            self.each(|m, g| m.bed.lose_grains((-normal(g).abs()).exp()));
        }
        // Something happened that the log does not tell: every member takes
        // the reading as it stands, less its own bias of the instrument, and
        // keeps the rest of what it was.
        let moved: Vec<f64> = self.members.iter().map(|m| read - shown(m)).collect();
        let mut moved = moved.into_iter();
        let t = self.tuning;
        self.each(|m, g| {
            m.bed.restretch((t.fresh_buffer * normal(g)).exp());
            let ph = m.bed.ph() + moved.next().unwrap_or(0.0) + sd * normal(g);
            m.bed.set_ph(t.can_be(ph));
        });
        Weighed::Contradicted
    }

    /// Weighs the members by the log likelihood of an observation that no one
    /// number sums up, and resamples when few are left in play. When next to
    /// none are, it is a contradiction: the ensemble is widened and weighed
    /// again.
    pub fn weigh(&mut self, log_likelihood: impl Fn(usize, &Possible) -> f64) -> Weighed {
        let before = self.weights.clone();
        self.apply(&log_likelihood);
        if self.effective_share() >= self.tuning.surprising_jar {
            if self.effective_share() < self.tuning.copies_below {
                self.resample();
            }
            return Weighed::Agreed;
        }
        self.weights = before;
        self.widen(&log_likelihood);
        Weighed::Contradicted
    }

    /// Weighs the members by what was seen or measured of the living bin.
    /// `surprise` says that it goes against what the ensemble expects: then
    /// something may have happened that the log does not tell, and half the
    /// members are given another life, as if it had, before all are weighed.
    /// `known` are the signs of the members as they are, if read already.
    pub(crate) fn weigh_life(
        &mut self,
        scene: &Scene,
        surprise: bool,
        known: Option<Vec<Signs>>,
        log_likelihood: impl Fn(&Possible, &Signs) -> f64,
    ) -> Weighed {
        let count = self.members.len();
        if surprise {
            // Unless they weigh alike already.
            if self.effective_share() < 0.999 {
                self.resample();
            }
            self.live_other_lives(scene);
        }
        let signs = match known {
            Some(signs) if !surprise => signs,
            _ => self.signs(scene),
        };
        self.apply(&|i, m| log_likelihood(m, &signs[i]));
        let t = self.tuning;
        if surprise {
            self.resample_to(count);
            self.each_by_hands(|m, g| jitter_life(m, scene, t.fresh_life, g));
            Weighed::Contradicted
        } else {
            if self.effective_share() < t.copies_below {
                self.resample_living(scene, t.copy_life);
            }
            Weighed::Agreed
        }
    }

    /// Puts [`LIVES`] in the place of each member: itself as often as another
    /// life. Few of them will be as was seen, and with one life each a handful
    /// of members would speak for all from then on.
    fn live_other_lives(&mut self, scene: &Scene) {
        let mut lives = Vec::with_capacity(LIVES * self.members.len());
        for (m, g) in self.members.iter().zip(&mut self.generators) {
            for life in 0..LIVES {
                let mut m = m.clone();
                if life % 2 == 0 {
                    another_life(&mut m, scene, g);
                }
                lives.push(m);
            }
        }
        self.weights = vec![1.0 / lives.len() as f64; lives.len()];
        self.members = lives;
    }

    /// Weighs by log likelihoods already worked out, member by member.
    pub(crate) fn weigh_logs(&mut self, scene: &Scene, logs: &[f64]) -> Weighed {
        self.apply(&|i, _| logs[i]);
        if self.effective_share() < self.tuning.copies_below {
            self.resample_living(scene, self.tuning.copy_life);
        }
        Weighed::Agreed
    }

    fn resample_living(&mut self, scene: &Scene, share: f64) {
        self.resample();
        self.each_by_hands(|m, g| jitter_life(m, scene, share, g));
    }

    /// Spreads pH and buffer afresh and weighs again.
    fn widen(&mut self, log_likelihood: &impl Fn(usize, &Possible) -> f64) {
        self.resample();
        let t = self.tuning;
        self.each(|m, g| {
            m.bed.restretch((t.fresh_buffer * normal(g)).exp());
            let ph = m.bed.ph() + t.fresh_ph * normal(g);
            m.bed.set_ph(t.can_be(ph));
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

    /// Standard deviation of the beds' pH.
    fn ph_spread(&self) -> f64 {
        let mean = |f: &dyn Fn(f64) -> f64| -> f64 {
            let of = self.members.iter().zip(&self.weights);
            of.map(|(m, w)| w * f(m.bed.ph())).sum()
        };
        let middle = mean(&|ph| ph);
        mean(&|ph| (ph - middle).powi(2)).sqrt()
    }

    /// As many members as there are generators, each copy gone its own way.
    pub(crate) fn grow(&mut self, scene: &Scene) {
        self.resample_to(self.generators.len());
        let share = self.tuning.copy_life;
        self.each_by_hands(|m, g| jitter_life(m, scene, share, g));
    }

    /// Systematic resampling with a little jitter on copies.
    fn resample(&mut self) {
        self.resample_to(self.members.len());
    }

    /// The same to `n` members, no more than there are generators.
    fn resample_to(&mut self, n: usize) {
        // Never so far that a sharp reading would be blurred.
        let nudge = self.ph_spread() * self.tuning.copy_ph_of_spread;
        let nudge = nudge.min(self.tuning.copy_ph);
        let chosen = self.evenly(n);
        // Chosen places rise: all but the first of a member are copies.
        let (members, tuning) = (&self.members, &self.tuning);
        let made = self.hands.make(&mut self.generators[..n], &|slot, chance| {
            let mut member = members[chosen[slot]].clone();
            if slot > 0 && chosen[slot - 1] == chosen[slot] {
                jitter(&mut member, tuning, nudge, chance);
            }
            member
        });
        self.members = made;
        self.weights = vec![1.0 / n as f64; n];
    }
}
