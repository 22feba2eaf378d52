//! What is dissolved: the building blocks the solver counts, and their totals.

use super::{ChemistryError, check};
use crate::bounds;

/// Number of building blocks (components), H+ first.
pub const COMPONENTS: usize = 16;

/// Most dissolved species the solver holds.
pub const MAX_SPECIES: usize = 64;

/// Place of H+ among the components.
pub(crate) const H: usize = 0;
/// Place of carbonate among the components.
pub(crate) const CO3: usize = 1;
/// Place of potassium among the components.
pub(crate) const POTASSIUM: usize = 5;
/// Place of chloride among the components.
pub(crate) const CHLORIDE: usize = 10;

/// Names of the components as in the table of constants.
pub(crate) const COMPONENT_NAMES: [&str; COMPONENTS] = [
    "H+",
    "CO3-2",
    "Ca+2",
    "Mg+2",
    "Na+",
    "K+",
    "NH4+",
    "SO4-2",
    "PO4-3",
    "NO3-",
    "Cl-",
    "Acetate-",
    "Lactate-",
    "Propionate-",
    "Butyrate-",
    "Citrate-3",
];

macro_rules! totals {
    ($($(#[$doc:meta])* $field:ident $index:literal $name:literal,)*) => {
        /// Amount dissolved of each element or acid, over all its species
        /// [mol per kg of water].
        #[derive(Debug, Clone, Copy, PartialEq, Default)]
        pub struct Totals {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl Totals {
            /// Names as written in files, in the order of [`Totals::values`].
            pub const NAMES: [&'static str; COMPONENTS - 1] = [$($name),*];

            /// The totals [mol/kg] in the order of [`Totals::NAMES`].
            #[must_use]
            pub fn values(&self) -> [f64; COMPONENTS - 1] {
                [$(self.$field),*]
            }

            /// The total of that name [mol/kg], to read or to set.
            pub fn named_mut(&mut self, name: &str) -> Option<&mut f64> {
                match name {
                    $($name => Some(&mut self.$field),)*
                    _ => None,
                }
            }

            /// By component; H+ is left at zero.
            pub(crate) fn by_component(&self) -> [f64; COMPONENTS] {
                let mut all = [0.0; COMPONENTS];
                $(all[$index] = self.$field;)*
                all
            }

            /// From amounts by component.
            pub(crate) fn from_components(all: &[f64; COMPONENTS]) -> Self {
                Self { $($field: all[$index],)* }
            }
        }
    };
}

totals! {
    /// Potassium.
    k 5 "K",
    /// Sodium.
    na 4 "Na",
    /// Calcium.
    ca 2 "Ca",
    /// Magnesium.
    mg 3 "Mg",
    /// Ammonia nitrogen, NH4+ and NH3. Counted as NH3 was added: with no
    /// anion beside it, this is ammonia water.
    nh4 6 "NH4",
    /// Chloride.
    cl 10 "Cl",
    /// Sulphate.
    so4 7 "SO4",
    /// Nitrate.
    no3 9 "NO3",
    /// Phosphate.
    po4 8 "PO4",
    /// Acetic acid and acetate.
    acetate 11 "acetate",
    /// Lactic acid and lactate.
    lactate 12 "lactate",
    /// Propionic acid and propionate.
    propionate 13 "propionate",
    /// Butyric acid and butyrate.
    butyrate 14 "butyrate",
    /// Citric acid and citrates.
    citrate 15 "citrate",
    /// Dissolved inorganic carbon; not used where the gas is open.
    carbonate 1 "carbonate",
}

impl Totals {
    /// Check every total.
    ///
    /// # Errors
    /// [`ChemistryError`] naming the first total out of range.
    pub fn check(&self) -> Result<(), ChemistryError> {
        for (name, value) in Self::NAMES.into_iter().zip(self.values()) {
            check(name, &bounds::TOTAL_MMOL, value * 1000.0)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_places_agree() {
        let mut totals = Totals::default();
        for (i, name) in Totals::NAMES.into_iter().enumerate() {
            *totals.named_mut(name).unwrap() = 1.0 + i as f64;
        }
        assert_eq!(Totals::from_components(&totals.by_component()), totals);
        assert_eq!(totals.values()[2], totals.ca);
        let text = Totals {
            ca: 2.0,
            ..Totals::default()
        }
        .check()
        .unwrap_err()
        .to_string();
        assert_eq!(
            text,
            "Ca `2000` mmol per kg water is outside the allowed range 0 to 1000 mmol per kg water (beyond 1 mol per kg the activity model does not hold)"
        );
    }
}
