//! What counts as harm while nobody is there.

use crate::living::signs::Signs;
use crate::living::trouble::{Limits, Trouble};
use crate::quantity::Band;
use crate::table::{TableError, Tables};

/// Something that must not come while away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// A trouble of the bed.
    Trouble(Trouble),
    /// Worms thinner than they come back from.
    Starved,
    /// Many worms gone, for whatever reason.
    WormsLost,
}

impl Harm {
    /// All, in the order they are named.
    pub const ALL: [Self; 11] = [
        Self::Trouble(Trouble::TooHot),
        Self::Trouble(Trouble::Freezing),
        Self::Trouble(Trouble::Drying),
        Self::Trouble(Trouble::Drowning),
        Self::Trouble(Trouble::Acid),
        Self::Trouble(Trouble::Souring),
        Self::Trouble(Trouble::Alkaline),
        Self::Trouble(Trouble::Ammonia),
        Self::Trouble(Trouble::Leaving),
        Self::Starved,
        Self::WormsLost,
    ];

    /// The trouble it is, if it is one.
    #[must_use]
    pub const fn trouble(self) -> Option<Trouble> {
        match self {
            Self::Trouble(t) => Some(t),
            Self::Starved | Self::WormsLost => None,
        }
    }

    /// As a heading.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Trouble(t) => t.title(),
            Self::Starved => "Worms starved thin",
            Self::WormsLost => "Worms lost",
        }
    }
}

/// Where harm begins.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Judge {
    limits: Limits,
    condition: f64,
    lost: f64,
}

impl Judge {
    pub(crate) fn load(tables: &Tables, limits: Limits) -> Result<Self, TableError> {
        Ok(Self {
            limits,
            condition: tables.value("weather", "away", "condition_lost")?,
            lost: tables.value("weather", "away", "worms_lost_share")?,
        })
    }

    /// Whether a harm is there, `worms` having been there on leaving.
    pub(crate) fn meets(&self, harm: Harm, s: &Signs, worms: f64) -> bool {
        match harm {
            Harm::Trouble(t) => self.limits.meets(t, s),
            Harm::Starved => s.worms > 0.5 && s.condition < self.condition,
            Harm::WormsLost => worms > 0.5 && s.worms < (1.0 - self.lost) * worms,
        }
    }
}

/// First harm of each possible bin.
#[derive(Debug, Clone)]
pub(crate) struct Tally {
    judge: Judge,
    leave: u32,
    worms: Vec<f64>,
    /// Harms there on leaving, by member: they are not the absence's.
    pub(crate) had: Vec<Vec<Harm>>,
    /// Mass of a worm against well fed, by day after leaving and member.
    conditions: Vec<Vec<f64>>,
    /// First new harm, by member: days after leaving.
    pub(crate) first: Vec<Option<(u32, Harm)>>,
}

impl Tally {
    pub(crate) fn new(judge: Judge, leave: u32) -> Self {
        Self {
            judge,
            leave,
            worms: Vec::new(),
            had: Vec::new(),
            conditions: Vec::new(),
            first: Vec::new(),
        }
    }

    /// Hears how the members stand on a day.
    pub(crate) fn hear(&mut self, day: u32, signs: &[Signs]) {
        if day < self.leave {
            return;
        }
        self.conditions
            .push(signs.iter().map(|s| s.condition).collect());
        if day == self.leave {
            self.worms = signs.iter().map(|s| s.worms).collect();
            let had = |s: &Signs| {
                let there = |h: &Harm| self.judge.meets(*h, s, s.worms);
                Harm::ALL.into_iter().filter(there).collect()
            };
            self.had = signs.iter().map(had).collect();
            self.first = vec![None; signs.len()];
            return;
        }
        for (i, s) in signs.iter().enumerate() {
            if self.first[i].is_some() {
                continue;
            }
            self.first[i] = Harm::ALL
                .into_iter()
                .filter(|h| !self.had[i].contains(h))
                .find(|h| self.judge.meets(*h, s, self.worms[i]))
                .map(|h| (day - self.leave, h));
        }
    }

    /// Mass of a worm against well fed on a day after leaving [-].
    pub(crate) fn condition(&self, weights: &[f64], days: u32) -> Band {
        Band::weighted(&self.conditions[days as usize], weights).unwrap_or(Band {
            median: f64::NAN,
            low: f64::NAN,
            high: f64::NAN,
        })
    }

    /// Chance of a new harm by the end of a day after leaving [0 to 1].
    pub(crate) fn chance(&self, weights: &[f64], days: u32) -> f64 {
        self.sum(weights, |f| f.is_some_and(|(d, _)| d <= days))
    }

    /// Chance that a harm is the first, by then [0 to 1].
    pub(crate) fn chance_first(&self, weights: &[f64], days: u32, harm: Harm) -> f64 {
        self.sum(weights, |f| f.is_some_and(|(d, h)| d <= days && h == harm))
    }

    fn sum(&self, weights: &[f64], which: impl Fn(&Option<(u32, Harm)>) -> bool) -> f64 {
        self.first
            .iter()
            .zip(weights)
            .filter(|(f, _)| which(f))
            .fold(0.0, |sum, (_, w)| sum + w)
            .min(1.0)
    }
}
