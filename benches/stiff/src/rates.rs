//! How fast each part of the state changes. What depends on how the bed stands is
//! asked of the engine's own laws ([`engine::living::moment`]); what the engine has
//! only as a step (so much of a pool in so many days) stands here as its rate, one
//! file for each group of processes.

mod lime;
mod nitrogen;
mod rot;
mod warmth;
mod water;
mod worms;

use crate::one::{AIR, Bin, STOCKED};
use crate::state::{Layout, Part, put};
use engine::bed::possible::PossibleBed;
use engine::living::heat::Zones;
use engine::living::life::Life;
use engine::living::moment::Moment;
use engine::living::step::Around;
use std::f64::consts::TAU;

/// Less than this is no pocket of food [L].
const LEAST_POCKET: f64 = 0.01;

/// What all processes of a moment are told from.
pub struct At<'a> {
    pub bin: &'a Bin,
    pub layout: &'a Layout,
    pub life: &'a Life,
    pub bed: &'a PossibleBed,
    pub y: &'a [f64],
    pub m: &'a Moment,
    pub zones: Zones,
    /// Air at the bin [°C].
    pub air: f64,
    /// pH of the bed.
    pub ph: f64,
    /// Labile matter in pockets of food [kg].
    pub pocket_kg: f64,
    /// Most a pocket may be warmer than the core [K].
    pub most_rise: f64,
    /// Worms have come.
    pub stocked: bool,
}

impl At<'_> {
    pub fn of(&self, part: Part) -> f64 {
        self.y[self.layout.at(part)]
    }
}

/// Air at the bin [°C] at a time [d].
fn air(bin: &Bin, t: f64) -> f64 {
    let turn = TAU * (t - bin.priors.constants.warmest_day_share);
    AIR.middle() + (AIR.high - AIR.low) / 2.0 * turn.cos() + bin.nature.room_offset
}

/// Zones of a bed in air at `air` [°C] with so much labile matter in its pocket [kg],
/// and how much warmer than the core the pocket may be [K].
pub fn zones(bin: &Bin, layout: &Layout, y: &[f64], (air, pocket_kg): (f64, f64)) -> (Zones, f64) {
    let c = &bin.priors.constants;
    let celsius = y[layout.at(Part::Celsius)];
    // What is too hot to rot makes no heat: a hot middle flattens out.
    let hottest = (c.stops_celsius - celsius).max(0.0);
    let excess = y[layout.at(Part::Excess)].min(hottest);
    let most = (hottest - excess.max(0.0)).clamp(0.0, c.pocket_most_rise);
    let rise = if pocket_kg * c.pocket_litres > LEAST_POCKET {
        y[layout.at(Part::Rise)].clamp(0.0, most)
    } else {
        0.0
    };
    let of = (celsius, excess);
    let zones = Zones::with_core(of, (air, c.edge_share), rise, &bin.home.kindest);
    (zones, most)
}

/// Warmth of core and pocket [°C].
pub fn core_and_hot(bin: &Bin, layout: &Layout, y: &[f64]) -> (f64, f64) {
    let pocket_kg = pocket(layout, y);
    let (zones, _) = zones(bin, layout, y, (0.0, pocket_kg));
    (zones.core, zones.hot)
}

fn pocket(layout: &Layout, y: &[f64]) -> f64 {
    let kinds = layout.kinds.iter().enumerate();
    let fed = kinds.filter(|(_, kind)| engine::living::rot::Kind::ALL[**kind].in_pocket());
    fed.map(|(i, _)| y[layout.pool(i, 0)]).sum()
}

/// Writes to `d` how fast `y` changes at `t` [d].
pub fn change(
    (bin, layout): (&Bin, &Layout),
    (life, bed): (&mut Life, &mut PossibleBed),
    (t, y, d): (f64, &[f64], &mut [f64]),
) {
    d.fill(0.0);
    let ph = layout.fill(y, bin, (life, bed));
    let came = f64::from(STOCKED);
    let stocked = life.stocked_days >= 0.0;
    if stocked {
        life.stocked_days = (t - came).max(0.0);
    }
    let around = Around {
        priors: &bin.priors,
        home: &bin.home,
        nature: &bin.nature,
        vital: &bin.vital,
    };
    let air = air(bin, t);
    let pocket_kg = life.organic.pocket();
    let (zones, most_rise) = zones(bin, layout, y, (air, pocket_kg));
    let m = Moment::of(life, bed, &around, zones, (air, ph));
    let at = At {
        bin,
        layout,
        life,
        bed,
        y,
        m: &m,
        zones,
        air,
        ph,
        pocket_kg,
        most_rise,
        stocked,
    };
    all(&at, d);
}

/// Every process once.
fn all(at: &At<'_>, d: &mut [f64]) {
    let rot = rot::rates(at, d);
    nitrogen::rates(at, &rot, d);
    let acids_burnt = nitrogen::acids(at, &rot, d);
    water::rates(at, rot.shared.burnt.organic + acids_burnt, d);
    warmth::rates(at, &rot, acids_burnt, d);
    lime::rates(at, &rot, d);
    if at.stocked {
        worms::rates(at, &rot, d);
    }
}

/// Adds so much to a part.
fn add(at: &At<'_>, d: &mut [f64], part: Part, rate: f64) {
    d[at.layout.at(part)] += rate;
}

/// Adds so much matter to a pool, microbes or humus.
fn add_matter(d: &mut [f64], place: usize, m: &engine::living::rot::Matter) {
    let mut sum = crate::state::matter(d, place);
    sum.add(m);
    put(d, place, &sum);
}
