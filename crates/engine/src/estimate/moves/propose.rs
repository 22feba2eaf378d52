//! Other chances for one member, and what their taking must be weighed by.

use super::AS_DRAWN;
use super::lately::Lately;
use super::leads::{Across, Leads};
use crate::bed::draw::{Block, Dice, Tape};
use crate::estimate::ensemble::noise::UNLOGGED;
use crate::estimate::tuning::Tuning;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Kinds of move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Along what the log tells of, around what the members are like.
    Lead,
    /// Along all else, toward fresh chances.
    Rest,
    /// The same of what chance brought late only.
    Late,
    /// What nobody wrote down in a few weeks, drawn afresh.
    Unlogged,
}

/// How many kinds.
pub(super) const KINDS: usize = 4;

impl Kind {
    pub(super) const ALL: [Self; KINDS] = [Self::Lead, Self::Rest, Self::Late, Self::Unlogged];

    /// Whether it has its turn in a round: there is nothing to move along before
    /// there are leads, and what nobody wrote down is sought over and over only
    /// where what is heard goes against what is believed.
    pub(super) fn is_due(self, round: u64, surprising: bool, leads: &Leads, long: bool) -> bool {
        match self {
            Self::Lead => leads.count() > 0,
            Self::Rest => !long || !round.is_multiple_of(2),
            Self::Late => long,
            Self::Unlogged => surprising || round.is_multiple_of(2),
        }
    }
}

impl Kind {
    /// Whether it moves numbers of a block toward fresh chances.
    pub(super) fn moves(self, block: Block, lately: Option<&Lately>) -> bool {
        match self {
            Self::Rest => !matches!(block, Block::Planned(_)),
            Self::Late => lately.is_some_and(|late| late.holds(block)),
            Self::Lead | Self::Unlogged => false,
        }
    }
}

/// What other members are like along the leads: a normal distribution.
pub(super) struct Fit {
    mean: DVector<f64>,
    spread: Cholesky<f64, Dyn>,
}

/// Members that a lead must have for how it hangs together with others.
const MEMBERS_A_LEAD: usize = 2;
/// Members that the spread a linear law would leave counts as, for each lead.
const SHRUNK: f64 = 1.0;

impl Fit {
    /// Of these tapes; `None` where there are no leads.
    pub(super) fn of<'a>(leads: &Leads, tapes: impl Iterator<Item = &'a Tape>) -> Option<Self> {
        let count = leads.count();
        let along = |tape| DVector::from_vec(leads.along(tape));
        let at: Vec<DVector<f64>> = tapes.map(along).collect();
        if count == 0 || at.is_empty() {
            return None;
        }
        let n = at.len() as f64;
        let mean = at.iter().fold(DVector::zeros(count), |sum, x| sum + x) / n;
        let all = at.iter().fold(DMatrix::zeros(count, count), |sum, x| {
            let gap = x - &mean;
            sum + &gap * gap.transpose()
        });
        // Few members tell little of many directions: what a linear law would
        // leave of each counts as so many more.
        let left = leads.known().iter().map(|known| 1.0 / (1.0 + known));
        let linear = DMatrix::from_diagonal(&DVector::from_iterator(count, left));
        // How more of them hang together is not known from so many members.
        let fitted = (at.len() / MEMBERS_A_LEAD).min(count);
        let all = DMatrix::from_fn(count, count, |a, b| {
            let known = a == b || a.max(b) < fitted;
            if known { all[(a, b)] } else { 0.0 }
        });
        let more = SHRUNK * fitted as f64;
        let cov = (all + linear * more) / (n + more);
        Some(Self {
            mean,
            spread: Cholesky::new(cov)?,
        })
    }

    /// Log density, up to a constant.
    fn log(&self, x: &DVector<f64>) -> f64 {
        let gap = x - &self.mean;
        -0.5 * gap.dot(&self.spread.solve(&gap))
    }
}

/// Another tape for a member.
pub(super) struct Other {
    pub(super) tape: Tape,
    /// Log of what its taking is weighed by beside the likelihood.
    pub(super) ratio: f64,
    /// It differs in what is late only.
    pub(super) late: bool,
}

impl Other {
    fn whole(tape: Tape, ratio: f64) -> Self {
        Self {
            tape,
            ratio,
            late: false,
        }
    }
}

/// What the members that stay are like, by which the others are moved.
pub(super) struct Aid {
    fit: Option<Fit>,
    /// What is left as it is by moves toward fresh chances.
    across: Option<Across>,
    /// What nobody wrote down in them, and when.
    happened: BTreeMap<u32, Usual>,
}

