//! How much of a ground lime counts, from the sieve analysis on its label.
//!
//! A scheme gives each band between two sieves a factor; the effectiveness of
//! a lime is the sum over bands of share of mass times factor, and the
//! effective neutralising value is that times the neutralising value.
//! New York (one year in soil): Cornell Certified Crop Adviser guide, CA5
//! PO41. Cornell: Agronomy Fact Sheet 7 (one year). Nebraska: Quality of
//! Agricultural Limestone (three years). Peat on day 7: particle size
//! efficiency of calcitic limestone, Huang, Fisher & Argo 2007, HortScience
//! 42:1268. Factors and sieve openings stand in the fineness table.

use crate::bounds::{self, BoundError};
use crate::table::{TableError, Tables};
use thiserror::Error;

/// A published scheme of factors.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scheme {
    /// New York, one year in soil.
    NewYork,
    /// Cornell fact sheet, one year in soil.
    Cornell,
    /// Nebraska, three years in soil.
    Nebraska,
    /// Calcitic limestone in peat, seven days.
    PeatDaySeven,
}

/// Why a sieve analysis could not be used.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FinenessError {
    /// No sieve named.
    #[error(
        "the sieve analysis is empty; give at least one sieve opening and the share passing it"
    )]
    Empty,
    /// A value outside its range.
    #[error(transparent)]
    Bound(#[from] BoundError),
    /// Openings or shares that do not rise.
    #[error(
        "sieve opening `{opening_mm}` mm with share `{share}` does not follow the one before it: openings must rise and the share passing must not fall"
    )]
    NotRising {
        /// Opening of the sieve [mm].
        opening_mm: f64,
        /// Share passing it [0 to 1].
        share: f64,
    },
    /// The tables lack a number.
    #[error(transparent)]
    Table(#[from] TableError),
}

/// Share of mass that passes an opening: one line of a sieve analysis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passing {
    /// Opening of the sieve [mm].
    pub opening_mm: f64,
    /// Share of the mass that passes it [0 to 1].
    pub share: f64,
}

/// A sieve analysis, finest sieve first.
#[derive(Debug, Clone, PartialEq)]
pub struct Sieves(Vec<Passing>);

impl Sieves {
    /// Checks a sieve analysis.
    ///
    /// # Errors
    /// [`FinenessError`] when it is empty, a value is out of range, or the
    /// openings do not rise.
    pub fn new(lines: Vec<Passing>) -> Result<Self, FinenessError> {
        if lines.is_empty() {
            return Err(FinenessError::Empty);
        }
        for line in &lines {
            bounds::PARTICLE_MM.check(line.opening_mm)?;
            bounds::FRACTION.check(line.share)?;
        }
        for pair in lines.windows(2) {
            if pair[1].opening_mm <= pair[0].opening_mm || pair[1].share < pair[0].share {
                return Err(FinenessError::NotRising {
                    opening_mm: pair[1].opening_mm,
                    share: pair[1].share,
                });
            }
        }
        Ok(Self(lines))
    }

    /// Share of the mass finer than `mm` [0 to 1]: between sieves in line with
    /// the logarithm of size, below the finest in line with size; what the
    /// coarsest sieve holds back is coarser than any size asked for.
    #[must_use]
    pub fn finer_than(&self, mm: f64) -> f64 {
        let above = self.0.partition_point(|l| l.opening_mm < mm * (1.0 - 1e-9));
        let Some(upper) = self.0.get(above) else {
            return self.0.last().map_or(0.0, |l| l.share);
        };
        let Some(lower) = above.checked_sub(1).and_then(|i| self.0.get(i)) else {
            return upper.share * (mm / upper.opening_mm).clamp(0.0, 1.0);
        };
        let span = (upper.opening_mm / lower.opening_mm).ln();
        let at = ((mm / lower.opening_mm).ln() / span).clamp(0.0, 1.0);
        lower.share + at * (upper.share - lower.share)
    }
}

/// Factor between two openings: (from [mm], to [mm], factor).
type Band = (f64, f64, f64);

