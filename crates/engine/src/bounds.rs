//! Every allowed range, once: what a keeper may enter, in what unit, from
//! where to where, and why. Checks, error text, form hints and the limits of
//! random tests all read this list.

use crate::echo::Said;
use thiserror::Error;

/// One allowed range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Name as a keeper would say it.
    pub name: &'static str,
    /// Unit, as shown.
    pub unit: &'static str,
    /// Smallest value taken.
    pub low: f64,
    /// Largest value taken.
    pub high: f64,
    /// Why the range is what it is.
    pub why: &'static str,
}

/// A value outside its range. The message names the field, value, unit and
/// allowed range.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum BoundError {
    /// Outside the range.
    #[error(
        "{name} `{}` {unit} is outside the allowed range {} to {} {unit} ({why})",
        Said(*.value), Said(*.low), Said(*.high)
    )]
    Outside {
        /// Field.
        name: &'static str,
        /// Value given.
        value: f64,
        /// Unit.
        unit: &'static str,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Reason.
        why: &'static str,
    },
    /// Not a number at all.
    #[error(
        "{name} is not a finite number; give a value from {} to {} {unit}",
        Said(*.low), Said(*.high)
    )]
    NotFinite {
        /// Field.
        name: &'static str,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// Unit.
        unit: &'static str,
    },
}

impl Bound {
    /// `value` itself when it lies in the range.
    ///
    /// # Errors
    /// [`BoundError`] naming field, value, unit and allowed range.
    pub fn check(&self, value: f64) -> Result<f64, BoundError> {
        if !value.is_finite() {
            return Err(BoundError::NotFinite {
                name: self.name,
                low: self.low,
                high: self.high,
                unit: self.unit,
            });
        }
        if value < self.low || value > self.high {
            return Err(BoundError::Outside {
                name: self.name,
                value,
                unit: self.unit,
                low: self.low,
                high: self.high,
                why: self.why,
            });
        }
        Ok(value)
    }
}

