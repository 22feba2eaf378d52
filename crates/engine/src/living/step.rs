//! One step of the whole bin. Every flow is worked out by its own process and
//! posted here once, from one pool to another.

use crate::bed::possible::PossibleBed;
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::living::air;
use crate::living::chain::Chain;
use crate::living::draining::drain;
use crate::living::drying::{Drying, dried};
use crate::living::dwell::live;
use crate::living::heat::{self, Exchange, Store, Zones};
use crate::living::home::Home;
use crate::living::ledger::Ledger;
use crate::living::life::Life;
use crate::living::microbes;
use crate::living::nature::{Constants, Nature, Priors};
use crate::living::nitrogen::{self, Turning};
use crate::living::pace::{Through, parts, parts_from_now};
use crate::living::profile::{passing, zones};
use crate::living::rot::{self, KINDS, Kind, Matter, gone};
use crate::living::salt;
use crate::living::species::Vital;
use crate::quantity::Celsius;

/// Longest step [d].
pub const STEP_DAYS: f64 = 0.5;

/// A changed bed is first looked at for this share of a step [-].
const FIRST_LOOK: f64 = 1.0 / 96.0;
/// Least parts of the rest of that step.
const AFTER_CHANGE: u32 = 2;

/// What stays the same through a run of one possible bin.
#[derive(Debug, Clone, Copy)]
pub struct Around<'a> {
    /// Numbers.
    pub priors: &'a Priors,
    /// Container.
    pub home: &'a Home,
    /// What this possible bin is like.
    pub nature: &'a Nature,
    /// What its worms are like.
    pub vital: &'a Vital,
}

/// Sizes of the bed through one step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub(super) dry_kg: f64,
    pub(super) litres: f64,
    pub(super) air_filled: f64,
    pub(super) moisture: f64,
    pub(super) worms_kg: f64,
    /// Labile matter in pockets of food, and what would rot there in a day at
    /// 20 °C [kg/d].
    pub(super) pocket_kg: f64,
    pub(super) eased: f64,
}

/// What rotted in one step.
#[derive(Debug, Clone, Copy, Default)]
struct Rotted {
    burnt: f64,
    oxygen: f64,
    air_carbon: f64,
    acid: f64,
    base: f64,
    cations: f64,
    pocket_burnt: f64,
    /// How fast what is labile in the pocket falls apart [1/d].
    pocket_falls: f64,
    /// How far warmth goes in the pocket against 20 °C [-].
    pocket_warm: f64,
    vapour: f64,
    /// Nitrogen set free, ammonium not yet in the pool [mol].
    freed: f64,
}

/// Carries one possible bin `days` forward in steps of at most
/// [`STEP_DAYS`], the air at `air(from, to)` [°C], days counted from now.
pub fn carry(
    life: &mut Life,
    bed: &mut PossibleBed,
    a: &Around<'_>,
    days: f64,
    air: impl Fn(f64, f64) -> f64,
) {
    let steps = (days / STEP_DAYS).ceil().max(1.0);
    let dt = days / steps;
    for i in 0..steps as u32 {
        let from = f64::from(i) * dt;
        step(life, bed, a, dt, air(from, from + dt));
    }
}

