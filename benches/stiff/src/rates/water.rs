//! Water: made by what burns, evaporated, drained with what is dissolved in it; and
//! how a bed is wetted and settles. The engine drains and settles by an e-fold
//! through a part of a step and wets at once; here are the rates.

use super::{At, add};
use crate::state::Part;
use engine::measure::density;

/// Matter that gets wetter follows so fast [1/d]; in the engine's steps at once.
const WETS_PER_DAY: f64 = 200.0;

/// Adds what happens to the water where so much burns [kg/d].
pub fn rates(at: &At<'_>, burnt: f64, d: &mut [f64]) {
    let (c, n, life) = (&at.bin.priors.constants, &at.bin.nature, at.life);
    add(at, d, Part::Water, burnt * c.water_per_vs - at.m.vapour);
    let free = life.water_kg - at.m.holds_kg;
    if at.bin.home.drains && free > 0.0 {
        drain(at, free / n.drain_days, d);
    }
    let hastened = if at.stocked {
        c.settles_with_worms
    } else {
        1.0
    };
    let settles = (1.0 - life.settling) * hastened / life.raw.days.max(0.1);
    add(at, d, Part::Settling, settles);
    let share = life.moisture_percent(at.m.dry_kg) / 100.0;
    let wets = WETS_PER_DAY * (density::soaked(share) - life.raw.soaked).max(0.0);
    add(at, d, Part::Wetted, wets);
}

/// Liquid that leaves [kg/d], its share of what is dissolved, and the base that
/// bicarbonate and what stood against the acids take along.
fn drain(at: &At<'_>, kg: f64, d: &mut [f64]) {
    let life = at.life;
    let share = kg / life.water_kg;
    add(at, d, Part::Water, -kg);
    for part in [
        Part::Nitrate,
        Part::AcidBed,
        Part::Salt,
        Part::SaltOfAcids,
        Part::Alkali,
    ] {
        add(at, d, part, -at.of(part) * share);
    }
    let dissolved = at.bin.priors.constants.ammonium_dissolved;
    add(at, d, Part::Ammonium, -dissolved * life.ammonium * share);
    let base = life.acid_posted * share + kg * at.bed.water.base_at(at.ph);
    add(at, d, Part::Base, -base);
}
