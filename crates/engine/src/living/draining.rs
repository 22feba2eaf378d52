//! Liquid that leaves a bin: by itself through its holes, or taken off by the
//! keeper. Only water that stands above what the bedding holds can leave, and
//! it takes along its share of what is dissolved: salts, acids and what of the
//! ammonium no site holds go as they are, each with what stands against it, and
//! bicarbonate takes its base along.

use crate::bed::possible::PossibleBed;
use crate::living::life::Life;
use crate::living::nature::Priors;
use crate::living::now::Now;
use crate::living::post;
use crate::living::step::Around;
use crate::living::water;

/// Water that stands free of the bedding, ice left out [kg].
#[must_use]
pub fn free_kg(life: &Life, a: &Around<'_>, dry_kg: f64) -> f64 {
    free_with(life, a, dry_kg, life.pores_hold(a.priors, a.nature, dry_kg))
}

/// The same where its pores hold so much [kg/kg].
fn free_with(life: &Life, a: &Around<'_>, dry_kg: f64, pores: f64) -> f64 {
    let free = life.water_kg - life.holds_with(pores, dry_kg);
    if free <= 0.0 {
        return 0.0;
    }
    let frozen = life.store(a.priors, dry_kg).ice(life.heat);
    (free * (1.0 - frozen)).max(0.0)
}

/// Liquid that leaves, and what is dissolved in it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct RunOff {
    /// Water [kg].
    pub(super) kg: f64,
    /// Nitrate [mol].
    pub(super) nitrate: f64,
    /// Ammonium [mol].
    pub(super) ammonium: f64,
    /// Acids [mol], and of them dissociated [mol].
    pub(super) acid: f64,
    pub(super) posted: f64,
    /// Share of the salts [0 to 1].
    pub(super) salts: f64,
    /// Base [mol_c].
    pub(super) base: f64,
}

/// Liquid that drains through the holes in `dt` days, the bed as it is `now`; the
/// heat of what leaves is booked by who calls.
pub(super) fn drains(life: &Life, bed: &PossibleBed, a: &Around<'_>, now: &Now, dt: f64) -> RunOff {
    if !a.home.drains {
        return RunOff::default();
    }
    let free = free_with(life, a, now.size.dry_kg, now.size.pores);
    // Most beds are drained: nothing stands free.
    if free <= 0.0 {
        return RunOff::default();
    }
    let kg = water::drained(free, a.nature.drain_days, dt);
    run_off(life, bed, a.priors, (kg, now.ph))
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
    let gone = run_off(life, bed, a.priors, (taken, ph));
    post::run_off(life, bed, a.priors, &gone);
    bed.water_kg = life.water_kg;
    let after = life.store(a.priors, dry_kg);
    life.rematter(&before, &after);
    taken
}

/// So much liquid with what is dissolved in it [kg], the bed at `ph`.
fn run_off(life: &Life, bed: &PossibleBed, p: &Priors, (kg, ph): (f64, f64)) -> RunOff {
    if kg <= 0.0 {
        return RunOff::default();
    }
    let share = kg / life.water_kg;
    RunOff {
        kg,
        nitrate: life.nitrate * share,
        ammonium: life.ammonium * (share * p.constants.ammonium_dissolved),
        acid: life.acid_bed * share,
        posted: life.acid_posted * share,
        salts: share,
        base: kg * bed.water.base_at(ph),
    }
}
