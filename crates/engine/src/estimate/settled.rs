//! What a log made of the members: the chances and the weight of each after so
//! many events, and what each observation taught. All else that is shown of a bin
//! follows from it by living the log once more.
//!
//! It is a function of the script alone: worked out event by event, so that what
//! was worked out for the first events of a log serves for all of it. Kept beside a
//! log it is a cache, and deleting it changes no bit.

mod surprise;

use crate::bed::draw::Tape;
use crate::estimate::along::{Along, Lesson, TAUGHT};
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::hands::Hands;
use crate::estimate::moves::{Done, Moves, Now};
use crate::estimate::script::Script;
use crate::estimate::track::Track;
use crate::log::EntryId;
use crate::quantity::Band;
use serde::{Deserialize, Serialize};
use surprise::is_surprising;

/// What a log made of the members.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Settled {
    /// Of all it hangs on: see [`Script::digest`].
    digest: u64,
    /// So many events are over.
    events: usize,
    /// When they are [s since 1970-01-01 00:00 UTC].
    at: i64,
    tapes: Vec<Tape>,
    weights: Vec<f64>,
    moves: Moves,
    learned: Vec<Learned>,
}

/// What one observation taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// Which entry.
    pub entry: EntryId,
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// It went against what was believed.
    pub surprising: bool,
    /// Spread of the bed's pH before and after [pH].
    pub ph_spread: (f64, f64),
    /// The bed's pH after.
    pub ph: Band,
    /// Figures of [`TAUGHT`] before and after.
    pub figures: Vec<(Band, Band)>,
    /// Share of members it left in play, before they were drawn anew [0 to 1].
    pub share: f64,
}

impl Settled {
    /// Of a script, from the longest of those kept that is of its beginning.
    pub(crate) fn by(
        script: &Script,
        (seed, members): (u64, usize),
        along: &mut Along<'_>,
    ) -> Self {
        let count = script.events.len();
        let kept = along.kept;
        // What holds later events tells nothing of the moment asked about.
        let begins =
            |s: &Settled| s.tapes.len() == members && s.digest == script.digest(seed, s.events);
        let (fits, stale): (Vec<usize>, Vec<usize>) = (0..kept.len())
            .filter(|i| kept[*i].events <= count)
            .partition(|i| begins(&kept[*i]));
        along.stale = stale;
        let longest = fits.iter().max_by_key(|i| kept[**i].events);
        let kept = longest.map(|i| kept[*i].clone());
        let mut fold = match kept {
            Some(kept) => Fold::from(kept, script, along),
            None => Fold::begin(script, (seed, members), along),
        };
        // Where nothing is heard nothing is weighed, and chances alone will do.
        let hears = |k: usize| script.is_heard(&script.events[k]);
        let last = (0..count).rev().find(|k| hears(*k)).map_or(0, |k| k + 1);
        while fold.settled.events < last {
            fold.next(script, along);
        }
        fold.settled.events = count;
        fold.settled.at = script.time_after(count);
        fold.done(script, seed)
    }

    /// The members as filled, each with its weight.
    pub(crate) fn ensemble(
        &self,
        hands: &'static dyn Hands,
        make: &(impl Fn(Tape) -> Possible + Sync),
    ) -> Ensemble {
        Ensemble::weighted(self.weights.clone(), hands, &|i| {
            make(self.tapes[i].clone())
        })
    }

    /// What one observation taught.
    #[must_use]
    pub fn of(&self, entry: EntryId) -> Option<&Learned> {
        self.learned.iter().rev().find(|l| l.entry == entry)
    }

    /// Times the log went against what was believed.
    #[must_use]
    pub fn surprises(&self) -> usize {
        self.learned.iter().filter(|l| l.surprising).count()
    }

    /// When its events are over [s since 1970-01-01 00:00 UTC].
    #[must_use]
    pub fn at(&self) -> i64 {
        self.at
    }

    /// A number that tells it from others.
    #[must_use]
    pub fn digest(&self) -> u64 {
        self.digest
    }

