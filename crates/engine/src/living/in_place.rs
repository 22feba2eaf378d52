//! The pH that worms meet.
//!
//! A published or measured pH is that of an extract, which has lost most of its
//! carbon dioxide to the air. In the bed the same water stands under about 1 %
//! of it and is sourer: what base the carbonate holds there more than in the
//! extract is taken from everything else,
//!
//! ```text
//! B(pH in place) + W (f - 1) CO3(pH in place) = B(pH) - W (1 - r) CO3(pH)
//! ```
//!
//! B the bed's titration curve, its water under the carbon dioxide of a usual bed;
//! W the water, CO3 all the carbonate that carbon dioxide would hold at a pH, r the
//! carbon dioxide of an extract over that of a usual bed, f that of this bed over
//! that of a usual one: it rises as the bed runs out of air, to that of a silo. The
//! fall is at most log10(f/r), where nothing but carbonate buffers, one unit in a
//! bed with air; half of that in manure, and nothing to speak of below pH 7.
//!
//! Caustic lime that has not yet turned to chalk is the other way about: its
//! water has had no carbon dioxide yet, and is as caustic as
//!
//! ```text
//! B(pH) - W CO3(pH) = B(now) - W CO3(pH without the lime)
//! ```
//!
//! says, up to the 12.4 of saturated lime water.

use crate::bed::possible::PossibleBed;
use crate::living::life::Life;
use crate::living::nature::Priors;
use std::f64::consts::LN_10;

/// Less caustic lime than this is none [mol_c].
const NO_LIME: f64 = 1e-6;

/// pH of the bed's water in place; `ph` that of the bed as an extract has it,
/// `airless` the share of its decay without air.
#[must_use]
pub fn ph(life: &Life, bed: &PossibleBed, p: &Priors, ph: f64, airless: f64) -> f64 {
    let more = (1.0 - p.extract_co2) * life.water_kg * p.open_water.carbonate(ph);
    let times = p.airless_co2.powf(airless);
    let open = fallen(ph, bed.ph_under(times, -more, ph), p.extract_co2 / times);
    if bed.lime > NO_LIME {
        return caustic(life, bed, p, open);
    }
    open
}

/// A pH that fell from `ph` to `to`, by no more than the carbon dioxide lets it that
/// an extract has less, `less` of it [-].
fn fallen(ph: f64, to: f64, less: f64) -> f64 {
    // A logarithm is no more than this, and most beds fall less: then it need not
    // be worked out.
    const ROUNDING: f64 = 1e-9;
    if to >= ph + (less - 1.0) / LN_10 + ROUNDING {
        return to.min(ph);
    }
    let lowest = ph + less.log10();
    to.clamp(lowest.min(ph), ph)
}

/// pH of water with caustic lime in it that no carbon dioxide has met, `open` if
/// that is higher.
fn caustic(life: &Life, bed: &PossibleBed, p: &Priors, open: f64) -> f64 {
    const HALVINGS: u32 = 20;
    let carbonate = |ph: f64| life.water_kg * p.open_water.carbonate(ph);
    let had = carbonate(bed.ph_with(-bed.lime));
    let short = |ph: f64| bed.base_to_reach(ph) - carbonate(ph) + had;
    let lime_water = p.constants.lime_water_ph;
    if open >= lime_water || short(open) >= 0.0 {
        return open;
    }
    let (mut low, mut high) = (open, lime_water);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if short(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fall_is_held_where_its_logarithm_says() {
        for i in 1..60 {
            let less = 0.02 * f64::from(i);
            for fall in [-0.3, 0.0, 0.1, 0.39, 0.41, 0.9, 1.4, 3.0] {
                let (ph, to): (f64, f64) = (7.3, 7.3 - fall);
                let whole = to.clamp((ph + less.log10()).min(ph), ph);
                assert_eq!(
                    fallen(ph, to, less).to_bits(),
                    whole.to_bits(),
                    "{less} {fall}"
                );
            }
        }
    }
}
