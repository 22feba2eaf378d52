//! pH: it goes to the level of what lies in the bin, first order, and lime lifts
//! it by a linear buffer.
//!
//! `pH += (level + limed - pH) (1 - e^(-1/τ))`, the level the mean of the
//! materials' own by dry mass; of lime a first-order share dissolves a day, less
//! as pH comes near where limestone stands, and lifts pH and level by mol of
//! charge over buffer. Beside it pH wanders, for reasons nobody can name.

use super::chance::{Book, Chance};
use crate::table::TableError;

/// Sourness of one bin.
#[derive(Debug, Clone)]
pub(super) struct Sourness {
    relaxes: f64,
    wander_sd: f64,
    wander_keeps: f64,
    dissolves: f64,
    mol_c_per_kg: f64,
    until: f64,
    undissolved_mol_c: f64,
    limed: f64,
    course: f64,
    wander: f64,
}

impl Sourness {
    /// Draws how it goes; it begins at [`Sourness::begin`].
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        let day_of = |days: f64| 1.0 - (-1.0 / days).exp();
        let wander_sd = book.times(("ph", "wander_ph"), c)?;
        Ok(Self {
            relaxes: day_of(book.times(("ph", "relax_days"), c)?),
            wander_sd,
            wander_keeps: 1.0 - day_of(book.times(("ph", "wander_days"), c)?),
            dissolves: day_of(book.times(("ph", "lime_days"), c)?),
            mol_c_per_kg: book.around(("ph", "lime_mol_c_per_kg"), c)?,
            until: book.around(("ph", "lime_until"), c)?,
            undissolved_mol_c: 0.0,
            limed: 0.0,
            course: 7.0,
            wander: wander_sd * c.bell(),
        })
    }

    /// A bed as filled stands where its matter stands.
    pub(super) fn begin(&mut self, level: f64) {
        self.course = level;
    }

    /// pH now.
    pub(super) fn ph(&self) -> f64 {
        self.course + self.wander
    }

    /// So much ground limestone is mixed in [kg].
    pub(super) fn lime(&mut self, kg: f64) {
        self.undissolved_mol_c += kg * self.mol_c_per_kg;
    }

    /// A day towards `level`, of matter that takes `buffer` [mol_c/pH].
    pub(super) fn day(&mut self, c: &mut Chance, level: f64, buffer: f64) {
        let room = (self.until - self.ph()).max(0.0);
        let dissolved = self.dissolves * room.min(1.0) * self.undissolved_mol_c;
        let dissolved = dissolved.min(room * buffer);
        self.undissolved_mol_c -= dissolved;
        let lifted = dissolved / buffer.max(1e-9);
        self.limed += lifted;
        self.course += lifted;
        self.course += (level + self.limed - self.course) * self.relaxes;
        let fresh = (1.0 - self.wander_keeps.powi(2)).sqrt();
        self.wander = self.wander_keeps * self.wander + fresh * self.wander_sd * c.bell();
    }
}
