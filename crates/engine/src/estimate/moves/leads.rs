//! The few directions among all chances that the log tells of.
//!
//! A bin is lived again with each of its numbers a little other; how far its
//! marks move says how much the log tells of that number. With `J` the marks'
//! derivative, `JᵀJ` is what the log knows against the unit matrix that was known
//! at first: its eigenvectors with large eigenvalues are the leads.

use crate::bed::draw::{Block, Dice, Tape};
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::script::Script;
use nalgebra::{DMatrix, SymmetricEigen};
use serde::{Deserialize, Serialize};

/// Orthonormal directions, as weights of numbers on the tape.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(super) struct Leads {
    /// The numbers they are made of.
    numbers: Vec<(Block, usize)>,
    /// A column for each lead.
    columns: Vec<Vec<f64>>,
    /// What the log knows of each, against what was known at first.
    known: Vec<f64>,
}

/// Members for each that is lived over and over in seeking.
const MEMBERS_TO_SEEK: usize = 20;
/// So many of the numbers that the log tells most of take part.
const MOST_NUMBERS: usize = 1000;
/// Numbers it tells less of do not [standard deviations squared].
const LEAST_TOLD: f64 = 1e-4;

impl Leads {
    /// Of these numbers, with a column of weights for each lead.
    #[cfg(test)]
    pub(super) fn made(numbers: Vec<(Block, usize)>, columns: Vec<Vec<f64>>) -> Self {
        let known = vec![1.0; columns.len()];
        Self {
            numbers,
            columns,
            known,
        }
    }

    pub(super) fn count(&self) -> usize {
        self.columns.len()
    }

    /// What the log knows of each lead, against what was known at first.
    pub(super) fn known(&self) -> &[f64] {
        &self.known
    }

    /// Where a tape stands along each lead.
    pub(super) fn along(&self, tape: &Tape) -> Vec<f64> {
        let at: Vec<f64> = self.numbers.iter().map(|n| number(tape, *n)).collect();
        let dot = |c: &Vec<f64>| c.iter().zip(&at).map(|(a, b)| a * b).sum();
        self.columns.iter().map(dot).collect()
    }

    /// What of some blocks lies along the leads, of those the log tells most of: no
    /// more of them than half as many as there are numbers.
    pub(super) fn across(&self, is_moved: impl Fn(Block) -> bool, tape: &Tape) -> Across {
        let is_in = |(_, (block, _)): &(usize, &(Block, usize))| is_moved(*block);
        let places: Vec<usize> = self
            .numbers
            .iter()
            .enumerate()
            .filter(is_in)
            .map(|x| x.0)
            .collect();
        let moved = tape.blocks().filter(|(block, _)| is_moved(*block));
        let most = moved.map(|(_, numbers)| numbers.len()).sum::<usize>() / 2;
        let mut basis: Vec<Vec<f64>> = Vec::new();
        for column in &self.columns {
            if basis.len() >= most {
                break;
            }
            let mut v: Vec<f64> = places.iter().map(|i| column[*i]).collect();
            // Twice: once leaves what rounding left.
            for _ in 0..2 {
                for b in &basis {
                    let along = dot(b, &v);
                    v.iter_mut().zip(b).for_each(|(x, b)| *x -= along * b);
                }
            }
            let length = dot(&v, &v).sqrt();
            if length > NO_LENGTH {
                basis.push(v.into_iter().map(|x| x / length).collect());
            }
        }
        let numbers = places.iter().map(|i| self.numbers[*i]).collect();
        Across { numbers, basis }
    }

    /// Moves a tape so far along each lead.
    pub(super) fn shift(&self, tape: &mut Tape, by: &[f64]) {
        for (i, (block, place)) in self.numbers.iter().enumerate() {
            let more: f64 = self.columns.iter().zip(by).map(|(c, b)| c[i] * b).sum();
            if let Some(number) = tape.get_mut(*block, *place) {
                *number += more as f32;
            }
        }
    }

