//! What is worth doing today, over all bins.

use super::attention::is_unread;
use super::coming::{Coming, coming, meant};
use super::living::{Fed, Helping, RationWish, held_words};
use super::outlook::SOON_DAYS;
use super::{Attention, BinState, Desk, DeskError, Level};
use engine::advice::Remedy;
use engine::living::trouble::{EVEN, Trouble};
use engine::log::BinId;
use engine::ration::Held;
use std::sync::Arc;

/// Share of the last food left under which feeding is due.
const GONE: f64 = 0.2;
/// Dry bedding not worth telling of under this [g].
const WORTH_GRAMS: f64 = 10.0;
/// Days after which to feed whatever is left.
const FED_LONG_AGO: f64 = 10.0;

/// Something worth doing.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// Bin.
    pub bin: BinId,
    /// Its name.
    pub name: String,
    /// What kind of thing, a stable word: `attention`, `feed`, `harvest`,
    /// or the name of a trouble.
    pub kind: String,
    /// What to do, or to look out for.
    pub what: String,
    /// Why.
    pub why: String,
    /// Days from now by which [d]; 0 for today.
    pub by_days: f64,
    /// What happens if it waits.
    pub if_it_waits: String,
    /// Chance of the trouble, when it is one [0 to 1].
    pub chance: Option<f64>,
    /// What the keeper saw of trouble in this bin, in sentences; with the first
    /// line of a bin only.
    pub seen: Vec<String>,
}

/// When feeding is due.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Due {
    /// Days from now [d].
    pub(super) days: f64,
    /// Why then.
    pub(super) why: String,
    /// By what is known now it is fed then; else it is looked at again.
    pub(super) wants_food: bool,
}

impl Due {
    fn in_days(days: f64, why: String) -> Self {
        Self {
            days,
            why,
            wants_food: true,
        }
    }
}

/// What is worth doing.
#[derive(Debug, Clone, PartialEq)]
pub struct Today {
    /// The most urgent first; only what is due today.
    pub now: Vec<Task>,
    /// What comes later, the soonest first.
    pub later: Vec<Task>,
    /// Days until the first thing to do [d]; `None` without any bin.
    pub nothing_until: Option<f64>,
    /// Bins looked at.
    pub bins: usize,
}

