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
    /// Those whose components `keep` likes, given as bits.
    pub(super) fn which(constants: &Constants, keep: impl Fn(u32) -> bool) -> Self {
        let mut all = Self {
            place: [0; MAX_SPECIES],
            count: 0,
        };
        for (i, line) in constants.lines.iter().enumerate() {
            all.place[all.count] = i as u8;
            all.count += usize::from(keep(line.mask));
        }
        all
    }

    pub(super) fn as_slice(&self) -> &[u8] {
        &self.place[..self.count]
    }
}

/// Components that do nothing but be dissolved, one bit each: no other species
/// and no solid of the problem holds them.
pub(super) fn idle(constants: &Constants, problem: &Problem, species: &Places) -> u32 {
    let (mut once, mut twice) = (0u32, 1 << H);
    for &s in species.as_slice() {
        let mask = constants.lines[usize::from(s)].mask;
        twice |= once & mask;
        once |= mask;
    }
    for (solid, _) in problem.solids.iter() {
        for (c, n) in constants.solids[solid as usize].parts.iter().enumerate() {
            twice |= u32::from(*n != 0.0) << c;
        }
    }
    once & !twice
}
