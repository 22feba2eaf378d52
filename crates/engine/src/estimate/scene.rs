//! Where an ensemble lives: its container, its air, and the numbers of the
//! living bin.

use crate::estimate::tuning::Tuning;
use crate::living::home::Home;
use crate::living::nature::Priors;
use crate::living::room::{Day, Room};
use crate::living::species::{Species, VitalRanges};
use crate::log::{BinDescription, Body, Entry, Lid, Measured, Walls};
use crate::table::{TableError, Tables};

/// What all members of an ensemble have around them.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Numbers of the living bin.
    pub priors: Priors,
    /// The container.
    pub home: Home,
    /// The air, in days since [`Scene::start`].
    pub room: Room,
    /// Vital numbers of the species kept.
    pub vitals: VitalRanges,
    /// The species kept.
    pub species: Species,
    /// When the bin was filled [s since 1970-01-01 00:00 UTC].
    pub start: i64,
    /// Inner length, width and depth [cm].
    pub size_cm: (f64, f64, f64),
    /// Walls.
    pub walls: Walls,
    /// Judgements of the estimate.
    pub tuning: Tuning,
}

/// Seconds in a day.
const DAY: f64 = 86_400.0;
/// Fadings after which nothing of a season is left.
const SEASONS: f64 = 4.0;

impl Scene {
    /// The scene of a bin from its log.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn of(
        tables: &Tables,
        bin: Option<&BinDescription>,
        usual: Day,
        log: &[Entry],
        start: i64,
    ) -> Result<Self, TableError> {
        let usual_bin = usual_tote(tables)?;
        let bin = bin.unwrap_or(&usual_bin);
        let tuning = Tuning::load(tables)?;
        let species = species(log);
        let home = Home::of(tables, bin, species)?;
        let priors = Priors::load(tables)?;
        let warmest = priors.constants.warmest_day_share;
        Ok(Self {
            priors,
            home,
            room: room(log, (usual, warmest), start, &tuning),
            tuning,
            vitals: VitalRanges::of(tables, species)?,
            species,
            start,
            size_cm: (bin.length_cm, bin.width_cm, bin.depth_cm),
            walls: bin.walls,
        })
    }

    /// Days since the bin was filled at a moment [d].
    #[must_use]
    pub fn day(&self, at: i64) -> f64 {
        (at - self.start) as f64 / DAY
    }

    /// Mean air of each of `steps` equal steps of `days` from `from` [°C].
    #[must_use]
    pub fn airs(&self, from: f64, days: f64, steps: u32) -> Vec<f64> {
        let dt = days / f64::from(steps);
        (0..steps)
            .map(|i| from + dt * f64::from(i))
            .map(|t| self.room.mean(t, t + dt))
            .collect()
    }
}

/// A household tote when nobody says what the bin is.
///
/// # Errors
/// [`TableError`] when a number is missing.
pub fn usual_tote(tables: &Tables) -> Result<BinDescription, TableError> {
    let cm = |property| tables.value("estimate", "tote", property);
    Ok(BinDescription {
        name: String::new(),
        length_cm: cm("length_cm")?,
        width_cm: cm("width_cm")?,
        depth_cm: cm("depth_cm")?,
        bedding_depth_cm: None,
        walls: Walls::Plastic,
        lid: Lid::Vented,
        drains: true,
        place: String::new(),
        retired: false,
    })
}

/// The species of the last stocking that names one; red worms when none does.
#[must_use]
pub fn species(log: &[Entry]) -> Species {
    log.iter()
        .rev()
        .find_map(|e| match &e.body {
            Body::WormsIn { species, .. } => Species::parse(species),
            _ => None,
        })
        .unwrap_or(Species::EiseniaFetida)
}

/// The air by day: what was read, joined by straight lines where readings lie
/// near each other. After a reading its weather fades within weeks to the season
/// that the readings so far tell of, and this within months to the usual day.
/// Days before the first reading are taken to have been as its season tells.
fn room(log: &[Entry], (usual, warmest): (Day, f64), start: i64, t: &Tuning) -> Room {
    let mut known: Vec<(f64, f64)> = log
        .iter()
        .filter_map(|e| match &e.body {
            Body::Reading(r) if r.what == Measured::AirCelsius && !r.spots.is_empty() => {
                let mean = r.spots.iter().sum::<f64>() / r.spots.len() as f64;
                Some((
                    (e.at_unix_seconds - start) as f64 / DAY,
                    mean - usual.middle(),
                ))
            }
            _ => None,
        })
        .collect();
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut room = Room::steady(usual, warmest);
    let Some(last) = known.last().map(|k| k.0) else {
        return room;
    };
    let swing = usual.high - usual.low;
    let seasons = seasons(&known, t);
    let days = (last + SEASONS * t.room_season_days).max(0.0) as usize + 1;
    for day in 0..days {
        let warmer = read_near(&known, &seasons, day as f64 + 0.5, t);
        room.set(day, &[Day::around(usual.middle() + warmer, swing)]);
    }
    room
}

