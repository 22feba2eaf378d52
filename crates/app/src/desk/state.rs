//! How one bin stands: its log and its estimate.

use super::hands::ALL_CORES;
use super::kept::Kept as KeptSettled;
use super::{Desk, DeskError, FIRST_MEMBERS, MEMBERS};
use engine::bed::fill::Own;
use engine::estimate::filter::{Along, Run, estimate_along, settle, weighed};
use engine::estimate::track::{Moment, Track};
use engine::estimate::{Estimate, EstimateError, Possible, Setup, Told};
use engine::living::observe::Sayings;
use engine::log::{BinDescription, BinId, Body, Entry, Measured, ShedItem, Word, effective};
use engine::quantity::Celsius;
use engine::validation::trust::{Looks, Trust};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use store::StoreError;

/// One bin, as it stands.
#[derive(Debug)]
pub struct BinState {
    /// Number.
    pub id: BinId,
    /// Latest description.
    pub description: BinDescription,
    /// Entries as written, oldest first.
    pub written: Vec<Entry>,
    /// Entries as they stand: corrections applied, in order of happening.
    pub log: Vec<Entry>,
    /// The estimate, or why there is none; its bands of now as they may be shown.
    pub estimate: Result<Estimate, EstimateError>,
    /// The log has more to teach than the estimate knows yet.
    pub still_settling: bool,
    /// Temperature of the bed as it was read lately [°C].
    pub temperature: Celsius,
    /// Worms are in.
    pub stocked: bool,
    /// Last words about the bin, each with when it was said.
    pub words: Vec<(i64, Word)>,
    /// Now [s since 1970-01-01 00:00 UTC].
    pub now: i64,
    /// When its figures were measured.
    pub(super) looks: Looks,
    /// How far each figure is trusted.
    pub(super) trust: Trust,
    /// The look worth most, once asked for.
    pub(super) look: OnceLock<Option<super::living::WorthALook>>,
    /// The ration with the usual wishes, once asked for.
    pub(super) fed: OnceLock<super::living::Fed>,
    /// The next fortnight, once asked for.
    pub(super) soon: OnceLock<super::outlook::Soon>,
    /// The courses up to now, once asked for.
    pub(super) course: OnceLock<Vec<Moment>>,
    /// Outlooks under the present plan, by days.
    pub(super) ahead: Mutex<BTreeMap<u32, Arc<super::outlook::Outlook>>>,
}

impl BinState {
    /// The estimate, or that there is none.
    ///
    /// # Errors
    /// [`DeskError::NoEstimate`] when the log does not say what is in the bin.
    pub fn estimated(&self) -> Result<&Estimate, DeskError> {
        self.estimate
            .as_ref()
            .map_err(|e| DeskError::NoEstimate(e.clone()))
    }

    /// Chance of a cause that is not in the model [0 to 1].
    pub fn cause_outside(&self, desk: &Desk) -> f64 {
        let (Ok(e), Ok(sayings)) = (&self.estimate, Sayings::load(desk.tables)) else {
            return 0.0;
        };
        let day = e.scene.day(self.now);
        let chance = |m: &Possible| {
            let mut unseen = m.unseen;
            unseen.carry(day, &m.signs(&e.scene), sayings.causes());
            unseen.any()
        };
        let of = e.ensemble.members.iter().map(chance);
        of.zip(&e.ensemble.weights).map(|(c, w)| c * w).sum()
    }

    /// The courses of this bin up to now, with their bands as they may be shown.
    #[must_use]
    pub fn course(&self) -> &[Moment] {
        let Ok(e) = &self.estimate else {
            return &[];
        };
        self.course.get_or_init(|| self.shown_course(e.course()))
    }

    /// A moment of this bin with its bands as they may be shown.
    pub(crate) fn shown(&self, moment: &Moment) -> Moment {
        self.trust.shown_moment(&self.looks, moment)
    }

    /// A course of this bin with its bands as they may be shown.
    pub(crate) fn shown_course(&self, course: &[Moment]) -> Vec<Moment> {
        self.trust.shown_course(&self.looks, course)
    }
}

/// A state kept until the log changes.
pub(super) struct Kept {
    pub(super) mark: store::Mark,
    pub(super) state: Arc<BinState>,
}

/// What the log says of no bin, kept until it changes: each bin wants it.
#[derive(Debug, Clone)]
pub(super) struct Lasting {
    mark: store::Mark,
    /// What is in the shed.
    pub(super) shed: Arc<Vec<ShedItem>>,
    /// Settings chosen.
    pub(super) settings: Arc<BTreeMap<String, String>>,
}

