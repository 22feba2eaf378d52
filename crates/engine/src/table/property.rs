//! The properties of a material: names, units, allowed ranges.

use crate::bounds::{self, Bound};

macro_rules! properties {
    ($($(#[$doc:meta])* $id:ident = $name:literal, $unit:literal, $bound:ident, $spread:expr;)*) => {
        /// A property of a material.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        #[non_exhaustive]
        pub enum Property { $($(#[$doc])* $id,)* }

        impl Property {
            /// All properties.
            pub const ALL: &'static [Self] = &[$(Self::$id),*];

            /// Stable name in snake case.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$id => $name,)* }
            }

            /// Unit of the value.
            #[must_use]
            pub const fn unit(self) -> &'static str {
                match self { $(Self::$id => $unit,)* }
            }

            /// Allowed range.
            #[must_use]
            pub const fn bound(self) -> Bound {
                match self { $(Self::$id => bounds::$bound,)* }
            }

            /// How far a keeper's own measurement may be from the truth.
            #[must_use]
            pub const fn own_spread(self) -> Spread {
                match self { $(Self::$id => $spread,)* }
            }
        }
    };
}

/// Half width of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// In the unit of the value.
    Plus(f64),
    /// As a share of the value.
    Share(f64),
}

impl Spread {
    /// Half-width at a value, in its unit.
    #[must_use]
    pub const fn half(self, value: f64) -> f64 {
        match self {
            Self::Plus(half) => half,
            Self::Share(share) => share * value.abs(),
        }
    }
}

properties! {
    /// Water [% of wet mass].
    MoisturePercent = "moisture_percent", "% of wet mass", MOISTURE_PERCENT, Spread::Plus(2.0);
    /// Nitrogen [% of dry mass].
    NitrogenPercent = "nitrogen_percent", "% of dry mass", NITROGEN_PERCENT, Spread::Share(0.1);
    /// Organic carbon [% of dry mass]; carbonate carbon is not counted.
    CarbonPercent = "carbon_percent", "% of dry mass", CARBON_PERCENT, Spread::Share(0.05);
    /// Organic carbon per nitrogen [g/g]; computed, never stored.
    CarbonNitrogenRatio = "carbon_nitrogen_ratio", "g/g", CARBON_NITROGEN, Spread::Share(0.1);
    /// Wet, loose, as used [kg/m³ = g/L].
    BulkDensityKgM3 = "bulk_density_kg_m3", "kg/m3", BULK_DENSITY_KG_M3, Spread::Share(0.05);
    /// Ash at about 550 °C [% of dry mass].
    AshPercent = "ash_percent", "% of dry mass", ASH_PERCENT, Spread::Share(0.1);
    /// pH of a water slurry.
    Ph = "ph", "pH", BEDDING_PH, Spread::Plus(0.2);
    /// Electrical conductivity of an extract [mS/cm]; the basis names it.
    EcMsCm = "ec_ms_cm", "mS/cm", EC_MS_CM, Spread::Share(0.1);
    /// Cation exchange capacity [cmol of charge per kg dry].
    CecCmolKg = "cec_cmol_kg", "cmol/kg", CEC_CMOL_KG, Spread::Share(0.1);
    /// Water held after draining [g per g dry].
    WaterHoldingGPerG = "water_holding_g_per_g", "g/g", WATER_HOLDING_G_PER_G, Spread::Share(0.1);
    /// Phosphorus as element [% of dry mass].
    PhosphorusPercent = "phosphorus_percent", "% of dry mass", NUTRIENT_PERCENT, Spread::Share(0.1);
    /// Potassium as element [% of dry mass].
    PotassiumPercent = "potassium_percent", "% of dry mass", NUTRIENT_PERCENT, Spread::Share(0.1);
    /// Free carbonate and other base [% of pure CaCO3, dry mass]; apart from
    /// the exchange sites. Negative for an acidifier.
    NeutralisingPercent = "neutralising_percent", "% of pure CaCO3", MATERIAL_NEUTRALISING_PERCENT, Spread::Plus(3.0);
    /// Share of organic matter that decays in weeks to months.
    LabileFraction = "labile_fraction", "share of organic matter", FRACTION, Spread::Share(0.2);
    /// A level US cup of 236.6 mL [g].
    GramsPerCup = "grams_per_cup", "g per US cup", GRAMS_PER_CUP, Spread::Share(0.05);
    /// A litre, as used [g].
    GramsPerLitre = "grams_per_litre", "g/L", BULK_DENSITY_KG_M3, Spread::Share(0.05);
}

impl Property {
    /// The property of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|p| p.name() == name)
    }
}