impl Desk {
    /// What is worth doing today.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn today(&self) -> Result<Today, DeskError> {
        let mut tasks = Vec::new();
        let bins = self.bins()?;
        for view in &bins {
            let state = self.bin(view.id)?;
            self.tasks(&state, &mut tasks)?;
        }
        tasks.sort_by(|a, b| a.by_days.total_cmp(&b.by_days));
        let first = tasks.first().map(|t| t.by_days);
        let (now, later) = tasks.into_iter().partition(|t| t.by_days < 1.0);
        Ok(Today {
            now,
            later,
            nothing_until: first,
            bins: bins.len(),
        })
    }

    fn tasks(&self, state: &Arc<BinState>, tasks: &mut Vec<Task>) -> Result<(), DeskError> {
        let attention = self.attention(state);
        let seen = self.seen_words(state);
        let by_days = match attention.level {
            Level::Act | Level::Unknown => 0.0,
            // What was seen does not wait for tomorrow.
            Level::Watch if !seen.is_empty() => 0.0,
            Level::Watch => attention.next_days.min(1.0),
            Level::Well => attention.next_days,
        };
        let what = if attention.level == Level::Well {
            "Look again".to_owned()
        } else {
            attention.line.clone()
        };
        tasks.push(Task {
            bin: state.id,
            name: state.description.name.clone(),
            kind: "attention".to_owned(),
            what,
            why: attention.why.clone(),
            by_days,
            if_it_waits: attention.if_it_waits.clone(),
            chance: None,
            seen,
        });
        if state.estimate.is_err() || !state.stocked {
            return Ok(());
        }
        let unread = state.estimate.as_ref().is_ok_and(is_unread);
        let coming = coming(&self.soon(state)?.ahead, unread);
        let acted = self.acted_on(state, &attention, &coming);
        self.seen_tasks(state, &attention, &acted, tasks);
        self.alarms(state, &attention, (&coming, &acted), tasks);
        self.feeding(state, tasks)
    }

    /// What is worth doing in one bin, its first line first.
    ///
    /// # Errors
    /// As [`Desk::today`].
    pub fn tasks_of(&self, state: &Arc<BinState>) -> Result<Vec<Task>, DeskError> {
        let mut tasks = Vec::new();
        self.tasks(state, &mut tasks)?;
        Ok(tasks)
    }

    /// Troubles that something is done about today: those of the first line,
    /// those seen, those likely.
    fn acted_on(&self, state: &BinState, first: &Attention, coming: &[Coming]) -> Vec<Trouble> {
        let meant = first.wrong.iter().filter_map(|w| meant(w));
        let line = first.trouble.filter(|_| first.level != Level::Well);
        let seen = self.seen(state).into_iter().filter_map(|s| s.trouble);
        let likely = coming.iter().filter(|c| c.act).map(|c| c.trouble);
        meant.chain(line).chain(seen).chain(likely).collect()
    }

    /// What is done about trouble that was seen, where the first line of the
    /// bin is about something else and nothing else that is done settles it.
    fn seen_tasks(
        &self,
        state: &BinState,
        attention: &Attention,
        acted: &[Trouble],
        tasks: &mut Vec<Task>,
    ) {
        for seen in self.seen(state) {
            let is_new = |t: &Trouble| attention.trouble != Some(*t) && !t.is_settled_by(acted);
            let Some(trouble) = seen.trouble.filter(is_new) else {
                continue;
            };
            let words = Remedy::of(trouble);
            tasks.push(Task {
                bin: state.id,
                name: state.description.name.clone(),
                kind: trouble.name().to_owned(),
                what: words.act.to_owned(),
                why: format!("{} {}", seen.sentence, words.why),
                by_days: 0.0,
                if_it_waits: words.waits.to_owned(),
                chance: None,
                seen: Vec::new(),
            });
        }
    }

    /// Alarms of the next fortnight, those left out that the first line of the
    /// bin deals with already.
    fn alarms(
        &self,
        state: &BinState,
        attention: &Attention,
        (coming, acted): (&[Coming], &[Trouble]),
        tasks: &mut Vec<Task>,
    ) {
        let seen = self.seen(state);
        for c in coming {
            let by_eye = seen.iter().any(|s| s.trouble == Some(c.trouble));
            // A harvest beside trouble that was seen makes two troubles.
            let waits = c.trouble == Trouble::Ready && seen.iter().any(|s| s.trouble.is_some());
            if by_eye || waits || c.trouble.is_settled_by(acted) {
                continue;
            }
            let first_line = attention.level != Level::Well;
            let dealt_with = (first_line && attention.trouble == Some(c.trouble))
                || attention.wrong.iter().any(|w| meant(w) == Some(c.trouble));
            // Food is seen to below.
            if dealt_with || c.trouble == Trouble::Starving {
                continue;
            }
            let words = Remedy::of(c.trouble);
            let percent = crate::report::chance(c.chance);
            let mut why = format!(
                "{}: a chance of {percent} within {SOON_DAYS} days, fed and watered as lately.",
                c.trouble.title(),
            );
            if !c.act {
                why.push_str(&format!(
                    " If so: {}.",
                    engine::table::inside_a_sentence(words.act)
                ));
            }
            tasks.push(Task {
                bin: state.id,
                name: state.description.name.clone(),
                kind: if c.trouble == Trouble::Ready {
                    "harvest".to_owned()
                } else {
                    c.trouble.name().to_owned()
                },
                what: c.what().to_owned(),
                why,
                by_days: c.by_days,
                if_it_waits: words.waits.to_owned(),
                chance: Some(c.chance),
                seen: Vec::new(),
            });
        }
    }

    /// When feeding is due. Never today where the ration worked out is nothing:
    /// then it is when to look again. `None` where there is nobody to feed.
    pub(super) fn feed_due(&self, state: &BinState) -> Result<Option<Due>, DeskError> {
        let Some(due) = self.mostly_gone(state)? else {
            return Ok(None);
        };
        if due.days >= 1.0 {
            return Ok(Some(match self.food_harms(state)? {
                None => due,
                Some(trouble) => Due {
                    why: held_words(Held::There(trouble)),
                    wants_food: false,
                    ..due
                },
            }));
        }
        let ration = &self.usual_ration(state)?.ration;
        if ration.grams.median > 0.0 {
            return Ok(Some(due));
        }
        let held = (ration.held.first()).map_or_else(String::new, |h| held_words(*h));
        Ok(Some(Due {
            days: ration.look_in_days.max(1.0),
            why: format!("{} No food is advised before then. {held}", due.why),
            wants_food: false,
        }))
    }

    /// Trouble that was seen, or as likely as not is there, and in which no food
    /// is given.
    fn food_harms(&self, state: &BinState) -> Result<Option<Trouble>, DeskError> {
        let harms = |t: &Trouble| t.is_fed_by_food() || *t == Trouble::Freezing;
        let seen = self.seen_at_feeding(state).into_iter().find(harms);
        let alarms = &self.soon(state)?.ahead.alarms;
        let here = alarms.iter().find(|a| harms(&a.trouble) && a.now >= EVEN);
        Ok(seen.or(here.map(|a| a.trouble)))
    }

    /// The ration as it is worked out when nothing is wished.
    pub(super) fn usual_ration<'a>(&self, state: &'a BinState) -> Result<&'a Fed, DeskError> {
        if let Some(kept) = state.fed.get() {
            return Ok(kept);
        }
        let found = self.ration(state, &RationWish::default())?;
        Ok(state.fed.get_or_init(|| found))
    }

    /// When most of the last food is gone.
    fn mostly_gone(&self, state: &BinState) -> Result<Option<Due>, DeskError> {
        if !state.stocked {
            return Ok(None);
        }
        let e = state.estimated()?;
        let soon = self.soon(state)?;
        let Some(fed_at) = e.fed.last().map(|f| f.at) else {
            let why = "Nothing was fed yet.".to_owned();
            return Ok(Some(Due::in_days(0.0, why)));
        };
        let days_ago = (e.now - fed_at) as f64 / 86_400.0;
        let ago = crate::report::count(days_ago.round() as usize, "day", "days");
        if state.last_food().is_some_and(|f| f.is_gone()) {
            let why = format!("Fed {ago} ago; you wrote that it is gone.");
            return Ok(Some(Due::in_days(0.0, why)));
        }
        let left = engine::estimate::Track::FoodLeft.band(&soon.signs, &e.ensemble.weights);
        let told = state.last_food().and_then(|f| f.told(state.now));
        let left = told.unwrap_or(left.median);
        let percent = crate::report::chance(left);
        if left < GONE || days_ago > FED_LONG_AGO {
            let why = format!("Fed {ago} ago; {percent} of it is left to be seen.");
            return Ok(Some(Due::in_days(0.0, why)));
        }
        // Food fades about as it did so far.
        let rate = (1.0 / left.min(0.99)).ln() / days_ago.max(0.5);
        let days = ((left / GONE).ln() / rate).clamp(0.5, FED_LONG_AGO);
        let then = if days < 1.0 {
            "within a day"
        } else {
            "by then"
        };
        let why =
            format!("About {percent} of the last food is left; most of it should be gone {then}.");
        Ok(Some(Due::in_days(days, why)))
    }

    fn feeding(&self, state: &BinState, tasks: &mut Vec<Task>) -> Result<(), DeskError> {
        let Some(due) = self.feed_due(state)? else {
            return Ok(());
        };
        if due.days < 1.0 {
            return self.feed_task(state, &due, tasks);
        }
        tasks.push(Task {
            bin: state.id,
            name: state.description.name.clone(),
            kind: "feed".to_owned(),
            what: if due.wants_food {
                "Feed"
            } else {
                "See whether it needs feeding"
            }
            .to_owned(),
            why: due.why,
            by_days: due.days,
            if_it_waits: HUNGRY.to_owned(),
            chance: None,
            seen: Vec::new(),
        });
        Ok(())
    }

    fn feed_task(
        &self,
        state: &BinState,
        due: &Due,
        tasks: &mut Vec<Task>,
    ) -> Result<(), DeskError> {
        let fed = self.usual_ration(state)?;
        let mut parts = fed.parts.clone();
        let dry = &fed.bedding;
        match parts.iter_mut().find(|p| p.material == dry.material) {
            Some(same) => *same = self.helping(&dry.material, same.grams + dry.grams),
            None if dry.grams >= WORTH_GRAMS => parts.push(dry.clone()),
            None => {}
        }
        let what: Vec<String> = parts.iter().map(helping).collect();
        tasks.push(Task {
            bin: state.id,
            name: state.description.name.clone(),
            kind: "feed".to_owned(),
            what: format!("Feed {}", what.join(" and ")),
            why: due.why.clone(),
            by_days: due.days,
            if_it_waits: HUNGRY.to_owned(),
            chance: None,
            seen: Vec::new(),
        });
        Ok(())
    }
}

/// So much of something in words.
fn helping(of: &Helping) -> String {
    let name = engine::table::inside_a_sentence(&of.name);
    if of.measure.is_empty() {
        let grams = crate::report::grams(of.grams, crate::report::Units::Metric);
        return format!("{grams} of {name}");
    }
    format!("{} of {name}", of.measure)
}

/// What happens when feeding waits.
pub const HUNGRY: &str =
    "Nothing for a week or two: worms live on the bedding, lay less, and then grow thin.";
