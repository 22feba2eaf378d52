//! Worms: numbers and mass grow logistically towards what the floor and the
//! food can keep. They die of nothing by degrees: each worm has a limit of its
//! own, spread evenly between the first and the last to die, and is dead once
//! the limit was passed for some days on end.

use super::chance::{Book, Chance};
use crate::table::TableError;
use std::collections::VecDeque;

/// Warmth at which what worms need is told [°C].
const TOLD_AT: f64 = 25.0;
/// Share of those that stood a stress replaced a day by young ones that did not.
const RENEWED: f64 = 0.01;
/// Days that what died is told of.
const LATELY: usize = 3;

/// What kills, in the order it is asked.
pub(super) const KILLS: [&str; 6] = ["heat", "cold", "dry", "drowned", "acid", "salt"];

/// One limit of the worms of one bin.
#[derive(Debug, Clone)]
struct Limit {
    first: f64,
    last: f64,
    days: usize,
    met: VecDeque<f64>,
    gone: f64,
}

impl Limit {
    fn drawn(book: Book<'_>, c: &mut Chance, kills: &str) -> Result<Self, TableError> {
        Ok(Self {
            first: book.around((kills, "first_die"), c)?,
            last: book.around((kills, "last_die"), c)?,
            days: book.times((kills, "days"), c)?.round().max(1.0) as usize,
            met: VecDeque::new(),
            gone: 0.0,
        })
    }

    /// How far into the limits something lies: 0 where the first die, 1 where
    /// the last do, below 0 while none does.
    fn depth(&self, x: f64) -> f64 {
        (x - self.first) / (self.last - self.first)
    }

    /// A day at `x`; gives the share of the living that dies [0 to 1].
    fn day(&mut self, x: f64) -> f64 {
        self.met.push_back(self.depth(x));
        while self.met.len() > self.days {
            self.met.pop_front();
        }
        let passed = if self.met.len() == self.days {
            self.met.iter().copied().fold(f64::INFINITY, f64::min)
        } else {
            0.0
        };
        let over = passed.clamp(0.0, 1.0);
        if over > self.gone {
            let dies = (over - self.gone) / (1.0 - self.gone);
            self.gone = over;
            return dies;
        }
        self.gone *= 1.0 - RENEWED;
        0.0
    }
}

/// The laws of growth in one bin.
#[derive(Debug, Clone)]
struct Growth {
    need_per_day: f64,
    appetite_q10: f64,
    bedding_feeds: f64,
    most_kg: f64,
    mass_per_day: f64,
    starve_per_day: f64,
    number_per_day: f64,
    number_lost: f64,
    crowded_gram: f64,
    settle_days: f64,
    warm: [f64; 4],
    dry_percent: f64,
}

/// What worms meet on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Met {
    /// Of the bin [°C].
    pub(super) celsius: f64,
    /// Of the bin [% of wet mass].
    pub(super) moisture: f64,
    /// Water over what the matter holds [-].
    pub(super) filled: f64,
    /// pH.
    pub(super) ph: f64,
    /// Conductivity of a 1:5 extract [mS/cm].
    pub(super) ec: f64,
    /// Dry food a day, of late [kg/d].
    pub(super) food_kg_day: f64,
    /// Dry bedding [kg].
    pub(super) bedding_kg: f64,
}

impl Met {
    /// By the order of [`KILLS`].
    fn stresses(&self) -> [f64; 6] {
        let t = self.celsius;
        [t, t, self.moisture, self.filled, self.ph, self.ec]
    }
}

/// The worms of one bin.
#[derive(Debug, Clone)]
pub(super) struct Flock {
    growth: Growth,
    limits: Vec<Limit>,
    lately: VecDeque<f64>,
    /// Live mass [kg].
    pub(super) kg: f64,
    /// Worms.
    pub(super) number: f64,
    /// Days since they came [d]; below 0 before.
    pub(super) here_days: f64,
    /// Over what feeds them [-].
    pub(super) crowding: f64,
    /// How far into its limits the worst stress lies: see [`Limit::depth`].
    pub(super) worst: f64,
}

