//! What answers want to know of the events of a log.

use super::{DAY, FedThen, Given, Heard};
use crate::bed::product::{Action, Ranged};
use crate::estimate::live::Living;
use crate::estimate::script::Script;
use crate::estimate::settled::Learned;
use crate::estimate::standing::Fold;
use crate::estimate::timeline::{Dosed, Event, HeardPh, Timed};
use crate::reading::combine::Z80;
use crate::reading::settling::Settling;
use crate::table::{TableError, Tables};

/// What is kept of them.
#[derive(Debug)]
pub(super) struct Notes {
    pub(super) heard: Vec<Heard>,
    pub(super) given: Vec<Given>,
    pub(super) fed: Vec<FedThen>,
    pub(super) watered: Vec<(i64, Ranged)>,
    pub(super) last_dose_at: Option<i64>,
    pub(super) wait_until: Option<i64>,
    pub(super) smelt_at: Option<i64>,
    pub(super) stocked: bool,
    wait_days: (f64, f64),
}

impl Notes {
    /// Of nothing yet.
    pub(super) fn of(tables: &Tables, stocked: bool) -> Result<Self, TableError> {
        Ok(Self {
            heard: Vec::new(),
            given: Vec::new(),
            fed: Vec::new(),
            watered: Vec::new(),
            last_dose_at: None,
            wait_until: None,
            smelt_at: None,
            stocked,
            wait_days: (
                tables.value("bed", "dose", "wait_ground_days")?,
                tables.value("bed", "dose", "wait_other_days")?,
            ),
        })
    }

    /// Keeps what is wanted of an event.
    pub(super) fn note(&mut self, script: &Script, fold: &Fold, timed: &Timed) {
        match &timed.event {
            Event::Dosed(dosed) => {
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
                self.given.extend(given(fold, timed, dosed));
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
                let sd = script.reading_sd(heard);
                if let Some(learned) = fold.settled.of(timed.id) {
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

fn given(fold: &Fold, timed: &Timed, dosed: &Dosed) -> Option<Given> {
    let base_meq = fold.ways()?.given(timed.id, &fold.ensemble.weights)?;
    Some(Given {
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
