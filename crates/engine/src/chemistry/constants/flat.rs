//! Species in a shape without branches, for the solver's inner loop.

use super::Line;
use crate::chemistry::ChemistryError;
use crate::chemistry::species::{COMPONENTS, H};

/// Place of the partner that is not there: its activity is 1.
pub(crate) const NOBODY: usize = COMPONENTS;

/// Room for the components and the partner that is not there: a power of two,
/// so that a masked place needs no check of its bounds.
pub(crate) const SLOTS: usize = 32;

/// Least power of the hydrogen activity held.
pub(crate) const LEAST_POWER: i32 = -4;

/// Powers of the hydrogen activity held, from [`LEAST_POWER`].
pub(crate) const POWERS: usize = 16;

/// A species as constant x h^n x a(first) x a(second): every species in the
/// table has that shape, and a loop over one shape has no branch to mispredict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Flat {
    /// First component apart from H+, or [`NOBODY`].
    pub(crate) first: u8,
    /// Second, or the first again where it counts twice, or [`NOBODY`].
    pub(crate) second: u8,
    /// Hydrogens less [`LEAST_POWER`].
    pub(crate) power: u8,
    /// Which activity law.
    pub(crate) class: u8,
    /// Waters taken up.
    pub(crate) waters: i8,
    /// Hydrogens [1].
    pub(crate) hydrogens: f64,
    /// The constant, in activities.
    pub(crate) k: f64,
    /// Charge [1].
    pub(crate) charge: f64,
}

/// Every line in that shape.
///
/// # Errors
/// [`ChemistryError::Table`] when a species holds more than two components
/// apart from H+.
pub(super) fn all(lines: &[Line]) -> Result<Vec<Flat>, ChemistryError> {
    let shaped: Option<Vec<Flat>> = lines.iter().map(Flat::of).collect();
    shaped.ok_or_else(|| ChemistryError::Table {
        line: 0,
        what: "a species holds more than two components apart from H+".to_owned(),
    })
}

impl Flat {
    /// Places of the two partners.
    pub(crate) fn partners(&self) -> (usize, usize) {
        let place = |c: u8| usize::from(c) % SLOTS;
        (place(self.first), place(self.second))
    }

    /// Place of the power of the hydrogen activity.
    pub(crate) fn power(&self) -> usize {
        usize::from(self.power) % POWERS
    }

    /// `line` in that shape; `None`: it has another.
    pub(super) fn of(line: &Line) -> Option<Self> {
        let (mut partners, mut count, mut hydrogens) = ([NOBODY as u8; 2], 0, 0);
        for &(c, n) in line.used() {
            if usize::from(c) == H {
                hydrogens = i32::from(n);
                continue;
            }
            for _ in 0..usize::try_from(n).ok()? {
                *partners.get_mut(count)? = c;
                count += 1;
            }
        }
        let power = u8::try_from(hydrogens - LEAST_POWER).ok()?;
        (usize::from(power) < POWERS).then_some(Self {
            first: partners[0],
            second: partners[1],
            power,
            class: u8::try_from(line.class).ok().filter(|c| *c < 32)?,
            waters: i8::try_from(line.waters).ok()?,
            hydrogens: f64::from(hydrogens),
            k: line.k,
            charge: line.charge,
        })
    }
}