/// One step of `dt` days in air at `air` [°C], cut into parts where fresh food
/// rots so fast that it would heat the bed much in one.
pub fn step(life: &mut Life, bed: &mut PossibleBed, a: &Around<'_>, dt: f64, air: f64) {
    let air = air + a.nature.room_offset + life.room_wander;
    let mut through = Through::default();
    let mut left = dt;
    let air_was = life.lately.air_celsius;
    let changed = std::mem::take(&mut life.lately.changed);
    if changed {
        // A short look first at what the change does.
        let look = FIRST_LOOK * dt;
        closed_part(life, bed, a, look, air);
        // A jump is no rise that goes on.
        life.lately.urge_rise = 0.0;
        through.add(&life.lately, FIRST_LOOK);
        left -= look;
    }
    let mut parts = parts(life, a, (air_was, air), left);
    if changed {
        parts = parts.max(parts_from_now(life, left)).max(AFTER_CHANGE);
    }
    let cut = changed || parts > 1;
    let whole = dt;
    let mut dt = left / f64::from(parts);
    while parts > 0 {
        closed_part(life, bed, a, dt, air);
        if cut {
            through.add(&life.lately, dt / whole);
        }
        left -= dt;
        parts -= 1;
        // Worms may have begun to die or leave, or the bed to heat, faster than
        // anybody could foresee; what is left is cut anew.
        if cut && parts > 0 {
            parts = parts.max(parts_from_now(life, left));
            dt = left / f64::from(parts);
        }
    }
    if cut {
        through.tell(&mut life.lately);
    }
}

/// One part. While debugging, the books are closed after each, and the run
/// stops with the gap named.
fn closed_part(life: &mut Life, bed: &mut PossibleBed, a: &Around<'_>, dt: f64, air: f64) {
    if !cfg!(debug_assertions) {
        return part(life, bed, a, dt, air);
    }
    let before = Ledger::of(life, bed, a.priors);
    let given = bed.trend_per_day * dt;
    part(life, bed, a, dt, air);
    let closes = Ledger::of(life, bed, a.priors).check(&before, given);
    debug_assert!(closes.is_ok(), "{closes:?}");
}

/// One part of a step, in air at `air` where the bin stands [°C].
fn part(life: &mut Life, bed: &mut PossibleBed, a: &Around<'_>, dt: f64, air: f64) {
    let size = sized(life, a);
    let store = life.store(a.priors, size.dry_kg);
    let drying = Drying::of(a, &size, air);
    let zones = zones(life, a, &size, &store, &drying, air, dt);
    let rotted = rot_away(life, a, &size, &zones, (air, dt));
    let nitrogen_base = turn_nitrogen(life, bed, a, &size, &zones, (rotted.freed, dt));
    let acid_base = move_acids(life, bed, a, &zones, (&rotted, dt));
    let posted = rotted.base + nitrogen_base + acid_base.base;
    life.books.base_posted += posted;
    bed.base += posted;
    // Two charges of lime for each carbon dioxide.
    bed.carbonic_per_day = 2000.0 * rotted.air_carbon / CARBON_G_MOL / dt;
    let sulphur = bed.acid_to_come();
    bed.advance(dt);
    life.salt += (sulphur - bed.acid_to_come()) * a.priors.constants.anion_ec;
    let mut burnt = Rotted {
        burnt: rotted.burnt + acid_base.burnt,
        oxygen: rotted.oxygen + acid_base.oxygen,
        ..rotted
    };
    burnt.vapour = move_water(life, a, &size, &zones, &drying, burnt.burnt, dt);
    // Worms meet the mean of what it was and is.
    let through = Size {
        moisture: f64::midpoint(
            size.moisture,
            life.moisture_felt_percent(size.dry_kg, a.priors),
        ),
        ..size
    };
    live(life, bed, a, &through, &zones, dt);
    let dry_kg = life.dry_kg(a.priors);
    let after = life.store(a.priors, dry_kg);
    life.rematter(&store, &after);
    let was = after.celsius(life.heat);
    move_heat(life, a, &size, &after, &burnt, air, dt);
    let is = after.celsius(life.heat);
    life.lately.warming = if is > air { (is - was) / dt } else { 0.0 };
    life.age_days += dt;
    for since in [&mut life.stocked_days, &mut life.fed_days] {
        if *since >= 0.0 {
            *since += dt;
        }
    }
    life.lately.zones = zones;
    life.lately.air_celsius = air;
    bed.dry_kg = dry_kg;
    bed.water_kg = life.water_kg;
}

