//! Water in two layers: suction evens them out, gravity drains them by a power of
//! their saturation, and the air takes from the upper by its deficit.

use super::chance::{Book, Chance};
use crate::table::TableError;

/// Latent heat of vaporisation near 20 °C [MJ/kg], a standard value.
pub(super) const LATENT: f64 = 2.45;
/// Saturation of the lower layer at which water rises into the upper [-].
const BRIM: f64 = 1.15;

/// Pressure of water vapour over water [kPa], after Tetens.
pub(super) fn vapour_kpa(celsius: f64) -> f64 {
    0.6108 * (17.27 * celsius / (celsius + 237.3)).exp()
}

/// Water of both layers, and what came and went.
#[derive(Debug, Clone)]
pub(super) struct Layers {
    /// Water of the upper layer [kg].
    pub(super) top: f64,
    /// Water of the lower layer [kg].
    pub(super) base: f64,
    /// Share of what the bin can hold that is in the upper layer [-].
    top_share: f64,
    suction: f64,
    drain_rate: f64,
    drain_power: f64,
    dry_bend: f64,
    dry_floor: f64,
    /// Grams that pass the lid by day, area and deficit [g/m2/d/kPa].
    pub(super) passes: f64,
    /// All water that ever came free: put in, let go or made [kg].
    pub(super) came: f64,
    /// All water that ever left [kg].
    pub(super) went: f64,
}

/// What a day took [kg].
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Took {
    /// Into the air.
    pub(super) air: f64,
    /// Out of the drain.
    pub(super) drain: f64,
}

impl Layers {
    /// Dry layers under a lid of one name.
    pub(super) fn drawn(book: Book<'_>, lid: &str, c: &mut Chance) -> Result<Self, TableError> {
        Ok(Self {
            top: 0.0,
            base: 0.0,
            top_share: book.draw("water", "top_share", c)?,
            suction: book.draw("water", "suction", c)?,
            drain_rate: book.draw("water", "drain_rate", c)?,
            drain_power: book.draw("water", "drain_power", c)?,
            dry_bend: book.draw("water", "dry_bend_percent", c)?,
            dry_floor: book.draw("water", "dry_floor", c)?,
            passes: book.draw(lid, "passes", c)?,
            came: 0.0,
            went: 0.0,
        })
    }

    /// Water comes, this share of it to the upper layer.
    pub(super) fn add(&mut self, kg: f64, upper: f64) {
        self.came += kg;
        self.top += kg * upper;
        self.base += kg * (1.0 - upper);
    }

    /// Water comes, as each layer can hold it.
    pub(super) fn spread(&mut self, kg: f64) {
        self.add(kg, self.top_share);
    }

    /// Free water of both layers [kg].
    pub(super) fn kg(&self) -> f64 {
        self.top + self.base
    }

    /// Saturation of upper and lower layer, of what they hold in all [kg].
    pub(super) fn saturation(&self, holds: f64) -> (f64, f64) {
        let holds = holds.max(1e-9);
        (
            self.top / (holds * self.top_share),
            self.base / (holds * (1.0 - self.top_share)),
        )
    }

    /// Moisture of upper and lower layer [% of wet mass] of so much dry matter.
    pub(super) fn moisture(&self, dry: f64) -> (f64, f64) {
        let of = |water: f64, dry: f64| 100.0 * water / (water + dry).max(1e-9);
        (
            of(self.top, dry * self.top_share),
            of(self.base, dry * (1.0 - self.top_share)),
        )
    }

    /// Water that stands at the bottom [kg].
    pub(super) fn standing(&self, holds: f64) -> f64 {
        (self.base - holds * (1.0 - self.top_share)).max(0.0)
    }

    /// Pours off what stands, as far as it comes.
    pub(super) fn pour(&mut self, kg: f64) -> f64 {
        let kg = kg.clamp(0.0, self.base);
        self.base -= kg;
        self.went += kg;
        kg
    }

    /// A day: suction, draining, and what the air takes at this deficit [kPa]
    /// over this floor [m2].
    pub(super) fn live_a_day(
        &mut self,
        (holds, dry): (f64, f64),
        (floor_m2, deficit_kpa): (f64, f64),
        drains: bool,
    ) -> Took {
        let (upper, lower) = self.saturation(holds);
        let narrower = holds * self.top_share.min(1.0 - self.top_share);
        let rise = self.suction * narrower * (lower.min(1.0) - upper.min(1.0));
        let sinks = self.falls(upper, holds * self.top_share, self.top);
        let rise = (rise - sinks).clamp(-0.5 * self.top, 0.5 * self.base);
        self.top += rise;
        self.base -= rise;
        let (moist, _) = self.moisture(dry);
        let wet = 1.0 / (1.0 + (-(moist - self.dry_bend) / 3.0).exp());
        let surface = self.dry_floor + (1.0 - self.dry_floor) * wet;
        let air = self.passes / 1000.0 * floor_m2 * deficit_kpa.max(0.0) * surface;
        let air = air.min(0.3 * self.top);
        self.top -= air;
        let drain = if drains {
            let (_, lower) = self.saturation(holds);
            self.falls(lower, holds * (1.0 - self.top_share), self.base)
        } else {
            0.0
        };
        self.base -= drain;
        self.rise_over_the_brim(holds);
        self.went += air + drain;
        Took { air, drain }
    }

    /// What falls out of a layer in a day [kg].
    fn falls(&self, saturation: f64, holds: f64, water: f64) -> f64 {
        let falls = self.drain_rate * holds * saturation.min(BRIM).powf(self.drain_power);
        falls.min(0.5 * water) + (saturation - BRIM).max(0.0) * holds * 0.5
    }

    fn rise_over_the_brim(&mut self, holds: f64) {
        let brim = BRIM * holds * (1.0 - self.top_share);
        let over = (self.base - brim).max(0.0);
        self.base -= over;
        self.top += over;
    }
}
