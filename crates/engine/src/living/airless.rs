//! How much of the decay finds no air: in the bed, above what liquid stands in it,
//! and in the pocket of food.
//!
//! What wants oxygen (all that rots, acids that are burnt again, worms) against
//! what seeps in and is drawn in ([`crate::living::air`]); the pocket takes its
//! share first, and what lies under liquid has none.

use crate::living::air;
use crate::living::breath;
use crate::living::life::Life;
use crate::living::now::{Size, Warm};
use crate::living::rotting::{Paces, slowed};
use crate::living::step::{ACID_OXYGEN, Around};
use serde::{Deserialize, Serialize};

/// Share of decay that finds no air.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Airless {
    /// In the bed [0 to 1].
    pub bed: f64,
    /// In what of it lies above standing liquid [0 to 1].
    pub above: f64,
    /// In the pocket of food [0 to 1].
    pub pocket: f64,
}

impl Airless {
    /// Of a bed of that size and warmth that rots at these paces, in air at
    /// `air` [°C] for `dt` days.
    pub(super) fn of(
        life: &Life,
        a: &Around<'_>,
        (size, warm, paces): (&Size, &Warm, &Paces),
        (air, dt): (f64, f64),
    ) -> Self {
        let (c, n) = (&a.priors.constants, a.nature);
        let (bed, food) = wanted(life, a, (size, warm, paces), dt);
        let supply = supply(a, size, warm.felt_celsius - air);
        let pocket = air::airless(supply * n.pocket_air, food * c.oxygen_per_vs);
        // What lies under liquid has none, and wants none of what comes in.
        let over = 1.0 - size.flooded;
        let open = air::airless(supply * (1.0 - n.pocket_air), over * bed * c.oxygen_per_vs);
        let covered = air::covered(
            size.sums.pocket * c.pocket_litres,
            a.home.floor_m2,
            2.0 * n.pocket_half_m,
        );
        let above = air::under_food(open, covered, pocket);
        Self {
            bed: 1.0 - (1.0 - above) * over,
            above,
            pocket,
        }
    }
}

/// What in the bed and in the pocket wants oxygen, as much as so much organic
/// matter burning [kg/d].
fn wanted(
    life: &Life,
    a: &Around<'_>,
    (size, warm, paces): (&Size, &Warm, &Paces),
    dt: f64,
) -> (f64, f64) {
    let (c, n, sums) = (&a.priors.constants, a.nature, &size.sums);
    let (bed, pocket) = (paces.bed * paces.worms, paces.pocket * paces.worms);
    let food = pocket * (sums.eased_labile + sums.eased_slow);
    // Of the food no more wants it than is there on the way.
    let goes = food / sums.pocket.max(1e-12) * slowed(c, life.carried.airless.pocket, 1.0);
    let food = food * (1.0 - (0.5 * goes * dt).min(0.5));
    // Acids that are burnt again want oxygen too.
    let acids = n.acid_eaten * c.acid_mass * ACID_OXYGEN / c.oxygen_per_vs;
    let worms = breath::oxygen_g_per_kg_day(a.vital, warm.felt_celsius) / 1000.0;
    let worms = worms * size.worms_kg / c.oxygen_per_vs;
    (
        bed * sums.eased_bed + acids * life.acid_bed * warm.bed + worms,
        food + acids * life.acid_pocket * warm.pocket,
    )
}

/// Oxygen that comes in [kg/d] where the bed is so much warmer than its air [K].
fn supply(a: &Around<'_>, size: &Size, warmer_kelvin: f64) -> f64 {
    let (c, n) = (&a.priors.constants, a.nature);
    let path = n.air_path * a.home.height_m(size.litres).min(c.most_height_m);
    let draught = air::Draught {
        area_m2: a.home.floor_m2,
        air_filled: size.air_filled,
        path_m: path.max(c.least_path_m),
        oxygen_kg_m3: c.oxygen,
        lid: n.lid_air,
    };
    air::seeping(&draught, c.diffusion)
        + air::drawn(
            &draught,
            (n.air_drawn * a.home.inlet, c.drawn_at),
            warmer_kelvin,
        )
}
