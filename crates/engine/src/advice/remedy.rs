//! What is said against each trouble, in the same words wherever it is met.

use crate::living::trouble::Trouble;

/// What is said against a trouble.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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
                "Worms leave, and die within a day or two once it is a few degrees hotter still.",
            ),
            Trouble::Freezing => Self::new(
                "Look at the forecast and feel how cold it is in the middle",
                "Move it somewhere warmer or wrap it well",
                "Red worms go slow and die when it freezes; worms of warm countries die well above that.",
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
            Trouble::Alkaline => Self::new(
                "Read the pH at three spots, away from any lime or ash",
                "Give no more lime or ash, mix in wet card or unlimed peat, and keep acid off the worms",
                "Worms eat less and die near pH 9; any ammonia turns to gas.",
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
            Trouble::OverRim => Self::new(
                "Look how much room is left under the lid",
                "Take castings out, or start a second bin with part of it",
                "Worms climb out, and the lid no longer closes.",
            ),
            Trouble::Ready => Self::new(
                "Look whether it is dark and crumbly",
                "Harvest castings",
                "Nothing soon; in old castings worms slowly lay less.",
            ),
        }
    }
}
