//! One step of the whole bin. Every flow is worked out by its own process and
//! posted here once, from one pool to another.

use crate::bed::possible::PossibleBed;
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::living::draining::drain;
use crate::living::drying::{Drying, dried};
use crate::living::dwell::live;
use crate::living::heat::{self, Exchange, Store};
use crate::living::home::Home;
use crate::living::in_place;
use crate::living::ledger::Ledger;
use crate::living::life::{Life, Told};
use crate::living::nature::{Nature, Priors};
use crate::living::nitrogen::{self, Besides, Turning};
use crate::living::now::{Now, Size};
use crate::living::pace::{Through, parts, parts_from_now};
use crate::living::profile::{passing, profile};
use crate::living::rot::Sums;
use crate::living::rotting::{Rotted, rot_away};
use crate::living::salt;
use crate::living::souring::{move_acids, pocket_ph_of};
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

/// What the end of one part tells of the start of the next, while nothing comes
/// between.
#[derive(Debug, Clone, Copy)]
struct Known {
    sums: Sums,
    /// pH that of the bed is not far from.
    near: f64,
}

impl Known {
    fn of(life: &Life, a: &Around<'_>) -> Self {
        // A first guess: it moves nothing.
        const NEUTRAL: f64 = 7.0;
        Self {
            sums: life.organic.sums(&a.priors.rates),
            near: NEUTRAL,
        }
    }
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
    let (mut through, mut told) = (Through::default(), Told::default());
    let mut known = Known::of(life, a);
    let mut left = dt;
    let air_was = life.carried.air_celsius;
    let changed = std::mem::take(&mut life.pace.changed);
    if changed {
        // A short look first at what the change does.
        let look = FIRST_LOOK * dt;
        told = closed_part(life, bed, a, &mut known, (look, air));
        // A jump is no rise that goes on.
        life.pace.urge_rise = 0.0;
        through.add(&told, FIRST_LOOK);
        left -= look;
    }
    let mut parts = parts(life, a, &known.sums, (air_was, air), left);
    if changed {
        parts = parts.max(parts_from_now(life, left)).max(AFTER_CHANGE);
    }
    let cut = changed || parts > 1;
    let whole = dt;
    let mut dt = left / f64::from(parts);
    while parts > 0 {
        told = closed_part(life, bed, a, &mut known, (dt, air));
        if cut {
            through.add(&told, dt / whole);
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
    life.told = if cut { through.told(&told) } else { told };
    life.day.add(whole, &life.told.zones, air);
}

/// One part. While debugging, the books are closed after each, and the run
/// stops with the gap named.
fn closed_part(
    life: &mut Life,
    bed: &mut PossibleBed,
    a: &Around<'_>,
    known: &mut Known,
    (dt, air): (f64, f64),
) -> Told {
    if !cfg!(debug_assertions) {
        return part(life, bed, a, known, (dt, air));
    }
    let before = Ledger::of(life, bed, a.priors);
    let told = part(life, bed, a, known, (dt, air));
    let closes = Ledger::of(life, bed, a.priors).check(&before, 0.0);
    debug_assert!(closes.is_ok(), "{closes:?}");
    told
}

/// One part of a step of `dt` days, in air at `air` where the bin stands [°C].
fn part(
    life: &mut Life,
    bed: &mut PossibleBed,
    a: &Around<'_>,
    known: &mut Known,
    (dt, air): (f64, f64),
) -> Told {
    let size = Size::of(life, a, known.sums);
    let store = life.store(a.priors, size.dry_kg);
    let drying = Drying::of(a, &size, air);
    let profile = profile(life, a, &size, &store, &drying, air, dt);
    life.carried.core_excess = profile.core_excess;
    life.carried.pocket_rise = profile.pocket_rise;
    let ph = bed.ph_with_near(0.0, known.near);
    let now = Now::of((life, a), size, profile.zones, (air, ph), dt);
    let sour = pocket_ph_of(life, a, known.sums.pocket, ph);
    let turning = turning(life, bed, a, &now);
    let rotted = rot_away(life, a, &now, (sour, &turning));
    let nitrogen_base = turn_nitrogen(life, a, &turning, &rotted, dt);
    let acid_base = move_acids(life, bed, a, &now, &rotted);
    let posted = rotted.base + nitrogen_base + acid_base.base;
    life.books.base_posted += posted;
    bed.base += posted;
    bed.calcium += rotted.calcium;
    // Two charges of lime for each carbon dioxide.
    bed.carbonic_per_day = 2000.0 * rotted.air_carbon / CARBON_G_MOL / dt;
    let sulphur = bed.acid_to_come();
    bed.advance_near(dt, ph);
    life.salt += (sulphur - bed.acid_to_come()) * a.priors.constants.anion_ec;
    let burnt = rotted.burnt + acid_base.burnt;
    let vapour = move_water(life, bed, a, &now, &drying, burnt);
    // Worms meet the mean of what it was and is.
    let through = Size {
        moisture: f64::midpoint(
            size.moisture,
            life.moisture_felt_percent(size.dry_kg, a.priors),
        ),
        ..size
    };
    live(
        life,
        bed,
        a,
        &Now {
            size: through,
            ..now
        },
        &rotted.food,
    );
    known.sums = life.organic.sums(&a.priors.rates);
    known.near = ph;
    bed.humus_kg = life.organic.humus.organic;
    bed.food_left *= rotted.food_stays;
    let dry_kg = life.dry_with(known.sums.organic, a.priors);
    life.settle(a, dry_kg, dt);
    let after = life.store(a.priors, dry_kg);
    life.rematter(&store, &after);
    let was = after.celsius(life.heat);
    let oxygen = rotted.oxygen + acid_base.oxygen;
    move_heat(life, a, &now, &after, (oxygen, vapour));
    life.carried.pocket_heat = pocket_heat(a, &now, &rotted);
    let is = after.celsius(life.heat);
    life.pace.warming = if is > air { (is - was) / dt } else { 0.0 };
    life.age_days += dt;
    for since in [&mut life.stocked_days, &mut life.fed_days] {
        if *since >= 0.0 {
            *since += dt;
        }
    }
    life.carried.ends = now.zones;
    life.carried.air_celsius = air;
    life.carried.airless = now.airless;
    bed.dry_kg = dry_kg;
    bed.water_kg = life.water_kg;
    Told {
        zones: now.zones,
        airless: now.airless,
        dying: life.pace.dying,
    }
}

/// Grams of carbon in a mole.
const CARBON_G_MOL: f64 = 12.011;
/// Oxygen that burning acetic acid takes: two of 32 to one of 60 [kg/kg].
pub(super) const ACID_OXYGEN: f64 = 64.0 / 60.0;

/// How fast ammonium and nitrate are turned as the bed stands.
fn turning(life: &Life, bed: &PossibleBed, a: &Around<'_>, now: &Now) -> Turning {
    let (c, n) = (&a.priors.constants, a.nature);
    let celsius = f64::midpoint(now.zones.core, now.zones.edge);
    let warm = a.priors.nitrifies.at(celsius);
    let airless = life.carried.airless.bed;
    // Microbes live in the bed; ammonia goes off where its water is open to the air.
    let (open, ph) = (now.ph, in_place::ph(life, bed, a.priors, now.ph, airless));
    let air = 1.0 - airless;
    let free = |ph| free_ammonia_fraction(Celsius(celsius.clamp(0.0, 60.0)), ph);
    let dry = now.size.dry_kg;
    let ammonia = life.ammonium * free(ph) / c.mol_per_kg * 1e6 / dry.max(1e-6);
    let salt = salt::ec_at(life, a.priors, open, dry);
    Turning {
        nitrify: n.nitrify
            * nitrogen::nitrifier_harm(ammonia / c.nitrify_ammonia, salt / c.nitrify_salt)
            * warm
            * air
            * nitrogen::nitrifier_ph(ph, c.nitrify_stops, c.nitrify_full),
        volatilise: n.volatilise * free(open) * n.lid_air,
        denitrify: n.denitrify * warm * (1.0 - air + n.denitrify_with_air * air),
    }
}

/// Nitrification, ammonia going off, nitrate lost, both taken up, while ammonium
/// of what rotted and of worms comes; gives the base of it [mol_c].
fn turn_nitrogen(
    life: &mut Life,
    a: &Around<'_>,
    turning: &Turning,
    rotted: &Rotted,
    dt: f64,
) -> f64 {
    let c = &a.priors.constants;
    let freed = rotted.freed.max(0.0);
    let foreseen = life.foreseen(dt);
    life.excreted -= foreseen;
    let besides = Besides {
        comes: freed + foreseen,
        taken: (-rotted.freed).max(0.0),
        reach: rotted.reach,
        uptake: c.nitrogen_taken_up,
    };
    let turned = nitrogen::turn(&mut life.ammonium, &mut life.nitrate, &besides, turning, dt);
    life.books.nitrogen_air += (turned.volatilised + turned.denitrified) / c.mol_per_kg;
    freed + turned.base()
}

/// Water: made, evaporated, drained. Gives what evaporated [kg].
fn move_water(
    life: &mut Life,
    bed: &mut PossibleBed,
    a: &Around<'_>,
    now: &Now,
    drying: &Drying,
    burnt: f64,
) -> f64 {
    let (dry_kg, dt) = (now.size.dry_kg, now.dt);
    let made = burnt * a.priors.constants.water_per_vs;
    life.water_kg += made;
    life.books.water_made += made;
    let counts = life.dry_felt_kg(dry_kg, a.priors);
    let vapour = dried(life.water_kg, counts, &now.zones, drying, dt);
    life.water_kg -= vapour;
    life.pace.drying = vapour / dt / (life.water_kg + vapour).max(1e-9);
    life.books.evaporated += vapour;
    drain(life, bed, a, (dry_kg, now.ph), dt);
    vapour
}

/// Carries the warmth of the bed on, `oxygen` used and `vapour` given off [kg].
fn move_heat(
    life: &mut Life,
    a: &Around<'_>,
    now: &Now,
    store: &Store,
    (oxygen, vapour): (f64, f64),
) {
    let (c, dt) = (&a.priors.constants, now.dt);
    let celsius = store.celsius(life.heat);
    let worms = c.worm_watts * now.size.worms_kg * a.priors.worms_warm.at(celsius) * 86.4 * dt;
    let made = oxygen * 1000.0 * c.heat_per_oxygen + worms;
    let ice = if celsius < 0.0 { c.melt } else { 0.0 };
    let taken = vapour * (c.evaporate + ice);
    let passing = passing(a, &now.size);
    let x = Exchange {
        made: (made - taken) / dt,
        passing,
        air: now.air,
    };
    let (heat, mean) = heat::carry(store, life.heat, &x, dt);
    life.books.heat_made += made;
    life.books.heat_vapour += taken;
    life.books.heat_passed += passing * (mean - now.air) * dt;
    life.heat = heat;
    life.carried.watts = made / dt / 86.4;
}

/// Heat made in the pocket of what would rot there a day at 20 °C, were it at
/// 20 °C [W d/kg].
fn pocket_heat(a: &Around<'_>, now: &Now, rotted: &Rotted) -> f64 {
    // Less than this is none.
    const LEAST_WARM: f64 = 0.01;
    if now.size.eased <= 0.0 || now.warm.pocket < LEAST_WARM {
        return 0.0;
    }
    let c = &a.priors.constants;
    let kj = rotted.pocket_burnt * c.oxygen_per_vs * 1000.0 * c.heat_per_oxygen;
    kj / now.dt / 86.4 / now.size.eased / now.warm.pocket
}
