//! The charge balance of the bed's water, solved.
//!
//! E3: sum over sites of Q(pH) - Q(reference) [mol_c]
//!     + water x (anion charge - cation charge) [mol_c/kg] = added base [mol_c],
//! with every species by mass action, every total kept, and each solid either
//! present at saturation or gone.
//!
//! How it is solved. At a given ionic strength the equilibrium is the minimum
//! of a convex function of the logarithms of the activities (sum of molalities
//! less totals times logarithms, plus the sites' logarithmic terms), so a
//! guarded Newton search ([`newton`]) has one answer and reaches it; a gas or a
//! solid at saturation is a linear equation among the logarithms and is
//! eliminated ([`elimination`]). Which solids remain is found by adding the
//! supersaturated and dropping the exhausted. Ionic strength is then a root in
//! one unknown, held in a bracket. Should the search in pH ever fail, pH itself
//! is found by bisection on [`base_at_ph`].
//!
//! Checked against PHREEQC for 2-40 °C and ionic strength to 0.1 mol/kg.
//! Method of the dual: White, Johnson and Dantzig 1958, J. Chem. Phys. 28:751.

mod answer;
mod elimination;
mod guess;
mod joint;
mod newton;
mod places;
mod problem;
mod search;

pub use answer::Equilibrium;
pub use problem::{Gas, Problem};

use super::ChemistryError;
use super::constants::{AqueousModel, Constants};
use crate::bounds;
use search::Search;

/// Solve `problem` to equilibrium.
///
/// # Errors
/// [`ChemistryError`] naming the value out of range.
///
/// # Example
/// Rain water: air and nothing else.
/// ```
/// use engine::chemistry::{AqueousModel, Gas, Problem, equilibrate};
/// let model = AqueousModel::load()?;
/// let rain = Problem { gas: Gas::Open { co2_atm: 0.00042 }, ..Problem::water() };
/// let answer = equilibrate(&model, &rain)?;
/// assert!((answer.ph - 5.60).abs() < 0.01);
/// # Ok::<(), engine::chemistry::ChemistryError>(())
/// ```
pub fn equilibrate(model: &AqueousModel, problem: &Problem) -> Result<Equilibrium, ChemistryError> {
    model.at(problem.temperature)?.equilibrate(problem)
}

/// Strong base [mol_c] to add to `problem` so that its equilibrium pH is `ph`;
/// negative: strong acid. The base comes with an inert monovalent ion. Rises
/// with `ph`.
///
/// # Errors
/// [`ChemistryError`] naming the value out of range.
pub fn base_at_ph(model: &AqueousModel, problem: &Problem, ph: f64) -> Result<f64, ChemistryError> {
    model.at(problem.temperature)?.base_at_ph(problem, ph)
}

impl Constants {
    /// As [`equilibrate`], with the constants at hand; nothing is allocated.
    ///
    /// # Errors
    /// [`ChemistryError`] naming the value out of range, or the temperature if
    /// it is not that of these constants.
    pub fn equilibrate(&self, problem: &Problem) -> Result<Equilibrium, ChemistryError> {
        problem.check(self)?;
        let mut search = Search::new(self, problem, None);
        if !search.run() {
            let ph = self.bisect_ph(problem)?;
            search = Search::new(self, problem, Some(ph));
            if !search.run() {
                return Err(ChemistryError::Unsolved);
            }
        }
        Ok(search.answer())
    }

    /// As [`base_at_ph`], with the constants at hand; nothing is allocated.
    ///
    /// # Errors
    /// [`ChemistryError`] naming the value out of range.
    pub fn base_at_ph(&self, problem: &Problem, ph: f64) -> Result<f64, ChemistryError> {
        problem.check(self)?;
        super::check("ph", &bounds::PH, ph)?;
        self.base_unchecked(problem, ph)
    }

    fn base_unchecked(&self, problem: &Problem, ph: f64) -> Result<f64, ChemistryError> {
        let mut search = Search::new(self, problem, Some(ph));
        if search.run() {
            Ok(search.base_mol() - problem.added_base_mol)
        } else {
            Err(ChemistryError::Unsolved)
        }
    }

    /// pH where no more base is wanted, by bisection.
    fn bisect_ph(&self, problem: &Problem) -> Result<f64, ChemistryError> {
        let (mut low, mut high) = (-10.0, 28.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.base_unchecked(problem, middle)? > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        Ok(0.5 * (low + high))
    }
}
