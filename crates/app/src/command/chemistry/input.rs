//! The file of a water, read and checked line by line.

use std::collections::BTreeMap;

use crate::command::given_file::Lines;
use engine::bounds::{self, Bound, BoundError};
use engine::chemistry::{Gas, Problem, SiteLoad, Solid, Solids, Totals};
use engine::quantity::Celsius;
use engine::table::Tables;
use serde::Deserialize;
use toml::Spanned;

/// One thing wrong with the file.
#[derive(Debug, PartialEq)]
pub(super) struct Mistake {
    /// Line, counted from one.
    pub(super) line: Option<usize>,
    /// What is wrong and what would be right.
    pub(super) what: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    temperature_celsius: Spanned<f64>,
    co2_atm: Option<Spanned<f64>>,
    water_kg: Spanned<f64>,
    #[serde(default)]
    totals_mmol_per_kg_water: BTreeMap<Spanned<String>, Spanned<f64>>,
    #[serde(default)]
    solids: Vec<SolidEntry>,
    #[serde(default)]
    materials: Vec<MaterialEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SolidEntry {
    name: Spanned<String>,
    amount_mol: Spanned<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialEntry {
    key: Spanned<String>,
    dry_kg: Spanned<f64>,
    ph: Spanned<f64>,
}

/// Dry mass of one material in one file.
const DRY_KG: Bound = Bound {
    name: "dry_kg",
    unit: "kg",
    low: 0.0,
    high: 1000.0,
    why: "one tonne is far beyond a home bin",
};

/// Collects mistakes with their lines.
struct Checker {
    lines: Lines,
    mistakes: Vec<Mistake>,
}

impl Checker {
    fn line(&self, start: usize) -> usize {
        self.lines.at(start)
    }

    fn say(&mut self, start: usize, what: String) {
        let line = Some(self.line(start));
        self.mistakes.push(Mistake { line, what });
    }

    /// The value, or zero with a mistake noted.
    fn check(&mut self, name: &str, bound: &Bound, value: &Spanned<f64>) -> f64 {
        match bound.check(*value.get_ref()) {
            Ok(value) => value,
            Err(error) => {
                self.say(value.span().start, named(name, &error));
                0.0
            }
        }
    }
}

/// The bound's message with the key as the file has it.
fn named(key: &str, error: &BoundError) -> String {
    match error {
        BoundError::Outside {
            value,
            unit,
            low,
            high,
            why,
            ..
        } => format!(
            "{key} `{value}` {unit} is outside the allowed range {low} to {high} {unit} ({why})"
        ),
        BoundError::NotFinite {
            low, high, unit, ..
        } => format!("{key} is not a finite number; give a value from {low} to {high} {unit}"),
    }
}

/// Longest message of the parser [characters].
const LONGEST: usize = 200;

/// The parser's message in the words of this file format, on one line.
fn plain(message: &str) -> String {
    let message = message.trim().replace('\n', "; ");
    if let Some(rest) = message.strip_prefix("missing field ") {
        return format!("missing key {rest}");
    }
    if let Some(rest) = message.strip_prefix("unknown field ") {
        let (key, known) = rest.split_once(", expected ").unwrap_or((rest, ""));
        let known = known.trim_start_matches("one of ").replace('`', "");
        let key = engine::echo(key.trim_matches('`'));
        return format!("unknown key `{key}`; known are {known}");
    }
    let mut said = message.replace("expected f64", "expected a number");
    // The parser repeats what was written, however long.
    if let Some((end, _)) = said.char_indices().nth(LONGEST) {
        said.truncate(end);
        said.push('…');
    }
    said
}

/// Read the text of a file into a problem, or list every mistake in it.
pub(super) fn read(tables: &Tables, text: &str) -> Result<Problem, Vec<Mistake>> {
    let mut checker = Checker {
        lines: Lines::of(text),
        mistakes: Vec::new(),
    };
    let file: File = toml::from_str(text).map_err(|error| {
        vec![Mistake {
            line: error.span().map(|span| checker.line(span.start)),
            what: plain(error.message()),
        }]
    })?;
    let gas = match &file.co2_atm {
        None => Gas::Closed,
        Some(co2) => Gas::Open {
            co2_atm: checker.check("co2_atm", &bounds::CO2_ATM, co2),
        },
    };
    let problem = Problem {
        temperature: Celsius(checker.check(
            "temperature_celsius",
            &bounds::CHEMISTRY_CELSIUS,
            &file.temperature_celsius,
        )),
        gas,
        water_kg: checker.check("water_kg", &bounds::WATER_KG, &file.water_kg),
        totals: read_totals(&mut checker, &file.totals_mmol_per_kg_water),
        solids: read_solids(&mut checker, &file.solids),
        sites: read_materials(&mut checker, tables, &file.materials),
        added_base_mol: 0.0,
    };
    if checker.mistakes.is_empty() {
        Ok(problem)
    } else {
        Err(checker.mistakes)
    }
}

fn read_totals(checker: &mut Checker, list: &BTreeMap<Spanned<String>, Spanned<f64>>) -> Totals {
    let mut totals = Totals::default();
    for (name, mmol) in list {
        let value = checker.check(name.get_ref(), &bounds::TOTAL_MMOL, mmol) / 1000.0;
        match totals.named_mut(name.get_ref()) {
            Some(slot) => *slot = value,
            None => checker.say(
                name.span().start,
                format!(
                    "unknown solute `{}`; known are {}",
                    name.get_ref(),
                    Totals::NAMES.join(", ")
                ),
            ),
        }
    }
    totals
}

fn read_solids(checker: &mut Checker, list: &[SolidEntry]) -> Solids {
    let mut solids = Solids::NONE;
    for entry in list {
        let name = entry.name.get_ref();
        let amount = checker.check(
            &format!("amount_mol of {name}"),
            &bounds::SOLID_MOL,
            &entry.amount_mol,
        );
        let start = entry.name.span().start;
        match Solid::named(name) {
            None => {
                let known = Solid::ALL.map(Solid::name).join(", ");
                checker.say(start, format!("unknown solid `{name}`; known are {known}"));
            }
            Some(solid) if solids.amount_mol(solid).is_some() => {
                checker.say(start, format!("solid `{name}` is given twice"));
            }
            Some(solid) => solids = solids.with(solid, amount),
        }
    }
    solids
}

fn read_materials(checker: &mut Checker, tables: &Tables, list: &[MaterialEntry]) -> SiteLoad {
    let mut sites = SiteLoad::default();
    for entry in list {
        let key = entry.key.get_ref();
        let dry_kg = checker.check(&format!("dry_kg of {key}"), &DRY_KG, &entry.dry_kg);
        let ph = checker.check(&format!("ph of {key}"), &bounds::BEDDING_PH, &entry.ph);
        match tables.sites(key) {
            Ok(found) => {
                let capacity = found.capacity_cmol_kg.map(|q| q / 100.0);
                sites = sites.plus(&SiteLoad::of_material(&capacity, dry_kg, ph));
            }
            Err(error) => checker.say(entry.key.span().start, error.to_string()),
        }
    }
    sites
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mistake_is_listed_with_its_line() {
        let text = "temperature_celsius = 60\nwater_kg = 1\n\n[totals_mmol_per_kg_water]\nCa = 2000\nFe = 1\n\n[[solids]]\nname = \"chalk\"\namount_mol = 1\n";
        let mistakes = read(&Tables::load().unwrap(), text).unwrap_err();
        let shown: Vec<String> = mistakes
            .iter()
            .map(|m| format!("{:?}: {}", m.line, m.what))
            .collect();
        assert_eq!(
            shown,
            [
                "Some(1): temperature_celsius `60` °C is outside the allowed range 2 to 40 °C (the chemistry is checked from 2 to 40 °C)",
                "Some(5): Ca `2000` mmol per kg water is outside the allowed range 0 to 1000 mmol per kg water (beyond 1 mol per kg the activity model does not hold)",
                "Some(6): unknown solute `Fe`; known are K, Na, Ca, Mg, NH4, Cl, SO4, NO3, PO4, acetate, lactate, propionate, butyrate, citrate, carbonate",
                "Some(9): unknown solid `chalk`; known are calcite, aragonite, dolomite, gypsum, portlandite, brucite",
            ]
        );
    }

    #[test]
    fn an_unknown_key_is_refused() {
        let mistakes = read(
            &Tables::load().unwrap(),
            "temperature_celsius = 20\nwater_kg = 1\nsalt = 3\n",
        )
        .unwrap_err();
        assert_eq!(mistakes.len(), 1);
        assert_eq!(mistakes[0].line, Some(3));
        assert!(
            mistakes[0]
                .what
                .starts_with("unknown key `salt`; known are temp")
        );
    }
}
