//! How each growth curve was set up, as the living model is told it. What the
//! collection states is taken as it stands; what it does not state is assumed
//! in the same way for every curve, with a spread that widens the interval.
//!
//! - Substrate: its words are read as our materials (`growth_substrates.csv`),
//!   shares by dry mass; given once. Its grams are dry matter where so much of
//!   it, wetted, still fits the vessel stated, else they are wet.
//! - Moisture is kept; worms stay in, cocoons are taken out daily.
//! - What ferments or heats when fresh lies for a while before the worms
//!   ([`RIPENS`]), as is common practice.
//! - Worms of one mass, that of the first point, from its day on.

use super::super::ValidationError;
use super::super::trial::{Keeping, Trial, kilos, tote};
use super::{Curve, Substance};
use crate::bed::fill::Own;
use crate::estimate::live::Staged;
use crate::living::rot::Rates;
use crate::log::{BinDescription, Lid};
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

/// Days a substrate lies before the worms where any of it is fresh feed [d].
pub(super) const RIPENS: f64 = 14.0;
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
    let ways = if all.iter().all(Option::is_some) {
        2..3
    } else {
        0..WAYS
    };
    ways.map(|way| set_up(tables, curve, of, way)).collect()
}

/// A covered pot without holes that holds `litres`, as deep as wide.
fn pot(litres: f64) -> BinDescription {
    let side = (litres * 1000.0).cbrt();
    BinDescription {
        lid: Lid::Vented,
        drains: false,
        ..tote(side, side, side)
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
    let wet_kg = dry_kg * 100.0 / (100.0 - moisture);
    let stated = curve.vessel_ml.map_or(0.0, |ml| ml / 1000.0);
    let mut parts = Vec::new();
    let mut own = Own::new();
    for s in of {
        let mut part = kilos(&s.material, s.share * wet_kg, Some(moisture))?;
        part.ph = curve.ph;
        parts.push(part);
        own.insert(s.material.clone(), values(s, moisture));
    }
    let ripens = ripens(tables, of)?;
    let (first, mg) = curve.points.first().copied().unwrap_or((0.0, 1.0));
    let last = curve.points.last().map_or(first, |p| p.0);
    let litres = stated.max(2.0 * wet_kg);
    let mut trial = Trial::new(pot(litres), parts, celsius, ripens + last - first);
    trial.own = own;
    // No worms by the log, but of that species.
    let species = curve.species.name().to_owned();
    trial.staged = Some((ripens, Staged::default(), species));
    trial.cohort = Some((worms, mg / 1000.0));
    trial.cohort_day = ripens;
    trial.keeping = Keeping {
        moisture: Some(moisture),
        printed: true,
        kept_in: true,
        no_cocoons: true,
        young_out: None,
    };
    Ok(trial)
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

/// Days before the worms [d].
fn ripens(tables: &Tables, of: &[Substance]) -> Result<f64, ValidationError> {
    let rates = Rates::load(tables)?;
    let fresh = |s: &Substance| rates.kinds.get(&s.material).is_some_and(|k| k.in_pocket());
    Ok(if of.iter().any(fresh) { RIPENS } else { 0.0 })
}
