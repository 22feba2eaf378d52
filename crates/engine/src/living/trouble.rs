//! What can go wrong in a bin, and what is ready, told from the signs of one
//! possible bin.

use crate::living::comfort::Comfort;
use crate::living::signs::Signs;
use crate::living::species::Species;
use crate::table::{TableError, Tables};

macro_rules! troubles {
    ($($(#[$doc:meta])* $id:ident = $name:literal, $title:literal;)*) => {
        /// Something to be warned of, or to be glad of.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        #[repr(usize)]
        pub enum Trouble { $($(#[$doc])* $id,)* }

        impl Trouble {
            /// All of them, the most pressing first.
            pub const ALL: &'static [Self] = &[$(Self::$id),*];

            /// Stable name.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$id => $name,)* }
            }

            /// As a heading.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$id => $title,)* }
            }
        }
    };
}

troubles! {
    /// The kindest zone is hotter than worms stand.
    TooHot = "too_hot", "Too hot for worms";
    /// The kindest zone is colder than worms of the species stand: near
    /// freezing for red worms, well above it for those of warm countries.
    Freezing = "freezing", "Too cold for worms";
    /// Too dry for worms to move and feed.
    Drying = "drying", "Drying out";
    /// Too little air left between the wet.
    Drowning = "drowning", "Too wet, short of air";
    /// A bed too acid for worms, of itself or soured.
    Acid = "acid", "Too acid for worms";
    /// Food gone sour that is still there.
    Souring = "souring", "Food turning sour";
    /// A bed over-limed, or full of ash.
    Alkaline = "alkaline", "Too alkaline for worms";
    /// Free ammonia that drives worms off.
    Ammonia = "ammonia", "Ammonia";
    /// Worms want to leave.
    Leaving = "leaving", "Worms want to leave";
    /// More worms than the bin carries.
    Crowding = "crowding", "Crowded";
    /// Worms shrink for want of food.
    Starving = "starving", "Short of food";
    /// Salt that slows worms.
    Salty = "salty", "Salty";
    /// Liquid stands in the base.
    WetBase = "wet_base", "Liquid standing in the base";
    /// The contents stand over the rim.
    OverRim = "over_rim", "Over the rim";
    /// Castings are worth taking.
    Ready = "ready", "Castings ready to harvest";
}

impl Trouble {
    /// Whether worms flee it, so that worms on the move are explained by it.
    #[must_use]
    pub fn drives_out(self) -> bool {
        self < Self::Leaving || matches!(self, Self::Salty | Self::WetBase)
    }

    /// Whether what is done about `others` leaves nothing to be done about it
    /// apart, or would be undone: worms flee what is being put right, and salt
    /// is rinsed out only where no liquid stands.
    #[must_use]
    pub fn is_settled_by(self, others: &[Self]) -> bool {
        others.iter().any(|other| match self {
            Self::Leaving => other.drives_out(),
            Self::Salty => matches!(other, Self::Drowning | Self::WetBase),
            _ => false,
        })
    }

    /// Whether `other` shows itself to a keeper in the same way: an acid bed
    /// smells sour too.
    #[must_use]
    pub fn is_shown_by(self, other: Self) -> bool {
        (self, other) == (Self::Souring, Self::Acid)
    }

    /// Whether food makes it worse, so that none is given while it is there.
    #[must_use]
    pub fn is_fed_by_food(self) -> bool {
        matches!(
            self,
            Self::TooHot | Self::Drowning | Self::Souring | Self::Ammonia | Self::WetBase
        )
    }

    /// Whether it is bad; castings being ready is not.
    #[must_use]
    pub fn is_bad(self) -> bool {
        self != Self::Ready
    }
}

/// As likely as not [0 to 1]: from here on something is done about a trouble.
pub const EVEN: f64 = 0.5;

/// Where each trouble begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    comfort: Comfort,
    dry_percent: f64,
    air_filled: f64,
    bed_ph: f64,
    bed_ph_high: f64,
    pocket_ph: f64,
    free_ammonia_mg_per_kg: f64,
    urge: f64,
    crowded_kg_m2: f64,
    thin: f64,
    salt_ms_per_cm: f64,
    pooled_kg: f64,
    ready_share: f64,
    ready_days: f64,
    ready_chance: f64,
    over_rim_share: f64,
    sour_food_left: f64,
    sour_food_share: f64,
    starving_food_left: f64,
}

impl Limits {
    /// From the tables, for the species kept.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables, species: Species) -> Result<Self, TableError> {
        let of = |property| tables.value("living", "alarm", property);
        Ok(Self {
            comfort: Comfort::of(tables, species)?,
            dry_percent: of("dry_percent")?,
            air_filled: of("air_filled")?,
            bed_ph: of("bed_ph")?,
            bed_ph_high: of("bed_ph_high")?,
            pocket_ph: of("pocket_ph")?,
            free_ammonia_mg_per_kg: of("free_ammonia_mg_per_kg")?,
            urge: of("urge")?,
            crowded_kg_m2: of("crowded_kg_m2")?,
            thin: of("thin_condition")?,
            salt_ms_per_cm: of("salt_ms_per_cm")?,
            pooled_kg: of("pooled_kg")?,
            ready_share: of("ready_share")?,
            ready_days: of("ready_days")?,
            ready_chance: of("ready_chance")?,
            over_rim_share: of("over_rim_share")?,
            sour_food_left: of("sour_food_left")?,
            sour_food_share: of("sour_food_share")?,
            starving_food_left: of("starving_food_left")?,
        })
    }

    /// Chance from which something is done about it; under it, it is looked
    /// for [0 to 1].
    #[must_use]
    pub fn act_from(&self, trouble: Trouble) -> f64 {
        if trouble == Trouble::Ready {
            self.ready_chance
        } else {
            EVEN
        }
    }

    /// Whether a trouble is there by these signs.
    #[must_use]
    pub fn meets(&self, trouble: Trouble, s: &Signs) -> bool {
        // Half a worm is none.
        let stocked = s.worms > 0.5;
        match trouble {
            Trouble::TooHot => s.refuge_high_celsius > self.comfort.hot_celsius,
            Trouble::Freezing => s.refuge_low_celsius < self.comfort.cold_celsius,
            Trouble::Drying => s.moisture_felt_percent < self.dry_percent,
            Trouble::Drowning => s.air_filled < self.air_filled,
            Trouble::Acid => s.ph < self.bed_ph,
            Trouble::Souring => {
                s.pocket_ph < self.pocket_ph
                    && s.feed_left > self.sour_food_left
                    && s.food_share > self.sour_food_share
            }
            Trouble::Alkaline => s.ph > self.bed_ph_high,
            Trouble::Ammonia => s.free_ammonia_mg_per_kg > self.free_ammonia_mg_per_kg,
            // New worms wander for some days, whatever the bedding.
            Trouble::Leaving => stocked && s.driven_to_leave > self.urge,
            Trouble::Crowding => stocked && s.worms_kg_m2 > self.crowded_kg_m2,
            Trouble::Starving => {
                stocked && s.condition < self.thin && s.feed_left < self.starving_food_left
            }
            Trouble::Salty => s.ec_ms_per_cm > self.salt_ms_per_cm,
            Trouble::WetBase => s.pooled_kg > self.pooled_kg,
            Trouble::OverRim => s.over_rim > self.over_rim_share,
            Trouble::Ready => {
                let worked_days = s.stocked_days.unwrap_or(0.0);
                // In the cold worms stay where they are, and are taken along.
                s.made_share > self.ready_share
                    && worked_days >= self.ready_days
                    && s.refuge_celsius > self.comfort.hardly_eats_celsius
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worms_on_the_move_are_looked_into_only_where_nothing_put_right_explains_it() {
        for cause in [Trouble::Acid, Trouble::WetBase, Trouble::Salty] {
            assert!(Trouble::Leaving.is_settled_by(&[Trouble::Starving, cause]));
        }
        for other in [Trouble::Crowding, Trouble::Starving, Trouble::Ready] {
            assert!(!Trouble::Leaving.is_settled_by(&[other]));
        }
        assert!(!Trouble::Leaving.is_settled_by(&[]));
    }

    #[test]
    fn nothing_is_rinsed_where_liquid_stands() {
        assert!(Trouble::Salty.is_settled_by(&[Trouble::WetBase]));
        assert!(!Trouble::Salty.is_settled_by(&[Trouble::Souring]));
        assert!(!Trouble::WetBase.is_settled_by(&[Trouble::Salty]));
    }
}
