//! What a dose does besides pH: salt in the pore water, ammonia gas, and the
//! heat of slaking quicklime.

use crate::bed::possible::PossibleBed;
use crate::bed::product::{Action, Product};
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::table::{TableError, Tables};

/// What no step may pass, and the numbers salt is counted with; all from the
/// tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// Largest pH step with worms in the bed [pH].
    pub step_ph: f64,
    /// Largest rise of salt in one step with worms in the bed [mS/cm].
    pub step_ec: f64,
    /// pH no step may pass in one bed in ten, with worms in the bed.
    pub ceiling_stocked: f64,
    /// The same without worms.
    pub ceiling_empty: f64,
    /// pH below which worms are uneasy.
    pub uneasy_below: f64,
    ec_per_meq_per_l: f64,
    calcium_in_solution: f64,
    ash_salt_share: f64,
    /// Most that slaking may warm the whole bed in one step [K].
    pub step_slaking_kelvin: f64,
    dry_heat: f64,
    water_heat: f64,
}

impl Rules {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let dose = |property: &str| tables.value("constants", "dose", property);
        let bed = |property: &str| tables.value("bed", "bed", property);
        Ok(Self {
            step_ph: dose("max_ph_step_stocked")?,
            step_ec: dose("max_ec_step_stocked_ms_cm")?,
            ceiling_stocked: tables.value("bed", "dose", "ceiling_ph_stocked")?,
            ceiling_empty: tables.value("bed", "dose", "ceiling_ph_empty")?,
            uneasy_below: tables.value("tolerances", "worms", "ph_uncomfortable_below")?,
            ec_per_meq_per_l: tables.value("constants", "ec", "ms_cm_per_meq_l")?,
            calcium_in_solution: bed("calcium_left_in_solution")?,
            ash_salt_share: bed("ash_soluble_salt_share")?,
            step_slaking_kelvin: tables.value("bed", "dose", "max_slaking_rise_kelvin")?,
            dry_heat: tables.value("living", "heat", "dry_heat_kj_per_kg_k")?,
            water_heat: tables.value("living", "heat", "water_heat_kj_per_kg_k")?,
        })
    }

    /// pH no step may pass in one bed in ten.
    #[must_use]
    pub fn ceiling(&self, stocked: bool) -> f64 {
        if stocked {
            self.ceiling_stocked
        } else {
            self.ceiling_empty
        }
    }

    /// Rise of pore-water conductivity [mS/cm] from `base` [mol_c] of a product,
    /// before the bedding takes up any potassium or sodium: the most it can be.
    #[must_use]
    pub fn ec_rise(&self, product: &Product, bed: &PossibleBed, base: f64) -> f64 {
        let share = match product.action {
            Action::Soluble => 1.0,
            Action::Ash => self.ash_salt_share,
            Action::Ground | Action::Caustic => self.calcium_in_solution,
            _ => 0.0,
        };
        self.ec_per_meq_per_l * share * (1000.0 * base).max(0.0) / bed.water_kg.max(0.1)
    }
}

impl Rules {
    /// Rise of the whole bed's temperature [K] as `base` [mol_c] of a product
    /// slakes, none of the heat lost: `q b / (c_d m_d + c_w m_w)`. Where it
    /// lies in a lump it boils.
    #[must_use]
    pub fn slaking_rise(&self, product: &Product, bed: &PossibleBed, base: f64) -> f64 {
        let holds = self.dry_heat * bed.dry_kg + self.water_heat * bed.water_kg;
        product.slaking_kj_per_mol_c * base.max(0.0) / holds.max(0.1)
    }
}

/// By how much the share of ammonia that is gas grows when pH goes from
/// `before` to `after` [-].
#[must_use]
pub fn ammonia_factor(bed: &PossibleBed, before: f64, after: f64) -> f64 {
    free_ammonia_fraction(bed.temperature, after) / free_ammonia_fraction(bed.temperature, before)
}
