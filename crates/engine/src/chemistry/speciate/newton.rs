//! Guarded Newton search for the minimum of the convex function, at a given
//! ionic strength.

use super::elimination::Elimination;
use crate::chemistry::constants::Constants;
use crate::chemistry::sites::{SITE_CLASSES, charge_and_slope};
use crate::chemistry::species::{COMPONENTS, H, MAX_SPECIES};

type Vector = [f64; COMPONENTS];
type Matrix = [Vector; COMPONENTS];

/// Everything fixed while Newton runs.
pub(super) struct Balance<'a> {
    pub(super) constants: &'a Constants,
    /// Species that can exist here, by place.
    pub(super) species: &'a [u8],
    /// Constant over activity coefficient, times water activity.
    pub(super) factor: &'a [f64; MAX_SPECIES],
    /// Amount supplied of each component [mol/kg].
    pub(super) supplied: &'a Vector,
    /// Unknowns left free.
    pub(super) free: &'a [usize],
    pub(super) rules: &'a Elimination,
    /// Sites per kg of water [mol_c/kg]; empty when there are none.
    pub(super) sites: Option<&'a [f64; SITE_CLASSES]>,
}

/// Longest step in the logarithm of an activity.
const LONGEST: f64 = 6.0;

/// Close enough that the next step is the last: the error left is its square.
const CLOSE: f64 = 1e-6;

/// A step so small that none need follow.
const LAST_STEP: f64 = 1e-9;

/// The same while the ionic strength is still on the move.
const LAST_ROUGH_STEP: f64 = 1e-3;

/// Most steps; a usual search takes five.
const MOST_STEPS: usize = 300;

/// Integer power.
fn power(x: f64, n: i8) -> f64 {
    match n {
        1 => x,
        2 => x * x,
        _ => x.powi(i32::from(n)),
    }
}

impl Balance<'_> {
    /// Molalities [mol/kg] at `ln_activity`.
    pub(super) fn molalities(&self, ln_activity: &Vector, molality: &mut [f64; MAX_SPECIES]) {
        let mut activity = [0.0; COMPONENTS];
        for (a, l) in activity.iter_mut().zip(ln_activity) {
            *a = l.exp();
        }
        let inverse_h = (-ln_activity[H]).exp();
        for &s in self.species {
            let s = usize::from(s);
            let mut m = self.factor[s];
            for &(c, n) in self.constants.lines[s].used() {
                let c = usize::from(c);
                m *= if c == H && n < 0 {
                    power(inverse_h, -n)
                } else {
                    power(activity[c], n)
                };
            }
            molality[s] = m;
        }
    }

    /// Dissolved less supplied, by component, sites among the protons.
    pub(super) fn shortfall(&self, ln_activity: &Vector, molality: &[f64; MAX_SPECIES]) -> Vector {
        let mut gap = self.supplied.map(|b| -b);
        for &s in self.species {
            let s = usize::from(s);
            for &(c, n) in self.constants.lines[s].used() {
                gap[usize::from(c)] += f64::from(n) * molality[s];
            }
        }
        if let Some(q) = self.sites {
            gap[H] -= charge_and_slope(q, ln_activity[H].exp()).0;
        }
        gap
    }

    fn curvature(&self, ln_activity: &Vector, molality: &[f64; MAX_SPECIES]) -> Matrix {
        let mut h = [[0.0; COMPONENTS]; COMPONENTS];
        for &s in self.species {
            let s = usize::from(s);
            let used = self.constants.lines[s].used();
            for (i, &(c, n)) in used.iter().enumerate() {
                let c = usize::from(c);
                let weight = f64::from(n) * molality[s];
                h[c][c] += weight * f64::from(n);
                for &(d, k) in &used[i + 1..] {
                    let d = usize::from(d);
                    let both = weight * f64::from(k);
                    h[c][d] += both;
                    h[d][c] += both;
                }
            }
        }
        if let Some(q) = self.sites {
            h[H][H] += charge_and_slope(q, ln_activity[H].exp()).1;
        }
        h
    }

    /// Gradient over the free unknowns.
    fn reduce(&self, full: &Vector) -> Vector {
        reduced(self.rules, self.free, full)
    }

    /// Move along `step` over the free unknowns.
    fn moved(&self, from: &Vector, step: &Vector, times: f64) -> Vector {
        let mut to = *from;
        for (d, &f) in step.iter().zip(self.free) {
            to[f] += times * d;
        }
        self.rules.apply(&mut to);
        to
    }

    /// Search from `ln_activity`; leaves the answer there and in `molality`.
    /// `rough`: good to about 1e-6 only.
    pub(super) fn solve(
        &self,
        rough: bool,
        ln_activity: &mut Vector,
        molality: &mut [f64; MAX_SPECIES],
    ) -> bool {
        self.rules.apply(ln_activity);
        self.molalities(ln_activity, molality);
        let n = self.free.len();
        if n == 0 {
            return true;
        }
        let mut gap = self.reduce(&self.shortfall(ln_activity, molality));
        let mut was_close = false;
        for _ in 0..MOST_STEPS {
            let mut curve = reduced_matrix(
                self.rules,
                self.free,
                &self.curvature(ln_activity, molality),
            );
            cholesky(&mut curve, n);
            let mut step = substitute(&curve, &gap, n);
            let size = step[..n].iter().fold(0.0f64, |a, d| a.max(d.abs()));
            if !size.is_finite() {
                return false;
            }
            if size > LONGEST {
                step = step.map(|d| d * LONGEST / size);
            }
            let last = if rough { LAST_ROUGH_STEP } else { LAST_STEP };
            if size < last || (size < CLOSE && was_close) {
                *ln_activity = self.moved(ln_activity, &step, 1.0);
                self.molalities(ln_activity, molality);
                return true;
            }
            was_close = size < CLOSE;
            let down = dot(&gap, &step, n);
            let mut times = 1.0;
            loop {
                let to = self.moved(ln_activity, &step, times);
                self.molalities(&to, molality);
                let new_gap = self.reduce(&self.shortfall(&to, molality));
                let slope = dot(&new_gap, &step, n);
                // Convex: past the lowest point the slope turns positive.
                if slope <= -0.5 * down || size < 1e-3 || times < 1e-12 {
                    *ln_activity = to;
                    gap = new_gap;
                    break;
                }
                times *= (down / (down - slope)).clamp(0.05, 0.7);
            }
        }
        false
    }
}

