//! A first guess of the state: as if no ion pairs formed.

use super::newton::Balance;
use crate::chemistry::species::{COMPONENTS, H, MAX_SPECIES};

type Vector = [f64; COMPONENTS];

/// Guess at what a solid brings in [mol/kg].
const UNKNOWN: f64 = 1e-5;

/// Set `ln_activity` at hydrogen activity exp(`h`) from the totals as if no ion
/// pairs formed; the gap of the hydrogen balance.
pub(super) fn unpaired(b: &Balance<'_>, simple: &[u8], h: f64, ln_activity: &mut Vector) -> f64 {
    let mut per_unit = [0.0; COMPONENTS];
    let activity = h.exp();
    for &s in simple {
        let s = usize::from(s);
        let mut term = b.factor[s];
        let mut whose = H;
        for &(c, n) in b.constants.lines[s].used() {
            if usize::from(c) == H {
                term *= activity.powi(i32::from(n));
            } else {
                whose = usize::from(c);
            }
        }
        per_unit[whose] += term;
    }
    for c in 1..COMPONENTS {
        let amount = if b.supplied[c] > 0.0 {
            b.supplied[c]
        } else {
            UNKNOWN
        };
        ln_activity[c] = (amount / per_unit[c].max(1e-300)).ln();
    }
    ln_activity[H] = h;
    b.rules.apply(ln_activity);
    let mut molality = [0.0; MAX_SPECIES];
    let alone = Balance {
        species: simple,
        ..*b
    };
    alone.molalities(ln_activity, &mut molality);
    alone.hydrogen_gap(ln_activity, &molality)
}
