//! The CSV files, part of the program, and the reading of their cells.

use super::TableError;
use csv::StringRecord;
use std::rc::Rc;

/// One embedded file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Embedded {
    /// Name of the table.
    pub name: &'static str,
    /// File name, for messages.
    pub file: &'static str,
    /// Heading of the first column.
    pub subject: &'static str,
    text: &'static str,
}

macro_rules! embedded {
    ($($(#[$doc:meta])* $id:ident: $name:literal, $subject:literal;)*) => {
        $($(#[$doc])* pub const $id: Embedded = Embedded {
            name: $name,
            file: concat!($name, ".csv"),
            subject: $subject,
            text: include_str!(concat!("../../data/", $name, ".csv")),
        };)*
    };
}

embedded! {
    /// Names, roles and cautions of materials.
    MATERIAL_NAMES: "material_names", "key";
    /// Numbers of materials.
    MATERIAL_NUMBERS: "material_numbers", "material";
    /// Site capacities per class.
    SITES: "sites", "subject";
    /// Which class each material has.
    MATERIAL_SITES: "material_sites", "material";
    /// Neutralising values of pure substances.
    NEUTRALISING: "neutralising", "subject";
    /// Fineness factors and mesh sizes.
    FINENESS: "fineness", "subject";
    /// Dissolution constants.
    DISSOLUTION: "dissolution", "subject";
    /// Wood ash.
    ASH: "ash", "subject";
    /// Gases in the bed.
    GASES: "gases", "subject";
    /// Constants of the model.
    CONSTANTS: "constants", "subject";
    /// pH and salt instruments.
    INSTRUMENTS: "instruments", "subject";
    /// What worms stand.
    TOLERANCES: "tolerances", "subject";
    /// Household measures.
    MEASURES: "measures", "subject";
    /// How matter packs: wetting and settling.
    DENSITIES: "densities", "subject";
    /// The bed as a whole: levels, drift, risk numbers.
    BED: "bed", "subject";
    /// Decay, acids, nitrogen, water, heat and air of the living bin.
    LIVING: "living", "subject";
    /// How fast each kind of material rots.
    DECAY: "decay", "subject";
    /// Which kind each material is.
    MATERIAL_DECAY: "material_decay", "material";
    /// What keepers say and measure: thresholds, scatter, false-say rates.
    OBSERVATIONS: "observations", "subject";
    /// Worms: what each species does and stands.
    SPECIES: "species", "subject";
    /// Counts of worms week by week, for validation.
    SERIES_POPULATION: "series_population", "subject";
    /// Cocoons by ten days, for validation.
    SERIES_COCOONS: "series_cocoons", "subject";
    /// Growth curves, for validation.
    SERIES_GROWTH: "series_growth", "subject";
    /// Mass by moisture and by density, for validation.
    SERIES_RELATIVE: "series_relative", "subject";
    /// Heat, cold and absence: sun, ice, covers, heaters, safe leave.
    WEATHER: "weather", "subject";
    /// How much to feed: caps, steps and what goes beside it.
    RATION: "ration", "subject";
    /// Judgements of the estimate: copies, surprises, how long a word holds.
    ESTIMATE: "estimate", "subject";
    /// Error of the model beside the spread of the possible bins, by figure.
    TRUST: "trust", "subject";
    /// Another world of bins, for validation: its laws and its keepers.
    OTHER_LAWS: "other_laws", "subject";
    /// A second world of bins and keepers, for validation: frozen, of laws not tuned against.
    SECOND_WORLD: "second_world", "subject";
    /// How liming and acidifying products act.
    PRODUCTS: "products", "key";
    /// Names of instruments and how to use them.
    INSTRUMENT_NAMES: "instrument_names", "key";
    /// Works the numbers were read in.
    SOURCES: "sources", "key";
    /// Disagreements, decided once.
    CONFLICTS: "conflicts", "key";
    /// What was measured in published experiments with worms.
    EXPERIMENTS: "experiments", "experiment";
    /// How those experiments were set up.
    EXPERIMENT_SETUPS: "experiment_setups", "experiment";
    /// Growth curves in wastes: how each was set up.
    GROWTH_CURVE_SETUPS: "growth_curve_setups", "curve";
    /// Growth curves in wastes: mass by day.
    GROWTH_CURVES: "growth_curves", "curve";
    /// What of ours their substrates are taken for.
    GROWTH_SUBSTRATES: "growth_substrates", "substrate";
    /// The papers those curves were drawn in.
    GROWTH_PAPERS: "growth_papers", "paper";
    /// Reports of keepers with their numbers.
    CASE_NUMBERS: "case_numbers", "case";
}

/// The tables that hold one number per row.
pub const NUMBER_TABLES: &[Embedded] = &[
    MATERIAL_NUMBERS,
    SITES,
    NEUTRALISING,
    FINENESS,
    DISSOLUTION,
    ASH,
    GASES,
    CONSTANTS,
    INSTRUMENTS,
    TOLERANCES,
    MEASURES,
    DENSITIES,
    BED,
    LIVING,
    DECAY,
    OBSERVATIONS,
    SPECIES,
    SERIES_POPULATION,
    SERIES_COCOONS,
    SERIES_GROWTH,
    SERIES_RELATIVE,
    WEATHER,
    RATION,
    ESTIMATE,
    TRUST,
    OTHER_LAWS,
    SECOND_WORLD,
];

/// One row of a file, cell by heading.
#[derive(Debug, Clone)]
pub(crate) struct Cells {
    file: &'static str,
    line: usize,
    headings: Rc<StringRecord>,
    record: StringRecord,
}

impl Embedded {
    /// Rows of the file.
    ///
    /// # Errors
    /// [`TableError::Malformed`] when a row has the wrong number of cells.
    pub(crate) fn cells(&self) -> Result<Vec<Cells>, TableError> {
        let mut reader = csv::ReaderBuilder::new().from_reader(self.text.as_bytes());
        let wrong = |e: &csv::Error| TableError::Malformed {
            file: self.file,
            line: e
                .position()
                .map_or(1, |p| usize::try_from(p.line()).unwrap_or(1)),
            what: e.to_string(),
        };
        let headings = Rc::new(reader.headers().map_err(|e| wrong(&e))?.clone());
        reader
            .into_records()
            .map(|record| {
                let record = record.map_err(|e| wrong(&e))?;
                Ok(Cells {
                    file: self.file,
                    line: record
                        .position()
                        .map_or(1, |p| usize::try_from(p.line()).unwrap_or(1)),
                    headings: Rc::clone(&headings),
                    record,
                })
            })
            .collect()
    }
}

impl Cells {
    /// Line of the row.
    pub(crate) fn line(&self) -> usize {
        self.line
    }

    /// An error about this row.
    pub(crate) fn wrong(&self, what: String) -> TableError {
        TableError::Malformed {
            file: self.file,
            line: self.line,
            what,
        }
    }

    /// Text of a cell, empty allowed.
    pub(crate) fn text(&self, heading: &str) -> Result<String, TableError> {
        let at = self.headings.iter().position(|h| h == heading);
        at.map(|i| self.record[i].trim().to_owned())
            .ok_or_else(|| self.wrong(format!("there is no column `{heading}`")))
    }

    /// Text of a cell that may not be empty.
    pub(crate) fn filled(&self, heading: &str) -> Result<String, TableError> {
        let text = self.text(heading)?;
        if text.is_empty() {
            return Err(self.wrong(format!("`{heading}` is empty")));
        }
        Ok(text)
    }

    /// A number, or nothing when the cell is empty.
    pub(crate) fn number(&self, heading: &str) -> Result<Option<f64>, TableError> {
        let text = self.text(heading)?;
        if text.is_empty() {
            return Ok(None);
        }
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(Some(value)),
            _ => Err(self.wrong(format!("`{heading}` is `{text}`, which is not a number"))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Row;
    use super::*;

    /// What is said of a table with this one row.
    fn said(row: &str) -> String {
        let heading = "subject,property,value,unit,low,high,basis,source,place,status,note\n";
        let text: &'static str = Box::leak(format!("{heading}{row}\n").into_boxed_str());
        let file = Embedded {
            name: "made_up",
            file: "made_up.csv",
            subject: "subject",
            text,
        };
        let read = file
            .cells()
            .and_then(|cells| Row::read(file.name, file.subject, &cells[0]));
        read.map_or_else(|e| e.to_string(), |_| "fine".to_owned())
    }

    #[test]
    fn a_good_row_is_fine() {
        assert_eq!(said("peat,ph,3.8,pH,3,4.5,,book,p. 1,opened,"), "fine");
        assert_eq!(said("peat,ph,,pH,,,,none,,estimate,not found"), "fine");
    }

    #[test]
    fn faults_name_file_and_line() {
        for (row, what) in [
            (
                "peat,ph,5,pH,3,4.5,,book,,opened,",
                "made_up.csv line 2: value 5 is not within 3 to 4.5",
            ),
            (
                "peat,ph,,pH,,,,none,,estimate,",
                "made_up.csv line 2: an empty value needs a note",
            ),
            (
                "peat,ph,,pH,3,4,,none,,estimate,why",
                "made_up.csv line 2: an empty value can have no range",
            ),
            (
                "peat,ph,3,pH,,4,,book,,opened,",
                "made_up.csv line 2: a value needs `low` and `high`",
            ),
            (
                "peat,ph,low,pH,3,4,,book,,opened,",
                "made_up.csv line 2: `value` is `low`, which is not a number",
            ),
            (
                "peat,ph,3,pH,3,4,,,,opened,",
                "made_up.csv line 2: `source` is empty",
            ),
            (
                "peat,ph,3,pH,3,4,,book,,guessed,",
                "made_up.csv line 2: status `guessed` is not one of opened, memory, estimate, derived",
            ),
        ] {
            assert_eq!(said(row), what);
        }
        let short = said("peat,ph,3,pH,3,4");
        assert!(short.starts_with("made_up.csv line 2: "), "{short}");
        assert!(short.contains("found record with 6 fields"), "{short}");
    }
}
