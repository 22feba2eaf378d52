//! The log, read by the ensemble.

mod answer;
mod hear;

use crate::bed::fill::{Conditions, FillError, Own, ReadyPart};
use crate::bed::product::Ranged;
use crate::estimate::along::LESSONS;
pub use crate::estimate::along::{Along, Daily, Lesson};
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::live::Living;
use crate::estimate::scene::Scene;
use crate::estimate::script::Script;
use crate::estimate::settled::Settled;
use crate::estimate::timeline::{self, Event, LeftOut, Timed, Told};
use crate::estimate::track::Moment;
use crate::living::observe::Sayings;
use crate::living::room::{Day, usual_swing};
use crate::log::{BinDescription, Body, Entry, EntryId};
use crate::quantity::{Band, Celsius};
use crate::reading::settling::Rules;
use crate::table::{TableError, Tables};
pub use answer::{Estimate, FedThen, Given, Heard};
use thiserror::Error;

/// Most moments at which the courses of a bin are kept.
const MOMENTS: i64 = 60;
/// Most moments at which its pH is kept, beside those of the log.
const PATH: i64 = 160;
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
    let script = script_of(setup, &log, (parts, at, after), along)?;
    let settled = Settled::by(&script, (setup.seed, setup.members), along);
    let mut run = Run::begin(setup, (script, settled), stocked_before, along)?;
    run.left_out = left_out;
    run.through(along);
    run.carry_to(setup.now, along);
    Ok(run.finish())
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
        airs: Vec::new(),
    };
    script.air_of(((setup.now - at).max(0) / DAY as i64) as usize + 1);
    Ok(script)
}

/// A run in progress.
struct Run {
    ensemble: Ensemble,
    script: Script,
    settled: Settled,
    course: Vec<Moment>,
    course_seconds: i64,
    at: i64,
    now: i64,
    path_seconds: i64,
    buffer_at_start: Band,
    path: Vec<(i64, Band)>,
    heard: Vec<Heard>,
    given: Vec<Given>,
    fed: Vec<FedThen>,
    watered: Vec<(i64, Ranged)>,
    last_dose_at: Option<i64>,
    wait_until: Option<i64>,
    wait_days: (f64, f64),
    smelt_at: Option<i64>,
    stocked: bool,
    left_out: Vec<LeftOut>,
    passed_over: Vec<(i64, i64)>,
}

impl Run {
    fn begin(
        setup: &Setup<'_>,
        (script, settled): (Script, Settled),
        stocked: bool,
        along: &mut Along<'_>,
    ) -> Result<Self, EstimateError> {
        let mut ensemble = settled.ensemble(along.hands, &|tape| script.fill(tape));
        if let Some(daily) = &mut along.daily {
            daily(0, &mut ensemble, &script.scene);
        }
        let at = script.scene.start;
        let span = (setup.now - at).max(1);
        let first = ensemble.moment(at, &ensemble.signs(&script.scene));
        Ok(Self {
            course: vec![first],
            course_seconds: (span / MOMENTS).max(DAY as i64 / 2),
            at,
            now: setup.now,
            path_seconds: span / PATH,
            buffer_at_start: ensemble.band(buffer_meq),
            path: vec![(at, ensemble.band(|m| m.bed.ph()))],
            heard: Vec::new(),
            given: Vec::new(),
            fed: Vec::new(),
            watered: Vec::new(),
            last_dose_at: None,
            wait_until: None,
            wait_days: (
                setup.tables.value("bed", "dose", "wait_ground_days")?,
                setup.tables.value("bed", "dose", "wait_other_days")?,
            ),
            smelt_at: None,
            stocked,
            left_out: Vec::new(),
            passed_over: Vec::new(),
            ensemble,
            script,
            settled,
        })
    }

    /// Goes through all events.
    fn through(&mut self, along: &mut Along<'_>) {
        for k in 0..self.script.events.len() {
            self.carry_to(self.script.events[k].at, along);
            self.meet(k);
        }
    }

    /// Carries every member to `to`, recording the path on the way.
    fn carry_to(&mut self, to: i64, along: &mut Along<'_>) {
        let end = self.script.silence_end(self.at, to);
        if end < to {
            self.passed_over.push((end, to));
        }
        while self.at < end {
            let next = self.script.step_end(self.at, end);
            let (script, at) = (&self.script, self.at);
            self.ensemble.each_by_hands(|m| script.step(m, at, next));
            self.at = next;
            let last = self.path.last().map_or(i64::MIN, |p| p.0);
            if self.at - last >= self.path_seconds || self.at == self.now {
                self.record();
            }
            let last = self.course.last().map_or(i64::MIN, |m| m.at);
            if self.at - last >= self.course_seconds || self.at == self.now {
                self.record_course();
            }
            self.tell(along);
        }
        self.at = self.at.max(to);
    }

    /// Tells whoever watches how far the run is, and of each whole day.
    fn tell(&mut self, along: &mut Along<'_>) {
        let gone = self.at - self.script.scene.start;
        if let Some(daily) = &mut along.daily
            && gone % DAY as i64 == 0
        {
            let day = (gone / DAY as i64) as u32;
            daily(day, &mut self.ensemble, &self.script.scene);
        }
        if let Some(progress) = &mut along.progress {
            let whole = (self.now - self.script.scene.start).max(1);
            progress(gone as f64 / whole as f64);
        }
    }

    fn record_course(&mut self) {
        let signs = self.ensemble.signs(&self.script.scene);
        let moment = self.ensemble.moment(self.at, &signs);
        match self.course.last_mut() {
            Some(last) if last.at == self.at => *last = moment,
            _ => self.course.push(moment),
        }
    }

    fn record(&mut self) {
        let band = self.ensemble.band(|m| m.bed.ph());
        match self.path.last_mut() {
            Some(last) if last.0 == self.at => last.1 = band,
            _ => self.path.push((self.at, band)),
        }
    }

    fn finish(mut self) -> Estimate {
        self.record_course();
        let e = &self.ensemble;
        let change = self.last_dose_at.map(|_| {
            let rise = |m: &Possible| m.bed.ph() - m.before_dose.unwrap_or_else(|| m.bed.ph());
            let real = self.script.scene.tuning.real_change_ph;
            (e.band(rise), e.chance(|m| rise(m).abs() > real))
        });
        let smelt_ammonia = self
            .smelt_at
            .is_some_and(|t| (self.now - t) as f64 <= self.script.scene.tuning.smell_days * DAY);
        Estimate {
            ph: e.band(|m| m.bed.ph()),
            ph_to_come: e.band(|m| m.bed.ph_when_all_has_acted()),
            pending_meq: e.band(|m| 1000.0 * m.bed.pending()),
            buffer_meq_per_ph: e.band(buffer_meq),
            buffer_at_start: self.buffer_at_start,
            dry_kg: e.band(|m| m.bed.dry_kg),
            water_kg: e.band(|m| m.bed.water_kg),
            change,
            path: self.path,
            course: self.course,
            heard: self.heard,
            lessons: self.settled.lessons(LESSONS),
            given: self.given,
            fed: self.fed,
            watered: self.watered,
            last_dose_at: self.last_dose_at,
            wait_until: self.wait_until,
            now: self.now,
            stocked: self.stocked,
            smelt_ammonia,
            filled_at: self.script.scene.start,
            contradictions: self.settled.surprises(),
            left_out: self.left_out,
            passed_over: self.passed_over,
            settled: self.settled,
            scene: self.script.scene,
            ensemble: self.ensemble,
        }
    }
}

fn buffer_meq(m: &Possible) -> f64 {
    1000.0 * m.bed.buffer_at(m.bed.ph())
}
