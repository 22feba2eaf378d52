//! Published series of worms and our curves through them, to be drawn: the
//! same points and the same laws as the checks, and which points they miss.

use super::ValidationError;
use super::growth::{
    DENSITY_WITHIN, Density, MOISTURE_WITHIN, MOISTURE_WITHIN_OTHERS, SCATTER, STUDIES, densities,
};
use super::population::{Of, TABLE, WEEK_STEPS, cocoons, grams, grown, number, premature};
use super::worms::{Point, series};
use crate::living::population::{Point as Week, course};
use crate::living::species::{Species, Vital};
use crate::living::tolerance;
use crate::table::Tables;

/// One published point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Week, day, number in the pot or moisture.
    pub at: f64,
    /// Published value.
    pub value: f64,
    /// Lowest and highest it may be, as stated with it or as it was read.
    pub range: (f64, f64),
    /// What our curve gives there.
    pub ours: f64,
    /// Whether it is held against our curve; what was put in at the start, and
    /// counts stated without an error, are not.
    pub judged: bool,
    /// Whether it is, and our curve lies farther off than is allowed.
    pub missed: bool,
}

/// One published series and our curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Stable name.
    pub name: &'static str,
    /// Temperature, where a study has several \[°C\].
    pub celsius: Option<f64>,
    /// The points.
    pub points: Vec<Seen>,
    /// Our curve: across, up.
    pub ours: Vec<(f64, f64)>,
    /// The course of the same equations computed apart from this program.
    pub reference: Vec<(f64, f64)>,
}

impl Series {
    /// Points held against our curve.
    #[must_use]
    pub fn judged(&self) -> usize {
        self.points.iter().filter(|p| p.judged).count()
    }

    /// Points our curve misses.
    #[must_use]
    pub fn missed(&self) -> usize {
        self.points.iter().filter(|p| p.missed).count()
    }
}

/// Everything there is to draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    /// Boxes counted over a year, by week. A point is missed beyond its range.
    pub population: Vec<Series>,
    /// Mass of a worm by day and temperature \[mg\]. A point is missed beyond
    /// times or over [`Curves::SCATTER`].
    pub growth: Vec<Series>,
    /// Mass of a worm by number in the pot \[mg\]. A point is missed when its
    /// logarithm is off by more than the error allowed the series.
    pub density: Vec<Series>,
    /// Mass by moisture against the best of the series. A point is missed when
    /// off by more than the error allowed the series.
    pub moisture: Vec<Series>,
}

impl Curves {
    /// Stated scatter of studies around the growth curve, as a factor \[-\].
    pub const SCATTER: f64 = SCATTER;
    /// Error allowed by density \[of ln\].
    pub const DENSITY_WITHIN: f64 = DENSITY_WITHIN;
    /// Error allowed by moisture in the usual species \[of best\].
    pub const MOISTURE_WITHIN: f64 = MOISTURE_WITHIN;
    /// Error allowed by moisture in other species \[of best\].
    pub const MOISTURE_WITHIN_OTHERS: f64 = MOISTURE_WITHIN_OTHERS;
}

/// Works out every series and curve.
///
/// # Errors
/// [`ValidationError`] when a number is missing.
pub fn curves(tables: &Tables) -> Result<Curves, ValidationError> {
    let v = Vital::of(tables, Species::EiseniaFetida)?;
    Ok(Curves {
        population: population(tables, &v)?,
        growth: growth(tables, &v)?,
        density: densities(tables, &v)?
            .iter()
            .map(|d| density(&v, d))
            .collect(),
        moisture: moisture(tables, &v)?,
    })
}

/// Points held against `ours`; `off` tells whether one is missed, or that it is
/// not judged.
fn seen(
    points: &[Point],
    ours: impl Fn(f64) -> f64,
    off: impl Fn(f64, &Point) -> Option<bool>,
) -> Vec<Seen> {
    points
        .iter()
        .map(|p| Seen {
            at: p.at,
            value: p.value,
            range: (p.value - p.within, p.value + p.within),
            ours: ours(p.at),
            judged: off(ours(p.at), p).is_some(),
            missed: off(ours(p.at), p).unwrap_or(false),
        })
        .collect()
}

/// `steps` + 1 points of a curve.
fn drawn(low: f64, high: f64, steps: u32, of: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    (0..=steps)
        .map(|i| low + (high - low) * f64::from(i) / f64::from(steps))
        .map(|x| (x, of(x)))
        .collect()
}

/// Series of the year, with what of a box each counts and the name of its
/// reference course.
const YEAR: [(&str, Of, Option<&str>); 6] = [
    ("fetida_total", number, Some("course_number")),
    ("fetida_stressed_total", number, None),
    ("fetida_premature", premature, None),
    ("fetida_mature", grown, Some("course_adults")),
    ("fetida_cocoons", cocoons, Some("course_cocoons")),
    ("fetida_biomass", grams, Some("course_biomass")),
];

fn population(tables: &Tables, v: &Vital) -> Result<Vec<Series>, ValidationError> {
    let own = Vital::of(tables, Species::DendrobaenaVeneta)?;
    let fetida = course(v, 10.0, 8.0, 364.0, WEEK_STEPS);
    let veneta = course(&own, 10.0, 8.0, 364.0, WEEK_STEPS);
    let mut all = Vec::new();
    for (name, of, reference) in YEAR {
        all.push(of_year(tables, &fetida, (name, of, reference))?);
    }
    for (name, of) in [
        ("veneta_total", number as Of),
        ("veneta_mature", grown),
        ("veneta_cocoons", cocoons),
    ] {
        all.push(of_year(tables, &veneta, (name, of, None))?);
    }
    Ok(all)
}

