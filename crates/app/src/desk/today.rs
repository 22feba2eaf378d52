//! What is worth doing today, over all bins.

use super::living::RationWish;
use super::outlook::SOON_DAYS;
use super::{BinState, Desk, DeskError, Level};
use engine::living::trouble::Trouble;
use engine::log::BinId;
use std::sync::Arc;

/// Chance from which an alarm is worth a word [0 to 1].
pub const WORTH_SAYING: f64 = 0.1;
/// Chance from which to act on it; under it, to look.
pub const ACT_ON: f64 = 0.5;
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
            why: attention.why.clone(),
            by_days,
            if_it_waits: attention.if_it_waits.clone(),
            chance: None,
        });
        if state.estimate.is_err() || !state.stocked {
            return Ok(());
        }
        let dealt_with: Vec<Trouble> = attention.wrong.iter().filter_map(|w| said(w)).collect();
        self.alarms(state, &dealt_with, tasks)?;
        if self.fit_to_feed(state)? {
            self.feeding(state, tasks)?;
        }
        Ok(())
    }

    /// No feeding while something is there that food makes worse.
    fn fit_to_feed(&self, state: &BinState) -> Result<bool, DeskError> {
        let worse = [
            Trouble::TooHot,
            Trouble::Freezing,
            Trouble::Drowning,
            Trouble::Souring,
            Trouble::Ammonia,
        ];
        let alarms = &self.soon(state)?.ahead.alarms;
        Ok(!alarms
            .iter()
            .any(|a| worse.contains(&a.trouble) && a.now >= ACT_ON))
    }

    /// Alarms of the next fortnight, those left out that the first line of the
    /// bin deals with already.
    fn alarms(
        &self,
        state: &BinState,
        dealt_with: &[Trouble],
        tasks: &mut Vec<Task>,
    ) -> Result<(), DeskError> {
        let alarms = &self.soon(state)?.ahead.alarms;
        let causes = alarms.iter().any(|a| {
            (a.trouble < Trouble::Leaving || a.trouble == Trouble::Salty)
                && a.in_all() >= WORTH_SAYING
        });
        for alarm in alarms {
            let chance = alarm.in_all();
            let Some(day) = alarm.day_of(WORTH_SAYING) else {
                continue;
            };
            // Worms flee something: the cause is said. Food is seen to below.
            let said = match alarm.trouble {
                Trouble::Leaving => causes,
                Trouble::Starving => true,
                Trouble::Ready => chance < ACT_ON,
                other => dealt_with.contains(&other),
            };
            if said {
                continue;
            }
            let words = Remedy::of(alarm.trouble);
            let likely = chance >= ACT_ON;
            let percent = crate::report::percent(100.0 * chance);
            let mut why = format!(
                "{}: a chance of {percent} within {SOON_DAYS} days, fed and watered as lately.",
                alarm.trouble.title(),
            );
            if !likely {
                why.push_str(&format!(
                    " If so: {}.",
                    engine::table::inside_a_sentence(words.act)
                ));
            }
            tasks.push(Task {
                bin: state.id,
                name: state.description.name.clone(),
                kind: if alarm.trouble == Trouble::Ready {
                    "harvest".to_owned()
                } else {
                    alarm.trouble.name().to_owned()
                },
                what: if likely { words.act } else { words.look }.to_owned(),
                why,
                // A day before the chance is worth a word.
                by_days: (day as f64 - 1.0).max(0.0),
                if_it_waits: words.waits.to_owned(),
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
                        crate::report::grams(p.grams, crate::report::Units::Metric)
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

/// What is said against a trouble.
pub struct Remedy {
    /// What to look for while it is in doubt.
    pub look: &'static str,
    /// What to do.
    pub act: &'static str,
    /// What happens if it waits.
    pub waits: &'static str,
}

impl Remedy {
    const fn new(look: &'static str, act: &'static str, waits: &'static str) -> Self {
        Self { look, act, waits }
    }

    /// What is said against `trouble`.
    #[must_use]
    pub fn of(trouble: Trouble) -> Self {
        match trouble {
            Trouble::TooHot => Self::new(
                "Feel how warm it is in the middle",
                "Stop feeding, open the bin up and move it to a cooler place",
                "Worms leave, or die within a day or two above 35 °C.",
            ),
            Trouble::Freezing => Self::new(
                "Look at the forecast and feel how cold it is in the middle",
                "Move it somewhere warmer or wrap it well",
                "Frozen worms do not come back; cocoons may.",
            ),
            Trouble::Drying => Self::new(
                "Squeeze a handful: a drop or two should come",
                "Sprinkle water until a squeeze gives a drop or two",
                "Worms go thin, and stop laying.",
            ),
            Trouble::Drowning => Self::new(
                "Squeeze a handful: no more than a few drops should come",
                "Mix in dry bedding and let it drain",
                "It sours, and worms climb out.",
            ),
            Trouble::Souring => Self::new(
                "Smell it, and look for slimy food",
                "Stop feeding, take sour food out and mix in dry bedding",
                "Worms crowd away from it and may leave.",
            ),
            Trouble::Ammonia => Self::new(
                "Smell whether it is sharp",
                "Stop feeding, turn it and mix in dry card",
                "Worms leave within days.",
            ),
            Trouble::Leaving => Self::new(
                "Look whether worms climb the walls or the lid",
                "Find out what they flee: heat, sour food, ammonia or standing water",
                "Those that find a way out do not come back.",
            ),
            Trouble::Crowding => Self::new(
                "Look how crowded the worms are",
                "Split it or move worms to a second bin",
                "They stop laying and stay small.",
            ),
            Trouble::Starving => Self::new(
                "Look whether worms are thin",
                "Feed a little more often",
                "Worms shrink and lay nothing.",
            ),
            Trouble::Salty => Self::new(
                "Measure the salt of a slurry, if you can",
                "Rinse with rain water and let it drain",
                "Worms eat and lay less.",
            ),
            Trouble::WetBase => Self::new(
                "Look for liquid in the base",
                "Drain the base and put dry card at the bottom",
                "The lowest layer goes airless and smells.",
            ),
            Trouble::Ready => Self::new(
                "Look whether it is dark and crumbly",
                "Harvest castings",
                "Nothing soon; in old castings worms slowly lay less.",
            ),
        }
    }
}

/// The trouble that a word of the first line means.
fn said(word: &str) -> Option<Trouble> {
    Some(match word {
        "acid" => Trouble::Souring,
        "ammonia" => Trouble::Ammonia,
        "wet" => Trouble::Drowning,
        "dry" => Trouble::Drying,
        "hot" => Trouble::TooHot,
        "salty" => Trouble::Salty,
        _ => return None,
    })
}
