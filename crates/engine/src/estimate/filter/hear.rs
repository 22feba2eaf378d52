//! One entry of the log, met by the ensemble.

use super::{DAY, FedThen, Given, Heard, Run};
use crate::bed::product::Action;
use crate::estimate::ensemble::Ensemble;
use crate::estimate::live::Living;
use crate::estimate::settled::Learned;
use crate::estimate::timeline::{Dosed, Event, HeardPh, Timed};
use crate::quantity::Band;
use crate::reading::combine::Z80;
use crate::reading::settling::Settling;

impl Run {
    /// Does or hears the event at a place in the script.
    pub(super) fn meet(&mut self, k: usize) {
        let script = &self.script;
        self.ensemble
            .each_by_hands(|m| script.meet(m, &script.events[k]));
        self.note(k);
        self.record();
    }

    /// Keeps what answers want to know of an event.
    fn note(&mut self, k: usize) {
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
                if let Some(learned) = self.settled.of(timed.id) {
                    self.heard.push(understood(timed, heard, (sd, learned)));
                }
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

fn understood(timed: &Timed, heard: &HeardPh, (sd, learned): (f64, &Learned)) -> Heard {
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
        bed: learned.ph,
        contradicted: learned.surprising,
        taught: learned.ph_spread,
        medium: heard.medium,
        reread_at,
    }
}
