//! What is said against each trouble, in the same words wherever it is met.

use crate::living::trouble::Trouble;

/// What is said against a trouble.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Remedy {
    /// In a word or two, for a label: `too wet`.
    pub short: &'static str,
    /// Why it is a trouble, in a sentence.
    pub why: &'static str,
    /// What to look for while it is in doubt.
    pub look: &'static str,
    /// What to do.
    pub act: &'static str,
    /// What happens if it waits.
    pub waits: &'static str,
}

impl Remedy {
    const fn new(
        (short, why): (&'static str, &'static str),
        look: &'static str,
        act: &'static str,
        waits: &'static str,
    ) -> Self {
        Self {
            short,
            why,
            look,
            act,
            waits,
        }
    }

    /// What is said of a trouble that is settled by what is done about another
    /// ([`Trouble::is_settled_by`]).
    #[must_use]
    pub const fn settled(trouble: Trouble) -> &'static str {
        match trouble {
            Trouble::Salty => {
                "Get the liquid out and mix in dry bedding first: that thins salt too"
            }
            _ => "Put right what is named beside this: worms flee it",
        }
    }

    /// What is said against `trouble`.
    #[must_use]
    pub fn of(trouble: Trouble) -> Self {
        match trouble {
            Trouble::TooHot => Self::new(
                (
                    "too hot",
                    "Above 30 °C composting worms suffer; buried food heats as it rots.",
                ),
                "Feel how warm it is in the middle",
                "Stop feeding, open the bin up and move it to a cooler place",
                "Worms leave, and die within a day or two once it is a few degrees hotter still.",
            ),
            Trouble::Freezing => Self::new(
                (
                    "too cold",
                    "Red worms are slow below 5 °C and die when they freeze; worms of warm countries suffer well above that.",
                ),
                "Look at the forecast and feel how cold it is in the middle",
                "Move it somewhere warmer or wrap it well",
                "Red worms go slow and die when it freezes; worms of warm countries die well above that.",
            ),
            Trouble::Drying => Self::new(
                (
                    "too dry",
                    "Worms breathe through a wet skin, and probes read wrong in dry bedding.",
                ),
                "Squeeze a handful: a drop or two should come",
                "Sprinkle water until a squeeze gives a drop or two",
                "Worms go thin, and stop laying.",
            ),
            Trouble::Drowning => Self::new(
                ("too wet", "Soaked bedding holds no air, and sours."),
                "Squeeze a handful: no more than a few drops should come",
                "Mix in dry bedding, and let out what can drain",
                "It sours, and worms climb out.",
            ),
            Trouble::Acid => Self::new(
                (
                    "too acid",
                    "Below about pH 5.5 worms grow uneasy, climb, and stop breeding.",
                ),
                "Read the pH at three spots, away from food",
                "Bring it up with ground limestone in small steps, as the dose plan says",
                "Worms gather on walls and lid for weeks, and some leave.",
            ),
            Trouble::Souring => Self::new(
                (
                    "sour food",
                    "Food that rots without air makes acid: worms keep off it, and it sours the bed.",
                ),
                "Smell it, and look for slimy food",
                "Stop feeding, take sour food out and mix in dry bedding",
                "Worms crowd away from it and may leave.",
            ),
            Trouble::Alkaline => Self::new(
                (
                    "too alkaline",
                    "Above pH 8.8 worms eat less, and ammonia turns to gas.",
                ),
                "Read the pH at three spots, away from any lime or ash",
                "Give no more lime or ash, mix in wet card or unlimed peat, and keep acid off the worms",
                "Worms eat less and die near pH 9; any ammonia turns to gas.",
            ),
            Trouble::Ammonia => Self::new(
                (
                    "ammonia",
                    "Ammonia gas drives worms out long before it kills them, and lime makes it worse.",
                ),
                "Smell whether it is sharp",
                "Stop feeding, turn it and mix in dry card",
                "Worms leave within days.",
            ),
            Trouble::Leaving => Self::new(
                (
                    "worms leaving",
                    "They go before they die: something in there does not suit them.",
                ),
                "Look whether worms climb the walls or the lid",
                "Find out what they flee: heat, sour food, ammonia or standing water",
                "Those that find a way out do not come back.",
            ),
            Trouble::Crowding => Self::new(
                (
                    "crowded",
                    "Many worms in little bedding use up room and food.",
                ),
                "Look how crowded the worms are",
                "Split it or move worms to a second bin",
                "They stop laying and stay small.",
            ),
            Trouble::Starving => Self::new(
                (
                    "short of food",
                    "Worms live for weeks on bedding, then shrink.",
                ),
                "Look whether worms are thin",
                "Feed a little more often",
                "Worms shrink and lay nothing.",
            ),
            Trouble::Salty => Self::new(
                (
                    "salty",
                    "Salt draws water out of worms, and they avoid the salty parts.",
                ),
                "Measure the salt of a slurry, if you can",
                "Thin it with plain moist bedding, or rinse it with rain water where that can drain away",
                "Worms eat and lay less.",
            ),
            Trouble::WetBase => Self::new(
                ("standing water", "Below the liquid there is no air."),
                "Look for liquid in the base",
                "Get the liquid out of the base and put dry card at the bottom",
                "The lowest layer goes airless and smells.",
            ),
            Trouble::OverRim => Self::new(
                ("over the rim", "The contents stand higher than the walls."),
                "Look how much room is left under the lid",
                "Take castings out, or start a second bin with part of it",
                "Worms climb out, and the lid no longer closes.",
            ),
            Trouble::Ready => Self::new(
                (
                    "castings ready",
                    "Most of the bed has been through the worms.",
                ),
                "See whether the castings are ready: dark, crumbly, and little bedding left to be seen",
                "Harvest castings",
                "Nothing soon; in old castings worms slowly lay less.",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_trouble_has_words_of_its_own() {
        for trouble in Trouble::ALL {
            let said = Remedy::of(*trouble);
            let sentence = |text: &str| text.ends_with('.') && text.len() > 10;
            assert!(sentence(said.why) && sentence(said.waits), "{trouble:?}");
            assert!(!said.act.ends_with('.') && !said.look.ends_with('.'));
            let same = |other: &&Trouble| Remedy::of(**other).short == said.short;
            assert_eq!(Trouble::ALL.iter().filter(same).count(), 1, "{trouble:?}");
        }
    }
}
