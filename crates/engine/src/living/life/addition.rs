//! What is put into a bin.

use crate::living::rot::Kind;
use crate::measure::Packing;

/// One addition, as drawn: what goes in together.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Load {
    /// What it is; `None` for minerals, which do not rot.
    pub kind: Option<Kind>,
    /// Dry matter [kg].
    pub dry_kg: f64,
    /// Water in it [kg].
    pub water_kg: f64,
    /// Ash in the dry matter [kg].
    pub ash_kg: f64,
    /// Carbon [kg].
    pub carbon_kg: f64,
    /// Nitrogen [kg].
    pub nitrogen_kg: f64,
    /// Of it, what comes as ammonium [mol].
    pub ammonium: f64,
    /// Share of organic matter that rots within weeks to months [0 to 1].
    pub degradable: f64,
    /// Food, as against bedding.
    pub feed: bool,
    /// Castings or finished compost that worms need not work again [0 to 1].
    pub worked: f64,
    /// Chloride, sulphate and the like, as conductivity of a 1:5 extract times
    /// dry matter [mS/cm kg].
    pub salt: f64,
    /// Salts of organic acids, which last as long as those [mS/cm kg].
    pub salt_of_acids: f64,
    /// Potassium that stands against those acids, dissolved or not [mol]: base as
    /// they rot.
    pub alkali: f64,
    /// Acids that microbes burn, as in vinegar; their mass is not in the dry
    /// matter [mol].
    pub acid: f64,
    /// Water its dry matter holds [kg].
    pub holds_kg: f64,
    /// Of its water, what the cells of fresh food hold until they rot [kg].
    pub cell_water_kg: f64,
    /// How its dry matter packs; that of fresh food once it has rotted.
    pub packing: Packing,
    /// What fresh food takes up beyond that until it rots [L].
    pub fresh_litres: f64,
    /// Its warmth as it goes in; `None` for that of the bed [°C].
    pub celsius: Option<f64>,
}