    /// Seeks them from a few of the members, as they stand after so many events;
    /// gives how many bins it took.
    pub(super) fn sought(
        e: &Ensemble,
        script: &Script,
        events: usize,
        dice: &mut Dice,
    ) -> (Self, u32) {
        let t = &script.scene.tuning;
        let mut numbers: Vec<(Block, usize)> = Vec::new();
        let mut rows: Vec<Vec<f64>> = Vec::new();
        let mut probes = 0;
        // As many as there are members to spare: seeking is lives too.
        let most = (e.members.len() / MEMBERS_TO_SEEK).clamp(1, t.seek_from as usize);
        let from = if script.quick { 1 } else { most };
        for _ in 0..from {
            let place = (dice.even() * e.members.len() as f64) as usize;
            let probe = Probe::of(script, &e.members[place].tape, events);
            if numbers.is_empty() {
                numbers = probe.numbers();
            }
            let apart = e.hands().rows(numbers.len(), &|i| {
                probe.derivative(numbers[i], t.seek_step)
            });
            probes += numbers.len() as u32;
            let weight = 1.0 / (from as f64).sqrt();
            for mark in 0..probe.marks.len() {
                rows.push(apart.iter().map(|d| weight * d[mark]).collect());
            }
        }
        (
            Self::of_rows(numbers, &rows, e.members.len(), t.lead_from),
            probes,
        )
    }

    fn of_rows(
        numbers: Vec<(Block, usize)>,
        rows: &[Vec<f64>],
        members: usize,
        lead_from: f64,
    ) -> Self {
        let told = |i: usize| rows.iter().map(|r| r[i] * r[i]).sum::<f64>();
        let mut kept: Vec<(usize, f64)> = (0..numbers.len())
            .map(|i| (i, told(i)))
            .filter(|(_, told)| *told > LEAST_TOLD)
            .collect();
        kept.sort_by(|a, b| b.1.total_cmp(&a.1));
        kept.truncate(MOST_NUMBERS);
        if kept.is_empty() {
            return Self::default();
        }
        let matrix = DMatrix::from_fn(rows.len(), kept.len(), |r, c| rows[r][kept[c].0]);
        // By the smaller of the two: both have the same eigenvalues above zero.
        let by_rows = rows.len() < kept.len();
        let eigen = SymmetricEigen::new(match by_rows {
            true => &matrix * matrix.transpose(),
            false => matrix.transpose() * &matrix,
        });
        let mut order: Vec<usize> = (0..eigen.eigenvalues.len()).collect();
        order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
        let most = members * MOST_LEADS;
        let columns = order
            .iter()
            .take_while(|i| eigen.eigenvalues[**i] > lead_from)
            .take(most)
            .map(|i| match (by_rows, eigen.eigenvectors.column(*i)) {
                (true, v) => (matrix.transpose() * v / eigen.eigenvalues[*i].sqrt())
                    .data
                    .into(),
                (false, v) => v.iter().copied().collect(),
            })
            .collect();
        let columns: Vec<Vec<f64>> = columns;
        let known = order
            .iter()
            .take(columns.len())
            .map(|i| eigen.eigenvalues[*i]);
        Self {
            numbers: kept.iter().map(|(i, _)| numbers[*i]).collect(),
            known: known.collect(),
            columns,
        }
    }
}

/// Of a lead no more than this lies among some numbers: none.
const NO_LENGTH: f64 = 1e-3;

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Directions among some numbers that are left as they are while all else of
/// these numbers moves.
pub(super) struct Across {
    numbers: Vec<(Block, usize)>,
    basis: Vec<Vec<f64>>,
}

