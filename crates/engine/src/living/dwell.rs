//! Worms in the bin: what they meet where they sit, what they eat, and what
//! their growth and death take from the bed and give back to it.

use crate::bed::possible::PossibleBed;
use crate::living::breath;
use crate::living::habitat::{AT_HOME_DAYS, Habitat, as_in_soil};
use crate::living::in_place;
use crate::living::life::Life;
use crate::living::nature::{Constants, Priors};
use crate::living::now::Now;
use crate::living::rot::{Kind, Matter, gone};
use crate::living::salt;
use crate::living::souring::pocket_ph_of;
use crate::living::species::Vital;
use crate::living::step::Around;
use crate::living::tolerance::Felt;
use crate::living::walls;
use crate::living::worms::{Change, Worms};

/// Worms: what they meet, what they eat, and how they fare.
/// `food` fell apart in this part, or died.
pub(super) fn live(
    life: &mut Life,
    bed: &mut PossibleBed,
    a: &Around<'_>,
    now: &Now,
    food: &Matter,
) {
    let (size, dt) = (&now.size, now.dt);
    if life.seen_kg > 0.0 {
        fade(life, a, now);
    }
    if life.worms.number() <= 0.0 && life.worms.cocoon_count() <= 0.0 {
        life.pace.dying = 0.0;
        life.pace.leaving = 0.0;
        excreted(life, 0.0, dt);
        return;
    }
    let (p, n) = (a.priors, a.nature);
    let mut habitat = habitat(life, bed, a, now);
    let felt = Felt::of(a.vital, &habitat);
    let appetite = life.worms.appetite(a.vital, &felt) / 1000.0;
    let supply = p.constants.food_of_decay * food.organic / dt;
    habitat.food_supply = supply / appetite.max(1e-9);
    habitat.food_nitrogen = food.nitrogen / food.organic.max(1e-12);
    let found = Worms::found_over_maintenance(a.vital, &habitat, &felt);
    let respired = respired(life.worms.grams(), found, a, habitat.celsius) * dt;
    let change = life
        .worms
        .advance_feeling(a.vital, (&habitat, &felt), a.home.escape, dt);
    life.carried.appetite_kg = appetite;
    life.pace.urge_rise = (change.urge_to_leave - life.carried.urge) / dt;
    life.carried.urge = change.urge_to_leave;
    life.pace.dying = change.dying_per_day;
    life.pace.leaving = change.left / dt / (life.worms.number() + change.left).max(1e-9);
    life.books.worms_left += change.left;
    life.books.worms_died += change.died;
    let x = n.turnover * appetite * dt / size.dry_kg.max(1e-9);
    life.worked += (1.0 - life.worked) * gone(x);
    let freed = tissue(life, p, &change) + respire(life, p, respired);
    excreted(life, freed, dt);
    life.books.base_posted += freed;
    bed.base += freed;
}

/// Puts right what was foreseen of the ammonium of worms, who gave off `mol` in
/// `dt` days.
fn excreted(life: &mut Life, mol: f64, dt: f64) {
    life.carried.excretes = mol / dt;
    let more = life.excreted.max(-life.ammonium);
    life.ammonium += more;
    life.excreted -= more;
}

/// Posts what worms gained, lost and left behind; gives the base of the
/// ammonium they set free [mol_c].
fn tissue(life: &mut Life, p: &Priors, change: &Change) -> f64 {
    let c = &p.constants;
    let dry = |grams: f64| grams / 1000.0 * c.worm_dry;
    let wet = |grams: f64| grams / 1000.0 * (1.0 - c.worm_dry);
    let left = body(c, dry(change.left_g));
    life.books.organic_out += left.organic;
    life.books.carbon_out += left.carbon;
    life.books.nitrogen_out += left.nitrogen;
    life.books.water_out += wet(change.left_g);
    // The dead rot as rich food, and their water stays.
    let dead = body(c, dry(change.died_g));
    life.organic.pools[Kind::Meal as usize][0].add(&dead);
    life.water_kg += wet(change.died_g);
    if change.grown_g <= 0.0 {
        life.water_kg -= wet(change.grown_g);
        let shrunk = body(c, -dry(change.grown_g));
        return give_off(life, p, &shrunk, &Matter::default());
    }
    grow(life, p, change.grown_g)
}

/// Tissue of `kg` dry.
fn body(c: &Constants, kg: f64) -> Matter {
    Matter {
        organic: kg,
        carbon: kg * c.worm_carbon,
        nitrogen: kg * c.worm_nitrogen,
    }
}