fn bands(tables: &Tables, scheme: Scheme) -> Result<Vec<Band>, TableError> {
    let mesh = |n: &str| tables.value("fineness", n, "opening_mm");
    let of = |scheme: &str, property: &str| tables.value("fineness", scheme, property);
    let far = f64::INFINITY;
    Ok(match scheme {
        Scheme::NewYork => {
            let (m100, m60, m20) = (mesh("mesh_100")?, mesh("mesh_60")?, mesh("mesh_20")?);
            vec![
                (0.0, m100, of("new_york", "factor_passes_100")?),
                (m100, m60, of("new_york", "factor_60_to_100")?),
                (m60, m20, of("new_york", "factor_20_to_60")?),
            ]
        }
        Scheme::Cornell => {
            let (m100, m20) = (mesh("mesh_100")?, mesh("mesh_20")?);
            vec![
                (0.0, m100, of("cornell_fs7", "factor_passes_100")?),
                (m100, m20, of("cornell_fs7", "factor_20_to_100")?),
                (m20, far, of("cornell_fs7", "factor_above_20")?),
            ]
        }
        Scheme::Nebraska => {
            let (m50, m8) = (mesh("mesh_50")?, mesh("mesh_8")?);
            vec![
                (0.0, m50, of("nebraska", "factor_passes_50")?),
                (m50, m8, of("nebraska", "factor_8_to_50")?),
                (m8, far, of("nebraska", "factor_above_8")?),
            ]
        }
        Scheme::PeatDaySeven => peat_bands(tables)?,
    })
}

fn peat_bands(tables: &Tables) -> Result<Vec<Band>, TableError> {
    let mut found: Vec<Band> = Vec::new();
    for class in tables.subjects("fineness") {
        if !class.starts_with("huang_") {
            continue;
        }
        let n = |property: &str| tables.value("fineness", class, property);
        let band = (
            n("lower_um")? / 1000.0,
            n("upper_um")? / 1000.0,
            n("efficiency_day_7")?,
        );
        found.push(band);
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let Some(finest) = found.first_mut() {
        finest.0 = 0.0;
    }
    Ok(found)
}

/// Share of a lime that counts [0 to 1] under a scheme; what is coarser than
/// the scheme's last band counts for nothing.
///
/// # Errors
/// [`FinenessError::Table`] when a factor is missing.
pub fn effectiveness(
    tables: &Tables,
    scheme: Scheme,
    sieves: &Sieves,
) -> Result<f64, FinenessError> {
    let share = |from: f64, to: f64| {
        let top = if to.is_infinite() {
            1.0
        } else {
            sieves.finer_than(to)
        };
        top - sieves.finer_than(from)
    };
    Ok(bands(tables, scheme)?
        .into_iter()
        .map(|(from, to, factor)| factor * share(from, to))
        .sum())
}

/// Effective neutralising value [% of pure CaCO3] of a lime with a sieve
/// analysis.
///
/// # Errors
/// As [`effectiveness`].
pub fn effective_neutralising_percent(
    tables: &Tables,
    scheme: Scheme,
    sieves: &Sieves,
    neutralising_percent: f64,
) -> Result<f64, FinenessError> {
    Ok(neutralising_percent * effectiveness(tables, scheme, sieves)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sieves(lines: &[(f64, f64)]) -> Sieves {
        let line = |&(opening_mm, share)| Passing { opening_mm, share };
        Sieves::new(lines.iter().map(line).collect()).unwrap()
    }

    #[test]
    fn a_label_worked_by_hand() {
        // 95 % passes 20 mesh, 70 % passes 60, 50 % passes 100.
        let tables = Tables::load().unwrap();
        let lime = sieves(&[(0.15, 0.50), (0.25, 0.70), (0.85, 0.95)]);
        let of = |scheme| effectiveness(&tables, scheme, &lime).unwrap();
        // 0.50 + 0.8 x 0.20 + 0.4 x 0.25
        assert!((of(Scheme::NewYork) - 0.76).abs() < 1e-12);
        // 0.50 + 0.6 x 0.45
        assert!((of(Scheme::Cornell) - 0.77).abs() < 1e-12);
        let enp = effective_neutralising_percent(&tables, Scheme::NewYork, &lime, 90.0).unwrap();
        assert!((enp - 68.4).abs() < 1e-9);
    }

    #[test]
    fn coarse_lime_counts_for_next_to_nothing() {
        let tables = Tables::load().unwrap();
        let grit = sieves(&[(2.36, 0.0), (5.0, 1.0)]);
        let of = |scheme| effectiveness(&tables, scheme, &grit).unwrap();
        assert!(of(Scheme::NewYork).abs() < 1e-12);
        assert!((of(Scheme::Nebraska) - 0.1).abs() < 1e-12);
        assert!(of(Scheme::PeatDaySeven).abs() < 1e-12);
    }

    #[test]
    fn bad_analyses_are_refused_with_reasons() {
        assert_eq!(Sieves::new(Vec::new()), Err(FinenessError::Empty));
        let falling = vec![
            Passing {
                opening_mm: 0.85,
                share: 0.9,
            },
            Passing {
                opening_mm: 0.25,
                share: 0.5,
            },
        ];
        let text = Sieves::new(falling).unwrap_err().to_string();
        assert!(text.contains("`0.25` mm"), "{text}");
        let over = vec![Passing {
            opening_mm: 0.85,
            share: 95.0,
        }];
        assert!(Sieves::new(over).is_err());
    }
}
