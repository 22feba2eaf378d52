//! What one keeper's words say of one possible bin, look after look: with the
//! keeper's own hands and nose, with words that are only said again, and with
//! the causes no law of the model knows.
//!
//! `p(w | last, x) = r [w = last] + (1 - r) p(w | x)`, with
//! `r = k e^(-days/τ)`: a word said again says little, a word changed says all.
//! That something strong was not said is held to the same rule.

use super::keeper::Keeper;
use super::question::{self, Answers, GROUPS, Group, QUESTIONS, Question};
use super::unseen::{CAUSES, Unseen};
use super::{LEAST, Sayings};
use crate::living::signs::Signs;
use crate::log::Word;
use serde::{Deserialize, Serialize};

/// What was said before: of each question the last answer, and its day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Said {
    masks: [u8; QUESTIONS],
    days: [f64; QUESTIONS],
    /// Day of the last entry with words [d].
    look: f64,
    /// Whether something strong was said in it, a bit a question.
    strong: u32,
}

impl Default for Said {
    /// Nothing, ever.
    fn default() -> Self {
        Self {
            masks: [0; QUESTIONS],
            days: [f64::NEG_INFINITY; QUESTIONS],
            look: f64::NEG_INFINITY,
            strong: 0,
        }
    }
}

impl Said {
    /// Keeps the answers of one entry.
    fn keep(&mut self, heard: &Heard, day: f64) {
        self.look = day;
        self.strong = 0;
        for question in Question::ALL {
            let (i, mask) = (question as usize, heard.masks[question as usize]);
            if mask != 0 {
                self.masks[i] = mask;
                self.days[i] = day;
            }
            if mask & question.strong_mask() != 0 {
                self.strong |= 1 << i;
            }
        }
    }
}

/// The words of one entry, by question.
pub(super) struct Heard {
    pub(super) masks: [u8; QUESTIONS],
    answered: [bool; GROUPS],
    /// Smells, and worms, of which nothing more is to be expected.
    told_smells: bool,
    told_worms: bool,
}

impl Heard {
    pub(super) fn of(words: &[Word]) -> Self {
        let mut masks = [0u8; QUESTIONS];
        let mut answered = [false; GROUPS];
        for word in words {
            let (question, mask) = question::asked(*word);
            masks[question as usize] |= mask;
            answered[question.group() as usize] = true;
        }
        Self {
            masks,
            answered,
            // "Earthy" has said already that no bad smell was there.
            told_smells: masks[Question::Earthy as usize] != 0,
            // Who tells that the worms are out of the bedding has looked at the
            // lid and has told of the worst: that nobody wrote of strays or of
            // dead in the bedding says nothing of how bad it is.
            told_worms: masks[Question::Place as usize] & question::OUT_OF_PLACE != 0
                || masks[Question::Strays as usize] & question::STRAYING != 0,
        }
    }

    /// Whether nothing was said of a question, and something could have been.
    pub(super) fn silent_of(&self, question: Question) -> bool {
        let told = match question.group() {
            Group::Smell => self.told_smells,
            Group::Worms => self.told_worms,
            _ => false,
        };
        self.masks[question as usize] == 0 && !told
    }

    /// Whether another question of its sense was answered.
    pub(super) fn near(&self, question: Question) -> bool {
        self.answered[question.group() as usize]
    }
}

/// How likely each cause makes an entry: what was said, and what was not, of
/// questions near what was answered and of others.
struct Likely {
    said: [f64; CAUSES],
    near: [f64; CAUSES],
    far: [f64; CAUSES],
}

/// Who looks at what: on this day [d], after what was said before.
struct Look<'a> {
    heard: Heard,
    signs: &'a Signs,
    keeper: &'a Keeper,
    said: Said,
    day: f64,
}

