//! Where flows are posted: each process gives what it would move, and only here is
//! it moved, from one pool to another or into the books. What a process solved as
//! a whole, two pools in a row or the warmth of the bed, is set to what it is then.

use crate::bed::possible::PossibleBed;
use crate::living::draining::RunOff;
use crate::living::dwell::Lived;
use crate::living::life::{Life, Settled};
use crate::living::nature::{Constants, Priors};
use crate::living::nitrogen::Turned;
use crate::living::now::Now;
use crate::living::profile::{Profile, Warmed};
use crate::living::rot::Kind;
use crate::living::rotting::{Goes, Rotted};
use crate::living::souring::Soured;
use crate::living::tissue::{self, Taken};

/// Grams of carbon in a mole.
const CARBON_G_MOL: f64 = 12.011;

/// Core and pocket as they are at the end of the part.
pub(super) fn profile(life: &mut Life, profile: &Profile) {
    life.carried.core_excess = profile.core_excess;
    life.carried.pocket_rise = profile.pocket_rise;
}

/// What rotted in `dt` days: out of the pools, into microbes, humus and air.
pub(super) fn rotted(
    life: &mut Life,
    bed: &mut PossibleBed,
    (rotted, goes): (&Rotted, &Goes),
    dt: f64,
) {
    let pools = life.organic.pools.iter_mut().flatten();
    for (pool, share) in pools.zip(goes.iter().flatten()) {
        if *share > 0.0 {
            pool.take(*share);
        }
    }
    life.organic.humus.take(rotted.humus_goes);
    life.organic.microbes.add(&rotted.microbes);
    life.organic.humus.add(&rotted.humus);
    for with_labile in [
        &mut life.alkali,
        &mut life.salt_of_acids,
        &mut life.cell_water_kg,
        &mut life.fresh_litres,
    ] {
        *with_labile *= rotted.labile_stays;
    }
    life.books.burnt += rotted.burnt.organic;
    life.books.carbon_air += rotted.burnt.carbon;
    life.books.cations += rotted.cations;
    life.carried.nitrogen = rotted.nitrogen;
    bed.calcium += rotted.calcium;
    // Two charges of lime for each carbon dioxide.
    bed.carbonic_per_day = 2000.0 * rotted.burnt.carbon / CARBON_G_MOL / dt;
}

/// Ammonium and nitrate as they were turned, so much ammonium of worms, which was
/// foreseen, among it [mol].
pub(super) fn nitrogen(life: &mut Life, c: &Constants, turned: &Turned, foreseen: f64) {
    life.excreted -= foreseen;
    life.ammonium = turned.ammonium;
    life.nitrate = turned.nitrate;
    life.books.nitrogen_air += (turned.volatilised + turned.denitrified) / c.mol_per_kg;
}

/// Acids as they were made, burnt and moved.
pub(super) fn acids(life: &mut Life, c: &Constants, soured: &Soured) {
    life.acid_pocket = soured.pocket;
    life.acid_bed = soured.bed;
    life.acid_posted = soured.posted;
    life.books.burnt += soured.burnt * c.acid_mass;
    life.books.carbon_air += soured.burnt * c.acid_carbon;
}

/// Base that comes to the bed [mol_c].
pub(super) fn base(life: &mut Life, bed: &mut PossibleBed, base: f64) {
    life.books.base_posted += base;
    bed.base += base;
}

/// Sulphate that became acid in the bed [mol_c].
pub(super) fn sulphate(life: &mut Life, c: &Constants, charge: f64) {
    life.salt += charge * c.anion_ec;
}

/// Water made by what burns, and vapour given off [kg] in `dt` days.
pub(super) fn vapour(life: &mut Life, (made, vapour): (f64, f64), dt: f64) {
    life.water_kg += made;
    life.books.water_made += made;
    life.water_kg -= vapour;
    life.books.evaporated += vapour;
    life.pace.drying = vapour / dt / (life.water_kg + vapour).max(1e-9);
}

/// Liquid that left, with what is dissolved in it. Its heat is booked by who calls.
pub(super) fn run_off(life: &mut Life, bed: &mut PossibleBed, p: &Priors, gone: &RunOff) {
    let c = &p.constants;
    life.nitrate -= gone.nitrate;
    life.ammonium -= gone.ammonium;
    life.acid_bed -= gone.acid;
    life.acid_posted -= gone.posted;
    for salt in [&mut life.salt, &mut life.salt_of_acids, &mut life.alkali] {
        *salt -= *salt * gone.salts;
    }
    base(life, bed, -gone.base);
    life.books.nitrogen_out += (gone.nitrate + gone.ammonium) / c.mol_per_kg;
    life.books.organic_out += gone.acid * c.acid_mass;
    life.books.carbon_out += gone.acid * c.acid_carbon;
    // What leaves with ions against it leaves neither acid nor base.
    life.books.ions_out += gone.ammonium - gone.nitrate - gone.posted - gone.base;
    life.water_kg -= gone.kg;
    life.books.water_out += gone.kg;
}