fn sized(life: &Life, a: &Around<'_>) -> Size {
    let dry_kg = life.dry_kg(a.priors);
    let litres = life.litres(a.priors, a.nature, dry_kg);
    let filled = air::filled_litres(dry_kg - life.ash_kg, life.ash_kg, life.water_kg);
    Size {
        dry_kg,
        litres,
        air_filled: air::air_filled(filled, litres),
        moisture: life.moisture_felt_percent(dry_kg, a.priors),
        worms_kg: life.worms.grams() / 1000.0,
        pocket_kg: life.organic.pocket(),
        eased: life.organic.eased(&a.priors.rates, life.lately.nitrogen),
    }
}

/// Grams of carbon in a mole.
const CARBON_G_MOL: f64 = 12.011;
/// Oxygen that burning acetic acid takes: two of 32 to one of 60 [kg/kg].
pub(super) const ACID_OXYGEN: f64 = 64.0 / 60.0;
/// Volume of a wet pocket of food per dry matter that rots fast, three fifths of
/// what food is [L/kg].
pub(super) const POCKET_LITRES: f64 = 16.0;
/// Pocket for which the half thickness is the drawn one [L].
pub(super) const POCKET_USUAL: f64 = 6.0;

/// Rots every pool: carbon dioxide, humus, acids where air is short, nitrogen
/// set free or bound.
fn rot_away(
    life: &mut Life,
    a: &Around<'_>,
    size: &Size,
    z: &Zones,
    (air, dt): (f64, f64),
) -> Rotted {
    let (p, n) = (a.priors, a.nature);
    let c = &p.constants;
    let warm = |t: f64| rot::warmth(t, c.q10, c.best_celsius, c.stops_celsius);
    let bed_celsius = bed_celsius(z, c.stops_celsius);
    let wet_bed = rot::wetness(size.moisture, c.dry_stop, c.wet_enough);
    let wet_pocket = rot::wetness(
        size.moisture.max(0.5 * (size.moisture + 75.0)),
        c.dry_stop,
        c.wet_enough,
    );
    let worms = 1.0 + n.worm_effect * (size.worms_kg / a.home.floor_m2 / c.worm_reference).min(1.0);
    let pace_bed = n.decay_scale * warm(bed_celsius) * wet_bed;
    let pocket_warm = warm(z.hot);
    let pace_pocket = n.decay_scale * pocket_warm * wet_pocket;
    let (airless_bed, airless_pocket) = breathe(
        life,
        a,
        size,
        z,
        (pace_bed * worms, pace_pocket * worms),
        (air, dt),
    );
    let mut out = Rotted {
        pocket_warm,
        ..Rotted::default()
    };
    let mut decayed = Matter::default();
    let (mut labile, mut labile_gone, mut in_pocket) = (0.0, 0.0, 0.0);
    let mut eased = 0.0;
    for i in 0..KINDS {
        let pocket = Kind::ALL[i].in_pocket();
        let (pace, airless) = if pocket {
            (pace_pocket, airless_pocket)
        } else {
            (pace_bed, airless_bed)
        };
        let pace = pace * slowed(c, airless) * dt;
        for (j, pool) in life.organic.pools[i].iter_mut().enumerate() {
            if pool.organic < 1e-9 {
                continue;
            }
            let worms = if j < 2 { worms } else { 1.0 };
            let short = if j == 0 { 1.0 } else { life.lately.nitrogen };
            let went = pool.take(gone(p.rates.per_day[i][j] * pace * worms * short));
            if j == 0 {
                labile += went.organic + pool.organic;
                labile_gone += went.organic;
            }
            out.cations += went.organic * p.rates.alkalinity[i] * n.alkalinity;
            if pocket && j == 0 {
                let sour = airless + n.acid_with_air * (1.0 - airless);
                out.acid += acid_of(&went, sour * n.acid_per_vs, c);
                eased += went.organic;
            }
            if pocket {
                in_pocket += went.organic;
            }
            decayed.add(&went);
        }
    }
    let old = life
        .organic
        .humus
        .take(gone(c.humus_per_day * pace_bed * dt));
    decayed.add(&old);
    if labile > 0.0 {
        life.salt_of_acids *= 1.0 - labile_gone / labile;
        life.cell_water_kg *= 1.0 - labile_gone / labile;
    }
    out.pocket_falls = (eased / (eased + life.organic.pocket()).max(1e-12)).min(0.99);
    out.pocket_falls = -(-out.pocket_falls).ln_1p() / dt;
    let dying = gone(n.microbe_death * pace_bed * dt);
    // Microbes live and die where the food is.
    let of_pocket = in_pocket / decayed.organic.max(1e-12);
    out.base = out.cations + settle(life, a, &decayed, dying, &mut out, dt);
    out.pocket_burnt = out.burnt * of_pocket;
    life.books.cations += out.cations;
    out
}