impl Aid {
    /// For moves of one kind.
    pub(super) fn of(
        kind: Kind,
        leads: &Leads,
        others: &[&Tape],
        lately: Option<&Lately>,
        tuning: &Tuning,
    ) -> Self {
        let mut aid = Self {
            fit: None,
            across: None,
            happened: BTreeMap::new(),
        };
        match kind {
            Kind::Lead => aid.fit = Fit::of(leads, others.iter().copied()),
            Kind::Rest | Kind::Late => {
                let across = |tape: &&Tape| leads.across(|b| kind.moves(b, lately), tape);
                aid.across = others.first().map(across);
            }
            Kind::Unlogged => {
                let from = tuning.unlogged_from;
                let all = others.iter().flat_map(|tape| Happening::all(tape, from));
                aid.happened = Self::usual(&all.collect::<Vec<_>>());
            }
        }
        aid
    }

    fn usual(all: &[Happening]) -> BTreeMap<u32, Usual> {
        let mut by: BTreeMap<u32, Vec<&Happening>> = BTreeMap::new();
        for it in all {
            by.entry(it.week).or_default().push(it);
        }
        let usual = |(week, those): (u32, Vec<&Happening>)| (week, Usual::of(&those, all.len()));
        by.into_iter().map(usual).collect()
    }

    /// A week in which something happened in others, as often as it did, by an even
    /// number.
    fn one_happened(&self, even: f64) -> (u32, &Usual) {
        let mut up_to = 0.0;
        let weeks = || self.happened.iter().map(|(week, usual)| (*week, usual));
        let found = weeks().find(|(_, usual)| {
            up_to += usual.share;
            up_to >= even
        });
        // Shares sum to one, but for rounding.
        found
            .or_else(|| weeks().next_back())
            .unwrap_or((0, &Usual::NONE))
    }
}

/// How one member is moved.
pub(super) struct Proposal<'a> {
    pub(super) kind: Kind,
    pub(super) leads: &'a Leads,
    pub(super) aid: &'a Aid,
    /// How much of the old is kept [0 to 1].
    pub(super) keeps: f64,
    /// Where sizes of what nobody wrote down are tried.
    pub(super) aims: &'a [Aim; SIZES],
    /// What of the log is late, where not most of it is.
    pub(super) lately: Option<&'a Lately>,
    pub(super) tuning: &'a Tuning,
}

/// Where a size is tried: a normal distribution that hangs on nothing the
/// members are moved by.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(super) struct Aim {
    pub(super) middle: f64,
    pub(super) spread: f64,
}

/// Sizes of what nobody wrote down.
pub(super) const SIZES: usize = UNLOGGED - 2;

