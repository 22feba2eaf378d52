//! Published experiments predicted: the living model is told how each was set
//! up, and its median and 80 % interval are held against what was measured. No
//! number is fitted to an outcome. The laws themselves were changed after the
//! outcomes of the older experiments had been seen, so those are kept apart
//! from the fresh ones ([`Group`]): only a fresh one can prove anything.

pub(super) mod known;
mod report;
mod setups;
#[cfg(test)]
mod tests;

pub use known::{FIRST_RUN, FRESH, Group};
pub(super) use report::checks;

use super::ValidationError;
use super::experiments::{Blind, Experiment, Point, Quantity, Treatment, load};
use super::long::Kept;
use super::trial::{Look, Ran};
use crate::quantity::Band;
use crate::table::Tables;
use setups::{Planned, planned};

/// What a quantity says something of: what is trusted or widened together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// pH.
    Ph,
    /// Salt, as conductivity.
    Salt,
    /// Carbon to nitrogen.
    CarbonNitrogen,
    /// Moisture.
    Moisture,
    /// Temperature.
    Temperature,
    /// Mass of worms, all of them or each.
    WormMass,
    /// Number of worms.
    WormNumber,
    /// Loss of mass, and how fast it goes.
    MassLoss,
    /// Castings.
    Castings,
    /// Nitrate.
    Nitrate,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Ph,
        Self::Salt,
        Self::CarbonNitrogen,
        Self::Moisture,
        Self::Temperature,
        Self::WormMass,
        Self::WormNumber,
        Self::MassLoss,
        Self::Castings,
        Self::Nitrate,
    ];

    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ph => "ph",
            Self::Salt => "ec",
            Self::CarbonNitrogen => "cn_ratio",
            Self::Moisture => "moisture",
            Self::Temperature => "temperature",
            Self::WormMass => "worm_mass",
            Self::WormNumber => "worm_number",
            Self::MassLoss => "mass_loss",
            Self::Castings => "castings",
            Self::Nitrate => "nitrate",
        }
    }

    /// As shown.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Ph => "pH",
            Self::Salt => "conductivity",
            Self::CarbonNitrogen => "C:N",
            Self::Moisture => "moisture",
            Self::Temperature => "temperature",
            Self::WormMass => "worm mass",
            Self::WormNumber => "worm number",
            Self::MassLoss => "loss of mass",
            Self::Castings => "castings",
            Self::Nitrate => "nitrate",
        }
    }

    /// Whether its intervals are widened by a factor rather than by a sum.
    #[must_use]
    pub const fn is_log(self) -> bool {
        !matches!(self, Self::Ph | Self::Moisture | Self::Temperature)
    }

    fn of(q: Quantity) -> Option<Self> {
        Some(match q {
            Quantity::Ph | Quantity::PhChange => Self::Ph,
            Quantity::Conductivity | Quantity::ConductivityChange => Self::Salt,
            Quantity::CarbonToNitrogen | Quantity::RatioChange => Self::CarbonNitrogen,
            Quantity::LowestTemperature | Quantity::HighestTemperature => Self::Temperature,
            Quantity::WormMass | Quantity::WormMassKept | Quantity::MeanWormMass => Self::WormMass,
            Quantity::Worms | Quantity::WormsFold => Self::WormNumber,
            Quantity::DryMassLoss | Quantity::WetMassLoss | Quantity::RespirationFall => {
                Self::MassLoss
            }
            Quantity::Nitrate => Self::Nitrate,
            _ => return None,
        })
    }
}

/// One measured value and what was predicted of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// Key of the experiment.
    pub experiment: String,
    /// Key of the treatment.
    pub treatment: String,
    /// Whether it is a prediction in full.
    pub blind: Blind,
    /// Day of the experiment [d].
    pub day: f64,
    /// What was measured.
    pub quantity: Quantity,
    /// What it says something of.
    pub kind: Kind,
    /// Measured value, in the unit of the quantity.
    pub observed: f64,
    /// Standard deviation as printed.
    pub sd: Option<f64>,
    /// Median of the prediction.
    pub median: f64,
    /// 10th percentile.
    pub low: f64,
    /// 90th percentile.
    pub high: f64,
    /// What had to be assumed of the setup.
    pub assumed: &'static str,
}

impl Prediction {
    /// Whether the measured value lies in the 80 % interval.
    #[must_use]
    pub fn inside(&self) -> bool {
        (self.low..=self.high).contains(&self.observed)
    }

    /// Whether the measured value was read in a copy of the table, not in the
    /// article.
    #[must_use]
    pub fn second_hand(&self) -> bool {
        known::second_hand(&self.experiment)
    }

    /// Whether the laws of the model were changed after its outcome had been
    /// seen.
    #[must_use]
    pub fn seen_before(&self) -> bool {
        known::seen_before(&self.experiment, &self.treatment, self.quantity)
    }

