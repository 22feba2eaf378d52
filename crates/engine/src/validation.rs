//! What the engine computes, held against what has been published: each check
//! is worked out anew by the engine's own functions every time it is asked
//! for, and a miss stays a miss.

mod ammonia;
mod ash;
mod bedding;
mod breeding;
pub mod cases;
pub mod coverage;
pub mod curves;
mod exact;
pub mod experiments;
pub mod following;
pub mod grown;
mod growth;
mod house_cases;
mod kinetics;
mod lime;
pub mod long;
mod mixing;
pub mod other_laws;
mod population;
mod practice;
pub mod predicted;
mod reading;
pub mod scored;
pub mod second_world;
mod tolerance;
mod trial;
mod trials;
pub mod trust;
mod vectors;
mod water;
mod worms;

use crate::bed::fill::FillError;
use crate::chemistry::fineness::FinenessError;
use crate::chemistry::{AqueousModel, ChemistryError};
use crate::estimate::EstimateError;
use crate::measure::AmountError;
use crate::table::{TableError, Tables};
use thiserror::Error;

/// Why the checks could not be worked out.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ValidationError {
    /// A number is missing.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The water could not be solved.
    #[error(transparent)]
    Chemistry(#[from] ChemistryError),
    /// A bedding could not be made.
    #[error(transparent)]
    Fill(#[from] FillError),
    /// An amount could not be read.
    #[error(transparent)]
    Amount(#[from] AmountError),
    /// A bed could not be estimated.
    #[error(transparent)]
    Estimate(#[from] EstimateError),
    /// A sieve analysis could not be used.
    #[error(transparent)]
    Fineness(#[from] FinenessError),
    /// A long table lacks a row, or holds one that cannot be read.
    #[error("the long table of {table}: {what}; `./check long validation` makes it anew")]
    Long {
        /// Which table.
        table: &'static str,
        /// What is at fault.
        what: String,
    },
}

/// What a check is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Area {
    /// Lime: neutralising value and fineness.
    Lime,
    /// How fast grains dissolve.
    Kinetics,
    /// Acid sites of bedding.
    Bedding,
    /// Trials of lime, alkali and compost in peat.
    Trials,
    /// Wood ash.
    Ash,
    /// Ammonia and nitrogen.
    Ammonia,
    /// The water of the bed: pH, conductivity.
    Water,
    /// Readings.
    Reading,
    /// Mixing, moisture, air, measures.
    Mixing,
    /// Numbers of worms over a year.
    Population,
    /// Cocoons, hatching, coming of age.
    Breeding,
    /// Growth of worms.
    WormGrowth,
    /// What worms stand and avoid.
    Tolerance,
    /// Published experiments predicted, no number fitted to them.
    Experiments,
    /// Reports of keepers that carry numbers, no source.
    Cases,
    /// Worked values of our own tests.
    Vectors,
    /// Common practice of keepers, no source.
    Practice,
}

impl Area {
    /// All of them, in the order shown.
    pub const ALL: [Self; 17] = [
        Self::Lime,
        Self::Kinetics,
        Self::Bedding,
        Self::Trials,
        Self::Ash,
        Self::Ammonia,
        Self::Water,
        Self::Reading,
        Self::Mixing,
        Self::Population,
        Self::Breeding,
        Self::WormGrowth,
        Self::Tolerance,
        Self::Experiments,
        Self::Cases,
        Self::Vectors,
        Self::Practice,
    ];

    /// As a heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Lime => "Lime: neutralising value and fineness",
            Self::Kinetics => "How fast lime dissolves",
            Self::Bedding => "Acid held by bedding",
            Self::Trials => "Trials of lime, alkali and compost in peat",
            Self::Ash => "Wood ash",
            Self::Ammonia => "Ammonia and nitrogen",
            Self::Water => "Water of the bed",
            Self::Reading => "Reading pH",
            Self::Mixing => "Mixing, moisture, air and measures",
            Self::Population => "Worms: numbers over a year",
            Self::Breeding => "Worms: cocoons, hatching, coming of age",
            Self::WormGrowth => "Worms: growth by temperature, moisture and density",
            Self::Tolerance => "Worms: what they stand and avoid",
            Self::Experiments => "Published experiments, predicted",
            Self::Cases => "Cases of keepers",
            Self::Vectors => "Worked values",
            Self::Practice => "Common practice of keepers",
        }
    }
}

/// What is expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expected {
    /// A value with the error allowed.
    Near {
        /// Published value.
        value: f64,
        /// Largest error allowed.
        within: f64,
    },
    /// Anywhere in a range.
    Between {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// A value shown beside ours; no verdict is asked for.
    Information {
        /// Published value.
        value: f64,
    },
}

/// Outcome of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Within what is expected.
    Pass,
    /// Outside it.
    Miss,
    /// Shown for information.
    Info,
}

