//! The courses of a bin up to the moment it is asked about, worked out when somebody
//! wants to see them: bands of thousands of moments take as long as all else that a
//! short answer takes.

use crate::estimate::ensemble::Ensemble;
use crate::estimate::hands::Hands;
use crate::estimate::track::Moment;
use crate::estimate::ways::Ways;
use crate::quantity::Band;
use std::sync::OnceLock;

/// The way of the members to now.
#[derive(Debug)]
pub(super) struct Past {
    /// Not known where nobody followed it.
    ways: Option<Ways>,
    weights: Vec<f64>,
    hands: &'static dyn Hands,
    /// When it begins [s since 1970-01-01 00:00 UTC].
    start: i64,
    /// Its end: now, and the bed's pH then.
    now: (Moment, Band),
    path: OnceLock<Vec<(i64, Band)>>,
    course: OnceLock<Vec<Moment>>,
}

impl Past {
    pub(super) fn of(ways: Option<Ways>, e: &Ensemble, start: i64, now: (Moment, Band)) -> Self {
        Self {
            ways,
            weights: e.weights.clone(),
            hands: e.hands(),
            start,
            now,
            path: OnceLock::new(),
            course: OnceLock::new(),
        }
    }

    pub(super) fn path(&self) -> &[(i64, Band)] {
        self.path.get_or_init(|| {
            let path = |w: &Ways| w.path(self.start, &self.weights);
            let mut path = self.ways.as_ref().map_or_else(Vec::new, path);
            path.retain(|p| p.0 < self.now.0.at);
            path.push((self.now.0.at, self.now.1));
            path
        })
    }

    pub(super) fn course(&self) -> &[Moment] {
        self.course.get_or_init(|| {
            let course = |w: &Ways| w.course(self.start, &self.weights, self.hands);
            let mut course = self.ways.as_ref().map_or_else(Vec::new, course);
            course.retain(|m| m.at < self.now.0.at);
            course.push(self.now.0.clone());
            course
        })
    }
}
