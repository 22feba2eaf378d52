//! Ammonium, nitrate and the acids of food. The engine solves each pair as a chain
//! through a part of a step; here are the rates of the chain.

use super::rot::Rot;
use super::{At, add};
use crate::state::Part;

/// Adds what of ammonium and nitrate comes, is turned and is taken up, and the base
/// all of it leaves.
pub fn rates(at: &At<'_>, rot: &Rot, d: &mut [f64]) {
    let c = &at.bin.priors.constants;
    let (ammonium, nitrate) = (at.life.ammonium, at.life.nitrate);
    let turning = &at.m.turning;
    let nitrified = turning.nitrify * ammonium;
    let volatile = turning.volatilise * ammonium;
    let denitrified = turning.denitrify * nitrate;
    let freed = rot.shared.burnt.nitrogen * c.mol_per_kg;
    let all = (ammonium + nitrate).max(1e-15);
    let (of_ammonium, of_nitrate) = if freed >= 0.0 {
        (freed, 0.0)
    } else {
        (freed * ammonium / all, freed * nitrate / all)
    };
    add(at, d, Part::Ammonium, of_ammonium - nitrified - volatile);
    add(at, d, Part::Nitrate, of_nitrate + nitrified - denitrified);
    let base = rot.cations + of_ammonium - of_nitrate + denitrified - volatile - 2.0 * nitrified;
    add(at, d, Part::Base, base);
}

/// Adds what of the acids is made, burnt and seeps into the bed; gives what is burnt
/// [kg/d].
pub fn acids(at: &At<'_>, rot: &Rot, d: &mut [f64]) -> f64 {
    let (c, n, airless) = (&at.bin.priors.constants, &at.bin.nature, at.m.airless);
    let (warm_bed, warm_pocket) = at.m.warm;
    let in_pocket = n.acid_eaten * warm_pocket * (1.0 - airless.pocket) * at.life.acid_pocket;
    let in_bed = n.acid_eaten * warm_bed * (1.0 - airless.bed) * at.life.acid_bed;
    let seeps = if at.zones.core > 0.0 {
        (n.acid_leaves + rot.falls) * at.life.acid_pocket
    } else {
        0.0
    };
    add(at, d, Part::AcidPocket, rot.acid - in_pocket - seeps);
    add(at, d, Part::AcidBed, seeps - in_bed);
    (in_pocket + in_bed) * c.acid_mass
}
