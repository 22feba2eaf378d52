//! Members moved to other histories that could have been, so that many copies of
//! a few become many again: each proposes other chances, lives the whole log anew
//! by them, and takes them with the probability that leaves what is believed
//! unchanged (Metropolis and Hastings). Resample-move over all data, called IBIS:
//! Chopin, Biometrika 89, 539 (2002); Gilks and Berzuini, JRSS B 63, 127 (2001).
//!
//! Two kinds of move take turns (Cui, Law and Marzouk, J. Comput. Phys. 304, 109
//! (2016)): along the few directions that the log tells of ([`Leads`]), around a
//! normal distribution fitted to the members; and along all others, where what is
//! believed is next to what was at first, toward fresh chances.

mod leads;
mod propose;

use crate::bed::draw::Dice;
use crate::estimate::along::TAUGHT;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::script::Script;
use crate::estimate::timeline::Event;
use leads::Leads;
use propose::{Aim, Fit, KINDS, Kind, Proposal, SIZES};
use serde::{Deserialize, Serialize};

/// What moves have learned of how to move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Moves {
    seed: u64,
    leads: Leads,
    /// What of them lies in the blocks that each kind moves.
    within: [Leads; KINDS],
    /// Observations heard when the leads were last sought.
    led_at: usize,
    /// How much of the old each kind of move keeps [0 to 1].
    keeps: [f64; KINDS],
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
    /// Correlation of a figure before and after the last round, the middle one
    /// of those followed.
    pub kept: f64,
}

/// How many events are over, and how many of them were heard.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Now {
    pub(crate) events: usize,
    pub(crate) heard: usize,
    /// What was heard last goes against what is believed.
    pub(crate) surprising: bool,
}

impl Moves {
    pub(crate) fn new(seed: u64) -> Self {
        Self {
            seed,
            leads: Leads::default(),
            within: std::array::from_fn(|_| Leads::default()),
            led_at: 0,
            keeps: [0.3; KINDS],
            done: Done::default(),
        }
    }

    /// After something was heard: weighs the members by it, and where few are
    /// left in play draws them anew and moves them. What leaves next to none in
    /// play is heard part by part. Gives the share it left in play at first.
    pub(crate) fn weigh(&mut self, e: &mut Ensemble, script: &Script, now: Now) -> f64 {
        let t = &script.scene.tuning;
        let mut first = 1.0;
        let mut share = 0.0;
        for part in 0..MOST_PARTS {
            let before = e.weights.clone();
            e.weigh(1.0 - share);
            let left = e.effective_share();
            if part == 0 {
                first = left;
            }
            // Where all are wrong alike none is drawn more often than another,
            // and only moves find what may have been.
            if left >= t.copies_below && !(now.surprising && part == 0) {
                break;
            }
            if left < t.parts_below && part + 1 < MOST_PARTS {
                share += self.part_of(e, &before, 1.0 - share, t.copies_below);
            } else {
                share = 1.0;
            }
            self.settle(e, script, now, (share, part));
            if share >= 1.0 {
                break;
            }
        }
        first
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

    /// Draws the members anew and moves them until they have forgotten where
    /// they were.
    fn settle(&mut self, e: &mut Ensemble, script: &Script, now: Now, (share, part): (f64, u64)) {
        let t = &script.scene.tuning;
        let turn = part * TURNS;
        let aims = aims(e, script, now);
        e.resample(&mut Dice::keyed(
            self.seed,
            usize::MAX,
            now.heard as u64,
            turn,
        ));
        self.done.settlings += 1;
        self.seek(e, script, now, turn);
        let begin = figures(e, script);
        for round in 0..rounds(e, script, now) {
            for kind in Kind::ALL {
                let turn = turn + 8 * (round + 1) + kind as u64;
                self.turn(e, script, (now, share, turn), (kind, &aims));
            }
            self.done.rounds += 1;
            self.done.kept = kept(&begin, &figures(e, script));
            if self.done.kept < t.kept_below && (!now.surprising || round + 1 >= SEARCHES) {
                break;
            }
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
        self.within = Kind::ALL.map(|kind| leads.within(|block| kind.moves(block)));
        self.leads = leads;
        self.led_at = now.heard;
    }

    /// One move of every member.
    fn turn(
        &mut self,
        e: &mut Ensemble,
        script: &Script,
        (now, share, turn): (Now, f64, u64),
        (kind, aims): (Kind, &[Aim; SIZES]),
    ) {
        if kind == Kind::Lead && self.leads.count() == 0 {
            return;
        }
        // Each half moves by what the other is like.
        let half = |from: usize| e.members.iter().map(|m| &m.tape).skip(from).step_by(2);
        let fits = [1, 0].map(|other| Fit::of(&self.leads, half(other)));
        let keeps = self.keeps[kind as usize];
        let members = &e.members;
        let propose = |place: usize| -> Possible {
            let m = &members[place];
            let mut dice = Dice::keyed(self.seed, place, now.heard as u64, turn);
            let proposal = Proposal {
                kind,
                leads: &self.leads,
                within: &self.within[kind as usize],
                fit: fits[place % 2].as_ref(),
                keeps,
                aims,
                tuning: &script.scene.tuning,
            };
            let Some((tape, ratio)) = proposal.make(&m.tape, &mut dice) else {
                return m.clone();
            };
            let other = script.live(tape, now.events);
            let gain = target(&other, share) - target(m, share) + ratio;
            if dice.even().ln() < gain {
                other
            } else {
                m.clone()
            }
        };
        let moved = e.hands().make(members.len(), &propose);
        let taken = moved
            .iter()
            .zip(members)
            .filter(|(a, b)| a.tape != b.tape)
            .count();
        self.done.tried[kind as usize] += members.len() as u32;
        self.done.taken[kind as usize] += taken as u32;
        self.adapt(
            kind,
            taken as f64 / members.len() as f64,
            &script.scene.tuning,
        );
        e.members = moved;
    }

    /// Bolder where much is taken, more careful where little is.
    fn adapt(&mut self, kind: Kind, taken: f64, t: &crate::estimate::tuning::Tuning) {
        let keeps = &mut self.keeps[kind as usize];
        // On the scale of the step, the root of what is not kept.
        let step = (1.0 - keeps.powi(2)).sqrt() * (taken - t.taken_wanted).exp();
        *keeps = (1.0 - step.min(1.0).powi(2)).max(0.0).sqrt();
    }
}

/// Log likelihood of all that was heard, so much of the last.
fn target(m: &Possible, share: f64) -> f64 {
    m.heard + share * m.heard_last
}

/// Rounds at least where what was heard goes against what is believed.
const SEARCHES: u64 = 6;
/// Parts of what leaves next to none in play, at most.
const MOST_PARTS: u64 = 12;
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
    let days = script.scene.day(script.time_after(now.events)).max(1.0);
    let one = days * (e.members.len() * KINDS) as f64;
    (t.most_days / one).clamp(t.least_rounds, t.most_rounds) as u64
}

/// The figures by which it is told whether members have moved.
fn figures(e: &Ensemble, script: &Script) -> Vec<Vec<f64>> {
    let signs = e.signs(&script.scene);
    let of = |track: &crate::estimate::track::Track| signs.iter().map(|s| track.of(s)).collect();
    TAUGHT.iter().map(of).collect()
}

/// Correlation of each figure over the members before and after; the middle one.
fn kept(before: &[Vec<f64>], after: &[Vec<f64>]) -> f64 {
    let mut all: Vec<f64> = before
        .iter()
        .zip(after)
        .filter_map(|(a, b)| correlation(a, b))
        .collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied().unwrap_or(0.0)
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
