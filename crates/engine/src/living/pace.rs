//! How finely a step is cut, and what is told of it as a whole.

use crate::living::heat::Zones;
use crate::living::life::{Life, Told};
use crate::living::rot::Sums;
use crate::living::step::{ACID_OXYGEN, Around};
use crate::living::tolerance::leaving_per_day;
use serde::{Deserialize, Serialize};

/// What the last part showed of how fast things go: how finely the next step is
/// cut hangs on it, and what is told of the worms; nothing else does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(super) struct Pace {
    /// So much came in or went out that how the last step went tells nothing of
    /// the next.
    pub(super) changed: bool,
    /// How fast the bed warms itself above its air [K/d]; 0 when it does not.
    pub(super) warming: f64,
    /// Share of the water that evaporates [1/d].
    pub(super) drying: f64,
    /// How fast the urge to leave rose [1/d].
    pub(super) urge_rise: f64,
    /// Share of worms dying per day [1/d].
    pub(super) dying: f64,
    /// Urge to leave for what is in the bin [0 to 1].
    pub(super) driven: f64,
    /// Share of worms leaving per day [1/d].
    pub(super) leaving: f64,
}

impl Default for Pace {
    fn default() -> Self {
        Self {
            changed: true,
            warming: 0.0,
            drying: 0.0,
            urge_rise: 0.0,
            dying: 0.0,
            driven: 0.0,
            leaving: 0.0,
        }
    }
}

/// Mean zones through a step that was cut into parts.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Through {
    zones: Zones,
}

impl Through {
    pub(super) fn add(&mut self, part: &Told, share: f64) {
        self.zones.core += share * part.zones.core;
        self.zones.edge += share * part.zones.edge;
        self.zones.hot += share * part.zones.hot;
        self.zones.refuge += share * part.zones.refuge;
    }

    /// What the step tells, the `last` of whose parts told that.
    pub(super) fn told(&self, last: &Told) -> Told {
        Told {
            zones: self.zones,
            ..*last
        }
    }
}

/// Most worms that may die or leave in a part [share].
const MOST_DYING: f64 = 0.04;

/// Most a bed may warm itself in a part [K].
const MOST_KELVIN: f64 = 1.0;

/// Parts to cut the rest of a step into so that in none more worms are lost
/// than may be, nor the bed warms itself more, as fast as both go now.
pub(super) fn parts_from_now(life: &Life, days: f64) -> u32 {
    const MOST_PARTS: f64 = 48.0;
    let lost = (life.pace.dying + life.pace.leaving) * days / MOST_DYING;
    let warms = life.pace.warming * days / MOST_KELVIN;
    lost.max(warms).ceil().min(MOST_PARTS) as u32
}

/// Parts to cut a step into: in each, fresh food or a turn of the weather may
/// warm the bed by so much, and so great a share of the water dry up or of the
/// worms die or leave.
pub(super) fn parts(
    life: &Life,
    a: &Around<'_>,
    sums: &Sums,
    (air_was, air): (f64, f64),
    dt: f64,
) -> u32 {
    // How fine a step must be cut, as tried out; no law. A bed that heats itself
    // so far rises and falls faster.
    const HOT: f64 = 29.0;
    const HOT_PARTS: f64 = 5.0;
    const AFTERNOON: f64 = 1.6;
    const MOST_AIR: f64 = 2.0;
    const MOST_DRIED: f64 = 0.1;
    const MOST_FORESEEN: f64 = 20.0;
    const MOST_PARTS: f64 = 12.0;
    let hot = if life.carried.ends.core.max(air) > HOT {
        HOT_PARTS
    } else {
        1.0
    };
    let (p, c) = (a.priors, &a.priors.constants);
    let eased = sums.eased(life.carried.nitrogen);
    let holds = (c.water_heat * life.water_kg + c.least_heat) * MOST_KELVIN;
    // Acids burn as hotly as food, wherever they lie.
    let acids = (life.acid_bed + life.acid_pocket) * a.nature.acid_eaten * c.acid_mass;
    let burnt = (eased * a.nature.decay_scale + acids * ACID_OXYGEN / c.oxygen_per_vs) * dt;
    let cold = burnt * c.oxygen_per_vs * 1000.0 * c.heat_per_oxygen / holds;
    // Warmth hastens it four times at the most, that which it makes too.
    let heats = if cold > 0.2 {
        let hot = life.carried.ends.hot + (cold * MOST_KELVIN).min(MOST_FORESEEN);
        cold * p.decays.at(hot)
    } else {
        cold
    };
    // Over a day the bed follows its air whole.
    let turned = (air - air_was).abs() * dt / MOST_AIR;
    // What bedding does of itself shows only in how it has warmed so far, and
    // that a warm afternoon may do as well.
    let warms = life.pace.warming * dt / (AFTERNOON * MOST_KELVIN);
    let dries = life.pace.drying * dt / MOST_DRIED;
    // Those that will want to leave, as the urge is rising.
    let urge = life.carried.urge + life.pace.urge_rise.max(0.0) * dt;
    let soon = leaving_per_day(a.vital, urge.min(1.0), HOT, a.home.escape);
    let leaving = life.pace.leaving.max(soon);
    let dying = (life.pace.dying + leaving) * dt / MOST_DYING;
    heats
        .max(hot)
        .max(dying)
        .max(turned)
        .max(warms)
        .max(dries)
        .ceil()
        .clamp(1.0, MOST_PARTS) as u32
}
