//! Troubles and hopes of the next fortnight that are worth a word, and what is
//! said against each: the shelf, the bin, today and the outlook all ask here.

use engine::estimate::ahead::{Ahead, Alarm};
use engine::living::trouble::Trouble;

/// Chance from which an alarm is worth a word [0 to 1].
pub const WORTH_SAYING: f64 = 0.1;
/// Chance from which to act on it; under it, to look.
pub const ACT_ON: f64 = 0.5;

/// Something that may come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coming {
    /// What.
    pub trouble: Trouble,
    /// Chance that it comes at all [0 to 1].
    pub chance: f64,
    /// Days from now by which to see to it [d]: a day before the chance is
    /// worth a word.
    pub by_days: f64,
    /// Days from now on which it is as likely as not [d]; `None` for later.
    pub even_days: Option<f64>,
}

impl Coming {
    /// As likely as not, or more.
    #[must_use]
    pub fn is_likely(&self) -> bool {
        self.chance >= ACT_ON
    }

    fn of(a: &Alarm) -> Option<Self> {
        let day = a.day_of(WORTH_SAYING)?;
        Some(Self {
            trouble: a.trouble,
            chance: a.in_all(),
            by_days: (day as f64 - 1.0).max(0.0),
            even_days: a.day_of(ACT_ON).map(|d| d as f64),
        })
    }
}

/// What may come, as worth a word. Worms flee something: where the cause is
/// said, that they want to leave is not. Castings only when likely ready, food
/// only when likely short.
#[must_use]
pub fn coming(ahead: &Ahead) -> Vec<Coming> {
    let all: Vec<Coming> = ahead.alarms.iter().filter_map(Coming::of).collect();
    let is_cause = |c: &Coming| c.trouble < Trouble::Leaving || c.trouble == Trouble::Salty;
    let has_cause = all.iter().any(is_cause);
    all.into_iter()
        .filter(|c| match c.trouble {
            Trouble::Leaving => !has_cause,
            Trouble::Starving | Trouble::Ready => c.is_likely(),
            _ => true,
        })
        .collect()
}

/// The trouble that a word of the first line means.
#[must_use]
pub fn meant(word: &str) -> Option<Trouble> {
    Some(match word {
        "acid" => Trouble::Souring,
        "over-limed" => Trouble::Alkaline,
        "ammonia" => Trouble::Ammonia,
        "wet" => Trouble::Drowning,
        "dry" => Trouble::Drying,
        "hot" => Trouble::TooHot,
        "salty" => Trouble::Salty,
        _ => return None,
    })
}
