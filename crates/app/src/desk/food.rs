//! The last feeding, and what the keeper last said of food: one answer to what
//! "food left" is left of.

use super::{BinState, Desk};
use crate::report;
use engine::log::{Body, Word};
use engine::quantity::Band;

/// How long a word that food is still there is taken for now [s].
const SEEN_SECONDS: i64 = 2 * 86_400;
/// How far what was seen may be off [share].
const HALF_WIDTH: f64 = 0.2;

/// What a word on food says is left.
fn left(word: Word) -> Option<&'static str> {
    Some(match word {
        Word::FoodGone => "gone",
        Word::FoodHalf => "half left",
        Word::FoodMost => "most left",
        _ => return None,
    })
}

/// The share left by a word on food [0 to 1].
fn share_of(word: Word) -> Option<f64> {
    Some(match word {
        Word::FoodGone => 0.0,
        Word::FoodHalf => 0.5,
        Word::FoodMost => 0.8,
        _ => return None,
    })
}

fn around(share: f64, half: f64) -> Band {
    Band {
        median: share,
        low: (share - half).max(0.0),
        high: (share + half).min(1.0),
    }
}

fn times(b: &Band, by: f64) -> Band {
    Band {
        median: b.median * by,
        low: b.low * by,
        high: b.high * by,
    }
}

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

    /// When the keeper last wrote of this feeding, and the share left by that
    /// word [0 to 1].
    #[must_use]
    pub fn written(&self) -> Option<(i64, f64)> {
        let (at, word) = self.said.filter(|(at, _)| *at >= self.fed_at)?;
        Some((at, share_of(word)?))
    }

    /// Share of it left as the keeper saw [0 to 1], where that is what counts
    /// now: gone stays gone; what was still there is taken for some days, and
    /// only where the estimate says otherwise.
    #[must_use]
    pub fn seen(&self, estimated: &Band, now: i64) -> Option<f64> {
        let (at, share) = self.written()?;
        if share <= 0.0 {
            return Some(0.0);
        }
        let agrees = (estimated.low..=estimated.high).contains(&share);
        (!agrees && now - at < SEEN_SECONDS).then_some(share)
    }

    /// Share of it left as the keeper wrote, where that is what is decided by:
    /// gone stays gone; what was still there is taken for some days.
    #[must_use]
    pub fn told(&self, now: i64) -> Option<f64> {
        let (at, share) = self.written()?;
        (share <= 0.0 || now - at < SEEN_SECONDS).then_some(share)
    }

    /// What is left of it [0 to 1]: as seen where that counts, else as
    /// estimated.
    #[must_use]
    pub fn left(&self, estimated: Band, now: i64) -> Band {
        match self.seen(&estimated, now) {
            Some(share) if share <= 0.0 => around(0.0, 0.0),
            Some(share) => around(share, HALF_WIDTH),
            None => estimated,
        }
    }

    /// So much of it in words: `none`, `about half`, `35 % (18 to 43)`.
    #[must_use]
    pub fn left_words(&self, estimated: Band, now: i64) -> String {
        match self.seen(&estimated, now) {
            Some(share) if share <= 0.0 => "none".to_owned(),
            Some(share) if share <= 0.5 => "about half".to_owned(),
            Some(_) => "most".to_owned(),
            None => report::percent_band(&times(&estimated, 100.0)),
        }
    }

    /// The latest word, when it is about this feeding, and what was written.
    fn wrote(&self) -> Option<(i64, &'static str)> {
        let (at, word) = self.said.filter(|(at, _)| *at >= self.fed_at)?;
        Some((at, left(word)?))
    }

    /// What it is a share of, and the latest word: `of what was fed on Sat 21
    /// Nov; ...`. `day` names a day.
    #[must_use]
    pub fn words(&self, day: &dyn Fn(i64) -> String) -> String {
        let of = format!("of what was fed on {}", day(self.fed_at));
        let Some((at, word)) = self.said else {
            return of;
        };
        let Some(left) = left(word) else {
            return of;
        };
        if at >= self.fed_at {
            format!("{of}; on {} you wrote: {left}", day(at))
        } else {
            format!(
                "{of}; of the food before it you wrote on {}: {left}",
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
        let food = state.last_food()?;
        Some(food.words(&|at| self.day_of(at)))
    }

    /// What was written of the last food beside what the model thinks of it,
    /// in a sentence; `None` where nothing was written of it.
    #[must_use]
    pub fn food_against(&self, state: &BinState, thought: &Band) -> Option<String> {
        let food = state.last_food()?;
        let (at, left) = food.wrote()?;
        let percent = report::percent_band(&times(thought, 100.0));
        let end = match food.seen(thought, state.now) {
            Some(_) => "; for today go by what you saw.",
            None => ".",
        };
        Some(format!(
            "You wrote \u{201c}{left}\u{201d} on {}, of what was fed on {}; by the model {percent} is left now{end}",
            self.day_of(at),
            self.day_of(food.fed_at)
        ))
    }

    fn day_of(&self, at: i64) -> String {
        report::date(self.clock.local(at).date(), self.clock.now().date())
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
        assert!(gone.left(half, 20 * DAY).high <= 0.0);
        assert_eq!(gone.left_words(half, 20 * DAY), "none");
        assert_eq!(
            gone.words(&day),
            "of what was fed on day 10; on day 12 you wrote: gone"
        );
        let before = said(8 * DAY, Word::FoodGone);
        assert!(!before.is_gone());
        assert_eq!(before.left(half, 13 * DAY), half);
        assert_eq!(before.left_words(half, 13 * DAY), "50 % (30 to 70)");
        assert_eq!(
            before.words(&day),
            "of what was fed on day 10; of the food before it you wrote on day 8: gone"
        );
    }
    #[test]
    fn food_seen_lately_goes_before_an_estimate_that_says_otherwise() {
        let little = Band {
            median: 0.05,
            low: 0.0,
            high: 0.3,
        };
        let half = said(12 * DAY, Word::FoodHalf);
        assert_eq!(half.left_words(little, 13 * DAY), "about half");
        assert!((half.left(little, 13 * DAY).median - 0.5).abs() < 1e-9);
        // It is eaten on: days later the estimate is taken again.
        assert_eq!(half.seen(&little, 20 * DAY), None);
        let much = Band {
            median: 0.4,
            low: 0.2,
            high: 0.6,
        };
        assert_eq!(half.seen(&much, 13 * DAY), None, "they agree");
        // It is decided by what was written all the same, for some days.
        assert_eq!(half.told(13 * DAY), Some(0.5));
        assert_eq!(half.told(20 * DAY), None);
        assert_eq!(said(12 * DAY, Word::FoodGone).told(20 * DAY), Some(0.0));
    }
}
