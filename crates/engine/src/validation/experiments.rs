//! Published experiments with worms, kept as data to be predicted: how each
//! was set up and what was measured by day. The numbers are in
//! `experiments.csv` and `experiment_setups.csv`; nothing here is fitted.

use crate::table::embedded::{Cells, EXPERIMENT_SETUPS, EXPERIMENTS};
use crate::table::{Number, Status, TableError, Tables};
use std::collections::{BTreeMap, BTreeSet};

macro_rules! quantities {
    ($($(#[$doc:meta])* $id:ident: $name:literal, $unit:literal;)*) => {
        /// What was measured.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Quantity { $($(#[$doc])* $id,)* }

        impl Quantity {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$id,)*];

            /// Stable name, as in the file.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$id => $name,)* }
            }

            /// Unit of the values.
            #[must_use]
            pub const fn unit(self) -> &'static str {
                match self { $(Self::$id => $unit,)* }
            }
        }
    };
}

quantities! {
    /// Living worms of all stages, without cocoons \[count\].
    Worms: "worms", "count";
    /// Worms with a clitellum \[count\].
    Adults: "adults", "count";
    /// Worms nearly grown, without a clitellum \[count\].
    Subadults: "subadults", "count";
    /// Young worms \[count\].
    Juveniles: "juveniles", "count";
    /// Cocoons present \[count\].
    Cocoons: "cocoons", "count";
    /// Cocoons laid since the start \[count\].
    CocoonsLaid: "cocoons_laid", "count";
    /// Cocoons per adult in the four weeks before \[count\].
    CocoonsPerAdult: "cocoons_per_adult_4wk", "count";
    /// Fresh mass of all worms \[g\].
    WormMass: "worm_mass", "g";
    /// Fresh mass of all worms against the start \[%\].
    WormMassKept: "worm_mass_kept", "% of start";
    /// Mean fresh mass of a worm \[mg\].
    MeanWormMass: "mean_worm_mass", "mg";
    /// Mean fresh mass of an adult \[mg\].
    MeanAdultMass: "mean_adult_mass", "mg";
    /// Acidity \[pH\].
    Ph: "ph", "pH";
    /// Conductivity \[mS/cm\].
    Conductivity: "ec", "mS/cm";
    /// Carbon to nitrogen by mass \[g/g\].
    CarbonToNitrogen: "cn_ratio", "g/g";
    /// Nitrate, as NO3 \[mg/kg\].
    Nitrate: "nitrate", "mg/kg";
    /// Water \[% of wet mass\].
    Moisture: "moisture", "% of wet mass";
    /// Temperature of the bed \[Celsius\].
    Temperature: "celsius", "Celsius";
    /// Lowest temperature of the bed \[Celsius\].
    LowestTemperature: "celsius_lowest", "Celsius";
    /// Highest temperature of the bed \[Celsius\].
    HighestTemperature: "celsius_highest", "Celsius";
    /// Dry mass lost, of the dry mass given \[%\].
    DryMassLoss: "dry_mass_loss", "% of given";
    /// Wet mass lost, of the start \[%\].
    WetMassLoss: "wet_mass_loss", "% of start";
    /// Fall of carbon dioxide given off, against the start \[%\].
    RespirationFall: "co2_fall", "% of start";
    /// Worms produced, dry, of the dry mass given \[%\].
    WormYield: "worm_dry_yield", "% of given";
    /// Carbon taken into worms, of the carbon given \[%\].
    CarbonToWorms: "carbon_to_worms", "% of given";
    /// Nitrogen taken into worms, of the nitrogen given \[%\].
    NitrogenToWorms: "nitrogen_to_worms", "% of given";
    /// Organic carbon without worms over that with worms \[fold\].
    CarbonAgainstControl: "toc_fold_less_than_control", "fold";
    /// Living worms against the number put in \[fold\].
    WormsFold: "worms_fold", "fold";
    /// Mass a worm gains \[mg/d\].
    GrowthRate: "growth_rate", "mg/d";
    /// Change of organic carbon in the dry matter \[%\].
    CarbonChange: "toc_change", "% of start";
    /// Change of nitrogen in the dry matter \[%\].
    NitrogenChange: "nitrogen_change", "% of start";
    /// Change of the value of pH \[%\].
    PhChange: "ph_change", "% of start";
    /// Change of conductivity \[%\].
    ConductivityChange: "ec_change", "% of start";
    /// Change of carbon to nitrogen \[%\].
    RatioChange: "cn_change", "% of start";
    /// Seeds and roots in an extract against water \[%\].
    GerminationIndex: "germination_index", "%";
}