impl Sayings {
    /// Log likelihood of all words of one entry by this keeper in a bin of
    /// these signs, what was said before and a cause outside the model allowed
    /// for; both are brought to this day [d]. As
    /// [`Sayings::words_log_likelihood`] where the keeper is the default one
    /// and there is no cause. An entry without words says nothing. Always
    /// finite.
    pub fn words_heard(
        &self,
        words: &[Word],
        signs: &Signs,
        keeper: &Keeper,
        said: &mut Said,
        unseen: &mut Unseen,
        day: f64,
    ) -> f64 {
        if words.is_empty() {
            return 0.0;
        }
        unseen.carry(day, signs, &self.causes);
        let look = Look {
            heard: Heard::of(words),
            signs,
            keeper,
            said: *said,
            day,
        };
        let mut likely = Likely {
            said: [1.0; CAUSES],
            near: [1.0; CAUSES],
            far: [1.0; CAUSES],
        };
        let showed = self.hear(&look, &mut likely);
        self.hear_silence(&look, showed, &mut likely);
        let mut all = likely.said;
        let weight = |product: f64, weight: f64| {
            if product < 1.0 {
                weight * product.ln()
            } else {
                0.0
            }
        };
        for (cause, chance) in all.iter_mut().enumerate() {
            let silence = weight(likely.near[cause], self.silence_answered)
                + weight(likely.far[cause], self.silence_unasked);
            *chance *= silence.exp();
        }
        said.keep(&look.heard, day);
        unseen.weigh(&all)
    }

    /// Weighs what was said; gives which causes have shown themselves in it, a
    /// bit a cause.
    fn hear(&self, look: &Look<'_>, likely: &mut Likely) -> u8 {
        let (said, signs) = (&look.said, look.signs);
        let mut showed = 0;
        for question in Question::ALL {
            let i = question as usize;
            let mask = look.heard.masks[i];
            if mask == 0 {
                continue;
            }
            let again = self.keepers.repeats(look.keeper, look.day - said.days[i]);
            let same = if said.masks[i] == mask { again } else { 0.0 };
            let answers = self.answers_by(question, signs, look.keeper);
            let chance = |a: &Answers| {
                (same + (1.0 - again) * self.of_answers(question, mask, a)).max(LEAST)
            };
            let each = self.under_each(question, &answers, signs, chance);
            for (product, chance) in likely.said.iter_mut().zip(each) {
                *product *= chance;
            }
            for effect in &self.causes.effects {
                if effect.question == question && effect.shows & mask != 0 {
                    showed |= 1 << effect.cause;
                }
            }
        }
        showed
    }

    /// Weighs what was not said of strong things. Of a cause that has shown
    /// itself in what was said no more is to be expected.
    fn hear_silence(&self, look: &Look<'_>, showed: u8, likely: &mut Likely) {
        let (said, signs, heard) = (&look.said, look.signs, &look.heard);
        let again = self.keepers.repeats(look.keeper, look.day - said.look);
        for question in Question::STRONG {
            if !heard.silent_of(question) {
                continue;
            }
            let silent = said.strong >> question as usize & 1 == 0;
            let same = if silent { again } else { 0.0 };
            let answers = self.answers_by(question, signs, look.keeper);
            let strong = question.strong_mask();
            let not = |a: &Answers| {
                (same + (1.0 - again) * (1.0 - a.of_mask(strong)).max(LEAST)).max(LEAST)
            };
            let each = self.under_each(question, &answers, signs, not);
            let to = if heard.near(question) {
                &mut likely.near
            } else {
                &mut likely.far
            };
            for (cause, product) in to.iter_mut().enumerate() {
                let shown = showed >> cause & 1 == 1;
                *product *= each[if shown { 0 } else { cause }];
            }
        }
    }

    /// A chance taken from the answers under each cause, from those of the
    /// model.
    fn under_each(
        &self,
        question: Question,
        model: &Answers,
        signs: &Signs,
        chance: impl Fn(&Answers) -> f64,
    ) -> [f64; CAUSES] {
        let mut each = [chance(model); CAUSES];
        for effect in &self.causes.effects {
            if effect.question == question {
                each[effect.cause] = chance(&effect.on(model, signs));
            }
        }
        each
    }
}
