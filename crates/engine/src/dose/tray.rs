//! The half-and-half tray: a few worms choose between the suspect bedding and
//! a trusted one, and the count is read as the binomial it is.
//!
//! After the two-chamber avoidance test of ISO 17512-1 (from memory): more
//! than 80 % of worms in the trusted half means the suspect half is not fit to
//! live in; a run with more than 10 % dead or missing does not count.

use crate::log::TrayTest;
use crate::table::{TableError, Tables};

/// What a tray says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// Worms avoid it.
    Avoided,
    /// They do not avoid it.
    Accepted,
    /// Too few worms, or too even a split, to say.
    Unclear {
        /// Worms to add to the next run for an answer.
        more_worms: u32,
    },
    /// Worms died or went missing: the run does not count, and dead worms in
    /// the suspect half are an answer of their own.
    NotValid,
}

/// A tray, read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrayReading {
    /// Outcome.
    pub outcome: Outcome,
    /// Share found in the suspect half [0 to 1].
    pub share_in_suspect: f64,
    /// 80 % interval of that share (Clopper-Pearson).
    pub share_low: f64,
    /// Upper end.
    pub share_high: f64,
    /// Chance of a split this lopsided or more if worms did not care.
    pub by_chance: f64,
}

/// How a tray is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// Share in the suspect half at or below which the bedding counts as
    /// avoided.
    pub avoided_share: f64,
    /// How far over it a split may lie that is not put down to chance.
    pub avoided_slack: f64,
    /// Largest share dead or missing in a run that counts.
    pub dead_share: f64,
    /// Chance under which a split is not put down to chance.
    pub too_odd: f64,
    /// Fewest worms found for bedding to be accepted.
    pub fewest: u32,
    /// Worms asked for.
    pub wanted: u32,
    /// Shortest and longest run that counts [h].
    pub hours: (f64, f64),
}

impl Rules {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn from_tables(tables: &Tables) -> Result<Self, TableError> {
        let n = |property: &str| tables.value("tolerances", "avoidance_test", property);
        Ok(Self {
            avoided_share: 1.0 - n("reject_share")?,
            avoided_slack: n("reject_slack_share")?,
            dead_share: n("most_dead_share")?,
            too_odd: n("too_odd_chance")?,
            fewest: n("fewest_worms")? as u32,
            wanted: n("worms_wanted")? as u32,
            hours: (n("shortest_hours")?, n("longest_hours")?),
        })
    }
}

/// Reads a tray. `None` when no worm was found at all.
#[must_use]
pub fn read(test: &TrayTest, rules: &Rules) -> Option<TrayReading> {
    let found = test.in_suspect + test.in_trusted;
    if found == 0 {
        return None;
    }
    let share = f64::from(test.in_suspect) / f64::from(found);
    let by_chance = lower_tail(test.in_suspect, found);
    let (low, high) = interval80(test.in_suspect, found);
    let dead = f64::from(test.dead_or_missing) / f64::from(test.worms.max(1));
    let outcome = if dead > rules.dead_share {
        Outcome::NotValid
    } else if by_chance < rules.too_odd && share <= rules.avoided_share + rules.avoided_slack {
        Outcome::Avoided
    } else if low > rules.avoided_share && by_chance >= rules.too_odd && found >= rules.fewest {
        Outcome::Accepted
    } else {
        Outcome::Unclear {
            more_worms: rules.wanted.saturating_sub(found).max(rules.wanted / 2),
        }
    };
    Some(TrayReading {
        outcome,
        share_in_suspect: share,
        share_low: low,
        share_high: high,
        by_chance,
    })
}

/// Chance of `k` or fewer of `n` worms in one half if each tosses a coin.
fn lower_tail(k: u32, n: u32) -> f64 {
    tail_at_most(k, n, 0.5)
}

/// Chance of at most `k` of `n` at share `p`.
fn tail_at_most(k: u32, n: u32, p: f64) -> f64 {
    if p <= 0.0 {
        return 1.0;
    }
    if p >= 1.0 {
        return if k >= n { 1.0 } else { 0.0 };
    }
    let mut log_term = f64::from(n) * (1.0 - p).ln();
    let mut sum = log_term.exp();
    for i in 1..=k {
        log_term += (f64::from(n - i + 1) / f64::from(i)).ln() + (p / (1.0 - p)).ln();
        sum += log_term.exp();
    }
    sum.min(1.0)
}

/// Clopper-Pearson 80 % interval of a share, by bisection of the tails.
fn interval80(k: u32, n: u32) -> (f64, f64) {
    let solve = |f: &dyn Fn(f64) -> f64| {
        let (mut a, mut b) = (0.0f64, 1.0f64);
        for _ in 0..60 {
            let m = f64::midpoint(a, b);
            if f(m) > 0.1 { a = m } else { b = m }
        }
        f64::midpoint(a, b)
    };
    let high = if k == n {
        1.0
    } else {
        solve(&|p| tail_at_most(k, n, p))
    };
    let low = if k == 0 {
        0.0
    } else {
        1.0 - solve(&|q| tail_at_most(n - k, n, q))
    };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(test: TrayTest) -> Option<TrayReading> {
        let rules = Rules::from_tables(&Tables::load().unwrap()).unwrap();
        super::read(&test, &rules)
    }

    fn tray(in_suspect: u32, in_trusted: u32, dead: u32) -> TrayTest {
        TrayTest {
            worms: in_suspect + in_trusted + dead,
            in_suspect,
            in_trusted,
            dead_or_missing: dead,
            hours: 48.0,
        }
    }

    #[test]
    fn sixteen_of_twenty_in_the_old_half_is_avoidance() {
        let r = read(tray(4, 16, 0)).unwrap();
        assert_eq!(r.outcome, Outcome::Avoided);
        // Binomial tail: P(X <= 4 | 20, 1/2) = 6196 / 2^20.
        assert!((r.by_chance - 6196.0 / 1_048_576.0).abs() < 1e-9);
    }

    #[test]
    fn an_even_split_is_accepted_and_a_few_worms_are_unclear() {
        assert_eq!(read(tray(9, 11, 0)).unwrap().outcome, Outcome::Accepted);
        assert!(matches!(
            read(tray(1, 3, 0)).unwrap().outcome,
            Outcome::Unclear { .. }
        ));
    }

    #[test]
    fn dead_worms_spoil_the_run_and_no_worms_are_no_run() {
        assert_eq!(read(tray(8, 8, 4)).unwrap().outcome, Outcome::NotValid);
        assert!(read(tray(0, 0, 10)).is_none());
    }

    #[test]
    fn the_interval_holds_the_share() {
        let r = read(tray(4, 16, 0)).unwrap();
        assert!(r.share_low < 0.2 && r.share_high > 0.2);
        // Clopper-Pearson 80 % for 4 of 20, from the beta quantiles (0.090, 0.361).
        assert!((r.share_low - 0.090).abs() < 0.003, "{}", r.share_low);
        assert!((r.share_high - 0.361).abs() < 0.003, "{}", r.share_high);
    }
}
