//! The growth curves predicted, paper by paper, and how the predictions are
//! judged (`docs/validation/set-aside.md`).

use super::super::ValidationError;
use super::super::predicted::Kind;
use super::super::trial::{Look, MEMBERS, SEED};
use super::super::trust::added;
use super::setup::{WAYS, ways};
use super::{Curve, Paper, Standing, substrates};
use crate::quantity::Band;
use crate::table::Tables;

/// Masses of the first days are what was put in, and are not asked for [d].
const GIVEN_DAYS: f64 = 5.0;
/// Day of the width that is judged: eight weeks [d].
const JUDGED_DAYS: f64 = 56.0;
/// Most by which the ends of an interval may be apart then [-].
const MOST_FOLD: f64 = 9.0;

/// How far a mass grown by a day is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Grown {
    /// Key of the paper.
    pub paper: String,
    /// Key of the curve.
    pub curve: String,
    /// Day since the first point [d].
    pub day: f64,
    /// Mass of a worm as measured [mg].
    pub observed: f64,
    /// As predicted, with the error worm mass is shown with [mg].
    pub band: Band,
    /// The same without that error [mg].
    pub bare: Band,
}

impl Grown {
    /// Whether the measured mass lies in the interval.
    #[must_use]
    pub fn inside(&self) -> bool {
        (self.band.low..=self.band.high).contains(&self.observed)
    }

    /// Whether the interval says something: it does not reach nought.
    #[must_use]
    pub fn says_something(&self) -> bool {
        self.band.low > 0.0
    }

    /// Median over measured, or measured over median: the larger.
    #[must_use]
    pub fn fold(&self) -> f64 {
        (self.band.median.max(1e-9) / self.observed)
            .ln()
            .abs()
            .exp()
    }

    /// Upper end over lower.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.band.high / self.band.low.max(1e-9)
    }
}

/// What is asked of the curves: which of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Those that laws may be tuned on.
    Fittable,
    /// Those set aside: opened once, when the laws stand.
    Aside,
}

impl How {
    /// Whether curves of that standing are among them.
    #[must_use]
    pub const fn holds(self, standing: Standing) -> bool {
        matches!(
            (self, standing),
            (Self::Fittable, Standing::Fittable)
                | (Self::Aside, Standing::Aside | Standing::AsideHeldInPart)
        )
    }
}

/// The predictions of one paper's curves, when they are among those asked for;
/// nothing else is run.
///
/// # Errors
/// [`ValidationError`] when a number is missing or a bed cannot be made.
pub fn run(tables: &Tables, how: How, paper: &Paper) -> Result<Vec<Grown>, ValidationError> {
    let mut all = Vec::new();
    if !how.holds(paper.standing()) {
        return Ok(all);
    }
    for curve in &paper.curves {
        all.extend(of_curve(tables, paper, curve)?);
    }
    Ok(all)
}

/// Mass of a worm in each possible bin by day [mg]; nought where none lives.
fn of_curve(tables: &Tables, paper: &Paper, curve: &Curve) -> Result<Vec<Grown>, ValidationError> {
    let substrates = substrates()?;
    let none = Vec::new();
    let of = substrates.get(&curve.substrate).unwrap_or(&none);
    let error = tables.value("trust", Kind::WormMass.name(), "error")?.ln();
    let ways = ways(curve, of)?;
    let members = MEMBERS / ways.len();
    let mut runs = Vec::new();
    for (way, trial) in ways.iter().enumerate() {
        // Each way draws bins of its own.
        let ran = trial.run_some(tables, members, SEED + (way % WAYS) as u64)?;
        runs.push((ran, trial.cohort_day));
    }
    let first = curve.points.first().map_or(0.0, |p| p.0);
    let mean = |l: &Look| 1e6 * l.signs.worms_kg / l.signs.worms.max(1e-9);
    let asked = curve.points.iter().filter(|p| p.0 - first >= GIVEN_DAYS);
    Ok(asked
        .filter_map(|&(day, observed)| {
            let all = runs
                .iter()
                .flat_map(|(ran, put_in)| ran.at(put_in + day - first).iter().map(mean));
            let bare = Band::of(&all.collect::<Vec<f64>>())?;
            Some(Grown {
                paper: paper.key.clone(),
                curve: curve.key.clone(),
                day: day - first,
                observed,
                band: added(bare, error, true),
                bare,
            })
        })
        .collect())
}

/// Predictions held against what was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// Masses.
    pub masses: usize,
    /// Share of them inside an interval that does not reach nought [0 to 1].
    pub inside: f64,
    /// Share of the intervals that reach nought [0 to 1].
    pub nought: f64,
    /// Middle of the errors of the medians, as a factor [-].
    pub fold: f64,
    /// Middle of the medians over the measured, as a factor [-].
    pub bias: f64,
    /// Middle of the widths at eight weeks, upper end over lower [-].
    pub width: f64,
    /// Share of the intervals at eight weeks that are at most ninefold wide
    /// [0 to 1].
    pub narrow: f64,
}

/// Judges predictions; nothing when there are none.
#[must_use]
pub fn judged(of: &[&Grown]) -> Option<Judged> {
    if of.is_empty() {
        return None;
    }
    let share = |n: usize, of: usize| n as f64 / of.max(1) as f64;
    let at_eight: Vec<f64> = of
        .iter()
        .filter(|g| (g.day - JUDGED_DAYS).abs() <= GIVEN_DAYS)
        .map(|g| g.width())
        .collect();
    let narrow = at_eight.iter().filter(|w| **w <= MOST_FOLD).count();
    let held = |g: &&&Grown| g.inside() && g.says_something();
    Some(Judged {
        masses: of.len(),
        inside: share(of.iter().filter(held).count(), of.len()),
        nought: share(of.iter().filter(|g| !g.says_something()).count(), of.len()),
        fold: middle(of.iter().map(|g| g.fold()).collect()),
        bias: middle(of.iter().map(|g| g.band.median / g.observed).collect()),
        width: middle(at_eight.clone()),
        narrow: share(narrow, at_eight.len()),
    })
}

fn middle(values: Vec<f64>) -> f64 {
    Band::of(&values).map_or(f64::NAN, |b| b.median)
}
