//! The organic matter of a bed: its pools, sums over them, and what is put in,
//! eaten and taken out.

use super::{KINDS, Kind, Matter, POOLS, Rates};
use serde::{Deserialize, Serialize};

/// All organic matter of a bed but worms and acids.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Organic {
    /// Pools by kind: labile, slow, lasting.
    pub pools: [[Matter; POOLS]; KINDS],
    /// Living microbes, which rot again when they die.
    pub microbes: Matter,
    /// Humus: what dead microbes leave that lasts.
    pub humus: Matter,
}

/// Sums over the organic matter of a bin.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sums {
    /// All of it [kg].
    pub organic: f64,
    /// Labile matter in pockets of food [kg].
    pub pocket: f64,
    /// What of that would rot in a day at 20 °C, moist and with air [kg/d].
    pub eased_labile: f64,
    /// The same of slow matter of the pockets [kg/d].
    pub eased_slow: f64,
    /// The same of labile and slow matter outside them [kg/d].
    pub eased_bed: f64,
}

impl Sums {
    /// What would rot in pockets of food in a day at 20 °C [kg/d], slow matter
    /// being slowed to `short` for want of nitrogen.
    #[must_use]
    pub fn eased(&self, short: f64) -> f64 {
        self.eased_labile + short * self.eased_slow
    }
}

/// What is eaten of organic matter.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bite {
    /// Share of microbes and labile matter [0 to 1].
    pub labile: f64,
    /// Share of slow matter [0 to 1].
    pub slow: f64,
}

impl Organic {
    /// Everything together.
    #[must_use]
    pub fn total(&self) -> Matter {
        let mut sum = self.humus;
        sum.add(&self.microbes);
        for pool in self.pools.iter().flatten() {
            sum.add(pool);
        }
        sum
    }

    /// Labile and slow matter, what worms and microbes live on.
    #[must_use]
    pub fn edible(&self) -> (Matter, Matter) {
        let mut sums = (Matter::default(), Matter::default());
        for kind in &self.pools {
            sums.0.add(&kind[0]);
            sums.1.add(&kind[1]);
        }
        sums
    }

    /// Labile matter lying in pockets of food [kg].
    #[must_use]
    pub fn pocket(&self) -> f64 {
        let fed = &self.pools[..=Kind::Green as usize];
        fed.iter().map(|kind| kind[0].organic).sum()
    }

    /// Sums over all pools, in one walk.
    #[must_use]
    pub fn sums(&self, rates: &Rates) -> Sums {
        let mut out = Sums {
            organic: self.humus.organic + self.microbes.organic,
            ..Sums::default()
        };
        for (i, ([labile, slow, lasting], rate)) in
            self.pools.iter().zip(&rates.per_day).enumerate()
        {
            let all = labile.organic + slow.organic + lasting.organic;
            if all <= 0.0 {
                continue;
            }
            out.organic += all;
            let (fast, later) = (labile.organic * rate[0], slow.organic * rate[1]);
            if Kind::ALL[i].in_pocket() {
                out.pocket += labile.organic;
                out.eased_labile += fast;
                out.eased_slow += later;
            } else {
                out.eased_bed += fast + later;
            }
        }
        out
    }

    /// Puts matter of a kind in, shared out over its pools.
    pub fn put(&mut self, kind: Kind, matter: &Matter, labile: f64, slow_of_rest: f64) {
        let pools = &mut self.pools[kind as usize];
        let rest = 1.0 - labile;
        let shares = [labile, rest * slow_of_rest, rest * (1.0 - slow_of_rest)];
        for (pool, share) in pools.iter_mut().zip(shares) {
            pool.add(&matter.part(share));
        }
    }

    /// Of microbes, labile and slow matter `kg` together, slow matter at `slow`
    /// times the share of the rest; at most half of what could be had.
    #[must_use]
    pub fn bite(&self, kg: f64, slow: f64) -> Bite {
        let (labile, later) = self.edible();
        let there = labile.organic + self.microbes.organic + slow * later.organic;
        let share = (kg / there.max(1e-12)).clamp(0.0, 0.5);
        Bite {
            labile: share,
            slow: slow * share,
        }
    }

    /// What is in a bite.
    #[must_use]
    pub fn bitten(&self, bite: &Bite) -> Matter {
        let mut eaten = self.microbes.part(bite.labile);
        for [labile, later, _] in &self.pools {
            for (pool, share) in [(labile, bite.labile), (later, bite.slow)] {
                if pool.organic > 0.0 {
                    eaten.add(&pool.part(share));
                }
            }
        }
        eaten
    }

    /// Takes a bite.
    pub fn take_bite(&mut self, bite: &Bite) {
        self.microbes.take(bite.labile);
        for [labile, later, _] in &mut self.pools {
            for (pool, share) in [(labile, bite.labile), (later, bite.slow)] {
                if pool.organic > 0.0 {
                    pool.take(share);
                }
            }
        }
    }

    /// Takes `share` of everything.
    pub fn take(&mut self, share: f64) -> Matter {
        let mut gone = self.humus.take(share);
        gone.add(&self.microbes.take(share));
        for pool in self.pools.iter_mut().flatten() {
            gone.add(&pool.take(share));
        }
        gone
    }
}
