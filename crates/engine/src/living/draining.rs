//! Liquid that leaves a bin: by itself through its holes, or taken off by the
//! keeper. Only water that stands above what the bedding holds can leave, and
//! it takes along its share of what is dissolved.

use crate::living::life::Life;
use crate::living::nature::Priors;
use crate::living::step::Around;
use crate::living::water;

/// Water that stands free of the bedding, ice left out [kg].
#[must_use]
pub fn free_kg(life: &Life, a: &Around<'_>, dry_kg: f64) -> f64 {
    let free = life.water_kg - life.holds_kg(a.nature, dry_kg);
    let frozen = life.store(a.priors, dry_kg).ice(life.heat);
    (free * (1.0 - frozen)).max(0.0)
}

/// Lets liquid drain through the holes for `dt` days; the heat of what leaves
/// is booked by who calls.
pub(super) fn drain(life: &mut Life, a: &Around<'_>, dry_kg: f64, dt: f64) {
    if a.home.drains {
        let free = free_kg(life, a, dry_kg);
        // Most beds are drained: nothing stands free.
        if free > 0.0 {
            run_off(
                life,
                a.priors,
                water::drained(free, a.nature.drain_days, dt),
            );
        }
    }
}

/// The keeper takes `kg` of liquid off [kg]; gives how much leaves the bin
/// [kg].
///
/// From a bin with holes it is what drained through them before and has been
/// booked then: nothing leaves. Of a sealed bin no more leaves than stands
/// free.
pub fn take_off(life: &mut Life, a: &Around<'_>, kg: f64) -> f64 {
    if a.home.drains {
        return 0.0;
    }
    let dry_kg = life.dry_kg(a.priors);
    let taken = kg.clamp(0.0, free_kg(life, a, dry_kg));
    let before = life.store(a.priors, dry_kg);
    life.water_moves(taken);
    run_off(life, a.priors, taken);
    let after = life.store(a.priors, dry_kg);
    life.rematter(&before, &after);
    taken
}

/// Books `kg` of liquid as gone with what is dissolved in it [kg].
fn run_off(life: &mut Life, p: &Priors, kg: f64) {
    if kg <= 0.0 {
        return;
    }
    let share = kg / life.water_kg;
    let nitrate = life.nitrate * share;
    life.nitrate -= nitrate;
    life.salt *= 1.0 - share;
    life.salt_of_acids *= 1.0 - share;
    life.books.nitrogen_out += nitrate / p.constants.mol_per_kg;
    // Nitrate leaves with the cations that stood against it: no acid is left.
    life.books.ions_out -= nitrate;
    life.water_kg -= kg;
    life.books.water_out += kg;
}
