//! Acids that microbes burn: how fast, with what oxygen, and what they do to
//! the base of the bed.

use crate::bed::possible::PossibleBed;
use crate::living::heat::Zones;
use crate::living::life::Life;
use crate::living::pace::warmth_of;
use crate::living::rot::gone;
use crate::living::step::Around;

/// Oxygen that burns acid [kg/kg]: acetic acid takes two of 32 g/mol to its 60.
const OXYGEN: f64 = 64.0 / 60.0;

/// How fast acids would be burnt if air were no want, in the bed and in the
/// pocket of food [1/d].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Eating {
    bed: f64,
    pocket: f64,
}

impl Eating {
    pub(super) fn of(a: &Around<'_>, z: &Zones) -> Self {
        let eaten = a.nature.acid_eaten;
        Self {
            bed: eaten * warmth_of(a, f64::midpoint(z.core, z.edge)),
            pocket: eaten * warmth_of(a, z.hot),
        }
    }

    /// Oxygen that would take, in the bed and in the pocket [kg/d].
    pub(super) fn oxygen(&self, life: &Life, a: &Around<'_>) -> [f64; 2] {
        let per_mol = a.priors.constants.acid_mass * OXYGEN;
        [
            life.acid_bed * self.bed * per_mol,
            life.acid_pocket * self.pocket * per_mol,
        ]
    }
}

/// What was burnt of the acids.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Burnt {
    /// Acid [kg].
    pub(super) kg: f64,
    /// Oxygen it took [kg].
    pub(super) oxygen: f64,
    /// Base to post to the bed [mol_c].
    pub(super) base: f64,
}

/// Acids: burnt where there is air, seeping from the food into the bed.
pub(super) fn carry(
    life: &mut Life,
    bed: &PossibleBed,
    a: &Around<'_>,
    z: &Zones,
    dt: f64,
) -> Burnt {
    let (c, n) = (&a.priors.constants, a.nature);
    let eat = Eating::of(a, z);
    let eat_pocket = eat.pocket * (1.0 - life.lately.airless_pocket);
    let eat_bed = eat.bed * (1.0 - life.lately.airless_bed);
    let leave = if z.core > 0.0 { n.acid_leaves } else { 0.0 };
    let out = eat_pocket + leave;
    let lost = life.acid_pocket * gone(out * dt);
    let eaten_pocket = if out > 0.0 {
        lost * eat_pocket / out
    } else {
        0.0
    };
    let seeped = lost - eaten_pocket;
    life.acid_pocket -= lost;
    // What seeps in comes evenly through the step.
    let x = eat_bed * dt;
    let of_seeped = if x > 1e-9 { 1.0 - gone(x) / x } else { 0.0 };
    let eaten_bed = life.acid_bed * gone(x) + seeped * of_seeped;
    life.acid_bed += seeped - eaten_bed;
    let eaten = eaten_pocket + eaten_bed;
    let burnt = eaten * c.acid_mass;
    life.books.burnt += burnt;
    life.books.carbon_air += eaten * c.acid_carbon;
    Burnt {
        kg: burnt,
        oxygen: burnt * OXYGEN,
        base: charge(life, bed, c.acid_pka),
    }
}

/// Base to post so that the acids of the bed stand as far dissociated as their
/// pH lets them [mol_c]: `α = 1 / (1 + 10^(pKa − pH))`. Weak acids stop souring
/// a bed near their own pKa, however many there are.
fn charge(life: &mut Life, bed: &PossibleBed, pka: f64) -> f64 {
    const HALVINGS: u32 = 30;
    const ALL: f64 = 2.0;
    let (acid, was) = (life.acid_bed, life.acid_posted);
    if acid < 1e-9 && was.abs() < 1e-9 {
        return 0.0;
    }
    let share = |ph: f64| 1.0 / (1.0 + 10f64.powf(pka - ph));
    let stands = |posted: f64| posted - acid * share(bed.ph_with(was - posted));
    // Far above the pKa all of it is dissociated, and no root need be found.
    let posted = if bed.ph_with(was - acid) > pka + ALL {
        acid * share(bed.ph_with(was - acid))
    } else {
        let (mut low, mut high) = (0.0, acid);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if stands(middle) > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        f64::midpoint(low, high)
    };
    life.acid_posted = posted;
    was - posted
}