impl Flock {
    /// Draws the laws of the worms of a bin with this floor [m²].
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance, floor_m2: f64) -> Result<Self, TableError> {
        let mut times = |property: &str| book.times(("worms", property), c);
        let growth = Growth {
            need_per_day: times("need_per_day")?,
            appetite_q10: times("appetite_q10")?,
            bedding_feeds: times("bedding_feeds_per_day")?,
            most_kg: floor_m2 * times("capacity_kg_per_m2")?,
            mass_per_day: times("mass_growth_per_day")?,
            starve_per_day: times("starve_per_day")?,
            number_per_day: times("number_growth_per_day")?,
            number_lost: times("number_lost_per_day")?,
            crowded_gram: times("crowded_gram")?,
            settle_days: times("settle_days")?,
            warm: [
                times("grow_from_celsius")?,
                times("grow_best_celsius")?,
                times("grow_until_celsius")?,
                times("grow_end_celsius")?,
            ],
            dry_percent: times("grow_dry_percent")?,
        };
        let limits = KILLS.map(|kills| Limit::drawn(book, c, kills));
        Ok(Self {
            growth,
            limits: limits.into_iter().collect::<Result<_, _>>()?,
            lately: VecDeque::new(),
            kg: 0.0,
            number: 0.0,
            here_days: f64::NEG_INFINITY,
            crowding: 0.0,
            worst: f64::NEG_INFINITY,
        })
    }

    /// Worms come in.
    pub(super) fn come(&mut self, kg: f64, gram_each: f64) {
        self.kg += kg;
        self.number += 1000.0 * kg / gram_each;
        self.here_days = 0.0;
    }

    /// Worms that died of late.
    pub(super) fn died_lately(&self) -> f64 {
        self.lately.iter().sum()
    }

    /// A day.
    pub(super) fn day(&mut self, met: &Met) {
        let g = &self.growth;
        let hungry = g.appetite_q10.powf((met.celsius - TOLD_AT) / 10.0);
        let feeds = met.food_kg_day + g.bedding_feeds * met.bedding_kg;
        let capacity = g.most_kg.min(feeds / (g.need_per_day * hungry)).max(1e-4);
        let fit = if met.moisture < g.dry_percent {
            0.0
        } else {
            warm_share(g.warm, met.celsius)
        };
        self.crowding = self.kg / capacity;
        // What starves does so in the cold and in the dry as well.
        let towards = |filled: f64| {
            if filled > 1.0 {
                1.0 - filled
            } else {
                fit * (1.0 - filled)
            }
        };
        let mass = g.mass_per_day * towards(self.crowding);
        self.kg *= 1.0 + mass.max(-g.starve_per_day);
        if self.here_days >= g.settle_days {
            let most = 1000.0 * capacity / g.crowded_gram;
            let more = g.number_per_day * towards(self.number / most);
            self.number *= 1.0 + more.max(-g.number_lost);
        }
        let mut lives = 1.0;
        self.worst = f64::NEG_INFINITY;
        for (limit, x) in self.limits.iter_mut().zip(met.stresses()) {
            self.worst = self.worst.max(limit.depth(x));
            if self.here_days >= 0.0 {
                lives *= 1.0 - limit.day(x);
            }
        }
        self.lately.push_back((1.0 - lives) * self.number);
        (self.kg, self.number) = if lives * self.number < 1.0 {
            (0.0, 0.0)
        } else {
            (lives * self.kg, lives * self.number)
        };
        while self.lately.len() > LATELY {
            self.lately.pop_front();
        }
        self.here_days += 1.0;
    }
}

/// How well worms grow at so many degrees [0 to 1]: a table with a flat top.
fn warm_share([from, best, until, end]: [f64; 4], celsius: f64) -> f64 {
    let up = (celsius - from) / (best - from);
    let down = (end - celsius) / (end - until);
    up.min(down).clamp(0.0, 1.0)
}
