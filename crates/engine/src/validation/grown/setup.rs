//! How each growth curve was set up, as the living model is told it. What the
//! collection states is taken as it stands; what it does not state is assumed
//! in the same way for every curve, with a spread that widens the interval.
//!
//! - Substrate: its words are read as our materials (`growth_substrates.csv`),
//!   shares by dry mass. Of a curve longer than half a year ([`OUTLASTS`]) nobody
//!   says whether more was given; from nothing to as much again every eight weeks
//!   is assumed. Its grams are dry matter where so much of
//!   it, wetted, still fits the vessel stated, else they are wet.
//! - Moisture is kept, up and down; worms stay in, cocoons are taken out daily.
//! - What is put before worms has lain for two weeks ([`RIPENS`]), so that it
//!   heats no more, as is common practice.
//! - The temperature is that of the vessel, whose cover lets vapour through.
//! - Each weighing turns the substrate.
//! - Worms of one mass, that of the first point, from its day on.

use super::super::ValidationError;
use super::super::trial::{Keeping, Trial, kilos, tote};
use super::{Curve, Substance};
use crate::bed::fill::Own;
use crate::estimate::live::Staged;
use crate::log::{BinDescription, Body, Lid, Part};
use crate::measure::Packing;
use crate::table::Tables;
use std::collections::BTreeMap;

/// Ways of setting up a curve of which something is not stated.
pub(super) const WAYS: usize = 5;
/// Where each way stands in the range of what is not stated: 10th, 30th, 50th,
/// 70th and 90th percentile [standard deviations].
const AT: [f64; WAYS] = [-1.282, -0.524, 0.0, 0.524, 1.282];

/// Something that may not be stated: middle and standard deviation.
#[derive(Debug, Clone, Copy)]
struct Unstated {
    middle: f64,
    sd: f64,
    log: bool,
    /// Its order through the ways: no two go together.
    order: [usize; WAYS],
}

/// Warmth [°C]: laboratories of warm and cool countries.
const CELSIUS: Unstated = Unstated {
    middle: 24.0,
    sd: 2.5,
    log: false,
    order: [0, 1, 2, 3, 4],
};
/// Water [% of wet mass]: as experimenters keep manure.
const MOISTURE: Unstated = Unstated {
    middle: 78.0,
    sd: 3.0,
    log: false,
    order: [3, 0, 2, 4, 1],
};
/// Worms in a vessel: the middle of those stated.
const WORMS: Unstated = Unstated {
    middle: 4.0,
    sd: 0.6,
    log: true,
    order: [1, 4, 2, 0, 3],
};
/// Substrate for each worm [g], as wet: the middle of those stated.
const SUBSTRATE_EACH: Unstated = Unstated {
    middle: 50.0,
    sd: 0.7,
    log: true,
    order: [2, 3, 1, 4, 0],
};

/// Days that worms may live on what they were first given; who keeps them
/// longer mostly gives more [d] (common practice, no source).
const OUTLASTS: f64 = 182.0;
/// Every so many days [d] so much of what was first given is given again: each
/// way its share, no two together with the others' order.
const AGAIN_DAYS: f64 = 56.0;
const AGAIN: [f64; WAYS] = [0.5, 0.0, 0.25, 0.0, 1.0];

impl Unstated {
    fn in_way(&self, way: usize) -> f64 {
        let off = self.sd * AT[self.order[way % WAYS]];
        if self.log {
            self.middle * off.exp()
        } else {
            self.middle + off
        }
    }
}

/// Days a substrate lies before the worms [d].
pub(super) const RIPENS: f64 = 14.0;
/// A published mass is the mean of some vessels: so many worms at least live in
/// vessels side by side, for of a single worm that may die a part is none.
const SIDE_BY_SIDE: f64 = 10.0;
/// Wet mass of a litre of substrate as it lies in a vessel [kg/L].
const KG_PER_LITRE: f64 = 0.7;

/// The ways in which a curve is set up: one where all is stated.
pub(super) fn ways(
    tables: &Tables,
    curve: &Curve,
    of: &[Substance],
) -> Result<Vec<Trial>, ValidationError> {
    let all = [
        curve.celsius,
        curve.moisture_percent,
        curve.worms,
        curve.substrate_g,
    ];
    let ways = if all.iter().all(Option::is_some) && !outlasts(curve) {
        2..3
    } else {
        0..WAYS
    };
    ways.map(|way| set_up(tables, curve, of, way)).collect()
}

