//! Other chances for one member, and what their taking must be weighed by.

use super::leads::Leads;
use crate::bed::draw::{Block, Dice, Tape};
use crate::estimate::ensemble::noise::UNLOGGED;
use crate::estimate::tuning::Tuning;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use serde::{Deserialize, Serialize};

/// Kinds of move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Along what the log tells of, around what the members are like.
    Lead,
    /// Along all else, toward fresh chances.
    Rest,
    /// What nobody wrote down in a few weeks, drawn afresh.
    Unlogged,
}

/// How many kinds.
pub(super) const KINDS: usize = 3;

impl Kind {
    pub(super) const ALL: [Self; KINDS] = [Self::Lead, Self::Rest, Self::Unlogged];

    /// Whether it has its turn in a round: there is nothing to move along before
    /// there are leads, and what nobody wrote down is sought over and over only
    /// where what is heard goes against what is believed.
    pub(super) fn is_due(self, round: u64, surprising: bool, leads: &Leads) -> bool {
        match self {
            Self::Lead => leads.count() > 0,
            Self::Rest => true,
            Self::Unlogged => surprising || round.is_multiple_of(2),
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

/// How one member is moved.
pub(super) struct Proposal<'a> {
    pub(super) kind: Kind,
    pub(super) leads: &'a Leads,
    pub(super) fit: Option<&'a Fit>,
    /// How much of the old is kept [0 to 1].
    pub(super) keeps: f64,
    /// Where sizes of what nobody wrote down are tried.
    pub(super) aims: &'a [Aim; SIZES],
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
    /// Another tape, and the log of what its taking is weighed by beside the
    /// likelihood.
    pub(super) fn make(&self, was: &Tape, dice: &mut Dice) -> Option<(Tape, f64)> {
        match self.kind {
            Kind::Lead => self.lead(was, dice),
            Kind::Rest => Some((self.rest(was, dice), 0.0)),
            Kind::Unlogged => self.unlogged(was, dice),
        }
    }

    /// Along the leads: `a' = m + r (a - m) + sqrt(1 - r²) S^½ z`, which leaves
    /// the fitted normal unchanged; weighed by how that differs from the normal
    /// of unit variance the numbers have of themselves (Rudolf and Sprungk 2018).
    fn lead(&self, was: &Tape, dice: &mut Dice) -> Option<(Tape, f64)> {
        let fit = self.fit?;
        let at = DVector::from_vec(self.leads.along(was));
        let z = DVector::from_fn(at.len(), |_, _| f64::from(dice.normal()));
        let fresh = (1.0 - self.keeps.powi(2)).sqrt();
        let to = &fit.mean + (&at - &fit.mean) * self.keeps + fit.spread.l() * z * fresh;
        let own = |x: &DVector<f64>| -0.5 * x.dot(x);
        let ratio = own(&to) - own(&at) + fit.log(&at) - fit.log(&to);
        let mut tape = was.clone();
        let by: Vec<f64> = (&to - &at).iter().copied().collect();
        self.leads.shift(&mut tape, &by);
        Some((tape, ratio))
    }

    /// All numbers toward fresh chances, but for how it stands along the leads
    /// (preconditioned Crank and Nicolson: Cotter, Roberts, Stuart and White,
    /// Statist. Sci. 28, 424 (2013)).
    fn rest(&self, was: &Tape, dice: &mut Dice) -> Tape {
        let stood = self.leads.along(was);
        let mut tape = was.clone();
        let fresh = (1.0 - self.keeps.powi(2)).sqrt() as f32;
        let keeps = self.keeps as f32;
        for (block, numbers) in tape.blocks_mut() {
            let from = match block {
                Block::Planned(_) => continue,
                // Whether something happened stays, what it was moves.
                Block::Unlogged(_) => 1,
                _ => 0,
            };
            for number in &mut numbers[from..] {
                *number = keeps * *number + fresh * dice.normal();
            }
        }
        let is = self.leads.along(&tape);
        let back: Vec<f64> = stood.iter().zip(&is).map(|(a, b)| a - b).collect();
        self.leads.shift(&mut tape, &back);
        tape
    }

    /// Something that nobody wrote down put into a week, or taken out of one (a jump
    /// and its way back: Green, Biometrika 82, 711 (1995)). `None` where there is
    /// none to take out, or one already.
    fn unlogged(&self, was: &Tape, dice: &mut Dice) -> Option<(Tape, f64)> {
        let happened = |numbers: &[f32]| f64::from(numbers[0]) >= self.tuning.unlogged_from;
        let weeks = || {
            was.blocks().filter_map(|(block, numbers)| match block {
                Block::Unlogged(week) => Some((week, happened(numbers))),
                _ => None,
            })
        };
        let last = weeks().map(|w| w.0).max()?;
        let there: Vec<u32> = weeks().filter(|w| w.1).map(|w| w.0).collect();
        let begins = dice.even() < 0.5;
        let week = if begins {
            let week = a_week(last, dice);
            (!there.contains(&week)).then_some(week)?
        } else {
            *there.get((dice.even() * there.len() as f64) as usize)?
        };
        let block = Block::Unlogged(week);
        let mut tape = was.clone();
        let before: [f64; UNLOGGED] = tape.first(block);
        let is = self.unlogged_drawn(begins, dice);
        for (place, number) in is.iter().enumerate() {
            if let Some(to) = tape.get_mut(block, place) {
                *to = *number as f32;
            }
        }
        let with = there.len() + usize::from(begins);
        let gain =
            |sizes: &[f64]| self.odds(sizes) - share_of_week(week, last).ln() - (with as f64).ln();
        let ratio = if begins {
            gain(&is[2..])
        } else {
            -gain(&before[2..])
        };
        Some((tape, ratio))
    }

    /// The numbers of a week in which something happened, or nothing.
    fn unlogged_drawn(&self, happens: bool, dice: &mut Dice) -> [f64; UNLOGGED] {
        let from = self.tuning.unlogged_from;
        let mut numbers: [f64; UNLOGGED] = std::array::from_fn(|_| f64::from(dice.normal()));
        while (f64::from(numbers[0] as f32) >= from) != happens {
            numbers[0] = f64::from(dice.normal());
        }
        if happens {
            for (size, aim) in numbers[2..].iter_mut().zip(self.aims) {
                *size = aim.middle + aim.spread * *size;
            }
        }
        numbers
    }

    /// Log odds at first that something happened in a week, and of its sizes against
    /// how they are tried.
    fn odds(&self, sizes: &[f64]) -> f64 {
        let log = |(x, aim): (&f64, &Aim)| {
            let off = (x - aim.middle) / aim.spread;
            0.5 * off * off + aim.spread.ln() - 0.5 * x * x
        };
        let rare = upper_tail(self.tuning.unlogged_from);
        let sizes: f64 = sizes.iter().zip(self.aims).map(log).sum();
        (rare / (1.0 - rare)).ln() + sizes
    }
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
