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
    /// pH an acid bed is brought to unless the keeper says otherwise.
    pub target_up: f64,
    /// pH an over-limed bed is brought down to.
    pub target_down: f64,
    /// Chance of standing where worms are uneasy which asks for a dose.
    pub uneasy_chance: f64,
    /// Median below which a bed with worms is dosed anyway.
    pub dose_below: f64,
    /// How much sooner a bed without worms is dosed [pH].
    pub empty_sooner: f64,
    /// pH above which a bed is over-limed.
    pub over_ph: f64,
    /// Chance of standing there which asks for bringing down.
    pub over_chance: f64,
    /// Median above which a bed is brought down anyway.
    pub over_above: f64,
    /// Half-width of the 80 % interval beyond which a stocked bed is not dosed
    /// blind [pH].
    pub blind: f64,
    /// This close to the target is there [pH].
    pub close: f64,
    /// Days until the next look at a bed that needs no dose [d].
    pub stay_days: f64,
    /// Days until the next look at a bed that needs one and has no plan [d].
    pub soon_days: f64,
    /// Soonest re-reading after a step [d].
    pub soonest_reread: u32,
    /// Latest re-reading after a step [d].
    pub latest_reread: u32,
    /// Share of a step that should have acted by the re-reading [0 to 1].
    pub mostly_acted: f64,
    /// Most grams ever looked at, per kg of dry bedding [g/kg].
    pub most_grams_per_kg: f64,
}

impl Rules {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let dose = |property: &str| tables.value("constants", "dose", property);
        let bed = |property: &str| tables.value("bed", "bed", property);
        let rule = |property: &str| tables.value("bed", "dose", property);
        Ok(Self {
            step_ph: dose("max_ph_step_stocked")?,
            step_ec: dose("max_ec_step_stocked_ms_cm")?,
            ceiling_stocked: rule("ceiling_ph_stocked")?,
            ceiling_empty: rule("ceiling_ph_empty")?,
            uneasy_below: tables.value("tolerances", "worms", "ph_uncomfortable_below")?,
            ec_per_meq_per_l: tables.value("constants", "ec", "ms_cm_per_meq_l")?,
            calcium_in_solution: bed("calcium_left_in_solution")?,
            ash_salt_share: bed("ash_soluble_salt_share")?,
            step_slaking_kelvin: rule("max_slaking_rise_kelvin")?,
            dry_heat: tables.value("living", "heat", "dry_heat_kj_per_kg_k")?,
            water_heat: tables.value("living", "heat", "water_heat_kj_per_kg_k")?,
            target_up: rule("target_up_ph")?,
            target_down: rule("target_down_ph")?,
            uneasy_chance: rule("uneasy_chance")?,
            dose_below: rule("dose_below_ph")?,
            empty_sooner: rule("empty_sooner_ph")?,
            over_ph: rule("over_ph")?,
            over_chance: rule("over_chance")?,
            over_above: rule("over_above_ph")?,
            blind: rule("blind_half_width_ph")?,
            close: rule("close_ph")?,
            stay_days: rule("stay_days")?,
            soon_days: rule("soon_days")?,
            soonest_reread: rule("soonest_reread_days")? as u32,
            latest_reread: rule("latest_reread_days")? as u32,
            mostly_acted: rule("mostly_acted_share")?,
            most_grams_per_kg: rule("most_grams_per_kg")?,
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
