//! How wet the bedding is: one judgement, which the drawing, the figures and
//! the first line of a bin all show.

use super::BinState;
use engine::estimate::track::Track;
use engine::log::{Body, Word};
use engine::table::Tables;

/// Moisture up to which the bedding is on the dry side [% of wet mass].
const DRY_SIDE_PERCENT: f64 = 65.0;
/// Moisture from which it is on the wet side [% of wet mass].
const WET_SIDE_PERCENT: f64 = 80.0;
/// Moisture from which it is too wet [% of wet mass].
const WET_PERCENT: f64 = 85.0;

/// How wet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wetness {
    /// Too dry for worms.
    Dry,
    /// On the dry side.
    DrySide,
    /// As it should be.
    Comfortable,
    /// On the wet side.
    WetSide,
    /// Too wet.
    Wet,
    /// Liquid runs out of it.
    Soaked,
}

impl Wetness {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Dry => "too dry",
            Self::DrySide => "a little dry",
            Self::Comfortable => "moist enough",
            Self::WetSide => "a little wet",
            Self::Wet => "too wet",
            Self::Soaked => "soaked",
        }
    }

    /// By a moisture [% of wet mass]; too dry where the alarm begins.
    fn of_percent(percent: f64, dry_below: f64) -> Self {
        match percent {
            p if p < dry_below => Self::Dry,
            p if p < DRY_SIDE_PERCENT => Self::DrySide,
            p if p <= WET_SIDE_PERCENT => Self::Comfortable,
            p if p <= WET_PERCENT => Self::WetSide,
            _ => Self::Wet,
        }
    }

    /// By a word of the keeper; `None` for one about something else.
    fn of_word(word: Word) -> Option<Self> {
        Some(match word {
            Word::SqueezeDusty => Self::Dry,
            Word::SqueezeWeak => Self::DrySide,
            Word::SqueezeDrops => Self::Comfortable,
            Word::SqueezeSeveral => Self::WetSide,
            Word::SqueezeTrickle => Self::Wet,
            Word::SqueezeStream => Self::Soaked,
            _ => return None,
        })
    }
}

/// How wet it is: as the keeper's hand last said, while nothing was done about
/// it since; by the estimate otherwise.
#[must_use]
pub fn wetness(tables: &Tables, state: &BinState) -> Option<Wetness> {
    felt(state).or_else(|| {
        let now = &state.estimate.as_ref().ok()?.moment;
        let dry = tables.value("living", "alarm", "dry_percent").ok()?;
        Some(Wetness::of_percent(now.band(Track::Moisture).median, dry))
    })
}

/// As last squeezed. Water given since takes away what is dry, draining or dry
/// bedding what is wet.
pub(super) fn felt(state: &BinState) -> Option<Wetness> {
    let (at, felt) = state
        .words
        .iter()
        .find_map(|(at, w)| Some((*at, Wetness::of_word(*w)?)))?;
    let mended = state.log.iter().any(|e| {
        e.at_unix_seconds > at
            && e.at_unix_seconds <= state.now
            && match &e.body {
                Body::Water { .. } => felt < Wetness::Comfortable,
                Body::Drain { .. } | Body::BeddingAdded { .. } => felt > Wetness::Comfortable,
                _ => false,
            }
    });
    (!mended).then_some(felt)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hand_and_the_figure_say_it_on_one_scale() {
        let of = |percent| Wetness::of_percent(percent, 57.0);
        assert_eq!(of(50.0), Wetness::Dry);
        assert_eq!(of(60.0), Wetness::DrySide);
        assert_eq!(of(75.0), Wetness::Comfortable);
        assert_eq!(of(82.0), Wetness::WetSide);
        assert_eq!(of(90.0), Wetness::Wet);
        assert_eq!(
            Wetness::of_word(Word::SqueezeDrops),
            Some(Wetness::Comfortable)
        );
        assert_eq!(
            Wetness::of_word(Word::SqueezeSeveral),
            Some(Wetness::WetSide)
        );
        // A ball that holds and gives no drop is two thirds water in fibre.
        assert_eq!(Wetness::of_word(Word::SqueezeWeak), Some(Wetness::DrySide));
        assert_eq!(Wetness::of_word(Word::SmellSour), None);
    }
}
