//! How a bed stands at one moment and how fast its laws go there, before any step is
//! taken: for whoever solves the equations by other means than ours, as
//! `benches/stiff` does. Each number is that of the process the step asks, in a step
//! of no length.

use crate::bed::possible::PossibleBed;
use crate::living::airless::Airless;
use crate::living::drying::{Drying, over_wet};
use crate::living::dwell;
use crate::living::habitat::Habitat;
use crate::living::heat::Zones;
use crate::living::life::Life;
use crate::living::nitrogen::{self, Turning};
use crate::living::now::{Now, Size};
use crate::living::profile;
use crate::living::rotting::{pickled, slowed};
use crate::living::souring::pocket_ph_of;
use crate::living::step::Around;

/// A bed at one moment.
#[derive(Debug, Clone, Copy)]
pub struct Moment {
    /// Dry matter [kg].
    pub dry_kg: f64,
    /// Volume [L].
    pub litres: f64,
    /// Water held against draining [kg].
    pub holds_kg: f64,
    /// Heat passing the walls [kJ/d/K].
    pub passing: f64,
    /// Vapour given off [kg/d].
    pub vapour: f64,
    /// How far warmth lets things rot in the bed and in the pocket of food, against
    /// 20 °C [-].
    pub warm: (f64, f64),
    /// How fast things rot in the bed had they air, against a day at 20 °C [-].
    pub pace: f64,
    /// The same with the air there is, in the bed and in the pocket [-].
    pub rots: (f64, f64),
    /// How much faster for worms [-].
    pub by_worms: f64,
    /// How far fresh food still ferments beside its own acids [0 to 1].
    pub ferments: f64,
    /// What finds no air.
    pub airless: Airless,
    /// How fast ammonium and nitrate are turned.
    pub turning: Turning,
    /// What worms meet there, their food left out.
    pub habitat: Habitat,
}

impl Moment {
    /// Of a bed at `ph` in these zones, in air at `air` [°C]. Its airless share is
    /// noted in `life`, where nitrifiers look for it.
    #[must_use]
    pub fn of(
        life: &mut Life,
        bed: &PossibleBed,
        a: &Around<'_>,
        zones: Zones,
        (air, ph): (f64, f64),
    ) -> Self {
        let c = &a.priors.constants;
        let size = Size::of(life, a, life.organic.sums(&a.priors.rates));
        let now = Now::of((life, a), size, zones, (air, ph), 0.0);
        life.carried.airless = now.airless;
        let drying = Drying::of(a, &size, air);
        let wet = over_wet(f64::midpoint(zones.core, zones.edge));
        let pocket = size.sums.pocket;
        let pocket_ph = pocket_ph_of(life, a, pocket, ph);
        let ferments = 1.0 - pickled(life, c, pocket, pocket_ph);
        let paces = now.paces;
        Self {
            dry_kg: size.dry_kg,
            litres: size.litres,
            holds_kg: life.holds_with(size.pores, size.dry_kg),
            passing: profile::passing(a, &size),
            vapour: drying.rate(wet, &drying.gives(size.moisture)),
            warm: (now.warm.bed, now.warm.pocket),
            pace: paces.bed,
            rots: (
                paces.bed * slowed(c, now.airless.bed, 1.0),
                paces.pocket * slowed(c, now.airless.pocket, ferments),
            ),
            by_worms: paces.worms,
            ferments,
            airless: now.airless,
            turning: nitrogen::rates(life, bed, a, &now),
            habitat: dwell::habitat(life, bed, a, &now),
        }
    }
}
