//! What is worth doing today, over all bins.

use super::living::RationWish;
use super::outlook::SOON_DAYS;
use super::{BinState, Desk, DeskError, Level};
use engine::living::trouble::Trouble;
use engine::log::BinId;
use std::sync::Arc;

/// Chance from which an alarm is worth a word [0 to 1].
pub const WORTH_SAYING: f64 = 0.1;
/// Share of the last food left under which feeding is due.
const GONE: f64 = 0.2;
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
        let by_days = match attention.level {
            Level::Act | Level::Unknown => 0.0,
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
            why: attention.why,
            by_days,
            if_it_waits: attention.if_it_waits,
            chance: None,
        });
        if state.estimate.is_err() || !state.stocked {
            return Ok(());
        }
        self.alarms(state, tasks)?;
        self.feeding(state, tasks)
    }

    /// Alarms of the next fortnight.
    fn alarms(&self, state: &BinState, tasks: &mut Vec<Task>) -> Result<(), DeskError> {
        for alarm in &self.soon(state)?.ahead.alarms {
            let Some(day) = alarm.day_of(WORTH_SAYING) else {
                continue;
            };
            let words = remedy(alarm.trouble);
            let chance = alarm.in_all();
            tasks.push(Task {
                bin: state.id,
                name: state.description.name.clone(),
                kind: if alarm.trouble == Trouble::Ready {
                    "harvest".to_owned()
                } else {
                    alarm.trouble.name().to_owned()
                },
                what: words.0.to_owned(),
                why: format!(
                    "{}: a chance of {} within {SOON_DAYS} days, fed and watered as lately.",
                    alarm.trouble.title(),
                    crate::report::percent(100.0 * chance),
                ),
                // A day before the chance is worth a word.
                by_days: (day as f64 - 1.0).max(0.0),
                if_it_waits: words.1.to_owned(),
                chance: Some(chance),
            });
        }
        Ok(())
    }

    /// When feeding is due: when most of the last food is gone.
    fn feeding(&self, state: &BinState, tasks: &mut Vec<Task>) -> Result<(), DeskError> {
        let e = state.estimated()?;
        let soon = self.soon(state)?;
        let Some(fed_at) = e.fed.last().map(|f| f.at) else {
            self.feed_task(state, "Nothing was fed yet.", 0.0, tasks)?;
            return Ok(());
        };
        let days_ago = (e.now - fed_at) as f64 / 86_400.0;
        let left = engine::estimate::Track::FoodLeft
            .band(&soon.signs, &soon.from.weights)
            .median;
        if left < GONE || days_ago > FED_LONG_AGO {
            let why = format!(
                "Fed {} days ago; {} of it is left to be seen.",
                crate::report::decimals(days_ago, 0),
                crate::report::percent(100.0 * left)
            );
            return self.feed_task(state, &why, 0.0, tasks);
        }
        // Food fades about as it did so far.
        let rate = (1.0 / left.min(0.99)).ln() / days_ago.max(0.5);
        let days = ((left / GONE).ln() / rate).clamp(0.5, FED_LONG_AGO);
        let why = format!(
            "About {} of the last food is left; most of it should be gone by then.",
            crate::report::percent(100.0 * left)
        );
        let name = state.description.name.clone();
        tasks.push(Task {
            bin: state.id,
            name,
            kind: "feed".to_owned(),
            what: "Feed".to_owned(),
            why,
            by_days: days,
            if_it_waits: HUNGRY.to_owned(),
            chance: None,
        });
        Ok(())
    }

    fn feed_task(
        &self,
        state: &BinState,
        why: &str,
        by_days: f64,
        tasks: &mut Vec<Task>,
    ) -> Result<(), DeskError> {
        let fed = self.ration(state, &RationWish::default())?;
        let grams = fed.ration.grams.median;
        if grams <= 0.0 {
            return Ok(());
        }
        let what: Vec<String> = fed
            .parts
            .iter()
            .map(|p| {
                format!(
                    "{} of {}",
                    if p.measure.is_empty() {
                        crate::report::grams(p.grams, self.units())
                    } else {
                        p.measure.clone()
                    },
                    engine::table::inside_a_sentence(&p.name)
                )
            })
            .collect();
        tasks.push(Task {
            bin: state.id,
            name: state.description.name.clone(),
            kind: "feed".to_owned(),
            what: format!("Feed {}", what.join(" and ")),
            why: why.to_owned(),
            by_days,
            if_it_waits: HUNGRY.to_owned(),
            chance: None,
        });
        Ok(())
    }
}

const HUNGRY: &str =
    "Nothing for a week or two: worms live on the bedding, lay less, and then grow thin.";

/// What to do against a trouble, and what happens if it waits.
pub(crate) fn remedy(trouble: Trouble) -> (&'static str, &'static str) {
    match trouble {
        Trouble::TooHot => (
            "Stop feeding, open the bin up and move it to a cooler place",
            "Worms leave, or die within a day or two above 35 °C.",
        ),
        Trouble::Freezing => (
            "Move it somewhere warmer or wrap it well",
            "Frozen worms do not come back; cocoons may.",
        ),
        Trouble::Drying => (
            "Sprinkle water until a squeeze gives a drop or two",
            "Worms go thin, and stop laying.",
        ),
        Trouble::Drowning => (
            "Mix in dry bedding and let it drain",
            "It sours, and worms climb out.",
        ),
        Trouble::Souring => (
            "Stop feeding, take sour food out and mix in dry bedding",
            "Worms crowd away from it and may leave.",
        ),
        Trouble::Ammonia => (
            "Stop feeding, turn it and mix in dry card",
            "Worms leave within days.",
        ),
        Trouble::Leaving => (
            "Find out what they flee: heat, sour food, ammonia or standing water",
            "Those that find a way out do not come back.",
        ),
        Trouble::Crowding => (
            "Split it or move worms to a second bin",
            "They stop laying and stay small.",
        ),
        Trouble::Starving => ("Feed a little more often", "Worms shrink and lay nothing."),
        Trouble::Salty => (
            "Rinse with rain water and let it drain",
            "Worms eat and lay less.",
        ),
        Trouble::WetBase => (
            "Drain the base and put dry card at the bottom",
            "The lowest layer goes airless and smells.",
        ),
        Trouble::Ready => (
            "Harvest castings",
            "Nothing soon; in old castings worms slowly lay less.",
        ),
    }
}
