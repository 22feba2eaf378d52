//! How far to trust each figure: by how much its 80 % interval must be widened
//! so that at least [`WANTED`] of the published values lie in it.
//!
//! The widening is worked out from the predictions of published experiments
//! and from keepers' cases that were measured, and kept in `trust.csv`, which
//! a test compares with what is worked out here. A factor f stretches each
//! half of an interval f-fold: on the log scale for what is never negative,
//! plainly for pH, moisture and temperature. It is at least 1 and at most
//! [`MOST`]; what would need more is not to be trusted as a number. Values
//! known from copies of a table only may widen an interval, never narrow it:
//! the factor is the larger of those with and without them.

mod looks;

pub use looks::{FORGOTTEN_DAYS, Looks};

use super::experiments::Blind;
use super::predicted::{Kind, Prediction, boxes};
use super::{Area, Basis, Check, From, about};
use crate::estimate::track::Track;
use crate::quantity::Band;
use crate::table::{TableError, Tables};
use std::collections::BTreeMap;

/// Share of published values that a widened interval must hold.
pub const WANTED: f64 = 0.74;
/// Widest factor shown.
pub const MOST: f64 = 3.0;
/// Table of factors.
const TABLE: &str = "trust";

/// What is known of how far to trust a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trusted {
    /// Which figures.
    pub kind: Kind,
    /// Factor that would be needed, at least 1; infinite when no widening
    /// helps; nothing when there is no value to go by.
    pub needed: Option<f64>,
    /// Factor used.
    pub widening: f64,
    /// Treatments behind it.
    pub treatments: usize,
    /// Values behind it.
    pub values: usize,
}

/// Factor by which the half of an interval on the side of a value must be
/// stretched to reach it [-]; 0 at the median.
#[must_use]
pub fn reach(p: &Prediction) -> f64 {
    let band = p.band();
    let edge = if p.observed < band.median {
        band.low
    } else {
        band.high
    };
    let log = p.kind.is_log() && p.observed > 0.0 && band.median > 0.0;
    let scale = |x: f64| if log { x.max(1e-300).ln() } else { x };
    let (off, half) = (
        (scale(p.observed) - scale(band.median)).abs(),
        (scale(edge) - scale(band.median)).abs(),
    );
    if off <= 0.0 { 0.0 } else { off / half }
}

/// The factor that brings [`WANTED`] of the values in, every treatment
/// counting as one.
fn needed(of: &[&Prediction]) -> Option<f64> {
    let boxes = boxes(of);
    let mut weighed: Vec<(f64, f64)> = boxes
        .iter()
        .flat_map(|b| b.iter().map(|p| (reach(p), 1.0 / b.len() as f64)))
        .collect();
    weighed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wanted = WANTED * boxes.len() as f64 - 1e-9;
    let mut sum = 0.0;
    weighed.into_iter().find_map(|(reach, weight)| {
        sum += weight;
        (sum >= wanted).then_some(reach.max(1.0))
    })
}

/// How far to trust each kind of figure, from predictions in full.
#[must_use]
pub fn trusted(all: &[Prediction]) -> Vec<Trusted> {
    let of = |kind: Kind| {
        let of: Vec<&Prediction> = all
            .iter()
            .filter(|p| p.kind == kind && p.blind == Blind::Yes)
            .collect();
        let read: Vec<&Prediction> = of.iter().copied().filter(|p| !p.second_hand()).collect();
        let needed = match (needed(&of), needed(&read)) {
            (Some(all), Some(read)) => Some(all.max(read)),
            (all, read) => all.or(read),
        };
        Trusted {
            kind,
            needed,
            widening: needed.unwrap_or(1.0).min(MOST),
            treatments: boxes(&of).len(),
            values: of.len(),
        }
    };
    let mut list: Vec<Trusted> = Kind::ALL.into_iter().map(of).collect();
    // Nobody published castings by day. They are made by worms, so they are
    // trusted no more than the mass of worms.
    let worms = list.iter().find(|t| t.kind == Kind::WormMass).copied();
    for t in &mut list {
        if let (Kind::Castings, None, Some(worms)) = (t.kind, t.needed, worms) {
            t.widening = worms.widening;
        }
    }
    list
}

pub(super) fn checks(all: &[Prediction]) -> Vec<Check> {
    let from = From {
        area: Area::Experiments,
        source: "predictions and measured cases of this page",
        basis: Basis::Derived,
        unit: "-",
        decimals: 2,
    };
    trusted(all)
        .into_iter()
        .map(|t| {
            let needed = match t.needed {
                Some(needed) if needed > MOST => format!(
                    "{needed:.1} would be needed: shown {MOST} times as wide, and not to be trusted as a number"
                ),
                Some(needed) => format!("{needed:.2} needed"),
                None => "no published value to go by: this says nothing for or against".to_owned(),
            };
            from.check(
                format!("E trust {}", t.kind.name()),
                format!("how many times as wide the interval of {} must be shown", t.kind.title()),
                about(1.0),
                t.widening,
            )
            .note(&format!(
                "{needed}. {} treatments, {} values. {}",
                t.treatments,
                t.values,
                caution(t.kind)
            ))
        })
        .collect()
}