/// The same, read where it is not kept.
pub(super) fn lasting(desk: &Desk) -> Result<Lasting, StoreError> {
    let store = desk.store();
    let mark = store.mark()?;
    let kept = desk.lasting.lock();
    let mut kept = kept.unwrap_or_else(PoisonError::into_inner);
    if let Some(kept) = kept.as_ref().filter(|kept| kept.mark == mark) {
        return Ok(kept.clone());
    }
    let read = Lasting {
        mark,
        shed: Arc::new(store.shed()?),
        settings: Arc::new(store.settings()?),
    };
    Ok(kept.insert(read).clone())
}

/// Days a temperature reading counts as the bed's.
pub(crate) const TEMPERATURE_DAYS: f64 = 30.0;
/// Days words count as how it is now.
const WORDS_DAYS: i64 = 14;
const DAY: i64 = 86_400;

/// A bin's log, and all its estimate is made from.
struct Log {
    written: Vec<Entry>,
    effective: Vec<Entry>,
    description: BinDescription,
    own: Own,
}

impl Log {
    fn of(desk: &Desk, bin: BinId, now: i64) -> Result<Self, DeskError> {
        let written = match desk.store().entries(Some(bin)) {
            Err(StoreError::UnknownBin(_)) => return Err(DeskError::NoBin(bin)),
            read => read?,
        };
        let effective = effective(&written);
        Ok(Self {
            description: described(&effective, now).ok_or(DeskError::NoBin(bin))?,
            own: desk.own()?,
            written,
            effective,
        })
    }

    fn setup<'a>(&'a self, desk: &'a Desk, now: i64) -> Result<Setup<'a>, DeskError> {
        Ok(Setup {
            tables: desk.tables,
            own: &self.own,
            // Not as it was read today: what is filled in or mixed in is as warm
            // as the room, and the living bed warms and cools from there.
            temperature: desk.room(),
            now,
            // That of a bedding judged: filled with it, a bin is the same bed.
            seed: desk.seed,
            members: MEMBERS,
            bin: Some(&self.description),
            air: Some(desk.usual_day()?),
        })
    }
}

/// What a log makes of the members as far as the desk waits for it, kept for the
/// next time.
fn settled(
    desk: &Desk,
    (bin, log): (BinId, &Log),
    setup: &Setup<'_>,
    most_days: Option<f64>,
) -> Result<Run, EstimateError> {
    let told = Told::new();
    let mut bar = desk.bar("reading the log");
    let mut progress = |done: f64| bar.at(done);
    let kept = KeptSettled::of(desk.path(), bin);
    let by_heart = || desk.by_heart.lock().unwrap_or_else(PoisonError::into_inner);
    let known = by_heart().remove(&bin.0);
    let in_folder = known.is_none();
    let mut before = known.into_iter().chain(kept.read());
    let mut along = Along {
        hands: &ALL_CORES,
        kept: Some(&mut before),
        progress: Some(&mut progress),
        short_silences: true,
        most_days,
        ..Along::told(&told)
    };
    let run = settle(setup, &log.effective, &mut along)?;
    if in_folder && run.is_as_kept() && along.stale.is_empty() {
        return Ok(run);
    }
    let standing = run.standing();
    if !kept.keep(&standing, &along.stale) {
        by_heart().insert(bin.0, standing);
    }
    Ok(run)
}

/// The estimate of a log, and whether it is still settling: then a first answer, of
/// the members as they last settled, or of few where those know nothing of it.
fn estimated(
    desk: &Desk,
    bin: (BinId, &Log),
    setup: &Setup<'_>,
) -> Result<(Estimate, bool), EstimateError> {
    let most = desk.tables.value("estimate", "moves", "answer_days")?;
    let run = settled(desk, bin, setup, (!desk.patient).then_some(most))?;
    let told = Told::new();
    let mut along = Along {
        hands: &ALL_CORES,
        short_silences: true,
        ..Along::told(&told)
    };
    if run.is_whole() {
        return Ok((run.answer(setup, &mut along)?, false));
    }
    let kept = KeptSettled::of(desk.path(), bin.0);
    let (mut last, mut before) = (kept.read(), kept.read());
    along.kept = Some(&mut last);
    if let Some(run) = weighed(setup, &bin.1.effective, &mut along)? {
        return Ok((run.answer(setup, &mut along)?, true));
    }
    (along.unmoved, along.quick) = (false, true);
    along.kept = Some(&mut before);
    let few = Setup {
        members: FIRST_MEMBERS,
        ..setup.clone()
    };
    let estimate = estimate_along(&few, &bin.1.effective, &mut along)?;
    Ok((estimate, true))
}

