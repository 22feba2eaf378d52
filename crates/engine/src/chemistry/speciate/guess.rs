//! A first guess of the state: as if no ion pairs formed.
//!
//! Without pairs each total splits among the protonated forms of its own
//! component, so the activities follow from the hydrogen activity alone and one
//! unknown is left. Its balance is sought as ln(givers / takers of protons):
//! both are sums of powers of h, so the logarithm of their ratio is nearly
//! straight in ln h and a secant needs few tries where bisection needs many.

use super::joint::powers;
use super::newton::Balance;
use crate::chemistry::constants::{Flat, NOBODY, SLOTS};
use crate::chemistry::sites::charge_and_slope;
use crate::chemistry::species::{COMPONENTS, H};

type Vector = [f64; COMPONENTS];

/// Guess at what a solid brings in [mol/kg].
const UNKNOWN: f64 = 1e-5;

/// Logarithm of the hydrogen activity to begin from: pH 7.
const NEUTRAL: f64 = -16.1;

/// Lowest and highest logarithm of the hydrogen activity.
const RANGE: (f64, f64) = (-90.0, 60.0);

/// Good enough a guess, in ln of the hydrogen activity.
const NEAR: f64 = 0.4;

/// Most tries; an unfinished guess is still a guess.
const MOST_TRIES: usize = 24;

/// Set `ln_activity` from the totals, at the hydrogen activity exp(`fixed_h`)
/// or else where protons roughly balance.
pub(super) fn guess(b: &Balance<'_>, fixed_h: Option<f64>, ln_activity: &mut Vector) {
    let mut x = fixed_h.unwrap_or(NEUTRAL);
    let mut imbalance = unpaired(b, x, ln_activity);
    if fixed_h.is_some() {
        return;
    }
    let (mut low, mut high) = RANGE;
    let mut slope = 1.0;
    for _ in 0..MOST_TRIES {
        if imbalance > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let wanted = x - (imbalance / slope).clamp(-12.0, 12.0);
        let next = if wanted > low && wanted < high {
            wanted
        } else {
            0.5 * (low + high)
        };
        let now = unpaired(b, next, ln_activity);
        let moved = next - x;
        slope = ((now - imbalance) / moved).clamp(0.05, 8.0);
        (x, imbalance) = (next, now);
        if moved.abs() < NEAR || (imbalance / slope).abs() < 0.1 {
            return;
        }
    }
}

/// Set `ln_activity` at hydrogen activity exp(`h`); ln of givers over takers of
/// protons.
fn unpaired(b: &Balance<'_>, h: f64, ln_activity: &mut Vector) -> f64 {
    let activity = h.exp();
    let power = powers(activity);
    let (mut per_unit, mut given, mut taken) = ([0.0; SLOTS], [0.0; SLOTS], [0.0; SLOTS]);
    for &s in b.species {
        let t: &Flat = &b.constants.flat[usize::from(s)];
        let (c, second) = t.partners();
        if second != NOBODY {
            continue;
        }
        let term = b.factor[usize::from(s)] * power[t.power()];
        per_unit[c] += term;
        given[c] += (t.hydrogens * term).max(0.0);
        taken[c] -= (t.hydrogens * term).min(0.0);
    }
    let mut unit = [0.0; COMPONENTS];
    for c in (1..COMPONENTS).filter(|c| per_unit[*c] > 0.0) {
        let known = b.supplied[c] > 0.0;
        unit[c] = if known { b.supplied[c] } else { UNKNOWN } / per_unit[c];
        ln_activity[c] = unit[c].ln();
    }
    ln_activity[H] = h;
    b.rules.apply(ln_activity);
    for (pivot, _) in b.rules.rules() {
        unit[pivot] = ln_activity[pivot].exp();
    }
    let mut sides = Sides {
        plus: given[NOBODY],
        minus: taken[NOBODY],
    };
    sides.add(-b.supplied[H]);
    if let Some(q) = b.sites {
        sides.minus += charge_and_slope(q, activity).0;
    }
    for c in 1..COMPONENTS {
        sides.plus += unit[c] * given[c];
        sides.minus += unit[c] * taken[c];
    }
    // What each rule's component brings to the balance of protons.
    for (pivot, w) in b.rules.rules() {
        sides.add(w[H] * per_unit[pivot] * unit[pivot]);
        sides.add(-w[H] * b.supplied[pivot]);
    }
    (sides.plus.max(1e-300) / sides.minus.max(1e-300)).ln()
}

/// Protons given and taken, both counted positive.
struct Sides {
    plus: f64,
    minus: f64,
}

impl Sides {
    fn add(&mut self, protons: f64) {
        self.plus += protons.max(0.0);
        self.minus -= protons.min(0.0);
    }
}
