//! Worms in the bin: what they meet where they sit, how they fare there, and what
//! they eat.

use crate::bed::possible::PossibleBed;
use crate::living::breath;
use crate::living::habitat::{AT_HOME_DAYS, Habitat, as_in_soil};
use crate::living::in_place;
use crate::living::life::Life;
use crate::living::now::Now;
use crate::living::rot::{Kind, Matter, gone};
use crate::living::salt;
use crate::living::souring::pocket_ph_of;
use crate::living::species::Vital;
use crate::living::step::Around;
use crate::living::tolerance::Felt;
use crate::living::walls;
use crate::living::worms::{Change, Worms};

/// How worms fared through a part.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lived {
    /// The worms at the end, had they all that growth takes
    /// ([`crate::living::tissue`]).
    pub(super) worms: Worms,
    /// What came over them.
    pub(super) change: Change,
    /// What they would eat, dry [kg/d].
    pub(super) appetite_kg: f64,
    /// Organic matter they burn to live [kg].
    pub(super) respired_kg: f64,
    /// Castings as a share of dry matter at the end [0 to 1].
    pub(super) worked: f64,
}

/// How worms fare through a part in which `food` fell apart, or died; `None` where
/// there are none.
pub(super) fn lived(
    life: &Life,
    bed: &PossibleBed,
    a: &Around<'_>,
    now: &Now,
    food: &Matter,
) -> Option<Lived> {
    let mut worms = life.worms;
    if worms.number() <= 0.0 && worms.cocoon_count() <= 0.0 {
        return None;
    }
    let (c, dt) = (&a.priors.constants, now.dt);
    let mut habitat = habitat(life, bed, a, now);
    let felt = Felt::of(a.vital, &habitat);
    let appetite_kg = worms.appetite(a.vital, &felt) / 1000.0;
    let supply = c.food_of_decay * food.organic / dt;
    habitat.food_supply = supply / appetite_kg.max(1e-9);
    habitat.food_nitrogen = food.nitrogen / food.organic.max(1e-12);
    let found = Worms::found_over_maintenance(a.vital, &habitat, &felt);
    let respired_kg = respired(worms.grams(), found, a, habitat.celsius) * dt;
    let change = worms.advance_feeling(a.vital, (&habitat, &felt), a.home.escape, dt);
    let x = a.nature.turnover * appetite_kg * dt / now.size.dry_kg.max(1e-9);
    Some(Lived {
        worms,
        change,
        appetite_kg,
        respired_kg,
        worked: life.worked + (1.0 - life.worked) * gone(x),
    })
}

/// Share of what can still be told for food that can at the end of a part: it fades
/// as it rots and is eaten [0 to 1].
pub(super) fn still_seen(life: &Life, a: &Around<'_>, now: &Now) -> f64 {
    if life.seen_kg <= 0.0 {
        return 1.0;
    }
    let c = &a.priors.constants;
    let rots = c.seen_fades * a.nature.decay_scale * now.warm.pocket;
    let eaten = (c.seen_eaten * life.carried.appetite_kg / life.seen_kg).min(c.seen_eaten_most);
    1.0 - gone((rots + eaten) * life.seen_pace * now.dt)
}

/// Organic matter worms burn to live [kg/d], of `grams` on `found` times their
/// maintenance: what their oxygen burns, less where they hunger. Their warmth is
/// that of their mass ([`crate::living::breath`]).
fn respired(grams: f64, found: f64, a: &Around<'_>, celsius: f64) -> f64 {
    let oxygen = breath::oxygen_g_per_kg_day(a.vital, celsius) / 1000.0;
    oxygen * grams / 1000.0 * found.min(1.0) / a.priors.constants.oxygen_per_vs
}

/// What worms meet where they sit: the bed above standing liquid and outside the
/// pocket of food, unless that is most of the bin.
pub(super) fn habitat(life: &Life, bed: &PossibleBed, a: &Around<'_>, now: &Now) -> Habitat {
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
        // Both follow from what they feel here; see [`lived`].
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
    if known == 0.0 {
        // To the first power.
        return usual * (quality / usual);
    }
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