    /// How members were moved.
    #[must_use]
    pub fn moves(&self) -> Done {
        self.moves.done
    }

    /// What the last so many observations taught, oldest first.
    #[must_use]
    pub fn lessons(&self, most: usize) -> Vec<Lesson> {
        let from = self.learned.len().saturating_sub(most);
        let lesson = |l: &Learned| Lesson {
            entry: l.entry,
            at: l.at,
            figures: TAUGHT
                .iter()
                .zip(&l.figures)
                .map(|(track, (before, after))| (*track, *before, *after))
                .collect(),
            effective_share: l.share,
            contradicted: l.surprising,
        };
        self.learned[from..].iter().map(lesson).collect()
    }
}

/// Members on their way through a script.
struct Fold {
    settled: Settled,
    ensemble: Ensemble,
    at: i64,
    heard: usize,
}

impl Fold {
    fn begin(script: &Script, (seed, members): (u64, usize), along: &Along<'_>) -> Self {
        let make = |tape: Tape| script.fill(tape);
        Self {
            settled: Settled {
                digest: 0,
                events: 0,
                at: script.scene.start,
                tapes: Vec::new(),
                weights: Vec::new(),
                moves: Moves::new(seed),
                learned: Vec::new(),
            },
            ensemble: Ensemble::new(seed, members, along.hands, &make),
            at: script.scene.start,
            heard: 0,
        }
    }

    fn from(settled: Settled, script: &Script, along: &Along<'_>) -> Self {
        let events = settled.events;
        let heard = script.events[..events].iter();
        Self {
            ensemble: settled.ensemble(along.hands, &|tape| script.live(tape, events)),
            at: script.time_after(events),
            heard: heard.filter(|e| script.is_heard(e)).count(),
            settled,
        }
    }

    /// On through the next event.
    fn next(&mut self, script: &Script, along: &mut Along<'_>) {
        let timed = &script.events[self.settled.events];
        let at = self.at;
        self.ensemble
            .each_by_hands(|m| script.carry(m, at, timed.at));
        self.at = at.max(timed.at);
        self.settled.events += 1;
        if let Some(progress) = &mut along.progress {
            progress(self.settled.events as f64 / script.events.len() as f64);
        }
        if !script.is_heard(timed) {
            self.ensemble.each_by_hands(|m| script.meet(m, timed));
            return;
        }
        self.heard += 1;
        let surprising = is_surprising(script, &self.ensemble, timed);
        let (before, spread) = self.taught(script);
        self.ensemble.each_by_hands(|m| script.meet(m, timed));
        let now = Now {
            events: self.settled.events,
            heard: self.heard,
            surprising,
        };
        let share = if along.unmoved {
            self.ensemble.weigh(1.0);
            self.ensemble.effective_share()
        } else {
            self.settled.moves.weigh(&mut self.ensemble, script, now)
        };
        let (after, spread_after) = self.taught(script);
        self.settled.learned.push(Learned {
            entry: timed.id,
            at: timed.at,
            surprising,
            ph_spread: (spread, spread_after),
            ph: self.ensemble.band(|m| m.bed.ph()),
            figures: before.into_iter().zip(after).collect(),
            share,
        });
    }

    /// The figures a lesson is told by, and the spread of pH, as they stand.
    fn taught(&self, script: &Script) -> (Vec<Band>, f64) {
        let signs = self.ensemble.signs(&script.scene);
        let band = |track: &Track| track.band(&signs, &self.ensemble.weights);
        let spread = self.ensemble.moments(|m| m.bed.ph()).1;
        (TAUGHT.iter().map(band).collect(), spread)
    }

    fn done(mut self, script: &Script, seed: u64) -> Settled {
        self.settled.digest = script.digest(seed, self.settled.events);
        self.settled.weights = self.ensemble.weights;
        self.settled.tapes = self.ensemble.members.into_iter().map(|m| m.tape).collect();
        self.settled
    }
}
