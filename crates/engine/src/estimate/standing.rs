//! The members as a log leaves them.
//!
//! They are a function of the script alone, worked out event by event, so that
//! what was worked out for the first events of a log serves for all of it. Kept
//! beside a log they are a cache, and deleting it changes no bit.

mod kept;
mod surprise;

use crate::bed::draw::Tape;
use crate::estimate::along::{Along, TAUGHT};
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::moves::Now;
use crate::estimate::script::Script;
use crate::estimate::settled::{Learned, Settled};
use crate::estimate::timeline::{Event, Timed};
use crate::estimate::track::Track;
use crate::estimate::ways::Ways;
use crate::quantity::Band;
use kept::kept;
use serde::{Deserialize, Serialize};
use surprise::is_surprising;

/// Share of the work that is in hearing a log; the rest is living it once more.
const HEARING: f64 = 0.9;
/// Seconds in a day.
const DAY: i64 = 86_400;

/// What a log made of the members, and these as they stand after its last event.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Standing {
    /// What it made of them.
    pub settled: Settled,
    lived: Option<Lived>,
    before: Before,
}

/// As something stood before its last moves, and how many events were over then:
/// what comes later goes on from there. Where it is kept apart, it comes next in
/// [`Along::kept`]: what is only answered by needs none of it.
type Before = Option<(usize, Option<Box<Standing>>)>;

/// Members just after the last event, their tapes left out, and their way there.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct Lived {
    members: Vec<Possible>,
    /// Not known where they were moved to other histories.
    ways: Option<Ways>,
}

impl Standing {
    /// What its members are made from, without themselves: a hundredth as large,
    /// and their lives have to be lived again.
    #[must_use]
    pub fn seeds(&self) -> Self {
        let seeds = |b: &Self| Box::new(b.seeds());
        let before = self.before.as_ref();
        Self {
            settled: self.settled.clone(),
            lived: None,
            before: before.map(|(events, b)| (*events, b.as_deref().map(seeds))),
        }
    }

    /// It, and apart from it as it stood before its last moves.
    #[must_use]
    pub fn without_before(mut self) -> (Self, Option<Self>) {
        let before = self.before.as_mut().and_then(|(_, b)| b.take());
        (self, before.map(|b| *b))
    }

    /// It, and apart from it its members, where they live.
    #[must_use]
    pub fn without_members(mut self) -> (Self, Vec<Possible>) {
        let lived = self.lived.as_mut();
        let mut members = lived.map_or_else(Vec::new, |l| std::mem::take(&mut l.members));
        if !members.is_empty() {
            let tapes = std::mem::take(&mut self.settled.tapes);
            for (m, tape) in members.iter_mut().zip(tapes) {
                m.tape = tape;
            }
        }
        (self, members)
    }

    /// It with members that were kept apart.
    #[must_use]
    pub fn with_members(mut self, mut members: Vec<Possible>) -> Self {
        if let Some(lived) = &mut self.lived {
            let tape = |m: &mut Possible| std::mem::replace(&mut m.tape, Tape::new(0, 0));
            self.settled.tapes = members.iter_mut().map(tape).collect();
            lived.members = members;
        }
        self
    }

    /// Whether nothing of it is under way, and its members and their way are there.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.settled.is_done() && self.lived.as_ref().is_some_and(|l| l.ways.is_some())
    }
}

/// Members on their way through a script.
pub(crate) struct Fold {
    pub(crate) settled: Settled,
    pub(crate) ensemble: Ensemble,
    /// Their way so far; not known where they were moved to other histories.
    pub(crate) ways: Option<Ways>,
    /// As they stood before the last moves.
    before: Before,
    at: i64,
    heard: usize,
    /// Nothing was done since it was kept.
    as_kept: bool,
}

impl Fold {
    /// Through a whole script, from the first of what was kept that is of its
    /// beginning.
    pub(crate) fn through(script: &Script, of: (u64, usize), along: &mut Along<'_>) -> Self {
        let count = script.events.len();
        let mut fold = match kept(script, of, along) {
            Some(kept) => Self::from(kept, script, along),
            None => Self::begin(script, of, along),
        };
        // Who is told of every day is told of those of the members as they end.
        if along.daily.is_some() {
            fold.ways = None;
        }
        // Where nothing is heard any more, chances alone will do.
        let last = script.last_heard();
        let mut left = along.most_days.unwrap_or(f64::INFINITY);
        // What the last portion took: another that is not all paid for is for later.
        let mut took = 0.0;
        loop {
            if !fold.settled.is_done() {
                if left <= 0.0 || left < took {
                    break;
                }
                took = fold.portion(script);
                left -= took;
            } else if fold.settled.events < last {
                fold.next(script, along);
            } else if fold.is_to_finish(script, along) {
                fold.finish(script, of.0);
            } else if fold.ways.is_some() && fold.settled.events < count {
                fold.next(script, along);
            } else {
                if fold.ways.is_none() {
                    fold.live_again(script, along);
                }
                fold.as_kept &= fold.settled.events == count;
                fold.settled.events = count;
                break;
            }
        }
        // What is as it was kept is of this script's digest.
        if !fold.as_kept {
            fold.settled.at = script.time_after(fold.settled.events);
            fold.settled.digest = script.digest(of.0, fold.settled.events);
        }
        fold
    }