fn caution(kind: Kind) -> &'static str {
    match kind {
        Kind::WormMass | Kind::WormNumber => {
            "On the log scale: an interval that begins near nothing is wide already, and a small factor on it is no good forecast."
        }
        Kind::Castings => "As the mass of worms, which make them.",
        _ => "",
    }
}

/// The factors by which shown intervals are widened.
#[derive(Debug, Clone, PartialEq)]
pub struct Trust {
    widening: BTreeMap<Kind, f64>,
    /// Least factor either way of a number of worms after so many weeks.
    least: [(f64, f64); 2],
}

impl Trust {
    /// From the table.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let widening = Kind::ALL
            .into_iter()
            .map(|kind| Ok((kind, tables.value(TABLE, kind.name(), "widening")?)))
            .collect::<Result<_, TableError>>()?;
        let least = |property| tables.value(TABLE, "worms_ahead", property);
        Ok(Self {
            widening,
            least: [
                (8.0, least("least_factor_8_weeks")?),
                (26.0, least("least_factor_26_weeks")?),
            ],
        })
    }

    /// What a figure is trusted as; nothing for what was held against no
    /// measurement.
    #[must_use]
    pub fn kind(track: Track) -> Option<Kind> {
        Some(match track {
            Track::Ph => Kind::Ph,
            Track::Moisture => Kind::Moisture,
            Track::Core | Track::Refuge | Track::Hot => Kind::Temperature,
            Track::WormKg => Kind::WormMass,
            Track::Worms | Track::Cocoons => Kind::WormNumber,
            Track::Castings | Track::CastingsShare => Kind::Castings,
            Track::Salt => Kind::Salt,
            _ => return None,
        })
    }

    /// Factor for a figure [-], 1 or more.
    #[must_use]
    pub fn widening(&self, track: Track) -> f64 {
        let kind = Self::kind(track);
        kind.and_then(|k| self.widening.get(&k))
            .copied()
            .unwrap_or(1.0)
    }

    /// The band stretched by a factor; numbers and masses of worms at least
    /// the published factor either way (worms' reference, judgement: 1.5 at
    /// eight weeks, 2 at half a year) for the days since they were known, half
    /// a year when they never were.
    fn widen_by(&self, track: Track, band: Band, factor: f64, since: Option<f64>) -> Band {
        let log = Self::kind(track).is_some_and(Kind::is_log);
        let wide = within(track, stretched(band, factor, log));
        if !matches!(track, Track::Worms | Track::WormKg | Track::Cocoons) {
            return wide;
        }
        let least = self.least_factor(since.unwrap_or(f64::INFINITY));
        Band {
            low: wide.low.min(band.median / least),
            high: wide.high.max(band.median * least),
            ..wide
        }
    }

    /// Least factor either way of worms so many days ahead [-]: log-linear
    /// from 1 now through the published two, and no more beyond.
    #[must_use]
    pub fn least_factor(&self, days: f64) -> f64 {
        let weeks = (days / 7.0).max(0.0);
        let [(w1, f1), (w2, f2)] = self.least;
        let ln = if weeks <= w1 {
            f1.ln() * weeks / w1
        } else {
            f1.ln() + (f2.ln() - f1.ln()) * ((weeks - w1) / (w2 - w1)).min(1.0)
        };
        ln.exp()
    }
}

/// Each half of a band stretched `factor` times.
fn stretched(band: Band, factor: f64, log: bool) -> Band {
    let edge = |edge: f64| {
        if log && band.median > 0.0 && edge > 0.0 {
            band.median * (edge / band.median).powf(factor)
        } else if log {
            (band.median + factor * (edge - band.median)).max(0.0)
        } else {
            band.median + factor * (edge - band.median)
        }
    };
    Band {
        median: band.median,
        low: edge(band.low),
        high: edge(band.high),
    }
}

/// Kept to what the figure can be.
fn within(track: Track, band: Band) -> Band {
    let most = match track {
        Track::Moisture => 100.0,
        Track::CastingsShare => 1.0,
        Track::Ph => 14.0,
        _ => return band,
    };
    Band {
        low: band.low.max(0.0).min(band.median),
        high: band.high.min(most).max(band.median),
        ..band
    }
}

#[cfg(test)]
mod tests;
