//! How likely one possible bin is by what was seen or measured.

use super::Script;
use crate::bed::draw::{Block, Chance};
use crate::estimate::ensemble::Possible;
use crate::estimate::jar;
use crate::estimate::live::Living;
use crate::estimate::timeline::{Event, HeardPh, Jars, Timed};
use crate::living::observe::Gauge;
use crate::living::signs::Signs;
use crate::log::Word;

impl Script {
    /// Whether an event is heard, as against only done.
    pub(crate) fn is_heard(&self, timed: &Timed) -> bool {
        match &timed.event {
            Event::Living(Living::Harvested(_) | Living::Stood(_)) => true,
            event => event.is_observation(),
        }
    }

    /// Log likelihood of what was seen or measured [-]; `None` for what was
    /// done. Only what is carried exactly changes with it: what the empty
    /// container weighs, the errors of instruments.
    pub(super) fn hear(&self, m: &mut Possible, timed: &Timed) -> Option<f64> {
        match &timed.event {
            Event::Filled(_) | Event::Added(_) | Event::Dosed(_) | Event::Turned => None,
            Event::Smelt(words) => {
                let signs = m.signs(&self.scene);
                Some(self.words(m, (words, timed.at), &signs))
            }
            Event::Heard(heard) => Some(self.read(m, heard)),
            Event::Jars(jars) => Some(self.jars(m, timed, jars)),
            Event::Living(living) => self.look(m, timed.at, living),
        }
    }

    fn look(&self, m: &mut Possible, at: i64, living: &Living) -> Option<f64> {
        let s = &self.sayings;
        let signs = match living {
            Living::Fed(_) | Living::Watered(_) | Living::Drained(_) | Living::Stocked { .. } => {
                return None;
            }
            _ => m.signs(&self.scene),
        };
        Some(match living {
            Living::Fed(_) | Living::Watered(_) | Living::Drained(_) | Living::Stocked { .. } => {
                return None;
            }
            Living::Harvested(kg) => s.harvest_log_likelihood(kg.value, &signs),
            Living::Seen(words) => self.words(m, (words, at), &signs),
            Living::Counted(found) => s.worm_count_log_likelihood_by(found, &signs, &m.keeper),
            Living::Gauged(gauge) => {
                let bias = Self::gauge_bias(m, gauge);
                gauge.biased_log_likelihood(&signs, bias)
            }
            Living::Stood(level) => level.log_likelihood(&signs),
            Living::Tray(test) => s.tray_log_likelihood(test, &signs),
            Living::Weighed(gross) => {
                let scene = &self.scene;
                let prior = || s.tare(scene.size_cm, scene.walls);
                let (log, tare) = s.mass(*gross, m.tare.unwrap_or_else(prior), &signs);
                m.tare = Some(tare);
                log
            }
        })
    }

    /// Words of the keeper, by their own hands and nose, what was said before and
    /// causes outside the model allowed for.
    fn words(&self, m: &mut Possible, (words, at): (&[Word], i64), signs: &Signs) -> f64 {
        let day = self.scene.day(at);
        let (keeper, said, unseen) = (&m.keeper, &mut m.said, &mut m.unseen);
        self.sayings
            .words_heard(words, signs, keeper, said, unseen, day)
    }

    /// Error of one other instrument, on the scale of what it shows.
    fn gauge_bias(m: &mut Possible, gauge: &Gauge) -> f64 {
        let kind = gauge.kind();
        if let Some(bias) = m.gauge_bias[kind as usize] {
            return bias;
        }
        let block = Block::instrument(kind.name());
        let bias = m.by_chance(block, |_, g| gauge.bias_sd() * g.normal());
        m.gauge_bias[kind as usize] = Some(bias);
        bias
    }

    /// Error of one pH instrument in this possible world [pH].
    fn bias(m: &mut Possible, key: &str, sd: f64) -> f64 {
        if let Some(bias) = m.bias.get(key) {
            return *bias;
        }
        let bias = m.by_chance(Block::instrument(key), |_, g| sd * g.normal());
        m.bias.insert(key.to_owned(), bias);
        bias
    }

    fn read(&self, m: &mut Possible, heard: &HeardPh) -> f64 {
        let instrument = &heard.instrument;
        let bias = Self::bias(m, &instrument.key, instrument.systematic_sd());
        let gap = heard.combined.mean - (m.bed.ph_met() + bias);
        let t = &self.scene.tuning;
        // What was asked about and is meant is no slip of the pen.
        let degrees = match heard.reading.confirmed {
            true => t.confirmed_degrees,
            false => t.tail_degrees,
        };
        student_log(gap, self.reading_sd(heard), degrees)
    }

    /// Scatter of a pH reading, its instrument's lasting error left out [pH].
    pub(crate) fn reading_sd(&self, heard: &HeardPh) -> f64 {
        let sd = heard.combined.random_sd.hypot(heard.place_sd);
        if heard.settling.is_local() {
            sd.max(self.local_sd)
        } else {
            sd
        }
    }

    fn jars(&self, m: &mut Possible, timed: &Timed, jars: &Jars) -> f64 {
        let tuning = &self.scene.tuning;
        let (test, instrument) = (&jars.test, &jars.instrument);
        let lot = m.by_chance(Block::Entry(timed.id.0), |_, g| jars.product.draw(g));
        let days = test.hours / 24.0;
        let e = jar::expected(&m.bed, &lot, test.wet_bedding_grams, &test.jars, days);
        let bias = m.bias.get(&instrument.key).copied();
        let shifted: Vec<f64> = e.iter().map(|x| x + bias.unwrap_or(0.0)).collect();
        let left = match bias {
            Some(_) => tuning.jar_bias_left,
            None => instrument.systematic_sd(),
        };
        let sd = instrument.noise_sd.hypot(tuning.jar_scatter);
        jar::log_likelihood(&shifted, &test.jars, sd, left)
    }
}

/// Log density of Student's t with `df` degrees of freedom for a gap with scale
/// `sd`, up to a constant.
fn student_log(gap: f64, sd: f64, df: f64) -> f64 {
    let z = gap / sd;
    -0.5 * (df + 1.0) * (1.0 + z * z / df).ln()
}
