//! Troubles and hopes of the next fortnight that are worth a word, and what is
//! said against each: the shelf, the bin, today and the outlook all ask here.

use engine::advice::Remedy;
use engine::estimate::ahead::{Ahead, Alarm};
use engine::living::trouble::{EVEN, Trouble};

/// Chance from which an alarm is worth a word [0 to 1].
pub const WORTH_SAYING: f64 = 0.1;

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
    /// Days from now on which it is as likely as what is acted on [d]; `None`
    /// for later.
    pub likely_days: Option<f64>,
    /// It is acted on; else it is looked for.
    pub act: bool,
}

impl Coming {
    /// What is said to be done: to act, or to look.
    #[must_use]
    pub fn what(&self) -> &'static str {
        let words = Remedy::of(self.trouble);
        if self.act { words.act } else { words.look }
    }

    fn of(a: &Alarm) -> Option<Self> {
        // Castings are no danger: a look waits until they are likely ready.
        let worth = if a.trouble.is_bad() {
            WORTH_SAYING
        } else {
            EVEN
        };
        let day = a.day_of(worth)?;
        Some(Self {
            trouble: a.trouble,
            chance: a.in_all(),
            by_days: (day as f64 - 1.0).max(0.0),
            likely_days: a.likely_day().map(|d| d as f64),
            act: a.wants_act(),
        })
    }
}

/// What may come, as worth a word. Worms flee something: where the cause is
/// said, that they want to leave is not. Food only when likely short, castings
/// only while nothing bad is acted on: a harvest then makes two troubles. Where
/// worms are in and the pH is `unread`, acid is looked for: nothing is limed by
/// what went in alone.
#[must_use]
pub fn coming(ahead: &Ahead, unread: bool) -> Vec<Coming> {
    let all: Vec<Coming> = ahead.alarms.iter().filter_map(Coming::of).collect();
    let has_cause = all.iter().any(|c| c.trouble.drives_out());
    let bad = all.iter().any(|c| c.act && c.trouble.is_bad());
    all.into_iter()
        .filter(|c| match c.trouble {
            Trouble::Leaving => !has_cause,
            Trouble::Starving => c.act,
            Trouble::Ready => !bad,
            _ => true,
        })
        .map(|c| Coming {
            act: c.act && !(unread && c.trouble == Trouble::Acid),
            ..c
        })
        .collect()
}

/// The trouble that a word of the first line means.
#[must_use]
pub fn meant(word: &str) -> Option<Trouble> {
    Some(match word {
        "acid" => Trouble::Acid,
        "over-limed" => Trouble::Alkaline,
        "ammonia" => Trouble::Ammonia,
        "wet" => Trouble::Drowning,
        "dry" => Trouble::Drying,
        "hot" => Trouble::TooHot,
        "salty" => Trouble::Salty,
        _ => return None,
    })
}