impl Proposal<'_> {
    /// Another tape; `None` where there is none to try.
    pub(super) fn make(&self, was: &Tape, dice: &mut Dice) -> Option<Other> {
        match self.kind {
            Kind::Lead => self.lead(was, dice),
            Kind::Rest | Kind::Late => Some(Other {
                tape: self.afresh(was, dice),
                ratio: 0.0,
                late: self.kind == Kind::Late,
            }),
            Kind::Unlogged => self.unlogged(was, dice),
        }
    }

    /// Along the leads: `a' = m + r (a - m) + sqrt(1 - r²) S^½ z`, which leaves
    /// the fitted normal unchanged; weighed by how that differs from the normal
    /// of unit variance the numbers have of themselves (Rudolf and Sprungk 2018).
    fn lead(&self, was: &Tape, dice: &mut Dice) -> Option<Other> {
        let fit = self.aid.fit.as_ref()?;
        let at = DVector::from_vec(self.leads.along(was));
        let z = DVector::from_fn(at.len(), |_, _| f64::from(dice.normal()));
        let fresh = (1.0 - self.keeps.powi(2)).sqrt();
        let to = &fit.mean + (&at - &fit.mean) * self.keeps + fit.spread.l() * z * fresh;
        let own = |x: &DVector<f64>| -0.5 * x.dot(x);
        let ratio = own(&to) - own(&at) + fit.log(&at) - fit.log(&to);
        let mut tape = was.clone();
        let by: Vec<f64> = (&to - &at).iter().copied().collect();
        self.leads.shift(&mut tape, &by);
        Some(Other::whole(tape, ratio))
    }

    /// Numbers toward fresh chances, but for how they stand along the leads
    /// (preconditioned Crank and Nicolson: Cotter, Roberts, Stuart and White,
    /// Statist. Sci. 28, 424 (2013)).
    fn afresh(&self, was: &Tape, dice: &mut Dice) -> Tape {
        let mut tape = was.clone();
        let fresh = (1.0 - self.keeps.powi(2)).sqrt() as f32;
        let keeps = self.keeps as f32;
        for (block, numbers) in tape
            .blocks_mut()
            .filter(|(block, _)| self.kind.moves(*block, self.lately))
        {
            // Whether something happened stays, what it was moves.
            let from = usize::from(matches!(block, Block::Unlogged(_)));
            for number in &mut numbers[from..] {
                *number = keeps * *number + fresh * dice.normal();
            }
        }
        if let Some(across) = &self.aid.across {
            across.hold(&mut tape, was);
        }
        tape
    }

    /// Something that nobody wrote down put into a week, or taken out of one (a jump
    /// and its way back: Green, Biometrika 82, 711 (1995)), or made larger or smaller.
    /// `None` where there is none, or one already.
    fn unlogged(&self, was: &Tape, dice: &mut Dice) -> Option<Other> {
        let from = self.tuning.unlogged_from;
        let last = weeks(was).map(|(week, _)| week).max()?;
        let there: Vec<Happening> = Happening::all(was, from).collect();
        let one = |dice: &mut Dice| there.get((dice.even() * there.len() as f64) as usize);
        let turn = dice.even();
        if turn < PUT_IN {
            let new = self.happening(last, dice);
            let is_free = there.iter().all(|h| h.week != new.week);
            return is_free.then(|| {
                let ratio = self.gain(&new, last, there.len() + 1);
                self.with_week(was, new.week, &self.drawn(Some(&new), dice), ratio)
            });
        }
        let old = one(dice)?;
        if turn < 2.0 * PUT_IN {
            let ratio = -self.gain(old, last, there.len());
            return Some(self.with_week(was, old.week, &self.drawn(None, dice), ratio));
        }
        let keeps = dice.even();
        let mut numbers: [f64; UNLOGGED] = was.clone().first(Block::Unlogged(old.week));
        for size in &mut numbers[2..] {
            if dice.even() < 0.5 {
                *size = keeps * *size + (1.0 - keeps * keeps).sqrt() * f64::from(dice.normal());
            }
        }
        Some(self.with_week(was, old.week, &numbers, 0.0))
    }

    /// A tape with other numbers in one week.
    fn with_week(&self, was: &Tape, week: u32, is: &[f64; UNLOGGED], ratio: f64) -> Other {
        let block = Block::Unlogged(week);
        let mut tape = was.clone();
        for (place, number) in is.iter().enumerate() {
            if let Some(to) = tape.get_mut(block, place) {
                *to = *number as f32;
            }
        }
        let late = self.lately.is_some_and(|late| late.holds(block));
        Other { tape, ratio, late }
    }

    /// Something that may have happened: as often what did in other members as any.
    fn happening(&self, last: u32, dice: &mut Dice) -> Happening {
        let (aims, week) = if !self.aid.happened.is_empty() && dice.even() < 0.5 {
            let (week, usual) = self.aid.one_happened(dice.even());
            (&usual.aims, week)
        } else {
            (self.aims, a_week(last, dice))
        };
        let tried = |aim: &Aim| aim.middle + aim.spread * f64::from(dice.normal());
        let sizes = aims.each_ref().map(tried);
        Happening { week, sizes }
    }

    /// Log of how often [`Proposal::happening`] gives what happened, but for a
    /// constant.
    fn tried(&self, it: &Happening, last: u32) -> f64 {
        let any = share_of_week(it.week, last).ln() + it.log_by(self.aims);
        if self.aid.happened.is_empty() {
            return any;
        }
        let Some(usual) = self.aid.happened.get(&it.week) else {
            return any + 0.5_f64.ln();
        };
        let alike = usual.share.ln() + it.log_by(&usual.aims);
        let most = any.max(alike);
        most + (0.5 * ((any - most).exp() + (alike - most).exp())).ln()
    }

    /// Log of what is gained by something having happened, of so many things then,
    /// over how it is tried and taken back.
    fn gain(&self, it: &Happening, last: u32, with: usize) -> f64 {
        let rare = upper_tail(self.tuning.unlogged_from);
        (rare / (1.0 - rare)).ln() + it.log_by(&[AS_DRAWN; SIZES])
            - self.tried(it, last)
            - (with as f64).ln()
    }

    /// The numbers of a week in which that happened, or nothing.
    fn drawn(&self, happens: Option<&Happening>, dice: &mut Dice) -> [f64; UNLOGGED] {
        let from = self.tuning.unlogged_from;
        let mut numbers: [f64; UNLOGGED] = std::array::from_fn(|_| f64::from(dice.normal()));
        while (f64::from(numbers[0] as f32) >= from) != happens.is_some() {
            numbers[0] = f64::from(dice.normal());
        }
        if let Some(it) = happens {
            numbers[2..].copy_from_slice(&it.sizes);
        }
        numbers
    }
}

