//! All cores of the machine for the engine, which has no threads of its own.
//! Every member has its own tape, so the answer does not depend on how
//! the work was shared.

use crate::wanted;
use engine::estimate::track::Track;
use engine::estimate::{Hands, Possible};
use engine::living::signs::Signs;
use engine::quantity::Band;
use rayon::prelude::*;

/// Works on all cores.
#[derive(Debug, Clone, Copy)]
pub struct AllCores;

/// All cores.
pub static ALL_CORES: AllCores = AllCores;

/// Members a core takes at a time at least: fewer are not worth handing over.
const AT_LEAST: usize = 16;

impl Hands for AllCores {
    fn rest(&self) {
        wanted::stop_unless_wanted();
    }

    fn each(&self, members: &mut [Possible], work: &(dyn Fn(&mut Possible) + Sync)) {
        members.par_iter_mut().with_min_len(AT_LEAST).for_each(work);
    }

    fn make(&self, count: usize, make: &(dyn Fn(usize) -> Possible + Sync)) -> Vec<Possible> {
        (0..count).into_par_iter().map(make).collect()
    }

    fn rows(&self, count: usize, row: &(dyn Fn(usize) -> Vec<f64> + Sync)) -> Vec<Vec<f64>> {
        (0..count).into_par_iter().map(row).collect()
    }

    fn signs(
        &self,
        members: &[Possible],
        read: &(dyn Fn(&Possible) -> Signs + Sync),
    ) -> Vec<Signs> {
        members
            .par_iter()
            .with_min_len(AT_LEAST)
            .map(read)
            .collect()
    }

    fn days(
        &self,
        members: &mut [Possible],
        live: &(dyn Fn(&mut Possible) -> Vec<Signs> + Sync),
    ) -> Vec<Vec<Signs>> {
        members
            .par_iter_mut()
            .with_min_len(AT_LEAST)
            .map(live)
            .collect()
    }

    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band> {
        Track::ALL.par_iter().map(|t| band(*t)).collect()
    }
}
