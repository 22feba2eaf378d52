//! The pH that worms meet.
//!
//! A published or measured pH is that of an extract, which has lost most of its
//! carbon dioxide to the air. In the bed the same water stands under about 1 %
//! of it and is sourer: what base the carbonate holds there more than in the
//! extract is taken from everything else,
//!
//! ```text
//! B(pH in place) = B(pH) - W (1 - r) HCO3(pH)
//! ```
//!
//! B the bed's titration curve, its water under the bed's carbon dioxide; W the
//! water, HCO3 what the bed's carbon dioxide would hold at that pH, r the
//! carbon dioxide of an extract over that of a bed. The fall is at most
//! log10(1/r), one unit, where nothing but carbonate buffers; little in a bed
//! full of humus, and nothing to speak of below pH 7. Above pH 8.5 chalk comes
//! out and the carbonate is held there.

use crate::bed::possible::PossibleBed;
use crate::living::life::Life;
use crate::living::nature::Priors;
use crate::living::salt;

/// pH of the bed's water in place; `ph` that of the bed as an extract has it.
#[must_use]
pub fn ph(life: &Life, bed: &PossibleBed, p: &Priors, ph: f64, dry_kg: f64) -> f64 {
    let more = (1.0 - p.extract_co2) * salt::bicarbonate(life, p, ph, dry_kg);
    let lowest = ph + p.extract_co2.log10();
    bed.ph_with_near(-more, ph).clamp(lowest.min(ph), ph)
}
