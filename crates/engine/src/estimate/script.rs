//! A bin's log as one possible bin lives it: a pure function of its tape.
//!
//! What was done acts on the bin; what was seen or measured does not, it only
//! says how likely the bin is. So a look changes no course, and any bin can be
//! lived again from its filling with other chances.

mod acts;
mod ear;
mod marks;

use crate::bed::draw::Tape;
use crate::bed::fill::{Conditions, ReadyPart};
use crate::bed::product::Ranged;
use crate::estimate::ensemble::{Possible, Stood};
use crate::estimate::live::{self, Staged};
use crate::estimate::scene::Scene;
use crate::estimate::timeline::Timed;
use crate::living::observe::Sayings;
use crate::living::step::STEP_DAYS;
use crate::log::EntryId;
use std::collections::BTreeMap;
use std::fmt::{self, Write};
use std::sync::Arc;

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// All that one possible bin is told.
#[derive(Debug, Clone)]
pub(crate) struct Script {
    /// What it was filled with.
    pub(crate) parts: Vec<ReadyPart>,
    /// What happened then, in order.
    pub(crate) events: Vec<Timed>,
    /// What is around it.
    pub(crate) scene: Scene,
    /// When what is filled in or mixed in is put there.
    pub(crate) conditions: Conditions,
    /// How far beds go astray [pH per root day].
    pub(crate) drift: Ranged,
    /// What keepers say.
    pub(crate) sayings: Sayings,
    /// Scatter of a local reading [pH].
    pub(crate) local_sd: f64,
    /// Worms by stage for entries that put worms in.
    pub(crate) staged: BTreeMap<EntryId, Staged>,
    /// Long silences are not followed to their end.
    pub(crate) short_silences: bool,
    /// One round of moves each time, for a first answer.
    pub(crate) quick: bool,
    /// Mean air of the steps of each whole day from filling on [°C].
    pub(crate) airs: Vec<[f64; STEPS]>,
}

/// Fowler, Noll and Vo's hash 1a, 64 bits, of what is written to it.
struct Digest(u64);

impl Default for Digest {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Write for Digest {
    fn write_str(&mut self, s: &str) -> fmt::Result {
        for b in s.bytes() {
            self.0 = (self.0 ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3);
        }
        Ok(())
    }
}

/// Of a silence so much is followed [d].
const SILENCE_DAYS: f64 = 365.0;
/// Steps of a whole day.
const STEPS: usize = (1.0 / STEP_DAYS) as usize;

impl Script {
    /// Gets the air of so many days ready.
    pub(crate) fn air_of(&mut self, days: usize) {
        let of = |day: usize| {
            let airs = self.scene.airs(day as f64, 1.0, STEPS as u32);
            std::array::from_fn(|i| airs[i])
        };
        self.airs = (0..days).map(of).collect();
    }

    /// A possible bin as filled.
    pub(crate) fn fill(&self, tape: Tape) -> Possible {
        live::fill_member(
            tape,
            &self.parts,
            &self.conditions,
            (&self.scene, &self.drift, self.sayings.keepers()),
        )
    }

    /// The end of the step that begins at `at`, no later than `to`
    /// [s since 1970-01-01 00:00 UTC]: steps end with the days since filling.
    pub(crate) fn step_end(&self, at: i64, to: i64) -> i64 {
        let gone = at - self.scene.start;
        let day = DAY as i64;
        (self.scene.start + (gone.div_euclid(day) + 1) * day).min(to)
    }

    /// Carries a possible bin from one moment to another within a day
    /// [s since 1970-01-01 00:00 UTC].
    pub(crate) fn step(&self, m: &mut Possible, at: i64, to: i64) {
        let from = self.scene.day(at);
        let days = (to - at) as f64 / DAY;
        let whole = to - at == DAY as i64 && (at - self.scene.start) % DAY as i64 == 0;
        let ready = self.airs.get(from as usize).filter(|_| whole);
        if let Some(airs) = ready {
            m.live_on(&self.scene, (from, days), airs);
            return;
        }
        let steps = (days / STEP_DAYS).ceil().max(1.0) as u32;
        let airs = self.scene.airs(from, days, steps);
        m.live_on(&self.scene, (from, days), &airs);
    }

