//! Acids of the food: burnt, seeping into the bed, and how far they sour both.

use crate::bed::possible::PossibleBed;
use crate::living::chain::Chain;
use crate::living::life::Life;
use crate::living::now::Now;
use crate::living::rotting::Rotted;
use crate::living::step::{ACID_OXYGEN, Around};
use std::f64::consts::LN_10;

/// Acids: made in the food as it `rotted`, burnt where there is air, seeping from
/// the food into the bed as it falls apart.
pub(super) fn move_acids(
    life: &mut Life,
    bed: &PossibleBed,
    a: &Around<'_>,
    now: &Now,
    rotted: &Rotted,
) -> Rotted {
    let (c, n) = (&a.priors.constants, a.nature);
    let eat_pocket = n.acid_eaten * now.warm.pocket * (1.0 - now.airless.pocket);
    let eat_bed = n.acid_eaten * now.warm.bed * (1.0 - now.airless.bed);
    let leave = if now.zones.core > 0.0 {
        n.acid_leaves + rotted.pocket_falls
    } else {
        0.0
    };
    let chain = Chain {
        first: eat_pocket + leave,
        on: leave,
        second: eat_bed,
    };
    let passed = chain.carry(
        &mut life.acid_pocket,
        &mut life.acid_bed,
        rotted.acid,
        now.dt,
    );
    let eaten = passed.out - passed.on + passed.away;
    let burnt = eaten * c.acid_mass;
    life.books.burnt += burnt;
    life.books.carbon_air += eaten * c.acid_carbon;
    Rotted {
        burnt,
        oxygen: burnt * ACID_OXYGEN,
        base: acid_charge(life, bed, now.ph, c.acid_pka),
        ..Rotted::default()
    }
}

/// Base to post so that the acids of the bed stand as far dissociated as their
/// pH lets them [mol_c]: `α = 1 / (1 + 10^(pKa − pH))`. Weak acids stop souring
/// a bed near their own pKa, however many there are. The bed was `near` that pH.
fn acid_charge(life: &mut Life, bed: &PossibleBed, near: f64, pka: f64) -> f64 {
    const HALVINGS: u32 = 30;
    // Farther than this above its pKa 99 % of an acid is dissociated [pH].
    const ALL: f64 = 2.0;
    let (acid, was) = (life.acid_bed, life.acid_posted);
    if acid < 1e-9 && was.abs() < 1e-9 {
        return 0.0;
    }
    let share = |ph: f64| 1.0 / (1.0 + (LN_10 * (pka - ph)).exp());
    let stands = |posted: f64| posted - acid * share(bed.ph_with_near(was - posted, near));
    // Far above the pKa all of it is dissociated, and no root need be found.
    let lowest = bed.ph_with_near(was - acid, near);
    let posted = if lowest > pka + ALL {
        acid * share(lowest)
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

/// pH in the pocket of food: the bed's, lowered by acids still in the food.
#[must_use]
pub(super) fn pocket_ph(life: &Life, a: &Around<'_>, bed_ph: f64) -> f64 {
    pocket_ph_of(life, a, life.organic.pocket(), bed_ph)
}

/// The same where what lies in the pocket is known [kg].
pub(super) fn pocket_ph_of(life: &Life, a: &Around<'_>, pocket_kg: f64, bed_ph: f64) -> f64 {
    let c = &a.priors.constants;
    let dry = pocket_kg.max(1e-3) * c.pocket_dry;
    let soured = bed_ph - life.acid_pocket / (a.nature.food_buffer * dry);
    soured.max(c.pocket_least_ph.min(bed_ph))
}
