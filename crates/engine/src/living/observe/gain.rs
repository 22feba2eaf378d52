//! The one cheapest observation that would narrow the next decision most.
//!
//! For every observation a keeper can make, over the possible bins and their
//! weights: what its answers would be, how likely, and how far each would
//! narrow the decision. With `d` the decision, `p(o|i)` the chance of answer
//! `o` in bin `i` and `w` the weights, the variance left on average is
//! `Σ w d² - Σ_o (Σ w p d)² / Σ w p`, never more than now. Answers on a scale
//! are cut into bins.

use super::question::Question;
use super::tare::Tare;
use super::{Sayings, row};
use crate::living::signs::Signs;
use crate::table::{TableError, Tables};

/// Something a keeper can look at, feel or measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Squeeze a handful.
    Squeeze,
    /// Smell the bedding.
    Smell,
    /// Look at the lid and where the worms are.
    Lid,
    /// See how much of the last food is left.
    FoodLeft,
    /// Thermometer in the middle.
    Thermometer,
    /// pH with the keeper's instrument.
    Ph,
    /// Count the worms of one half-litre core.
    CoreCount,
    /// Weigh the bin.
    Weigh,
}

impl Look {
    /// What to do, in plain words, as a command.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Squeeze => "squeeze a handful",
            Self::Smell => "smell the bedding",
            Self::Lid => "look at the lid and where the worms are",
            Self::FoodLeft => "see how much of the last food is left",
            Self::Thermometer => "put a thermometer in the middle",
            Self::Ph => "read the pH",
            Self::CoreCount => "count the worms in half a litre of bedding",
            Self::Weigh => "weigh the bin",
        }
    }
}

/// Minutes a look takes, going there and opening included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Minutes {
    squeeze: f64,
    smell: f64,
    lid: f64,
    food: f64,
    thermometer: f64,
    ph_in_bedding: f64,
    ph_slurry: f64,
    core: f64,
    weigh: f64,
    worth_share: f64,
    core_litres: f64,
}

impl Minutes {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let open = row(tables, "minutes", "open_bin")?;
        let get = |property| row(tables, "minutes", property).map(|m| m + open);
        Ok(Self {
            squeeze: get("squeeze")?,
            smell: get("smell")?,
            lid: get("look_at_lid")?,
            food: get("food_left")?,
            thermometer: get("thermometer")?,
            ph_in_bedding: get("ph_in_bedding")?,
            ph_slurry: get("ph_slurry")?,
            core: get("core_count")?,
            weigh: get("weigh_bin")?,
            worth_share: row(tables, "gain", "worth_share")?,
            core_litres: row(tables, "count", "core_litres")?,
        })
    }
}

/// The possible bins, their weights and the decision in each; one length.
#[derive(Debug, Clone, Copy)]
pub struct Possibles<'a> {
    /// Signs.
    pub signs: &'a [Signs],
    /// Weights; need not sum to one.
    pub weights: &'a [f64],
    /// What is to be decided by, such as the ration [g] or the chance of
    /// trouble.
    pub decision: &'a [f64],
}

/// pH as the keeper would read it.
#[derive(Clone, Copy)]
pub struct PhLook<'a> {
    /// What the instrument would show of the member of that place in the list,
    /// its bias in it [pH].
    pub shown: &'a dyn Fn(usize, &Signs) -> f64,
    /// Scatter of the reading about that [pH].
    pub sd: f64,
    /// A probe pushed in, not a slurry stirred.
    pub in_bedding: bool,
}

/// What the keeper has to measure with.
#[derive(Clone, Copy, Default)]
pub struct Kit<'a> {
    /// A thermometer.
    pub thermometer: bool,
    /// A scale the bin goes on, with the tare of each possible bin.
    pub scale: Option<&'a [Tare]>,
    /// Something for pH.
    pub ph: Option<PhLook<'a>>,
}

/// What one look would bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// The look.
    pub look: Look,
    /// Minutes it takes.
    pub minutes: f64,
    /// Width of the decision's 80 % interval now, as of a normal of its
    /// variance [unit of the decision].
    pub spread_now: f64,
    /// The same after the look, on average over its answers.
    pub spread_then: f64,
}

impl Gain {
    /// By how much the interval narrows [unit of the decision].
    #[must_use]
    pub fn narrows(&self) -> f64 {
        self.spread_now - self.spread_then
    }

    /// By how much it narrows per minute.
    #[must_use]
    pub fn per_minute(&self) -> f64 {
        self.narrows() / self.minutes
    }
}

