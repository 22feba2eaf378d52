//! Growth curves of compost worms in wastes, copied from the collection of
//! Mathieu (2018) without being looked at, and the rule that says which of
//! them may be fitted and which are set aside (`docs/validation/set-aside.md`).

mod run;
mod setup;

pub use run::{Grown, HEADING, How, Judged, judged, run};

use super::long::crc32;
use crate::living::species::Species;
use crate::table::TableError;
use crate::table::embedded::{
    GROWTH_CURVE_SETUPS, GROWTH_CURVES, GROWTH_PAPERS, GROWTH_SUBSTRATES,
};
use std::collections::BTreeMap;

/// What may be done with the curves of a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Laws may be tuned on them.
    Fittable,
    /// Opened once, when the laws stand; something else of the paper had been
    /// fitted or seen before.
    AsideHeldInPart,
    /// Opened once; nothing of the paper was held before.
    Aside,
}

/// A paper with growth curves.
#[derive(Debug, Clone, PartialEq)]
pub struct Paper {
    /// Its key in the collection.
    pub key: String,
    /// Author, year, title as in the collection; empty where that has none.
    pub citation: String,
    /// What else of it stands in our tables, and whether it was fitted or seen;
    /// empty for nothing.
    pub held: String,
    /// Its curves, in the order of the collection.
    pub curves: Vec<Curve>,
}

impl Paper {
    /// What may be done with its curves: the rule, on its key.
    #[must_use]
    pub fn standing(&self) -> Standing {
        match (crc32(&self.key) % 3, self.held.is_empty()) {
            (0, _) => Standing::Fittable,
            (_, false) => Standing::AsideHeldInPart,
            (_, true) => Standing::Aside,
        }
    }
}

/// One growth curve and how it was set up; what the source does not state is
/// nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Its key in the collection.
    pub key: String,
    /// Species.
    pub species: Species,
    /// Substrate, in the words of the source.
    pub substrate: String,
    /// Substrate \[g\], wet or dry not stated.
    pub substrate_g: Option<f64>,
    /// Vessel \[mL\].
    pub vessel_ml: Option<f64>,
    /// Water \[% of wet mass\].
    pub moisture_percent: Option<f64>,
    /// pH of the substrate.
    pub ph: Option<f64>,
    /// Worms in the vessel.
    pub worms: Option<f64>,
    /// Temperature \[°C\].
    pub celsius: Option<f64>,
    /// Day from the start (no age) and mean mass of a worm \[mg\].
    pub points: Vec<(f64, f64)>,
}

/// All papers with their curves, in the order of the files.
///
/// # Errors
/// [`TableError::Malformed`] naming file and line when a row breaks the rules.
pub fn load() -> Result<Vec<Paper>, TableError> {
    let mut papers = Vec::new();
    for cells in GROWTH_PAPERS.cells()? {
        papers.push(Paper {
            key: cells.filled("paper")?,
            citation: cells.text("citation")?,
            held: cells.text("held")?,
            curves: Vec::new(),
        });
    }
    for cells in GROWTH_CURVE_SETUPS.cells()? {
        let key = cells.filled("paper")?;
        let paper = papers.iter_mut().find(|p| p.key == key);
        let paper = paper.ok_or_else(|| cells.wrong(format!("no paper `{key}`")))?;
        let species = cells.filled("species")?;
        paper.curves.push(Curve {
            key: cells.filled("curve")?,
            species: Species::parse(&species)
                .ok_or_else(|| cells.wrong(format!("`{species}` is no species")))?,
            substrate: cells.filled("substrate")?,
            substrate_g: cells.number("substrate_g")?,
            vessel_ml: cells.number("vessel_ml")?,
            moisture_percent: cells.number("moisture_percent")?,
            ph: cells.number("ph")?,
            worms: cells.number("worms")?,
            celsius: cells.number("celsius")?,
            points: Vec::new(),
        });
    }
    for cells in GROWTH_CURVES.cells()? {
        let key = cells.filled("curve")?;
        let mut curves = papers.iter_mut().flat_map(|p| &mut p.curves);
        let curve = curves.find(|c| c.key == key);
        let curve = curve.ok_or_else(|| cells.wrong(format!("no curve `{key}`")))?;
        let (Some(day), Some(mass)) = (cells.number("day")?, cells.number("mass_mg")?) else {
            return Err(cells.wrong("a day or a mass is empty".to_owned()));
        };
        curve.points.push((day, mass));
    }
    Ok(papers)
}

/// A material that a substrate is taken for.
#[derive(Debug, Clone, PartialEq)]
struct Substance {
    /// Key of the material.
    material: String,
    /// Share of the dry matter [0 to 1].
    share: f64,
    /// Its nitrogen, where it is not that of our table [% of dry mass].
    nitrogen_percent: Option<f64>,
}

