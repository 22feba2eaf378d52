//! Dry bedding and water to go with a feeding: carbon to nitrogen and
//! moisture together.

use crate::bed::fill::ReadyPart;
use crate::table::{Property, TableError, Tables};

/// What a feeding and its bedding should come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Carbon to nitrogen [kg/kg].
    pub cn_ratio: f64,
    /// Moisture, at most [% of wet mass].
    pub moisture_percent: f64,
    /// Half of how far under its first drop the bed may be without water
    /// [points].
    pub slack_points: f64,
    /// How far over its first drop the bed may be without drying, of the way
    /// to all water [0 to 1].
    pub wet_share: f64,
}

impl Aim {
    /// From `ration.csv`.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let v = |property| tables.value("ration", "beside", property);
        Ok(Self {
            cn_ratio: v("cn_ratio")?,
            moisture_percent: v("moisture_percent")?,
            slack_points: v("slack_points")?,
            wet_share: v("wet_share")?,
        })
    }
}

/// What one gram of feed and of bedding hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Dry matter of the feed [g/g].
    pub feed_dry: f64,
    /// Carbon of the feed [g/g].
    pub feed_carbon: f64,
    /// Nitrogen of the feed [g/g].
    pub feed_nitrogen: f64,
    /// Dry matter of the bedding [g/g].
    pub bedding_dry: f64,
    /// Carbon of the bedding [g/g].
    pub bedding_carbon: f64,
    /// Nitrogen of the bedding [g/g].
    pub bedding_nitrogen: f64,
}

/// Dry matter, carbon and nitrogen of one gram, most likely [g/g].
fn hold(part: &ReadyPart) -> (f64, f64, f64) {
    let Some(m) = &part.material else {
        return (0.0, 0.0, 0.0);
    };
    let usual = |p: Property| m.triple(p).map_or(0.0, |(_, v, _)| v);
    let moisture = part
        .moisture_percent
        .unwrap_or_else(|| usual(Property::MoisturePercent));
    let dry = 1.0 - moisture / 100.0;
    (
        dry,
        dry * usual(Property::CarbonPercent) / 100.0,
        dry * usual(Property::NitrogenPercent) / 100.0,
    )
}

impl Balance {
    /// Of a gram of feed, part by part, and a bedding.
    #[must_use]
    pub fn of(feed: &[ReadyPart], bedding: &ReadyPart) -> Self {
        let mut sum = (0.0, 0.0, 0.0);
        for part in feed {
            let (dry, carbon, nitrogen) = hold(part);
            let grams = part.grams.value;
            sum = (
                sum.0 + grams * dry,
                sum.1 + grams * carbon,
                sum.2 + grams * nitrogen,
            );
        }
        let (bedding_dry, bedding_carbon, bedding_nitrogen) = hold(bedding);
        Self {
            feed_dry: sum.0,
            feed_carbon: sum.1,
            feed_nitrogen: sum.2,
            bedding_dry,
            bedding_carbon,
            bedding_nitrogen,
        }
    }

    /// Bedding and water to add beside `grams` of feed [g], for a bed of
    /// `contents_kg` at `moisture`, whose first drop shows at `drop` [% of wet
    /// mass]. A wet bed gets more bedding, a dry one water.
    #[must_use]
    pub fn beside(
        &self,
        aim: &Aim,
        grams: f64,
        moisture: f64,
        drop: f64,
        contents_kg: f64,
    ) -> (f64, f64) {
        // Carbon: C_f + x C_b = aim (N_f + x N_b).
        let short = aim.cn_ratio * self.feed_nitrogen - self.feed_carbon;
        let gain = self.bedding_carbon - aim.cn_ratio * self.bedding_nitrogen;
        let for_carbon = if short > 0.0 && gain > 0.0 {
            grams * short / gain
        } else {
            0.0
        };
        // Moisture: water over dry at most aim/(100 - aim).
        let ratio = aim.moisture_percent / (100.0 - aim.moisture_percent);
        let brings = (1.0 - self.feed_dry) - ratio * self.feed_dry;
        let takes = ratio * self.bedding_dry - (1.0 - self.bedding_dry);
        let for_water = (grams * brings / takes.max(0.1)).max(0.0);
        let wet = drop + aim.wet_share * (100.0 - drop);
        let over = ((moisture - wet) / 100.0).max(0.0);
        let for_bed = over * contents_kg * 1000.0 / takes.max(0.1);
        let mut bedding = for_carbon.max(for_water) + for_bed;
        let under = ((drop - 2.0 * aim.slack_points - moisture) / 100.0).max(0.0);
        let mut water = under * contents_kg * 1000.0;
        // A dry bed drinks the water of the feed: that much less bedding.
        let drunk = water.min(grams * (1.0 - self.feed_dry) * 0.8);
        bedding = (bedding - drunk / takes.max(0.1)).max(for_carbon);
        water -= drunk;
        (bedding, water)
    }
}
