//! Members moved to other histories that could have been, so that many copies of
//! a few become many again: each proposes other chances, lives the whole log anew
//! by them, and takes them with the probability that leaves what is believed
//! unchanged (Metropolis and Hastings). Resample-move over all data, called IBIS:
//! Chopin, Biometrika 89, 539 (2002); Gilks and Berzuini, JRSS B 63, 127 (2001).
//!
//! Kinds of move take turns (Cui, Law and Marzouk, J. Comput. Phys. 304, 109
//! (2016)): along the few directions that the log tells of ([`Leads`]), around a
//! normal distribution fitted to the members; and along all others, where what is
//! believed is next to what was at first, toward fresh chances, those of the last
//! weeks ([`Lately`]) more often. What nobody wrote down is put in, taken out and
//! made larger or smaller, near what happened in other members as often as anywhere:
//! else a few that found it stand for all.

mod lately;
mod leads;
mod propose;

use crate::bed::draw::{Dice, Tape};
use crate::estimate::along::TAUGHT;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::script::Script;
use crate::estimate::timeline::Event;
use crate::estimate::tuning::Tuning;
use lately::Lately;
use leads::Leads;
use propose::{Aid, Aim, KINDS, Kind, Proposal, SIZES};
use serde::{Deserialize, Serialize};

/// What moves have learned of how to move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Moves {
    seed: u64,
    leads: Leads,
    /// Observations heard when the leads were last sought.
    led_at: usize,
    /// How much of the old each kind of move keeps [0 to 1].
    keeps: [f64; KINDS],
    /// Members for each that is a possible bin of its own and no copy: what a mean
    /// over them strays by, squared, over what it would if all were fresh.
    copies: f64,
    /// What is being done.
    moving: Option<Moving>,
    /// What was done so far.
    pub(crate) done: Done,
}

/// What was done so far, for whoever wants to know how well it goes.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Done {
    /// Times members were drawn anew and moved.
    pub settlings: u32,
    /// Rounds of moves.
    pub rounds: u32,
    /// Moves tried, by kind.
    pub tried: [u32; KINDS],
    /// Moves taken, by kind.
    pub taken: [u32; KINDS],
    /// Bins lived over to seek the leads.
    pub probes: u32,
    /// Directions the log tells of, last.
    pub leads: u32,
    /// Correlation of a figure before and after the last round, the largest but one
    /// of those followed.
    pub kept: f64,
}

/// How many events are over, and how many of them were heard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(crate) struct Now {
    pub(crate) events: usize,
    pub(crate) heard: usize,
    /// What was heard last goes against what is believed.
    pub(crate) surprising: bool,
}

/// Members being moved until they have forgotten where they were: where in it
/// they are, so that it can be left and gone on with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Moving {
    now: Now,
    /// How much of what was heard last counts yet [0 to 1], in which part.
    share: f64,
    part: u64,
    /// Figures before the first round.
    begin: Vec<Vec<f64>>,
    /// Members for each that was no copy then.
    copies: f64,
    aims: [Aim; SIZES],
    round: u64,
    kind: usize,
    group: usize,
    taken: usize,
    /// Nothing more is heard: they are moved until they are as good as fresh.
    last: bool,
}

impl Moves {
    pub(crate) fn new(seed: u64) -> Self {
        Self {
            seed,
            leads: Leads::default(),
            led_at: 0,
            keeps: [0.3; KINDS],
            copies: 1.0,
            moving: None,
            done: Done::default(),
        }
    }

    /// Whether members are being moved.
    pub(crate) fn is_moving(&self) -> bool {
        self.moving.is_some()
    }

    /// Members for each that is a possible bin of its own, weighed as they are.
    pub(crate) fn copies(&self, e: &Ensemble) -> f64 {
        self.copies / e.effective_share().max(1e-9)
    }

    /// After something was heard: weighs the members by it, and where few are
    /// left in play draws them anew, to be moved. What leaves next to none in
    /// play is heard part by part. Gives the share it left in play at first.
    pub(crate) fn weigh(&mut self, e: &mut Ensemble, script: &Script, now: Now) -> f64 {
        self.weigh_part(e, script, now, (0.0, 0))
    }

