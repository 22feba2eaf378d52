//! The last feeding, and what the keeper last said of food: one answer to what
//! "food left" is left of.

use super::{BinState, Desk};
use crate::report;
use engine::log::{Body, Word};
use engine::quantity::Band;

/// The last feeding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastFood {
    /// When it was given [s since 1970-01-01 00:00 UTC].
    pub fed_at: i64,
    /// The latest word on food and when it was said.
    pub said: Option<(i64, Word)>,
}

impl LastFood {
    /// The latest word is about this feeding, and is that it is gone.
    #[must_use]
    pub fn is_gone(&self) -> bool {
        matches!(self.said, Some((at, Word::FoodGone)) if at >= self.fed_at)
    }

    /// What is left of it [0 to 1] by the latest word: none where the keeper
    /// saw none, else as estimated.
    #[must_use]
    pub fn left(&self, estimated: Band) -> Band {
        if self.is_gone() {
            return Band {
                median: 0.0,
                low: 0.0,
                high: 0.0,
            };
        }
        estimated
    }

    /// What it is a share of, and the latest word: `of what was fed on Sat 21
    /// Nov; ...`. `day` names a day.
    #[must_use]
    pub fn words(&self, day: &dyn Fn(i64) -> String) -> String {
        let of = format!("of what was fed on {}", day(self.fed_at));
        let Some((at, word)) = self.said else {
            return of;
        };
        let left = match word {
            Word::FoodGone => "gone",
            Word::FoodHalf => "about half there",
            Word::FoodMost => "mostly still there",
            _ => return of,
        };
        if at >= self.fed_at {
            format!("{of}; on {} you wrote it was {left}", day(at))
        } else {
            format!(
                "{of}; the food before it you wrote was {left} on {}",
                day(at)
            )
        }
    }
}

impl BinState {
    /// The last feeding, and the latest word on food.
    #[must_use]
    pub fn last_food(&self) -> Option<LastFood> {
        let past = || {
            self.log
                .iter()
                .rev()
                .filter(|e| e.at_unix_seconds <= self.now)
        };
        let fed_at = past()
            .find_map(|e| matches!(e.body, Body::Feeding { .. }).then_some(e.at_unix_seconds))?;
        let about_food = |w: &&Word| matches!(w, Word::FoodGone | Word::FoodHalf | Word::FoodMost);
        let said = past().find_map(|e| match &e.body {
            Body::Observation { words, .. } => {
                let word = words.iter().find(about_food)?;
                Some((e.at_unix_seconds, *word))
            }
            _ => None,
        });
        Some(LastFood { fed_at, said })
    }
}

impl Desk {
    /// What "food left" is left of, and the latest word on food; `None` when
    /// nothing was fed yet.
    #[must_use]
    pub fn food_words(&self, state: &BinState) -> Option<String> {
        let today = self.clock.now().date();
        let day = |at: i64| report::date(self.clock.local(at).date(), today);
        Some(state.last_food()?.words(&day))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: i64 = 86_400;

    fn said(at: i64, word: Word) -> LastFood {
        LastFood {
            fed_at: 10 * DAY,
            said: Some((at, word)),
        }
    }

    #[test]
    fn the_latest_word_on_the_last_feeding_is_what_is_shown() {
        let half = Band {
            median: 0.5,
            low: 0.3,
            high: 0.7,
        };
        let day = |at: i64| format!("day {}", at / DAY);
        let gone = said(12 * DAY, Word::FoodGone);
        assert!(gone.is_gone());
        assert_eq!(gone.left(half).high, 0.0);
        assert_eq!(
            gone.words(&day),
            "of what was fed on day 10; on day 12 you wrote it was gone"
        );
        let before = said(8 * DAY, Word::FoodGone);
        assert!(!before.is_gone());
        assert_eq!(before.left(half), half);
        assert_eq!(
            before.words(&day),
            "of what was fed on day 10; the food before it you wrote was gone on day 8"
        );
    }
}