/// What the words for substrates are taken for.
fn substrates() -> Result<BTreeMap<String, Vec<Substance>>, TableError> {
    let mut all: BTreeMap<String, Vec<Substance>> = BTreeMap::new();
    for cells in GROWTH_SUBSTRATES.cells()? {
        let share = cells.number("share")?;
        let substance = Substance {
            material: cells.filled("material")?,
            share: share.ok_or_else(|| cells.wrong("no share".to_owned()))?,
            nitrogen_percent: cells.number("nitrogen_percent")?,
        };
        all.entry(cells.filled("substrate")?)
            .or_default()
            .push(substance);
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::super::experiments;
    use super::*;
    use crate::table::Tables;
    use std::collections::BTreeSet;
    use std::fmt::Write;

    fn papers() -> Vec<Paper> {
        load().unwrap()
    }

    /// The table of set-aside.md: papers, and the sums over each standing.
    fn table(papers: &[Paper]) -> String {
        let mut out = String::from(
            "| paper | remainder | curves | masses | what else of it was held |\n|---|---|---|---|---|\n",
        );
        let count = |p: &Paper| p.curves.iter().map(|c| c.points.len()).sum::<usize>();
        for p in papers {
            let (curves, masses, held) = (p.curves.len(), count(p), &p.held);
            let rest = crc32(&p.key) % 3;
            let _ = writeln!(out, "| {} | {rest} | {curves} | {masses} | {held} |", p.key);
        }
        for (standing, name) in [
            (Standing::Fittable, "may be fitted"),
            (Standing::AsideHeldInPart, "set aside, held in part"),
            (Standing::Aside, "set aside, nothing held"),
        ] {
            let of = || papers.iter().filter(|p| p.standing() == standing);
            let curves: usize = of().map(|p| p.curves.len()).sum();
            let masses: usize = of().map(count).sum();
            let _ = writeln!(out, "| **{name}** | | {curves} | {masses} | |");
        }
        out
    }

    #[test]
    fn the_committed_list_is_what_the_rule_gives() {
        let page = include_str!("../../../../docs/validation/set-aside.md");
        let ours = table(&papers());
        assert!(page.contains(&ours), "set-aside.md should hold:\n{ours}");
    }

    #[test]
    fn days_rise_and_what_is_stated_can_be() {
        for p in papers() {
            assert!(!p.curves.is_empty(), "{}", p.key);
            for c in p.curves {
                assert!(c.points.len() > 2, "{}", c.key);
                assert!(c.points.windows(2).all(|w| w[0].0 < w[1].0), "{}", c.key);
                assert!(
                    c.points.iter().all(|p| p.0 >= 0.0 && p.1 > 0.0),
                    "{}",
                    c.key
                );
                for (value, low, high) in [
                    (c.moisture_percent, 20.0, 95.0),
                    (c.ph, 4.0, 10.0),
                    (c.worms, 1.0, 200.0),
                    (c.celsius, 5.0, 40.0),
                    (c.substrate_g, 10.0, 5000.0),
                    (c.vessel_ml, 50.0, 20000.0),
                ] {
                    assert!(value.is_none_or(|v| (low..=high).contains(&v)), "{}", c.key);
                }
            }
        }
    }

    /// No curve stands both here and among what was fitted or seen: no series
    /// of ours has five of its days with the same masses.
    #[test]
    fn none_is_among_the_curves_that_were_known() {
        let tables = Tables::load().unwrap();
        let mut known: Vec<Vec<(f64, f64)>> = Vec::new();
        for e in experiments::load(&tables).unwrap() {
            for t in &e.treatments {
                let series = t.series(experiments::Quantity::MeanWormMass);
                known.push(series.map(|(day, p)| (day, p.value)).collect());
            }
        }
        let day = |p: &str| p.strip_prefix("day_").and_then(|d| d.parse().ok());
        let rows = tables.rows().filter(|r| r.table == "series_growth");
        let rows: Vec<_> = rows.collect();
        for name in rows.iter().map(|r| &r.subject).collect::<BTreeSet<_>>() {
            let of = rows.iter().filter(|r| r.subject == *name);
            known.push(
                of.filter_map(|r| Some((day(&r.property)?, r.number.value?)))
                    .collect(),
            );
        }
        let same = |a: &(f64, f64), b: &(f64, f64)| {
            (a.0 - b.0).abs() < 0.6 && (a.1 - b.1).abs() <= 0.005 * b.1
        };
        let curves = papers().into_iter().flat_map(|p| p.curves);
        for c in curves {
            let shared = known.iter().map(|k| {
                let met = c.points.iter().filter(|p| k.iter().any(|q| same(p, q)));
                met.count()
            });
            assert!(shared.max().unwrap_or(0) < 5, "{} was known before", c.key);
        }
    }
}
