//! What holds for a whole bed, whatever is in it.

use crate::bed::curve::Curve;
use crate::bed::possible::Chalk;
use crate::bed::product::Ranged;
use crate::chemistry::sites::site_charge;
use crate::quantity::Celsius;
use crate::table::{TableError, Tables};

/// What holds for the whole bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// Temperature [°C].
    pub temperature: Celsius,
    /// Carbon dioxide in the bed air [atm].
    pub co2_atm: Ranged,
    /// Calcium in the pore water [mmol/L].
    pub pore_calcium_mmol: Ranged,
    /// Background ionic strength of the pore water [mol/kg].
    pub ionic_strength: f64,
    /// Fastest retreat of a lime grain [µm/day].
    pub lime_um_per_day: Ranged,
    /// Its activation energy [kJ/mol].
    pub activation_kj_per_mol: f64,
    /// Salt of a material for which nobody lists it [mS/cm].
    pub unlisted_ec: Ranged,
    /// Conductivity of a 1:5 extract per percent of potassium in dry matter [mS/cm].
    pub potassium_ec: f64,
    /// Size of the carbonate grains in paper and compost [µm].
    pub carbonate_um: Ranged,
    /// What caustic lime turns to.
    pub chalk: Chalk,
    /// Charge of the acid sites of new humus [mol_c/kg].
    pub humus: Curve,
    /// Uncertainty of a pH the keeper measured on a material [pH].
    pub own_ph_sd: f64,
    /// How far a bed as filled may stand from the sum of its parts [pH].
    pub start_error_ph: f64,
    /// Sourest a possible bed is taken to be [pH].
    pub least_ph: f64,
    /// Most alkaline [pH].
    pub most_ph: f64,
}

impl Conditions {
    /// Usual conditions of a bed at a temperature.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn usual(tables: &Tables, temperature: Celsius) -> Result<Self, TableError> {
        let bed = |property: &str| Ranged::of(tables, "bed", "bed", property);
        let lime = |property: &str| Ranged::of(tables, "dissolution", "bedding", property);
        Ok(Self {
            temperature,
            co2_atm: Ranged::of(tables, "gases", "normal_bedding", "co2_atm")?,
            pore_calcium_mmol: lime("pore_calcium_mmol_l")?,
            ionic_strength: bed("ionic_strength_mol_per_kg")?.value,
            lime_um_per_day: lime("retreat_cap_um_per_day")?,
            activation_kj_per_mol: lime("activation_energy_kj_mol")?.value,
            unlisted_ec: bed("unlisted_ec_ms_per_cm")?,
            potassium_ec: tables.value("living", "salt", "potassium_ms_per_percent")?,
            carbonate_um: bed("filler_grain_um")?,
            chalk: Chalk {
                per_day: tables.value("bed", "dose", "chalk_per_day")?,
                grain_um: tables.value("bed", "dose", "chalk_grain_um")?,
            },
            humus: humus(tables)?,
            own_ph_sd: bed("own_ph_sd")?.value,
            start_error_ph: bed("start_error_ph")?.value,
            least_ph: tables.value("estimate", "ph", "least")?,
            most_ph: tables.value("estimate", "ph", "most")?,
        })
    }
}

/// Charge of the acid sites of new humus against pH [mol_c/kg]: those of compost
/// by so much more organic matter as humus has.
fn humus(tables: &Tables) -> Result<Curve, TableError> {
    let factor = tables.value("living", "humus", "sites_of_compost")? / 100.0;
    let compost = tables.sites("vermicompost")?.capacity_cmol_kg;
    Ok(Curve::tabulate(|ph| factor * site_charge(&compost, ph)))
}
