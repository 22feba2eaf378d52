//! One entry of the log, heard by the ensemble.

use super::{Along, DAY, FedThen, Given, Heard, Run};
use crate::bed::draw::normal;
use crate::bed::fill::ReadyPart;
use crate::bed::product::Action;
use crate::estimate::ensemble::{Possible, Weighed};
use crate::estimate::jar;
use crate::estimate::live::{self, Living};
use crate::estimate::timeline::{Dosed, Event, HeardPh, Jars, Timed};
use crate::quantity::Band;
use crate::reading::combine::Z80;
use crate::reading::settling::Settling;

impl Run {
    pub(super) fn hear(&mut self, timed: &Timed, along: &Along<'_>) {
        match &timed.event {
            Event::Filled(_) => {}
            Event::Added(parts) => self.add(parts),
            Event::Dosed(dosed) => self.dose(timed, dosed),
            Event::Turned => {
                let priors = &self.scene.priors;
                self.ensemble.each(|m, _| {
                    m.bed.turn();
                    m.life.fluff(priors);
                });
            }
            Event::Living(event) => {
                self.stocked |= matches!(event, Living::Stocked { .. });
                if let Living::Watered(kg) = event {
                    self.watered.push((timed.at, *kg));
                }
                if let Living::Fed(parts) = event {
                    self.fed.push(FedThen {
                        entry: timed.id,
                        at: timed.at,
                        grams: parts.iter().map(|p| p.grams.value).sum(),
                        parts: parts.clone(),
                    });
                }
                match (event, along.staged.get(&timed.id)) {
                    (Living::Stocked { .. }, Some(staged)) => {
                        let scene = &self.scene;
                        self.ensemble
                            .each_by_hands(|m, _| live::stock_staged(m, staged, scene));
                    }
                    _ => self.live(event),
                }
            }
            Event::Smelt(words) => {
                self.smelt_at = Some(timed.at);
                self.live(&Living::Seen(words.clone()));
            }
            Event::Heard(heard) => self.read(timed, heard),
            Event::Jars(jars) => self.jars(jars),
        }
        self.record();
    }

    fn live(&mut self, event: &Living) {
        let went = live::happen(&mut self.ensemble, &self.scene, &self.sayings, event);
        self.contradictions += usize::from(went == Some(Weighed::Contradicted));
    }

    fn add(&mut self, parts: &[ReadyPart]) {
        let (conditions, scene) = (&self.conditions, &self.scene);
        self.ensemble
            .each_by_hands(|m, g| live::add_bedding(m, g, parts, conditions, scene));
    }

    fn dose(&mut self, timed: &Timed, dosed: &Dosed) {
        let (conditions, scene) = (self.conditions.clone(), &self.scene);
        let mut bases = Vec::with_capacity(self.ensemble.members.len());
        self.ensemble.each(|m, g| {
            m.before_dose = Some(m.bed.ph());
            if let Some(parts) = &dosed.parts {
                let ph = m.bed.ph();
                let base = m.bed.base_to_reach(ph);
                live::add_bedding(m, g, parts, &conditions, scene);
                // An acid that passes brings no base that lasts.
                let lasts = dosed.product.action != Action::Passing;
                let given = 1000.0 * (base - m.bed.base_to_reach(ph));
                bases.push(if lasts { given } else { 0.0 });
                return;
            }
            let lot = dosed.product.draw(g);
            let grams = dosed.grams.draw_log(g);
            let contact = dosed.contact.draw(g);
            bases.push(1000.0 * lot.base(grams, &contact));
            lot.give(&mut m.bed, grams, &contact);
            let salt = lot.salt(grams, &contact);
            live::add_mineral(m, grams / 1000.0, salt, scene);
            live::warm(m, lot.slaking_kj(grams, &contact));
        });
        self.last_dose_at = Some(timed.at);
        let days = match dosed.product.action {
            Action::Ground | Action::Ash | Action::Caustic | Action::Sulphur => self.wait_days.0,
            _ => self.wait_days.1,
        };
        self.wait_until = Some(timed.at + (days * DAY) as i64);
        if let Some(base_meq) = Band::weighted(&bases, &self.ensemble.weights) {
            self.given.push(Given {
                entry: timed.id,
                at: timed.at,
                material: dosed.product.key.clone(),
                name: dosed.product.name.clone(),
                base_meq,
            });
        }
    }

    fn read(&mut self, timed: &Timed, heard: &HeardPh) {
        let key = &heard.instrument.key;
        let systematic = heard.instrument.systematic_sd();
        self.ensemble.each(|m, g| {
            let z = normal(g);
            m.bias.entry(key.clone()).or_insert(systematic * z);
        });
        let before = self.ensemble.moments(|m| m.bed.ph()).1;
        let local = heard.settling.is_local();
        let mut sd = heard.combined.random_sd.hypot(heard.place_sd);
        if local {
            sd = sd.max(self.local_sd);
        }
        let mean = heard.combined.mean;
        let shown = |m: &Possible| m.bed.ph_met() + m.bias.get(key).copied().unwrap_or(0.0);
        let tail = self.scene.tuning.tail_degrees;
        let weighed = self.ensemble.weigh_reading((mean, sd), shown, |_, m| {
            student_log(mean - shown(m), sd, tail)
        });
        let contradicted = weighed == Weighed::Contradicted;
        self.contradictions += usize::from(contradicted);
        let reread_at = match heard.settling {
            Settling::Settled => None,
            Settling::LocalAfterDose {
                reread_in_hours, ..
            }
            | Settling::LocalAfterWater {
                reread_in_hours, ..
            } => Some(timed.at + (reread_in_hours * 3600.0) as i64),
        };
        self.heard.push(Heard {
            entry: timed.id,
            at: timed.at,
            mean,
            half_width: Z80 * sd.hypot(systematic),
            spots: heard.reading.spots.len(),
            settling: heard.settling,
            bed: self.ensemble.band(|m| m.bed.ph()),
            contradicted,
            taught: (before, self.ensemble.moments(|m| m.bed.ph()).1),
            medium: heard.medium,
            reread_at,
        });
    }

    fn jars(&mut self, jars: &Jars) {
        let key = jars.instrument.key.clone();
        let bias_sd = jars.instrument.systematic_sd();
        let tuning = self.scene.tuning;
        let sd = jars.instrument.noise_sd.hypot(tuning.jar_scatter);
        let days = jars.test.hours / 24.0;
        let mut lots = Vec::with_capacity(self.ensemble.members.len());
        self.ensemble.each(|_, g| lots.push(jars.product.draw(g)));
        let weighed = self.ensemble.weigh(|i, m| {
            let e = jar::expected(
                &m.bed,
                &lots[i],
                jars.test.wet_bedding_grams,
                &jars.test.jars,
                days,
            );
            let bias = m.bias.get(&key).copied();
            let shifted: Vec<f64> = e.iter().map(|x| x + bias.unwrap_or(0.0)).collect();
            let left = if bias.is_some() {
                tuning.jar_bias_left
            } else {
                bias_sd
            };
            jar::log_likelihood(&shifted, &jars.test.jars, sd, left)
        });
        self.contradictions += usize::from(weighed == Weighed::Contradicted);
    }
}

/// Log density of Student's t with `df` degrees of freedom for a gap with scale
/// `sd`, up to a constant.
fn student_log(gap: f64, sd: f64, df: f64) -> f64 {
    let z = gap / sd;
    -0.5 * (df + 1.0) * (1.0 + z * z / df).ln()
}
