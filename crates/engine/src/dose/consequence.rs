//! What a dose does besides pH: salt in the pore water, and ammonia gas.

use crate::bed::possible::PossibleBed;
use crate::bed::product::{Action, Product};
use crate::chemistry::ammonia::free_ammonia_fraction;

/// Rise of pore-water conductivity per milliequivalent of soluble cations per
/// litre [mS/cm] (Vadose Zone J. 5:824, fig. 1 caption; within 15 %).
const EC_PER_MEQ_PER_L: f64 = 0.1;
/// Share of calcium base that stays in solution rather than on the bedding's
/// exchange sites [-] (judgement; range 0 to 0.3).
const CALCIUM_IN_SOLUTION: f64 = 0.1;

/// Rise of pore-water conductivity [mS/cm] from `base` [mol_c] of a product,
/// before the bedding takes up any potassium or sodium: the most it can be.
#[must_use]
pub fn ec_rise(product: &Product, bed: &PossibleBed, base: f64) -> f64 {
    let share = match product.action {
        Action::Soluble => 1.0,
        Action::Ash => 0.3,
        Action::Ground | Action::Caustic => CALCIUM_IN_SOLUTION,
        _ => 0.0,
    };
    EC_PER_MEQ_PER_L * share * (1000.0 * base).max(0.0) / bed.water_kg.max(0.1)
}

/// By how much the share of ammonia that is gas grows when pH goes from
/// `before` to `after` [-].
#[must_use]
pub fn ammonia_factor(bed: &PossibleBed, before: f64, after: f64) -> f64 {
    free_ammonia_fraction(bed.temperature, after) / free_ammonia_fraction(bed.temperature, before)
}