impl Quantity {
    /// The quantity of that name, as written in the file.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|q| q.name() == name)
    }
}

/// Whether a prediction of a treatment is a prediction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Blind {
    /// Nothing was fitted to it.
    Yes,
    /// A constant was chosen with it in view.
    Weak,
    /// A model was fitted to it.
    No,
}

/// One measured number.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Day since the start; nothing when the text read does not give it.
    pub day: Option<f64>,
    /// What was measured.
    pub quantity: Quantity,
    /// Value, in the unit of the quantity.
    pub value: f64,
    /// Standard deviation as printed, in the same unit.
    pub sd: Option<f64>,
    /// Key of the source.
    pub source: String,
    /// Table, figure or abstract.
    pub place: String,
    /// How it came here.
    pub status: Status,
    /// What to know about it.
    pub note: String,
    /// Line in the file, the heading being line 1.
    pub line: usize,
}

/// One thing about how a treatment was set up.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// A number, or the note why there is none.
    Number(Number),
    /// A word: a species, a key of our materials.
    Word {
        /// The word.
        word: String,
        /// Key of the source.
        source: String,
        /// How it came here.
        status: Status,
        /// What to know about it.
        note: String,
    },
}

impl Setting {
    fn source(&self) -> &str {
        match self {
            Self::Number(number) => &number.source,
            Self::Word { source, .. } => source,
        }
    }
}

/// One treatment: a box, or boxes treated alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Treatment {
    /// Short name.
    pub key: String,
    /// How it was set up, by property.
    pub settings: BTreeMap<String, Setting>,
    /// What was measured, in the order of the file.
    pub points: Vec<Point>,
}

impl Treatment {
    /// A number of the setup, when it is known.
    #[must_use]
    pub fn value(&self, property: &str) -> Option<f64> {
        match self.settings.get(property)? {
            Setting::Number(number) => number.value,
            Setting::Word { .. } => None,
        }
    }

    /// A word of the setup.
    #[must_use]
    pub fn word(&self, property: &str) -> Option<&str> {
        match self.settings.get(property)? {
            Setting::Word { word, .. } => Some(word),
            Setting::Number(_) => None,
        }
    }

    /// Names of what was fed or bedded, from the properties `feed.NAME.…`.
    #[must_use]
    pub fn feeds(&self) -> BTreeSet<&str> {
        self.settings
            .keys()
            .filter_map(|property| property.strip_prefix("feed.")?.split('.').next())
            .collect()
    }

    /// Whether predicting it is a prediction; a treatment that does not say
    /// is taken as fitted.
    #[must_use]
    pub fn blind(&self) -> Blind {
        match self.word("blind") {
            Some("yes") => Blind::Yes,
            Some("weak") => Blind::Weak,
            _ => Blind::No,
        }
    }

    /// The dated points of one quantity: day and point.
    pub fn series(&self, quantity: Quantity) -> impl Iterator<Item = (f64, &Point)> {
        self.points
            .iter()
            .filter(move |point| point.quantity == quantity)
            .filter_map(|point| Some((point.day?, point)))
    }
}

/// One published experiment.
#[derive(Debug, Clone, PartialEq)]
pub struct Experiment {
    /// Short name: author and year.
    pub key: String,
    /// Its treatments, in the order of the file.
    pub treatments: Vec<Treatment>,
}

impl Experiment {
    /// The treatment of that name.
    #[must_use]
    pub fn treatment(&self, key: &str) -> Option<&Treatment> {
        self.treatments.iter().find(|t| t.key == key)
    }

