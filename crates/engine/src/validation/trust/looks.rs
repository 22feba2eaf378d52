//! When the figures of a bin were last measured in it: a figure just measured
//! is shown as the log knows it, and widened as the measurement ages.

use super::Trust;
use crate::estimate::track::{Moment, Track};
use crate::log::{Body, Entry, Measured};
use crate::quantity::Band;
use crate::scenario::{Scenario, What};
use crate::validation::predicted::Kind;
use std::collections::BTreeMap;

/// Days after a measurement until its figure is trusted no more than one never
/// measured [d]: eight weeks, as the first step of worms' least factor
/// (judgement).
pub const FORGOTTEN_DAYS: f64 = 56.0;
const DAY: f64 = 86_400.0;
const WORMS: &[Kind] = &[Kind::WormMass, Kind::WormNumber];

/// When each kind of figure was measured in one bin.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Looks {
    at: BTreeMap<Kind, Vec<i64>>,
}

impl Looks {
    /// Out of a log as it stands.
    #[must_use]
    pub fn of(log: &[Entry]) -> Self {
        let mut looks = Self::default();
        for entry in log {
            looks.saw(entry.at_unix_seconds, &entry.body);
        }
        looks
    }

    /// Out of what was done and seen in a scenario; times from its start.
    #[must_use]
    pub fn of_scenario(scenario: &Scenario) -> Self {
        let mut looks = Self::default();
        for happening in &scenario.happenings {
            let at = (happening.day * DAY) as i64;
            match &happening.what {
                What::Entry(body) => looks.saw(at, body),
                What::Staged(..) => looks.note(at, WORMS),
            }
        }
        looks
    }

    fn saw(&mut self, at: i64, body: &Body) {
        self.note(at, measured(body));
    }

    fn note(&mut self, at: i64, kinds: &[Kind]) {
        for kind in kinds {
            let times = self.at.entry(*kind).or_default();
            let place = times.partition_point(|t| *t <= at);
            times.insert(place, at);
        }
    }

    /// Days since a kind of figure was last measured before a time [s]; nothing
    /// when it never was.
    #[must_use]
    pub fn days_since(&self, kind: Kind, at: i64) -> Option<f64> {
        let times = self.at.get(&kind)?;
        let before = times.partition_point(|t| *t <= at);
        let last = times.get(before.checked_sub(1)?)?;
        Some((at - last) as f64 / DAY)
    }
}

/// What an entry measures.
fn measured(body: &Body) -> &'static [Kind] {
    match body {
        Body::Reading(r) => match r.what {
            Measured::Ph => &[Kind::Ph],
            Measured::BeddingCelsius => &[Kind::Temperature],
            Measured::EcMsCm => &[Kind::Salt],
            Measured::MoisturePercent => &[Kind::Moisture],
            Measured::AirCelsius | Measured::BinKg => &[],
        },
        Body::WormsIn { grams, count, .. } if grams.is_some() || count.is_some() => WORMS,
        Body::WormCount { .. } => WORMS,
        _ => &[],
    }
}

impl Trust {
    /// The band of a figure as it may be shown at a time [s]: stretched by its
    /// factor, less so the more lately it was measured. The exponent of the
    /// factor grows evenly from 0 at the measurement to 1 after
    /// [`FORGOTTEN_DAYS`].
    #[must_use]
    pub fn shown(&self, looks: &Looks, track: Track, band: Band, at: i64) -> Band {
        let since = Self::kind(track).and_then(|kind| looks.days_since(kind, at));
        let aged = since.map_or(1.0, |days| (days / FORGOTTEN_DAYS).clamp(0.0, 1.0));
        self.widen_by(track, band, self.widening(track).powf(aged), since)
    }

    /// All bands of a moment as they may be shown.
    #[must_use]
    pub fn shown_moment(&self, looks: &Looks, moment: &Moment) -> Moment {
        let bands = Track::ALL
            .iter()
            .map(|t| self.shown(looks, *t, moment.band(*t), moment.at))
            .collect();
        Moment {
            at: moment.at,
            bands,
        }
    }

    /// A course as it may be shown.
    #[must_use]
    pub fn shown_course(&self, looks: &Looks, course: &[Moment]) -> Vec<Moment> {
        course.iter().map(|m| self.shown_moment(looks, m)).collect()
    }
}

#[cfg(test)]
mod tests;