/// All looks, in two orders.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// Most narrowing per minute first.
    pub per_minute: Vec<Gain>,
    /// Most narrowing first.
    pub absolute: Vec<Gain>,
    worth_share: f64,
}

impl Ranking {
    /// The look to ask for: most narrowing per minute among those that narrow
    /// the decision by a share worth asking for. `None` when none does, or when
    /// the decision's interval is no wider than `matters` already.
    #[must_use]
    pub fn best(&self, matters: f64) -> Option<&Gain> {
        self.per_minute
            .iter()
            .find(|g| g.spread_now > matters && g.narrows() >= self.worth_share * g.spread_now)
    }
}

/// Half-width of an 80 % interval in standard deviations, twice.
const WIDTH80: f64 = 2.0 * 1.2816;
/// Most bins of an answer on a scale.
const BINS: usize = 96;
/// Least bins.
const FEW_BINS: usize = 8;
/// How far beyond the outermost member bins reach, in its standard deviations.
const REACH: f64 = 3.0;

/// Weighted sums over the members for each answer.
#[derive(Clone)]
struct Sums {
    weight: [f64; BINS],
    decision: [f64; BINS],
}

impl Sums {
    const fn new() -> Self {
        Self {
            weight: [0.0; BINS],
            decision: [0.0; BINS],
        }
    }

    fn add(&mut self, answer: usize, weight: f64, decision: f64) {
        self.weight[answer] += weight;
        self.decision[answer] += weight * decision;
    }

    /// `Σ_o (Σ w p d)² / Σ w p`.
    fn explained(&self) -> f64 {
        let pairs = self.weight.iter().zip(&self.decision);
        pairs
            .filter(|(w, _)| **w > 0.0)
            .map(|(w, d)| d * d / w)
            .sum()
    }
}

/// Members with weights that sum to one and decisions about their mean.
struct Ready<'a> {
    signs: &'a [Signs],
    weights: Vec<f64>,
    decision: Vec<f64>,
    variance: f64,
}

impl<'a> Ready<'a> {
    /// `None` when lengths differ, there is no weight, or a number is not
    /// finite.
    fn of(p: &Possibles<'a>) -> Option<Self> {
        let total: f64 = p.weights.iter().sum();
        let n = p.signs.len();
        let whole = p.weights.len() == n && p.decision.len() == n;
        let finite = p.decision.iter().all(|d| d.is_finite());
        if !whole || !finite || !total.is_finite() || total <= 0.0 {
            return None;
        }
        let weights: Vec<f64> = p.weights.iter().map(|w| w / total).collect();
        let pairs = || weights.iter().zip(p.decision);
        let mean: f64 = pairs().map(|(w, d)| w * d).sum();
        let decision: Vec<f64> = p.decision.iter().map(|d| d - mean).collect();
        let variance = weights.iter().zip(&decision).map(|(w, d)| w * d * d).sum();
        Some(Self {
            signs: p.signs,
            weights,
            decision,
            variance,
        })
    }

    fn gain(&self, look: Look, minutes: f64, explained: f64) -> Gain {
        let left = (self.variance - explained).clamp(0.0, self.variance);
        Gain {
            look,
            minutes,
            spread_now: WIDTH80 * self.variance.sqrt(),
            spread_then: WIDTH80 * left.sqrt(),
        }
    }

    /// Answers in words: every combination of answers to the questions.
    fn words(&self, sayings: &Sayings, questions: &[Question]) -> f64 {
        let mut sums = Sums::new();
        for (i, s) in self.signs.iter().enumerate() {
            let mut chances = [0.0; BINS];
            chances[0] = self.weights[i];
            let mut count = 1;
            for question in questions {
                let answers = sayings.answers(*question, s);
                let mut next = [0.0; BINS];
                let list = answers.probabilities();
                for (a, p) in list.iter().enumerate() {
                    for (o, chance) in chances[..count].iter().enumerate() {
                        next[a * count + o] = chance * p;
                    }
                }
                count *= list.len();
                chances = next;
            }
            for (o, weight) in chances[..count].iter().enumerate() {
                sums.add(o, *weight, self.decision[i]);
            }
        }
        sums.explained()
    }

