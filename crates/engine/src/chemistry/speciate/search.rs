//! The outer search: which solids remain, and the ionic strength.

use std::f64::consts::LN_10;

use super::elimination::{Elimination, MAX_RULES};
use super::guess::guess;
use super::joint::{Joint, State};
use super::newton::Balance;
use super::places::{Places, idle};
use super::problem::{Gas, Problem};
use crate::chemistry::activity::{MODEL_LIMIT, water_activity};
use crate::chemistry::constants::Constants;
use crate::chemistry::sites::{SITE_CLASSES, site_charge};
use crate::chemistry::solids::SOLID_COUNT;
use crate::chemistry::species::{CO3, COMPONENTS, H, MAX_SPECIES};

type Vector = [f64; COMPONENTS];

/// A total below this is taken as none [mol/kg].
const TRACE: f64 = 1e-25;

/// Most rounds on the ionic strength; a usual search takes four.
const MOST_ROUNDS: usize = 200;

/// Ionic strength is found when it moves by less than this share of itself;
/// pH then moves by less than a tenth of it.
const STEADY: f64 = 1e-7;

/// One solve in progress.
pub(super) struct Search<'a> {
    pub(super) constants: &'a Constants,
    pub(super) problem: &'a Problem,
    /// ln of the hydrogen activity, where pH is given.
    fixed_h: Option<f64>,
    /// Supplied of each component apart from solids [mol/kg].
    supplied: Vector,
    pub(super) present: [bool; COMPONENTS],
    species: Places,
    /// Those that take part in some reaction: not the likes of chloride.
    moving: Places,
    /// The others present, one bit each.
    still: u32,
    sites: Option<[f64; SITE_CLASSES]>,
    /// Ionic strength the activity coefficients are at [mol/kg].
    strength: f64,
    water_activity: f64,
    pub(super) ln_activity: Vector,
    pub(super) molality: [f64; MAX_SPECIES],
    factor: [f64; MAX_SPECIES],
    rules: Elimination,
    guessed: bool,
    /// Amount left of each solid [mol].
    pub(super) left: [f64; SOLID_COUNT],
}

impl<'a> Search<'a> {
    pub(super) fn new(constants: &'a Constants, problem: &'a Problem, ph: Option<f64>) -> Self {
        let mut supplied = problem.totals.by_component();
        let open = matches!(problem.gas, Gas::Open { .. });
        if open {
            supplied[CO3] = 0.0;
        }
        let mut present = supplied.map(|t| t > TRACE);
        present[H] = true;
        present[CO3] |= open;
        for (solid, amount) in problem.solids.iter() {
            for (p, n) in present
                .iter_mut()
                .zip(constants.solids[solid as usize].parts)
            {
                *p |= n != 0.0 && amount > TRACE;
            }
        }
        let charge: f64 = (1..COMPONENTS)
            .map(|c| constants.lines[c].charge * supplied[c])
            .sum();
        let sites = &problem.sites;
        supplied[H] =
            -charge - (problem.added_base_mol + sites.reference_charge_mol) / problem.water_kg;
        let strength = 0.5
            * (1..COMPONENTS)
                .map(|c| supplied[c] * constants.lines[c].charge.abs())
                .sum::<f64>()
            + 1e-4;
        let absent = bits(&present.map(|p| !p));
        let species = Places::which(constants, |mask| mask & absent == 0);
        let still = idle(constants, problem, &species);
        // What is alone in a species is that species.
        let moving = Places::which(constants, |mask| mask & (absent | still) == 0);
        let mut molality = [0.0; MAX_SPECIES];
        molality[1..COMPONENTS].copy_from_slice(&supplied[1..]);
        Self {
            constants,
            problem,
            fixed_h: ph.map(|ph| -ph * LN_10),
            supplied,
            present,
            species,
            moving,
            still,
            sites: (!sites.is_empty()).then(|| sites.capacity_mol.map(|q| q / problem.water_kg)),
            strength: strength.min(MODEL_LIMIT),
            water_activity: 1.0,
            ln_activity: [0.0; COMPONENTS],
            molality,
            factor: [0.0; MAX_SPECIES],
            rules: Elimination::NONE,
            guessed: false,
            left: [0.0; SOLID_COUNT],
        }
    }

