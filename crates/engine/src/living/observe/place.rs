//! Where the worms are, and whether they are out at night.
//!
//! New worms climb, ball and stray for some nights whatever the bedding, so
//! that in the first week these say little; after two weeks they mean a fault.

use super::chance::{logistic, met, unit};
use super::{Answers, row};
use crate::living::signs::Signs;
use crate::table::{TableError, Tables};

/// Where worms are seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Places {
    settle_days: f64,
    climb: [f64; 3],
    /// Urges from which on some worms climb, and as many as will.
    climbing: (f64, f64),
    edge: [f64; 3],
    hot: (f64, f64),
    ball: [f64; 4],
    cold: (f64, f64),
    dry: (f64, f64),
    slips: [f64; 4],
    false_alive: f64,
    pub(super) to_be_seen: f64,
    new_strays: f64,
    stray_above: [f64; 2],
    stray_scale: f64,
    stray_slips: [f64; 3],
    pub(super) left_few_share: f64,
}

impl Places {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let p = |property| row(tables, "place", property);
        let s = |property| row(tables, "strays", property);
        let worms = |property| tables.value("species", "worms", property);
        let (faint, clear) = (p("false_say")?, p("false_clear")?);
        let (few, many) = (s("false_say")?, s("false_clear")?);
        Ok(Self {
            settle_days: p("settle_days")?,
            climb: [p("base_climb")?, p("new_climb")?, p("urge_climb")?],
            climbing: (worms("wall_urge_from")?, worms("wall_urge_full")?),
            edge: [p("base_edge")?, p("uneven_edge")?, p("hot_edge")?],
            hot: (p("hot_celsius")?, p("hot_scale")?),
            ball: [
                p("base_ball")?,
                p("new_ball")?,
                p("cold_ball")?,
                p("dry_ball")?,
            ],
            cold: (p("cold_celsius")?, p("cold_scale")?),
            dry: (p("dry_moisture_percent")?, p("dry_scale")?),
            // Nobody writes that there are none to be seen.
            slips: [clear, clear, faint, faint],
            false_alive: p("false_alive")?,
            to_be_seen: p("worms_to_be_seen")?,
            new_strays: s("new_strays")?,
            stray_above: [s("few_above")?, s("many_above")?],
            stray_scale: s("scale")?,
            stray_slips: [many, few, many],
            left_few_share: s("left_few_share")?,
        })
    }

    /// How new the worms are here [0 to 1]: `e^(-days/settle)`; 1 when it is
    /// not known when they came.
    fn newness(&self, s: &Signs) -> f64 {
        let days = s.stocked_days.unwrap_or(0.0);
        if days > 0.0 {
            (-days / self.settle_days).exp()
        } else {
            1.0
        }
    }

    /// Chance that worms are seen where some may be: who tells of live worms
    /// next to never saw none.
    fn alive(&self, s: &Signs) -> f64 {
        self.false_alive + (1.0 - self.false_alive) * met(s.worms, self.to_be_seen)
    }

    /// Spread, climbing, edge, ball, none to be seen: weights, each the sum of
    /// its causes, over their sum.
    pub(super) fn place(&self, s: &Signs) -> Answers {
        let new = self.newness(s);
        let urge = unit(s.urge_to_leave);
        let fit = unit(s.habitable);
        let hot = logistic((s.hot_celsius - self.hot.0) / self.hot.1);
        let cold = logistic((self.cold.0 - s.refuge_celsius) / self.cold.1);
        let dry = logistic((self.dry.0 - s.moisture_percent) / self.dry.1);
        let spread = (1.0 - urge) * fit;
        // As the model has them climb: a mild unease shows at the edge.
        let (from, full) = self.climbing;
        let risen = ((urge - from) / (full - from)).clamp(0.0, 1.0);
        let climb = self.climb[0] + self.climb[1] * new + self.climb[2] * risen;
        // What is a little unfit is so in few places.
        let edge = self.edge[0] + self.edge[1] * (1.0 - fit).powi(2) + self.edge[2] * hot;
        let ball = self.ball[0] + self.ball[1] * new + self.ball[2] * cold + self.ball[3] * dry;
        let alive = self.alive(s);
        let all = spread + climb + edge + ball;
        let list = [spread, climb, edge, ball].map(|w| w / all);
        let mut answers = Answers::of(&list).with_slips_each(self.slips);
        for chance in &mut answers.chances {
            *chance *= alive;
        }
        answers.and(1.0 - alive)
    }

    /// None, a few, many out at night.
    pub(super) fn strays(&self, s: &Signs) -> Answers {
        let urge = unit(s.urge_to_leave) + self.new_strays * self.newness(s);
        let alive = self.alive(s);
        let above = |at: f64| logistic((urge - at) / self.stray_scale);
        let mut answers =
            Answers::ordered(self.stray_above.map(above)).with_slips_each(self.stray_slips);
        for chance in &mut answers.chances[1..] {
            *chance *= alive;
        }
        answers.chances[0] = 1.0 - answers.chances[1] - answers.chances[2];
        answers
    }
}
