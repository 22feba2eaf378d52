//! How a bed stands through one part of a step: what all processes of the part
//! start from.

use crate::living::airless::Airless;
use crate::living::heat::Zones;
use crate::living::life::Life;
use crate::living::rot::{self, Sums};
use crate::living::rotting::Paces;
use crate::living::step::Around;

/// Sizes of the bed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub(super) dry_kg: f64,
    /// Water its pores hold against draining [kg/kg dry].
    pub(super) pores: f64,
    pub(super) litres: f64,
    /// Air-filled porosity above standing liquid [share of volume].
    pub(super) air_filled: f64,
    /// Share of the bed under liquid [0 to 1].
    pub(super) flooded: f64,
    pub(super) moisture: f64,
    pub(super) worms_kg: f64,
    pub(super) sums: Sums,
    /// What would rot in pockets of food in a day at 20 °C as it finds nitrogen
    /// [kg/d].
    pub(super) eased: f64,
}

impl Size {
    /// Of a bed with organic matter of these sums.
    pub(super) fn of(life: &Life, a: &Around<'_>, sums: Sums) -> Self {
        let dry_kg = life.dry_with(sums.organic, a.priors);
        let pores = life.pores_hold(a.priors, a.nature, dry_kg);
        let (litres, standing) = life.standing((a.priors, a.nature), (dry_kg, pores));
        Self {
            dry_kg,
            pores,
            litres,
            air_filled: standing.above,
            flooded: standing.flooded,
            moisture: life.moisture_felt_percent(dry_kg, a.priors),
            worms_kg: life.worms.grams() / 1000.0,
            sums,
            eased: sums.eased(life.carried.nitrogen),
        }
    }
}

/// How warm it is for what rots.
#[derive(Debug, Clone, Copy)]
pub(super) struct Warm {
    /// Temperature by which the bed outside the pocket rots [°C].
    pub(super) felt_celsius: f64,
    /// How far warmth lets it rot against 20 °C [-].
    pub(super) bed: f64,
    /// The same in the pocket [-].
    pub(super) pocket: f64,
}

impl Warm {
    /// In these zones.
    fn of(a: &Around<'_>, zones: &Zones) -> Self {
        let middle = f64::midpoint(zones.core, zones.edge);
        let felt_celsius = rot::felt_by_microbes(&a.priors.constants, middle, zones.core);
        Self {
            felt_celsius,
            bed: a.priors.decays.at(felt_celsius),
            pocket: a.priors.decays.at(zones.hot),
        }
    }
}

/// How a bed stands through one part of a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Now {
    pub(super) size: Size,
    pub(super) zones: Zones,
    pub(super) warm: Warm,
    /// How fast it rots, had it air.
    pub(super) paces: Paces,
    /// What of that finds none.
    pub(super) airless: Airless,
    /// Air at the bin [°C].
    pub(super) air: f64,
    /// pH of the bed as the part begins.
    pub(super) ph: f64,
    /// Days.
    pub(super) dt: f64,
}

impl Now {
    /// Of a bed of that size in these zones, in air at `air` [°C], for `dt` days.
    pub(super) fn of(
        (life, a): (&Life, &Around<'_>),
        size: Size,
        zones: Zones,
        (air, ph): (f64, f64),
        dt: f64,
    ) -> Self {
        let warm = Warm::of(a, &zones);
        let paces = Paces::of(a, &size, &warm);
        Self {
            airless: Airless::of(life, a, (&size, &warm, &paces), (air, dt)),
            size,
            zones,
            warm,
            paces,
            air,
            ph,
            dt,
        }
    }
}
