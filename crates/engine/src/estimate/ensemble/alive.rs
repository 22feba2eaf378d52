//! Worms seen alive live in every possible bin.
//!
//! Whether a model's deaths have gone too far is not for a look to punish: were
//! the bins in which all are dead only weighed away, worms seen on the lid would
//! say that what drove them there is mild. So a bin with fewer is given those of
//! one that has them, and only then are all weighed by what was seen.

use super::Ensemble;
use crate::estimate::scene::Scene;
use crate::living::worms::Worms;

impl Ensemble {
    /// Lets at least so many worms live in every member.
    pub(crate) fn seen_alive(&mut self, scene: &Scene, least: f64) {
        self.hands.rest();
        let has = |w: &Worms| w.number() >= least;
        let donors: Vec<(Worms, f64)> = self
            .members
            .iter()
            .zip(&self.weights)
            .filter(|(m, _)| has(&m.life.worms))
            .map(|(m, w)| (m.life.worms, *w))
            .collect();
        let without = self.members.len() - donors.len();
        if without == 0 {
            return;
        }
        let all: f64 = donors.iter().map(|d| d.1).sum();
        let (mut next, mut passed, mut given) = (0, 0.0, 0.0);
        for m in &mut self.members {
            if has(&m.life.worms) {
                continue;
            }
            given += all / without as f64;
            while next + 1 < donors.len() && passed + donors[next].1 < given {
                passed += donors[next].1;
                next += 1;
            }
            let worms = donors.get(next).map(|d| d.0).unwrap_or_else(|| {
                // None are left anywhere: between the fewest that can be seen
                // and all there ever were.
                let ever =
                    m.life.books.worms_died + m.life.books.worms_left + m.life.worms.number();
                let count = (least * ever.max(least)).sqrt();
                Worms::stocked(scene.species, None, Some(count), &m.vital)
            });
            let more = worms.grams() - m.life.worms.grams();
            m.life.worms = worms;
            let p = &scene.priors;
            m.life
                .unlogged(more / 1000.0 * p.constants.worm_dry, 0.0, 0.0, p);
        }
    }
}
