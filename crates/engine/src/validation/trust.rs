//! How far to trust each figure: the error of the model itself, which adds to
//! the spread of the possible bins, so that at least [`WANTED`] of the
//! published values lie in what is shown.
//!
//! The error e is worked out from the predictions of published experiments
//! and from keepers' cases that were measured, and kept in `trust.csv`, which
//! a test compares with what is worked out here. As errors that have nothing
//! to do with each other add, each half h of an 80 % interval is shown as
//! `sqrt(h² + e²)`: on the log scale for what is never negative, where e is a
//! factor either way, and plainly for pH, moisture and temperature. e is at
//! least none and at most [`most`]; a figure that would need more is not to be
//! trusted as a number. Values known from copies of a table only may widen an
//! interval, never narrow it, and so may fresh ones, those for whose
//! outcomes no law was changed: e is the largest of those with and without
//! either.

mod looks;

pub use looks::{FORGOTTEN_DAYS, Looks};

use super::experiments::Blind;
use super::predicted::{Kind, Prediction, boxes};
use super::{Area, Basis, Check, From, about};
use crate::estimate::track::Track;
use crate::quantity::Band;
use crate::reading::combine::Z80;
use crate::reading::instrument::Instrument;
use crate::table::{TableError, Tables};
use std::collections::BTreeMap;

/// Share of published values that a widened interval must hold.
pub const WANTED: f64 = 0.74;
/// Table of errors.
const TABLE: &str = "trust";

/// What is known of how far to trust a figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trusted {
    /// Which figures.
    pub kind: Kind,
    /// Error that would be needed, on the scale of the figure; infinite when
    /// none is enough; nothing when there is no value to go by.
    pub needed: Option<f64>,
    /// Error used, on the scale of the figure.
    pub error: f64,
    /// Treatments behind it.
    pub treatments: usize,
    /// Values behind it.
    pub values: usize,
    /// Fresh treatments among them.
    pub fresh: usize,
}

/// Largest error a figure is shown with, on its scale: a factor 3 either way,
/// or 1 pH, 10 points of moisture, 5 °C (judgement).
#[must_use]
pub fn most(kind: Kind) -> f64 {
    match kind {
        Kind::Ph => 1.0,
        Kind::Moisture => 10.0,
        Kind::Temperature => 5.0,
        _ => 3.0_f64.ln(),
    }
}

/// Error of a figure that nobody published, on its scale: moisture 2.5 points,
/// for what a lid lets out and what a bed holds differ by more between sources
/// than one bin's log tells (judgement, made with the bins of other laws in view).
fn unpublished(kind: Kind) -> f64 {
    match kind {
        Kind::Moisture => 2.5,
        _ => 0.0,
    }
}

/// An error as it is written: a factor either way for what is on the log
/// scale.
#[must_use]
pub fn written(kind: Kind, error: f64) -> f64 {
    if kind.is_log() { error.exp() } else { error }
}

/// Unit of an error as it is written.
#[must_use]
pub fn unit(kind: Kind) -> &'static str {
    match kind {
        Kind::Ph => "pH",
        Kind::Moisture => "points",
        Kind::Temperature => "C",
        _ => "times",
    }
}

/// An error in words: `± 0.9 pH`, `a factor 3.0 either way`, `none`.
#[must_use]
pub fn shown_error(kind: Kind, error: f64) -> String {
    match (kind.is_log(), error) {
        (_, e) if e < 1e-9 => "none".to_owned(),
        (true, e) if e.exp() > 100.0 => "a factor over 100 either way".to_owned(),
        (true, e) => format!("a factor {:.1} either way", e.exp()),
        (false, e) => format!("± {e:.1} {}", unit(kind)),
    }
}

/// Error that, added to the half of an interval on the side of a value, just
/// reaches it: `sqrt(d² − h²)`, on the scale of the figure; 0 inside.
#[must_use]
pub fn beyond(p: &Prediction) -> f64 {
    if p.inside() {
        return 0.0;
    }
    let band = p.band();
    let edge = if p.observed < band.median {
        band.low
    } else {
        band.high
    };
    let off = apart(p.kind, p.observed, band.median);
    let half = apart(p.kind, edge, band.median);
    (off * off - half * half).max(0.0).sqrt()
}

/// Distance of two values on the scale of a figure.
fn apart(kind: Kind, a: f64, b: f64) -> f64 {
    let scale = |x: f64| if kind.is_log() { x.max(1e-300).ln() } else { x };
    (scale(a) - scale(b)).abs()
}

/// The error that brings [`WANTED`] of the values in, every treatment counting
/// as one.
fn needed(of: &[&Prediction]) -> Option<f64> {
    let boxes = boxes(of);
    let mut weighed: Vec<(f64, f64)> = boxes
        .iter()
        .flat_map(|b| b.iter().map(|p| (beyond(p), 1.0 / b.len() as f64)))
        .collect();
    weighed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wanted = WANTED * boxes.len() as f64 - 1e-9;
    let mut sum = 0.0;
    weighed.into_iter().find_map(|(error, weight)| {
        sum += weight;
        (sum >= wanted).then_some(error)
    })
}

/// The largest error needed with or without copies of tables, and with or
/// without what is fresh, so that neither narrows what is shown.
fn widest(of: &[&Prediction]) -> Option<f64> {
    let without = |copies: bool, fresh: bool| {
        let kept: Vec<&Prediction> = of
            .iter()
            .copied()
            .filter(|p| !(copies && p.second_hand() || fresh && !p.seen_before()))
            .collect();
        needed(&kept)
    };
    [(false, false), (true, false), (false, true), (true, true)]
        .into_iter()
        .filter_map(|(copies, fresh)| without(copies, fresh))
        .reduce(f64::max)
}