/// Makes tissue [g] of what is eaten, and of microbes and humus where food does
/// not hold what it takes. What cannot be made for want of anything is not grown.
fn grow(life: &mut Life, p: &Priors, grams: f64) -> f64 {
    let c = &p.constants;
    let dry = grams / 1000.0 * c.worm_dry;
    let wet = grams / 1000.0 - dry;
    let wanted = body(c, dry);
    let mut from = life.organic.eat(dry * c.eaten_per_grown, c.slow_reach);
    for more in [&mut life.organic.microbes, &mut life.organic.humus] {
        let share = short(&wanted, &from, more);
        from.add(&more.take(share));
    }
    // No step takes more than half of the water.
    let done = (from.organic / wanted.organic)
        .min(from.carbon / wanted.carbon)
        .min(from.nitrogen / wanted.nitrogen)
        .min(0.5 * life.water_kg / wet)
        .clamp(0.0, 1.0);
    life.worms.thin(grams * (1.0 - done));
    life.water_kg -= wet * done;
    give_off(life, p, &from, &wanted.part(done))
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

/// What was eaten and is not tissue is burnt, and its nitrogen given off as
/// ammonium: gives the base of it [mol_c].
fn give_off(life: &mut Life, p: &Priors, eaten: &Matter, tissue: &Matter) -> f64 {
    let burnt = eaten.organic - tissue.organic;
    let water = burnt * p.constants.water_per_vs;
    life.water_kg += water;
    life.books.water_made += water;
    life.books.burnt += burnt;
    life.books.carbon_air += eaten.carbon - tissue.carbon;
    let mol = (eaten.nitrogen - tissue.nitrogen) * p.constants.mol_per_kg;
    life.excreted += mol;
    mol
}

/// What can still be told for food fades as it rots and is eaten.
fn fade(life: &mut Life, a: &Around<'_>, now: &Now) {
    let c = &a.priors.constants;
    let rots = c.seen_fades * a.nature.decay_scale * now.warm.pocket;
    let eaten = (c.seen_eaten * life.carried.appetite_kg / life.seen_kg).min(c.seen_eaten_most);
    life.seen_kg *= 1.0 - gone((rots + eaten) * now.dt);
}

/// Organic matter worms burn to live [kg/d], of `grams` on `found` times their
/// maintenance: what their oxygen burns, less where they hunger. Their warmth is
/// that of their mass ([`crate::living::breath`]).
fn respired(grams: f64, found: f64, a: &Around<'_>, celsius: f64) -> f64 {
    let oxygen = breath::oxygen_g_per_kg_day(a.vital, celsius) / 1000.0;
    oxygen * grams / 1000.0 * found.min(1.0) / a.priors.constants.oxygen_per_vs
}

/// Burns `kg` of what worms live on; gives the base of the ammonium set free
/// [mol_c].
fn respire(life: &mut Life, p: &Priors, kg: f64) -> f64 {
    let eaten = life.organic.eat(kg, p.constants.slow_reach);
    give_off(life, p, &eaten, &Matter::default())
}

/// What worms meet where they sit: the bed above standing liquid and outside the
/// pocket of food, unless that is most of the bin.
fn habitat(life: &Life, bed: &PossibleBed, a: &Around<'_>, now: &Now) -> Habitat {
    let (size, z, c) = (&now.size, &now.zones, &a.priors.constants);
    let ph = bed.ph_with_near(0.0, now.ph);
    let dry = size.dry_kg.max(1e-6);
    let above = 1.0 - size.flooded;
    let pocket = life.organic.pocket();
    let over = pocket * c.pocket_litres / size.litres.max(1e-6) - c.pocket_met_from;
    let crowd = over.clamp(0.0, c.pocket_met_width) / c.pocket_met_width;
    let met = ph.min(ph + crowd * (pocket_ph_of(life, a, pocket, ph) - ph));
    let fall = ph - in_place::ph(life, bed, a.priors, ph, now.airless.bed);
    Habitat {
        celsius: z.refuge + crowd * (z.hot - z.refuge),
        moisture_percent: kind_moisture(a.vital, size.moisture),
        air_filled: size.air_filled * (above / c.crowded_out).min(1.0),
        airless: now.airless.above,
        ph: met - fall,
        ammonia_mg_per_g: as_in_soil(life.ammonium, life.water_kg, a.vital.soil_water_l_per_kg),
        ec_ms_per_cm: as_table_salt(life, a, ph, size.dry_kg),
        sour_meq_per_kg: 1000.0 * (life.acid_bed + crowd * life.acid_pocket) / dry,
        // Both follow from what they feel here; see [`live`].
        food_supply: 0.0,
        food_nitrogen: 0.0,
        litres: size.litres * above.max(c.crowded_out),
        floor_m2: Some(a.home.floor_m2),
        food_quality: food_quality(life, a),
        // Worms hatched here are at home.
        settled_days: if life.stocked_days < 0.0 {
            AT_HOME_DAYS
        } else {
            life.stocked_days
        },
        film: a.home.film * walls::film(a.vital, size.moisture),
        film_stale: 1.0 - a.nature.lid_air,
    }
}

/// Quality of what the worms live in [-]. That of manure is known better than
/// that of other food: worms grew to much the same mass in all kinds of it, while
/// their numbers in other wastes lie fortyfold apart (Durán and Henríquez 2009).
fn food_quality(life: &Life, a: &Around<'_>) -> f64 {
    let of = |pools: &[Matter]| pools.iter().map(|p| p.organic).sum::<f64>();
    let all: f64 = life.organic.pools.iter().map(|p| of(p)).sum();
    let manure = of(&life.organic.pools[Kind::Manure as usize]) / all.max(1e-12);
    let (quality, usual) = (a.nature.food_quality, a.vital.solo_quality);
    let known = a.priors.constants.manure_known * manure;
    usual * (quality / usual).powf(1.0 - known)
}

/// Conductivity of the table salt that would be as hard on worms as the salts of
/// the bed, 1:5 extract [mS/cm]: bicarbonates are milder than chlorides (Owojori et
/// al. 2014, abstract), and nitrates are taken to be.
fn as_table_salt(life: &Life, a: &Around<'_>, ph: f64, dry_kg: f64) -> f64 {
    let all = salt::ec_at(life, a.priors, ph, dry_kg);
    let acids = life.salt_of_acids + life.acid_posted.max(0.0) * a.priors.constants.anion_ec;
    let harsh = ((life.salt + acids) / dry_kg.max(1e-6)).clamp(0.0, all);
    harsh + a.vital.salt_mild_share * (all - harsh)
}

/// Worms sit higher in wet bedding and lower or in the wetter clumps in dry: as
/// much as two points drier and six wetter than the mean, toward 75 % (bedding
/// lies three points either way from place to place, and worms choose).
fn kind_moisture(v: &Vital, mean: f64) -> f64 {
    mean + (v.kindest_moisture_percent - mean).clamp(-v.drier_reach_percent, v.wetter_reach_percent)
}
