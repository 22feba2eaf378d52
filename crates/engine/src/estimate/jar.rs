//! A jar test: the keeper's own bedding, lime and probe say how strong the
//! buffer is.
//!
//! Each jar holds a small weighed lot of wet bedding; one has no lime. All are
//! read after the same wait. The instrument's bias is the same in every jar
//! and falls out of the differences; what is left is how far each amount of
//! lime moved the pH, which is the buffer.

use crate::bed::possible::PossibleBed;
use crate::bed::product::Lot;
use crate::bed::soak::MIXED;
use crate::log::Jar;

/// pH expected in each jar of one possible bed after `days`.
#[must_use]
pub fn expected(bed: &PossibleBed, lot: &Lot, wet_grams: f64, jars: &[Jar], days: f64) -> Vec<f64> {
    let wet_kg = bed.dry_kg + bed.water_kg;
    let scale = wet_kg * 1000.0 / wet_grams.max(1e-9);
    jars.iter()
        .map(|jar| {
            let mut whole = bed.clone();
            whole.touches.clear();
            lot.give(&mut whole, jar.grams * scale, &MIXED);
            whole.advance(days);
            whole.ph()
        })
        .collect()
}

/// Log likelihood of what the jars read: bias common to all jars is fitted and
/// taken out, each jar keeps its own scatter `sd` [pH].
#[must_use]
pub fn log_likelihood(expected: &[f64], jars: &[Jar], sd: f64, bias_sd: f64) -> f64 {
    let n = jars.len() as f64;
    let gaps: Vec<f64> = jars.iter().zip(expected).map(|(j, e)| j.ph - e).collect();
    let mean = gaps.iter().sum::<f64>() / n;
    let within: f64 = gaps.iter().map(|g| (g - mean).powi(2)).sum::<f64>() / (sd * sd);
    let between = mean * mean / (bias_sd * bias_sd + sd * sd / n);
    -0.5 * (within + between)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_common_bias_costs_little_and_a_wrong_slope_costs_much() {
        let jars = [(0.0, 5.0), (0.2, 5.5), (0.4, 6.0)].map(|(grams, ph)| Jar { grams, ph });
        let shifted = log_likelihood(&[4.6, 5.1, 5.6], &jars, 0.1, 0.5);
        let flat = log_likelihood(&[5.4, 5.5, 5.6], &jars, 0.1, 0.5);
        assert!(shifted > -1.0, "{shifted}");
        assert!(flat < shifted - 10.0, "{flat}");
    }
}