/// Goes on with what a bin's log has to teach; gives whether that is all.
pub(super) fn settle_on(desk: &Desk, bin: BinId) -> Result<bool, DeskError> {
    let now = desk.clock.unix_seconds();
    let log = Log::of(desk, bin, now)?;
    let setup = log.setup(desk, now)?;
    let most = desk.tables.value("estimate", "moves", "answer_days")?;
    let settled = settled(desk, (bin, &log), &setup, Some(most));
    Ok(settled.is_ok_and(|run| run.is_whole()))
}

/// Reads one bin from the store and estimates it.
pub(super) fn read(desk: &Desk, bin: BinId, now: i64) -> Result<BinState, DeskError> {
    let log = Log::of(desk, bin, now)?;
    let temperature = bed_temperature(&log.effective, now).unwrap_or_else(|| desk.room());
    let estimate = estimated(desk, (bin, &log), &log.setup(desk, now)?);
    let still_settling = estimate.as_ref().is_ok_and(|(_, settling)| *settling);
    if still_settling {
        let unsettled = desk.unsettled.lock();
        unsettled
            .unwrap_or_else(PoisonError::into_inner)
            .insert(bin.0);
    }
    let mut estimate = estimate.map(|(estimate, _)| estimate);
    let Log {
        written,
        effective: log,
        description,
        ..
    } = log;
    let (looks, trust) = (Looks::of(&log), Trust::load(desk.tables)?);
    if let Ok(e) = &mut estimate {
        e.ph = trust.shown(&looks, Track::Ph, e.ph, now);
        e.moment = trust.shown_moment(&looks, &e.moment);
    }
    Ok(BinState {
        id: bin,
        description,
        stocked: log
            .iter()
            .any(|e| matches!(e.body, Body::WormsIn { .. }) && e.at_unix_seconds <= now),
        words: words(&log, now),
        written,
        log,
        estimate,
        still_settling,
        temperature,
        now,
        looks,
        trust,
        look: OnceLock::new(),
        fed: OnceLock::new(),
        soon: OnceLock::new(),
        course: OnceLock::new(),
        ahead: Mutex::new(BTreeMap::new()),
    })
}

/// What the bin was like at a moment; before it was first described, as it was then.
fn described(log: &[Entry], now: i64) -> Option<BinDescription> {
    let all = log.iter().filter_map(|e| match &e.body {
        Body::Bin(description) => Some((e.at_unix_seconds, description)),
        _ => None,
    });
    let by_then = all.clone().rfind(|(at, _)| *at <= now);
    by_then.or_else(|| all.clone().next()).map(|d| d.1.clone())
}

/// The latest bed temperature, or failing that air temperature, of the last
/// month, held to the range the chemistry is checked for.
fn bed_temperature(log: &[Entry], now: i64) -> Option<Celsius> {
    let latest = |what: Measured| {
        log.iter().rev().find_map(|e| match &e.body {
            Body::Reading(r)
                if r.what == what
                    && !r.spots.is_empty()
                    && e.at_unix_seconds <= now
                    && ((now - e.at_unix_seconds) as f64) < TEMPERATURE_DAYS * DAY as f64 =>
            {
                Some(r.spots.iter().sum::<f64>() / r.spots.len() as f64)
            }
            _ => None,
        })
    };
    latest(Measured::BeddingCelsius)
        .or_else(|| latest(Measured::AirCelsius))
        .map(|t| Celsius(t.clamp(2.0, 40.0)))
}

/// Words of the last fortnight, newest first.
fn words(log: &[Entry], now: i64) -> Vec<(i64, Word)> {
    log.iter()
        .rev()
        .filter(|e| e.at_unix_seconds <= now && now - e.at_unix_seconds < WORDS_DAYS * DAY)
        .filter_map(|e| match &e.body {
            Body::Observation { words, .. } => Some((e.at_unix_seconds, words)),
            _ => None,
        })
        .flat_map(|(at, words)| words.iter().map(move |w| (at, *w)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::described;
    use engine::estimate::scene::usual_tote;
    use engine::log::{BinDescription, BinId, Body, Entry, EntryId};
    use engine::table::Tables;

    fn entry(at: i64, body: Body) -> Entry {
        Entry {
            id: EntryId(at),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body,
        }
    }

    #[test]
    fn a_bin_is_as_it_was_described_by_then() {
        let tote = Tables::load().and_then(|t| usual_tote(&t));
        let tote = tote.unwrap_or_else(|e| panic!("{e}"));
        let deep = |depth_cm: f64| {
            Body::Bin(BinDescription {
                depth_cm,
                ..tote.clone()
            })
        };
        let log = [entry(10, deep(20.0)), entry(30, deep(50.0))];
        let depth = |now| described(&log, now).map(|b| b.depth_cm);
        assert_eq!(
            [5, 10, 29, 30].map(depth),
            [20.0, 20.0, 20.0, 50.0].map(Some)
        );
        assert_eq!(described(&[], 10), None);
    }
}