    /// The end of what is followed of a silence; more of it would change little.
    pub(crate) fn silence_end(&self, from: i64, to: i64) -> i64 {
        let end = from + (SILENCE_DAYS * DAY) as i64;
        if self.short_silences && (to - end) as f64 > DAY {
            end
        } else {
            to
        }
    }

    /// The same through as many days as it takes.
    pub(crate) fn carry(&self, m: &mut Possible, from: i64, to: i64) {
        let to = self.silence_end(from, to);
        let mut at = from;
        while at < to {
            let next = self.step_end(at, to);
            self.step(m, at, next);
            at = next;
        }
    }

    /// A possible bin just after the first `count` events.
    pub(crate) fn live(&self, tape: Tape, count: usize) -> Possible {
        let mut m = self.fill(tape);
        self.go_on(&mut m, 0, count);
        m
    }

    /// The same, and how it stood after the first `stop` of them kept with it.
    pub(crate) fn live_past(&self, tape: Tape, stop: usize, count: usize) -> Possible {
        let mut m = self.live(tape, stop);
        let stood = Self::stood(&m, stop);
        self.go_on(&mut m, stop, count);
        m.stood = Some(stood);
        m
    }

    /// The same from how one of the same chances until then stood: to the bit what
    /// living all of it makes.
    pub(crate) fn live_from(&self, stood: &Arc<Stood>, tape: Tape, count: usize) -> Possible {
        let mut m = stood.bin.clone();
        m.tape = tape;
        self.go_on(&mut m, stood.events, count);
        m.stood = Some(Arc::clone(stood));
        m
    }

    /// How a bin just after the first `stop` events stands.
    pub(crate) fn stood(m: &Possible, stop: usize) -> Arc<Stood> {
        let bin = Possible {
            tape: Tape::new(0, 0),
            stood: None,
            ..m.clone()
        };
        Arc::new(Stood { events: stop, bin })
    }

    /// Carries a bin just after the first `from` events on to the first `count`.
    pub(crate) fn go_on(&self, m: &mut Possible, from: usize, count: usize) {
        let mut at = self.time_after(from);
        for timed in &self.events[from..count] {
            self.carry(m, at, timed.at);
            self.meet(m, timed);
            at = at.max(timed.at);
        }
    }

    /// How many events are over when the last was heard.
    pub(crate) fn last_heard(&self) -> usize {
        let last = self.events.iter().rposition(|e| self.is_heard(e));
        last.map_or(0, |k| k + 1)
    }

    /// When the first `count` events are over [s since 1970-01-01 00:00 UTC].
    pub(crate) fn time_after(&self, count: usize) -> i64 {
        let before = self.events[..count].iter().map(|e| e.at);
        before.fold(self.scene.start, i64::max)
    }

    /// A number of all that what the first events make of the members hangs on:
    /// themselves, what the bin was filled with, what is around it up to then, and
    /// every number of the tables that has a part in it.
    pub(crate) fn digest(&self, seed: u64, count: usize) -> u64 {
        let mut scene = self.scene.clone();
        let days = scene.day(self.time_after(count)).max(0.0) as usize + 1;
        scene.room.known_until(days);
        let told = (&self.parts, &self.events[..count], scene, &self.conditions);
        let with = (&self.drift, &self.sayings, self.local_sd, &self.staged);
        let mut digest = Digest::default();
        // Writing to it cannot fail.
        let _ = write!(digest, "{seed} {} {told:?} {with:?}", self.short_silences);
        digest.0
    }

    /// Does what was done, or hears what was seen.
    pub(crate) fn meet(&self, m: &mut Possible, timed: &Timed) {
        if let Some(log) = self.hear(m, timed) {
            m.heard += m.heard_last;
            m.heard_last = log;
        }
        self.act(m, timed);
    }
}
