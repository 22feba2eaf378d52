//! What the bedding itself does to a reading: dryness under a probe pushed in
//! as it lies, and salt.
//!
//! In-situ probes read up to about 1.5 pH higher as soil goes from dry to
//! field capacity (Vogel et al. 2024, SOIL 10:321), so a probe in dry bedding
//! reads low. Salt in the water pushes acid off the sites, so a salty bed reads
//! lower than the same bed rinsed: about 0.5 pH for each tenfold conductivity
//! (ASTM D2976: 0.5 to 0.8 between water and 0.01 M calcium chloride).

use crate::reading::instrument::Instrument;
use crate::table::{TableError, Tables};

/// What is known of the bedding where the reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Medium {
    /// Dusty or barely balling within the last two days, or below 55 % water.
    pub dry: bool,
    /// Latest conductivity [mS/cm].
    pub ec_ms_cm: Option<f64>,
}

/// What the bedding does to a reading.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MediumShift {
    /// To add to the reading for dryness [pH].
    pub dry_shift: f64,
    /// Uncertainty this adds [pH].
    pub dry_sd: f64,
    /// How much higher the bed would read rinsed of its salt [pH]; said, not
    /// added: the salt is there, and so is the acid it frees.
    pub salt_lowers: f64,
}

impl Medium {
    /// What this bedding does to a reading with `instrument`.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn shift(
        &self,
        tables: &Tables,
        instrument: &Instrument,
    ) -> Result<MediumShift, TableError> {
        let mut shift = MediumShift::default();
        if self.dry && instrument.in_bedding {
            let rise = tables.number("constants", "probe", "wetting_rise_ph")?;
            let (low, middle, high) = rise.triple().unwrap_or((0.0, 0.0, 0.0));
            shift.dry_shift = middle;
            shift.dry_sd = (high - low) / (2.0 * crate::bed::draw::Z90);
        }
        let worth_a_word = tables.value("constants", "salt", "worth_a_word_ms_cm")?;
        if let Some(ec) = self.ec_ms_cm.filter(|ec| *ec > worth_a_word) {
            let per_decade = tables.value("constants", "salt", "ph_fall_per_decade_ec")?;
            let reference = tables.value("constants", "salt", "peat_slurry_ec_ms_cm")?;
            shift.salt_lowers = per_decade * (ec / reference).log10();
        }
        Ok(shift)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_probe_in_dry_bedding_reads_low_and_a_slurry_does_not_care() {
        let tables = Tables::load().unwrap();
        let dry = Medium {
            dry: true,
            ec_ms_cm: None,
        };
        let probe = Instrument::from_tables(&tables, "two_metal_probe").unwrap();
        let pen = Instrument::from_tables(&tables, "cheap_pen").unwrap();
        let shift = dry.shift(&tables, &probe).unwrap();
        assert!(shift.dry_shift > 0.5 && shift.dry_sd > 0.3);
        assert_eq!(dry.shift(&tables, &pen).unwrap(), MediumShift::default());
    }

    #[test]
    fn calcium_chloride_strength_lowers_peat_by_half_a_unit_and_more() {
        // ASTM D2976: 0.5 to 0.8 from water to 0.01 M CaCl2, whose conductivity
        // is 2.31 mS/cm.
        let tables = Tables::load().unwrap();
        let pen = Instrument::from_tables(&tables, "cheap_pen").unwrap();
        let salty = Medium {
            dry: false,
            ec_ms_cm: Some(2.31),
        };
        let lowers = salty.shift(&tables, &pen).unwrap().salt_lowers;
        assert!((0.5..=0.8).contains(&lowers), "{lowers}");
    }
}
