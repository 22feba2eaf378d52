//! The fast search: activities and ionic strength by one Newton iteration.
//!
//! At ionic strength I the balances are g(x, I) = 0 with x the logarithms of
//! the free activities, and I itself is I(x, I). Newton on both at once borders
//! the curvature by one row and column:
//!   [ H    v   ] [dx]   [ -g       ]     v = dg/dI,  u = dI/dx,
//!   [ -u   1-s ] [dI] = [ I(x) - I ]     s = dI/dI at steady x;
//! one Cholesky of H serves both. The error squares each round, so four or five
//! rounds replace a search within a search. Nothing guards the steps but a
//! longest one: whoever asks falls back on the guarded search ([`super::newton`])
//! when this does not settle.

use super::elimination::Elimination;
use super::newton::{cholesky, reduced, reduced_matrix, substitute};
use crate::chemistry::activity::{MODEL_LIMIT, ln_gamma_and_slope, water_activity};
use crate::chemistry::constants::{Constants, Flat, LEAST_POWER, NOBODY, POWERS, SLOTS};
use crate::chemistry::sites::{SITE_CLASSES, charge_and_slope};
use crate::chemistry::species::{COMPONENTS, H, MAX_SPECIES};

type Vector = [f64; COMPONENTS];
type Slots = [f64; SLOTS];

/// Most rounds before the guarded search is asked instead.
const MOST_ROUNDS: usize = 14;

/// Longest step in the logarithm of an activity.
const LONGEST: f64 = 3.0;

/// Steps below this, of ln activities and of I as a share, are the last: what
/// is left is their square, below what the guarded search leaves.
const CLOSE: f64 = 1e-5;

/// What may be left of each balance after the last step, as a share of the
/// component, and as a share of all that the rules bring into it (rounding).
const LEFT: (f64, f64) = (1e-10, 1e-14);

/// Water activity must be this near to what was used.
const WATER_CLOSE: f64 = 1e-8;

/// Everything fixed while the search runs.
pub(super) struct Joint<'a> {
    pub(super) constants: &'a Constants,
    pub(super) flat: &'a [Flat],
    /// Species that take part in some reaction, by place.
    pub(super) species: &'a [u8],
    pub(super) supplied: &'a Vector,
    pub(super) free: &'a [usize],
    /// Sites per kg of water [mol_c/kg].
    pub(super) sites: Option<&'a [f64; SITE_CLASSES]>,
    /// Ionic strength and solutes of the species that do not take part [mol/kg].
    pub(super) still: (f64, f64),
}

/// State the search moves.
pub(super) struct State<'a> {
    pub(super) rules: &'a mut Elimination,
    pub(super) ln_activity: &'a mut Vector,
    pub(super) molality: &'a mut [f64; MAX_SPECIES],
    pub(super) strength: &'a mut f64,
    pub(super) water: &'a mut f64,
}

/// Sums over the species, by component where they are arrays.
struct Sums {
    /// Dissolved less supplied.
    gap: Vector,
    curvature: [Vector; COMPONENTS],
    /// dI/dx.
    strength_slope: Vector,
    /// dg/dI.
    gap_slope: Vector,
    strength: f64,
    /// dI/dI through the activity coefficients.
    feedback: f64,
}

/// Constants over activity coefficients, and the slopes of their logarithms
/// against I, in the order of the species.
struct Factors {
    value: [f64; MAX_SPECIES],
    slope: [f64; MAX_SPECIES],
}

impl Factors {
    fn at(j: &Joint<'_>, strength: f64, water: f64) -> Self {
        let (mut inverse, mut slopes) = ([1.0; 32], [0.0; 32]);
        let root = strength.sqrt();
        let laws = j.constants.activities.iter();
        for ((inverse, slope), law) in inverse.iter_mut().zip(&mut slopes).zip(laws) {
            let (ln_g, d) = ln_gamma_and_slope(law, &j.constants.debye_huckel, root);
            *inverse = (-ln_g).exp();
            *slope = -d;
        }
        let mut all = Self {
            value: [0.0; MAX_SPECIES],
            slope: [0.0; MAX_SPECIES],
        };
        for ((&s, value), slope) in j.species.iter().zip(&mut all.value).zip(&mut all.slope) {
            let t = &j.flat[usize::from(s)];
            let class = usize::from(t.class) % 32;
            *value = t.k * inverse[class];
            if t.waters != 0 {
                *value *= water.powi(i32::from(t.waters));
            }
            *slope = slopes[class];
        }
        all
    }
}