    /// From what was kept of when it was last settled, weighed by what came since and
    /// not moved; `None` where nothing was, or where that leaves too few in play or
    /// goes against all of them.
    pub(crate) fn weighed(
        script: &Script,
        of: (u64, usize),
        along: &mut Along<'_>,
    ) -> Option<Self> {
        along.unmoved = true;
        let mut fold = Self::from(kept(script, of, along)?, script, along);
        let known = fold.settled.surprises();
        while fold.settled.events < script.events.len() {
            fold.next(script, along);
        }
        let left = fold.ensemble.effective_share();
        let agree = left >= script.scene.tuning.parts_below && fold.settled.surprises() == known;
        agree.then_some(fold)
    }

    fn begin(script: &Script, (seed, members): (u64, usize), along: &Along<'_>) -> Self {
        let make = |tape: Tape| script.fill(tape);
        let ensemble = Ensemble::new(seed, members, along.hands, &make);
        Self {
            settled: Settled::begin(seed, script.scene.start),
            ways: Some(Ways::begin(&ensemble, &script.scene)),
            ensemble,
            before: None,
            at: script.scene.start,
            heard: 0,
            as_kept: false,
        }
    }

    fn from(standing: Standing, script: &Script, along: &Along<'_>) -> Self {
        let Standing {
            mut settled,
            lived,
            before,
        } = standing;
        let events = settled.events;
        let heard = script.events[..events].iter();
        let heard = heard.filter(|e| script.is_heard(e)).count();
        let tapes = std::mem::take(&mut settled.tapes);
        let weights = std::mem::take(&mut settled.weights);
        let (ensemble, ways) = match lived {
            Some(Lived { members, ways }) => {
                let mut ensemble = Ensemble::of(members, weights, along.hands);
                for (m, tape) in ensemble.members.iter_mut().zip(tapes) {
                    m.tape = tape;
                }
                (ensemble, ways)
            }
            None => {
                let make = |i: usize| script.live(tapes[i].clone(), events);
                (Ensemble::weighted(weights, along.hands, &make), None)
            }
        };
        Self {
            ensemble,
            ways,
            before,
            at: script.time_after(events),
            heard,
            settled,
            as_kept: true,
        }
    }

    /// Lives the script once more with the members' chances as they are now.
    fn live_again(&mut self, script: &Script, along: &mut Along<'_>) {
        self.as_kept = false;
        let tapes: Vec<Tape> = self
            .ensemble
            .members
            .iter()
            .map(|m| m.tape.clone())
            .collect();
        let weights = self.ensemble.weights.clone();
        let make = |i: usize| script.fill(tapes[i].clone());
        self.ensemble = Ensemble::weighted(weights, along.hands, &make);
        self.ways = Some(Ways::begin(&self.ensemble, &script.scene));
        self.at = script.scene.start;
        if let Some(daily) = &mut along.daily {
            daily(0, &mut self.ensemble, &script.scene);
        }
        for timed in &script.events {
            self.carry_to(script, timed.at, along);
            self.meet(script, timed);
            let lived = self.at - script.scene.start;
            let whole = (script.time_after(script.events.len()) - script.scene.start).max(1);
            along.tell(HEARING + (1.0 - HEARING) * lived as f64 / whole as f64);
        }
    }

    /// Carries every member to a moment [s since 1970-01-01 00:00 UTC], its way
    /// kept where it is known.
    pub(crate) fn carry_to(&mut self, script: &Script, to: i64, along: &mut Along<'_>) {
        let end = script.silence_end(self.at, to);
        if self.ways.is_none() {
            let at = self.at;
            self.ensemble.each_by_hands(|m| script.carry(m, at, to));
            self.at = at.max(to);
            return;
        }
        while self.at < end {
            let at = self.at;
            let seen = |to: i64| {
                let kept = (self.ways.as_ref()).is_some_and(|w| w.sees(&script.scene, to));
                kept || along.daily.is_some()
            };
            let mut next = script.step_end(at, end);
            // Days that nobody looks at are lived in one go: member by member they
            // cost less than day by day.
            while next < end && !seen(next) {
                next = script.step_end(next, end);
            }
            self.ensemble.each_by_hands(|m| script.carry(m, at, next));
            self.at = next;
            if let Some(ways) = &mut self.ways {
                ways.see(&self.ensemble, &script.scene, next);
            }
            let gone = next - script.scene.start;
            if gone % DAY == 0
                && let Some(daily) = &mut along.daily
            {
                daily((gone / DAY) as u32, &mut self.ensemble, &script.scene);
            }
        }
        self.at = self.at.max(to);
    }

    /// Does or hears an event.
    fn meet(&mut self, script: &Script, timed: &Timed) {
        self.ensemble.each_by_hands(|m| script.meet(m, timed));
        if let (Some(ways), Event::Dosed(_)) = (&mut self.ways, &timed.event) {
            ways.see_dose(&self.ensemble, timed.id);
        }
    }

