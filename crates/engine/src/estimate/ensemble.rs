//! Many possible beds with weights.

pub(crate) mod noise;

use crate::bed::draw::{Block, Dice, Tape};
use crate::bed::possible::PossibleBed;
use crate::estimate::hands::Hands;
use crate::estimate::scene::Scene;
use crate::estimate::track::Moment;
use crate::living::draining;
use crate::living::life::Life;
use crate::living::nature::Nature;
use crate::living::observe::{GaugeKind, Keeper, Said, Tare, Unseen};
use crate::living::signs::Signs;
use crate::living::species::Vital;
use crate::living::step::{self, Around, STEP_DAYS};
use crate::quantity::Band;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;

/// One possible bed and what goes with it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Possible {
    /// The bed.
    pub bed: PossibleBed,
    /// Bias of each instrument in this possible world, by key [pH].
    pub bias: BTreeMap<String, f64>,
    /// Error of each other instrument, by its kind, once read.
    pub gauge_bias: [Option<f64>; GaugeKind::ALL.len()],
    /// pH of the bed just before the last dose.
    pub before_dose: Option<f64>,
    /// All else that goes on in it.
    pub life: Life,
    /// What this possible bin is like.
    pub nature: Nature,
    /// What its worms are like.
    pub vital: Vital,
    /// How far its pH goes astray [pH per root day].
    pub drift: f64,
    /// The keeper's hands and nose in this possible world.
    pub keeper: Keeper,
    /// What the keeper has said before.
    pub said: Said,
    /// Chances of a cause outside the model.
    pub unseen: Unseen,
    /// What the empty container weighs in this possible world, once weighed.
    pub tare: Option<Tare>,
    /// Troubles met so far, a bit each in the order of
    /// [`Trouble::ALL`](crate::living::trouble::Trouble::ALL); kept by who
    /// counts them.
    pub met: u32,
    /// Everything chance brought it.
    pub tape: Tape,
    /// Base that the last dose brought [meq]; negative for acid.
    pub given_meq: f64,
    /// Log likelihood of all that was heard, but for the last.
    pub heard: f64,
    /// That of the last.
    pub heard_last: f64,
    /// As it stood some time ago, where that is at hand: other chances of late are
    /// lived from there.
    #[serde(skip)]
    pub(crate) stood: Option<Arc<Stood>>,
}

/// A possible bin as it stood just after so many events, its tape left out.
#[derive(Debug, Clone)]
pub(crate) struct Stood {
    pub(crate) events: usize,
    pub(crate) bin: Possible,
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

    /// Log likelihood of all that was heard [-].
    #[must_use]
    pub fn log_likelihood(&self) -> f64 {
        self.heard + self.heard_last
    }

    /// Does `f` with its tape opened at a block.
    pub(crate) fn by_chance<T>(
        &mut self,
        block: Block,
        f: impl FnOnce(&mut Self, &mut Tape) -> T,
    ) -> T {
        let mut tape = std::mem::replace(&mut self.tape, Tape::new(0, 0));
        let made = f(self, tape.open(block));
        self.tape = tape;
        made
    }

