//! Grains of lime that dissolve and chalk that falls. The engine moves both through a
//! part of a step, with a middle or an end looked at first; here are the rates.

use super::rot::Rot;
use super::{At, add};
use crate::state::{LEAST_CALCIUM, Part};
use engine::chemistry::lime::Shape;

/// Carbon [kg/mol].
const CARBON: f64 = 0.012_011;
/// Chalk that more falls on is as fine as what falls, so fast [1/d]; in the engine's
/// steps at once.
const FRESH_PER_DAY: f64 = 50.0;
/// Finer grains of chalk than this go more slowly [µm]: they come to nought without
/// a bend that an integrator stops at.
const LEAST_GRAIN: f64 = 0.1;

/// Adds what dissolves and what falls.
pub fn rates(at: &At<'_>, rot: &Rot, d: &mut [f64]) {
    let speed = at.bed.law.retreat_um_per_day(at.ph);
    let mut base = 0.0;
    if speed > 0.0 {
        for (i, grains) in at.bin.bed.grains.iter().enumerate() {
            let retreat = at.y[at.layout.retreat() + i];
            let left = 1.0 - 2.0 * retreat / grains.size_um;
            if left <= 0.0 {
                continue;
            }
            let goes = grains.contact * speed;
            d[at.layout.retreat() + i] = goes;
            let surface = match grains.shape {
                Shape::Grain => 6.0 * left * left,
                Shape::Plate => 2.0,
            };
            base += grains.whole * surface / grains.size_um * goes;
        }
    }
    let falls = falls(at, rot);
    let (chalk, size) = (at.of(Part::Chalk), at.of(Part::ChalkUm));
    let fine = size.max(LEAST_GRAIN);
    let again = 6.0 * chalk * speed / fine;
    let finer = if falls > 0.0 {
        FRESH_PER_DAY * (at.bed.chalk.grain_um - size)
    } else {
        -2.0 * speed * size / fine
    };
    add(at, d, Part::Calcium, rot.calcium - falls);
    add(at, d, Part::Chalk, falls - again);
    add(at, d, Part::ChalkUm, finer);
    add(at, d, Part::Base, base - falls + again);
}

/// Base that falls as chalk [mol_c/d]: what stands over calcite saturation by its
/// share a day, as far as there is calcium and no faster than carbon dioxide comes.
fn falls(at: &At<'_>, rot: &Rot) -> f64 {
    let over = -at.bed.base_to_reach(at.bed.law.saturation_ph());
    let calcium = at.of(Part::Calcium);
    if over <= 0.0 || calcium <= 0.0 {
        return 0.0;
    }
    let carbonic = 2.0 * rot.shared.burnt.carbon / CARBON;
    (at.bed.chalk.per_day * over).min(carbonic) * (calcium / LEAST_CALCIUM).min(1.0)
}
