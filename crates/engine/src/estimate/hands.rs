//! Who does the work on the members. The engine itself works through them one
//! by one; a caller with more cores may lend its own hands. Every member has
//! its own generator, so the answer is the same to the bit either way.

use crate::estimate::ensemble::Possible;
use crate::estimate::track::Track;
use crate::living::signs::Signs;
use crate::quantity::Band;
use std::fmt::Debug;

/// The generator each member has.
pub type Generator = rand_chacha::ChaCha8Rng;

/// Works through all members.
pub trait Hands: Debug + Sync {
    /// Called before each part of the work. Hands whose owner no longer wants
    /// the answer may unwind from here; nothing of the work is kept then.
    fn rest(&self) {}

    /// Does `work` on every member with its generator.
    fn each(
        &self,
        members: &mut [Possible],
        generators: &mut [Generator],
        work: &(dyn Fn(&mut Possible, &mut Generator) + Sync),
    );

    /// Makes a member for each generator, by its place.
    fn make(
        &self,
        generators: &mut [Generator],
        make: &(dyn Fn(usize, &mut Generator) -> Possible + Sync),
    ) -> Vec<Possible>;

    /// Reads signs of every member, in their order.
    fn signs(&self, members: &[Possible], read: &(dyn Fn(&Possible) -> Signs + Sync))
    -> Vec<Signs>;

    /// Works out the band of every track, in their order.
    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band>;
}

/// One after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OnePair;

/// The hands used when nobody lends any.
pub static ONE_PAIR: OnePair = OnePair;

impl Hands for OnePair {
    fn each(
        &self,
        members: &mut [Possible],
        generators: &mut [Generator],
        work: &(dyn Fn(&mut Possible, &mut Generator) + Sync),
    ) {
        for (m, g) in members.iter_mut().zip(generators) {
            work(m, g);
        }
    }

    fn make(
        &self,
        generators: &mut [Generator],
        make: &(dyn Fn(usize, &mut Generator) -> Possible + Sync),
    ) -> Vec<Possible> {
        let all = generators.iter_mut().enumerate();
        all.map(|(place, g)| make(place, g)).collect()
    }

    fn signs(
        &self,
        members: &[Possible],
        read: &(dyn Fn(&Possible) -> Signs + Sync),
    ) -> Vec<Signs> {
        members.iter().map(read).collect()
    }

    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band> {
        Track::ALL.iter().map(|t| band(*t)).collect()
    }
}