/// How far what rots goes where so much of it finds no air [0 to 1].
fn slowed(c: &Constants, airless: f64) -> f64 {
    1.0 - (1.0 - c.airless_floor) * airless
}

/// Temperature by which the bed outside the pocket rots [°C].
fn bed_celsius(z: &Zones, stops: f64) -> f64 {
    rot::felt_by_microbes(f64::midpoint(z.core, z.edge), z.core, stops)
}

/// Acid made of matter that ferments [mol], never more than its mass and
/// carbon allow.
fn acid_of(went: &Matter, per_kg: f64, c: &Constants) -> f64 {
    (went.organic * per_kg)
        .min(0.8 * went.organic / c.acid_mass)
        .min(0.8 * went.carbon / c.acid_carbon)
}

/// How much of the decay finds no air, in the bed and in the pocket.
fn breathe(
    life: &mut Life,
    a: &Around<'_>,
    size: &Size,
    z: &Zones,
    (bed, pocket): (f64, f64),
    (air, dt): (f64, f64),
) -> (f64, f64) {
    let (p, n) = (a.priors, a.nature);
    let c = &p.constants;
    let mut demand = [0.0; 2];
    for i in 0..KINDS {
        let inside = Kind::ALL[i].in_pocket();
        let pace = if inside { pocket } else { bed };
        for j in 0..2 {
            demand[usize::from(inside)] +=
                life.organic.pools[i][j].organic * p.rates.per_day[i][j] * pace;
        }
    }
    // Of the food no more wants it than is there on the way.
    let goes = demand[1] / size.pocket_kg.max(1e-12) * slowed(c, life.lately.airless_pocket);
    demand[1] *= 1.0 - (0.5 * goes * dt).min(0.5);
    // Acids that are burnt again want oxygen too.
    let warm = |t: f64| rot::warmth(t, c.q10, c.best_celsius, c.stops_celsius);
    let acids = n.acid_eaten * c.acid_mass * ACID_OXYGEN / c.oxygen_per_vs;
    let middle = bed_celsius(z, c.stops_celsius);
    demand[0] += acids * life.acid_bed * warm(middle);
    demand[1] += acids * life.acid_pocket * warm(z.hot);
    let path = n.air_path * a.home.height_m(size.litres).min(c.most_height_m);
    let draught = air::Draught {
        area_m2: a.home.floor_m2,
        air_filled: size.air_filled,
        path_m: path.max(c.least_path_m),
        oxygen_kg_m3: c.oxygen,
        lid: n.lid_air,
    };
    let warmer = middle - air;
    let supply = air::seeping(&draught, c.diffusion)
        + air::drawn(&draught, n.air_drawn * a.home.inlet, warmer);
    let airless_pocket = air::airless(supply * n.pocket_air, demand[1] * c.oxygen_per_vs);
    let airless_bed = air::under_food(
        air::airless(supply * (1.0 - n.pocket_air), demand[0] * c.oxygen_per_vs),
        air::covered(
            life.organic.pocket() * POCKET_LITRES,
            a.home.floor_m2,
            2.0 * n.pocket_half_m,
        ),
        airless_pocket,
    );
    life.lately.airless_bed = airless_bed;
    life.lately.airless_pocket = airless_pocket;
    (airless_bed, airless_pocket)
}

