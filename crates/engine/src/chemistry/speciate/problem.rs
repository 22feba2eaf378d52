//! What is asked.

use crate::bounds;
use crate::bounds::Bound;
use crate::chemistry::constants::Constants;
use crate::chemistry::sites::SiteLoad;
use crate::chemistry::solids::Solids;
use crate::chemistry::species::Totals;
use crate::chemistry::{ChemistryError, check};
use crate::quantity::Celsius;

/// The air above the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gas {
    /// Shut: dissolved inorganic carbon is kept.
    Closed,
    /// Open to carbon dioxide at a steady pressure.
    Open {
        /// Partial pressure (taken as fugacity) of CO2 [atm].
        co2_atm: f64,
    },
}

/// One body of water with what is in and around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Problem {
    /// Temperature, 2-40 [°C].
    pub temperature: Celsius,
    /// Air above the water.
    pub gas: Gas,
    /// Water [kg].
    pub water_kg: f64,
    /// Dissolved at the start [mol per kg of water].
    pub totals: Totals,
    /// Solids that may dissolve or form [mol].
    pub solids: Solids,
    /// Sites of the bedding in this water [mol_c].
    pub sites: SiteLoad,
    /// Strong base with an inert monovalent ion [mol_c]; negative: strong acid.
    pub added_base_mol: f64,
}

/// Range of site capacities and added base.
const CHARGE_MOL: Bound = Bound {
    name: "charge",
    unit: "mol of charge",
    low: -1_000_000.0,
    high: 1_000_000.0,
    why: "a bin holds far less acid or base",
};

/// Range of a site capacity.
const CAPACITY_MOL: Bound = Bound {
    low: 0.0,
    ..CHARGE_MOL
};

impl Problem {
    /// One kilogram of pure water at 25 °C, shut.
    #[must_use]
    pub fn water() -> Self {
        Self {
            temperature: Celsius(25.0),
            gas: Gas::Closed,
            water_kg: 1.0,
            totals: Totals::default(),
            solids: Solids::NONE,
            sites: SiteLoad::default(),
            added_base_mol: 0.0,
        }
    }

    pub(super) fn check(&self, constants: &Constants) -> Result<(), ChemistryError> {
        check(
            "temperature_celsius",
            &bounds::CHEMISTRY_CELSIUS,
            self.temperature.0,
        )?;
        if self.temperature != constants.temperature() {
            return Err(ChemistryError::OtherTemperature {
                problem: self.temperature.0,
                constants: constants.temperature().0,
            });
        }
        if let Gas::Open { co2_atm } = self.gas {
            check("co2_atm", &bounds::CO2_ATM, co2_atm)?;
        }
        check("water_kg", &bounds::WATER_KG, self.water_kg)?;
        self.totals.check()?;
        for (solid, amount) in self.solids.iter() {
            check(solid.name(), &bounds::SOLID_MOL, amount)?;
        }
        for q in self.sites.capacity_mol {
            check("site capacity", &CAPACITY_MOL, q)?;
        }
        let reference = self.sites.reference_charge_mol;
        check("site reference charge", &CHARGE_MOL, reference)?;
        check("added base", &CHARGE_MOL, self.added_base_mol)?;
        Ok(())
    }
}
