//! What rots in a part of a step: what goes out of each pool, and what becomes of
//! it.

use crate::living::life::Life;
use crate::living::microbes;
use crate::living::nature::Constants;
use crate::living::nitrogen::{Turning, within_reach};
use crate::living::now::{Now, Size, Warm};
use crate::living::rot::{self, Kind, Matter, gone};
use crate::living::step::Around;
use std::f64::consts::LN_10;

/// Below this there is none of a pool [kg].
const LEAST_KG: f64 = 1e-9;

/// What rotted in one part.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Rotted {
    /// Burnt, and of it in the pocket [kg].
    pub(super) burnt: f64,
    pub(super) pocket_burnt: f64,
    /// Oxygen used [kg].
    pub(super) oxygen: f64,
    /// Carbon gone to the air [kg].
    pub(super) air_carbon: f64,
    /// Acid made [mol].
    pub(super) acid: f64,
    /// How fast what is labile in the pocket falls apart [1/d].
    pub(super) pocket_falls: f64,
    /// Share of the food in the bed that is still there [0 to 1].
    pub(super) food_stays: f64,
    /// Base to post, and of it that of ash [mol_c].
    pub(super) base: f64,
    pub(super) cations: f64,
    /// Of that, what stands against calcium and magnesium [mol_c].
    pub(super) calcium: f64,
    /// Nitrogen set free, ammonium not yet in the pool, or, where it is negative,
    /// taken up [mol], of what was within reach [mol].
    pub(super) freed: f64,
    pub(super) reach: f64,
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

/// Rots every pool: carbon dioxide, humus, acids where air is short, nitrogen
/// set free or bound.
pub(super) fn rot_away(
    life: &mut Life,
    a: &Around<'_>,
    now: &Now,
    (pocket_ph, turning): (f64, &Turning),
) -> Rotted {
    let n = a.nature;
    let c = &a.priors.constants;
    let (Paces { bed, pocket, worms }, airless) = (now.paces, now.airless);
    let ferments = 1.0 - pickled(life, c, now.size.sums.pocket, pocket_ph);
    let mut gone_pools = rot_pools(
        life,
        a,
        &Rotting {
            bed: bed * slowed(c, airless.bed, 1.0) * now.dt,
            pocket: pocket * slowed(c, airless.pocket, ferments) * now.dt,
            worms,
            ferments: ferments * (airless.pocket + n.acid_with_air * (1.0 - airless.pocket)),
        },
    );
    let mut decayed = gone_pools.decayed;
    let dying = gone(n.microbe_death * bed * now.dt);
    let mut food = gone_pools.eaten;
    food.add(&life.organic.microbes.part(dying));
    let old = gone(c.humus_per_day * bed * now.dt);
    decayed.add(&life.organic.humus.take(old));
    let calcium = gone_pools.cations.max(0.0);
    if gone_pools.labile > 0.0 {
        let stays = 1.0 - gone_pools.labile_gone / gone_pools.labile;
        // What stood against the acids that are burnt is base.
        gone_pools.cations += n.alkalinity * life.alkali * (1.0 - stays);
        life.alkali *= stays;
        life.salt_of_acids *= stays;
        life.cell_water_kg *= stays;
        life.fresh_litres *= stays;
    }
    let mut out = Rotted {
        food,
        pocket_falls: rate_of(gone_pools.pocket_labile, gone_pools.pocket_gone, now.dt),
        acid: gone_pools.acid,
        food_stays: 1.0 - gone_pools.in_pocket / gone_pools.of_pocket.max(1e-12),
        cations: gone_pools.cations,
        calcium,
        ..Rotted::default()
    };
    // Microbes live and die where the food is.
    let of_pocket = gone_pools.in_pocket / decayed.organic.max(1e-12);
    out.base = out.cations;
    out.reach = within_reach(
        (life.ammonium, life.nitrate),
        life.foreseen(now.dt),
        turning,
        c.nitrogen_taken_up,
        now.dt,
    );
    settle(life, a, &decayed, dying, &mut out);
    out.pocket_burnt = out.burnt * of_pocket;
    life.books.cations += out.cations;
    out
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

fn rot_pools(life: &mut Life, a: &Around<'_>, pace: &Rotting) -> Gone {
    let (rates, n) = (&a.priors.rates, a.nature);
    let c = &a.priors.constants;
    let hastened = [
        pace.worms,
        pace.worms * life.carried.nitrogen,
        life.carried.nitrogen,
    ];
    let by_worms = [pace.worms, pace.worms, 1.0];
    let mut out = Gone::default();
    for (i, pools) in life.organic.pools.iter_mut().enumerate() {
        let pocket = Kind::ALL[i].in_pocket();
        let days = if pocket { pace.pocket } else { pace.bed };
        let mut of_kind = 0.0;
        for (j, pool) in pools.iter_mut().enumerate() {
            if pool.organic < LEAST_KG {
                continue;
            }
            let was = pool.organic;
            out.of_pocket += if pocket { was } else { 0.0 };
            let rate = rates.per_day[i][j] * days;
            out.eaten.add(&pool.part(gone(rate * by_worms[j])));
            let went = pool.take(gone(rate * hastened[j]));
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
fn pickled(life: &Life, c: &Constants, pocket_kg: f64, ph: f64) -> f64 {
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

/// Shares what rotted between microbes, humus, acids already made, and air;
/// sets nitrogen free or binds it ([`microbes::share`]).
fn settle(life: &mut Life, a: &Around<'_>, decayed: &Matter, dying: f64, out: &mut Rotted) {
    let (c, n) = (&a.priors.constants, a.nature);
    let reach = out.reach / c.mol_per_kg;
    let acid = Matter {
        organic: out.acid * c.acid_mass,
        carbon: out.acid * c.acid_carbon,
        nitrogen: 0.0,
    };
    let decayed = decayed.less(&acid);
    let dead = microbes::dead(c, n, &life.organic.microbes, &decayed, (reach, dying));
    let shared = microbes::share(c, n, &decayed, &dead, reach);
    life.organic.microbes.add(&shared.microbes.less(&dead));
    life.organic.humus.add(&shared.humus);
    life.carried.nitrogen = c.nitrogen_floor + (1.0 - c.nitrogen_floor) * shared.enough;
    out.burnt = shared.burnt.organic;
    out.oxygen = out.burnt * c.oxygen_per_vs;
    out.air_carbon = shared.burnt.carbon;
    life.books.burnt += out.burnt;
    life.books.carbon_air += out.air_carbon;
    out.freed = shared.burnt.nitrogen * c.mol_per_kg;
}
