//! What rots: pools, microbes and humus at their first-order rates, and what of food
//! goes with it. The engine takes the share that goes in a part of a step,
//! `1 - e^(-rate dt)`; here is the rate.

use super::{At, add, add_matter};
use crate::state::Part;
use engine::living::microbes::{self, Shared};
use engine::living::rot::{Kind, Matter, POOLS};

/// How fast things rot [kg/d and the like].
pub struct Rot {
    /// What becomes of it.
    pub shared: Shared,
    /// What falls apart, were there nitrogen, and microbes that die.
    pub food: Matter,
    /// Acid made [mol/d].
    pub acid: f64,
    /// Base of ash set free [mol_c/d], and of it what stands against calcium.
    pub cations: f64,
    pub calcium: f64,
    /// What goes in the pocket, of all that goes [0 to 1].
    pub of_pocket: f64,
    /// How fast labile matter of the pocket falls apart [1/d].
    pub falls: f64,
}

/// Sums over the pools, what is labile and what waits for nitrogen told apart.
#[derive(Default)]
struct Sums {
    /// What goes whatever nitrogen there is, and what goes where there is enough.
    first: Matter,
    later: Matter,
    /// Of them in the pocket [kg/d], and all there is in it [kg].
    first_pocket: f64,
    later_pocket: f64,
    in_pocket: f64,
    /// All that is labile [kg], and how fast it goes [kg/d].
    labile: f64,
    labile_goes: f64,
    /// Of it in the pocket [kg/d].
    pocket_goes: f64,
    acid: f64,
    /// Base of ash in what goes [mol_c/d].
    first_ash: f64,
    later_ash: f64,
}

/// Adds what rots to `d`.
pub fn rates(at: &At<'_>, d: &mut [f64]) -> Rot {
    let (c, n, m, life) = (&at.bin.priors.constants, &at.bin.nature, at.m, at.life);
    let s = sums(at);
    let old = life.organic.humus.part(c.humus_per_day * m.pace);
    let dead = life.organic.microbes.part(n.microbe_death * m.pace);
    let mut first = s.first;
    first.add(&old);
    first = first.less(&Matter {
        organic: s.acid * c.acid_mass,
        carbon: s.acid * c.acid_carbon,
        nitrogen: 0.0,
    });
    let reach = c.nitrogen_taken_up * (life.ammonium + life.nitrate) / c.mol_per_kg;
    let (nitrogen, shared) = settled(at, &first, &s.later, (&dead, reach));
    out_of_pools(at, nitrogen, d);
    let layout = at.layout;
    add_matter(d, layout.microbes(), &shared.microbes.less(&dead));
    add_matter(d, layout.humus(), &shared.humus.less(&old));
    let labile = if s.labile > 0.0 {
        s.labile_goes / s.labile
    } else {
        0.0
    };
    for part in [
        Part::CellWater,
        Part::SaltOfAcids,
        Part::FreshLitres,
        Part::Alkali,
    ] {
        add(at, d, part, -at.of(part) * labile);
    }
    let gone_pocket = s.first_pocket + nitrogen * s.later_pocket;
    if s.in_pocket > 1e-12 {
        let rate = -at.of(Part::FoodLeft) * gone_pocket / s.in_pocket;
        add(at, d, Part::FoodLeft, rate);
    }
    let mut food = s.first;
    for more in [&s.later, &dead] {
        food.add(more);
    }
    let ash = n.alkalinity * (s.first_ash + nitrogen * s.later_ash);
    let all = first.organic + s.acid * c.acid_mass + nitrogen * s.later.organic;
    Rot {
        shared,
        food,
        acid: s.acid,
        // What stood against the acids that rot is base.
        cations: ash + n.alkalinity * life.alkali * labile,
        calcium: ash.max(0.0),
        of_pocket: gone_pocket / all.max(1e-12),
        falls: if at.pocket_kg > 1e-12 {
            s.pocket_goes / at.pocket_kg
        } else {
            0.0
        },
    }
}

