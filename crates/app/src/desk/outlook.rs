//! The days to come of one bin, under the plan the keeper follows now or a
//! what-if.

use super::{BinState, Desk, DeskError};
use crate::report::Units;
use engine::bed::fill::ready;
use engine::bounds::Bound;
use engine::estimate::ahead::{Act, Ahead, Outlooker, Plan};
use engine::estimate::{Ensemble, Estimate, Possible};
use engine::living::room::Day;
use engine::living::signs::Signs;
use engine::living::trouble::Trouble;
use engine::log::Part;
use engine::what_if;
use std::sync::{Arc, PoisonError};

/// Days an outlook may reach.
pub const OUTLOOK_DAYS: Bound = Bound {
    name: "days ahead",
    unit: "days",
    low: 1.0,
    high: 365.0,
    why: "a year; further ahead the bands say nothing",
};
/// How many times the present feed.
pub const FEED_TIMES: Bound = Bound {
    name: "times the present feed",
    unit: "times",
    low: 0.0,
    high: 10.0,
    why: "ten times the usual drowns any bin",
};
/// Air a bin may be moved to.
pub const AIR_CELSIUS: Bound = Bound {
    name: "air",
    unit: "°C",
    low: -40.0,
    high: 60.0,
    why: "colder or hotter is no place on this planet",
};

/// Days looked ahead for what is worth doing now.
pub const SOON_DAYS: u32 = 14;
/// Members that look.
const SOON_MEMBERS: usize = 400;
/// Members looked ahead with up to [`NEAR_DAYS`], and beyond.
const NEAR_MEMBERS: usize = 600;
const FAR_MEMBERS: usize = 300;
/// Days for which the ensemble is thinned less [d].
const NEAR_DAYS: u32 = 60;
/// Outlooks kept with a state.
const KEPT: usize = 8;

/// What to look ahead with instead of the present plan.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIf {
    /// How many times the present feed; 0 stops feeding.
    pub feed_times: f64,
    /// Moved to a place of this mean air [°C].
    pub move_to: Option<f64>,
    /// Days from now to that move [d].
    pub move_from: u32,
    /// Bedding added today.
    pub bedding: Vec<Part>,
    /// Nobody feeds or waters from day to day [d from now].
    pub away: Option<(f64, f64)>,
    /// The air of the next days.
    pub air: Vec<Day>,
}

impl Default for WhatIf {
    fn default() -> Self {
        Self {
            feed_times: 1.0,
            move_to: None,
            move_from: 0,
            bedding: Vec::new(),
            away: None,
            air: Vec::new(),
        }
    }
}

impl WhatIf {
    /// Whether it is just the present plan.
    #[must_use]
    pub fn is_present(&self) -> bool {
        *self == Self::default()
    }
}

/// The days to come.
#[derive(Debug, Clone)]
pub struct Outlook {
    /// What is taken to be done, in plain words.
    pub plan: Vec<String>,
    /// What is taken to be done: days from now [d].
    pub acts: Vec<(f64, Act)>,
    /// How it goes.
    pub ahead: Ahead,
    /// Chance that a tenth of the worms die or leave beyond the deaths of any
    /// bin in good conditions [0 to 1].
    pub losing_worms: f64,
}

/// The next fortnight under the present plan.
#[derive(Debug)]
pub struct Soon {
    /// How it goes.
    pub ahead: Ahead,
    /// The ensemble it began with.
    pub from: Ensemble,
    /// Its signs.
    pub signs: Vec<Signs>,
    /// Members that meet trouble, 1, or do not, 0.
    pub troubled: Vec<f64>,
}

impl Desk {
    /// The days to come of a bin.
    ///
    /// # Errors
    /// [`DeskError`] when there is no estimate or something of the plan cannot
    /// be used.
    pub fn outlook(
        &self,
        state: &BinState,
        what_if: &WhatIf,
        days: u32,
    ) -> Result<Outlook, DeskError> {
        OUTLOOK_DAYS.check(f64::from(days))?;
        FEED_TIMES.check(what_if.feed_times)?;
        if let Some(t) = what_if.move_to {
            AIR_CELSIUS.check(t)?;
        }
        let e = state.estimated()?;
        let outlooker = Outlooker::new(&self.tables, e, state.temperature)?;
        let (plan, words) = self.plan_ahead(e, what_if, days)?;
        let mut bar = self.bar("looking ahead");
        let from = e.ensemble.thinned(members_for(days));
        let mut worm_days = vec![0.0; from.members.len()];
        let mut ahead = outlooker.ahead_seen(&from, &plan, days, &mut |day, signs| {
            bar.at(f64::from(day) / f64::from(days));
            if day > 0 {
                for (sum, s) in worm_days.iter_mut().zip(signs) {
                    *sum += s.worms;
                }
            }
        });
        ahead.course = state.shown_course(&ahead.course);
        Ok(Outlook {
            losing_worms: losing(&from, &ahead.ensemble, &worm_days),
            plan: words,
            acts: plan.acts,
            ahead,
        })
    }

    /// The days to come under the present plan; kept with the state.
    ///
    /// # Errors
    /// As [`Desk::outlook`].
    pub fn outlook_as_now(&self, state: &BinState, days: u32) -> Result<Arc<Outlook>, DeskError> {
        let lock = || state.ahead.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(kept) = lock().get(&days) {
            return Ok(Arc::clone(kept));
        }
        // Not under the lock: another page of the same bin must not wait.
        let made = Arc::new(self.outlook(state, &WhatIf::default(), days)?);
        let mut kept = lock();
        if kept.len() >= KEPT {
            kept.clear();
        }
        Ok(Arc::clone(kept.entry(days).or_insert(made)))
    }

