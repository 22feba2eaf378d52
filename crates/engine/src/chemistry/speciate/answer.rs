//! What is answered.

use std::collections::BTreeMap;
use std::f64::consts::LN_10;

use super::search::Search;
use crate::chemistry::conductivity::conductivity;
use crate::chemistry::constants::AqueousModel;
use crate::chemistry::sites::site_charge;
use crate::chemistry::solids::{SOLID_COUNT, Solids};
use crate::chemistry::species::{CO3, COMPONENTS, MAX_SPECIES, Totals};

/// Water at equilibrium.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Equilibrium {
    /// pH, minus the logarithm of the hydrogen activity.
    pub ph: f64,
    /// Ionic strength [mol/kg].
    pub ionic_strength: f64,
    /// Conductivity at the temperature of the water [mS/cm].
    pub ec_ms_per_cm: f64,
    /// Conductivity of the same ions in water at 25 °C [mS/cm].
    pub ec25_ms_per_cm: f64,
    /// Alkalinity [meq/kg], as PHREEQC counts it: protons taken up by each
    /// species on the way to CO2, NH4+, H2PO4-, acetic, propionic and butyric
    /// acid and H2-citrate; lactate counts none.
    pub alkalinity_meq_per_kg: f64,
    /// Carbon dioxide pressure the water is in balance with [atm].
    pub co2_atm: f64,
    /// Dissolved totals [mol/kg].
    pub totals: Totals,
    /// Solids left [mol].
    pub solids_left: Solids,
    /// Saturation index (log10) of each solid of the problem, in the order of
    /// [`crate::chemistry::Solid::ALL`]; `None`: not asked, or an ingredient is
    /// absent.
    pub saturation_index: [Option<f64>; SOLID_COUNT],
    /// Charge left unbalanced, sites included [mol_c]; rounding only.
    pub residual_charge_mol: f64,
    molality: [f64; MAX_SPECIES],
}

impl Equilibrium {
    /// Molality of each species present [mol/kg], by name.
    #[must_use]
    pub fn species<'m>(&self, model: &'m AqueousModel) -> BTreeMap<&'m str, f64> {
        let all = model.species_names().zip(self.molality);
        all.filter(|(_, m)| *m > 0.0).collect()
    }
}

impl Search<'_> {
    /// The answer of a finished search.
    pub(super) fn answer(&self) -> Equilibrium {
        let c = self.constants;
        let mut molality = [0.0; MAX_SPECIES];
        let mut totals = [0.0; COMPONENTS];
        let mut alkalinity = 0.0;
        for &s in self.species() {
            let s = usize::from(s);
            let m = self.molality[s];
            molality[s] = m;
            alkalinity += 1000.0 * c.lines[s].alkalinity * m;
            for &(part, n) in c.lines[s].used() {
                totals[usize::from(part)] += f64::from(n) * m;
            }
        }
        let ionic_strength = self.ionic_strength();
        let inert = self.inert();
        let (ec, ec25) = conductivity(c, &molality[..c.lines.len()], ionic_strength, inert);
        let mut solids_left = Solids::NONE;
        let mut saturation_index = [None; SOLID_COUNT];
        for (solid, _) in self.problem.solids.iter() {
            let s = solid as usize;
            solids_left = solids_left.with(solid, self.left[s]);
            let parts = &c.solids[s].parts;
            if parts.iter().zip(self.present).all(|(n, p)| *n == 0.0 || p) {
                saturation_index[s] = Some(self.ln_saturation(s) / LN_10);
            }
        }
        let sites = &self.problem.sites;
        let site_change = site_charge(&sites.capacity_mol, self.ph()) - sites.reference_charge_mol;
        let water = self.problem.water_kg;
        Equilibrium {
            ph: self.ph(),
            ionic_strength,
            ec_ms_per_cm: ec,
            ec25_ms_per_cm: ec25,
            alkalinity_meq_per_kg: alkalinity,
            co2_atm: self.co2_atm(),
            totals: Totals::from_components(&totals),
            solids_left,
            saturation_index,
            residual_charge_mol: water * (self.solution_charge() + inert) - site_change,
            molality,
        }
    }

    fn co2_atm(&self) -> f64 {
        if !self.present[CO3] {
            return 0.0;
        }
        let law = &self.constants.carbon_dioxide;
        let product: f64 = law
            .parts
            .iter()
            .zip(self.ln_activity)
            .map(|(n, l)| n * l)
            .sum();
        (product + law.waters * self.ln_water_activity() - law.ln_k).exp()
    }
}