fn dot(a: &Vector, b: &Vector, n: usize) -> f64 {
    a[..n].iter().zip(&b[..n]).map(|(x, y)| x * y).sum()
}

/// A gradient over the `free` unknowns, the others following by `rules`.
pub(super) fn reduced(rules: &Elimination, free: &[usize], full: &Vector) -> Vector {
    let mut g = [0.0; COMPONENTS];
    for (slot, &f) in g.iter_mut().zip(free) {
        *slot = full[f];
        for (p, w) in rules.rules() {
            *slot += w[f] * full[p];
        }
    }
    g
}

/// Lower triangle of a curvature over the `free` unknowns, the others following
/// by `rules`: (I + W)' H (I + W) with the rules' weights W, which are mostly
/// zero, so only the rows and columns they touch are visited.
pub(super) fn reduced_matrix(rules: &Elimination, free: &[usize], full: &Matrix) -> Matrix {
    let mut h = [[0.0; COMPONENTS]; COMPONENTS];
    for (i, (row, &f)) in h.iter_mut().zip(free).enumerate() {
        for (slot, &g) in row.iter_mut().zip(&free[..=i]) {
            *slot = full[f][g];
        }
    }
    for (p, w) in rules.rules() {
        // What moving the pivot itself adds, half of it counted on each side.
        let mut pull = full[p];
        for (q, v) in rules.rules() {
            for (x, y) in pull.iter_mut().zip(v) {
                *x += 0.5 * full[p][q] * y;
            }
        }
        for (k, &f) in free.iter().enumerate().filter(|(_, f)| w[**f] != 0.0) {
            for (j, &g) in free.iter().enumerate() {
                let both = if j == k { 2.0 } else { 1.0 };
                h[k.max(j)][k.min(j)] += both * w[f] * pull[g];
            }
        }
    }
    h
}

/// Cholesky's lower triangle of a curvature, in its place, the diagonal inverted so that solving
/// divides by nothing; a pivot lost to rounding is propped up.
pub(super) fn cholesky(l: &mut Matrix, n: usize) {
    for i in 0..n {
        let whole = l[i][i];
        let (above, rest) = l.split_at_mut(i);
        let row = &mut rest[0];
        for (j, other) in above.iter().enumerate() {
            row[j] = (row[j] - dot(row, other, j)) * other[j];
        }
        let pivot = row[i] - dot(row, row, i);
        row[i] = 1.0 / pivot.max(1e-14 * whole).max(1e-300).sqrt();
    }
}

/// -curve^-1 gap from the triangle of [`cholesky`].
pub(super) fn substitute(l: &Matrix, gap: &Vector, n: usize) -> Vector {
    let mut x = [0.0; COMPONENTS];
    for i in 0..n {
        x[i] = (-gap[i] - dot(&l[i], &x, i)) * l[i][i];
    }
    for i in (0..n).rev() {
        x[i] *= l[i][i];
        let (done, row) = (x[i], &l[i]);
        for (slot, w) in x.iter_mut().zip(row).take(i) {
            *slot -= w * done;
        }
    }
    x
}