/// How the published value came here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Read in the text of the source.
    Opened,
    /// From memory of the source.
    Memory,
    /// Computed from published numbers, by hand or with other programs.
    Derived,
    /// What keepers say; no source.
    Practice,
}

impl Basis {
    /// As shown.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Opened => "opened",
            Self::Memory => "from memory",
            Self::Derived => "derived",
            Self::Practice => "common practice, no source",
        }
    }
}

/// One check.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Short stable name.
    pub key: String,
    /// What it is about.
    pub area: Area,
    /// What is checked.
    pub what: String,
    /// What is expected.
    pub expected: Expected,
    /// What the engine computes.
    pub ours: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Decimals worth showing.
    pub decimals: usize,
    /// Author, year, place.
    pub source: &'static str,
    /// How the published value came here.
    pub basis: Basis,
    /// What to know about it.
    pub note: String,
}

impl Check {
    /// The outcome; it follows from the numbers and nothing else.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let fine = match self.expected {
            Expected::Near { value, within } => (self.ours - value).abs() <= within,
            Expected::Between { low, high } => (low..=high).contains(&self.ours),
            Expected::Information { .. } => return Verdict::Info,
        };
        if fine { Verdict::Pass } else { Verdict::Miss }
    }

    pub(crate) fn note(mut self, note: &str) -> Self {
        note.clone_into(&mut self.note);
        self
    }
}

/// Starts checks that share area and source.
#[derive(Debug, Clone, Copy)]
pub(crate) struct From {
    pub(crate) area: Area,
    pub(crate) source: &'static str,
    pub(crate) basis: Basis,
    pub(crate) unit: &'static str,
    pub(crate) decimals: usize,
}

impl From {
    pub(crate) fn check(
        self,
        key: impl Into<String>,
        what: impl Into<String>,
        expected: Expected,
        ours: f64,
    ) -> Check {
        Check {
            key: key.into(),
            area: self.area,
            what: what.into(),
            expected,
            ours,
            unit: self.unit,
            decimals: self.decimals,
            source: self.source,
            basis: self.basis,
            note: String::new(),
        }
    }
}

pub(crate) fn near(value: f64, within: f64) -> Expected {
    Expected::Near { value, within }
}

pub(crate) fn between(low: f64, high: f64) -> Expected {
    Expected::Between { low, high }
}

pub(crate) fn about(value: f64) -> Expected {
    Expected::Information { value }
}

/// Checks, and the predictions behind some of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// Every check.
    pub checks: Vec<Check>,
    /// Everything the trust in a figure is worked out from: predictions of
    /// published experiments, and cases that keepers measured.
    pub evidence: Vec<predicted::Prediction>,
}

