//! The log, read by the ensemble.

mod answer;
mod hear;
mod past;

use crate::bed::fill::{Conditions, FillError, Own, ReadyPart};
use crate::bed::product::Ranged;
use crate::estimate::along::LESSONS;
pub use crate::estimate::along::{Along, Daily, Lesson};
use crate::estimate::ensemble::Possible;
use crate::estimate::live::Living;
use crate::estimate::scene::Scene;
use crate::estimate::script::Script;
use crate::estimate::standing::{Fold, Standing};
use crate::estimate::timeline::{self, Event, LeftOut, Timed, Told};
use crate::living::observe::Sayings;
use crate::living::room::{Day, usual_swing};
use crate::log::{BinDescription, Body, Entry, EntryId};
use crate::quantity::Celsius;
use crate::reading::settling::Rules;
use crate::table::{TableError, Tables};
pub use answer::{Estimate, FedThen, Given, Heard};
use hear::Notes;
use past::Past;
use std::sync::Arc;
use thiserror::Error;

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// Why there is no estimate.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum EstimateError {
    /// No bedding logged yet.
    #[error(
        "the log does not say what bedding is in the bin; log what went in (for example `20 L` of `coir_pith`) before asking"
    )]
    NotFilled,
    /// An entry that could not be used, and without which there is no answer.
    #[error("entry {}: {source}", entry.0)]
    Entry {
        /// Which entry.
        entry: EntryId,
        /// What was wrong.
        source: FillError,
    },
    /// A number or instrument is not in the tables.
    #[error(transparent)]
    Table(#[from] TableError),
}

/// How to run.
#[derive(Debug, Clone)]
pub struct Setup<'a> {
    /// The tables.
    pub tables: &'a Tables,
    /// The keeper's own values by material.
    pub own: &'a Own,
    /// Bed temperature [°C].
    pub temperature: Celsius,
    /// Now [s since 1970-01-01 00:00 UTC].
    pub now: i64,
    /// Seed.
    pub seed: u64,
    /// Number of members.
    pub members: usize,
    /// The container; a household tote when not known.
    pub bin: Option<&'a BinDescription>,
    /// A usual day of the air around it; the bed's temperature, with a room's
    /// usual swing, when not known.
    pub air: Option<Day>,
}

/// Estimates the bed from its effective log (see [`crate::log::effective`]).
///
/// # Errors
/// [`EstimateError`] when no bedding is logged.
pub fn estimate(setup: &Setup<'_>, log: &[Entry]) -> Result<Estimate, EstimateError> {
    estimate_told(setup, log, &Told::new())
}

/// As [`estimate`], for readings the keeper says followed a dose that is not
/// in the log: `told` holds the hours between. Within a day of it such a
/// reading is local.
///
/// # Errors
/// As [`estimate`].
pub fn estimate_told(
    setup: &Setup<'_>,
    log: &[Entry],
    told: &Told,
) -> Result<Estimate, EstimateError> {
    estimate_along(setup, log, &mut Along::told(told))
}

/// Why there is no filling to begin at: one that was left out is named.
fn not_filled(log: &[Entry], left_out: &[LeftOut]) -> EstimateError {
    let filled = |l: &&LeftOut| {
        let is_filled = |e: &Entry| e.id == l.entry && matches!(e.body, Body::Filled { .. });
        log.iter().any(is_filled)
    };
    match left_out.iter().rev().find(filled) {
        Some(l) => EstimateError::Entry {
            entry: l.entry,
            source: l.why.clone(),
        },
        None => EstimateError::NotFilled,
    }
}

/// As [`estimate`], with all that may go along.
///
/// # Errors
/// As [`estimate`].
pub fn estimate_along(
    setup: &Setup<'_>,
    log: &[Entry],
    along: &mut Along<'_>,
) -> Result<Estimate, EstimateError> {
    along.most_days = None;
    settle(setup, log, along)?.answer(setup, along)
}

/// What a log makes of the members, as far as [`Along::most_days`] lets them be
/// moved.
///
/// # Errors
/// As [`estimate`].
pub fn settle(
    setup: &Setup<'_>,
    log: &[Entry],
    along: &mut Along<'_>,
) -> Result<Run, EstimateError> {
    let read = Read::of(setup, log, along)?;
    let fold = Fold::through(&read.script, (setup.seed, setup.members), along);
    Ok(Run { read, fold })
}

/// What a log makes of the members as they were kept when last settled, weighed by
/// what came since and not moved: an answer at once, while they are. `None` where
/// nothing was kept ([`Along::kept`]) or few of them agree with what came.
///
/// # Errors
/// As [`estimate`].
pub fn weighed(
    setup: &Setup<'_>,
    log: &[Entry],
    along: &mut Along<'_>,
) -> Result<Option<Run>, EstimateError> {
    let read = Read::of(setup, log, along)?;
    let fold = Fold::weighed(&read.script, (setup.seed, setup.members), along);
    Ok(fold.map(|fold| Run { read, fold }))
}

/// A log run through, and what it made of the members so far.
pub struct Run {
    read: Read,
    fold: Fold,
}

impl Run {
    /// The members as they stand, to be kept.
    #[must_use]
    pub fn standing(&self) -> Standing {
        self.fold.standing()
    }

    /// Whether they were kept just so, and nothing was done.
    #[must_use]
    pub fn is_as_kept(&self) -> bool {
        self.fold.is_as_kept()
    }