/// How far to trust each kind of figure, from predictions in full.
#[must_use]
pub fn trusted(all: &[Prediction]) -> Vec<Trusted> {
    let of = |kind: Kind| {
        let of: Vec<&Prediction> = all
            .iter()
            .filter(|p| p.kind == kind && p.blind == Blind::Yes)
            .collect();
        let needed = widest(&of);
        let fresh: Vec<&Prediction> = of.iter().copied().filter(|p| !p.seen_before()).collect();
        Trusted {
            kind,
            needed,
            error: needed.unwrap_or(unpublished(kind)).min(most(kind)),
            treatments: boxes(&of).len(),
            values: of.len(),
            fresh: boxes(&fresh).len(),
        }
    };
    let mut list: Vec<Trusted> = Kind::ALL.into_iter().map(of).collect();
    // Nobody published castings by day. Worms make them of what is not lost, so
    // they are trusted no more than either.
    let kin = [Kind::WormMass, Kind::MassLoss];
    let of_kin = list.iter().filter(|t| kin.contains(&t.kind));
    let error = of_kin.map(|t| t.error).fold(0.0, f64::max);
    for t in &mut list {
        if let (Kind::Castings, None) = (t.kind, t.needed) {
            t.error = error;
        }
    }
    list
}

pub(super) fn checks(all: &[Prediction]) -> Vec<Check> {
    trusted(all)
        .into_iter()
        .map(|t| {
            let from = From {
                area: Area::Experiments,
                source: "predictions and measured cases of this page",
                basis: Basis::Derived,
                unit: unit(t.kind),
                decimals: 2,
            };
            let (no_error, shown) = (written(t.kind, 0.0), written(t.kind, t.error));
            let note = format!(
                "{}. {} treatments, {} values; {} of the treatments fresh. {}",
                how(&t),
                t.treatments,
                t.values,
                t.fresh,
                caution(t.kind)
            );
            let what = format!(
                "error of {} beside the spread of the possible bins",
                t.kind.title()
            );
            from.check(
                format!("E trust {}", t.kind.name()),
                what,
                about(no_error),
                shown,
            )
            .note(&note)
        })
        .collect()
}

/// What an error is worked out from, in words.
fn how(t: &Trusted) -> String {
    match t.needed {
        Some(needed) if needed > most(t.kind) => format!(
            "Needed: {}. Shown with {}, and not to be trusted as a number",
            shown_error(t.kind, needed),
            shown_error(t.kind, t.error)
        ),
        Some(needed) => format!("Needed: {}", shown_error(t.kind, needed)),
        None => "No published value to go by: this says nothing for or against".to_owned(),
    }
}

fn caution(kind: Kind) -> &'static str {
    match kind {
        Kind::Castings => {
            "As the less sure of the mass of worms, which make them, and the mass lost, which is not among them."
        }
        Kind::Moisture => "Judgement, until somebody publishes a bin's moisture day by day.",
        _ => "",
    }
}

/// The errors with which figures are shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Trust {
    error: BTreeMap<Kind, f64>,
    /// What a pH read with each instrument is worth, either way (80 %) [pH].
    worth: BTreeMap<String, f64>,
    /// Least factor either way of a number of worms after so many weeks.
    least: [(f64, f64); 2],
}

impl Trust {
    /// From the table.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let error = |kind: Kind| {
            let written = tables.value(TABLE, kind.name(), "error")?;
            Ok((kind, if kind.is_log() { written.ln() } else { written }))
        };
        let error = Kind::ALL
            .into_iter()
            .map(error)
            .collect::<Result<_, TableError>>()?;
        let least = |property| tables.value(TABLE, "worms_ahead", property);
        let worth = tables
            .instruments()
            .iter()
            .map(|i| {
                let i = Instrument::from_tables(tables, &i.key)?;
                let scatter = i.noise_sd.hypot(i.expected.spot_sd);
                Ok((i.key.clone(), Z80 * i.systematic_sd().hypot(scatter)))
            })
            .collect::<Result<_, TableError>>()?;
        Ok(Self {
            error,
            worth,
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

    /// Error of a figure, on its scale.
    #[must_use]
    pub fn error(&self, track: Track) -> f64 {
        let kind = Self::kind(track);
        kind.and_then(|k| self.error.get(&k))
            .copied()
            .unwrap_or(0.0)
    }

    /// The band with an error added; numbers and masses of worms at least
    /// the published factor either way (worms' reference, judgement: 1.5 at
    /// eight weeks, 2 at half a year) for the days since they were known, half
    /// a year when they never were.
    fn widen_by(&self, track: Track, band: Band, error: f64, since: Option<f64>) -> Band {
        let log = Self::kind(track).is_some_and(Kind::is_log);
        let wide = within(track, added(band, error, log));
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

/// Each half of a band with an error added.
pub(super) fn added(band: Band, error: f64, log: bool) -> Band {
    if log && band.median <= 0.0 {
        return band;
    }
    let edge = |edge: f64, sign: f64| match (log, edge > 0.0) {
        (true, true) => {
            let half = (edge / band.median).ln();
            band.median * (sign * half.hypot(error)).exp()
        }
        (true, false) => edge,
        (false, _) => band.median + sign * (edge - band.median).hypot(error),
    };
    Band {
        median: band.median,
        low: edge(band.low, -1.0),
        high: edge(band.high, 1.0),
    }
}

/// Kept to what the figure can be.
fn within(track: Track, band: Band) -> Band {
    let most = match track {
        Track::Moisture => 100.0,
        Track::CastingsShare => 1.0,
        Track::Ph => 14.0,
        // A saturated extract of brine.
        Track::Salt => 110.0,
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