/// How much warmer than usual the season is by each reading and those before it
/// [K]: their mean, the nearer ones counting more and the usual day among them.
fn seasons(known: &[(f64, f64)], t: &Tuning) -> Vec<f64> {
    let (mut sum, mut count, mut at) = (0.0, 0.0, 0.0);
    let season = |&(day, warmer): &(f64, f64)| {
        let kept = ((at - day) / t.room_season_days).exp();
        (sum, count, at) = (sum * kept + warmer, count * kept + 1.0, day);
        sum / (count + t.room_usual_counts)
    };
    known.iter().map(season).collect()
}

/// How much warmer than usual the air is at a moment [d], by what was read [K].
fn read_near(known: &[(f64, f64)], seasons: &[f64], at: f64, t: &Tuning) -> f64 {
    let after = known.partition_point(|k| k.0 <= at);
    let before = after.checked_sub(1).map(|i| (known[i], seasons[i]));
    // Of days before them all only the first tells, so that no later one tells
    // another past.
    let first = known.first().map_or(at, |k| k.0);
    let early = seasons.first().copied().unwrap_or(0.0);
    let faded = |to: f64| match before {
        Some(((day, warmer), season)) => {
            let weather = (warmer - season) * ((day - to) / t.room_fades_days).exp();
            weather + season * ((day - to) / t.room_season_days).exp()
        }
        None => early * ((to - first) / t.room_season_days).exp(),
    };
    match (before, known.get(after)) {
        (Some((a, _)), Some(b)) if b.0 - a.0 <= t.room_joined_days => {
            a.1 + (b.1 - a.1) * (at - a.0) / (b.0 - a.0).max(1e-9)
        }
        (_, Some(b)) if b.0 - at <= t.room_held_days => b.1,
        _ => faded(at),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::{BinId, EntryId, Place, Reading};

    fn air(day: i64, celsius: f64) -> Entry {
        let body = Body::Reading(Reading {
            what: Measured::AirCelsius,
            spots: vec![celsius],
            instrument: "own".into(),
            place: Place::Spread,
            text: String::new(),
            confirmed: false,
        });
        let at = day * 86_400 + 43_200;
        Entry {
            id: EntryId(day),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body,
        }
    }

    /// Air read at 5 °C by a bin in what was told as a room of 20 °C.
    #[test]
    fn air_that_was_read_fades_to_the_season_and_this_to_the_usual_day() {
        let tables = Tables::load().unwrap();
        let at = |log: &[Entry], day: f64| {
            let scene = Scene::of(&tables, None, Day::around(20.0, 4.0), log, 0).unwrap();
            scene.room.day(day).middle()
        };
        let log = [air(30, 5.0)];
        assert!((at(&log, 30.0) - 5.0).abs() < 1e-9);
        // Not a heated room again a few days later, nor the week before.
        assert!(at(&log, 34.0) < 12.0 && at(&log, 20.0) < 15.0);
        let [after, later] = [40.0, 120.0].map(|day| at(&log, day));
        assert!(after < later && later < 20.0);
        assert!((at(&log, 400.0) - 20.0).abs() < 0.1);
        // Many readings outweigh what was told of the room.
        let often: Vec<Entry> = (0..8).map(|k| air(30 + 20 * k, 5.0)).collect();
        assert!(at(&often, 160.0) < 9.0 && at(&often, 185.0) < at(&log, 45.0));
        // No later one tells another past, but for the days just before it.
        let [one, two] = [&often[..1], &often[..2]];
        assert!(
            (0..47).all(|day| (at(one, f64::from(day)) - at(two, f64::from(day))).abs() < 1e-9)
        );
        // Two near each other are joined.
        let both = [air(30, 5.0), air(36, 11.0)];
        assert!((at(&both, 33.0) - 8.0).abs() < 1e-9);
    }
}
