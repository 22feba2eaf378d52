//! What rots in a part of a step: what goes out of each pool, and what becomes of
//! it.

use crate::living::life::Life;
use crate::living::microbes::{self, Shared};
use crate::living::nature::Constants;
use crate::living::now::{Now, Size, Warm};
use crate::living::rot::{self, KINDS, Kind, Matter, POOLS, gone};
use crate::living::step::Around;
use std::f64::consts::LN_10;

/// Below this there is none of a pool [kg].
const LEAST_KG: f64 = 1e-9;

/// Share of each pool that goes [0 to 1], with all that is in it.
pub(super) type Goes = [[f64; POOLS]; KINDS];

/// What rots in one part.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Rotted {
    /// Share of old humus that goes [0 to 1].
    pub(super) humus_goes: f64,
    /// Microbes grown less those that died [kg].
    pub(super) microbes: Matter,
    /// Humus made [kg].
    pub(super) humus: Matter,
    /// Burnt; its nitrogen is that set free, ammonium not yet in the pool, or,
    /// where it is negative, taken up [kg].
    pub(super) burnt: Matter,
    /// Of it in the pocket [kg].
    pub(super) pocket_burnt: f64,
    /// Acid made [mol].
    pub(super) acid: f64,
    /// How fast what is labile in the pocket falls apart [1/d].
    pub(super) pocket_falls: f64,
    /// Share of the food in the bed that is still there [0 to 1].
    pub(super) food_stays: f64,
    /// Share of all that is labile that is still there [0 to 1]: cells of food and
    /// salts of its acids go with it.
    pub(super) labile_stays: f64,
    /// Base of ash set free [mol_c], and of it what stands against calcium and
    /// magnesium [mol_c].
    pub(super) cations: f64,
    pub(super) calcium: f64,
    /// How far decay goes next for the nitrogen that microbes found [0 to 1].
    pub(super) nitrogen: f64,
    /// What falls apart, were there nitrogen, and what microbes died: the food of
    /// worms.
    pub(super) food: Matter,
}

/// How fast things rot as a bed stands, had they air [d/d]: against a day at
/// 20 °C.
#[derive(Debug, Clone, Copy)]
pub(super) struct Paces {
    /// In the bed.
    pub(super) bed: f64,
    /// In the pocket of food.
    pub(super) pocket: f64,
    /// How much faster both go for worms [-].
    pub(super) worms: f64,
}

impl Paces {
    /// Of a bed of that size, as warm as that.
    pub(super) fn of(a: &Around<'_>, size: &Size, warm: &Warm) -> Self {
        let (c, n) = (&a.priors.constants, a.nature);
        let wet = |moisture: f64| rot::wetness(moisture, c.dry_stop, c.wet_enough);
        // Food in dry bedding is half as dry.
        let in_pocket = f64::midpoint(size.moisture, c.pocket_moisture);
        let wet_pocket = wet(size.moisture.max(in_pocket));
        let stocked = size.worms_kg / a.home.floor_m2 / c.worm_reference;
        Self {
            bed: n.decay_scale * warm.bed * wet(size.moisture),
            pocket: n.decay_scale * warm.pocket * wet_pocket,
            worms: 1.0 + n.worm_effect * stocked.min(1.0),
        }
    }
}

/// What rots of every pool, the pocket at `pocket_ph` and so much dissolved
/// nitrogen within `reach` [mol]: carbon dioxide, humus, acids where air is short,
/// nitrogen set free or bound. What goes out of each pool is written to `goes`, of
/// which all is nothing before.
pub(super) fn rotted(
    life: &Life,
    a: &Around<'_>,
    now: &Now,
    (pocket_ph, reach): (f64, f64),
    goes: &mut Goes,
) -> Rotted {
    let (c, n) = (&a.priors.constants, a.nature);
    let (Paces { bed, pocket, worms }, airless) = (now.paces, now.airless);
    let ferments = 1.0 - pickled(life, c, now.size.sums.pocket, pocket_ph);
    let went = out_of_pools(
        life,
        a,
        &Rotting {
            bed: bed * slowed(c, airless.bed, 1.0) * now.dt,
            pocket: pocket * slowed(c, airless.pocket, ferments) * now.dt,
            worms,
            ferments: ferments * (airless.pocket + n.acid_with_air * (1.0 - airless.pocket)),
        },
        goes,
    );
    let dying = gone(n.microbe_death * bed * now.dt);
    let mut food = went.eaten;
    food.add(&life.organic.microbes.part(dying));
    let humus_goes = gone(c.humus_per_day * bed * now.dt);
    let mut decayed = went.decayed;
    decayed.add(&life.organic.humus.part(humus_goes));
    let labile_stays = if went.labile > 0.0 {
        1.0 - went.labile_gone / went.labile
    } else {
        1.0
    };
    let (shared, dead) = shared(life, a, &decayed, (went.acid, dying, reach));
    // Microbes live and die where the food is.
    let of_pocket = went.in_pocket / decayed.organic.max(1e-12);
    Rotted {
        humus_goes,
        microbes: shared.microbes.less(&dead),
        humus: shared.humus,
        burnt: shared.burnt,
        pocket_burnt: shared.burnt.organic * of_pocket,
        acid: went.acid,
        pocket_falls: rate_of(went.pocket_labile, went.pocket_gone, now.dt),
        food_stays: 1.0 - went.in_pocket / went.of_pocket.max(1e-12),
        labile_stays,
        // What stood against the acids that are burnt is base.
        cations: went.cations + n.alkalinity * life.alkali * (1.0 - labile_stays),
        calcium: went.cations.max(0.0),
        nitrogen: c.nitrogen_floor + (1.0 - c.nitrogen_floor) * shared.enough,
        food,
    }
}

