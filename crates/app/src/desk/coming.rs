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

/// What is said against a trouble.
pub struct Remedy {
    /// What to look for while it is in doubt.
    pub look: &'static str,
    /// What to do.
    pub act: &'static str,
    /// What happens if it waits.
    pub waits: &'static str,
}

impl Remedy {
    const fn new(look: &'static str, act: &'static str, waits: &'static str) -> Self {
        Self { look, act, waits }
    }

    /// What is said against `trouble`.
    #[must_use]
    pub fn of(trouble: Trouble) -> Self {
        match trouble {
            Trouble::TooHot => Self::new(
                "Feel how warm it is in the middle",
                "Stop feeding, open the bin up and move it to a cooler place",
                "Worms leave, or die within a day or two above 35 °C.",
            ),
            Trouble::Freezing => Self::new(
                "Look at the forecast and feel how cold it is in the middle",
                "Move it somewhere warmer or wrap it well",
                "Frozen worms do not come back; cocoons may.",
            ),
            Trouble::Drying => Self::new(
                "Squeeze a handful: a drop or two should come",
                "Sprinkle water until a squeeze gives a drop or two",
                "Worms go thin, and stop laying.",
            ),
            Trouble::Drowning => Self::new(
                "Squeeze a handful: no more than a few drops should come",
                "Mix in dry bedding and let it drain",
                "It sours, and worms climb out.",
            ),
            Trouble::Souring => Self::new(
                "Smell it, and look for slimy food",
                "Stop feeding, take sour food out and mix in dry bedding",
                "Worms crowd away from it and may leave.",
            ),
            Trouble::Ammonia => Self::new(
                "Smell whether it is sharp",
                "Stop feeding, turn it and mix in dry card",
                "Worms leave within days.",
            ),
            Trouble::Leaving => Self::new(
                "Look whether worms climb the walls or the lid",
                "Find out what they flee: heat, sour food, ammonia or standing water",
                "Those that find a way out do not come back.",
            ),
            Trouble::Crowding => Self::new(
                "Look how crowded the worms are",
                "Split it or move worms to a second bin",
                "They stop laying and stay small.",
            ),
            Trouble::Starving => Self::new(
                "Look whether worms are thin",
                "Feed a little more often",
                "Worms shrink and lay nothing.",
            ),
            Trouble::Salty => Self::new(
                "Measure the salt of a slurry, if you can",
                "Rinse with rain water and let it drain",
                "Worms eat and lay less.",
            ),
            Trouble::WetBase => Self::new(
                "Look for liquid in the base",
                "Drain the base and put dry card at the bottom",
                "The lowest layer goes airless and smells.",
            ),
            Trouble::Ready => Self::new(
                "Look whether it is dark and crumbly",
                "Harvest castings",
                "Nothing soon; in old castings worms slowly lay less.",
            ),
        }
    }
}

/// The trouble that a word of the first line means.
#[must_use]
pub fn meant(word: &str) -> Option<Trouble> {
    Some(match word {
        "acid" => Trouble::Souring,
        "ammonia" => Trouble::Ammonia,
        "wet" => Trouble::Drowning,
        "dry" => Trouble::Drying,
        "hot" => Trouble::TooHot,
        "salty" => Trouble::Salty,
        _ => return None,
    })
}
