//! What if: plans made from the keeper's present habit.
//!
//! The habit is how often and how much was fed and watered in the last four
//! weeks; a plan repeats it, or changes it: more food, none, another place,
//! more bedding, an absence, a spell of weather.

use crate::bed::fill::ReadyPart;
use crate::bed::product::Ranged;
use crate::estimate::Estimate;
use crate::estimate::ahead::{Act, Plan};
use crate::living::room::Day;

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// How the keeper feeds at present.
#[derive(Debug, Clone)]
pub struct Habit {
    /// Days between feedings, mean [d].
    pub every_days: f64,
    /// Wet feed at a time, mean [g].
    pub grams: f64,
    /// What is fed, as the last time, scaled to the mean amount.
    pub parts: Vec<ReadyPart>,
    /// Days from now to the next feeding [d].
    pub next_in_days: f64,
}

/// The keeper's habit over the last four weeks; `None` when nothing was fed in
/// them.
#[must_use]
pub fn habit(e: &Estimate) -> Option<Habit> {
    let t = &e.scene.tuning;
    let ago = |at: i64| (e.now - at) as f64 / DAY;
    // (days ago, grams) of each feeding, the last first.
    let mut times: Vec<(f64, f64)> = Vec::new();
    let mut last = None;
    for fed in e.fed.iter().rev() {
        let days = ago(fed.at);
        if !(0.0..=t.habit_days).contains(&days) || fed.grams <= 0.0 {
            continue;
        }
        last = last.or(Some(fed));
        match times.last_mut() {
            Some(last) if days - last.0 < t.one_feeding_days => last.1 += fed.grams,
            _ => times.push((days, fed.grams)),
        }
    }
    let last = last?;
    let grams = times.iter().map(|t| t.1).sum::<f64>() / times.len() as f64;
    let first = times.last().map_or(0.0, |t| t.0);
    let every_days = if times.len() > 1 {
        (first - times[0].0) / (times.len() - 1) as f64
    } else {
        t.usual_interval_days.max(times[0].0)
    };
    Some(Habit {
        every_days,
        grams,
        parts: times_as_much(&last.parts, grams / last.grams),
        next_in_days: (every_days - times[0].0).max(0.0),
    })
}

/// `times` as much of each part.
#[must_use]
pub fn times_as_much(parts: &[ReadyPart], times: f64) -> Vec<ReadyPart> {
    parts.iter().map(|p| p.times(times)).collect()
}

/// How the keeper waters at present: days between waterings [d] and how much
/// at a time [kg]; `None` when nothing was poured in the last four weeks. What
/// goes in on the day of filling belongs to the filling.
#[must_use]
pub fn watering(e: &Estimate) -> Option<(f64, Ranged)> {
    let habit_days = e.scene.tuning.habit_days;
    let days = |from: i64, to: i64| (to - from) as f64 / DAY;
    let lately = |at: i64| (0.0..=habit_days).contains(&days(at, e.now));
    let poured: Vec<Ranged> = e
        .watered
        .iter()
        .filter(|(at, _)| lately(*at) && days(e.filled_at, *at) >= 1.0)
        .map(|(_, kg)| *kg)
        .collect();
    let times = poured.len() as f64;
    let first = poured.first()?;
    let all: f64 = poured.iter().map(|kg| kg.value).sum();
    let over = days(e.filled_at, e.now).clamp(1.0, habit_days);
    Some((
        over / times,
        first.times(all / times / first.value.max(1e-9)),
    ))
}

/// The present habit kept up for `days`.
#[must_use]
pub fn present_plan(e: &Estimate, days: f64) -> Plan {
    fed_times(e, 1.0, days)
}

/// The present habit with `times` as much food each time, watered as now.
#[must_use]
pub fn fed_times(e: &Estimate, times: f64, days: f64) -> Plan {
    let mut plan = Plan::default();
    if let Some((every, kg)) = watering(e) {
        let mut at = every;
        while at < days {
            plan.acts.push((at, Act::Water(kg)));
            at += every;
        }
    }
    let Some(habit) = habit(e) else {
        return plan;
    };
    if times <= 0.0 {
        return plan;
    }
    let parts = times_as_much(&habit.parts, times);
    let every = habit.every_days.max(e.scene.tuning.one_feeding_days);
    let mut at = habit.next_in_days;
    while at < days {
        plan.acts.push((at, Act::Feed(parts.clone())));
        at += every;
    }
    plan
}

/// The plan with the bin moved now to a place with such days.
#[must_use]
pub fn moved(mut plan: Plan, to: Day) -> Plan {
    plan.moved_to = Some(to);
    plan
}

/// The plan with bedding added after `in_days`.
#[must_use]
pub fn with_bedding(mut plan: Plan, parts: Vec<ReadyPart>, in_days: f64) -> Plan {
    plan.acts.push((in_days.max(0.0), Act::Bedding(parts)));
    plan
}

/// The plan with nobody there from `from` to `to` days from now.
#[must_use]
pub fn away(mut plan: Plan, from: f64, to: f64) -> Plan {
    plan.acts.retain(|(at, _)| *at < from || *at >= to);
    plan
}

/// The plan with a spell of weather from `in_days` on; the air before it as it
/// is known to be, after it as it would have been.
#[must_use]
pub fn wave(e: &Estimate, mut plan: Plan, in_days: u32, spell: &[Day]) -> Plan {
    let today = e.scene.day(e.now).floor().max(0.0);
    let usual = |i: u32| {
        plan.moved_to
            .unwrap_or_else(|| e.scene.room.day(today + f64::from(i)))
    };
    plan.air = (0..in_days)
        .map(usual)
        .chain(spell.iter().copied())
        .collect();
    plan
}