    /// Carries it by `days` from day `from` of the scene, what chance brings in
    /// those days with it, through equal steps with each mean air [°C].
    pub(crate) fn live_on(&mut self, scene: &Scene, (from, days): (f64, f64), airs: &[f64]) {
        noise::astray(self, scene, from, days);
        self.carry(scene, days / airs.len() as f64, airs);
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

/// Many possible beds with weights that sum to one.
#[derive(Debug, Clone)]
pub struct Ensemble {
    /// The possible beds.
    pub members: Vec<Possible>,
    /// Their weights.
    pub weights: Vec<f64>,
    hands: &'static dyn Hands,
}

impl Ensemble {
    /// `count` members, each made by `make` from its own tape, by the hands
    /// lent for everything this ensemble, and every copy of it, does.
    pub fn new(
        seed: u64,
        count: usize,
        hands: &'static dyn Hands,
        make: &(impl Fn(Tape) -> Possible + Sync),
    ) -> Self {
        Self {
            members: hands.make(count, &|place| make(Tape::new(seed, place))),
            weights: even(count),
            hands,
        }
    }

    /// Of these members with these weights.
    pub(crate) const fn of(
        members: Vec<Possible>,
        weights: Vec<f64>,
        hands: &'static dyn Hands,
    ) -> Self {
        Self {
            members,
            weights,
            hands,
        }
    }

    /// A member for each weight, made by `make` by its place.
    pub(crate) fn weighted(
        weights: Vec<f64>,
        hands: &'static dyn Hands,
        make: &(impl Fn(usize) -> Possible + Sync),
    ) -> Self {
        Self {
            members: hands.make(weights.len(), make),
            weights,
            hands,
        }
    }

    /// Runs `f` on every member.
    pub fn each(&mut self, mut f: impl FnMut(&mut Possible)) {
        self.hands.rest();
        for m in &mut self.members {
            f(m);
        }
    }

    /// As [`Ensemble::each`], by whatever hands were lent.
    pub fn each_by_hands(&mut self, f: impl Fn(&mut Possible) + Sync) {
        self.hands.rest();
        self.hands.each(&mut self.members, &f);
    }

    /// As [`Ensemble::each`], with each member's tape opened at a block.
    pub fn each_by_chance(&mut self, block: Block, f: impl Fn(&mut Possible, &mut Tape) + Sync) {
        self.each_by_hands(|m| m.by_chance(block, &f));
    }

    /// Who does the work.
    pub(crate) fn hands(&self) -> &'static dyn Hands {
        self.hands
    }

    /// Carries every member forward by `days` from day `from` of the scene,
    /// with what chance brings it.
    pub fn carry(&mut self, scene: &Scene, from: f64, days: f64) {
        let steps = (days / STEP_DAYS).ceil().max(1.0) as u32;
        let airs = scene.airs(from, days, steps);
        self.each_by_hands(|m| m.live_on(scene, (from, days), &airs));
    }

    /// A smaller ensemble of `count` members, drawn evenly by weight: the same
    /// answer, coarser and sooner.
    #[must_use]
    pub fn thinned(&self, count: usize) -> Self {
        self.hands.rest();
        if count >= self.members.len() {
            return self.clone();
        }
        let chosen = self.evenly(count, 0.5);
        Self {
            members: chosen.iter().map(|i| self.members[*i].clone()).collect(),
            weights: even(count),
            hands: self.hands,
        }
    }

    /// Places of `count` members, as often as their weight says, from so far
    /// into the first share [0 to 1].
    pub(crate) fn evenly(&self, count: usize, from: f64) -> Vec<usize> {
        let mut chosen = Vec::with_capacity(count);
        let mut cumulative = self.weights[0];
        let mut i = 0;
        for k in 0..count {
            let target = (k as f64 + from) / count as f64;
            while cumulative < target && i + 1 < self.weights.len() {
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

    /// Weighs every member by the log likelihood of what was heard last, times
    /// `share`.
    pub(crate) fn weigh(&mut self, share: f64) {
        let logs = self.members.iter().map(|m| share * m.heard_last);
        let best = logs.clone().fold(f64::NEG_INFINITY, f64::max);
        if !best.is_finite() {
            return;
        }
        for (w, l) in self.weights.iter_mut().zip(logs) {
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

    /// Draws the members anew as often as their weight says: systematic
    /// resampling from an even start. What comes to a copy from then on is that
    /// of its own place.
    pub(crate) fn resample(&mut self, dice: &mut Dice) {
        let chosen = self.evenly(self.members.len(), dice.even());
        self.members = chosen
            .iter()
            .enumerate()
            .map(|(place, from)| {
                let mut m = self.members[*from].clone();
                m.tape.move_to(place);
                m
            })
            .collect();
        self.weights = even(self.members.len());
    }
}

/// Even weights.
pub(crate) fn even(count: usize) -> Vec<f64> {
    vec![1.0 / count.max(1) as f64; count]
}