    /// Find the solids that remain and the state of the water.
    pub(super) fn run(&mut self) -> bool {
        let allowed = self.allowed();
        let mut kept = 0u8;
        for (solid, amount) in self.problem.solids.iter() {
            if amount > TRACE {
                kept |= 1 << solid as u8;
            }
        }
        let mut tried = 0u64;
        loop {
            tried |= 1 << kept;
            let next = if self.settle(kept) {
                match self.objection(kept, allowed) {
                    None => return true,
                    Some(next) => next,
                }
            } else {
                kept
            };
            kept = if tried >> next & 1 == 0 {
                next
            } else {
                match untried(allowed, tried) {
                    Some(next) => next,
                    None => return false,
                }
            };
        }
    }

    /// Solids whose components are all there.
    fn allowed(&self) -> u8 {
        let mut allowed = 0;
        for (solid, _) in self.problem.solids.iter() {
            let parts = &self.constants.solids[solid as usize].parts;
            if parts.iter().zip(self.present).all(|(n, p)| *n == 0.0 || p) {
                allowed |= 1 << solid as u8;
            }
        }
        allowed
    }

    /// `None` when the solids `kept` are right; else what to try next.
    fn objection(&mut self, kept: u8, allowed: u8) -> Option<u8> {
        self.left = [0.0; SOLID_COUNT];
        self.problem.solids.iter().next()?;
        let gap = self.with_balance(kept, |b, l, m| b.shortfall(l, m));
        let dissolved = self.rules.dissolved(&gap);
        let mut rule = usize::from(matches!(self.problem.gas, Gas::Open { .. }));
        let mut worst = (0.0, None);
        for (solid, amount) in self.problem.solids.iter() {
            let s = solid as usize;
            if kept >> s & 1 == 0 {
                continue;
            }
            let taken = dissolved[rule] * self.problem.water_kg;
            rule += 1;
            self.left[s] = (amount - taken).max(0.0);
            let excess = amount - taken + 1e-12 * amount + 1e-16 * self.problem.water_kg;
            if excess < worst.0 {
                worst = (excess, Some(s));
            }
        }
        if let Some(s) = worst.1 {
            return Some(kept & !(1 << s));
        }
        let mut worst = (1e-9, None);
        for (solid, _) in self.problem.solids.iter() {
            let s = solid as usize;
            if kept >> s & 1 == 0 && allowed >> s & 1 == 1 {
                let over = self.ln_saturation(s);
                if over > worst.0 {
                    worst = (over, Some(s));
                }
            }
        }
        worst.1.map(|s| kept | 1 << s)
    }

    /// ln of ion product over solubility product of solid `s`.
    pub(super) fn ln_saturation(&self, s: usize) -> f64 {
        let law = &self.constants.solids[s];
        let product: f64 = law
            .parts
            .iter()
            .zip(self.ln_activity)
            .filter(|(n, _)| **n != 0.0)
            .map(|(n, l)| n * l)
            .sum();
        product + law.waters * self.water_activity.ln() - law.ln_k
    }

    /// Solve with exactly the solids `kept` at saturation: fast, and when that
    /// does not settle, guarded from the same start.
    fn settle(&mut self, kept: u8) -> bool {
        self.settle_jointly(kept) || self.settle_guarded(kept)
    }

    /// One Newton search for activities and ionic strength together. Not where
    /// pH is given: the inert ion then moves with the rest.
    fn settle_jointly(&mut self, kept: u8) -> bool {
        if self.fixed_h.is_some() || !self.make_rules(kept) {
            return false;
        }
        if !self.guessed {
            self.refresh();
            self.guess(kept);
        }
        let mut rules = self.rules;
        let (mut ln_activity, mut molality) = (self.ln_activity, self.molality);
        let (mut strength, mut water) = (self.strength, self.water_activity);
        let mut state = State {
            rules: &mut rules,
            ln_activity: &mut ln_activity,
            molality: &mut molality,
            strength: &mut strength,
            water: &mut water,
        };
        let settled = self.with_balance(kept, |b, _, _| {
            let joint = Joint {
                constants: b.constants,
                flat: &b.constants.flat,
                species: b.species,
                supplied: b.supplied,
                free: b.free,
                sites: b.sites,
                still: self.still(),
            };
            joint.settle(&mut state)
        });
        if settled {
            (self.ln_activity, self.molality) = (ln_activity, molality);
            (self.strength, self.water_activity, self.rules) = (strength, water, rules);
        }
        settled
    }