/// What nobody wrote down in a week.
#[derive(Debug, Clone, Copy)]
pub(super) struct Happening {
    week: u32,
    sizes: [f64; SIZES],
}

impl Happening {
    /// Of one tape, where the first number of a week is from so much on.
    fn all(tape: &Tape, from: f64) -> impl Iterator<Item = Self> {
        weeks(tape)
            .filter(move |(_, numbers)| f64::from(numbers[0]) >= from)
            .map(|(week, numbers)| Self {
                week,
                sizes: std::array::from_fn(|i| f64::from(numbers[2 + i])),
            })
    }

    /// Log density of its sizes, up to a constant.
    fn log_by(&self, aims: &[Aim; SIZES]) -> f64 {
        let log = |(x, aim): (&f64, &Aim)| {
            let off = (x - aim.middle) / aim.spread;
            -0.5 * off * off - aim.spread.ln()
        };
        self.sizes.iter().zip(aims).map(log).sum()
    }
}

/// Share of moves that put something in, and as many take it out [0 to 0.5].
const PUT_IN: f64 = 0.45;
/// What happened in one week in other members.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Usual {
    /// Of all that happened in them [0 to 1].
    share: f64,
    aims: [Aim; SIZES],
}

impl Usual {
    const NONE: Self = Self {
        share: 0.0,
        aims: [AS_DRAWN; SIZES],
    };

    /// Of what happened in one week, of so many things in all weeks: few of them count
    /// next to how sizes are drawn at first.
    fn of(those: &[&Happening], all: usize) -> Self {
        let n = those.len() as f64;
        let aims = std::array::from_fn(|i| {
            let sizes = || those.iter().map(|h| h.sizes[i]);
            let middle = sizes().sum::<f64>() / (n + AS_AT_FIRST);
            let squares: f64 = sizes().map(|x| (x - middle).powi(2)).sum();
            let spread = ((squares + AS_AT_FIRST) / (n + AS_AT_FIRST)).sqrt();
            Aim { middle, spread }
        });
        let share = n / all as f64;
        Self { share, aims }
    }
}

/// Happenings that how they are drawn at first counts as.
const AS_AT_FIRST: f64 = 2.0;

/// What nobody wrote down, week by week.
fn weeks(tape: &Tape) -> impl Iterator<Item = (u32, &[f32])> {
    tape.blocks().filter_map(|(block, numbers)| match block {
        Block::Unlogged(week) => Some((week, numbers)),
        _ => None,
    })
}

/// Weeks that count as the latest.
const RECENT: u32 = 4;

/// A week up to the last one: of the latest as often as of all together.
fn a_week(last: u32, dice: &mut Dice) -> u32 {
    if dice.even() < 0.5 {
        last.saturating_sub((f64::from(RECENT) * dice.even().powi(2)) as u32)
    } else {
        (dice.even() * f64::from(last + 1)) as u32
    }
}

/// How often [`a_week`] gives that week [0 to 1].
fn share_of_week(week: u32, last: u32) -> f64 {
    let up_to = |ago: u32| (f64::from(ago.min(RECENT)) / f64::from(RECENT)).sqrt();
    let ago = last - week;
    let recent = if week == 0 {
        1.0 - up_to(ago)
    } else {
        up_to(ago + 1) - up_to(ago)
    };
    0.5 * recent + 0.5 / f64::from(last + 1)
}

/// Chance that a standard normal number is above `z` [0 to 1]: by Simpson's rule.
fn upper_tail(z: f64) -> f64 {
    const PARTS: u32 = 200;
    let step = 8.0 / f64::from(PARTS);
    let density = |i: u32| (-0.5 * (z + step * f64::from(i)).powi(2)).exp();
    let weight = |i: u32| match i {
        0 | PARTS => 1.0,
        i if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let sum: f64 = (0..=PARTS).map(|i| weight(i) * density(i)).sum();
    sum * step / 3.0 / (2.0 * std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests;
