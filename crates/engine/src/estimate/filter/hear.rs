//! One entry of the log, met by the ensemble.

use super::{Along, DAY, FedThen, Given, Heard, Run};
use crate::bed::product::Action;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::live::Living;
use crate::estimate::moves::Now;
use crate::estimate::script::Script;
use crate::estimate::timeline::{Dosed, Event, HeardPh, Timed};
use crate::living::observe::Gauge;
use crate::living::signs::Signs;
use crate::log::Word;
use crate::quantity::Band;
use crate::reading::combine::Z80;
use crate::reading::settling::Settling;

impl Run {
    /// Does or hears the event at a place in the script; gives the share of
    /// members left in play by what was heard, before they were drawn anew.
    pub(super) fn meet(&mut self, k: usize, along: &Along<'_>) -> f64 {
        let surprising = is_surprising(&self.script, &self.ensemble, &self.script.events[k]);
        self.contradictions += usize::from(surprising);
        let before = self.ensemble.moments(|m| m.bed.ph()).1;
        let script = &self.script;
        self.ensemble
            .each_by_hands(|m| script.meet(m, &script.events[k]));
        let share = self.weigh(k, surprising, along);
        self.note(k, (before, surprising));
        self.record();
        share
    }

    fn weigh(&mut self, k: usize, surprising: bool, along: &Along<'_>) -> f64 {
        let events = &self.script.events[..=k];
        if !self.script.is_heard(&events[k]) {
            return 1.0;
        }
        // Who does things to the members every day cannot have them live again.
        if along.unmoved || along.daily.is_some() {
            self.ensemble.weigh(1.0);
            return self.ensemble.effective_share();
        }
        let now = Now {
            events: k + 1,
            heard: events.iter().filter(|e| self.script.is_heard(e)).count(),
            surprising,
        };
        self.moves.weigh(&mut self.ensemble, &self.script, now)
    }

    /// Keeps what answers want to know of an event.
    fn note(&mut self, k: usize, (before, surprising): (f64, bool)) {
        let timed = &self.script.events[k];
        match &timed.event {
            Event::Dosed(dosed) => {
                let given = given(&self.ensemble, timed, dosed);
                let days = match dosed.product.action {
                    Action::Ground | Action::Ash | Action::Caustic | Action::Sulphur => {
                        self.wait_days.0
                    }
                    Action::Soluble | Action::SourBedding | Action::Passing | Action::Inert => {
                        self.wait_days.1
                    }
                };
                self.last_dose_at = Some(timed.at);
                self.wait_until = Some(timed.at + (days * DAY) as i64);
                self.given.extend(given);
            }
            Event::Living(Living::Watered(kg)) => self.watered.push((timed.at, *kg)),
            Event::Living(Living::Fed(parts)) => self.fed.push(FedThen {
                entry: timed.id,
                at: timed.at,
                grams: parts.iter().map(|p| p.grams.value).sum(),
                parts: parts.clone(),
            }),
            Event::Living(Living::Stocked { .. }) => self.stocked = true,
            Event::Smelt(_) => self.smelt_at = Some(timed.at),
            Event::Heard(heard) => {
                let sd = self.script.reading_sd(heard);
                let after = self.ensemble.moments(|m| m.bed.ph()).1;
                let bed = self.ensemble.band(|m| m.bed.ph());
                let heard = understood(timed, heard, (sd, bed, (before, after), surprising));
                self.heard.push(heard);
            }
            Event::Living(_)
            | Event::Filled(_)
            | Event::Added(_)
            | Event::Turned
            | Event::Jars(_) => {}
        }
    }
}

fn given(e: &Ensemble, timed: &Timed, dosed: &Dosed) -> Option<Given> {
    let bases: Vec<f64> = e.members.iter().map(|m| m.given_meq).collect();
    Band::weighted(&bases, &e.weights).map(|base_meq| Given {
        entry: timed.id,
        at: timed.at,
        material: dosed.product.key.clone(),
        name: dosed.product.name.clone(),
        base_meq,
    })
}

fn understood(
    timed: &Timed,
    heard: &HeardPh,
    (sd, bed, taught, contradicted): (f64, Band, (f64, f64), bool),
) -> Heard {
    let reread_at = match heard.settling {
        Settling::Settled => None,
        Settling::LocalAfterDose {
            reread_in_hours, ..
        }
        | Settling::LocalAfterWater {
            reread_in_hours, ..
        } => Some(timed.at + (reread_in_hours * 3600.0) as i64),
    };
    Heard {
        entry: timed.id,
        at: timed.at,
        mean: heard.combined.mean,
        half_width: Z80 * sd.hypot(heard.instrument.systematic_sd()),
        spots: heard.reading.spots.len(),
        settling: heard.settling,
        bed,
        contradicted,
        taught,
        medium: heard.medium,
        reread_at,
    }
}

/// Whether what is about to be heard goes against what is believed: told to the
/// keeper, nothing is made of it.
fn is_surprising(script: &Script, e: &Ensemble, timed: &Timed) -> bool {
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
