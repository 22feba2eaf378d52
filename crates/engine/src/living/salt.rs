//! Salt: what of it stands in the water, and so what a conductivity meter and
//! a worm meet.
//!
//! Water is neutral by itself. Charged sites of humus and castings hold as
//! many cations as they have charges, and what they hold conducts nothing; in
//! the water stand as many cations as there are anions that no site binds. So
//! conductivity follows the anions, and not all the potassium ever fed:
//!
//! `EC = k (Cl + SO4 + NO3 + organic anions + HCO3) / 5 L/kg`
//!
//! Potassium comes with food mostly as the salt of organic acids. While those
//! are there it conducts; when they have rotted, their base, and no other, is
//! posted to the bed, and the potassium goes to the sites, or stays with
//! bicarbonate where the bed is alkaline. Acids of decay and nitrate bring it out
//! again.
//!
//! All conductivities are those of a 1:5 extract by dry mass, in the bed as well
//! as in the tolerances of worms. So is the bicarbonate: that of five litres of
//! water a kilogram at the bed's pH and the carbon dioxide of an extract, which
//! are as many cations as that water holds. What of a listed conductivity is
//! bicarbonate at the listed pH is not counted as another salt.

use crate::bed::possible::PossibleBed;
use crate::chemistry::pore::{Pore, Solutes};
use crate::living::life::Life;
use crate::living::nature::Priors;
use crate::living::rot::Kind;
use crate::quantity::Celsius;
use crate::table::{Material, Property, TableError, Tables};
use std::collections::BTreeMap;

/// Water of the extract by which all conductivities here are defined, 1:5
/// [kg/kg dry].
pub(super) const EXTRACT: f64 = 5.0;

/// Pore water open to a usual bed's carbon dioxide, as warm as a room.
///
/// # Errors
/// [`TableError`] when a number is missing.
pub(super) fn open_water(tables: &Tables) -> Result<Pore, TableError> {
    let co2 = tables.value("gases", "normal_bedding", "co2_atm")?;
    let strength = tables.value("bed", "bed", "ionic_strength_mol_per_kg")?;
    let celsius = tables.value("living", "salt", "extract_celsius")?;
    Ok(Pore::new(
        Celsius(celsius),
        co2,
        strength,
        Solutes::default(),
    ))
}

/// Table salt in the dry matter of each feed that is listed with some
/// [mol/kg]: percent of `ration.csv` over the molar mass.
///
/// # Errors
/// [`TableError`] when a number is missing.
pub(super) fn table_salt(tables: &Tables) -> Result<BTreeMap<String, f64>, TableError> {
    let mut all = BTreeMap::new();
    for m in tables.materials() {
        if let Some(percent) = tables.value_if_listed("ration", "salt_percent", &m.key)? {
            all.insert(m.key.clone(), percent / 100.0 / SODIUM_CHLORIDE_KG_PER_MOL);
        }
    }
    Ok(all)
}

/// Molar mass of sodium chloride [kg/mol].
const SODIUM_CHLORIDE_KG_PER_MOL: f64 = 0.058_443;

/// Bicarbonate of an extract of a kilogram of dry matter at `ph` [mol/kg]: it
/// rises tenfold a pH unit.
fn bicarbonate(p: &Priors, ph: f64) -> f64 {
    let over = (ph.min(p.constants.bicarbonate_most_ph) - 7.0) * std::f64::consts::LN_10;
    EXTRACT * p.extract_co2 * p.bicarbonate_at_7 * over.exp()
}

/// Salts that a material brings.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Brought {
    /// Those that last, as conductivity of a 1:5 extract times dry matter
    /// [mS/cm kg].
    pub(super) lasting: f64,
    /// Those of organic acids, in the same unit.
    pub(super) of_acids: f64,
    /// Potassium that stands against organic acids, dissolved or not [mol].
    pub(super) alkali: f64,
}

/// Salts that `dry` [kg] of a material brings. `ec` is its conductivity, `ph` its
/// pH; table salt, where it is listed with some, comes on top of a conductivity
/// that nobody measured.
#[must_use]
pub(super) fn brought(
    (m, kind): (Option<&Material>, Option<Kind>),
    dry: f64,
    (ec, ph): (f64, f64),
    p: &Priors,
) -> Brought {
    let (c, k) = (&p.constants, p.constants.anion_ec);
    let of = |property| m.and_then(|m| m.triple(property)).map(|(_, v, _)| v);
    let other = dry * (ec - k * bicarbonate(p, ph)).max(0.0);
    let acids = match kind {
        Some(Kind::Manure) => 1.0 - c.mineral_salt_dung,
        Some(kind) if kind.is_fresh() => 1.0 - c.mineral_salt,
        _ => 0.0,
    };
    let listed = of(Property::EcMsCm).is_some();
    let table = m.filter(|_| !listed).and_then(|m| p.table_salt.get(&m.key));
    let potassium = of(Property::PotassiumPercent).unwrap_or(0.0) * c.potassium_ec / k;
    Brought {
        lasting: other * (1.0 - acids) + table.map_or(0.0, |mol| mol * dry * k),
        of_acids: other * acids,
        alkali: if kind.is_some_and(Kind::is_plant) {
            dry * potassium * acids
        } else {
            0.0
        },
    }
}

/// Anions that decay and the bed's pH bring into an extract [mol_c]: nitrate,
/// acids as far as they are dissociated, and bicarbonate; the bed at `ph`, with
/// `dry_kg` of dry matter [kg].
#[must_use]
pub fn anions(life: &Life, p: &Priors, ph: f64, dry_kg: f64) -> f64 {
    life.nitrate + life.acid_posted.max(0.0) + bicarbonate(p, ph) * dry_kg
}

/// Carbon dioxide of such a water over that of a usual bed [-].
///
/// # Errors
/// [`TableError`] when a number is missing.
pub(super) fn over_usual(tables: &Tables, subject: &str) -> Result<f64, TableError> {
    let of = |subject| tables.value("gases", subject, "co2_atm");
    Ok(of(subject)? / of("normal_bedding")?)
}

/// Conductivity of a 1:5 extract [mS/cm].
#[must_use]
pub fn ec_ms_per_cm(life: &Life, bed: &PossibleBed, p: &Priors, dry_kg: f64) -> f64 {
    ec_at(life, p, bed.ph(), dry_kg)
}

/// The same where the pH of the bed is known.
pub(super) fn ec_at(life: &Life, p: &Priors, ph: f64, dry_kg: f64) -> f64 {
    let anions = anions(life, p, ph, dry_kg) * p.constants.anion_ec;
    (life.salt + life.salt_of_acids + anions) / dry_kg.max(1e-6)
}
