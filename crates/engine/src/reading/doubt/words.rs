//! Words of one look that contradict each other.

use crate::log::Word;
use crate::reading::question::Question;

/// Words that cannot both be true of one look, with what each says.
const CONTRARY: [[(Word, &str); 2]; 5] = [
    [
        (Word::SqueezeDusty, "squeezed, it is dusty"),
        (Word::SqueezeStream, "squeezed, it gives a stream"),
    ],
    [
        (Word::SqueezeDusty, "squeezed, it is dusty"),
        (Word::SqueezeTrickle, "squeezed, it gives a trickle"),
    ],
    [
        (Word::SqueezeWeak, "squeezed, it gives no water"),
        (Word::SqueezeStream, "squeezed, it gives a stream"),
    ],
    [
        (Word::FoodGone, "the last food is gone"),
        (Word::FoodMost, "most of the last food is left"),
    ],
    [
        (Word::WormsStrayNone, "no worms are out at night"),
        (Word::WormsStrayMany, "many worms are out at night"),
    ],
];

/// Words of one look that cannot both be true.
pub(super) fn contradictions(words: &[Word]) -> Vec<Question> {
    CONTRARY
        .iter()
        .filter(|pair| pair.iter().all(|(w, _)| words.contains(w)))
        .map(|[(_, one), (_, other)]| Question::Contradiction { one, other })
        .collect()
}
