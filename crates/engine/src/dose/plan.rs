//! The plan: steps no larger than the worms stand, when to read again, and
//! what to do on each outcome.

use crate::bed::possible::PossibleBed;
use crate::bed::soak::MIXED;
use crate::dose::answer::{Asked as Ask, Direction};
use crate::dose::consequence::Rules;
use crate::dose::option::{Choice, Lots, StepLimit, grams_needed, largest_step, measure};
use crate::estimate::Ensemble;
use crate::quantity::Band;

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Day from now on which to give it [d].
    pub day: f64,
    /// How much [g].
    pub grams: f64,
    /// In household measures.
    pub measure: String,
    /// How to give it.
    pub how: String,
    /// What holds it to this size.
    pub limit: StepLimit,
    /// pH to expect at the re-reading.
    pub ph_after: Band,
    /// Day from now on which to read again [d].
    pub reread_day: f64,
    /// What to do if it reads lower than expected.
    pub if_lower: String,
    /// What to do if it reads as expected.
    pub as_expected: String,
    /// What to do if it reads higher than expected.
    pub if_higher: String,
}

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Material key.
    pub material: String,
    /// Its name.
    pub name: String,
    /// The steps, in order.
    pub steps: Vec<Step>,
    /// All steps together [g].
    pub total_grams: f64,
    /// pH path under the plan, if all goes as expected: (day, band).
    pub path: Vec<(f64, Band)>,
    /// pH path if nothing is done: (day, band).
    pub path_without: Vec<(f64, Band)>,
    /// More would be needed after the last step shown.
    pub goes_on: bool,
    /// What would prove the plan wrong.
    pub proves_wrong: String,
    /// Cautions at this step.
    pub cautions: Vec<String>,
}

/// Most steps shown; beyond them the log will have changed the picture.
const MOST_STEPS: usize = 8;

/// Makes the plan with one material.
pub(crate) fn plan(
    ask: &Ask<'_>,
    choice: &Choice,
    direction: Direction,
    target: f64,
) -> Option<Plan> {
    let mut ensemble = ask.estimate.ensemble.clone();
    let mut left = choice.shed.available_grams;
    let mut path_without = beds_path(&ensemble);
    let mut steps: Vec<Step> = Vec::new();
    let mut day = 0u32;
    let mut path = vec![(0.0, ph(&ensemble))];
    let mut goes_on = false;
    loop {
        let heading = ensemble.band(|m| m.bed.ph_when_all_has_acted()).median;
        let there = match direction {
            Direction::Raise => heading >= target - ask.rules.close,
            Direction::Lower => heading <= target + ask.rules.close,
            Direction::Stay => true,
        };
        if there {
            break;
        }
        if steps.len() == MOST_STEPS {
            goes_on = true;
            break;
        }
        let (grams, limit) = step_size(ask, choice, &ensemble, left, target);
        if grams < 0.05 {
            goes_on = !steps.is_empty();
            break;
        }
        left = left.map(|have| have - grams);
        give(&mut ensemble, &choice.lots, grams);
        let reread = carry_until_acted(&ask.rules, &mut ensemble, day, &mut path);
        steps.push(step(
            ask,
            choice,
            direction,
            (day, reread),
            grams,
            limit,
            ph(&ensemble),
        ));
        day = reread;
    }
    if steps.is_empty() {
        return None;
    }
    carry_days(&mut ensemble, day, day + 14, &mut path);
    path_without.truncate(path.len());
    Some(Plan {
        material: choice.material.clone(),
        name: choice.name.clone(),
        total_grams: steps.iter().map(|s| s.grams).sum(),
        proves_wrong: proves_wrong(direction, &steps),
        steps,
        path,
        path_without,
        goes_on,
        cautions: choice.cautions.clone(),
    })
}

fn step_size(
    ask: &Ask<'_>,
    choice: &Choice,
    ensemble: &Ensemble,
    left: Option<f64>,
    target: f64,
) -> (f64, StepLimit) {
    let mut shed = choice.shed.clone();
    shed.available_grams = left;
    let whole = crate::dose::answer::band(ensemble, |i, m| {
        grams_needed(&choice.lots, i, &m.bed, target, &ask.rules)
    })
    .median;
    largest_step(ask, ensemble, &choice.lots, &shed, whole)
}

fn give(ensemble: &mut Ensemble, lots: &Lots, grams: f64) {
    for (i, m) in ensemble.members.iter_mut().enumerate() {
        lots.give(i, &mut m.bed, grams, &MIXED);
    }
}

fn ph(ensemble: &Ensemble) -> Band {
    ensemble.band(|m| m.bed.ph())
}