fn of_year(
    tables: &Tables,
    weeks: &[Week],
    (name, of, reference): (&'static str, Of, Option<&str>),
) -> Result<Series, ValidationError> {
    let at = |week: f64| of(&weeks[(week.round().max(0.0) as usize).min(weeks.len() - 1)]);
    let missed = |ours: f64, p: &Point| {
        let counted = p.at > 0.0 && p.within > 0.0;
        counted.then(|| (ours - p.value).abs() > p.within)
    };
    let points = series(tables, TABLE, name)?;
    let reference = match reference {
        Some(name) => series(tables, TABLE, name)?,
        None => Vec::new(),
    };
    Ok(Series {
        name,
        celsius: None,
        points: seen(&points, at, missed),
        ours: weeks.iter().map(|w| (w.day / 7.0, of(w))).collect(),
        reference: reference.iter().map(|p| (p.at, p.value)).collect(),
    })
}

fn growth(tables: &Tables, v: &Vital) -> Result<Vec<Series>, ValidationError> {
    let mut all = Vec::new();
    for study in &STUDIES {
        for &t in study.celsius {
            let points = study.points(tables, t)?;
            let first = points[0];
            let last = points.iter().map(|p| p.at).fold(first.at, f64::max);
            let ours = |day: f64| study.mass_mg(v, t, first.value, day);
            let missed = |ours: f64, p: &Point| {
                let fine = (p.value / SCATTER..=p.value * SCATTER).contains(&ours);
                (p.at > first.at).then_some(!fine)
            };
            all.push(Series {
                name: study.who,
                celsius: Some(t),
                points: seen(&points, ours, missed),
                ours: drawn(0.0, last, 60, ours),
                reference: Vec::new(),
            });
        }
    }
    Ok(all)
}

fn density(v: &Vital, d: &Density) -> Series {
    let ours = |number: f64| d.mass_mg(v, number);
    let missed = |ours: f64, p: &Point| Some((ours / p.value).ln().abs() > DENSITY_WITHIN);
    Series {
        name: d.name,
        celsius: None,
        points: seen(&d.points, ours, missed),
        ours: drawn(0.0, 16f64.ln(), 60, |ln| ln)
            .into_iter()
            .map(|(ln, _)| (ln.exp(), ours(ln.exp())))
            .collect(),
        reference: Vec::new(),
    }
}

fn moisture(tables: &Tables, v: &Vital) -> Result<Vec<Series>, ValidationError> {
    let mut all = Vec::new();
    for name in [
        "reinecke_venter_1",
        "reinecke_venter_2",
        "reinecke_venter_3",
        "dominguez_edwards",
        "gunadi_cattle",
        "gunadi_pig",
    ] {
        all.push(by_moisture(
            tables,
            v,
            (name, name != "dominguez_edwards"),
            MOISTURE_WITHIN,
        )?);
    }
    for (name, species) in [
        ("veneta", Species::DendrobaenaVeneta),
        ("eudrilus", Species::EudrilusEugeniae),
        ("perionyx", Species::PerionyxExcavatus),
    ] {
        let own = Vital::of(tables, species)?;
        all.push(by_moisture(
            tables,
            &own,
            (name, true),
            MOISTURE_WITHIN_OTHERS,
        )?);
    }
    Ok(all)
}

/// The curve of a species against a series; `scaled` to its own best pot, as
/// the check does it.
fn by_moisture(
    tables: &Tables,
    v: &Vital,
    (name, scaled): (&'static str, bool),
    within: f64,
) -> Result<Series, ValidationError> {
    let points = series(tables, "series_relative", name)?;
    let best = points
        .iter()
        .map(|p| tolerance::moisture(v, p.at))
        .fold(0.0, f64::max);
    let best = if scaled { best } else { 1.0 };
    let ours = |percent: f64| tolerance::moisture(v, percent) / best;
    let missed = |ours: f64, p: &Point| Some((ours - p.value).abs() > within);
    Ok(Series {
        name,
        celsius: None,
        points: seen(&points, ours, missed),
        ours: drawn(40.0, 95.0, 110, ours),
        reference: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Curves {
        curves(&Tables::load().unwrap()).unwrap()
    }

    #[test]
    fn curves_go_through_what_the_checks_compare() {
        let all = all();
        assert_eq!(all.population.len(), 9);
        assert_eq!(all.growth.len(), 13);
        assert_eq!((all.density.len(), all.moisture.len()), (4, 9));
        for s in all.population.iter().chain(&all.growth) {
            for p in &s.points {
                let (at, drawn) = s
                    .ours
                    .iter()
                    .min_by(|a, b| (a.0 - p.at).abs().total_cmp(&(b.0 - p.at).abs()))
                    .unwrap();
                let near = 0.12 * p.ours.max(1.0);
                let close = (at - p.at).abs() > 0.5 || (drawn - p.ours).abs() <= near;
                assert!(close, "{}: {drawn} at {at}, {} at {}", s.name, p.ours, p.at);
            }
        }
    }

    #[test]
    fn the_series_that_fails_is_seen_to_fail() {
        let all = all();
        let pig = all.moisture.iter().find(|s| s.name == "dominguez_edwards");
        assert_eq!(pig.unwrap().missed(), 5);
        let total = all.population.iter().find(|s| s.name == "fetida_total");
        let misses: Vec<f64> = total
            .unwrap()
            .points
            .iter()
            .filter(|p| p.missed)
            .map(|p| p.at)
            .collect();
        assert_eq!(misses, [8.0], "as the checks have it");
    }
}