    /// Ionic strength and sum of what does not react, inert ion included [mol/kg].
    fn still(&self) -> (f64, f64) {
        let inert = self.inert().abs();
        let (mut strength, mut solutes) = (0.5 * inert, inert);
        for c in (1..COMPONENTS).filter(|c| self.still >> c & 1 == 1) {
            let (m, z) = (self.supplied[c], self.constants.lines[c].charge);
            strength += 0.5 * z * z * m;
            solutes += m;
        }
        (strength, solutes)
    }

    /// As [`Self::settle`], step by guarded step, with ionic strength a root in
    /// one unknown held in a bracket.
    fn settle_guarded(&mut self, kept: u8) -> bool {
        let (mut low, mut high) = (0.0, MODEL_LIMIT);
        let mut before: Option<(f64, f64)> = None;
        let mut rough = true;
        for _ in 0..MOST_ROUNDS {
            self.refresh();
            if !self.make_rules(kept) {
                return false;
            }
            if !self.guessed {
                self.guess(kept);
            }
            let mut ln_activity = self.ln_activity;
            let mut molality = self.molality;
            if !self.with_balance(kept, |b, _, _| {
                b.solve(rough, &mut ln_activity, &mut molality)
            }) {
                return false;
            }
            (self.ln_activity, self.molality) = (ln_activity, molality);
            let (strength, solutes) = self.sums();
            let gap = strength.min(MODEL_LIMIT) - self.strength;
            let water = water_activity(solutes);
            let water_moved = (water - self.water_activity).abs();
            self.water_activity = water;
            if gap.abs() <= STEADY * self.strength && water_moved < 0.1 * STEADY {
                if !rough {
                    return true;
                }
                rough = false;
                continue;
            }
            if high - low < 1e-12 {
                (low, high) = (0.0, MODEL_LIMIT);
            }
            let here = self.strength;
            if gap > 0.0 {
                low = here;
            } else {
                high = here;
            }
            self.strength = next_strength(here, gap, before, low, high);
            before = Some((here, gap));
        }
        false
    }

    /// Constants over activity coefficients at the present ionic strength.
    fn refresh(&mut self) {
        let mut inverse = [1.0; 32];
        let c = self.constants;
        for (slot, law) in inverse.iter_mut().zip(&c.activities) {
            *slot = (-law.ln_gamma(&c.debye_huckel, self.strength)).exp();
        }
        for &s in self.moving.as_slice() {
            let line = &c.lines[usize::from(s)];
            let mut f = line.k * inverse[line.class];
            if line.waters != 0 {
                f *= self.water_activity.powi(line.waters);
            }
            self.factor[usize::from(s)] = f;
        }
    }

    /// Rules of the gas and the solids `kept`.
    fn make_rules(&mut self, kept: u8) -> bool {
        self.rules.clear();
        if let Gas::Open { co2_atm } = self.problem.gas {
            let law = &self.constants.carbon_dioxide;
            self.rules.add(law, law.ln_k + co2_atm.ln(), self.fixed_h);
        }
        for s in (0..SOLID_COUNT).filter(|s| kept >> s & 1 == 1) {
            let law = &self.constants.solids[s];
            if !self.rules.add(law, law.ln_k, self.fixed_h) {
                return false;
            }
        }
        self.rules.wet(self.water_activity.ln());
        true
    }

