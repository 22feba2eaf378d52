//! Whether what is about to be heard goes against what is believed.

use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::live::Living;
use crate::estimate::script::Script;
use crate::estimate::timeline::{Event, Timed};
use crate::living::observe::Gauge;
use crate::living::signs::Signs;
use crate::log::Word;

/// Whether it does: told to the keeper, and other histories are sought then even
/// where all members are wrong alike.
pub(super) fn is_surprising(script: &Script, e: &Ensemble, timed: &Timed) -> bool {
    let t = &script.scene.tuning;
    match &timed.event {
        Event::Heard(heard) => {
            let key = &heard.instrument.key;
            let systematic = heard.instrument.systematic_sd();
            let known = e.members.iter().all(|m| m.bias.contains_key(key));
            let bias = |m: &Possible| m.bias.get(key).copied().unwrap_or(0.0);
            let (mean, spread) = e.moments(|m| m.bed.ph_met() + bias(m));
            let more = if known { 0.0 } else { systematic };
            let sd = spread.hypot(script.reading_sd(heard)).hypot(more);
            (heard.combined.mean - mean).abs() > t.ph_surprise * sd
        }
        Event::Smelt(words) | Event::Living(Living::Seen(words)) => {
            is_unlikely(script, e, words, t.surprising_word)
        }
        Event::Living(Living::Gauged(gauge)) => {
            far_off(e, &e.signs(&script.scene), gauge) > t.surprise
        }
        Event::Living(_)
        | Event::Filled(_)
        | Event::Added(_)
        | Event::Dosed(_)
        | Event::Turned
        | Event::Jars(_) => false,
    }
}

/// Whether one of the words has less than that chance.
fn is_unlikely(script: &Script, e: &Ensemble, words: &[Word], least: f64) -> bool {
    let signs = e.signs(&script.scene);
    let chance = |word: Word| -> f64 {
        let of = |s: &Signs| script.sayings.word_log_likelihood(word, s).exp();
        signs.iter().zip(&e.weights).map(|(s, w)| w * of(s)).sum()
    };
    words.iter().any(|w| chance(*w) < least)
}

/// How far a reading lies from what the ensemble expects, in standard
/// deviations of both together [-].
fn far_off(e: &Ensemble, signs: &[Signs], gauge: &Gauge) -> f64 {
    let expected: Vec<f64> = signs.iter().map(|s| gauge.expected(s)).collect();
    let mean: f64 = expected.iter().zip(&e.weights).map(|(x, w)| x * w).sum();
    let var: f64 = expected
        .iter()
        .zip(&e.weights)
        .map(|(x, w)| w * (x - mean).powi(2))
        .sum();
    (gauge.read() - mean).abs() / (var + gauge.sd().powi(2)).sqrt()
}
