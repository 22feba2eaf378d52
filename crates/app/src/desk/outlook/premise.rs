//! What an outlook takes for given: the feeding and watering of the last four
//! weeks over again, changed as asked, and the air; each said in words.

use super::WhatIf;
use crate::desk::{BinState, Desk, DeskError};
use crate::report::{self, Units};
use engine::bed::fill::ready;
use engine::bed::product::Ranged;
use engine::estimate::ahead::{Act, Outlooker, Plan};
use engine::estimate::{Estimate, Track};
use engine::living::room::Day;
use engine::log::{Body, Measured};
use engine::quantity::Band;
use engine::what_if;

/// Members, and the most days looked ahead, by which water is sized.
const WATER_MEMBERS: usize = 100;
const WATER_DAYS: u32 = 112;
/// Days between waterings when it is kept topped up [d].
const WEEK: f64 = 7.0;
/// Moisture it is kept near: as it is now, held to this [% of wet mass].
const KEPT_PERCENT: (f64, f64) = (65.0, 80.0);
/// Least water worth pouring [kg a week].
const LEAST_KG: f64 = 0.05;
/// Most water a bin is thought to take [kg a week].
const MOST_KG: f64 = 16.0;
/// Halvings of the range in which the water is sought.
const HALVINGS: usize = 6;

/// What an outlook takes for given.
#[derive(Debug, Clone, Default)]
pub(super) struct Given {
    /// What is done.
    pub(super) plan: Plan,
    /// That in plain words.
    pub(super) words: Vec<String>,
    /// Feeding and watering, for behind a chance: `if it is fed 140 g a week
    /// and nobody waters it`.
    pub(super) premise: String,
    /// Somebody waters it.
    pub(super) watered: bool,
}

impl Desk {
    /// What is taken to be done in the days to come.
    pub(super) fn plan_ahead(
        &self,
        state: &BinState,
        e: &Estimate,
        asked: &WhatIf,
        days: u32,
    ) -> Result<Given, DeskError> {
        let mut plan = what_if::fed_times(e, asked.feed_times, f64::from(days));
        let mut more = Vec::new();
        if let Some(celsius) = asked.move_to {
            plan = what_if::moved(plan, there(e, celsius));
            let today = e.scene.day(e.now).floor();
            let as_now = |day: u32| e.scene.room.day(today + f64::from(day));
            plan.air = (0..asked.move_from).map(as_now).collect();
            more.push(format!(
                "moved to air of {}",
                report::celsius(celsius, self.units())
            ));
        }
        if !asked.air.is_empty() {
            let rest = plan.air.split_off(plan.air.len().min(asked.air.len()));
            plan.air = asked.air.iter().copied().chain(rest).collect();
            more.push(format!(
                "the air of the next {} days as given",
                asked.air.len()
            ));
        }
        if !asked.bedding.is_empty() {
            let parts = ready(self.tables, &asked.bedding, &self.own()?)?;
            let names: Vec<&str> = parts.iter().map(|p| p.name.as_str()).collect();
            more.push(format!("bedding added today: {}", names.join(", ")));
            plan = what_if::with_bedding(plan, parts, 0.0);
        }
        let fed = fed_words(e, asked.feed_times, self.units());
        let (water, kg) = if asked.top_up {
            let kg = self.topped_up(state, e, &mut plan, days)?;
            (topped_words(kg, e, self.units()), kg)
        } else {
            let kg = what_if::watering(e).map_or(0.0, |(every, kg)| WEEK * kg.value / every);
            (watered_words(kg, self.units()), kg)
        };
        if let Some((from, to)) = asked.away {
            plan = what_if::away(plan, from, to);
            more.insert(
                0,
                format!("nobody feeds or waters from day {from:.0} to day {to:.0}"),
            );
        }
        let mut words = vec![format!("{}, {water}", fed.said)];
        words.extend(more);
        Ok(Given {
            premise: premise(&fed.briefly, kg, self.units()),
            watered: kg > 0.0,
            plan,
            words,
        })
    }