impl Across {
    /// Takes a tape back to where another stood along them.
    pub(super) fn hold(&self, tape: &mut Tape, was: &Tape) {
        let gone = |n: &(Block, usize)| number(tape, *n) - number(was, *n);
        let mut by: Vec<f64> = self.numbers.iter().map(gone).collect();
        let mut back = vec![0.0; by.len()];
        for b in &self.basis {
            let along = dot(b, &by);
            for ((to, x), b) in back.iter_mut().zip(&mut by).zip(b) {
                *to += along * b;
                *x -= along * b;
            }
        }
        for ((block, place), back) in self.numbers.iter().zip(back) {
            if let Some(number) = tape.get_mut(*block, *place) {
                *number -= back as f32;
            }
        }
    }
}

/// Leads for each member, at most.
const MOST_LEADS: usize = 1;

fn number(tape: &Tape, (block, place): (Block, usize)) -> f64 {
    tape.get(block, place).map_or(0.0, f64::from)
}

/// One bin, its way through the log kept, so that it can be lived over from
/// where a number first acts.
struct Probe<'a> {
    script: &'a Script,
    events: usize,
    /// The bin before each event, and where its marks begin.
    way: Vec<(Possible, usize)>,
    marks: Vec<f64>,
}

impl<'a> Probe<'a> {
    fn of(script: &'a Script, tape: &Tape, events: usize) -> Self {
        let mut probe = Self {
            script,
            events,
            way: Vec::new(),
            marks: Vec::new(),
        };
        let mut m = script.fill(tape.clone());
        for k in 0..events {
            probe.way.push((m.clone(), probe.marks.len()));
            probe.come_to(&mut m, k);
            script.marks(&m, &script.events[k], &mut probe.marks);
            script.meet(&mut m, &script.events[k]);
        }
        probe.way.push((m, probe.marks.len()));
        probe
    }

    /// Carries a bin to just before an event.
    fn come_to(&self, m: &mut Possible, k: usize) {
        let from = self.script.time_after(k);
        self.script.carry(m, from, self.script.events[k].at);
    }

    /// The numbers that can be sought along: all but what nobody wrote down.
    fn numbers(&self) -> Vec<(Block, usize)> {
        let Some((last, _)) = self.way.last() else {
            return Vec::new();
        };
        last.tape
            .blocks()
            .filter(|(block, _)| !matches!(block, Block::Unlogged(_) | Block::Planned(_)))
            .flat_map(|(block, numbers)| (0..numbers.len()).map(move |i| (block, i)))
            .collect()
    }

    /// The event before which a block first acts.
    fn first(&self, block: Block) -> usize {
        let events = &self.script.events[..self.events];
        match block {
            Block::Entry(id) => events.iter().position(|e| e.id.0 == id).unwrap_or(0),
            Block::Week(week) => {
                let day = 7.0 * f64::from(week);
                events.partition_point(|e| self.script.scene.day(e.at) < day)
            }
            _ => 0,
        }
    }

    /// How its marks move with one number.
    fn derivative(&self, (block, place): (Block, usize), step: f64) -> Vec<f64> {
        let whole = &self.way[self.events].0.tape;
        let at = number(whole, (block, place));
        // Toward the middle, where more possible bins are.
        let step = if at > 0.0 { -step } else { step };
        let mut tape = whole.clone();
        if let Some(number) = tape.get_mut(block, place) {
            *number += step as f32;
        }
        // What lasts acts from the filling on.
        let first = if block.lasts() { 0 } else { self.first(block) };
        let (before, begin) = &self.way[first.min(self.events)];
        let mut m = if block.lasts() {
            self.script.fill(tape)
        } else {
            Possible {
                tape,
                ..before.clone()
            }
        };
        let mut marks = Vec::with_capacity(self.marks.len() - begin);
        for k in first..self.events {
            self.come_to(&mut m, k);
            self.script.marks(&m, &self.script.events[k], &mut marks);
            self.script.meet(&mut m, &self.script.events[k]);
        }
        let mut apart = vec![0.0; self.marks.len()];
        for ((to, is), was) in apart[*begin..]
            .iter_mut()
            .zip(&marks)
            .zip(&self.marks[*begin..])
        {
            *to = (is - was) / step;
        }
        apart
    }
}
