//! Several spots made one reading.
//!
//! A buffered bed's pH is the arithmetic mean of its spots: what mixes when
//! spots are pooled is the charged solid, not the H⁺ of the water (Conyers,
//! Eur. J. Soil Sci.). The mean's variance keeps the scatter of spots, which
//! more spots shrink, apart from the instrument's bias, which they do not:
//! `var = (s² + noise²)/n + bias²`.

use crate::reading::instrument::Instrument;
use crate::table::{TableError, Tables};

/// What is expected of spots before they are seen, and how many are worth the
/// trouble.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Scatter between spots of an unmixed bin when it has not been seen [pH].
    pub spot_sd: f64,
    /// How many spots' worth of weight that expectation has.
    pub weight: f64,
    /// A spot must narrow the interval by at least this share to be worth it.
    pub worth_share: f64,
    /// All of them together must narrow it by at least this [pH].
    pub worth_ph: f64,
    /// Most spots it is reasonable to ask for.
    pub most: usize,
}

impl Expected {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let n = |property: &str| tables.value("bed", "reading", property);
        Ok(Self {
            spot_sd: tables.value("constants", "bed", "spot_sd_ph")?,
            weight: n("spot_sd_weight")?,
            worth_share: n("spot_worth_share")?,
            worth_ph: n("spots_worth_ph")?,
            most: n("most_spots")? as usize,
        })
    }
}

/// Half-width of an 80 % interval in standard deviations.
pub(crate) const Z80: f64 = 1.2816;

/// Several spots, combined and moved to the 1:5 water slurry scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combined {
    /// Arithmetic mean, on the 1:5 water scale [pH].
    pub mean: f64,
    /// Number of spots.
    pub spots: usize,
    /// Scatter between spots, as seen and as expected together [pH].
    pub spot_sd: f64,
    /// Uncertainty of the mean that more spots would shrink [pH].
    pub random_sd: f64,
    /// Uncertainty from the instrument that they would not [pH].
    pub systematic_sd: f64,
}

impl Combined {
    /// Whole uncertainty of the mean [pH].
    #[must_use]
    pub fn total_sd(&self) -> f64 {
        self.random_sd.hypot(self.systematic_sd)
    }
}

/// Combines spots read with one instrument. `None` when there is no spot or a
/// spot is not a finite number.
#[must_use]
pub fn combine(spots: &[f64], instrument: &Instrument) -> Option<Combined> {
    if spots.is_empty() || spots.iter().any(|s| !s.is_finite()) {
        return None;
    }
    let n = spots.len() as f64;
    let mean = spots.iter().sum::<f64>() / n;
    let squares: f64 = spots.iter().map(|s| (s - mean).powi(2)).sum();
    let usual = &instrument.expected;
    let expected = usual.spot_sd.powi(2) + instrument.noise_sd.powi(2);
    let spot_var = (usual.weight * expected + squares) / (usual.weight + n - 1.0);
    Some(Combined {
        mean: mean + instrument.offset,
        spots: spots.len(),
        spot_sd: spot_var.sqrt(),
        random_sd: (spot_var / n + instrument.resolution.powi(2) / 12.0).sqrt(),
        systematic_sd: instrument.systematic_sd(),
    })
}

/// Whether more spots are worth the trouble.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoreSpots {
    /// Spots to add; 0 when they would not help.
    pub add: usize,
    /// Half-width of the 80 % interval now [pH].
    pub half_width_now: f64,
    /// Half-width with them [pH].
    pub half_width_then: f64,
    /// What would help instead is a better instrument or a slurry.
    pub instrument_limits: bool,
}