    /// The next fortnight under the present plan; kept with the state.
    ///
    /// # Errors
    /// As [`Desk::outlook`].
    pub fn soon<'a>(&self, state: &'a BinState) -> Result<&'a Soon, DeskError> {
        if let Some(kept) = state.soon.get() {
            return Ok(kept);
        }
        let e = state.estimated()?;
        let outlooker = Outlooker::new(&self.tables, e, state.temperature)?;
        let (plan, _) = self.plan_ahead(e, &WhatIf::default(), SOON_DAYS)?;
        let from = e.ensemble.thinned(SOON_MEMBERS);
        let mut troubled = vec![0.0; from.members.len()];
        let limits = outlooker.limits();
        let ahead = outlooker.ahead_seen(&from, &plan, SOON_DAYS, &mut |_, signs| {
            for (met, s) in troubled.iter_mut().zip(signs) {
                let bad = |t: &&Trouble| t.is_bad() && limits.meets(**t, s);
                if Trouble::ALL.iter().any(|t| bad(&t)) {
                    *met = 1.0;
                }
            }
        });
        let signs = from.signs(&e.scene);
        Ok(state.soon.get_or_init(|| Soon {
            ahead,
            from,
            signs,
            troubled,
        }))
    }

    /// What is taken to be done in the days to come, and that in words: the
    /// feeding and watering of the last four weeks over again, changed as
    /// asked.
    fn plan_ahead(
        &self,
        e: &Estimate,
        asked: &WhatIf,
        days: u32,
    ) -> Result<(Plan, Vec<String>), DeskError> {
        let mut plan = what_if::fed_times(e, asked.feed_times, f64::from(days));
        let mut words = vec![said(&plan, asked.feed_times, days, self.units())];
        if let Some((from, to)) = asked.away {
            plan = what_if::away(plan, from, to);
            words.push(format!(
                "nobody feeds or waters from day {from:.0} to day {to:.0}"
            ));
        }
        if let Some(celsius) = asked.move_to {
            plan = what_if::moved(
                plan,
                Day::around(celsius, e.scene.priors.constants.usual_swing),
            );
            let today = e.scene.day(e.now).floor();
            let as_now = |day: u32| e.scene.room.day(today + f64::from(day));
            plan.air = (0..asked.move_from).map(as_now).collect();
            words.push(format!(
                "moved to air of {}",
                crate::report::celsius(celsius, self.units())
            ));
        }
        if !asked.air.is_empty() {
            let rest = plan.air.split_off(plan.air.len().min(asked.air.len()));
            plan.air = asked.air.iter().copied().chain(rest).collect();
            words.push(format!(
                "the air of the next {} days as given",
                asked.air.len()
            ));
        }
        if !asked.bedding.is_empty() {
            let parts = ready(&self.tables, &asked.bedding, &self.own()?)?;
            let names: Vec<&str> = parts.iter().map(|p| p.name.as_str()).collect();
            words.push(format!("bedding added today: {}", names.join(", ")));
            plan = what_if::with_bedding(plan, parts, 0.0);
        }
        Ok((plan, words))
    }
}

/// Share of the worms of which it is said that they are lost.
const MANY: f64 = 0.1;

/// Chance that more than [`MANY`] of the worms died or left, deaths of good
/// conditions through so many `worm_days` left out [0 to 1].
fn losing(from: &Ensemble, to: &Ensemble, worm_days: &[f64]) -> f64 {
    let gone = |m: &Possible| m.life.lately.died + m.life.lately.left;
    let both = from.members.iter().zip(&to.members);
    both.zip(worm_days)
        .zip(&to.weights)
        .filter(|(((before, after), days), _)| {
            let worms = before.life.worms.number();
            let usual = before.vital.death_per_day * **days;
            worms > 0.5 && gone(after) - gone(before) - usual > MANY * worms
        })
        .map(|(_, weight)| weight)
        .sum::<f64>()
        .min(1.0)
}

/// Members to look so far ahead with: far off, the plan and the air say less
/// than more members would.
fn members_for(days: u32) -> usize {
    if days > NEAR_DAYS {
        FAR_MEMBERS
    } else {
        NEAR_MEMBERS
    }
}

fn said(plan: &Plan, feed_times: f64, days: u32, units: Units) -> String {
    let fed: Vec<f64> = plan
        .acts
        .iter()
        .filter_map(|(_, act)| match act {
            Act::Feed(parts) => Some(parts.iter().map(|p| p.grams.value).sum()),
            _ => None,
        })
        .collect();
    let watered = plan.acts.iter().any(|(_, a)| matches!(a, Act::Water(_)));
    let water = if watered {
        "watered as lately"
    } else {
        "not watered"
    };
    if fed.is_empty() {
        return format!("not fed, {water}");
    }
    let per_week = 7.0 * fed.iter().sum::<f64>() / f64::from(days.max(1));
    let as_lately = if feed_times == 1.0 {
        "as in the last four weeks".to_owned()
    } else {
        format!("{feed_times} times what it had in the last four weeks")
    };
    format!(
        "fed {} a week, {as_lately}, {water}",
        crate::report::grams(per_week, units)
    )
}
