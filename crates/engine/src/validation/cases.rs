//! Reports of keepers, as numbers a model of a bin can be asked for: what was
//! given and what was seen, with the tolerance that is fair. No source: what
//! people told.

use crate::table::TableError;
use crate::table::embedded::{CASE_NUMBERS, Cells};

/// What a case needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CaseKind {
    /// Arithmetic on the numbers given.
    Arithmetic,
    /// A bin run through its days.
    Simulation,
    /// Some of each.
    Both,
}

impl CaseKind {
    fn from_name(name: &str) -> Option<Self> {
        match name {
            "arithmetic" => Some(Self::Arithmetic),
            "simulation" => Some(Self::Simulation),
            "both" => Some(Self::Both),
            _ => None,
        }
    }
}

/// One number of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseNumber {
    /// Name: `in.` what is given, `out.` what was seen.
    pub property: String,
    /// Value.
    pub value: f64,
    /// Unit.
    pub unit: String,
    /// Lowest: plausible for what is given, allowed for what was seen.
    pub low: f64,
    /// Highest.
    pub high: f64,
    /// What to know about it.
    pub note: String,
}

impl CaseNumber {
    /// Whether it was given, not seen.
    #[must_use]
    pub fn is_input(&self) -> bool {
        self.property.starts_with("in.")
    }
}

/// One case.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Its number in the collection.
    pub key: String,
    /// What it needs.
    pub kind: CaseKind,
    /// What it is about.
    pub about: String,
    /// Its numbers, in the order of the file.
    pub numbers: Vec<CaseNumber>,
}

impl Case {
    /// The number of that name.
    #[must_use]
    pub fn number(&self, property: &str) -> Option<&CaseNumber> {
        self.numbers.iter().find(|n| n.property == property)
    }
}

fn needed(cells: &Cells, heading: &str) -> Result<f64, TableError> {
    let number = cells.number(heading)?;
    number.ok_or_else(|| cells.wrong(format!("`{heading}` is empty")))
}

fn number(cells: &Cells) -> Result<CaseNumber, TableError> {
    let number = CaseNumber {
        property: cells.filled("property")?,
        value: needed(cells, "value")?,
        unit: cells.filled("unit")?,
        low: needed(cells, "low")?,
        high: needed(cells, "high")?,
        note: cells.text("note")?,
    };
    let property = &number.property;
    if !(property.starts_with("in.") || property.starts_with("out.")) {
        return Err(cells.wrong(format!("`{property}` is neither `in.` nor `out.`")));
    }
    if number.low <= number.value && number.value <= number.high {
        return Ok(number);
    }
    Err(cells.wrong(format!("`{property}` is not within its range")))
}

/// All cases, in the order of the file. The first row of each says its kind.
///
/// # Errors
/// [`TableError::Malformed`] naming the line when a row breaks the rules; the
/// file is tested, so an error is a fault of the build.
pub fn load() -> Result<Vec<Case>, TableError> {
    let mut all: Vec<Case> = Vec::new();
    for cells in CASE_NUMBERS.cells()? {
        let key = cells.filled(CASE_NUMBERS.subject)?;
        if cells.filled("property")? == "kind" {
            let name = cells.filled("value")?;
            let kind = CaseKind::from_name(&name)
                .ok_or_else(|| cells.wrong(format!("`{name}` is not a kind of case")))?;
            if all.iter().any(|case| case.key == key) {
                return Err(cells.wrong(format!("case `{key}` is listed twice")));
            }
            let (about, numbers) = (cells.filled("note")?, Vec::new());
            all.push(Case {
                key,
                kind,
                about,
                numbers,
            });
            continue;
        }
        let number = number(&cells)?;
        match all.last_mut() {
            Some(case) if case.key == key => case.numbers.push(number),
            _ => return Err(cells.wrong(format!("case `{key}` does not say its kind first"))),
        }
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    fn case(key: &str) -> Case {
        let all = load().unwrap();
        all.into_iter().find(|c| c.key == key).unwrap()
    }

    #[test]
    fn every_row_is_read_and_every_case_can_be_tested() {
        let all = load().unwrap();
        let rows: usize = all.iter().map(|c| c.numbers.len() + 1).sum();
        assert_eq!(rows, CASE_NUMBERS.cells().unwrap().len());
        assert!(all.len() >= 30, "{}", all.len());
        for case in &all {
            let key = &case.key;
            assert!(case.numbers.iter().any(|n| !n.is_input()), "{key}");
            let names: BTreeSet<_> = case.numbers.iter().map(|n| &n.property).collect();
            assert_eq!(names.len(), case.numbers.len(), "{key}: listed twice");
        }
    }

    #[test]
    fn a_census_of_twelve_samples() {
        // 44 worms in 12 x 0.075 L of 20 L: 978; Student t(11) = 2.201.
        let case = case("K72");
        let get = |p: &str| case.number(p).unwrap().value;
        let counts: Vec<f64> = (1..=12).map(|i| get(&format!("in.count_{i:02}"))).collect();
        let n = get("in.samples");
        let mean = counts.iter().sum::<f64>() / n;
        let variance = counts.iter().map(|c| (c - mean).powi(2)).sum::<f64>() / (n - 1.0);
        let scale = get("in.bed_litres") / get("in.sample_litres");
        let half = 2.201 * (variance / n).sqrt();
        assert!((mean * scale - get("out.worms")).abs() < 1.0);
        assert!(((mean - half) * scale - get("out.low_95")).abs() < 1.0);
        assert!(((mean + half) * scale - get("out.high_95")).abs() < 1.0);
        assert!((variance / mean - get("out.variance_to_mean")).abs() < 0.001);
    }

    #[test]
    fn moisture_of_a_weighed_start() {
        let case = case("K03");
        let get = |p: &str| case.number(p).unwrap().value;
        let (water, strips) = (get("in.water_kg"), get("in.strips_dry_kg"));
        let strips_moisture = 100.0 * water / (water + strips);
        assert!((strips_moisture - get("out.strips_moisture_percent")).abs() < 0.2);
        let dry = strips + get("in.base_paper_kg") + get("in.cap_paper_kg");
        let whole = 100.0 * water / (water + dry);
        assert!((whole - get("out.whole_moisture_percent")).abs() < 0.3);
    }

    #[test]
    fn a_steady_take_off() {
        // 45.36 kg a week at a doubling in 90 days: 819 kg standing.
        let case = case("K77");
        let get = |p: &str| case.number(p).unwrap().value;
        let week = 2_f64.powf(7.0 / get("in.doubling_days")) - 1.0;
        assert!((get("in.take_off_kg_per_week") / week - get("out.stock_kg")).abs() < 1.0);
    }
}
