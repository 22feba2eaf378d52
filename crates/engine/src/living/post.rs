//! Where flows are posted: each process gives what it would move, and only here is
//! it moved, from one pool to another or into the books. What a process solved as
//! a whole, two pools in a row or the warmth of the bed, is set to what it is then.

use crate::bed::possible::PossibleBed;
use crate::living::draining::RunOff;
use crate::living::life::Life;
use crate::living::nature::{Constants, Priors};
use crate::living::nitrogen::Turned;
use crate::living::profile::{Profile, Warmed};
use crate::living::rotting::Rotted;
use crate::living::souring::Soured;

/// Core and pocket as they are at the end of the part.
pub(super) fn profile(life: &mut Life, profile: &Profile) {
    life.carried.core_excess = profile.core_excess;
    life.carried.pocket_rise = profile.pocket_rise;
}

/// What rotted: out of the pools, into microbes, humus and air.
pub(super) fn rotted(life: &mut Life, rotted: &Rotted) {
    let pools = life.organic.pools.iter_mut().flatten();
    for (pool, share) in pools.zip(rotted.goes.iter().flatten()) {
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

/// Warmth of the bed at the end of a part of `dt` days.
pub(super) fn warmth(life: &mut Life, warmed: &Warmed, dt: f64) {
    life.heat = warmed.heat;
    life.books.heat_made += warmed.made;
    life.books.heat_vapour += warmed.taken;
    life.books.heat_passed += warmed.passed;
    life.carried.watts = warmed.made / dt / 86.4;
}

/// So many days gone by.
pub(super) fn days(life: &mut Life, dt: f64) {
    life.age_days += dt;
    for since in [&mut life.stocked_days, &mut life.fed_days] {
        if *since >= 0.0 {
            *since += dt;
        }
    }
}