/// exp of each logarithm, 1 for the partner that is not there, and the powers
/// of the hydrogen activity by multiplication alone.
fn activities(ln_activity: &Vector) -> (Slots, [f64; POWERS]) {
    let mut activity = [1.0; SLOTS];
    for (a, l) in activity.iter_mut().zip(ln_activity) {
        *a = if *l == 0.0 { 1.0 } else { l.exp() };
    }
    (activity, powers(activity[H]))
}

/// h to the powers from [`LEAST_POWER`].
pub(super) fn powers(h: f64) -> [f64; POWERS] {
    let mut all = [1.0; POWERS];
    let zero = LEAST_POWER.unsigned_abs() as usize;
    let inverse = 1.0 / h;
    for i in (0..zero).rev() {
        all[i] = all[i + 1] * inverse;
    }
    for i in zero + 1..POWERS {
        all[i] = all[i - 1] * h;
    }
    all
}

impl Joint<'_> {
    /// Search from `state`; true when it settled there. When false the state is
    /// of no use.
    pub(super) fn settle(&self, state: &mut State<'_>) -> bool {
        for _ in 0..MOST_ROUNDS {
            state.rules.wet(state.water.ln());
            state.rules.apply(state.ln_activity);
            let factors = Factors::at(self, *state.strength, *state.water);
            let sums = self.sums(state.ln_activity, &factors, state.molality);
            let Some((mut step, mut more)) = self.step(&sums, state.rules, *state.strength) else {
                return false;
            };
            let size = step.iter().fold(0.0f64, |a, d| a.max(d.abs()));
            if size > LONGEST {
                step = step.map(|d| d * LONGEST / size);
                more *= LONGEST / size;
            }
            let here = *state.strength;
            let next = (here + more).max(0.2 * here);
            if !size.is_finite() || next.is_nan() || next >= MODEL_LIMIT {
                return false;
            }
            for (x, d) in state.ln_activity.iter_mut().zip(step) {
                *x += d;
            }
            let close = size < CLOSE && more.abs() < CLOSE * here;
            let solutes = self.moved(&step, next - here, &factors, close, state.molality);
            let water = water_activity(solutes + self.still.1);
            let steady = (water - *state.water).abs() < WATER_CLOSE;
            (*state.strength, *state.water) = (next, water);
            if close && steady && self.balanced(state.rules, state.ln_activity, state.molality) {
                return true;
            }
        }
        false
    }

    /// Sums over the species at `x`; leaves their molalities.
    fn sums(&self, x: &Vector, factors: &Factors, molality: &mut [f64; MAX_SPECIES]) -> Sums {
        let (activity, power) = activities(x);
        // By slot: amount, ionic strength, its feedback, hydrogens; side by side
        // so that one species is added at once.
        let mut by = [[0.0; 4]; SLOTS];
        let mut h = [0.0; 4];
        let mut curvature = [[0.0; COMPONENTS]; COMPONENTS];
        let (mut strength, mut feedback) = (0.0, 0.0);
        for ((&s, value), slope) in self.species.iter().zip(&factors.value).zip(&factors.slope) {
            let t = &self.flat[usize::from(s)];
            let (c, d) = t.partners();
            let m = value * power[t.power()] * activity[c] * activity[d];
            molality[usize::from(s) % MAX_SPECIES] = m;
            let n = t.hydrogens;
            let each = [m, 0.5 * t.charge * t.charge * m, slope * m, n * m];
            for i in 0..4 {
                by[c][i] += each[i];
                h[i] += n * each[i];
            }
            strength += each[1];
            feedback += slope * each[1];
            if d != NOBODY {
                for (slot, x) in by[d].iter_mut().zip(each) {
                    *slot += x;
                }
                curvature[c][d] += m;
                curvature[d][c] += m;
            }
        }
        by[H] = h;
        let mut sums = Sums {
            gap: std::array::from_fn(|c| by[c][0] - self.supplied[c]),
            curvature,
            strength_slope: std::array::from_fn(|c| by[c][1]),
            gap_slope: std::array::from_fn(|c| by[c][2]),
            strength: strength + self.still.0,
            feedback,
        };
        // Hydrogen, the first, is set apart below.
        for (c, row) in (1..COMPONENTS).zip(&by[1..]) {
            sums.curvature[c][c] += row[0];
            sums.curvature[c][H] = row[3];
            sums.curvature[H][c] = row[3];
        }
        sums.curvature[H][H] = h[3];
        if let Some(q) = self.sites {
            let (charge, slope) = charge_and_slope(q, activity[H]);
            sums.gap[H] -= charge;
            sums.curvature[H][H] += slope;
        }
        sums
    }

    /// Newton's step of the logarithms, and of the ionic strength.
    fn step(&self, sums: &Sums, rules: &Elimination, strength: f64) -> Option<(Vector, f64)> {
        let n = self.free.len();
        let mut lower = reduced_matrix(rules, self.free, &sums.curvature);
        cholesky(&mut lower, n);
        let fixed = substitute(&lower, &reduced(rules, self.free, &sums.gap), n);
        let per = substitute(&lower, &reduced(rules, self.free, &sums.gap_slope), n);
        let slope = reduced(rules, self.free, &sums.strength_slope);
        let dot = |a: &Vector| -> f64 { a[..n].iter().zip(&slope).map(|(x, y)| x * y).sum() };
        let bottom = 1.0 - sums.feedback - dot(&per);
        if bottom <= 0.05 {
            return None;
        }
        let more = (sums.strength - strength + dot(&fixed)) / bottom;
        let mut step = [0.0; COMPONENTS];
        for (i, &f) in self.free.iter().enumerate() {
            step[f] = fixed[i] + more * per[i];
        }
        rules.follow(&mut step);
        Some((step, more))
    }

    /// Whether every free balance closes. A small step is not enough: where the
    /// curvature is nearly singular the steps may be small and the balance off.
    fn balanced(&self, rules: &Elimination, x: &Vector, molality: &[f64; MAX_SPECIES]) -> bool {
        let (mut gap, mut all) = ([0.0; SLOTS], [0.0; SLOTS]);
        for &s in self.species {
            let t = &self.flat[usize::from(s)];
            let m = molality[usize::from(s) % MAX_SPECIES];
            let (c, d) = t.partners();
            gap[c] += m;
            gap[d] += m;
            gap[H] += t.hydrogens * m;
            all[H] += t.hydrogens.abs() * m;
        }
        all[1..COMPONENTS].copy_from_slice(&gap[1..COMPONENTS]);
        for (g, b) in gap.iter_mut().zip(self.supplied) {
            *g -= b;
        }
        if let Some(q) = self.sites {
            let charge = charge_and_slope(q, x[H].exp()).0;
            gap[H] -= charge;
            all[H] += charge;
        }
        self.free.iter().all(|&f| {
            let (mut left, mut brought) = (gap[f], 0.0);
            for (p, w) in rules.rules() {
                left += w[f] * gap[p];
                brought += (w[f] * all[p]).abs();
            }
            left.abs() <= LEFT.0 * all[f] + LEFT.1 * brought
        })
    }

    /// Solutes after a step, by each species' own change (to second order, so
    /// that a last step needs no more exponentials); `keep`: set the molalities.
    fn moved(
        &self,
        step: &Vector,
        more: f64,
        factors: &Factors,
        keep: bool,
        molality: &mut [f64; MAX_SPECIES],
    ) -> f64 {
        let mut slots = [0.0; SLOTS];
        slots[..COMPONENTS].copy_from_slice(step);
        let mut solutes = 0.0;
        for (i, &s) in self.species.iter().enumerate() {
            let t = &self.flat[usize::from(s)];
            let (c, d) = t.partners();
            let change = slots[c] + slots[d] + t.hydrogens * slots[H] + factors.slope[i] * more;
            let m = &mut molality[usize::from(s) % MAX_SPECIES];
            let now = *m * (1.0 + change * (1.0 + 0.5 * change));
            solutes += now;
            if keep {
                *m = now;
            }
        }
        solutes
    }
}