macro_rules! bounds {
    ($($(#[$doc:meta])* $id:ident: $name:literal, $unit:literal, $low:expr, $high:expr, $why:literal;)*) => {
        $($(#[$doc])* pub const $id: Bound = Bound {
            name: $name, unit: $unit, low: $low, high: $high, why: $why,
        };)*
        /// All ranges, for forms, tests and the printed list.
        pub const ALL: &[Bound] = &[$($id),*];
    };
}

bounds! {
    /// pH of bedding or solution.
    PH: "pH", "pH", 0.0, 14.0, "the pH scale of a water slurry";
    /// pH a keeper may aim for.
    TARGET_PH: "target pH", "pH", 5.0, 8.0, "worms do not last outside 5 to 9, and no bed should be aimed near either";
    /// pH of a bedding material as received.
    BEDDING_PH: "bedding pH", "pH", 2.0, 13.0, "no bedding material is sourer or more alkaline than this";
    /// Temperature the chemistry holds for.
    CHEMISTRY_CELSIUS: "temperature", "°C", 2.0, 40.0, "the chemistry is checked from 2 to 40 °C";
    /// Temperature a keeper may log.
    LOGGED_CELSIUS: "temperature", "°C", -40.0, 90.0, "colder or hotter is a slip of the pen or the instrument";
    /// Daily high or low of a heat wave or cold snap.
    SPELL_CELSIUS: "air", "°C", -40.0, 60.0, "from the coldest to the hottest air a bin is calculated in";
    /// Carbon dioxide in the bed air.
    CO2_ATM: "carbon dioxide", "atm", 0.000_01, 1.0, "from cleaner than outdoor air to pure gas";
    /// Water mass in a solution.
    WATER_KG: "water", "kg", 0.000_001, 100_000.0, "some water must be there to have a pH";
    /// Total of one solute.
    TOTAL_MMOL: "solute total", "mmol per kg water", 0.0, 1000.0, "beyond 1 mol per kg the activity model does not hold";
    /// Solid amount.
    SOLID_MOL: "solid", "mol", 0.0, 100_000.0, "more is not a bin";
    /// Moisture on the wet basis.
    MOISTURE_PERCENT: "moisture", "% of wet mass", 0.0, 97.0, "above 97 % it is a drink, not bedding";
    /// Mass of one amount.
    AMOUNT_GRAMS: "amount", "g", 0.0, 1_000_000.0, "one tonne is far beyond a home bin";
    /// Loose volume of one amount.
    AMOUNT_LITRES: "amount", "L", 0.0, 50_000.0, "what fills the longest bed there can be";
    /// Parts of one filling, feeding or bedding.
    PARTS: "number of parts", "parts", 1.0, 20.0, "nobody puts in more than twenty things at once";
    /// Slope of a pH electrode between two buffers. Common practice, no source:
    /// meters call one worn out below 80 to 85 %, and a sound one is near 100 %.
    SLOPE_PERCENT: "slope", "% of the ideal slope", 50.0, 120.0, "a pH electrode, even a worn one, lies within; the buffers or readings may be mixed up";
    /// Any counted amount.
    AMOUNT_NUMBER: "amount", "units", 0.0, 1_000_000.0, "larger numbers are a slip of the pen";
    /// Inner length or width of a bin.
    BIN_CM: "bin side", "cm", 5.0, 1000.0, "from a jar to a ten-metre bed";
    /// Depth of a bin.
    BIN_DEPTH_CM: "bin depth", "cm", 5.0, 200.0, "deeper beds are outside home scale";
    /// Gross mass of a bin: the range of an amount, in kilograms.
    BIN_KG: "bin mass", "kg", 0.0, 1000.0, "one tonne is far beyond a home bin";
    /// Bedding looked through for worms.
    LITRES_SEARCHED: "litres searched", "L", 0.01, 1000.0, "from a spoonful to a cubic metre";
    /// Electrical conductivity.
    EC_MS_CM: "salt reading (EC)", "mS/cm", 0.0, 60.0, "sea water is about 50";
    /// Number of spots.
    SPOTS: "number of spots", "spots", 1.0, 60.0, "more than 60 spots is a slip of the pen";
    /// Hours since an event.
    HOURS: "hours", "h", 0.0, 20_000.0, "a little over two years";
    /// Worms by mass.
    WORMS_GRAMS: "worms", "g", 0.0, 50_000.0, "fifty kilograms of worms is a farm";
    /// Worms by count.
    WORM_COUNT: "worm count", "worms", 0.0, 500_000.0, "half a million worms is a farm";
    /// A percentage such as calcium carbonate equivalent on a label.
    NEUTRALISING_PERCENT: "neutralising value", "% of pure CaCO3", 0.0, 260.0, "magnesium oxide, the strongest, is 250";
    /// Particle size.
    PARTICLE_MM: "particle size", "mm", 0.000_1, 20.0, "from dust to gravel";
    /// Nitrogen of a material.
    NITROGEN_PERCENT: "nitrogen", "% of dry mass", 0.0, 20.0, "pure protein is about 16";
    /// Organic carbon of a material.
    CARBON_PERCENT: "organic carbon", "% of dry mass", 0.0, 95.0, "fat is about 77, charcoal up to 95";
    /// Carbon to nitrogen ratio.
    CARBON_NITROGEN: "carbon to nitrogen ratio", "g/g", 2.5, 5000.0, "protein is about 3, clean wood over 500";
    /// Bulk density as used; also grams per litre.
    BULK_DENSITY_KG_M3: "bulk density", "g/L", 5.0, 2500.0, "from loose feathers of paper to wet gravel";
    /// Grams of one US cup.
    GRAMS_PER_CUP: "grams per cup", "g", 1.0, 600.0, "a cup of wet gravel is about 500";
    /// Ash of a material.
    ASH_PERCENT: "ash", "% of dry mass", 0.0, 100.0, "a share of the whole";
    /// Cation exchange capacity.
    CEC_CMOL_KG: "exchange capacity", "cmol/kg", 0.0, 400.0, "zeolite is about 200";
    /// Water held after draining.
    WATER_HOLDING_G_PER_G: "water holding", "g/g", 0.0, 30.0, "sponge-like moss holds about 20";
    /// One nutrient element of a material.
    NUTRIENT_PERCENT: "nutrient", "% of dry mass", 0.0, 60.0, "no salt kept in a shed has more";
    /// Neutralising value of any material; negative for one that sours.
    MATERIAL_NEUTRALISING_PERCENT: "neutralising value", "% of pure CaCO3", -350.0, 260.0, "from sulphur, -312, to magnesium oxide, 250";
    /// A share of a whole.
    FRACTION: "share", "of the whole", 0.0, 1.0, "a share lies between none and all";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_name_field_value_unit_and_range() {
        let text = PH.check(56.0).unwrap_err().to_string();
        assert_eq!(
            text,
            "pH `56` pH is outside the allowed range 0 to 14 pH (the pH scale of a water slurry)"
        );
        assert!(PH.check(f64::NAN).is_err());
        assert_eq!(PH.check(7.0), Ok(7.0));
    }

    #[test]
    fn every_range_is_a_range_with_a_reason() {
        for b in ALL {
            assert!(b.low < b.high, "{}", b.name);
            assert!(!b.why.is_empty() && !b.unit.is_empty());
        }
    }
}