/// How worms fared. The dead rot as rich food, and their water stays.
pub(super) fn lived(life: &mut Life, c: &Constants, lived: &Lived, dt: f64) {
    let change = &lived.change;
    life.worms = lived.worms;
    life.worked = lived.worked;
    life.pace.urge_rise = (change.urge_to_leave - life.carried.urge) / dt;
    life.pace.dying = change.dying_per_day;
    life.pace.driven = change.driven;
    life.pace.leaving = change.left / dt / (life.worms.number() + change.left).max(1e-9);
    life.carried.appetite_kg = lived.appetite_kg;
    life.carried.urge = change.urge_to_leave;
    life.books.worms_left += change.left;
    life.books.worms_died += change.died;
    let left = tissue::body(c, tissue::dry(c, change.left_g));
    life.books.organic_out += left.organic;
    life.books.carbon_out += left.carbon;
    life.books.nitrogen_out += left.nitrogen;
    life.books.water_out += tissue::wet(c, change.left_g);
    let dead = tissue::body(c, tissue::dry(c, change.died_g));
    life.organic.pools[Kind::Meal as usize][0].add(&dead);
    life.water_kg += tissue::wet(c, change.died_g);
}

/// No worms are there to die or leave.
pub(super) fn deserted(life: &mut Life) {
    life.pace.dying = 0.0;
    life.pace.leaving = 0.0;
}

/// What worms took from the bed and gave back to it, but for the base of their
/// ammonium.
pub(super) fn taken(life: &mut Life, c: &Constants, taken: &Taken) {
    life.organic.take_bite(&taken.bite);
    life.organic.microbes.take(taken.microbes);
    life.organic.humus.take(taken.humus);
    life.worms.thin(taken.not_grown_g);
    life.water_kg -= taken.water;
    let water = taken.burnt.organic * c.water_per_vs;
    life.water_kg += water;
    life.books.water_made += water;
    life.books.burnt += taken.burnt.organic;
    life.books.carbon_air += taken.burnt.carbon;
    life.excreted += taken.ammonium(c);
}

/// Puts right what was foreseen of the ammonium of worms, who gave off `mol` in
/// `dt` days.
pub(super) fn excreted(life: &mut Life, mol: f64, dt: f64) {
    life.carried.excretes = mol / dt;
    let more = life.excreted.max(-life.ammonium);
    life.ammonium += more;
    life.excreted -= more;
}

/// Warmth of the bed at the end of a part of `dt` days.
pub(super) fn warmth(life: &mut Life, warmed: &Warmed, dt: f64) {
    life.heat = warmed.heat;
    life.books.heat_made += warmed.made;
    life.books.heat_vapour += warmed.taken;
    life.books.heat_passed += warmed.passed;
    life.carried.watts = warmed.made / dt / 86.4;
    life.pace.warming = warmed.warming;
}

/// How the bed has settled.
pub(super) fn settled(life: &mut Life, settled: &Settled) {
    life.raw.soaked = settled.soaked;
    life.load_kpa = settled.load_kpa;
    life.settling = settled.settling;
}

/// The end of a part: days gone by, where it left off, and what the bed's acid and
/// base need to know of its matter, of which there is so much [kg dry]; of the food
/// that came before so large a share `stays` [0 to 1].
pub(super) fn end(
    life: &mut Life,
    bed: &mut PossibleBed,
    now: &Now,
    (dry_kg, stays, pocket_heat): (f64, f64, f64),
) {
    life.age_days += now.dt;
    for since in [&mut life.stocked_days, &mut life.fed_days] {
        if *since >= 0.0 {
            *since += now.dt;
        }
    }
    life.carried.ends = now.zones;
    life.carried.air_celsius = now.air;
    life.carried.airless = now.airless;
    life.carried.pocket_heat = pocket_heat;
    bed.humus_kg = life.organic.humus.organic;
    bed.food_left *= stays;
    bed.dry_kg = dry_kg;
    bed.water_kg = life.water_kg;
}