/// Rates of the pools of a kind [1/d], nitrogen being plenty.
fn of_kind(at: &At<'_>, kind: usize) -> [f64; POOLS] {
    let per_day = &at.bin.priors.rates.per_day[kind];
    let (bed, pocket) = at.m.rots;
    let pace = if Kind::ALL[kind].in_pocket() {
        pocket
    } else {
        bed
    };
    let hastened = pace * at.m.by_worms;
    [
        per_day[0] * hastened,
        per_day[1] * hastened,
        per_day[2] * pace,
    ]
}

fn sums(at: &At<'_>) -> Sums {
    let (c, n, airless) = (&at.bin.priors.constants, &at.bin.nature, at.m.airless);
    let sours = airless.pocket + n.acid_with_air * (1.0 - airless.pocket);
    let acid_per_kg = at.m.ferments * sours * n.acid_per_vs;
    let mut s = Sums::default();
    for kind in &at.layout.kinds {
        let pools = &at.life.organic.pools[*kind];
        let rate = of_kind(at, *kind);
        let labile = pools[0].part(rate[0]);
        let mut later = pools[1].part(rate[1]);
        later.add(&pools[2].part(rate[2]));
        s.labile += pools[0].organic;
        s.labile_goes += labile.organic;
        let alkalinity = at.bin.priors.rates.alkalinity[*kind];
        s.first_ash += labile.organic * alkalinity;
        s.later_ash += later.organic * alkalinity;
        if Kind::ALL[*kind].in_pocket() {
            s.first_pocket += labile.organic;
            s.later_pocket += later.organic;
            s.in_pocket += pools.iter().map(|p| p.organic).sum::<f64>();
            s.pocket_goes += labile.organic;
            // Never more than its mass and carbon allow.
            s.acid += (labile.organic * acid_per_kg)
                .min(c.acid_most_of_matter * labile.organic / c.acid_mass)
                .min(c.acid_most_of_matter * labile.carbon / c.acid_carbon);
        }
        s.first.add(&labile);
        s.later.add(&later);
    }
    s
}

/// How far what waits for nitrogen goes, where the nitrogen that microbes find is
/// what that brings about itself, and what becomes of all that rots. The engine takes
/// what the last part of a step found.
fn settled(
    at: &At<'_>,
    first: &Matter,
    later: &Matter,
    (dead, reach): (&Matter, f64),
) -> (f64, Shared) {
    const ROUNDS: u32 = 40;
    const CLOSE: f64 = 1e-15;
    let (c, n) = (&at.bin.priors.constants, &at.bin.nature);
    let try_with = |nitrogen: f64| {
        let mut decayed = *first;
        decayed.add(&later.part(nitrogen));
        let shared = microbes::share(c, n, &decayed, dead, reach);
        (
            c.nitrogen_floor + (1.0 - c.nitrogen_floor) * shared.enough,
            shared,
        )
    };
    let mut at_first = 1.0;
    let (mut found, mut shared) = try_with(at_first);
    for _ in 0..ROUNDS {
        if (found - at_first).abs() < CLOSE {
            break;
        }
        // Three in a row tell where they go (Aitken); no further than it can be.
        let (after, _) = try_with(found);
        let bend = after - 2.0 * found + at_first;
        let step = found - at_first;
        let guess = if bend.abs() > 1e-14 {
            at_first - step * step / bend
        } else {
            after
        };
        at_first = guess.clamp(c.nitrogen_floor, 1.0);
        (found, shared) = try_with(at_first);
    }
    (at_first, shared)
}

fn out_of_pools(at: &At<'_>, nitrogen: f64, d: &mut [f64]) {
    for (i, kind) in at.layout.kinds.iter().enumerate() {
        let rate = of_kind(at, *kind);
        for (j, pool) in at.life.organic.pools[*kind].iter().enumerate() {
            let waits = if j == 0 { 1.0 } else { nitrogen };
            add_matter(d, at.layout.pool(i, j), &pool.part(-rate[j] * waits));
        }
    }
}
