//! What a bin's contents stand at [L]: unworked matter, castings and fresh food,
//! each wetted and settled as far as it is, `V = m ρ⁻¹` by
//! [`crate::measure::density`]; and how they settle.

use super::Life;
use crate::living::air::{self, Standing};
use crate::living::home::Home;
use crate::living::nature::{Nature, Priors};
use crate::living::rot::gone;
use crate::living::step::Around;
use crate::measure::{Packing, density};

/// How far a bed has settled.
#[derive(Debug, Clone, Copy)]
pub(in crate::living) struct Settled {
    /// How far its unworked matter is soaked, see [`Packing::soaked`].
    pub(in crate::living) soaked: f64,
    /// Load at mid depth [kPa].
    pub(in crate::living) load_kpa: f64,
    /// Share of its settling that is done [0 to 1].
    pub(in crate::living) settling: f64,
}

impl Life {
    /// Volume [L]: of unworked matter, castings and fresh food, wetted and
    /// settled as far as they are ([`crate::measure::density`]).
    #[must_use]
    pub fn litres(&self, p: &Priors, n: &Nature, dry_kg: f64) -> f64 {
        let pores = self.pores_hold(p, n, dry_kg);
        self.standing((p, n), (dry_kg, pores)).0
    }

    /// The same, and what of it stands under liquid.
    pub(in crate::living) fn standing(
        &self,
        (p, n): (&Priors, &Nature),
        (dry_kg, pores): (f64, f64),
    ) -> (f64, Standing) {
        let moisture = self.moisture_percent(dry_kg) / 100.0;
        let stands = |packing: &Packing| {
            let settled = n.settles * packing.settled(self.load_kpa, self.settling);
            packing.wetted(moisture) * (1.0 - settled)
        };
        let raw = (1.0 - self.worked) * dry_kg * stands(&self.raw);
        // Sand eaten by worms is sand still.
        let counts = self.dry_felt_kg(dry_kg, p);
        let mineral = (dry_kg - counts) * p.constants.mineral_litres;
        let worked = self.worked * (counts * stands(&p.castings) + mineral);
        let loosely = n.stands * (raw + worked + self.fresh_litres);
        let solids = air::filled_litres(&p.solids, dry_kg - self.ash_kg, self.ash_kg, 0.0);
        let held = self.water_kg.min(self.holds_with(pores, dry_kg));
        let water = self.water_kg;
        let drained = density::stands_at(loosely, solids, (held, held), n.drained_air);
        let litres = density::stands_at(loosely, solids, (held, water), n.drained_air);
        (litres, air::standing(drained, solids, held, water - held))
    }

    /// How it has settled after so many days under what lies over the floor.
    pub(in crate::living) fn settled(&self, a: &Around<'_>, dry_kg: f64, days: f64) -> Settled {
        let moisture = self.moisture_percent(dry_kg) / 100.0;
        let hastened = if self.worms.number() > 0.0 {
            a.priors.constants.settles_with_worms
        } else {
            1.0
        };
        let gone = gone(hastened * days / self.raw.days.max(0.1));
        Settled {
            soaked: self.raw.soaked.max(density::soaked(moisture)),
            load_kpa: density::load_kpa(dry_kg + self.water_kg, a.home.floor_m2),
            settling: self.settling + (1.0 - self.settling) * gone,
        }
    }

    /// Is turned and fluffed up.
    pub fn fluff(&mut self, p: &Priors) {
        self.settling *= p.constants.fluffed_keeps;
    }

    /// Castings made here, as a share of the dry matter that did not come as
    /// castings [0 to 1].
    #[must_use]
    pub fn made_here(&self) -> f64 {
        // Of what is nearly all castings nothing can be told.
        ((self.worked - self.brought) / (1.0 - self.brought).max(0.05)).clamp(0.0, 1.0)
    }

    /// Height over the rim, as a share of the depth [-]; 0 when it fits.
    #[must_use]
    pub fn overfull(&self, home: &Home, litres: f64) -> f64 {
        (litres / home.litres().max(1e-9) - 1.0).max(0.0)
    }
}
