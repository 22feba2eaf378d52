//! The whole answer: is a dose needed, how much base, which materials would
//! do it, which must not be used, and the plan.

use crate::bed::product::{Action, Product};
use crate::dose::consequence::Rules;
use crate::dose::option::{self, Choice};
use crate::dose::plan::{self, Plan};
use crate::estimate::{Ensemble, Estimate, Possible};
use crate::measure::System;
use crate::quantity::Band;
use crate::table::{Material, TableError, Tables};

/// A material in the shed that might be used.
#[derive(Debug, Clone)]
pub struct ShedProduct {
    /// How it acts.
    pub product: Product,
    /// The material, with the keeper's own values.
    pub material: Material,
    /// How much there is [g]; `None` for plenty or not known.
    pub available_grams: Option<f64>,
}

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// The tables.
    pub tables: &'a Tables,
    /// How the bed stands.
    pub estimate: &'a Estimate,
    /// What is in the shed.
    pub shed: &'a [ShedProduct],
    /// Worms are in the bed.
    pub stocked: bool,
    /// pH wanted; ours when not given.
    pub target_ph: Option<f64>,
    /// Measures to speak in.
    pub system: System,
    /// Seed of the draws.
    pub seed: u64,
}

/// A question with the rules it is answered by.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked<'a> {
    ask: &'a Ask<'a>,
    pub(crate) rules: Rules,
}

impl<'a> std::ops::Deref for Asked<'a> {
    type Target = Ask<'a>;

    fn deref(&self) -> &Ask<'a> {
        self.ask
    }
}

/// Which way the bed must go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Up: it is acid.
    Raise,
    /// Down: it is over-limed.
    Lower,
    /// Nowhere: leave it.
    Stay,
}

/// A material that must not be used here, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Material key.
    pub material: String,
    /// Its name.
    pub name: String,
    /// Why not.
    pub reason: String,
}

/// Base already given.
#[derive(Debug, Clone, PartialEq)]
pub struct RunningTotal {
    /// Number of doses since the bin was filled.
    pub doses: usize,
    /// Base they carried [meq].
    pub given_meq: f64,
    /// Base in the bed that has not acted yet, from doses and from the chalk
    /// in paper and compost [meq].
    pub pending_meq: Band,
    /// pH the bed will come to from what is already in it.
    pub ph_to_come: Band,
}

/// The answer.
#[derive(Debug, Clone)]
pub struct Answer {
    /// Which way.
    pub direction: Direction,
    /// Why, in plain words.
    pub why: String,
    /// pH aimed at.
    pub target_ph: f64,
    /// Base needed beyond what is already in the bed [meq]; negative for acid.
    pub needed_base_meq: Band,
    /// Every usable material in the shed.
    pub options: Vec<Choice>,
    /// Materials that must not be used here.
    pub refused: Vec<Refused>,
    /// What to do.
    pub plan: Option<Plan>,
    /// What has been given so far.
    pub running: RunningTotal,
    /// Days until to look again, when nothing is to be done now.
    pub look_again_days: f64,
    /// Days until a further step may be given, while the last dose still acts.
    pub waiting_days: Option<f64>,
    /// What else would help, and sooner.
    pub also: Vec<String>,
}

/// Answers a question about dosing.
///
/// # Errors
/// [`TableError`] when a number is missing.
pub fn answer(ask: &Ask<'_>) -> Result<Answer, TableError> {
    let rules = Rules::from_tables(ask.tables)?;
    let ask = &Asked { ask, rules };
    let e = ask.estimate;
    let (direction, why) = decide(e, ask.target_ph, ask.stocked, &rules);
    let target_ph = ask.target_ph.unwrap_or(match direction {
        Direction::Lower => rules.target_down,
        _ => rules.target_up,
    });
    let need = |m: &Possible| 1000.0 * m.bed.base_still_needed(target_ph);
    let needed_base_meq = e.ensemble.band(need);
    let (usable, refused) = sort_shed(ask, direction);
    let mut options = Vec::new();
    if direction != Direction::Stay {
        for shed in usable {
            options.push(option::choice(ask, shed, direction, target_ph));
        }
        options.sort_by(|a, b| a.trouble.total_cmp(&b.trouble));
    }
    let waiting_days = waiting(e, ask.stocked, direction);
    let blind = is_blind(e, ask.stocked, rules.blind).or_else(|| waiting_days.map(waiting_words));
    let plan = match options.first() {
        Some(best) if blind.is_none() => plan::plan(ask, best, direction, target_ph),
        _ => None,
    };
    let local = e.heard.last().is_some_and(|h| h.settling.is_local());
    let look_again_days = match (&plan, direction) {
        _ if waiting_days.is_some() && !local => waiting_days.unwrap_or(rules.soon_days),
        (Some(_), _) if local => rules.soon_days,
        (Some(p), _) => p.steps.first().map_or(rules.soon_days, |s| s.reread_day),
        (None, Direction::Stay) => rules.stay_days,
        (None, _) => rules.soon_days,
    };
    Ok(Answer {
        direction,
        why: blind.unwrap_or(why),
        target_ph,
        needed_base_meq,
        options,
        refused,
        plan,
        running: running(e),
        also: also(ask, direction),
        look_again_days,
        waiting_days,
    })
}

