//! Which species can exist in a water, and which of them react.

use super::problem::Problem;
use crate::chemistry::constants::Constants;
use crate::chemistry::species::{H, MAX_SPECIES};

/// Places of the species that can exist, without a heap.
#[derive(Clone, Copy)]
pub(super) struct Places {
    place: [u8; MAX_SPECIES],
    count: usize,
}

impl Places {
    pub(super) fn which(constants: &Constants, keep: impl Fn(&[(u8, i8)]) -> bool) -> Self {
        let mut all = Self {
            place: [0; MAX_SPECIES],
            count: 0,
        };
        for (i, line) in constants.lines.iter().enumerate() {
            if keep(line.used()) {
                all.place[all.count] = i as u8;
                all.count += 1;
            }
        }
        all
    }

    /// Those of these that `keep` likes.
    pub(super) fn only(&self, constants: &Constants, keep: impl Fn(&[(u8, i8)]) -> bool) -> Self {
        let mut some = Self {
            place: [0; MAX_SPECIES],
            count: 0,
        };
        for &s in self.as_slice() {
            if keep(constants.lines[usize::from(s)].used()) {
                some.place[some.count] = s;
                some.count += 1;
            }
        }
        some
    }

    pub(super) fn as_slice(&self) -> &[u8] {
        &self.place[..self.count]
    }
}

/// Whether component `c` does nothing but be dissolved: no other species and no
/// solid of the problem holds it.
pub(super) fn idle(constants: &Constants, problem: &Problem, species: &Places, c: u8) -> bool {
    let holds = |s: &&u8| {
        let used = constants.lines[usize::from(**s)].used();
        used.iter().any(|(part, _)| *part == c)
    };
    usize::from(c) != H
        && species.as_slice().iter().filter(holds).count() == 1
        && problem
            .solids
            .iter()
            .all(|(solid, _)| constants.solids[solid as usize].parts[usize::from(c)] == 0.0)
}