/// Works out every check, the predictions of published experiments as the long
/// table kept them. Without a water model the checks that need one are left out.
///
/// # Errors
/// [`ValidationError`] when a number or a row of the long table is missing, or a
/// water is not solved.
pub fn worked(
    tables: &Tables,
    model: Option<&AqueousModel>,
    kept: &long::Kept,
) -> Result<Worked, ValidationError> {
    let mut all = lime::checks(tables)?;
    all.extend(kinetics::checks(tables)?);
    all.extend(bedding::checks(tables)?);
    all.extend(trials::checks(tables)?);
    all.extend(ash::checks(tables)?);
    all.extend(ammonia::checks(tables)?);
    if let Some(model) = model {
        all.extend(water::checks(tables, model)?);
    }
    all.extend(reading::checks(tables)?);
    all.extend(mixing::checks(tables)?);
    all.extend(population::checks(tables)?);
    all.extend(breeding::checks(tables)?);
    all.extend(growth::checks(tables)?);
    all.extend(tolerance::checks(tables)?);
    all.extend(vectors::checks(tables)?);
    all.extend(practice::checks(tables)?);
    all.extend(worms::checks(tables)?);
    let (cases, seen) = house_cases::asked(tables)?;
    let mut predictions = predicted::predictions(tables, kept)?;
    all.extend(predicted::checks(&predictions));
    predictions.extend(seen);
    all.extend(trust::checks(&predictions));
    all.extend(cases);
    Ok(Worked {
        checks: all,
        evidence: predictions,
    })
}

/// What could not be held against anything, and why.
#[must_use]
pub fn not_validated() -> &'static [&'static str] {
    &[
        "The buffer of real worm bedding by titration: the peat sites are a fit to abstracts of four works. A keeper's jar test on their own bedding beats them.",
        "Dolomite in peat by particle size, and any lime after day 28: the numbers were not in the text that could be opened. The dolomite contact factor is an estimate from rate laws.",
        "Crushed eggshell in a bed: the one trial known was not opened; the contact factor is an estimate.",
        "The error of garden pH probes: no controlled study could be opened. Their noise and bias are estimates, and wide.",
        "Carbon dioxide and calcium in the pore water of a home bin: estimates. They set where lime stops.",
        "How far a pour or dusting reaches and how fast it evens out: estimates.",
        "Half of base acting within the hour and the rest over days: an estimate; trials only say that bases acted within one day.",
        "Humic acid as Model VI has it (Tipping 1998): its numbers are known from memory only, and the engine does not use them.",
        "Numbers of worms: the stage model is calibrated on one series of boxes of soil at 18 °C. Its response to temperature, food and volume is not tested; unknown food alone spans a factor of forty.",
        "Eudrilus eugeniae and Perionyx excavatus: no counts over time were found. Their crowding is that of Eisenia fetida.",
        "Deaths by heat, cold, drought, want of air and salt in bedding, and how fast worms leave: estimates.",
        "pH, C:N and salt by week with worms: articles with such tables could not be opened beyond their abstracts. Copies of four were found in the open data of a meta-analysis: cattle manure after 15 to 120 days (Ramos 2022), layers of grape marc 15 to 720 days old (Santana 2020), dung with coconut husk after 120 days (Quadar 2022), municipal waste before and after (Srivastava 2020). The copied C:N of the first two and the last agree with the carbon and nitrogen copied beside them, but all are second hand, and much of the setups was in nothing that could be read and is assumed. Those setups were committed before the model was run on them. Setups of the older experiments, and scenes of some keepers' cases, were revised after a first run: predictions without fitting, not sealed ones.",
        "The laws as they are, by most of what is here: they were changed after the misses of the older experiments, the first three copied tables and the keepers' cases had been seen, and covers, the water a substrate holds and the extract of conductivity were set anew with them. That those lie inside, where they do, is no proof. Only for the experiments called fresh was no law changed because of their outcomes, and how many of them were held had been seen too; most of their setups are hardly known, and few give more than a last value.",
        "Castings and moisture: nobody published them by day for a described bin. Castings are shown no narrower than worms.",
        "Liquid of dying worms, the frozen corner or the one warm pocket of a bed, dry paper under a bed filling with water, the dry air of a desert: not modelled. Experiments that give too little of their setup (Mitchell 1997, Elvira 1996, the pig manures of Gunadi 2003, Teferedegn 2024) were left out.",
        "Acid food: no trial tells what undissociated acids do to worms; the dose is an estimate.",
    ]
}