    /// An answer on a scale: `shown` gives its mean and standard deviation for
    /// a member. Bins are no wider than most of the smallest scatter if
    /// [`BINS`] of them reach; the scatter is widened to the bin where not.
    fn scale(&self, shown: impl Fn(usize, &Signs) -> (f64, f64)) -> f64 {
        let (mut low, mut high, mut least) = (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY);
        for (i, s) in self.signs.iter().enumerate() {
            if self.weights[i] > 0.0 {
                let (mean, sd) = shown(i, s);
                low = low.min(mean - REACH * sd);
                high = high.max(mean + REACH * sd);
                least = least.min(sd);
            }
        }
        let range = high - low;
        if !range.is_finite() || range <= 0.0 || least <= 0.0 {
            return 0.0;
        }
        let wanted = (range / (0.5 * least)).ceil();
        let count = wanted.clamp(FEW_BINS as f64, BINS as f64);
        let width = range / count;
        let count = count as usize;
        let mut sums = Sums::new();
        for (i, s) in self.signs.iter().enumerate() {
            let (mean, sd) = shown(i, s);
            if self.weights[i] <= 0.0 || !mean.is_finite() {
                continue;
            }
            let mut chances = [0.0; BINS];
            let per_sd = 1.0 / sd.max(0.7 * width);
            for (o, chance) in chances[..count].iter_mut().enumerate() {
                let z = (low + (o as f64 + 0.5) * width - mean) * per_sd;
                // Student's t with 5 degrees of freedom: (1 + z²/5)^-3.
                *chance = 1.0 / (1.0 + z * z / 5.0).powi(3);
            }
            let total: f64 = chances[..count].iter().sum();
            for (o, chance) in chances[..count].iter().enumerate() {
                sums.add(o, self.weights[i] * chance / total, self.decision[i]);
            }
        }
        sums.explained()
    }
}

impl Sayings {
    /// Ranks what the keeper could look at by how far it would narrow the
    /// decision. `None` when lengths differ, there is no weight, or a decision
    /// is not finite.
    #[must_use]
    pub fn rank(&self, possibles: &Possibles<'_>, kit: &Kit<'_>) -> Option<Ranking> {
        let ready = Ready::of(possibles)?;
        let mut list = self.in_words(&ready);
        list.extend(self.measured(&ready, kit));
        let by = |key: fn(&Gain) -> f64| {
            let mut sorted = list.clone();
            sorted.sort_by(|a, b| key(b).total_cmp(&key(a)));
            sorted
        };
        Some(Ranking {
            per_minute: by(Gain::per_minute),
            absolute: by(Gain::narrows),
            worth_share: self.minutes.worth_share,
        })
    }

    fn in_words(&self, ready: &Ready<'_>) -> Vec<Gain> {
        use Question as Q;
        let m = &self.minutes;
        let list: [(Look, f64, &[Question]); 4] = [
            (Look::Squeeze, m.squeeze, &[Q::Squeeze]),
            (Look::Smell, m.smell, &[Q::Sour, Q::Rotten, Q::Ammonia]),
            (Look::Lid, m.lid, &[Q::Place, Q::Condensation]),
            (Look::FoodLeft, m.food, &[Q::Food]),
        ];
        list.iter()
            .map(|(look, minutes, q)| ready.gain(*look, *minutes, ready.words(self, q)))
            .collect()
    }

    fn measured(&self, ready: &Ready<'_>, kit: &Kit<'_>) -> Vec<Gain> {
        let m = &self.minutes;
        let mut list = Vec::with_capacity(4);
        let counted = |_: usize, s: &Signs| {
            let (mean, over) = self.counts.count_moments(Some(m.core_litres), s);
            // The logarithm of the count and a half more, about.
            ((mean + 0.5).ln(), (1.0 / (mean + 0.5) + over).sqrt())
        };
        let core = ready.scale(counted);
        list.push(ready.gain(Look::CoreCount, m.core, core));
        if kit.thermometer {
            let sd = self.gauges.middle_sd();
            let explained = ready.scale(|_, s| (s.core_celsius, sd));
            list.push(ready.gain(Look::Thermometer, m.thermometer, explained));
        }
        if let Some(tares) = kit.scale.filter(|t| t.len() == ready.signs.len()) {
            let explained = ready.scale(|i, s| {
                let gross = s.contents_kg + tares[i].kg;
                let variance = tares[i].variance + self.tares.noise(gross);
                (gross, variance.sqrt())
            });
            list.push(ready.gain(Look::Weigh, m.weigh, explained));
        }
        if let Some(ph) = kit.ph {
            let minutes = if ph.in_bedding {
                m.ph_in_bedding
            } else {
                m.ph_slurry
            };
            let explained = ready.scale(|i, s| ((ph.shown)(i, s), ph.sd));
            list.push(ready.gain(Look::Ph, minutes, explained));
        }
        list
    }
}
