//! Exchange sites: how much acid each bedding holds, by strength.
//!
//! Charge of a material at a pH is the sum over sites i of
//! `q_i / (1 + 10^(pKa_i - pH))`, with pKa 3, 4, ... 10; because sites are one
//! pH unit apart, `q_i` reads as cmol per kg per pH unit near that pH.
//! Conditional on low ionic strength; the salt effect is added elsewhere.
//! Peat capacities are fitted to abstracts of Rippy & Nelson 2007, Bishko et
//! al. 2002 and the compost and limestone study in HortScience; the fit is
//! good to a factor of about 1.35.

use super::embedded::Cells;
use super::{TableError, Tables};

/// The strengths of the sites.
pub const PKA: [f64; 8] = [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0];

/// Site capacities of a class of materials, or of one material.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteClass {
    /// Class name.
    pub class: String,
    /// Capacity at each strength of [`PKA`] [cmol of charge per kg dry].
    pub capacity_cmol_kg: [f64; 8],
    /// Geometric standard deviation of the common scale.
    pub gsd: f64,
    /// Key of the source.
    pub source: String,
    /// Why this class and scale.
    pub note: String,
}

/// Which class a material has, and how much of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Mapping {
    pub(crate) material: String,
    pub(crate) class: String,
    pub(crate) scale: f64,
    pub(crate) source: String,
    pub(crate) reason: String,
}

impl SiteClass {
    /// Charge at a pH [mol of charge per kg dry].
    #[must_use]
    pub fn charge_mol_kg(&self, ph: f64) -> f64 {
        let sites = PKA.iter().zip(self.capacity_cmol_kg);
        sites
            .map(|(pka, q)| q / 100.0 / (1.0 + 10f64.powf(pka - ph)))
            .sum()
    }

    pub(crate) fn read(tables: &Tables, class: &str) -> Result<Self, TableError> {
        let mut capacity_cmol_kg = [0.0; 8];
        for (slot, pka) in capacity_cmol_kg.iter_mut().zip(PKA) {
            *slot = tables.value("sites", class, &format!("pka_{pka}"))?;
        }
        let gsd = tables.number("sites", class, "gsd")?;
        Ok(Self {
            class: class.to_owned(),
            capacity_cmol_kg,
            gsd: tables.value("sites", class, "gsd")?,
            source: tables.number("sites", class, "pka_5")?.source.clone(),
            note: gsd.note.clone(),
        })
    }

    pub(crate) fn scaled(&self, mapping: &Mapping) -> Self {
        Self {
            capacity_cmol_kg: self.capacity_cmol_kg.map(|q| q * mapping.scale),
            note: mapping.reason.clone(),
            ..self.clone()
        }
    }
}

impl Mapping {
    pub(crate) fn read(cells: &Cells) -> Result<Self, TableError> {
        let scale = cells.number("scale")?.unwrap_or(1.0);
        if scale <= 0.0 {
            return Err(cells.wrong(format!("scale {scale} is not above 0")));
        }
        Ok(Self {
            material: cells.filled("material")?,
            class: cells.filled("class")?,
            scale,
            source: cells.filled("source")?,
            reason: cells.filled("reason")?,
        })
    }
}
