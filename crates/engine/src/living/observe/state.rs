//! What hands and eyes say of water, food, warmth and the worms' looks.

use super::chance::{at_least, hill, logistic, logit, met, unit};
use super::{Answers, Rates, row};
use crate::living::signs::Signs;
use crate::table::{TableError, Tables};

/// A rate that rises with a cause: weak evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Weak {
    base: f64,
    more: f64,
}

impl Weak {
    fn load(tables: &Tables, subject: &str) -> Result<Self, TableError> {
        Ok(Self {
            base: row(tables, subject, "base")?,
            more: row(tables, subject, "more")?,
        })
    }

    fn said(&self, cause: f64) -> f64 {
        self.base + self.more * cause
    }
}

/// A step with a scale.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Step {
    at: f64,
    scale: f64,
}

impl Step {
    fn load(tables: &Tables, subject: &str, at: &str, scale: &str) -> Result<Self, TableError> {
        Ok(Self {
            at: row(tables, subject, at)?,
            scale: row(tables, subject, scale)?,
        })
    }

    /// Chance of lying above the step.
    fn above(&self, x: f64) -> f64 {
        logistic((x - self.at) / self.scale)
    }
}

/// Water, food, warmth and the worms' looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct State {
    squeeze_step: f64,
    squeeze_scatter: f64,
    squeeze_top: f64,
    squeeze_false: f64,
    thin: Step,
    slow: Step,
    slow_share: f64,
    slow_airless: f64,
    condition_false: f64,
    to_be_seen: f64,
    false_alive: f64,
    dead: Rates,
    dead_seen: f64,
    food: [f64; 2],
    food_scale: f64,
    food_false: f64,
    condensation: Rates,
    pooling: Rates,
    pooling_half: f64,
    mould: Weak,
    mites: Weak,
    mites_without_food: f64,
    potworms: Weak,
    flies: Weak,
    wet: Step,
    acid: Step,
    hand: f64,
    hand_air: f64,
    hand_hot: f64,
    feel: [f64; 2],
    feel_scale: f64,
    feel_false: f64,
}

