//! One step of the whole bin, in parts. Every flow of a part is worked out by its
//! own process, which is given the bin and writes nothing to it; [`post`] moves it,
//! once, from one pool to another.

use crate::bed::possible::PossibleBed;
use crate::living::draining::drains;
use crate::living::drying::{Drying, dried};
use crate::living::dwell::{lived, still_seen};
use crate::living::home::Home;
use crate::living::ledger::Ledger;
use crate::living::life::{Life, Told};
use crate::living::nature::{Nature, Priors};
use crate::living::nitrogen::{self, within_reach};
use crate::living::now::{Now, Size};
use crate::living::pace::{Through, parts, parts_from_now};
use crate::living::post;
use crate::living::profile::{pocket_heat, profile, warmed};
use crate::living::rot::{Matter, Sums};
use crate::living::rotting::{Goes, rotted};
use crate::living::souring::{acids, pocket_ph_of};
use crate::living::species::Vital;
use crate::living::tissue;

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
    post::profile(life, &profile);
    let ph = bed.ph_with_near(0.0, known.near);
    let now = Now::of((life, a), size, profile.zones, (air, ph), dt);
    let burnt = turn_over(life, bed, a, &now);
    let vapour = move_water(life, bed, a, &now, &drying, burnt.kg);
    // Worms meet the mean of what it was and is.
    let moisture = life.moisture_felt_percent(size.dry_kg, a.priors);
    let through = Size {
        moisture: f64::midpoint(size.moisture, moisture),
        ..size
    };
    let met = Now {
        size: through,
        ..now
    };
    dwell(life, bed, a, &met, &burnt.food);
    known.sums = life.organic.sums(&a.priors.rates);
    known.near = ph;
    let dry_kg = life.dry_with(known.sums.organic, a.priors);
    let settled = life.settled(a, dry_kg, dt);
    post::settled(life, &settled);
    let after = life.store(a.priors, dry_kg);
    life.rematter(&store, &after);
    let warmed = warmed(life, a, &now, &after, (burnt.oxygen, vapour));
    post::warmth(life, &warmed, dt);
    let pocket_heat = pocket_heat(a, &now, burnt.pocket_kg);
    post::end(life, bed, &now, (dry_kg, burnt.food_stays, pocket_heat));
    Told {
        zones: now.zones,
        airless: now.airless,
        dying: life.pace.dying,
        driven: life.pace.driven,
    }
}

/// Oxygen that burning acetic acid takes: two of 32 to one of 60 [kg/kg].
pub(super) const ACID_OXYGEN: f64 = 64.0 / 60.0;

/// What burnt in a part, and what fell apart for worms to eat.
#[derive(Debug, Clone, Copy)]
struct Burnt {
    /// Matter and acids [kg].
    kg: f64,
    /// Of the matter, what lay in the pocket [kg].
    pocket_kg: f64,
    /// Oxygen it took [kg].
    oxygen: f64,
    food: Matter,
    /// Share of the food in the bed that is still there [0 to 1].
    food_stays: f64,
}

/// Decay, nitrogen and acids, all told from the bed as the part begins and posted
/// together.
fn turn_over(life: &mut Life, bed: &mut PossibleBed, a: &Around<'_>, now: &Now) -> Burnt {
    let (c, dt) = (&a.priors.constants, now.dt);
    let rates = nitrogen::rates(life, bed, a, now);
    let foreseen = life.foreseen(dt);
    let pools = (life.ammonium, life.nitrate);
    let reach = within_reach(pools, foreseen, &rates, c.nitrogen_taken_up, dt);
    let sour = pocket_ph_of(life, a, now.size.sums.pocket, now.ph);
    let mut goes = Goes::default();
    let rotted = rotted(life, a, now, (sour, reach), &mut goes);
    let freed = rotted.burnt.nitrogen * c.mol_per_kg;
    let turned = nitrogen::turned(life, a, &rates, (freed, reach, foreseen), dt);
    let soured = acids(life, bed, a, now, &rotted);

    let base =
        rotted.cations + (freed.max(0.0) + turned.base()) + (life.acid_posted - soured.posted);
    post::rotted(life, bed, (&rotted, &goes), dt);
    post::nitrogen(life, c, &turned, foreseen);
    post::acids(life, c, &soured);
    post::base(life, bed, base);
    let sulphur = bed.acid_to_come();
    bed.advance_near(dt, now.ph);
    post::sulphate(life, c, sulphur - bed.acid_to_come());
    let acid = soured.burnt * c.acid_mass;
    Burnt {
        kg: rotted.burnt.organic + acid,
        pocket_kg: rotted.pocket_burnt,
        oxygen: rotted.burnt.organic * c.oxygen_per_vs + acid * ACID_OXYGEN,
        food: rotted.food,
        food_stays: rotted.food_stays,
    }
}

/// Water: made by what `burnt` [kg], evaporated, drained. Gives what evaporated
/// [kg].
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
    let counts = life.dry_felt_kg(dry_kg, a.priors);
    let vapour = dried(life.water_kg + made, counts, &now.zones, drying, dt);
    post::vapour(life, (made, vapour), dt);
    let gone = drains(life, bed, a, now, dt);
    post::run_off(life, bed, a.priors, &gone);
    vapour
}

/// Worms: how they fare, what their growth and their life take from the bed, one
/// after the other, and what they give back.
fn dwell(life: &mut Life, bed: &mut PossibleBed, a: &Around<'_>, now: &Now, food: &Matter) {
    let (p, c, dt) = (a.priors, &a.priors.constants, now.dt);
    life.seen_kg *= still_seen(life, a, now);
    let Some(lived) = lived(life, bed, a, now, food) else {
        post::deserted(life);
        return post::excreted(life, 0.0, dt);
    };
    post::lived(life, c, &lived, dt);
    let grown = tissue::grown(life, p, lived.change.grown_g);
    post::taken(life, c, &grown);
    let respired = tissue::respired(life, p, lived.respired_kg);
    post::taken(life, c, &respired);
    let freed = grown.ammonium(c) + respired.ammonium(c);
    post::excreted(life, freed, dt);
    post::base(life, bed, freed);
}