    /// Waters once a week, so much that the middle of the range stays as moist
    /// as it is [kg a week].
    fn topped_up(
        &self,
        state: &BinState,
        e: &Estimate,
        plan: &mut Plan,
        days: u32,
    ) -> Result<f64, DeskError> {
        plan.acts.retain(|(_, act)| !matches!(act, Act::Water(_)));
        let few = e.ensemble.thinned(WATER_MEMBERS);
        let outlooker = Outlooker::new(self.tables, e, state.temperature)?;
        let over = days.clamp(14, WATER_DAYS);
        let moist_with = |kg: f64| {
            let tried = watered_weekly(plan.clone(), kg, over);
            let course = outlooker.ahead(&few, &tried, over).course;
            let last = course.len().saturating_sub(WEEK as usize);
            let week = &course[last..];
            let sum: f64 = week.iter().map(|m| m.band(Track::Moisture).median).sum();
            sum / week.len().max(1) as f64
        };
        let kept = moist_now(e);
        if moist_with(0.0) >= kept {
            return Ok(0.0);
        }
        let (mut low, mut high) = (0.0, 0.5);
        while moist_with(high) < kept && high < MOST_KG {
            (low, high) = (high, 2.0 * high);
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if moist_with(middle) < kept {
                low = middle;
            } else {
                high = middle;
            }
        }
        if high < LEAST_KG {
            return Ok(0.0);
        }
        *plan = watered_weekly(std::mem::take(plan), high, days);
        Ok(high)
    }

    /// The air at a bin as the model takes it now, and where it has that from.
    #[must_use]
    pub fn air_taken(&self, state: &BinState) -> Option<(Band, String)> {
        let e = state.estimated().ok()?;
        let today = e.scene.room.day(e.scene.day(e.now).floor());
        let room = f64::midpoint(today.low, today.high);
        let band = (e.ensemble).band(|m| room + m.nature.room_offset + m.life.room_wander);
        let read = |e: &engine::log::Entry| {
            matches!(&e.body, Body::Reading(r)
                if matches!(r.what, Measured::AirCelsius | Measured::BeddingCelsius))
        };
        let taught = if state.log.iter().any(read) {
            ", moved by the temperatures you read in this bin"
        } else {
            ", less or more by the spot it stands in"
        };
        let units = self.units();
        let words = format!(
            "The air there is taken as {}: the room of {} under Settings{taught}.",
            report::celsius_band(&band, units),
            report::celsius(self.room().0, units)
        );
        Some((band, words))
    }
}

/// A day of such air at a new spot. The keeper says how warm it is there, so
/// what was learnt of the old spot against its room is taken off again.
pub(in crate::desk) fn there(e: &Estimate, celsius: f64) -> Day {
    let spot = e.ensemble.band(|m| m.nature.room_offset).median;
    Day::around(celsius - spot, e.scene.priors.constants.usual_swing)
}

fn moist_now(e: &Estimate) -> f64 {
    let now = e.moment.band(Track::Moisture).median;
    now.clamp(KEPT_PERCENT.0, KEPT_PERCENT.1)
}

fn watered_weekly(mut plan: Plan, kg: f64, days: u32) -> Plan {
    if kg > 0.0 {
        let weekly = (0..)
            .map(|week| WEEK * (f64::from(week) + 0.5))
            .take_while(|at| *at < f64::from(days));
        let poured = Ranged::exactly(kg);
        plan.acts.extend(weekly.map(|at| (at, Act::Water(poured))));
    }
    plan
}

/// How it is fed, as a line of the plan and behind a chance.
struct Feeding {
    said: String,
    briefly: String,
}

fn fed_words(e: &Estimate, times: f64, units: Units) -> Feeding {
    let habit = what_if::habit(e).filter(|_| times > 0.0);
    let Some(habit) = habit else {
        return Feeding {
            said: "not fed".to_owned(),
            briefly: "not fed".to_owned(),
        };
    };
    let every = habit.every_days.max(e.scene.tuning.one_feeding_days);
    let grams = report::grams(WEEK * times * habit.grams / every, units);
    let as_lately = if times == 1.0 {
        "as in the last four weeks".to_owned()
    } else {
        format!("{times} times what it had in the last four weeks")
    };
    Feeding {
        said: format!("fed {grams} a week, {as_lately}"),
        briefly: format!("fed {grams} a week"),
    }
}

fn watered_words(kg: f64, units: Units) -> String {
    if kg > 0.0 {
        format!("watered {} a week, as lately", report::litres(kg, units))
    } else {
        "not watered".to_owned()
    }
}

fn topped_words(kg: f64, e: &Estimate, units: Units) -> String {
    let kept = report::percent(moist_now(e));
    if kg > 0.0 {
        format!(
            "water kept topped up: about {} once a week, to stay near {kept} moist",
            report::litres(kg, units)
        )
    } else {
        format!("water kept topped up: none is needed to stay near {kept} moist")
    }
}

fn premise(fed: &str, kg: f64, units: Units) -> String {
    let water = if kg > 0.0 {
        format!("and given {} of water a week", report::litres(kg, units))
    } else {
        "and given no water".to_owned()
    };
    format!("if it is {fed} {water}")
}
