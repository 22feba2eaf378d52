//! Undissolved lime: particles by size, the fresh chalk that caustic lime turns
//! to, and the merging that keeps the sizes few.

use crate::bed::possible::PossibleBed;
use crate::chemistry::lime::{self, Shape};
use serde::{Deserialize, Serialize};

/// Undissolved particles of one size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Grains {
    /// Base when whole [mol_c].
    pub whole: f64,
    /// Starting diameter or thickness [µm].
    pub size_um: f64,
    /// Shape.
    pub shape: Shape,
    /// Contact factor [-].
    pub contact: f64,
    /// Wood ash: slows with pH by its own law on top.
    pub ash: bool,
    /// How far the surface has gone back so far [µm].
    pub retreat_um: f64,
}

impl Grains {
    /// Base dissolved so far [mol_c].
    #[must_use]
    pub fn dissolved(&self) -> f64 {
        self.whole * lime::dissolved_share(self.shape, self.size_um, self.retreat_um)
    }

    /// Base still in the grains [mol_c].
    #[must_use]
    pub fn left(&self) -> f64 {
        self.whole - self.dissolved()
    }

    /// Diameter or thickness now [µm].
    fn now_um(&self) -> f64 {
        (self.size_um - 2.0 * self.retreat_um).max(1e-3)
    }
}

/// Two lots of particles as one, of their mean size by base left, on the log
/// scale, and with as much base left as both.
fn merged(a: &Grains, b: &Grains) -> Grains {
    let (x, y) = (a.left(), b.left());
    let whole = x + y;
    let (p, q) = if whole > 0.0 {
        (x / whole, y / whole)
    } else {
        (0.5, 0.5)
    };
    let more = if x >= y { a } else { b };
    Grains {
        whole,
        size_um: (p * a.now_um().ln() + q * b.now_um().ln()).exp(),
        shape: more.shape,
        contact: p * a.contact + q * b.contact,
        ash: more.ash,
        retreat_um: 0.0,
    }
}

/// Chalk that caustic lime turns to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Chalk {
    /// Share of the caustic lime over calcite saturation that turns to chalk
    /// where carbon dioxide is plenty [1/d].
    pub per_day: f64,
    /// Grain of fresh chalk [µm].
    pub grain_um: f64,
}

/// Most sizes of particles kept apart.
pub(crate) const MOST_GRAINS: usize = 24;

impl PossibleBed {
    /// Turns caustic lime, and calcium that what rotted set free, into the finest
    /// chalk while the bed stands above calcite saturation: what stands over it
    /// falls by [`Chalk::per_day`] of itself a day, no faster than carbon dioxide
    /// comes. Base is only moved from dissolved to grains.
    pub(super) fn carbonate(&mut self, dt: f64) {
        if self.lime + self.calcium <= 0.0 {
            return;
        }
        let over = -self.base_to_reach(self.law.saturation_ph());
        if over <= 0.0 {
            return;
        }
        let turned = (over * -(-self.chalk.per_day * dt).exp_m1())
            .min(self.lime + self.calcium)
            .min(self.carbonic_per_day * dt);
        let of_lime = turned.min(self.lime);
        self.lime -= of_lime;
        self.calcium = (self.calcium - (turned - of_lime)).max(0.0);
        self.base -= turned;
        self.put_grains(Grains {
            whole: turned,
            size_um: self.chalk.grain_um,
            shape: Shape::Grain,
            contact: 1.0,
            ash: false,
            retreat_um: 0.0,
        });
    }

    /// Adds undissolved particles: to those of the same kind and size where
    /// there are some, and never more than [`MOST_GRAINS`] sizes, the two
    /// nearest being merged. Base left to act stays what it was.
    pub fn put_grains(&mut self, new: Grains) {
        let finest = self.chalk.grain_um;
        let same = |g: &&mut Grains| {
            g.shape == new.shape
                && g.ash == new.ash
                && g.size_um == new.size_um
                && g.contact == new.contact
        };
        if let Some(g) = self.grains.iter_mut().find(same) {
            if g.retreat_um == new.retreat_um {
                g.whole += new.whole;
                return;
            }
            if new.size_um <= finest {
                *g = Grains {
                    size_um: new.size_um,
                    ..merged(g, &new)
                };
                return;
            }
        }
        self.grains.push(new);
        while self.grains.len() > MOST_GRAINS {
            self.merge_nearest();
        }
    }

    /// Merges the two particles nearest in size and contact of one kind.
    fn merge_nearest(&mut self) {
        let mut best = (f64::INFINITY, 0, 1);
        for (i, a) in self.grains.iter().enumerate() {
            // Each pair once.
            for (j, b) in (i + 1..).zip(&self.grains[i + 1..]) {
                let strange = if a.shape == b.shape && a.ash == b.ash {
                    0.0
                } else {
                    1e3
                };
                let apart = (a.now_um() / b.now_um()).ln().abs()
                    + (a.contact / b.contact).ln().abs()
                    + strange;
                if apart < best.0 {
                    best = (apart, i, j);
                }
            }
        }
        let other = self.grains.swap_remove(best.2);
        self.grains[best.1] = merged(&self.grains[best.1], &other);
    }
}
