//! Tissue of worms: what its growth takes from the bed, and what of that is burnt
//! and given back.
//!
//! Whatever is eaten is tissue or is burnt; what is burnt of nitrogen is given off
//! as ammonium. What cannot be made for want of anything is not grown.

use crate::living::life::Life;
use crate::living::nature::{Constants, Priors};
use crate::living::rot::{Bite, Matter};

/// What worms take from the bed and give back to it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Taken {
    /// What they eat.
    pub(super) bite: Bite,
    /// Share of microbes, after that bite, and of humus taken besides [0 to 1].
    pub(super) microbes: f64,
    pub(super) humus: f64,
    /// Tissue that could not be made [g].
    pub(super) not_grown_g: f64,
    /// Water that became tissue, or, where it is negative, was [kg].
    pub(super) water: f64,
    /// Burnt; its nitrogen is given off as ammonium [kg].
    pub(super) burnt: Matter,
}

impl Taken {
    /// Ammonium given off, and as much base [mol].
    pub(super) fn ammonium(&self, c: &Constants) -> f64 {
        self.burnt.nitrogen * c.mol_per_kg
    }
}

/// Dry matter of so much living tissue [g] in kg.
pub(super) fn dry(c: &Constants, grams: f64) -> f64 {
    grams / 1000.0 * c.worm_dry
}

/// Water in so much living tissue [g] in kg.
pub(super) fn wet(c: &Constants, grams: f64) -> f64 {
    grams / 1000.0 * (1.0 - c.worm_dry)
}

/// Tissue of `kg` dry.
pub(super) fn body(c: &Constants, kg: f64) -> Matter {
    Matter {
        organic: kg,
        carbon: kg * c.worm_carbon,
        nitrogen: kg * c.worm_nitrogen,
    }
}

/// What `grams` of tissue take, gained or, where negative, burnt in hunger.
pub(super) fn grown(life: &Life, p: &Priors, grams: f64) -> Taken {
    let c = &p.constants;
    if grams > 0.0 {
        return made(life, c, grams);
    }
    Taken {
        water: wet(c, grams),
        burnt: body(c, -dry(c, grams)),
        ..Taken::default()
    }
}

/// Tissue made of what is eaten [g], and of microbes and humus where food does not
/// hold what it takes.
fn made(life: &Life, c: &Constants, grams: f64) -> Taken {
    let dry = grams / 1000.0 * c.worm_dry;
    let wet = grams / 1000.0 - dry;
    let wanted = body(c, dry);
    let bite = life.organic.bite(dry * c.eaten_per_grown, c.slow_reach);
    let mut from = life.organic.bitten(&bite);
    let mut left = life.organic.microbes;
    left.take(bite.labile);
    let [microbes, humus] = [left, life.organic.humus].map(|more| {
        let share = short(&wanted, &from, &more);
        from.add(&more.part(share));
        share
    });
    // No step takes more than half of the water.
    let done = (from.organic / wanted.organic)
        .min(from.carbon / wanted.carbon)
        .min(from.nitrogen / wanted.nitrogen)
        .min(0.5 * life.water_kg / wet)
        .clamp(0.0, 1.0);
    Taken {
        bite,
        microbes,
        humus,
        not_grown_g: grams * (1.0 - done),
        water: wet * done,
        burnt: from.less(&wanted.part(done)),
    }
}

/// Share of `more` that makes up for what `had` lacks of what is wanted [0 to 1].
fn short(wanted: &Matter, had: &Matter, more: &Matter) -> f64 {
    let of = |want: f64, had: f64, more: f64| match want - had {
        short if short > 0.0 && more > 0.0 => short / more,
        short if short > 0.0 => 1.0,
        _ => 0.0,
    };
    of(wanted.organic, had.organic, more.organic)
        .max(of(wanted.carbon, had.carbon, more.carbon))
        .max(of(wanted.nitrogen, had.nitrogen, more.nitrogen))
        .min(1.0)
}

/// What burning `kg` to live takes.
pub(super) fn respired(life: &Life, p: &Priors, kg: f64) -> Taken {
    let bite = life.organic.bite(kg, p.constants.slow_reach);
    Taken {
        bite,
        burnt: life.organic.bitten(&bite),
        ..Taken::default()
    }
}
