//! The days to come of one bin, under the plan the keeper follows now or a
//! what-if.

mod premise;

pub(in crate::desk) use premise::there;

use super::{BinState, Desk, DeskError};
use engine::bounds::Bound;
use engine::estimate::ahead::{Act, Ahead, Outlooker};
use engine::estimate::{Ensemble, Possible};
use engine::living::room::Day;
use engine::living::signs::Signs;
use engine::living::trouble::Trouble;
use engine::log::Part;
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
    /// Watered once a week, so much that it stays as moist as now.
    pub top_up: bool,
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
            top_up: false,
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
    /// Feeding and watering, for behind a chance: `if it is fed 140 g a week
    /// and given no water`.
    pub premise: String,
    /// Somebody waters it.
    pub watered: bool,
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
    /// Signs of the members now.
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
        let outlooker = Outlooker::new(self.tables, e, state.temperature)?;
        let given = self.plan_ahead(state, e, what_if, days)?;
        let mut bar = self.bar("looking ahead");
        let from = e.ensemble.thinned(members_for(days));
        let mut worm_days = vec![0.0; from.members.len()];
        let mut ahead = outlooker.ahead_seen(&from, &given.plan, days, &mut |day, signs| {
            bar.at(f64::from(day) / f64::from(days));
            if day > 0 {
                for (sum, s) in worm_days.iter_mut().zip(signs) {
                    *sum += s.worms;
                }
            }
        });
        ahead.course = state.shown_course(&ahead.course);
        // Now is now: as all members have it, on every page.
        if let Some(first) = ahead.course.first_mut() {
            first.clone_from(&e.moment);
        }
        Ok(Outlook {
            losing_worms: losing(&from, &ahead.ensemble, &worm_days),
            plan: given.words,
            premise: given.premise,
            watered: given.watered,
            acts: given.plan.acts,
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
        let outlooker = Outlooker::new(self.tables, e, state.temperature)?;
        let plan = self
            .plan_ahead(state, e, &WhatIf::default(), SOON_DAYS)?
            .plan;
        let from = &e.ensemble;
        let mut troubled = vec![0.0; from.members.len()];
        let limits = outlooker.limits();
        let ahead = outlooker.ahead_seen(from, &plan, SOON_DAYS, &mut |_, signs| {
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
            signs,
            troubled,
        }))
    }
}

/// Share of the worms of which it is said that they are lost.
const MANY: f64 = 0.1;

/// Chance that more than [`MANY`] of the worms died or left, deaths of good
/// conditions through so many `worm_days` left out [0 to 1].
fn losing(from: &Ensemble, to: &Ensemble, worm_days: &[f64]) -> f64 {
    let gone = |m: &Possible| m.life.books.worms_died + m.life.books.worms_left;
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