    /// Run `f` on the balance with the solids not `kept` all dissolved.
    fn with_balance<T>(
        &self,
        kept: u8,
        f: impl FnOnce(&Balance<'_>, &Vector, &[f64; MAX_SPECIES]) -> T,
    ) -> T {
        let supplied = self.supplied_with(kept);
        let mut free = [0; COMPONENTS];
        let mut count = 0;
        for c in 0..COMPONENTS {
            let given = self.rules.gives(c) || (c == H && self.fixed_h.is_some());
            let moves = self.moving.as_slice().contains(&(c as u8));
            if moves && !given {
                free[count] = c;
                count += 1;
            }
        }
        let balance = Balance {
            constants: self.constants,
            species: self.moving.as_slice(),
            factor: &self.factor,
            supplied: &supplied,
            free: &free[..count],
            rules: &self.rules,
            sites: self.sites.as_ref(),
        };
        f(&balance, &self.ln_activity, &self.molality)
    }

    fn supplied_with(&self, kept: u8) -> Vector {
        let mut supplied = self.supplied;
        for (solid, amount) in self.problem.solids.iter() {
            let s = solid as usize;
            if kept >> s & 1 == 0 && amount > 0.0 {
                for (b, n) in supplied.iter_mut().zip(self.constants.solids[s].parts) {
                    *b += n * amount / self.problem.water_kg;
                }
            }
        }
        supplied
    }

    /// A first guess, as if no ion pairs formed.
    fn guess(&mut self, kept: u8) {
        self.guessed = true;
        let mut ln_activity = self.ln_activity;
        self.with_balance(kept, |b, _, _| guess(b, self.fixed_h, &mut ln_activity));
        self.ln_activity = ln_activity;
    }

    /// Ionic strength and the sum of solutes [mol/kg].
    fn sums(&self) -> (f64, f64) {
        let (mut strength, mut solutes) = (0.0, 0.0);
        for &s in self.species.as_slice() {
            let m = self.molality[usize::from(s)];
            let z = self.constants.lines[usize::from(s)].charge;
            strength += z * z * m;
            solutes += m;
        }
        let inert = self.inert().abs();
        (0.5 * (strength + inert), solutes + inert)
    }

    /// Ionic strength [mol/kg].
    pub(super) fn ionic_strength(&self) -> f64 {
        self.sums().0
    }

    /// Inert monovalent ion: positive a cation, negative an anion [mol/kg].
    pub(super) fn inert(&self) -> f64 {
        if self.fixed_h.is_some() {
            self.base_mol() / self.problem.water_kg
        } else {
            self.problem.added_base_mol / self.problem.water_kg
        }
    }

    /// Charge of the solution without the inert ion [mol_c/kg].
    pub(super) fn solution_charge(&self) -> f64 {
        let each =
            |s: &u8| self.constants.lines[usize::from(*s)].charge * self.molality[usize::from(*s)];
        self.species.as_slice().iter().map(each).sum()
    }

    /// Strong base that closes the charge balance [mol_c].
    pub(super) fn base_mol(&self) -> f64 {
        let sites = &self.problem.sites;
        let charge = if self.sites.is_some() {
            site_charge(&sites.capacity_mol, self.ph()) - sites.reference_charge_mol
        } else {
            0.0
        };
        charge - self.problem.water_kg * self.solution_charge()
    }

    /// pH.
    pub(super) fn ph(&self) -> f64 {
        -self.ln_activity[H] / LN_10
    }

    /// ln of the activity of water.
    pub(super) fn ln_water_activity(&self) -> f64 {
        self.water_activity.ln()
    }

    /// Places of the species that can exist.
    pub(super) fn species(&self) -> &[u8] {
        self.species.as_slice()
    }
}

const _: () = assert!(MAX_RULES > SOLID_COUNT);

/// Next ionic strength: secant where it stays between the bounds, else the
/// plain substitution, else the middle.
fn next_strength(here: f64, gap: f64, before: Option<(f64, f64)>, low: f64, high: f64) -> f64 {
    let inside = |x: &f64| *x > low && *x < high;
    let secant = before
        .map(|(x, g)| here - gap * (here - x) / (gap - g))
        .filter(inside);
    let plain = Some(here + gap).filter(|x| inside(x) || *x == high);
    secant.or(plain).unwrap_or(0.5 * (low + high))
}

/// One bit for each that is true.
fn bits(flags: &[bool; COMPONENTS]) -> u32 {
    let each = flags.iter().enumerate();
    each.fold(0, |all, (c, flag)| all | u32::from(*flag) << c)
}

/// Most solids first, so that little has to dissolve.
fn untried(allowed: u8, tried: u64) -> Option<u8> {
    (0..1u8 << SOLID_COUNT)
        .filter(|k| k & !allowed == 0 && tried >> k & 1 == 0)
        .max_by_key(|k| k.count_ones())
}
