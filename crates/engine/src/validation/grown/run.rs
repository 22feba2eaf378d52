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

/// Heading of the table of predictions.
pub const HEADING: &str = "paper,standing,curve,day,observed_mg,median_mg,low_mg,high_mg";

impl Grown {
    /// Its row in the table of predictions, of a paper of that standing.
    #[must_use]
    pub fn row(&self, standing: Standing) -> String {
        let Band { median, low, high } = self.band;
        format!(
            "{},{standing:?},{},{:.1},{:.1},{median:.1},{low:.1},{high:.1}",
            self.paper, self.curve, self.day, self.observed
        )
    }
}

impl Judged {
    /// In words, for a line of a listing.
    #[must_use]
    pub fn said(&self) -> String {
        format!(
            "{} masses, {:.0} % inside an interval that does not reach nought, {:.0} % reach it, median error {:.2}-fold (bias {:.2}), {:.1}-fold wide at eight weeks ({:.0} % at most ninefold)",
            self.masses,
            100.0 * self.inside,
            100.0 * self.nought,
            self.fold,
            self.bias,
            self.width,
            100.0 * self.narrow
        )
    }
}

impl How {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Fittable => "fittable",
            Self::Aside => "aside",
        }
    }

    /// Which is called so.
    #[must_use]
    pub fn parse(name: &str) -> Option<Self> {
        [Self::Fittable, Self::Aside]
            .into_iter()
            .find(|h| h.name() == name)
    }

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

#[cfg(test)]
mod tests {
    use super::super::load;
    use super::*;

    fn tables() -> Tables {
        Tables::load().unwrap()
    }

    /// A curve of each of some papers, as the laws were fitted to them.
    #[test]
    fn worms_grow_in_manure_and_sludge_as_was_weighed() {
        let sample = [
            "gr1136", "gr1144", "gr1317", "gr0099", "gr0105", "gr1476", "gr1477", "gr0798",
            "gr0217", "gr0219", "gr1154", "gr0619",
        ];
        let mut all = Vec::new();
        for mut p in load().unwrap() {
            p.curves.retain(|c| sample.contains(&c.key.as_str()));
            all.extend(run(&tables(), How::Fittable, &p).unwrap());
        }
        let j = judged(&all.iter().collect::<Vec<_>>()).unwrap();
        assert!(j.masses > 100, "{j:?}");
        assert!(j.inside >= 0.74 && j.nought < 0.1, "{j:?}");
        assert!(j.fold < 1.6 && j.width < MOST_FOLD, "{j:?}");
    }

    /// What is set aside is run by nothing but the opening.
    #[test]
    fn no_curve_set_aside_is_run_where_laws_are_fitted() {
        for p in load().unwrap() {
            let (fits, opens) = (
                How::Fittable.holds(p.standing()),
                How::Aside.holds(p.standing()),
            );
            assert!(fits != opens, "{}", p.key);
            if opens {
                assert_eq!(run(&tables(), How::Fittable, &p).unwrap(), Vec::new());
            }
        }
        assert_eq!(How::parse("aside"), Some(How::Aside));
        assert_eq!(How::parse("all"), None);
    }

    /// Every substrate is taken for materials that there are, in shares of one.
    #[test]
    fn every_substrate_is_something_of_ours() {
        let all = substrates().unwrap();
        for c in load().unwrap().iter().flat_map(|p| &p.curves) {
            let of = all.get(&c.substrate).unwrap();
            let sum: f64 = of.iter().map(|s| s.share).sum();
            assert!((sum - 1.0).abs() < 0.011, "{}", c.substrate);
            for s in of {
                assert!(tables().material(&s.material).is_ok(), "{}", s.material);
            }
        }
    }
}