    fn weigh_part(
        &mut self,
        e: &mut Ensemble,
        script: &Script,
        now: Now,
        (mut share, part): (f64, u64),
    ) -> f64 {
        let t = &script.scene.tuning;
        let before = e.weights.clone();
        e.weigh(1.0 - share);
        let left = e.effective_share();
        // Where all are wrong alike none is drawn more often than another,
        // and only moves find what may have been.
        if left >= t.copies_below && !(now.surprising && part == 0) {
            return left;
        }
        if left < t.parts_below && part + 1 < MOST_PARTS {
            share += self.part_of(e, &before, 1.0 - share, t.copies_below);
        } else {
            share = 1.0;
        }
        self.settle(e, script, now, (share, part));
        left
    }

    /// Weighs by the largest part of what was heard last that leaves the share
    /// wanted in play; gives that part.
    fn part_of(&self, e: &mut Ensemble, before: &[f64], most: f64, wanted: f64) -> f64 {
        let (mut low, mut high) = (0.0, most);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            e.weights.copy_from_slice(before);
            e.weigh(middle);
            if e.effective_share() >= wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        e.weights.copy_from_slice(before);
        e.weigh(low);
        low
    }

    /// Draws the members anew, to be moved.
    fn settle(&mut self, e: &mut Ensemble, script: &Script, now: Now, (share, part): (f64, u64)) {
        let turn = part * TURNS;
        let aims = aims(e, script, now);
        let copies = self.copies(e);
        e.resample(&mut Dice::keyed(
            self.seed,
            usize::MAX,
            now.heard as u64,
            turn,
        ));
        self.done.settlings += 1;
        self.seek(e, script, now, turn);
        self.moving = Some(Moving {
            now,
            share,
            part,
            begin: figures(e, script),
            copies,
            aims,
            round: 0,
            kind: 0,
            group: 0,
            taken: 0,
            last: false,
        });
    }

    /// Begins to move the members until they are as good as fresh.
    pub(crate) fn finish(&mut self, e: &mut Ensemble, script: &Script, now: Now) {
        self.settle(e, script, now, (1.0, LAST));
        if let Some(m) = &mut self.moving {
            m.last = true;
        }
    }

    /// One portion of the moves under way: one kind of move of one group of the
    /// members. After the last the members are as good as fresh. Gives the days that
    /// were lived over, of all members together.
    pub(crate) fn portion(&mut self, e: &mut Ensemble, script: &Script) -> f64 {
        let Some(mut m) = self.moving.take() else {
            return 0.0;
        };
        let kind = Kind::ALL[m.kind];
        let mut moved = 0.0;
        let lately = Lately::of(script, m.now);
        if kind.is_due(m.round, m.now.surprising, &self.leads, lately.is_some()) {
            let groups = groups(e, script, m.now);
            let age = script.scene.day(script.time_after(m.now.events)).max(1.0);
            let days = if kind == Kind::Late {
                script.scene.tuning.late_days
            } else {
                age
            };
            moved = days * (e.members.len() / groups) as f64;
            m.taken += self.turn(e, script, &m, lately.as_ref());
            m.group += 1;
            if m.group < groups {
                self.moving = Some(m);
                return moved;
            }
            let (count, t) = (e.members.len(), &script.scene.tuning);
            self.done.tried[m.kind] += count as u32;
            self.done.taken[m.kind] += m.taken as u32;
            self.adapt(kind, m.taken as f64 / count as f64, t);
        }
        (m.kind, m.group, m.taken) = (m.kind + 1, 0, 0);
        if m.kind < KINDS {
            self.moving = Some(m);
        } else {
            self.round_over(e, script, m);
        }
        moved
    }