    /// On through the next event.
    fn next(&mut self, script: &Script, along: &mut Along<'_>) {
        self.as_kept = false;
        let timed = &script.events[self.settled.events];
        self.carry_to(script, timed.at, along);
        self.settled.events += 1;
        let share = self.settled.events as f64 / script.events.len() as f64;
        // Each event costs the more the longer the log before it is.
        along.tell(HEARING * share * share);
        if !script.is_heard(timed) {
            self.meet(script, timed);
            return;
        }
        self.heard += 1;
        let surprising = is_surprising(script, &self.ensemble, timed);
        let (figures, spread) = self.taught(script);
        self.meet(script, timed);
        self.settled.learning = Some(Learned {
            entry: timed.id,
            at: timed.at,
            surprising,
            ph_spread: (spread, spread),
            ph: self.ensemble.band(|m| m.bed.ph()),
            figures: figures.into_iter().map(|band| (band, band)).collect(),
            share: 1.0,
        });
        let share = self.weigh(script, surprising, along);
        if let Some(learning) = &mut self.settled.learning {
            learning.share = share;
        }
        if !self.settled.moves.is_moving() {
            self.learned(script);
        }
    }

    /// One portion of the moves under way; gives the days that it lived over, of
    /// all members together.
    fn portion(&mut self, script: &Script) -> f64 {
        self.as_kept = false;
        let moved = self.settled.moves.portion(&mut self.ensemble, script);
        if !self.settled.moves.is_moving() {
            self.learned(script);
        }
        moved
    }

    /// Keeps what the last event taught, its moves over.
    fn learned(&mut self, script: &Script) {
        let Some(mut learned) = self.settled.learning.take() else {
            return;
        };
        let (figures, spread) = self.taught(script);
        learned.ph_spread.1 = spread;
        learned.ph = self.ensemble.band(|m| m.bed.ph());
        for (both, after) in learned.figures.iter_mut().zip(figures) {
            both.1 = after;
        }
        self.settled.learned.push(learned);
    }

    /// Weighs the members by what was heard last, and begins to move them where
    /// few are left in play; gives the share it left.
    fn weigh(&mut self, script: &Script, surprising: bool, along: &Along<'_>) -> f64 {
        if along.unmoved {
            self.ensemble.weigh(1.0);
            return self.ensemble.effective_share();
        }
        let now = Now {
            events: self.settled.events,
            heard: self.heard,
            surprising,
        };
        let share = self.settled.moves.weigh(&mut self.ensemble, script, now);
        if self.settled.moves.is_moving() {
            self.ways = None;
        }
        share
    }

    /// The figures a lesson is told by, and the spread of pH, as they stand.
    fn taught(&self, script: &Script) -> (Vec<Band>, f64) {
        let signs = self.ensemble.signs(&script.scene);
        let band = |track: &Track| track.band(&signs, &self.ensemble.weights);
        let spread = self.ensemble.moments(|m| m.bed.ph()).1;
        (TAUGHT.iter().map(band).collect(), spread)
    }

    /// The members as they stand now, to be kept.
    pub(crate) fn standing(&self) -> Standing {
        let e = &self.ensemble;
        let mut settled = self.settled.clone();
        settled.weights.clone_from(&e.weights);
        settled.tapes = e.members.iter().map(|m| m.tape.clone()).collect();
        let bare = |m: &Possible| Possible {
            tape: Tape::new(0, 0),
            ..m.clone()
        };
        let lived = Some(Lived {
            members: e.members.iter().map(bare).collect(),
            ways: self.ways.clone(),
        });
        Standing {
            settled,
            lived,
            before: self.before.clone(),
        }
    }

    /// Whether more of the members are copies of each other than an answer may rest
    /// on, and may still be moved.
    fn is_to_finish(&self, script: &Script, along: &Along<'_>) -> bool {
        let copies = self.settled.moves.copies(&self.ensemble);
        let may = self.before.is_none() && !script.quick && !along.unmoved;
        may && copies > script.scene.tuning.last_copies
    }

    /// Begins the moves after the last thing heard, by which members become as good
    /// as fresh. They serve what is shown and not what is heard later.
    fn finish(&mut self, script: &Script, seed: u64) {
        self.as_kept = false;
        let events = self.settled.events;
        self.settled.at = script.time_after(events);
        self.settled.digest = script.digest(seed, events);
        self.before = Some((events, Some(Box::new(self.standing()))));
        let now = Now {
            events,
            heard: self.heard,
            surprising: false,
        };
        let moves = &mut self.settled.moves;
        moves.finish(&mut self.ensemble, script, now);
        self.ways = None;
        self.settled.learning = self.settled.learned.pop();
    }

    /// Whether they were kept just so, and nothing was done since.
    pub(crate) fn is_as_kept(&self) -> bool {
        self.as_kept
    }

    /// Whether no moves are left, and their way is known.
    pub(crate) fn is_whole(&self) -> bool {
        self.settled.is_done() && self.ways.is_some()
    }

    /// Their way, as far as they were carried.
    pub(crate) fn ways(&self) -> Option<&Ways> {
        self.ways.as_ref()
    }
}
