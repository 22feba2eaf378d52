//! Warmth in the bed through one step: its mean, its core, its hot pocket.

use crate::living::drying::{Drying, over_wet};
use crate::living::heat::{self, Exchange, Store, Zones};
use crate::living::life::Life;
use crate::living::now::{Now, Size};
use crate::living::rot;
use crate::living::step::Around;
use crate::living::water;

/// Warmth in the bed through a part.
#[derive(Debug, Clone, Copy)]
pub(super) struct Profile {
    /// Zones, mean of the part [°C].
    pub(super) zones: Zones,
    /// How much warmer than the bed its core is at the end [K].
    pub(super) core_excess: f64,
    /// How much warmer than the core the pocket is at the end [K].
    pub(super) pocket_rise: f64,
}

/// Zones at the mean warmth the bed will have through the part, should it make
/// heat as in the last.
pub(super) fn profile(
    life: &Life,
    a: &Around<'_>,
    size: &Size,
    store: &Store,
    drying: &Drying,
    air: f64,
    dt: f64,
) -> Profile {
    let (passing, c) = (passing(a, size), &a.priors.constants);
    let bed = bed_through(life, a, size, store, drying, air, dt);
    let pocket = size.sums.pocket * c.pocket_litres;
    let x = dt * passing / store.thawed;
    let over = (bed - air) * heat::unevenness(store.ice(life.heat), c.even_ice);
    let (core, after) = heat::core_excess(life.carried.core_excess, c.core_share * over, x);
    // What is too hot to rot makes no heat: a hot middle flattens out.
    let hottest = (c.stops_celsius - bed).max(0.0);
    let core = core.min(hottest);
    let core_excess = after.min(hottest);
    let most = (hottest - core.max(0.0)).clamp(0.0, c.pocket_most_rise);
    let (rise, pocket_rise) = if pocket > LEAST_LITRES {
        let half = a.nature.pocket_half_m * (pocket / c.pocket_usual).cbrt();
        let half = half.min(a.home.height_m(size.litres) / 2.0);
        let watts_m3 = life.carried.pocket_heat * size.eased * 1000.0 / pocket;
        let at_20 = heat::pocket_rise(watts_m3, half, a.nature.bed_w_m_k);
        let holds = 1e6 * store.thawed / size.litres.max(1e-9);
        let tau = heat::pocket_days(half, a.nature.bed_w_m_k, holds);
        let steady = |rise: f64| at_20 * a.priors.decays.at(bed + core + rise);
        heat::pocket_through(life.carried.pocket_rise, most, dt / tau, steady)
    } else {
        (0.0, 0.0)
    };
    Profile {
        zones: Zones::with_core((bed, core), (air, c.edge_share), rise, &a.home.kindest),
        core_excess,
        pocket_rise,
    }
}

/// How far warmth lets things rot against 20 °C: slower than this they do not [-].
const LEAST_WARM: f64 = 0.01;

/// Less than this is no pocket [L].
const LEAST_LITRES: f64 = 0.01;

