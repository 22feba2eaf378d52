//! The line of a bin by what eyes, nose and hands told lately, where nothing
//! graver was read.

use super::{Attention, DAY, Level, range, told, water_and_salt};
use crate::desk::BinState;
use engine::estimate::Estimate;
use engine::living::trouble::Trouble;
use engine::log::Word;
use engine::table::Tables;

/// What was smelt, felt or measured; it explains worms on the move, which
/// make it as pressing as they are.
pub(super) fn cause(tables: &Tables, state: &BinState, e: &Estimate) -> Option<Attention> {
    let mut cause = by_smell(state).or_else(|| water_and_salt(tables, state))?;
    if let Some(moving) = worms_on_the_move(state, e) {
        cause.level = cause.level.min(moving.level);
    }
    Some(cause)
}

/// Soaked, rotten or sour: what makes a bed acid comes before an acid bed that
/// nobody read.
pub(super) fn is_airless(a: &Attention) -> bool {
    a.trouble.is_some_and(Trouble::is_fed_by_food)
}

/// Something smelt sour or rotten lately, and not sweet since.
fn by_smell(state: &BinState) -> Option<Attention> {
    let last = |word: Word| {
        let said = state.words.iter().filter(|(_, w)| *w == word);
        said.map(|(at, _)| *at).max()
    };
    let smelt = |word: Word| {
        let at = last(word).filter(|at| ((state.now - at) as f64) < 3.0 * DAY);
        at.is_some_and(|at| last(Word::SmellEarthy).is_none_or(|sweet| sweet < at))
    };
    let trouble = match (smelt(Word::SmellSour), smelt(Word::SmellRotten)) {
        (true, _) => Trouble::Souring,
        (_, true) => Trouble::Drowning,
        _ => return None,
    };
    Some(told(Level::Watch, trouble, ", by the smell", 1.0))
}

/// Worms climb or leave, and nothing known explains it.
pub(super) fn worms_on_the_move(state: &BinState, e: &Estimate) -> Option<Attention> {
    let recent = |words: &[Word]| {
        let days = |at: &i64| (state.now - at) as f64 / DAY;
        state
            .words
            .iter()
            .any(|(at, x)| words.contains(x) && days(at) < 3.0)
    };
    let left = recent(&[Word::WormsLeft]);
    (left || recent(&[Word::WormsClimbing, Word::WormsBalled])).then(|| {
        let level = if left { Level::Act } else { Level::Watch };
        let mut a = told(level, Trouble::Leaving, "", 1.0);
        a.why = format!(
            "{} The pH, {}, does not explain it. Look for warm spots, soaked or sour-smelling bedding, salt, or too much fresh food; worms just put in or moved also wander for some days.",
            if left {
                "Some were seen to leave."
            } else {
                "They were seen to climb or ball up."
            },
            range(&e.ph)
        );
        a
    })
}
