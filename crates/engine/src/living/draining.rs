//! Liquid that leaves a bin: by itself through its holes, or taken off by the
//! keeper. Only water that stands above what the bedding holds can leave, and
//! it takes along its share of what is dissolved: salts, acids and what of the
//! ammonium no site holds go as they are, each with what stands against it, and
//! bicarbonate takes its base along.

use crate::bed::possible::PossibleBed;
use crate::living::life::Life;
use crate::living::nature::Priors;
use crate::living::step::Around;
use crate::living::water;

/// Water that stands free of the bedding, ice left out [kg].
#[must_use]
pub fn free_kg(life: &Life, a: &Around<'_>, dry_kg: f64) -> f64 {
    let free = life.water_kg - life.holds_kg(a.priors, a.nature, dry_kg);
    let frozen = life.store(a.priors, dry_kg).ice(life.heat);
    (free * (1.0 - frozen)).max(0.0)
}

/// Lets liquid drain through the holes for `dt` days; the heat of what leaves
/// is booked by who calls.
pub(super) fn drain(
    life: &mut Life,
    bed: &mut PossibleBed,
    a: &Around<'_>,
    (dry_kg, ph): (f64, f64),
    dt: f64,
) {
    if a.home.drains {
        let free = free_kg(life, a, dry_kg);
        // Most beds are drained: nothing stands free.
        if free > 0.0 {
            let kg = water::drained(free, a.nature.drain_days, dt);
            run_off(life, bed, a.priors, (kg, ph));
        }
    }
}

/// The keeper takes `kg` of liquid off [kg]; gives how much leaves the bin
/// [kg].
///
/// From a bin with holes it is what drained through them before and has been
/// booked then: nothing leaves. Of a sealed bin no more leaves than stands
/// free.
pub fn take_off(life: &mut Life, bed: &mut PossibleBed, a: &Around<'_>, kg: f64) -> f64 {
    if a.home.drains {
        return 0.0;
    }
    let dry_kg = life.dry_kg(a.priors);
    let taken = kg.clamp(0.0, free_kg(life, a, dry_kg));
    let before = life.store(a.priors, dry_kg);
    life.water_moves(taken);
    let ph = bed.ph();
    run_off(life, bed, a.priors, (taken, ph));
    bed.water_kg = life.water_kg;
    let after = life.store(a.priors, dry_kg);
    life.rematter(&before, &after);
    taken
}

/// Books `kg` of liquid as gone with what is dissolved in it [kg], the bed at `ph`.
fn run_off(life: &mut Life, bed: &mut PossibleBed, p: &Priors, (kg, ph): (f64, f64)) {
    if kg <= 0.0 {
        return;
    }
    let c = &p.constants;
    let share = kg / life.water_kg;
    let gone = |pool: &mut f64, share: f64| {
        let out = *pool * share;
        *pool -= out;
        out
    };
    let nitrate = gone(&mut life.nitrate, share);
    let ammonium = gone(&mut life.ammonium, share * c.ammonium_dissolved);
    let acid = gone(&mut life.acid_bed, share);
    let posted = gone(&mut life.acid_posted, share);
    for pool in [&mut life.salt, &mut life.salt_of_acids, &mut life.alkali] {
        gone(pool, share);
    }
    let base = kg * bed.water.base_at(ph);
    bed.base -= base;
    life.books.base_posted -= base;
    life.books.nitrogen_out += (nitrate + ammonium) / c.mol_per_kg;
    life.books.organic_out += acid * c.acid_mass;
    life.books.carbon_out += acid * c.acid_carbon;
    // What leaves with ions against it leaves neither acid nor base.
    life.books.ions_out += ammonium - nitrate - posted - base;
    life.water_kg -= kg;
    life.books.water_out += kg;
}
