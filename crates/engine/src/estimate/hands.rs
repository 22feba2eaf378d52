//! Who does the work on the members. The engine itself works through them one
//! by one; a caller with more cores may lend its own hands. Every member has
//! its own tape, so the answer is the same to the bit either way.

use crate::estimate::ensemble::Possible;
use crate::estimate::track::Track;
use crate::living::signs::Signs;
use crate::quantity::Band;
use std::fmt::Debug;

/// Works through all members.
pub trait Hands: Debug + Sync {
    /// Called before each part of the work. Hands whose owner no longer wants
    /// the answer may unwind from here; nothing of the work is kept then.
    fn rest(&self) {}

    /// Does `work` on every member.
    fn each(&self, members: &mut [Possible], work: &(dyn Fn(&mut Possible) + Sync));

    /// Makes so many members, by their place.
    fn make(&self, count: usize, make: &(dyn Fn(usize) -> Possible + Sync)) -> Vec<Possible>;

    /// Reads signs of every member, in their order.
    fn signs(&self, members: &[Possible], read: &(dyn Fn(&Possible) -> Signs + Sync))
    -> Vec<Signs>;

    /// Lives every member on, and gives its signs of each day; members in their
    /// order.
    fn days(
        &self,
        members: &mut [Possible],
        live: &(dyn Fn(&mut Possible) -> Vec<Signs> + Sync),
    ) -> Vec<Vec<Signs>>;

    /// Works out the band of every track, in their order.
    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band>;

    /// Works out so many rows of numbers, in their order.
    fn rows(&self, count: usize, row: &(dyn Fn(usize) -> Vec<f64> + Sync)) -> Vec<Vec<f64>>;
}

/// One after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnePair;

/// The hands used when nobody lends any.
pub static ONE_PAIR: OnePair = OnePair;

impl Hands for OnePair {
    fn each(&self, members: &mut [Possible], work: &(dyn Fn(&mut Possible) + Sync)) {
        members.iter_mut().for_each(work);
    }

    fn make(&self, count: usize, make: &(dyn Fn(usize) -> Possible + Sync)) -> Vec<Possible> {
        (0..count).map(make).collect()
    }

    fn signs(
        &self,
        members: &[Possible],
        read: &(dyn Fn(&Possible) -> Signs + Sync),
    ) -> Vec<Signs> {
        members.iter().map(read).collect()
    }

    fn days(
        &self,
        members: &mut [Possible],
        live: &(dyn Fn(&mut Possible) -> Vec<Signs> + Sync),
    ) -> Vec<Vec<Signs>> {
        members.iter_mut().map(live).collect()
    }

    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band> {
        Track::ALL.iter().map(|t| band(*t)).collect()
    }

    fn rows(&self, count: usize, row: &(dyn Fn(usize) -> Vec<f64> + Sync)) -> Vec<Vec<f64>> {
        (0..count).map(row).collect()
    }
}