/// Days still to wait after the last dose, with worms in.
fn waiting(e: &Estimate, stocked: bool, direction: Direction) -> Option<f64> {
    let until = e.wait_until.filter(|t| stocked && *t > e.now)?;
    (direction != Direction::Stay).then(|| ((until - e.now) as f64 / 86_400.0).max(0.1))
}

fn waiting_words(days: f64) -> String {
    let when = if days < 1.5 {
        "tomorrow".to_owned()
    } else {
        format!("in {:.0} days", days.ceil())
    };
    format!(
        "Wait: the last dose is still acting, and it is counted in. Give nothing more until then. Read the pH {when}, at three spots or more, and ask again."
    )
}

/// What helps sooner than lime can.
fn also(ask: &Asked<'_>, direction: Direction) -> Vec<String> {
    let e = ask.estimate;
    let mut list = Vec::new();
    if ask.stocked && direction == Direction::Raise && e.ph.median < ask.rules.dose_below {
        list.push(
            "Give the worms somewhere to go today: fill one end, or a second tray, with moist bedding that is not sour (shredded card, coir, finished compost or lime-adjusted peat). They will move by themselves; lime takes weeks."
                .to_owned(),
        );
    }
    if e.smelt_ammonia {
        list.push(
            "You noted an ammonia smell this week. Raising pH turns more of it to gas: stop feeding, mix in dry card, and let the smell pass before any dose."
                .to_owned(),
        );
    }
    let is_limed = e.given.iter().any(|g| g.base_meq.median > 0.0);
    if !is_limed {
        list.extend(chalk(e));
    } else if e.pending_meq.median > 0.25 * e.buffer_meq_per_ph.median {
        list.push(format!(
            "Lime already in the bed has not finished acting (about as much as {} of pure lime to go); it is counted in. Do not dose for the same acid twice.",
            pure_lime(e.pending_meq.median)
        ));
    }
    list
}

/// Chalk that nobody gave as lime: it comes with castings, compost or paper, or
/// it does not.
fn chalk(e: &Estimate) -> Option<String> {
    let b = &e.pending_meq;
    (b.median > 0.25 * e.buffer_meq_per_ph.median).then(|| {
        format!(
            "Chalk that may already be in your castings or bedding: a guess, {} to {} of pure chalk. It is counted in. Read the pH again in a few days before adding more.",
            pure_lime(b.low).trim_end_matches(" g"),
            pure_lime(b.high)
        )
    })
}

/// An amount of base as the pure lime that would bring it, in round grams.
fn pure_lime(base_meq: f64) -> String {
    let grams = base_meq / crate::chemistry::neutralising::meq_per_gram(100.0);
    if grams >= 20.0 {
        format!("{:.0} g", (grams / 5.0).round() * 5.0)
    } else {
        format!("{:.0} g", grams.max(1.0))
    }
}

fn running(e: &Estimate) -> RunningTotal {
    RunningTotal {
        doses: e.given.len(),
        given_meq: e.given.iter().map(|g| g.base_meq.median).sum(),
        pending_meq: e.pending_meq,
        ph_to_come: e.ph_to_come,
    }
}

/// A stocked bed nobody has read is not dosed.
fn is_blind(e: &Estimate, stocked: bool, blind: f64) -> Option<String> {
    if !stocked {
        return None;
    }
    let settled = e.heard.iter().any(|h| !h.settling.is_local());
    if !settled {
        return Some(
            "There is no settled pH reading of this bed yet, and worms are in it. Read the pH first, a day or more after any dose or watering, at three spots or more; then ask again."
                .into(),
        );
    }
    (e.ph_to_come.half_width() > blind).then(|| {
        format!(
            "The pH is too uncertain to dose on ({:.1} to {:.1}). Take a few more spots, or a slurry reading, and ask again.",
            e.ph_to_come.low, e.ph_to_come.high
        )
    })
}