/// Carries on until most of the step has acted; gives back the day.
fn carry_until_acted(
    rules: &Rules,
    ensemble: &mut Ensemble,
    from: u32,
    path: &mut Vec<(f64, Band)>,
) -> u32 {
    let waiting = |e: &Ensemble| e.band(|m| m.bed.pending().abs()).median;
    let start = waiting(ensemble).max(1e-12);
    let mut day = from;
    while day < from + rules.latest_reread {
        carry_days(ensemble, day, day + 1, path);
        day += 1;
        let left = waiting(ensemble);
        if day >= from + rules.soonest_reread && left <= (1.0 - rules.mostly_acted) * start {
            break;
        }
    }
    day
}

fn carry_days(ensemble: &mut Ensemble, from: u32, to: u32, path: &mut Vec<(f64, Band)>) {
    for day in from..to {
        for m in &mut ensemble.members {
            m.bed.advance(1.0);
        }
        path.push((f64::from(day + 1), ph(ensemble)));
    }
}

fn beds_path(ensemble: &Ensemble) -> Vec<(f64, Band)> {
    let mut copy = ensemble.clone();
    let mut path = vec![(0.0, ph(&copy))];
    carry_days(&mut copy, 0, 200, &mut path);
    path
}

fn step(
    ask: &Ask<'_>,
    choice: &Choice,
    direction: Direction,
    (day, reread): (u32, u32),
    grams: f64,
    limit: StepLimit,
    after: Band,
) -> Step {
    let (if_lower, as_expected, if_higher) = outcomes(direction, &after, reread - day);
    Step {
        day: f64::from(day),
        grams,
        measure: measure(ask, &choice.shed, grams),
        how: how(ask.stocked, direction),
        limit,
        ph_after: after,
        reread_day: f64::from(reread),
        if_lower,
        as_expected,
        if_higher,
    }
}

fn how(stocked: bool, direction: Direction) -> String {
    match (stocked, direction) {
        (true, Direction::Lower) => "Moisten it first. Fork it through one half of the bed and leave the other half as a refuge; next time do the other half.".into(),
        (true, _) => "Stir it into a jug of moist bedding, then scatter that and fork it through gently, leaving a hand's width at one end untouched as a refuge. Keep dust off your face and out of your eyes.".into(),
        (false, Direction::Lower) => "Moisten it and mix it through the whole bed.".into(),
        (false, _) => "Scatter it and mix it through the whole bed, moist. Keep dust off your face and out of your eyes.".into(),
    }
}

fn outcomes(direction: Direction, after: &Band, days: u32) -> (String, String, String) {
    let (low, high) = (after.low, after.high);
    let log = "Log the reading";
    match direction {
        Direction::Lower => (
            format!(
                "Below {low:.1}: stop; it is going down faster than expected. {log}, and ask again before the next step."
            ),
            format!("{low:.1} to {high:.1}: as expected. {log}; the next step stands."),
            format!(
                "Above {high:.1}: wait another {days} days and read again before adding more; lime still in the bed may be working against you."
            ),
        ),
        _ => (
            format!(
                "Below {low:.1}: the bed holds more acid, or the material is coarser, than thought. {log}, wait another {days} days, read again, and let the plan be made anew. Do not give the next step early."
            ),
            format!("{low:.1} to {high:.1}: as expected. {log}; the next step stands."),
            format!(
                "Above {high:.1}: the bed is weaker than thought. {log}, skip the next step and ask again."
            ),
        ),
    }
}

fn proves_wrong(direction: Direction, steps: &[Step]) -> String {
    let Some(first) = steps.first() else {
        return String::new();
    };
    let (low, high) = (first.ph_after.low, first.ph_after.high);
    let more = match direction {
        Direction::Lower => "The same dose then has less hold on this bed than thought.",
        _ => {
            "A settled reading still where it was means the material has not acted or the bed holds far more acid; a settled reading well above means it holds far less."
        }
    };
    format!(
        "A settled reading outside {low:.1} to {high:.1} on day {:.0}, at three spots or more. {more}",
        first.reread_day
    )
}

/// What-if: pH path after one dose of `grams`, mixed through, for the slider.
/// Uses every `every`-th member to keep it quick.
#[must_use]
pub fn what_if(
    choice: &Choice,
    ensemble: &Ensemble,
    grams: f64,
    days: u32,
    every: usize,
) -> Vec<(f64, Band)> {
    let every = every.max(1);
    let picked: Vec<usize> = (0..ensemble.members.len()).step_by(every).collect();
    let weights: Vec<f64> = picked.iter().map(|&i| ensemble.weights[i]).collect();
    let mut beds: Vec<PossibleBed> = picked
        .iter()
        .map(|&i| {
            let mut bed = ensemble.members[i].bed.clone();
            choice.lots.give(i, &mut bed, grams, &MIXED);
            bed
        })
        .collect();
    let mut path = Vec::with_capacity(days as usize + 1);
    for day in 0..=days {
        if day > 0 {
            for bed in &mut beds {
                bed.advance(1.0);
            }
        }
        let values: Vec<f64> = beds.iter().map(PossibleBed::ph).collect();
        if let Some(band) = Band::weighted(&values, &weights) {
            path.push((f64::from(day), band));
        }
    }
    path
}
