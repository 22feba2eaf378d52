//! The answer, for programs and for people.

use std::collections::BTreeMap;
use std::fmt::Write;

use engine::chemistry::{AqueousModel, Equilibrium, Problem, Solid, Totals};
use serde::Serialize;

/// The answer as JSON; keys are kept stable (docs/contract-chemistry.md).
#[derive(Debug, Serialize)]
struct Answer<'a> {
    schema: &'static str,
    ph: f64,
    ec_ms_per_cm: f64,
    ec25_ms_per_cm: f64,
    ionic_strength: f64,
    alkalinity_meq_per_kg: f64,
    co2_atm: f64,
    totals_mmol_per_kg_water: BTreeMap<&'static str, f64>,
    /// Molality [mol/kg].
    species: BTreeMap<&'a str, f64>,
    solids_left_mol: BTreeMap<&'static str, f64>,
    saturation_index: BTreeMap<&'static str, f64>,
    site_base_taken_mol: f64,
}

pub(super) fn json(
    model: &AqueousModel,
    problem: &Problem,
    e: &Equilibrium,
) -> Result<String, serde_json::Error> {
    serde_json::to_string(&Answer {
        schema: "bedwright-chemistry-1",
        ph: e.ph,
        ec_ms_per_cm: e.ec_ms_per_cm,
        ec25_ms_per_cm: e.ec25_ms_per_cm,
        ionic_strength: e.ionic_strength,
        alkalinity_meq_per_kg: e.alkalinity_meq_per_kg,
        co2_atm: e.co2_atm,
        totals_mmol_per_kg_water: totals_mmol(e).collect(),
        species: e.species(model),
        solids_left_mol: left(e).collect(),
        saturation_index: Solid::ALL
            .into_iter()
            .filter_map(|s| e.saturation_index[s as usize].map(|si| (s.name(), si)))
            .collect(),
        site_base_taken_mol: problem.sites.base_taken_up(e.ph),
    })
}

fn totals_mmol(e: &Equilibrium) -> impl Iterator<Item = (&'static str, f64)> {
    let values = e.totals.values();
    Totals::NAMES
        .into_iter()
        .zip(values.map(|total| 1000.0 * total))
}

fn left(e: &Equilibrium) -> impl Iterator<Item = (&'static str, f64)> {
    e.solids_left.iter().map(|(s, n)| (s.name(), n))
}

/// The answer as a short table.
pub(super) fn table(problem: &Problem, e: &Equilibrium) -> String {
    let mut text = String::new();
    let mut row = |name: &str, value: f64, digits: usize, unit: &str| {
        let shown = format!("{value:.digits$}");
        // A small negative number would show as -0.000.
        let zero = shown.chars().all(|c| "-0.".contains(c));
        let shown = shown.strip_prefix('-').filter(|_| zero).unwrap_or(&shown);
        let line = format!("{name:<22}{shown:>12} {unit}");
        // Writing to a string does not fail.
        let _ = writeln!(text, "{}", line.trim_end());
    };
    row("temperature", problem.temperature.value(), 1, "°C");
    row("pH", e.ph, 3, "");
    row("salt (EC)", e.ec_ms_per_cm, 3, "mS/cm");
    row("salt (EC) at 25 °C", e.ec25_ms_per_cm, 3, "mS/cm");
    row("ionic strength", e.ionic_strength, 5, "mol/kg");
    row("alkalinity", e.alkalinity_meq_per_kg, 3, "meq/kg");
    for (name, mmol) in totals_mmol(e).filter(|(_, mmol)| *mmol > 0.0) {
        row(name, mmol, 4, "mmol/kg");
    }
    for (name, mol) in left(e) {
        row(&format!("{name} left"), mol, 5, "mol");
    }
    text.truncate(text.trim_end().len());
    text
}
