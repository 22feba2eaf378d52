//! Lime for a sour bedding before worms go in: how much, and how long to wait.

use crate::bed::judge::{Levels, Sample, fit_for_bedding};
use crate::bed::possible::PossibleBed;
use crate::bed::product::{Contact, Product};
use crate::log::Applied;
use crate::quantity::Band;

/// Lime needed, and the wait.
#[derive(Debug, Clone, PartialEq)]
pub struct LimeNeed {
    /// Key of the liming material.
    pub material: String,
    /// Its name.
    pub name: String,
    /// How much for the whole mix [g].
    pub grams: Band,
    /// How much per litre of moist bedding, not settled [g/L].
    pub grams_per_litre: f64,
    /// pH aimed at.
    pub target_ph: f64,
    /// Days until it has worked well enough to try worms; `None` when it has
    /// not within eight weeks.
    pub wait_days: Option<f64>,
    /// pH after the wait.
    pub ph_after: Band,
}

/// Mixed through, everything touched.
pub(crate) const MIXED: Contact = Contact {
    how: Applied::MixedIn,
    touched_share: 1.0,
    tau_days: 1.0,
    steep_litres: 0.0,
};

/// Lime for the drawn mixes, or `None` when the product is not one to mix
/// into bedding.
pub(crate) fn lime_need(
    product: &Product,
    samples: &[Sample],
    levels: &Levels,
    seed: u64,
) -> Option<LimeNeed> {
    if !fit_for_bedding(product.action) {
        return None;
    }
    let lots = product.lots(seed, samples.len());
    let needs: Vec<f64> = samples
        .iter()
        .zip(&lots)
        .map(|(s, lot)| {
            let base = s.bed.base_still_needed(levels.lime_target_ph);
            (base * 1000.0 / lot.meq_per_g).max(0.0)
        })
        .collect();
    let grams = Band::of(&needs)?;
    let mut beds: Vec<PossibleBed> = samples.iter().map(|s| s.bed.clone()).collect();
    for (bed, lot) in beds.iter_mut().zip(&lots) {
        lot.give(bed, grams.median, &MIXED);
    }
    let (wait_days, ph_after) = wait(&mut beds, levels);
    let litres = crate::bed::judge::band(samples, |s| s.litres).median;
    Some(LimeNeed {
        material: product.key.clone(),
        name: product.name.clone(),
        grams,
        grams_per_litre: grams.median / litres.max(1e-9),
        target_ph: levels.lime_target_ph,
        wait_days,
        ph_after,
    })
}

/// Days until the lime has worked well enough to try worms: the median pH has
/// come to 6, or within 0.15 of where it will end, and a week at least.
fn wait(beds: &mut [PossibleBed], l: &Levels) -> (Option<f64>, Band) {
    let ends: Vec<f64> = beds
        .iter()
        .map(PossibleBed::ph_when_all_has_acted)
        .collect();
    let end = Band::of(&ends).map_or(l.lime_target_ph, |b| b.median);
    let mut found = None;
    let mut now = None;
    for day in 1..=l.wait_days.1 {
        for bed in beds.iter_mut() {
            bed.advance(1.0);
        }
        let ph: Vec<f64> = beds.iter().map(PossibleBed::ph).collect();
        now = Band::of(&ph);
        if day >= l.wait_days.0
            && now.is_some_and(|b| b.median >= (end - l.near_end_ph).min(l.gate_ph))
        {
            found = Some(f64::from(day));
            break;
        }
    }
    let band = now.unwrap_or(Band {
        median: l.lime_target_ph,
        low: l.lime_target_ph,
        high: l.lime_target_ph,
    });
    (found, band)
}