/// Whether a curve goes on for longer than what was first given may last.
fn outlasts(curve: &Curve) -> bool {
    let day = |p: Option<&(f64, f64)>| p.map_or(0.0, |p| p.0);
    day(curve.points.last()) - day(curve.points.first()) > OUTLASTS
}

/// Covered pots without holes, each as deep as wide, that hold `litres` together.
fn pot(litres: f64, vessels: f64) -> BinDescription {
    let deep = (litres / vessels * 1000.0).cbrt();
    BinDescription {
        lid: Lid::Vented,
        drains: false,
        ..tote(deep * vessels, deep, deep)
    }
}

fn set_up(
    tables: &Tables,
    curve: &Curve,
    of: &[Substance],
    way: usize,
) -> Result<Trial, ValidationError> {
    let celsius = curve.celsius.unwrap_or_else(|| CELSIUS.in_way(way));
    let moisture = curve
        .moisture_percent
        .unwrap_or_else(|| MOISTURE.in_way(way));
    let worms = curve.worms.unwrap_or_else(|| WORMS.in_way(way));
    let dry_kg = dry_kg(curve, moisture, worms * SUBSTRATE_EACH.in_way(way));
    let vessels = (SIDE_BY_SIDE / worms).ceil().max(1.0);
    let wet_kg = vessels * dry_kg * 100.0 / (100.0 - moisture);
    let stated = vessels * curve.vessel_ml.map_or(0.0, |ml| ml / 1000.0);
    let mut parts = Vec::new();
    let mut own = Own::new();
    let mut lies = 0.0;
    for s in of {
        let packing = Packing::in_tables(tables, &s.material)?;
        lies += s.share * dry_kg * packing.wetted(moisture / 100.0);
        let mut part = kilos(&s.material, s.share * wet_kg, Some(moisture))?;
        part.ph = curve.ph;
        parts.push(part);
        own.insert(s.material.clone(), values(s, moisture));
    }
    let (first, mg) = curve.points.first().copied().unwrap_or((0.0, 1.0));
    let last = curve.points.last().map_or(first, |p| p.0);
    // A pot holds what lies in it, leaves too.
    let litres = stated.max(2.0 * wet_kg).max(vessels * lies);
    let mut trial = Trial::new(pot(litres, vessels), parts, celsius, RIPENS + last - first);
    trial.own = own;
    // No worms by the log, but of that species.
    let species = curve.species.name().to_owned();
    trial.staged = Some((RIPENS, Staged::default(), species));
    trial.cohort = Some((vessels * worms, mg / 1000.0));
    trial.cohort_day = RIPENS;
    // Who weighs worms picks them out, and turns what they live in.
    for (day, _) in &curve.points[1..] {
        trial = trial.on(RIPENS + day - first, Body::Turned);
    }
    if outlasts(curve) && AGAIN[way % WAYS] > 0.0 {
        let mut day = AGAIN_DAYS;
        while day < last - first {
            let more = again(&trial.parts, AGAIN[way % WAYS]);
            trial = trial.on(RIPENS + day, more);
            day += AGAIN_DAYS;
        }
    }
    trial.keeping = Keeping {
        moisture: Some(moisture),
        printed: true,
        kept_in: true,
        no_cocoons: true,
        young_out: None,
        as_told: true,
    };
    Ok(trial)
}

/// So much of what was first put in, given again.
fn again(parts: &[Part], share: f64) -> Body {
    let mut parts = parts.to_vec();
    for p in &mut parts {
        p.amount.number *= share;
    }
    Body::BeddingAdded { parts }
}

/// Dry matter of the substrate [kg].
fn dry_kg(curve: &Curve, moisture: f64, unstated_g: f64) -> f64 {
    let dry_share = 1.0 - moisture / 100.0;
    let kg = curve.substrate_g.unwrap_or(unstated_g) / 1000.0;
    let fits = match (curve.substrate_g, curve.vessel_ml) {
        (Some(_), Some(ml)) => kg / dry_share / KG_PER_LITRE <= ml / 1000.0,
        _ => false,
    };
    if fits { kg } else { kg * dry_share }
}

/// What is told of a material beside its table: its nitrogen, and that it holds
/// the moisture it is kept at.
fn values(s: &Substance, moisture: f64) -> BTreeMap<String, f64> {
    let holds = moisture / (100.0 - moisture);
    let mut values = BTreeMap::from([("water_holding_g_per_g".to_owned(), holds)]);
    if let Some(percent) = s.nitrogen_percent {
        values.insert("nitrogen_percent".to_owned(), percent);
    }
    values
}