/// Shares what rotted between microbes, humus, acids already made, and air;
/// sets nitrogen free or binds it ([`microbes::share`]). Gives the base of it
/// [mol_c].
fn settle(
    life: &mut Life,
    a: &Around<'_>,
    decayed: &Matter,
    dying: f64,
    out: &mut Rotted,
    dt: f64,
) -> f64 {
    let (c, n) = (&a.priors.constants, a.nature);
    let mineral = (life.ammonium + life.nitrate) / c.mol_per_kg;
    let reach = mineral * gone(c.nitrogen_taken_up * dt);
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
    life.lately.nitrogen = c.nitrogen_floor + (1.0 - c.nitrogen_floor) * shared.enough;
    out.burnt = shared.burnt.organic;
    out.oxygen = out.burnt * c.oxygen_per_vs;
    out.air_carbon = shared.burnt.carbon;
    life.books.burnt += out.burnt;
    life.books.carbon_air += out.air_carbon;
    let freed = shared.burnt.nitrogen * c.mol_per_kg;
    if freed >= 0.0 {
        out.freed = freed;
        return freed;
    }
    let total = (life.ammonium + life.nitrate).max(1e-15);
    let share = (-freed / total).min(1.0);
    let (ammonium, nitrate) = (life.ammonium * share, life.nitrate * share);
    life.ammonium -= ammonium;
    life.nitrate -= nitrate;
    nitrate - ammonium
}

/// Nitrification, ammonia going off, nitrate lost, while `freed` ammonium comes
/// [mol]; gives the base of it.
fn turn_nitrogen(
    life: &mut Life,
    bed: &PossibleBed,
    a: &Around<'_>,
    size: &Size,
    z: &Zones,
    (freed, dt): (f64, f64),
) -> f64 {
    let (c, n) = (&a.priors.constants, a.nature);
    let celsius = f64::midpoint(z.core, z.edge);
    let warm = rot::warmth(celsius, c.q10, 33.0, 45.0);
    let ph = bed.ph();
    let air = 1.0 - life.lately.airless_bed;
    let free = free_ammonia_fraction(Celsius(celsius.clamp(0.0, 60.0)), ph);
    let dry = size.dry_kg;
    let ammonia = life.ammonium * free / c.mol_per_kg * 1e6 / dry.max(1e-6);
    let salt = salt::ec_ms_per_cm(life, bed, a.priors, dry);
    let rates = Turning {
        nitrify: n.nitrify
            * nitrogen::nitrifier_harm(ammonia / c.nitrify_ammonia, salt / c.nitrify_salt)
            * warm
            * air
            * nitrogen::nitrifier_ph(ph, c.nitrify_stops, c.nitrify_full),
        volatilise: n.volatilise * free * n.lid_air,
        denitrify: n.denitrify * warm * (1.0 - air + n.denitrify_with_air * air),
    };
    let turned = nitrogen::turn(&mut life.ammonium, &mut life.nitrate, freed, &rates, dt);
    life.books.nitrogen_air += (turned.volatilised + turned.denitrified) / c.mol_per_kg;
    turned.base()
}