fn decide(e: &Estimate, target: Option<f64>, stocked: bool, rules: &Rules) -> (Direction, String) {
    let uneasy_below = rules.uneasy_below;
    let ph = e.ph_to_come;
    let low = e
        .ensemble
        .chance(|m| m.bed.ph_when_all_has_acted() < uneasy_below);
    let high = e
        .ensemble
        .chance(|m| m.bed.ph_when_all_has_acted() > rules.over_ph);
    let range = format!("{:.1} ({:.1} to {:.1})", ph.median, ph.low, ph.high);
    if let Some(t) = target {
        return if ph.median < t - rules.close {
            (
                Direction::Raise,
                format!("The bed is heading for pH {range}, below the {t:.1} you asked for."),
            )
        } else if ph.median > t + rules.close {
            (
                Direction::Lower,
                format!("The bed is heading for pH {range}, above the {t:.1} you asked for."),
            )
        } else {
            (
                Direction::Stay,
                format!(
                    "No dose needed: with what is already in it the bed is heading for pH {range}, which is the {t:.1} you asked for."
                ),
            )
        };
    }
    let dose_below = if stocked {
        rules.dose_below
    } else {
        rules.dose_below + rules.empty_sooner
    };
    if low >= rules.uneasy_chance || ph.median < dose_below {
        return (
            Direction::Raise,
            format!(
                "The bed is heading for pH {range} with what is already in it. Below about {uneasy_below:.1} composting worms are uneasy and climb; 6.5 to 7.5 suits them best."
            ),
        );
    }
    if high >= rules.over_chance || ph.median > rules.over_above {
        return (
            Direction::Lower,
            format!(
                "The bed is heading for pH {range}: over-limed. Above 8 any ammonia turns to gas, and above about 9 worms suffer."
            ),
        );
    }
    (
        Direction::Stay,
        format!(
            "No dose needed. With what is already in it the bed is heading for pH {range}, which worms live well in. Look again in two weeks."
        ),
    )
}

/// Splits the shed into what may be used and what may not, with reasons.
fn sort_shed<'a>(ask: &Asked<'a>, direction: Direction) -> (Vec<&'a ShedProduct>, Vec<Refused>) {
    let mut usable = Vec::new();
    let mut refused = Vec::new();
    for shed in ask.shed {
        match refusal(&shed.product, ask.stocked, direction) {
            Some(reason) => refused.push(Refused {
                material: shed.product.key.clone(),
                name: shed.product.name.clone(),
                reason: reason.into(),
            }),
            None if direction == Direction::Stay => {}
            None => usable.push(shed),
        }
    }
    (usable, refused)
}

fn refusal(product: &Product, stocked: bool, direction: Direction) -> Option<&'static str> {
    match product.action {
        Action::Caustic if stocked && product.slaking_kj_per_mol_c > 0.0 => Some(
            "Caustic, and boiling hot as it slakes: it burns worms, and eyes and skin. Never in a bed with worms; only to treat bedding beforehand, in small lots, with goggles and gloves, by its label, with two weeks' wait.",
        ),
        Action::Caustic if stocked => Some(
            "Caustic: it burns worms at once. Never in a bed with worms; only to treat bedding beforehand, with two weeks' wait.",
        ),
        Action::Ash if stocked => Some(
            "Wet ash and ash water are caustic (pH 11 to 12.6) and salty, and a strained liquor carries far too little base to move a bed. Only to treat bedding beforehand, mixed in, with two weeks' wait.",
        ),
        Action::Passing => {
            Some("Microbes eat this acid within days, so the pH comes back: it does not hold.")
        }
        Action::Inert => Some("It holds no acid or base to speak of, so it does not move pH."),
        Action::Sulphur if stocked => Some(
            "Slow (weeks to months), easily overdone, and sour where the grains lie: only in mixes made weeks ahead, never with worms in.",
        ),
        a if direction == Direction::Raise && !a.raises() => {
            Some("It makes a bed more acid, and this one is acid already.")
        }
        a if direction == Direction::Lower && a.raises() => {
            Some("It raises pH, and this bed is over-limed already.")
        }
        _ => None,
    }
}

/// 90th percentile of a figure over the ensemble.
pub(crate) fn high(ensemble: &Ensemble, f: impl Fn(usize, &Possible) -> f64) -> f64 {
    let values: Vec<f64> = ensemble
        .members
        .iter()
        .enumerate()
        .map(|(i, m)| f(i, m))
        .collect();
    Band::weighted(&values, &ensemble.weights).map_or(f64::NAN, |b| b.high)
}

/// Band of a figure over the ensemble.
pub(crate) fn band(ensemble: &Ensemble, f: impl Fn(usize, &Possible) -> f64) -> Band {
    let values: Vec<f64> = ensemble
        .members
        .iter()
        .enumerate()
        .map(|(i, m)| f(i, m))
        .collect();
    Band::weighted(&values, &ensemble.weights).unwrap_or(Band {
        median: f64::NAN,
        low: f64::NAN,
        high: f64::NAN,
    })
}