/// Mean warmth of the bed through the step [°C]: what makes heat and what dries
/// it answer to the warmth they make, so it is found by going round.
fn bed_through(
    life: &Life,
    a: &Around<'_>,
    size: &Size,
    store: &Store,
    drying: &Drying,
    air: f64,
    dt: f64,
) -> f64 {
    const ROUNDS: u32 = 6;
    const CLOSE_KELVIN: f64 = 0.02;
    // So far from where it was a bed has moved, and no more times as fast is
    // foretold.
    const MOVED_KELVIN: f64 = 0.2;
    const MOST_FASTER: f64 = 3.0;
    let c = &a.priors.constants;
    let last = f64::midpoint(life.carried.ends.core, life.carried.ends.edge);
    let warm = |mean: f64, middle: f64| {
        let t = rot::felt_by_microbes(c, mean, middle);
        a.priors.decays.at(t)
    };
    // Asked for only once the bed has moved.
    let mut was = None;
    let gives = drying.gives(size.moisture);
    let mut bed = last;
    // How far the middle between core and edge is on the way to the air.
    let toward_air = (c.edge_share - c.core_share) / 2.0;
    for _ in 0..ROUNDS {
        let middle = bed - toward_air * (bed - air);
        // Out of what does not rot nothing is foretold.
        let faster = if (middle - last).abs() > MOVED_KELVIN {
            match *was.get_or_insert_with(|| warm(last, life.carried.ends.core)) {
                was if was > LEAST_WARM => (warm(middle, bed) / was).min(MOST_FASTER),
                _ => 1.0,
            }
        } else {
            1.0
        };
        let wet = over_wet(middle);
        let vapour = drying.rate(wet, &gives);
        let most = life.water_kg / dt;
        // More warmth, more vapour: as if so much more passed the walls.
        let slope = if vapour > 0.0 && vapour < most {
            (1.0 - toward_air) * c.evaporate * drying.lets(&gives) * wet * water::steepness(middle)
        } else {
            0.0
        };
        let exchange = Exchange {
            made: life.carried.watts * 86.4 * faster - vapour.min(most) * c.evaporate
                + slope * (bed - air),
            passing: passing(a, size) + slope,
            air,
        };
        let (_, mean) = heat::carry(store, life.heat, &exchange, dt);
        let moved = mean - bed;
        bed = mean;
        if moved.abs() < CLOSE_KELVIN {
            break;
        }
    }
    bed
}

/// Heat passing the walls [kJ/d/K].
pub(super) fn passing(a: &Around<'_>, size: &Size) -> f64 {
    a.nature.wall_w_m2_k * a.nature.exchange * a.home.heat_m2(size.litres) * 86.4
}

/// What became of the warmth of the bed in a part.
#[derive(Debug, Clone, Copy)]
pub(super) struct Warmed {
    /// Heat of the bed at the end [kJ].
    pub(super) heat: f64,
    /// Heat made [kJ].
    pub(super) made: f64,
    /// Heat taken by vapour [kJ].
    pub(super) taken: f64,
    /// Heat passed through the walls [kJ].
    pub(super) passed: f64,
    /// How fast the bed warms itself above its air [K/d]; 0 when it does not.
    pub(super) warming: f64,
}

/// The warmth of the bed through a part in which `oxygen` is used and `vapour`
/// given off [kg].
pub(super) fn warmed(
    life: &Life,
    a: &Around<'_>,
    now: &Now,
    store: &Store,
    (oxygen, vapour): (f64, f64),
) -> Warmed {
    let (c, dt) = (&a.priors.constants, now.dt);
    let celsius = store.celsius(life.heat);
    let worms = c.worm_watts * now.size.worms_kg * a.priors.worms_warm.at(celsius) * 86.4 * dt;
    let made = oxygen * 1000.0 * c.heat_per_oxygen + worms;
    let ice = if celsius < 0.0 { c.melt } else { 0.0 };
    let taken = vapour * (c.evaporate + ice);
    let passing = passing(a, &now.size);
    let x = Exchange {
        made: (made - taken) / dt,
        passing,
        air: now.air,
    };
    let (heat, mean) = heat::carry(store, life.heat, &x, dt);
    Warmed {
        heat,
        made,
        taken,
        passed: passing * (mean - now.air) * dt,
        warming: match store.celsius(heat) {
            is if is > now.air => (is - celsius) / dt,
            _ => 0.0,
        },
    }
}

/// Heat made in the pocket, in which `burnt` [kg] did, of what would rot there a
/// day at 20 °C, were it at 20 °C [W d/kg].
pub(super) fn pocket_heat(a: &Around<'_>, now: &Now, burnt: f64) -> f64 {
    if now.size.eased <= 0.0 || now.warm.pocket < LEAST_WARM {
        return 0.0;
    }
    let c = &a.priors.constants;
    let kj = burnt * c.oxygen_per_vs * 1000.0 * c.heat_per_oxygen;
    kj / now.dt / 86.4 / now.size.eased / now.warm.pocket
}
