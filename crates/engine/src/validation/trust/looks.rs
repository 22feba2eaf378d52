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
    at: BTreeMap<Kind, Vec<Seen>>,
}

/// One measurement: when [s], and with what.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Seen {
    at: i64,
    instrument: String,
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
                What::Staged(..) => looks.note(at, WORMS, ""),
            }
        }
        looks
    }

    fn saw(&mut self, at: i64, body: &Body) {
        let instrument = match body {
            Body::Reading(r) => r.instrument.as_str(),
            _ => "",
        };
        self.note(at, measured(body), instrument);
    }

    fn note(&mut self, at: i64, kinds: &[Kind], instrument: &str) {
        for kind in kinds {
            let times = self.at.entry(*kind).or_default();
            let place = times.partition_point(|t| t.at <= at);
            let instrument = instrument.to_owned();
            times.insert(place, Seen { at, instrument });
        }
    }

    /// Measurements of a kind of figure up to a time [s].
    fn before(&self, kind: Kind, at: i64) -> &[Seen] {
        let times = self.at.get(&kind).map_or(&[][..], Vec::as_slice);
        &times[..times.partition_point(|t| t.at <= at)]
    }

    /// Days since a kind of figure was last measured before a time [s]; nothing
    /// when it never was.
    #[must_use]
    pub fn days_since(&self, kind: Kind, at: i64) -> Option<f64> {
        let last = self.before(kind, at).last()?;
        Some((at - last.at) as f64 / DAY)
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
    /// The band of a figure as it may be shown at a time [s]: with its error,
    /// less of it the more lately and the better it was measured. The error grows
    /// evenly from what a measurement leaves of it to all of it after
    /// [`FORGOTTEN_DAYS`].
    #[must_use]
    pub fn shown(&self, looks: &Looks, track: Track, band: Band, at: i64) -> Band {
        let all = self.error(track);
        let Some(kind) = Self::kind(track) else {
            return self.widen_by(track, band, all, None);
        };
        let error = looks
            .before(kind, at)
            .iter()
            .map(|seen| {
                let days = (at - seen.at) as f64 / DAY;
                let left = self.left_by(kind, &seen.instrument);
                left + (all - left) * (days / FORGOTTEN_DAYS).clamp(0.0, 1.0)
            })
            .fold(all, f64::min);
        self.widen_by(track, band, error, looks.days_since(kind, at))
    }

    /// Error e that a measurement just made leaves of a figure: two things told
    /// of it weigh by their squares, so `e r / sqrt(e² + r²)` where the instrument
    /// is worth r either way, and none where it is better than any model.
    fn left_by(&self, kind: Kind, instrument: &str) -> f64 {
        let error = self.error.get(&kind).copied().unwrap_or(0.0);
        match self.worth.get(instrument) {
            Some(worth) if kind == Kind::Ph && error > 0.0 => error * worth / error.hypot(*worth),
            _ => 0.0,
        }
    }

    /// All bands of a moment as they may be shown.
    #[must_use]
    pub fn shown_moment(&self, looks: &Looks, moment: &Moment) -> Moment {
        let mut bands: Vec<Band> = Track::ALL
            .iter()
            .map(|t| self.shown(looks, *t, moment.band(*t), moment.at))
            .collect();
        // No more castings than there is dry matter.
        let share = moment.band(Track::CastingsShare).median;
        let castings = &mut bands[Track::Castings as usize];
        if share > 0.0 {
            castings.high = castings.high.min(castings.median / share);
        }
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
