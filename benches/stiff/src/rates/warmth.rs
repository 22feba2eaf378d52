//! Warmth of the bed, its core and its pocket. The engine carries each exactly
//! through a part of a step; here are the rates.

use super::rot::Rot;
use super::{At, LEAST_POCKET, add};
use crate::state::Part;
use engine::living::heat;

/// Oxygen that burning the acids takes [kg/kg].
const ACID_OXYGEN: f64 = 64.0 / 60.0;
/// How far warmth lets things rot: slower than this they do not [-].
const LEAST_WARM: f64 = 0.01;
/// Kilojoules a day of a watt.
const KJ_PER_DAY: f64 = 86.4;
/// A pocket that is gone cools so fast [d].
const NO_POCKET_DAYS: f64 = 1e-3;

/// Adds what warms and cools where so much of the acids burns [kg/d].
pub fn rates(at: &At<'_>, rot: &Rot, acids_burnt: f64, d: &mut [f64]) {
    let (p, c, m) = (&at.bin.priors, &at.bin.priors.constants, at.m);
    let celsius = at.of(Part::Celsius);
    let oxygen = rot.shared.burnt.organic * c.oxygen_per_vs + acids_burnt * ACID_OXYGEN;
    let worms_kg = at.life.worms.grams() / 1000.0;
    let worms = c.worm_watts * worms_kg * p.worms_warm.at(celsius) * KJ_PER_DAY;
    let made = oxygen * 1000.0 * c.heat_per_oxygen + worms;
    let holds = at.life.store(p, m.dry_kg).thawed;
    let over = celsius - at.air;
    let gains = made - m.vapour * c.evaporate - m.passing * over;
    add(at, d, Part::Celsius, gains / holds);
    let excess = m.passing / holds * (c.core_share * over - at.of(Part::Excess));
    add(at, d, Part::Excess, excess);
    let rise = pocket(at, rot, holds);
    add(at, d, Part::Rise, rise);
}

/// How fast the pocket warms against the core [K/d]: as the slowest mode of a slab.
fn pocket(at: &At<'_>, rot: &Rot, holds: f64) -> f64 {
    let (c, n) = (&at.bin.priors.constants, &at.bin.nature);
    let (rise, litres) = (at.of(Part::Rise), at.pocket_kg * c.pocket_litres);
    if litres <= LEAST_POCKET {
        return -rise / NO_POCKET_DAYS;
    }
    let half = n.pocket_half_m * (litres / c.pocket_usual).cbrt();
    let half = half.min(at.bin.home.height_m(at.m.litres) / 2.0);
    let burnt = rot.shared.burnt.organic * rot.of_pocket;
    let watts = burnt * c.oxygen_per_vs * 1000.0 * c.heat_per_oxygen / KJ_PER_DAY;
    let toward = if at.m.warm.1 >= LEAST_WARM {
        let steady = heat::pocket_rise(watts * 1000.0 / litres, half, n.bed_w_m_k);
        steady.clamp(0.0, at.most_rise)
    } else {
        0.0
    };
    (toward - rise) / heat::pocket_days(half, n.bed_w_m_k, 1e6 * holds / at.m.litres)
}
