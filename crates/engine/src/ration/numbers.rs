//! Numbers of the ration, from `ration.csv`.

use super::balance::Aim;
use super::{Prepared, RationAsk, Sparing};
use crate::living::comfort::Comfort;
use crate::living::species::Species;
use crate::table::{TableError, Tables};
use crate::weather::physics::ice_kj_per_kg;

/// Most wet feed a day per worms [g/g/d].
#[derive(Debug, Clone, Copy)]
pub(super) struct Most {
    pub(super) any: f64,
    repellent: f64,
    starch: f64,
    meal: f64,
    green: f64,
    leftovers: f64,
    grounds: f64,
}

/// The numbers.
#[derive(Debug, Clone, Copy)]
pub(super) struct Numbers {
    /// Largest chance of trouble a ration may carry [0 to 1].
    pub(super) chance: f64,
    /// Rise of a chance that counts as the feed's doing [0 to 1].
    pub(super) more: f64,
    /// Smallest ration worth carrying out [g].
    pub(super) smallest_grams: f64,
    /// Most coffee grounds in what is fed [0 to 1].
    pub(super) most_grounds: f64,
    /// Largest rise over the last ration [-].
    pub(super) step_up: f64,
    /// Share of a full ration after weeks without food [0 to 1].
    pub(super) after_pause: f64,
    /// Days over which the last rations are counted [d].
    pub(super) lately_days: f64,
    /// Most days food is given for [d].
    pub(super) look_days: f64,
    /// Days worms need to settle in [d].
    pub(super) settling_days: f64,
    /// Share of the settled ration on the first day [-].
    pub(super) first_share: f64,
    /// Ration of a settled new bin [g/g/d].
    pub(super) settled_per_day: f64,
    /// Food left up to which a full ration is given [-].
    pub(super) full_left: f64,
    /// Food left from which none is given [-].
    pub(super) none_left: f64,
    /// Where worms of the species kept are warned of cold, and hardly eat.
    pub(super) comfort: Comfort,
    /// What they are given then [g/g/d].
    pub(super) cold_per_day: f64,
    /// Contents to a litre of room [g/L].
    pub(super) grams_per_litre: f64,
    /// Share of the appetite that fresh feed may meet [-].
    pub(super) worms_share: f64,
    /// Dry feed microbes take per dry bed [g/g/d].
    pub(super) microbes_per_day: f64,
    /// Pace of chopped, frozen and blended feed against whole [-].
    hastened: [f64; 3],
    /// Freezer [°C].
    freezer_celsius: f64,
    /// Most that frozen food may chill the bed [K].
    pub(super) chill_kelvin: f64,
    /// Most that the salt of food may raise the bed's a week [mS/cm].
    pub(super) salt_per_week: f64,
    /// Caps by feed.
    pub(super) caps: Most,
    /// What feed and bedding should come to.
    pub(super) beside: Aim,
}

impl Numbers {
    /// From the table.
    pub(super) fn load(tables: &Tables, species: Species) -> Result<Self, TableError> {
        let v = |subject, property| tables.value("ration", subject, property);
        Ok(Self {
            chance: v("trouble", "chance")?,
            more: v("trouble", "more")?,
            smallest_grams: v("ration", "smallest_grams")?,
            most_grounds: v("ration", "most_grounds_share")?,
            step_up: v("ration", "step_up")?,
            after_pause: v("ration", "after_pause_share")?,
            lately_days: v("ration", "lately_days")?,
            look_days: v("ration", "look_days")?,
            settling_days: v("settling", "days")?,
            first_share: v("settling", "first_share")?,
            settled_per_day: v("settling", "grams_per_gram_day")?,
            full_left: v("left", "full_share")?,
            none_left: v("left", "none_share")?,
            comfort: Comfort::of(tables, species)?,
            cold_per_day: v("cold", "grams_per_gram_day")?,
            grams_per_litre: v("room", "grams_per_litre")?,
            worms_share: v("appetite", "from_feed_share")?,
            microbes_per_day: v("appetite", "microbes_per_day")?,
            hastened: [
                v("prepared", "chopped")?,
                v("prepared", "frozen")?,
                v("prepared", "blended")?,
            ],
            freezer_celsius: v("frozen", "celsius")?,
            chill_kelvin: v("frozen", "most_kelvin")?,
            salt_per_week: v("salt", "most_ms_per_cm_week")?,
            caps: Most::load(tables)?,
            beside: Aim::load(tables)?,
        })
    }

    /// How many times as fast prepared feed is taken up, and rots, as whole
    /// [-]: more face for microbes does both.
    pub(super) fn hastened(&self, prepared: Prepared) -> f64 {
        match prepared {
            Prepared::Whole => 1.0,
            Prepared::Chopped => self.hastened[0],
            Prepared::Thawed | Prepared::Frozen => self.hastened[1],
            Prepared::Blended => self.hastened[2],
        }
    }

    /// Heat that the water of frozen feed takes up to thaw and warm to the bed
    /// [kJ/kg].
    pub(super) fn thaw_kj_per_kg(&self, ask: &RationAsk<'_>) -> f64 {
        let c = &ask.estimate.scene.priors.constants;
        let freezer = self.freezer_celsius;
        ice_kj_per_kg(freezer, ask.bed.0, c.ice_heat, c.melt, c.water_heat)
    }
}

impl Most {
    /// Of one kind of food.
    pub(super) fn of(&self, sparing: Sparing) -> f64 {
        match sparing {
            Sparing::Repellent => self.repellent,
            Sparing::Starch => self.starch,
            Sparing::Protein => self.meal,
            Sparing::Green => self.green,
            Sparing::Leftovers => self.leftovers,
            Sparing::Grounds => self.grounds,
            Sparing::Any => self.any,
        }
    }

    fn load(tables: &Tables) -> Result<Self, TableError> {
        let v = |property| tables.value("ration", "cap", property);
        Ok(Self {
            any: v("any")?,
            repellent: v("repellent")?,
            starch: v("starch")?,
            meal: v("meal")?,
            green: v("green")?,
            leftovers: v("leftovers")?,
            grounds: v("grounds")?,
        })
    }
}