/// How fast the pools rot through a part.
#[derive(Debug, Clone, Copy)]
struct Rotting {
    /// In the bed and in the pocket, against a day at 20 °C [d].
    bed: f64,
    pocket: f64,
    /// How much faster for worms [-].
    worms: f64,
    /// Share of what rots fast in the pocket that ferments [0 to 1].
    ferments: f64,
}

/// What went out of the pools.
#[derive(Debug, Clone, Copy, Default)]
struct Gone {
    decayed: Matter,
    /// What would have gone were nitrogen not short.
    eaten: Matter,
    /// Labile matter there was, and what of it went [kg].
    labile: f64,
    labile_gone: f64,
    /// Labile matter there was in the pocket, and what of it went [kg].
    pocket_labile: f64,
    pocket_gone: f64,
    /// What went in the pocket, labile or not, of what there was [kg].
    in_pocket: f64,
    of_pocket: f64,
    acid: f64,
    cations: f64,
}

fn out_of_pools(life: &Life, a: &Around<'_>, pace: &Rotting, shares: &mut Goes) -> Gone {
    let (rates, n) = (&a.priors.rates, a.nature);
    let c = &a.priors.constants;
    let hastened = [
        pace.worms,
        pace.worms * life.carried.nitrogen,
        life.carried.nitrogen,
    ];
    let by_worms = [pace.worms, pace.worms, 1.0];
    let mut out = Gone::default();
    for (i, pools) in life.organic.pools.iter().enumerate() {
        let pocket = Kind::ALL[i].in_pocket();
        let days = if pocket { pace.pocket } else { pace.bed };
        let mut of_kind = 0.0;
        for (j, pool) in pools.iter().enumerate() {
            if pool.organic < LEAST_KG {
                continue;
            }
            let was = pool.organic;
            out.of_pocket += if pocket { was } else { 0.0 };
            let rate = rates.per_day[i][j] * days;
            let goes = gone(rate * hastened[j]);
            shares[i][j] = goes;
            let went = pool.part(goes);
            // Where nitrogen is plenty the two are one.
            out.eaten.add(&if hastened[j] == by_worms[j] {
                went
            } else {
                pool.part(gone(rate * by_worms[j]))
            });
            of_kind += went.organic;
            out.decayed.add(&went);
            if j == 0 {
                out.labile += was;
                out.labile_gone += went.organic;
                if pocket {
                    out.pocket_labile += was;
                    out.pocket_gone += went.organic;
                    out.acid += acid_of(&went, pace.ferments * n.acid_per_vs, c);
                }
            }
        }
        out.cations += of_kind * rates.alkalinity[i];
        if pocket {
            out.in_pocket += of_kind;
        }
    }
    out.cations *= n.alkalinity;
    out
}

/// Rate at which `went` of `was` goes in `days` [1/d].
fn rate_of(was: f64, went: f64, days: f64) -> f64 {
    // Of more no rate can be told.
    const MOST: f64 = 0.99;
    let share = (went / was.max(1e-12)).min(MOST);
    -(-share).ln_1p() / days
}

/// How far what rots goes where so much of it finds no air, and what ferments
/// there goes so far [0 to 1].
pub(super) fn slowed(c: &Constants, airless: f64, ferments: f64) -> f64 {
    1.0 - (1.0 - c.airless_floor * ferments) * airless
}

/// How far the acids already in the food, `pocket_kg` at `ph`, keep more of it from
/// fermenting [0 to 1]: by what of them is not dissociated, in the water of the
/// food. As in silage, which keeps.
pub(super) fn pickled(life: &Life, c: &Constants, pocket_kg: f64, ph: f64) -> f64 {
    let water = pocket_kg * c.pocket_water;
    if water < LEAST_KG {
        return 0.0;
    }
    let whole = 1.0 / (1.0 + (LN_10 * (ph - c.acid_pka)).exp());
    let molar = life.acid_pocket * whole / water;
    molar / (molar + c.pickles_mol_per_l)
}

/// Acid made of matter that ferments [mol], never more than its mass and
/// carbon allow.
fn acid_of(went: &Matter, per_kg: f64, c: &Constants) -> f64 {
    (went.organic * per_kg)
        .min(c.acid_most_of_matter * went.organic / c.acid_mass)
        .min(c.acid_most_of_matter * went.carbon / c.acid_carbon)
}

/// Shares what rotted between microbes, humus, so much acid already made [mol] and
/// air ([`microbes::share`]), the share `dying` of microbes dying; gives those that
/// died too.
fn shared(
    life: &Life,
    a: &Around<'_>,
    decayed: &Matter,
    (acid, dying, reach): (f64, f64, f64),
) -> (Shared, Matter) {
    let (c, n) = (&a.priors.constants, a.nature);
    let reach = reach / c.mol_per_kg;
    let acid = Matter {
        organic: acid * c.acid_mass,
        carbon: acid * c.acid_carbon,
        nitrogen: 0.0,
    };
    let decayed = decayed.less(&acid);
    let dead = microbes::dead(c, n, &life.organic.microbes, &decayed, (reach, dying));
    (microbes::share(c, n, &decayed, &dead, reach), dead)
}
