//! How the bed dries: what drives vapour out of it, and what holds it back.

use crate::living::heat::Zones;
use crate::living::now::Size;
use crate::living::step::Around;
use crate::living::water;

/// How the bed dries: air around it, and what lets vapour through.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drying {
    /// Vapour of the air outside [kg/m³].
    outside: f64,
    /// Vapour let through [m³/d].
    lets: f64,
    bound: f64,
    sorption: f64,
}

impl Drying {
    pub(super) fn of(a: &Around<'_>, size: &Size, air: f64) -> Self {
        let (c, n) = (&a.priors.constants, a.nature);
        let by = |m2: f64, resistance: f64| {
            water::evaporation(m2, 1.0, 0.0, c.surface_m_per_s, resistance)
        };
        let mut lets = by(a.home.floor_m2, n.lid_s_per_m);
        if let Some(walls) = a.home.wall_s_per_m {
            lets += by(a.home.around_m * a.home.height_m(size.litres), walls);
        }
        Self {
            // Within what the law of vapour was made for; so in [`over_wet`].
            outside: water::saturated(air.clamp(-30.0, 60.0)) * n.humidity.clamp(0.05, 0.98),
            lets: lets * n.evaporation,
            bound: c.bound_below,
            sorption: c.sorption,
        }
    }

    /// Vapour given off [kg/d] where the air at the surface could hold
    /// `saturated` [kg/m³].
    pub(super) fn rate(&self, saturated: f64, gives: &Gives) -> f64 {
        let gap = saturated * gives.sorbed - self.outside;
        self.lets * gives.activity * gap.max(0.0)
    }

    /// How bedding of a moisture gives off its water.
    pub(super) fn gives(&self, moisture: f64) -> Gives {
        Gives {
            sorbed: water::sorbed(moisture, self.sorption),
            activity: water::activity(moisture, self.bound),
        }
    }

    /// How much more vapour is given off for each kg/m³ more over wet bedding
    /// [m³/d].
    pub(super) fn lets(&self, gives: &Gives) -> f64 {
        self.lets * gives.activity * gives.sorbed
    }
}

/// How bedding gives off its water, of [`water::sorbed`] and [`water::activity`].
#[derive(Debug, Clone, Copy)]
pub(super) struct Gives {
    sorbed: f64,
    activity: f64,
}

/// Vapour over the bed were it wet [kg/m³].
pub(super) fn over_wet(celsius: f64) -> f64 {
    water::saturated(celsius.clamp(-30.0, 75.0))
}

/// Vapour given off through `dt` days [kg], by midpoints so short that none
/// takes much of the water: what dries holds its water back.
pub(super) fn dried(water_kg: f64, dry_kg: f64, z: &Zones, drying: &Drying, dt: f64) -> f64 {
    // How fine the cut is; of what is left no part takes all.
    const MOST_SHARE: f64 = 0.05;
    const MOST_PARTS: f64 = 40.0;
    let wet = over_wet(f64::midpoint(z.core, z.edge));
    let rate = |water: f64| drying.rate(wet, &drying.gives(water::moisture(water, dry_kg)));
    let first = rate(water_kg);
    let share = first * dt / water_kg.max(1e-9);
    let parts = (share / MOST_SHARE).ceil().clamp(1.0, MOST_PARTS);
    let part = dt / parts;
    let mut left = water_kg;
    for i in 0..parts as u32 {
        let at_start = if i == 0 { first } else { rate(left) };
        let middle = left - (at_start * part / 2.0).min(left / 2.0);
        left -= (rate(middle) * part).min(0.9 * left);
    }
    water_kg - left
}