    /// Keys of the sources its numbers came from; repeats are kept.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        self.treatments.iter().flat_map(|t| {
            let points = t.points.iter().map(|p| p.source.as_str());
            points.chain(t.settings.values().map(Setting::source))
        })
    }

    fn treatment_mut(&mut self, key: String) -> &mut Treatment {
        let at = self.treatments.iter().position(|t| t.key == key);
        let at = at.unwrap_or_else(|| {
            self.treatments.push(Treatment {
                key,
                settings: BTreeMap::new(),
                points: Vec::new(),
            });
            self.treatments.len() - 1
        });
        &mut self.treatments[at]
    }
}

fn experiment_mut(all: &mut Vec<Experiment>, key: String) -> &mut Experiment {
    let at = all.iter().position(|e| e.key == key);
    let at = at.unwrap_or_else(|| {
        all.push(Experiment {
            key,
            treatments: Vec::new(),
        });
        all.len() - 1
    });
    &mut all[at]
}

fn status(cells: &Cells) -> Result<Status, TableError> {
    let name = cells.filled("status")?;
    Status::from_name(&name).ok_or_else(|| cells.wrong(format!("status `{name}` is not one")))
}

fn point(cells: &Cells) -> Result<Point, TableError> {
    let name = cells.filled("quantity")?;
    let quantity = Quantity::from_name(&name)
        .ok_or_else(|| cells.wrong(format!("`{name}` is not a quantity of an experiment")))?;
    let unit = cells.filled("unit")?;
    if unit != quantity.unit() {
        let right = quantity.unit();
        return Err(cells.wrong(format!("`{name}` is in `{unit}`, and must be in `{right}`")));
    }
    let day = cells.number("day")?;
    if day.is_some_and(|day| day < 0.0) {
        return Err(cells.wrong("`day` is before the start".to_owned()));
    }
    let value = cells.number("value")?;
    Ok(Point {
        day,
        quantity,
        value: value.ok_or_else(|| cells.wrong("`value` is empty".to_owned()))?,
        sd: cells.number("sd")?,
        source: cells.filled("source")?,
        place: cells.filled("place")?,
        status: status(cells)?,
        note: cells.text("note")?,
        line: cells.line(),
    })
}

fn setting(cells: &Cells) -> Result<Setting, TableError> {
    if cells.filled("unit")? != "text" {
        return Number::read(cells).map(Setting::Number);
    }
    Ok(Setting::Word {
        word: cells.filled("value")?,
        source: cells.filled("source")?,
        status: status(cells)?,
        note: cells.text("note")?,
    })
}

fn known(tables: &Tables, key: &str, cells: &Cells) -> Result<(), TableError> {
    tables
        .source(key)
        .map(|_| ())
        .map_err(|e| cells.wrong(e.to_string()))
}

/// All experiments, in the order of the files.
///
/// # Errors
/// [`TableError::Malformed`] naming file and line when a row breaks the
/// rules; the files are tested, so an error is a fault of the build.
pub fn load(tables: &Tables) -> Result<Vec<Experiment>, TableError> {
    let mut all = Vec::new();
    for cells in EXPERIMENTS.cells()? {
        let point = point(&cells)?;
        known(tables, &point.source, &cells)?;
        experiment_mut(&mut all, cells.filled(EXPERIMENTS.subject)?)
            .treatment_mut(cells.filled("treatment")?)
            .points
            .push(point);
    }
    for cells in EXPERIMENT_SETUPS.cells()? {
        let setting = setting(&cells)?;
        known(tables, setting.source(), &cells)?;
        let property = cells.filled("property")?;
        let settings = &mut experiment_mut(&mut all, cells.filled(EXPERIMENT_SETUPS.subject)?)
            .treatment_mut(cells.filled("treatment")?)
            .settings;
        if settings.insert(property.clone(), setting).is_some() {
            return Err(cells.wrong(format!("`{property}` is listed twice")));
        }
    }
    Ok(all)
}

#[cfg(test)]
mod tests;