/// How many more spots are worth taking: each must still narrow the interval
/// by 4 %, and nine in all are enough for a home bin.
#[must_use]
pub fn more_spots(now: &Combined, expected: &Expected) -> MoreSpots {
    let half_width = |n: usize| {
        let random = now.spot_sd / (n as f64).sqrt();
        Z80 * random.hypot(now.systematic_sd)
    };
    let mut n = now.spots;
    while n < expected.most && half_width(n + 1) < (1.0 - expected.worth_share) * half_width(n) {
        n += 1;
    }
    if half_width(now.spots) - half_width(n) < expected.worth_ph {
        n = now.spots;
    }
    MoreSpots {
        add: n - now.spots,
        half_width_now: half_width(now.spots),
        half_width_then: half_width(n),
        instrument_limits: now.systematic_sd > now.spot_sd / (n as f64).sqrt(),
    }
}

/// Spots needed for the mean to lie within `error` [pH] of the truth with 95 %
/// confidence, when spots scatter by `spot_sd`: `n = (t s / E)²`, with Student's
/// t found by repetition.
#[must_use]
pub fn spots_needed(spot_sd: f64, error: f64) -> usize {
    let mut n = 2usize;
    while n < 60 {
        let t = student_t_975(n - 1);
        if t * spot_sd / (n as f64).sqrt() <= error {
            break;
        }
        n += 1;
    }
    n
}

/// 97.5 % point of Student's t with `df` degrees of freedom [-]
/// (Cornish-Fisher expansion; within 0.3 % for 3 or more, exact table below).
fn student_t_975(df: usize) -> f64 {
    const SMALL: [f64; 4] = [12.706, 4.303, 3.182, 2.776];
    if let Some(t) = df.checked_sub(1).and_then(|i| SMALL.get(i)) {
        return *t;
    }
    let z = 1.959_964f64;
    let v = df as f64;
    z + (z.powi(3) + z) / (4.0 * v)
        + (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / (96.0 * v * v)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn expected() -> Expected {
        Expected::from_tables(&Tables::load().unwrap()).unwrap()
    }

    fn instrument(noise: f64, bias: f64) -> Instrument {
        Instrument {
            key: "x".into(),
            name: "x".into(),
            noise_sd: noise,
            bias_sd: bias,
            offset: 0.0,
            offset_sd: 0.0,
            resolution: 0.01,
            idle: None,
            in_bedding: false,
            expected: expected(),
        }
    }

    #[test]
    fn the_mean_is_the_arithmetic_one() {
        // Worked example printed by an extension service: 5.2, 5.4, 5.9 have
        // mean 5.50 (H+-averaged 5.41, which is right for plain water only).
        let c = combine(&[5.2, 5.4, 5.9], &instrument(0.05, 0.05)).unwrap();
        assert!((c.mean - 5.50).abs() < 1e-9);
    }

    #[test]
    fn bias_does_not_average_out() {
        let probe = instrument(0.3, 0.7);
        let one = combine(&[5.0], &probe).unwrap();
        let many = combine(&[5.0; 40], &probe).unwrap();
        assert!(many.random_sd < 0.2 * one.random_sd);
        assert!(many.total_sd() > 0.69);
    }

    #[test]
    fn a_good_electrode_asks_for_more_spots_and_a_probe_soon_does_not() {
        let glass = combine(&[5.0], &instrument(0.05, 0.07)).unwrap();
        assert!(more_spots(&glass, &expected()).add >= 4);
        let probe = combine(&[5.0, 5.1, 5.2], &instrument(0.2, 0.9)).unwrap();
        let advice = more_spots(&probe, &expected());
        assert_eq!(advice.add, 0);
        assert!(advice.instrument_limits);
    }

    #[test]
    fn spots_needed_follow_the_t_formula() {
        // s = 0.4, 95 %: errors 0.5, 0.3, 0.2 need 5, 10 and 18 spots.
        assert_eq!(spots_needed(0.4, 0.5), 5);
        assert_eq!(spots_needed(0.4, 0.3), 10);
        assert_eq!(spots_needed(0.4, 0.2), 18);
    }

    #[test]
    fn no_spot_is_no_reading() {
        assert!(combine(&[], &instrument(0.1, 0.1)).is_none());
        assert!(combine(&[f64::NAN], &instrument(0.1, 0.1)).is_none());
    }
}
