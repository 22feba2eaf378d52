//! Linear equations among the logarithms of activities: a gas at a fixed
//! pressure and solids at saturation, each used to eliminate one unknown.

use crate::chemistry::constants::PhaseLaw;
use crate::chemistry::species::{COMPONENTS, H};

/// Most equations at once: the gas and six solids.
pub(super) const MAX_RULES: usize = 7;

/// Equations reduced so that each gives one component (its pivot) from the
/// free ones: l[pivot] = start + sum(weights x l[free]).
#[derive(Debug, Clone, Copy)]
pub(super) struct Elimination {
    weights: [[f64; COMPONENTS]; MAX_RULES],
    start: [f64; MAX_RULES],
    /// Part of the start that goes with ln of the water activity, and the part
    /// that does not: so a new water activity needs no new elimination.
    per_water: [f64; MAX_RULES],
    dry: [f64; MAX_RULES],
    pivot: [usize; MAX_RULES],
    original: [[f64; COMPONENTS]; MAX_RULES],
    pub(super) count: usize,
}

impl Elimination {
    pub(super) const NONE: Self = Self {
        weights: [[0.0; COMPONENTS]; MAX_RULES],
        start: [0.0; MAX_RULES],
        per_water: [0.0; MAX_RULES],
        dry: [0.0; MAX_RULES],
        pivot: [0; MAX_RULES],
        original: [[0.0; COMPONENTS]; MAX_RULES],
        count: 0,
    };

    /// Forget every rule.
    pub(super) fn clear(&mut self) {
        self.count = 0;
    }

    /// Set the water activity, by its logarithm.
    pub(super) fn wet(&mut self, ln_water: f64) {
        for r in 0..self.count {
            self.start[r] = self.dry[r] + self.per_water[r] * ln_water;
        }
    }

    /// Add the rule `law` with right side `rhs` in pure
    /// water ([`Elimination::wet`] sets the rest). `fixed_h` is ln of the
    /// hydrogen activity where that is given. False: it contradicts or repeats
    /// those already there.
    pub(super) fn add(&mut self, law: &PhaseLaw, mut rhs: f64, fixed_h: Option<f64>) -> bool {
        let mut row = law.parts;
        let mut waters = -law.waters;
        if let Some(h) = fixed_h {
            rhs -= row[H] * h;
            row[H] = 0.0;
        }
        for r in 0..self.count {
            let share = row[self.pivot[r]];
            if share != 0.0 {
                row[self.pivot[r]] = 0.0;
                rhs -= share * self.dry[r];
                waters -= share * self.per_water[r];
                for (x, w) in row.iter_mut().zip(self.weights[r]) {
                    *x += share * w;
                }
            }
        }
        // H+ last: it is the unknown the whole balance turns on.
        let Some(pivot) = (1..COMPONENTS).chain([H]).find(|&c| row[c].abs() > 1e-9) else {
            return false;
        };
        let scale = row[pivot];
        let mut weights = row.map(|x| -x / scale);
        weights[pivot] = 0.0;
        let (dry, per_water) = (rhs / scale, waters / scale);
        for r in 0..self.count {
            let share = self.weights[r][pivot];
            if share != 0.0 {
                self.weights[r][pivot] = 0.0;
                self.dry[r] += share * dry;
                self.per_water[r] += share * per_water;
                for (x, w) in self.weights[r].iter_mut().zip(weights) {
                    *x += share * w;
                }
            }
        }
        self.weights[self.count] = weights;
        self.dry[self.count] = dry;
        self.per_water[self.count] = per_water;
        self.pivot[self.count] = pivot;
        self.original[self.count] = law.parts;
        self.count += 1;
        true
    }

    /// Pivot and weights of each rule.
    pub(super) fn rules(&self) -> impl Iterator<Item = (usize, &[f64; COMPONENTS])> {
        (0..self.count).map(|r| (self.pivot[r], &self.weights[r]))
    }

    /// Whether component `c` is given by a rule.
    pub(super) fn gives(&self, c: usize) -> bool {
        self.pivot[..self.count].contains(&c)
    }

    /// Set the pivots of `ln_activity` from the free ones.
    pub(super) fn apply(&self, ln_activity: &mut [f64; COMPONENTS]) {
        for r in 0..self.count {
            let sum: f64 = self.weights[r]
                .iter()
                .zip(ln_activity.iter())
                .map(|(w, l)| w * l)
                .sum();
            ln_activity[self.pivot[r]] = self.start[r] + sum;
        }
    }

    /// Set the pivots of a `step` from the free ones.
    pub(super) fn follow(&self, step: &mut [f64; COMPONENTS]) {
        for (pivot, weights) in self.rules() {
            step[pivot] = weights.iter().zip(step.iter()).map(|(w, d)| w * d).sum();
        }
    }

    /// Amount [mol/kg] passed from each gas or solid into the water, given the
    /// shortfall of each component's balance (dissolved less supplied).
    pub(super) fn dissolved(&self, shortfall: &[f64; COMPONENTS]) -> [f64; MAX_RULES] {
        let n = self.count;
        let mut m = [[0.0; MAX_RULES + 1]; MAX_RULES];
        for (i, row) in m.iter_mut().enumerate().take(n) {
            for (j, x) in row.iter_mut().enumerate().take(n) {
                *x = self.original[j][self.pivot[i]];
            }
            row[MAX_RULES] = shortfall[self.pivot[i]];
        }
        solve_dense(&mut m, n);
        let mut x = [0.0; MAX_RULES];
        for (slot, row) in x.iter_mut().zip(&m).take(n) {
            *slot = row[MAX_RULES];
        }
        x
    }
}

/// Gauss-Jordan with row exchange on the first `n` rows; the answer is left in
/// the last column.
fn solve_dense(m: &mut [[f64; MAX_RULES + 1]; MAX_RULES], n: usize) {
    for i in 0..n {
        let best = (i..n)
            .max_by(|&a, &b| m[a][i].abs().total_cmp(&m[b][i].abs()))
            .unwrap_or(i);
        m.swap(i, best);
        let pivot = m[i];
        for (j, row) in m.iter_mut().enumerate().take(n) {
            let factor = if j == i { 0.0 } else { row[i] / pivot[i] };
            for (x, p) in row.iter_mut().zip(pivot) {
                *x -= factor * p;
            }
        }
        let scale = m[i][i];
        m[i] = m[i].map(|x| x / scale);
    }
}