    /// Its group.
    #[must_use]
    pub fn group(&self) -> Group {
        if self.seen_before() {
            Group::Seen
        } else {
            Group::Fresh
        }
    }

    /// The interval.
    #[must_use]
    pub fn band(&self) -> Band {
        Band {
            median: self.median,
            low: self.low,
            high: self.high,
        }
    }
}

/// What a quantity was at the end of a day, over the possible bins; nothing
/// when the model has no such figure.
fn predicted(
    ran: &Ran,
    (plan, extract): (&Planned, f64),
    q: Quantity,
    day: f64,
    start: f64,
) -> Option<Band> {
    let at = |of: fn(&Look) -> f64| ran.band(day, of);
    let change = |of: fn(&Look) -> f64| {
        ran.between(start, day, |a, b| 100.0 * (of(b) / of(a).max(1e-12) - 1.0))
    };
    let lost = |of: fn(&Look) -> f64| {
        ran.between(start, day, |a, b| 100.0 * (1.0 - of(b) / of(a).max(1e-12)))
    };
    let number = plan.worms.max(1e-9);
    let grams = |l: &Look| 1000.0 * l.signs.worms_kg;
    Some(match q {
        Quantity::MeanWormMass => at(|l| 1e6 * l.signs.worms_kg / l.signs.worms.max(1e-9)),
        Quantity::WormMass => at(|l| 1000.0 * l.signs.worms_kg),
        Quantity::WormMassKept => {
            let first = ran.band(start + 1.0, grams).median;
            ran.band(day, |l| 100.0 * grams(l) / first.max(1e-9))
        }
        Quantity::Worms => at(|l| l.signs.worms),
        Quantity::WormsFold => ran.band(day, |l| l.signs.worms / number),
        Quantity::Ph => at(|l| l.signs.ph),
        Quantity::PhChange => change(|l| l.signs.ph),
        Quantity::Conductivity => ran.band(day, |l| extract * l.signs.ec_ms_per_cm),
        Quantity::ConductivityChange => change(|l| l.signs.ec_ms_per_cm),
        Quantity::CarbonToNitrogen => at(|l| l.cn),
        Quantity::RatioChange => change(|l| l.cn),
        Quantity::Nitrate => at(|l| l.nitrate),
        Quantity::DryMassLoss => lost(|l| l.dry_kg),
        Quantity::WetMassLoss => lost(|l| l.signs.contents_kg),
        Quantity::LowestTemperature => {
            let low = ran.most(|l| -l.signs.core_celsius);
            Band {
                median: -low.median,
                low: -low.high,
                high: -low.low,
            }
        }
        Quantity::HighestTemperature => ran.most(|l| l.signs.hot_celsius),
        Quantity::RespirationFall => respiration(ran, day),
        _ => return None,
    })
}

/// How far carbon dioxide of one day fell against the first [%].
fn respiration(ran: &Ran, day: f64) -> Band {
    let first = ran.at(0.0).iter().zip(ran.at(1.0));
    let first: Vec<f64> = first.map(|(a, b)| b.carbon_air - a.carbon_air).collect();
    let now = ran.at(day - 1.0).iter().zip(ran.at(day));
    let fall: Vec<f64> = now
        .zip(first)
        .map(|((a, b), first)| 100.0 * (1.0 - (b.carbon_air - a.carbon_air) / first.max(1e-12)))
        .collect();
    Band::of(&fall).unwrap_or(Band {
        median: f64::NAN,
        low: f64::NAN,
        high: f64::NAN,
    })
}

/// What a treatment tells that is asked for: dated, or of its end, and not
/// part of the setup.
fn asked(t: &Treatment, ran_days: f64, experiment: &str) -> Vec<(f64, Point)> {
    let first = setups::before(experiment);
    t.points
        .iter()
        .filter_map(|p| {
            let day = p.day.map_or(ran_days, |d| d + first);
            // The first days of a growth curve are what was put in.
            let given = p.quantity == Quantity::MeanWormMass && p.day.is_some_and(|d| d < 5.0);
            let held = p.quantity == Quantity::Moisture;
            let unknown = experiment == "shafique2025" && p.quantity == Quantity::MeanWormMass;
            // Where water is given, wet mass says nothing.
            let wetted = p.quantity == Quantity::WetMassLoss && experiment != "vich2017";
            let undated = p.quantity == Quantity::MeanWormMass && p.day.is_none();
            (day > first && !given && !held && !unknown && !undated && !wetted)
                .then(|| (day, p.clone()))
        })
        .collect()
}

/// The row of the long table a prediction stands in, without its figures.
fn row(experiment: &str, treatment: &str, day: f64, quantity: Quantity) -> String {
    format!("{experiment},{treatment},{day:.2},{}", quantity.name())
}

impl Prediction {
    /// The row of the long table it stands in.
    pub(super) fn row(&self) -> String {
        row(&self.experiment, &self.treatment, self.day, self.quantity)
    }
}