    /// Whether no moves are left, so that it can be answered by them.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.fold.is_whole()
    }

    /// What is believed at the moment of a set-up: the same it was settled by.
    ///
    /// # Errors
    /// [`EstimateError`] when a number is missing.
    pub fn answer(
        mut self,
        setup: &Setup<'_>,
        along: &mut Along<'_>,
    ) -> Result<Estimate, EstimateError> {
        let (script, fold) = (self.read.script, &mut self.fold);
        fold.carry_to(&script, setup.now, along);
        let mut notes = Notes::of(setup.tables, self.read.stocked_before)?;
        for timed in &script.events {
            notes.note(&script, fold, timed);
        }
        let notes = (notes, self.read.left_out);
        Ok(answer((script, setup.now), self.fold, notes))
    }
}

/// A log, read.
pub(crate) struct Read {
    pub(crate) script: Script,
    stocked_before: bool,
    left_out: Vec<LeftOut>,
}

impl Read {
    pub(crate) fn of(
        setup: &Setup<'_>,
        log: &[Entry],
        along: &Along<'_>,
    ) -> Result<Self, EstimateError> {
        // What is asked of a moment knows nothing of later ones.
        let until = log.iter().filter(|e| e.at_unix_seconds <= setup.now);
        let log: Vec<Entry> = until.cloned().collect();
        let (mut events, left_out) =
            timeline::events(setup.tables, setup.bin, &log, setup.own, along.told)?;
        let start = events
            .iter()
            .rposition(|e| matches!(e.event, Event::Filled(_)))
            .ok_or_else(|| not_filled(&log, &left_out))?;
        let stocked_before = events[..start]
            .iter()
            .any(|e| matches!(e.event, Event::Living(Living::Stocked { .. })));
        let after = events.split_off(start + 1);
        let Some(Timed {
            at,
            event: Event::Filled(parts),
            ..
        }) = events.pop()
        else {
            return Err(EstimateError::NotFilled);
        };
        Ok(Self {
            script: script_of(setup, &log, (parts, at, after), along)?,
            stocked_before,
            left_out,
        })
    }
}

/// What every possible bin is told.
fn script_of(
    setup: &Setup<'_>,
    log: &[Entry],
    (parts, at, events): (Vec<ReadyPart>, i64, Vec<Timed>),
    along: &Along<'_>,
) -> Result<Script, EstimateError> {
    let tables = setup.tables;
    let usual = match setup.air {
        Some(day) => day,
        None => Day::around(setup.temperature.0, usual_swing(tables)?),
    };
    let mut scene = Scene::of(tables, setup.bin, usual, log, at)?;
    if !along.air.is_empty() {
        scene.room.set(0, along.air);
    }
    let mut script = Script {
        parts,
        events,
        scene,
        conditions: Conditions::usual(tables, setup.temperature)?,
        drift: Ranged::of(tables, "bed", "bed", "drift_ph_per_root_day")?,
        sayings: Sayings::load(tables)?,
        local_sd: Rules::from_tables(tables)?.local_sd,
        staged: along.staged.clone(),
        short_silences: along.short_silences,
        quick: along.quick,
        airs: Vec::new(),
    };
    script.air_of(((setup.now - at).max(0) / DAY as i64) as usize + 1);
    Ok(script)
}

/// What an estimate holds, of members carried to now.
fn answer(
    (script, now): (Script, i64),
    fold: Fold,
    (notes, left_out): (Notes, Vec<LeftOut>),
) -> Estimate {
    let e = &fold.ensemble;
    let change = notes.last_dose_at.map(|_| {
        let rise = |m: &Possible| m.bed.ph() - m.before_dose.unwrap_or_else(|| m.bed.ph());
        let real = script.scene.tuning.real_change_ph;
        (e.band(rise), e.chance(|m| rise(m).abs() > real))
    });
    let smelt_ammonia = notes
        .smelt_at
        .is_some_and(|t| (now - t) as f64 <= script.scene.tuning.smell_days * DAY);
    let ph = e.band(|m| m.bed.ph());
    let moment = e.moment(now, &e.signs(&script.scene));
    let ended = (moment.clone(), ph);
    Estimate {
        ph,
        ph_to_come: e.band(|m| m.bed.ph_when_all_has_acted()),
        pending_meq: e.band(|m| 1000.0 * m.bed.pending()),
        buffer_meq_per_ph: e.band(|m| 1000.0 * m.bed.buffer_at(m.bed.ph())),
        buffer_at_start: fold.ways().map_or(ph, |w| w.buffer_at_start(&e.weights)),
        dry_kg: e.band(|m| m.bed.dry_kg),
        water_kg: e.band(|m| m.bed.water_kg),
        change,
        moment,
        heard: notes.heard,
        lessons: fold.settled.lessons(LESSONS),
        given: notes.given,
        fed: notes.fed,
        watered: notes.watered,
        last_dose_at: notes.last_dose_at,
        wait_until: notes.wait_until,
        now,
        stocked: notes.stocked,
        smelt_ammonia,
        filled_at: script.scene.start,
        contradictions: fold.settled.surprises(),
        left_out,
        passed_over: passed_over(&script, now),
        past: Arc::new(Past::of(fold.ways, e, script.scene.start, ended)),
        scene: script.scene,
        ensemble: fold.ensemble,
    }
}

/// What of long silences is passed over: from and to
/// [s since 1970-01-01 00:00 UTC].
fn passed_over(script: &Script, now: i64) -> Vec<(i64, i64)> {
    let mut at = script.scene.start;
    let mut passed = Vec::new();
    for to in script.events.iter().map(|e| e.at).chain([now]) {
        let end = script.silence_end(at, to);
        if end < to {
            passed.push((end, to));
        }
        at = at.max(to);
    }
    passed
}
