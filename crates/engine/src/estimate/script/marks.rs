//! What an observation tells apart: marks of one possible bin such that two bins
//! whose marks lie a distance of one from each other are told apart by about one
//! standard deviation. They steer where moves go, never what is believed.

use super::Script;
use crate::estimate::ensemble::Possible;
use crate::estimate::live::Living;
use crate::estimate::timeline::{Event, Timed};
use crate::living::observe::Question;
use crate::living::signs::Signs;
use crate::log::Word;

impl Script {
    /// Adds the marks of a bin by what is about to be heard. For words: twice the
    /// root of the chance of each answer, whose distance is that of Fisher and
    /// Rao; for measures: what is expected over its scatter.
    pub(crate) fn marks(&self, m: &Possible, timed: &Timed, out: &mut Vec<f64>) {
        let t = &self.scene.tuning;
        let signs = || m.signs(&self.scene);
        match &timed.event {
            Event::Smelt(words) => self.of_words(m, words, &signs(), out),
            Event::Heard(heard) => {
                let key = &heard.instrument.key;
                let bias = m.bias.get(key).copied().unwrap_or(0.0);
                out.push((m.bed.ph_met() + bias) / self.reading_sd(heard));
            }
            Event::Jars(_) => out.push(m.bed.buffer_at(m.bed.ph()).max(1e-9).ln() / t.mark_ln),
            Event::Living(living) => match living {
                Living::Seen(words) => self.of_words(m, words, &signs(), out),
                Living::Gauged(gauge) => {
                    let bias = m.gauge_bias[gauge.kind() as usize].unwrap_or(0.0);
                    out.push((gauge.expected(&signs()) + bias) / gauge.scatter());
                }
                Living::Counted(_) => {
                    let worms = signs().worms.max(1e-3).ln();
                    out.push((worms + m.keeper.count_ln) / t.mark_ln);
                }
                Living::Stood(_) => out.push(signs().litres.max(1e-6).ln() / t.mark_ln),
                Living::Weighed(_) => out.push(signs().contents_kg.max(1e-6).ln() / t.mark_ln),
                Living::Harvested(_) => {
                    out.push(signs().castings_dry_kg.max(1e-6).ln() / t.mark_ln);
                }
                Living::Tray(_) => out.push(signs().urge_to_leave / t.mark_ln),
                Living::Fed(_)
                | Living::Watered(_)
                | Living::Drained(_)
                | Living::Stocked { .. } => {}
            },
            Event::Filled(_) | Event::Added(_) | Event::Dosed(_) | Event::Turned => {}
        }
    }

    fn of_words(&self, m: &Possible, words: &[Word], signs: &Signs, out: &mut Vec<f64>) {
        for question in Question::ALL {
            if words.iter().any(|w| question.is_of(*w)) {
                let answers = self.sayings.answers_by(question, signs, &m.keeper);
                out.extend(
                    answers
                        .probabilities()
                        .iter()
                        .map(|p| 2.0 * p.max(0.0).sqrt()),
                );
            }
        }
    }
}