/// The predictions of one treatment: run anew, or as a long table kept them.
fn of_treatment(
    tables: &Tables,
    e: &Experiment,
    t: &Treatment,
    kept: Option<&Kept>,
) -> Result<Vec<Prediction>, ValidationError> {
    if t.blind() == Blind::No {
        return Ok(Vec::new());
    }
    let Some(plan) = planned(tables, &e.key, t)? else {
        return Ok(Vec::new());
    };
    let ran = match kept {
        None => Some(plan.trial.run(tables)?),
        Some(_) => None,
    };
    let start = setups::before(&e.key);
    let extract = setups::printed_over_ours(t);
    let mut all = Vec::new();
    for (day, p) in asked(t, plan.trial.days, &e.key) {
        let Some(kind) = Kind::of(p.quantity) else {
            continue;
        };
        let band = match (&ran, kept) {
            (Some(ran), _) => predicted(ran, (&plan, extract), p.quantity, day, start),
            (None, Some(kept)) => Some(kept.band(&row(&e.key, &t.key, day - start, p.quantity))?),
            (None, None) => None,
        };
        let Some(band) = band else {
            continue;
        };
        all.push(Prediction {
            experiment: e.key.clone(),
            treatment: t.key.clone(),
            blind: t.blind(),
            day: day - start,
            quantity: p.quantity,
            kind,
            observed: p.value,
            sd: p.sd,
            median: band.median,
            low: band.low,
            high: band.high,
            assumed: plan.assumed,
        });
    }
    Ok(all)
}

fn over_all(tables: &Tables, kept: Option<&Kept>) -> Result<Vec<Prediction>, ValidationError> {
    let mut all = Vec::new();
    for e in &load(tables)? {
        for t in &e.treatments {
            all.extend(of_treatment(tables, e, t, kept)?);
        }
    }
    Ok(all)
}

/// Every published value that can be predicted, with the prediction that the
/// long table kept of it.
///
/// # Errors
/// [`ValidationError`] when a number is missing, or a row of the long table.
pub fn predictions(tables: &Tables, kept: &Kept) -> Result<Vec<Prediction>, ValidationError> {
    over_all(tables, Some(kept))
}

/// Experiment and treatment of all there is to run.
///
/// # Errors
/// [`ValidationError`] when a number is missing.
pub fn treatments(tables: &Tables) -> Result<Vec<(String, String)>, ValidationError> {
    let mut all = Vec::new();
    for e in load(tables)? {
        for t in &e.treatments {
            if t.blind() != Blind::No && planned(tables, &e.key, t)?.is_some() {
                all.push((e.key.clone(), t.key.clone()));
            }
        }
    }
    Ok(all)
}

/// The predictions of one treatment, run anew.
///
/// # Errors
/// [`ValidationError`] when a number is missing or a bed cannot be made.
pub fn run(
    tables: &Tables,
    experiment: &str,
    treatment: &str,
) -> Result<Vec<Prediction>, ValidationError> {
    let all = load(tables)?;
    let e = all.iter().find(|e| e.key == experiment);
    match e.and_then(|e| Some((e, e.treatment(treatment)?))) {
        Some((e, t)) => of_treatment(tables, e, t, None),
        None => Ok(Vec::new()),
    }
}

/// What is shown of a kind: how many of its values lie inside, of the kinds
/// of prediction asked for, of one group or of both together. Every treatment
/// counts as one, whatever the number of its days, since the days of one box go
/// together.
#[must_use]
pub fn share_inside(
    all: &[Prediction],
    kind: Kind,
    blind: Blind,
    group: Option<Group>,
) -> Option<(f64, usize, usize)> {
    let of: Vec<&Prediction> = all
        .iter()
        .filter(|p| p.kind == kind && p.blind == blind)
        .filter(|p| group.is_none_or(|g| g == p.group()))
        .collect();
    let boxes = boxes(&of);
    if boxes.is_empty() {
        return None;
    }
    let share =
        |b: &Vec<&Prediction>| b.iter().filter(|p| p.inside()).count() as f64 / b.len() as f64;
    let mean = boxes.iter().map(share).sum::<f64>() / boxes.len() as f64;
    Some((mean, boxes.len(), of.len()))
}

/// Predictions by treatment.
#[must_use]
pub(super) fn boxes<'a>(of: &[&'a Prediction]) -> Vec<Vec<&'a Prediction>> {
    let mut boxes: Vec<Vec<&Prediction>> = Vec::new();
    for p in of {
        let same = |b: &&mut Vec<&Prediction>| {
            b[0].experiment == p.experiment && b[0].treatment == p.treatment
        };
        match boxes.iter_mut().find(same) {
            Some(found) => found.push(p),
            None => boxes.push(vec![p]),
        }
    }
    boxes
}
