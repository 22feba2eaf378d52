//! What comes when nothing is done: the ensemble carried on from now.

use crate::estimate::filter::Estimate;
use crate::quantity::Band;

impl Estimate {
    /// pH of the bed as a whole on each day from now to `days` ahead when
    /// nothing more is done: (days from now, band). Lime already given goes on
    /// acting, and the bed wanders as it did in the estimate, so the band
    /// widens. The estimate itself is not changed.
    #[must_use]
    pub fn outlook(&self, days: u32) -> Vec<(i64, Band)> {
        let mut ahead = self.ensemble.clone();
        let mut path = vec![(0, ahead.band(|m| m.bed.ph()))];
        for day in 1..=i64::from(days) {
            let from = self.scene.day(self.now) + (day - 1) as f64;
            ahead.carry(&self.scene, from, 1.0);
            path.push((day, ahead.band(|m| m.bed.ph())));
        }
        path
    }
}