impl State {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let get = |subject, property| row(tables, subject, property);
        Ok(Self {
            squeeze_step: get("squeeze", "step_share")?,
            squeeze_scatter: get("squeeze", "scatter_share")?,
            squeeze_top: get("squeeze", "top_share")?,
            squeeze_false: get("squeeze", "false_say")?,
            thin: Step::load(tables, "condition", "thin_below", "scale")?,
            slow: Step::load(tables, "condition", "cold_celsius", "cold_scale")?,
            slow_share: get("condition", "slow_share")?,
            slow_airless: get("condition", "airless_half")?,
            condition_false: get("condition", "false_say")?,
            to_be_seen: get("place", "worms_to_be_seen")?,
            false_alive: get("place", "false_alive")?,
            dead: Rates::load(tables, "dead")?,
            dead_seen: get("dead", "visible_days")? * get("dead", "seen_share")?,
            food: [get("food", "gone_below")?, get("food", "most_above")?],
            food_scale: get("food", "scale")?,
            food_false: get("food", "false_say")?,
            condensation: Rates::load(tables, "condensation")?,
            pooling: Rates::load(tables, "pooling")?,
            pooling_half: get("pooling", "half_kg")?,
            mould: Weak::load(tables, "mould")?,
            mites: Weak::load(tables, "mites")?,
            mites_without_food: get("mites", "without_food_share")?,
            potworms: Weak::load(tables, "potworms")?,
            flies: Weak::load(tables, "flies")?,
            wet: Step::load(tables, "wet", "moisture_percent", "scale")?,
            acid: Step::load(tables, "acid", "ph", "scale")?,
            hand: get("feel", "hand_celsius")?,
            hand_air: get("feel", "air_share")?,
            hand_hot: get("feel", "hot_share")?,
            feel: [get("feel", "cold_below")?, get("feel", "warm_above")?],
            feel_scale: get("feel", "scale")?,
            feel_false: get("feel", "false_say")?,
        })
    }

    /// Squeeze classes: ordered in `x = (m - m_d) / (100 - m_d)`, with `m` the
    /// moisture of the handful and `m_d` where this bedding gives its first
    /// drops [% of wet mass]. Boundaries lie one step apart, the first drops
    /// at 0, so classes shift with the bedding and crowd together where it
    /// holds much water. For `m_d` 50 they are 40, 50, 60, 70, 80 %. To this
    /// hand the handful is so many `points` wetter.
    pub(super) fn squeeze(&self, s: &Signs, points: f64) -> Answers {
        // A guard: from no wetter do classes begin.
        let drop = unit(s.drop_moisture_percent / 95.0) * 95.0;
        let top = self.squeeze_top;
        let handful = top * s.top_moisture_percent + (1.0 - top) * s.moisture_percent + points;
        let x = (handful - drop) / (100.0 - drop);
        let above = |i: f64| logistic((x - i * self.squeeze_step) / self.squeeze_scatter);
        Answers::ordered([-1.0, 0.0, 1.0, 2.0, 3.0].map(above)).with_slips(self.squeeze_false)
    }

    /// Plump, thin (or pale, or slow), none to be seen.
    pub(super) fn condition(&self, s: &Signs) -> Answers {
        let cold = self.slow_share * (1.0 - self.slow.above(s.refuge_celsius));
        let airless = self.slow_share * hill(s.airless, self.slow_airless);
        let plump = self.thin.above(s.condition) * (1.0 - cold) * (1.0 - airless);
        let seen = self.false_alive + (1.0 - self.false_alive) * met(s.worms, self.to_be_seen);
        let mut answers = Answers::of(&[plump, 1.0 - plump]).with_slips(self.condition_false);
        for chance in &mut answers.chances {
            *chance *= seen;
        }
        answers.and(1.0 - seen)
    }

    /// Dead worms: `1 - e^-n`, with n those expected in what a look turns over.
    pub(super) fn dead(&self, s: &Signs) -> f64 {
        let lying = at_least(s.dying_per_day * s.worms, 0.0) * self.dead_seen;
        self.dead.said(1.0 - (-lying).exp())
    }

    /// Food gone, half, most left; nothing to tell when none was given. To this
    /// eye so many `classes` more are left.
    pub(super) fn food(&self, s: &Signs, classes: f64) -> Answers {
        if s.fed_days.is_none() {
            return Answers::of(&[1.0; 3].map(|x: f64| x / 3.0));
        }
        let left = logit(self.seen_left(s.feed_left, classes));
        // On the logit scale, as wide at each edge as the table says: who sees a
        // crumb does not say that half is there.
        let above = |at: f64| logistic((left - logit(at)) * at * (1.0 - at) / self.food_scale);
        Answers::ordered(self.food.map(above)).with_slips(self.food_false)
    }

    /// Share that seems to be left [0 to 1], to an eye off by so many classes,
    /// one being as wide as what is called half. It is moved on the logit
    /// scale, whose slope at one half is 4: by the whole there, and not at all
    /// where nothing or all is left.
    fn seen_left(&self, left: f64, classes: f64) -> f64 {
        if classes == 0.0 {
            return left;
        }
        let [gone, most] = self.food;
        let left = unit(left);
        // A guard: no eye is off by so much.
        let moved = (4.0 * classes * (most - gone)).clamp(-30.0, 30.0);
        1.0 / (1.0 + (1.0 - left) / left * (-moved).exp())
    }

    /// Droplets.
    pub(super) fn condensation(&self, s: &Signs) -> f64 {
        self.condensation.said(unit(s.condensing))
    }

    /// Standing liquid.
    pub(super) fn pooling(&self, s: &Signs) -> f64 {
        self.pooling.said(hill(s.pooled_kg, self.pooling_half))
    }

    fn food_lying(s: &Signs) -> f64 {
        if s.fed_days.is_some() {
            unit(s.feed_left)
        } else {
            0.0
        }
    }

    /// White mould.
    pub(super) fn mould(&self, s: &Signs) -> f64 {
        self.mould.said(Self::food_lying(s))
    }

    /// Flies.
    pub(super) fn flies(&self, s: &Signs) -> f64 {
        self.flies.said(Self::food_lying(s))
    }

    /// Many mites.
    pub(super) fn mites(&self, s: &Signs) -> f64 {
        let wet = self.wet.above(s.moisture_percent);
        let bare = self.mites_without_food;
        let fed = bare + (1.0 - bare) * Self::food_lying(s);
        self.mites.said(wet * fed)
    }

    /// Many potworms.
    pub(super) fn potworms(&self, s: &Signs) -> f64 {
        let acid = 1.0 - self.acid.above(s.ph);
        self.potworms
            .said(acid * self.wet.above(s.moisture_percent))
    }

    /// Cold, neither, warm: a hand judges partly against itself, partly
    /// against the room. To this hand it is so many `kelvin` warmer.
    pub(super) fn feel(&self, s: &Signs, kelvin: f64) -> Answers {
        let felt = kelvin + s.core_celsius + self.hand_hot * (s.hot_celsius - s.core_celsius);
        let against = self.hand + self.hand_air * (s.air_celsius - self.hand);
        let above = |at: f64| logistic((felt - against - at) / self.feel_scale);
        Answers::ordered(self.feel.map(above)).with_slips(self.feel_false)
    }
}