    /// After a round: another, or the next part of what was heard, or the end.
    fn round_over(&mut self, e: &mut Ensemble, script: &Script, mut m: Moving) {
        let t = &script.scene.tuning;
        (m.round, m.kind) = (m.round + 1, 0);
        self.done.rounds += 1;
        self.done.kept = kept(&m.begin, &figures(e, script)).max(0.0);
        // Two copies, each moved by itself, hang together by the square.
        self.copies = 1.0 + (m.copies - 1.0) * self.done.kept.powi(2);
        let least = if m.now.surprising { SEARCHES } else { 1 };
        let (most, forgotten) = if m.last {
            (t.last_rounds as u64, self.copies <= t.last_copies)
        } else {
            let forgotten = self.done.kept < t.kept_below;
            (rounds(e, script, m.now), forgotten)
        };
        if m.round < most && !(forgotten && m.round >= least) {
            self.moving = Some(m);
        } else if m.share < 1.0 {
            self.weigh_part(e, script, m.now, (m.share, m.part + 1));
        }
    }

    /// Seeks the directions the log tells of, when it has grown by a part.
    fn seek(&mut self, e: &Ensemble, script: &Script, now: Now, turn: u64) {
        let grown = now.heard as f64 >= script.scene.tuning.seek_again * self.led_at as f64;
        if self.led_at > 0 && !grown {
            return;
        }
        let mut dice = Dice::keyed(self.seed, usize::MAX - 1, now.heard as u64, turn);
        let (leads, probes) = Leads::sought(e, script, now.events, &mut dice);
        self.done.probes += probes;
        self.done.leads = leads.count() as u32;
        self.leads = leads;
        self.led_at = now.heard;
    }

    /// One move of every member of a group; gives how many were taken.
    fn turn(
        &self,
        e: &mut Ensemble,
        script: &Script,
        m: &Moving,
        lately: Option<&Lately>,
    ) -> usize {
        let kind = Kind::ALL[m.kind];
        let groups = groups(e, script, m.now);
        let places: Vec<usize> = (m.group..e.members.len()).step_by(groups).collect();
        // A group moves by what all others are like.
        let others = e.members.iter().enumerate();
        let others = others.filter(|(i, _)| i % groups != m.group);
        let others: Vec<&Tape> = others.map(|(_, m)| &m.tape).collect();
        let tuning = &script.scene.tuning;
        let aid = Aid::of(kind, &self.leads, &others, lately, tuning);
        let turn = m.part * TURNS + 8 * (m.round + 1) + m.kind as u64;
        if let (Some(lately), Kind::Late | Kind::Unlogged) = (lately, kind) {
            lately.stand(e, script, &places);
        }
        let members = &e.members;
        let propose = |i: usize| -> Possible {
            let (place, was) = (places[i], &members[places[i]]);
            let mut dice = Dice::keyed(self.seed, place, m.now.heard as u64, turn);
            let proposal = Proposal {
                kind,
                leads: &self.leads,
                aid: &aid,
                keeps: self.keeps(kind, &mut dice),
                aims: &m.aims,
                lately,
                tuning,
            };
            let Some(other) = proposal.make(&was.tape, &mut dice) else {
                return was.clone();
            };
            let ratio = other.ratio;
            let other = match lately {
                Some(lately) => lately.live(script, other, was, m.now.events),
                None => script.live(other.tape, m.now.events),
            };
            let gain = target(&other, m.share) - target(was, m.share) + ratio;
            let is_taken = dice.even().ln() < gain;
            if is_taken { other } else { was.clone() }
        };
        let moved = e.hands().make(places.len(), &propose);
        let mut taken = 0;
        for (place, other) in places.into_iter().zip(moved) {
            taken += usize::from(other.tape != e.members[place].tape);
            e.members[place] = other;
        }
        taken
    }

    /// How much of the old a move keeps. Along leads it is now nothing, now more:
    /// what lies far out is left by small steps only.
    fn keeps(&self, kind: Kind, dice: &mut Dice) -> f64 {
        match kind {
            Kind::Lead if dice.even() < 0.5 => 0.0,
            Kind::Lead => dice.even().sqrt(),
            _ => self.keeps[kind as usize],
        }
    }

    /// Bolder where much is taken, more careful where little is.
    fn adapt(&mut self, kind: Kind, taken: f64, t: &Tuning) {
        let keeps = &mut self.keeps[kind as usize];
        // On the scale of the step, the root of what is not kept.
        let step = (1.0 - keeps.powi(2)).sqrt() * (taken - t.taken_wanted).exp();
        *keeps = (1.0 - step.min(1.0).powi(2)).max(0.0).sqrt();
    }
}

