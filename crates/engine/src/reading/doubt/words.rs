//! Words of one look that contradict each other.

use crate::log::Word;
use crate::reading::question::Question;

/// Words that cannot both be true of one look, with what each says.
const CONTRARY: &[[(Word, &str); 2]] = &[
    [DUSTY, SEVERAL],
    [DUSTY, TRICKLE],
    [DUSTY, STREAM],
    [WEAK, TRICKLE],
    [WEAK, STREAM],
    [GONE, (Word::FoodHalf, "half the last food is left")],
    [GONE, MOST],
    [(Word::FoodHalf, "half the last food is left"), MOST],
    [STAY, (Word::WormsStrayFew, "a few worms are out at night")],
    [STAY, MANY],
    [(Word::WormsStrayFew, "a few worms are out at night"), MANY],
    [STAY, LEFT],
    [SPREAD, LEFT],
    [SPREAD, (Word::WormsBalled, "worms are balled up")],
    [
        SPREAD,
        (Word::WormsAtEdge, "worms are at the edges or the bottom"),
    ],
    [
        (Word::WormsPlump, "worms are plump"),
        (Word::WormsThin, "worms are thin"),
    ],
    [
        (Word::FeelsWarm, "it feels warm"),
        (Word::FeelsCold, "it feels cold"),
    ],
];

const DUSTY: (Word, &str) = (Word::SqueezeDusty, "squeezed, it is dusty");
const WEAK: (Word, &str) = (Word::SqueezeWeak, "squeezed, it gives no water");
const SEVERAL: (Word, &str) = (Word::SqueezeSeveral, "squeezed, it gives several drops");
const TRICKLE: (Word, &str) = (Word::SqueezeTrickle, "squeezed, it gives a trickle");
const STREAM: (Word, &str) = (Word::SqueezeStream, "squeezed, it gives a stream");
const GONE: (Word, &str) = (Word::FoodGone, "the last food is gone");
const MOST: (Word, &str) = (Word::FoodMost, "most of the last food is left");
const STAY: (Word, &str) = (Word::WormsStrayNone, "no worms are out at night");
const MANY: (Word, &str) = (Word::WormsStrayMany, "many worms are out at night");
const LEFT: (Word, &str) = (Word::WormsLeft, "worms leave");
const SPREAD: (Word, &str) = (Word::WormsSpread, "worms are spread through the bedding");

/// Words of one look that cannot both be true.
pub(super) fn contradictions(words: &[Word]) -> Vec<Question> {
    CONTRARY
        .iter()
        .filter(|pair| pair.iter().all(|(w, _)| words.contains(w)))
        .map(|[(_, one), (_, other)]| Question::Contradiction { one, other })
        .collect()
}