/// Acids: `made` in the food [mol], burnt where there is air, seeping from the
/// food into the bed.
fn move_acids(
    life: &mut Life,
    bed: &PossibleBed,
    a: &Around<'_>,
    z: &Zones,
    (rotted, dt): (&Rotted, f64),
) -> Rotted {
    let (c, n) = (&a.priors.constants, a.nature);
    let warm = |t: f64| rot::warmth(t, c.q10, c.best_celsius, c.stops_celsius);
    let eat_pocket = n.acid_eaten * warm(z.hot) * (1.0 - life.lately.airless_pocket);
    let eat_bed =
        n.acid_eaten * warm(bed_celsius(z, c.stops_celsius)) * (1.0 - life.lately.airless_bed);
    // What falls apart sets free the acid in it.
    let leave = if z.core > 0.0 {
        n.acid_leaves + rotted.pocket_falls
    } else {
        0.0
    };
    let chain = Chain {
        first: eat_pocket + leave,
        on: leave,
        second: eat_bed,
    };
    let passed = chain.carry(&mut life.acid_pocket, &mut life.acid_bed, rotted.acid, dt);
    let eaten = passed.out - passed.on + passed.away;
    let burnt = eaten * c.acid_mass;
    life.books.burnt += burnt;
    life.books.carbon_air += eaten * c.acid_carbon;
    Rotted {
        burnt,
        oxygen: burnt * ACID_OXYGEN,
        base: acid_charge(life, bed, c.acid_pka),
        ..Rotted::default()
    }
}

/// Base to post so that the acids of the bed stand as far dissociated as their
/// pH lets them [mol_c]: `α = 1 / (1 + 10^(pKa − pH))`. Weak acids stop souring
/// a bed near their own pKa, however many there are.
fn acid_charge(life: &mut Life, bed: &PossibleBed, pka: f64) -> f64 {
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

/// Water: made, evaporated, drained. Gives what evaporated [kg].
fn move_water(
    life: &mut Life,
    a: &Around<'_>,
    size: &Size,
    z: &Zones,
    drying: &Drying,
    burnt: f64,
    dt: f64,
) -> f64 {
    let made = burnt * a.priors.constants.water_per_vs;
    life.water_kg += made;
    life.books.water_made += made;
    let vapour = dried(
        life.water_kg,
        life.dry_felt_kg(size.dry_kg, a.priors),
        z,
        drying,
        dt,
    );
    life.water_kg -= vapour;
    life.lately.drying = vapour / dt / (life.water_kg + vapour).max(1e-9);
    life.books.evaporated += vapour;
    drain(life, a, size.dry_kg, dt);
    vapour
}

fn move_heat(
    life: &mut Life,
    a: &Around<'_>,
    size: &Size,
    store: &Store,
    rotted: &Rotted,
    air: f64,
    dt: f64,
) {
    let c = &a.priors.constants;
    let celsius = store.celsius(life.heat);
    let worms = c.worm_watts * size.worms_kg * rot::warmth(celsius, 2.0, 30.0, 40.0) * 86.4 * dt;
    let made = rotted.oxygen * 1000.0 * c.heat_per_oxygen + worms;
    let ice = if celsius < 0.0 { c.melt } else { 0.0 };
    let taken = rotted.vapour * (c.evaporate + ice);
    let passing = passing(a, size);
    let x = Exchange {
        made: (made - taken) / dt,
        passing,
        air,
    };
    let (heat, mean) = heat::carry(store, life.heat, &x, dt);
    life.books.heat_made += made;
    life.books.heat_vapour += taken;
    life.books.heat_passed += passing * (mean - air) * dt;
    life.heat = heat;
    life.lately.watts = made / dt / 86.4;
    let kj_per_kg = c.oxygen_per_vs * 1000.0 * c.heat_per_oxygen;
    life.lately.pocket_heat = if size.eased > 0.0 && rotted.pocket_warm > 0.01 {
        rotted.pocket_burnt * kj_per_kg / dt / 86.4 / size.eased / rotted.pocket_warm
    } else {
        0.0
    };
}

/// pH in the pocket of food: the bed's, lowered by acids still in the food.
#[must_use]
pub fn pocket_ph(life: &Life, a: &Around<'_>, bed_ph: f64) -> f64 {
    let dry = life.organic.pocket().max(1e-3) * 2.0;
    (bed_ph - life.acid_pocket / (a.nature.food_buffer * dry)).max(3.2_f64.min(bed_ph))
}