/// Groups the members are moved in: two, and more of them where a log is long, so
/// that a portion stays small.
fn groups(e: &Ensemble, script: &Script, now: Now) -> usize {
    let t = &script.scene.tuning;
    let days = script.scene.day(script.time_after(now.events)).max(1.0);
    let whole = days * e.members.len() as f64;
    (whole / t.portion_days).ceil().clamp(2.0, 16.0) as usize
}

/// Log likelihood of all that was heard, so much of the last.
fn target(m: &Possible, share: f64) -> f64 {
    m.heard + share * m.heard_last
}

/// As sizes are drawn at first.
const AS_DRAWN: Aim = Aim {
    middle: 0.0,
    spread: 1.0,
};
/// Rounds at least where what was heard goes against what is believed.
const SEARCHES: u64 = 6;
/// Whole lives of each member that a round is counted as: the other moves are of a part
/// of a log, or rare.
const WHOLE_LIVES: usize = 2;
/// Parts of what leaves next to none in play, at most.
const MOST_PARTS: u64 = 12;
/// The part that stands for moves after the last.
const LAST: u64 = MOST_PARTS;
/// Halvings in search of a part.
const HALVINGS: u32 = 30;
/// Turns kept for one part.
const TURNS: u64 = 1 << 16;

/// Where sizes of what nobody wrote down are tried: wider than they are drawn,
/// and where a pH was read, toward it.
fn aims(e: &Ensemble, script: &Script, now: Now) -> [Aim; SIZES] {
    let t = &script.scene.tuning;
    let wide = Aim {
        middle: 0.0,
        spread: t.tried_wider,
    };
    let mut aims = [wide; SIZES];
    if let Event::Heard(heard) = &script.events[now.events - 1].event {
        let key = &heard.instrument.key;
        let bias = |m: &Possible| m.bias.get(key).copied().unwrap_or(0.0);
        let shown = e.moments(|m| m.bed.ph_met() + bias(m)).0;
        // It tells nothing of all else.
        aims = [AS_DRAWN; SIZES];
        aims[0] = Aim {
            middle: (heard.combined.mean - shown) / t.other_ph,
            spread: t.tried_near,
        };
    }
    aims
}

/// Rounds that may be made of a log so long.
fn rounds(e: &Ensemble, script: &Script, now: Now) -> u64 {
    let t = &script.scene.tuning;
    if script.quick {
        return if now.surprising { SEARCHES / 2 } else { 1 };
    }
    let days = script.scene.day(script.time_after(now.events)).max(1.0);
    let one = days * (e.members.len() * WHOLE_LIVES) as f64;
    (t.most_days / one).clamp(t.least_rounds, t.most_rounds) as u64
}

/// The figures by which it is told whether members have moved.
fn figures(e: &Ensemble, script: &Script) -> Vec<Vec<f64>> {
    let signs = e.signs(&script.scene);
    let of = |track: &crate::estimate::track::Track| signs.iter().map(|s| track.of(s)).collect();
    TAUGHT.iter().map(of).collect()
}

/// Correlation of each figure over the members before and after; the largest but one.
fn kept(before: &[Vec<f64>], after: &[Vec<f64>]) -> f64 {
    let mut all: Vec<f64> = before
        .iter()
        .zip(after)
        .filter_map(|(a, b)| correlation(a, b))
        .collect();
    all.sort_by(f64::total_cmp);
    // One figure that hardly moves, such as food long gone, holds up nobody.
    let place = all.len().saturating_sub(2);
    all.get(place).copied().unwrap_or(0.0)
}

fn correlation(a: &[f64], b: &[f64]) -> Option<f64> {
    let n = a.len() as f64;
    let mean = |x: &[f64]| x.iter().sum::<f64>() / n;
    let (ma, mb) = (mean(a), mean(b));
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        ab += (x - ma) * (y - mb);
        aa += (x - ma).powi(2);
        bb += (y - mb).powi(2);
    }
    (aa > 1e-18 && bb > 1e-18).then(|| ab / (aa * bb).sqrt())
}
