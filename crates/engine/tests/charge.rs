//! One charge balance behind pH, salt and titration: what a material brings it
//! brings however it comes, and the light law of the beds is held to the full
//! solver of their water.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[allow(dead_code)] // each file of tests uses its own part of it
#[path = "living/bin.rs"]
mod bin;

use bin::{Bin, GOOD, tote};
use engine::chemistry::pore::{Pore, Solutes};
use engine::chemistry::{AqueousModel, Gas, Problem, Totals, equilibrate};
use engine::living::species::Species;
use engine::quantity::Celsius;
use engine::table::Tables;

fn value(table: &str, subject: &str, property: &str) -> f64 {
    Tables::load()
        .unwrap()
        .value(table, subject, property)
        .unwrap()
}

/// Waters of beds [mmol/kg].
const WATERS: [&[(&str, f64)]; 11] = [
    &[("K", 12.0), ("Cl", 10.0)],
    &[("K", 60.0), ("Cl", 50.0)],
    &[("Na", 40.0), ("Cl", 35.0)],
    &[("K", 30.0), ("Na", 10.0), ("SO4", 15.0)],
    &[("K", 40.0)],
    &[("Na", 20.0)],
    &[("Ca", 2.5)],
    &[("Ca", 10.0), ("Cl", 15.0)],
    &[("K", 20.0), ("NO3", 18.0)],
    &[("NH4", 30.0), ("K", 10.0)],
    &[("K", 40.0), ("acetate", 25.0)],
];

/// Cations that are no acid less such anions, and all anions but carbonate
/// [mol_c/kg], with what is weak.
fn charges(ions: &[(&str, f64)]) -> (f64, f64, Solutes) {
    let (mut excess, mut anions, mut weak) = (0.0, 0.0, Solutes::default());
    for (name, mmol) in ions {
        let mol = mmol / 1000.0;
        match *name {
            "K" | "Na" => excess += mol,
            "Ca" => excess += 2.0 * mol,
            "SO4" => (excess, anions) = (excess - 2.0 * mol, anions + 2.0 * mol),
            "NH4" => weak.ammonia_n = mol,
            "acetate" => (weak.acetate, anions) = (mol, anions + mol),
            _ => (excess, anions) = (excess - mol, anions + mol),
        }
    }
    (excess, anions, weak)
}

/// pH at which the light water holds so much more strong cations than anions.
fn ph_of(light: &Pore, excess: f64) -> f64 {
    let (mut low, mut high) = (2.0, 12.0);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if light.charge(middle) < excess {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Salty, limed and ammoniacal waters to 60 meq/kg, under the carbon dioxide of an
/// extract and of a bed: the light law of the beds tells pH within a tenth of what
/// the solver tells that is held to PHREEQC, and conductivity, though it knows no
/// anion from another, within three tenths.
#[test]
fn the_light_law_is_held_to_the_full_solver() {
    let model = AqueousModel::load().unwrap();
    let strength = value("bed", "bed", "ionic_strength_mol_per_kg");
    let per_mol = 5.0 * value("living", "salt", "anion_ms_kg_per_mol");
    for gas in ["extract", "normal_bedding"] {
        let co2_atm = value("gases", gas, "co2_atm");
        for ions in WATERS {
            let mut totals = Totals::default();
            for (name, mmol) in ions {
                *totals.named_mut(name).unwrap() = mmol / 1000.0;
            }
            let problem = Problem {
                temperature: Celsius(20.0),
                gas: Gas::Open { co2_atm },
                totals,
                ..Problem::water()
            };
            let full = equilibrate(&model, &problem).unwrap();
            let (excess, anions, weak) = charges(ions);
            let light = Pore::new(Celsius(20.0), co2_atm, strength, weak);
            let ph = ph_of(&light, excess);
            assert!((ph - full.ph).abs() < 0.1, "{ions:?}: {ph} {}", full.ph);
            let ec = per_mol * (anions + light.carbonate(ph));
            let share = ec / full.ec25_ms_per_cm;
            assert!((share - 1.0).abs() < 0.3, "{ions:?} {gas}: {share}");
        }
    }
}

/// Scraps among the parts of a filling and the same scraps fed on the first day.
#[test]
fn scraps_bring_the_same_salt_and_acid_filled_or_fed() {
    let with = |more: &[(&str, &str)]| {
        let parts: Vec<(&str, &str)> = GOOD.iter().chain(more).copied().collect();
        Bin::usual(&tote(), &parts, 20.0)
    };
    for scraps in [
        ("kitchen_scraps_veg", "3 kg"),
        ("apple", "3 kg"),
        ("bread_white", "1 kg"),
        ("cow_manure_solid", "2 kg"),
    ] {
        let plain = with(&[]).signs();
        let part = with(&[scraps]).signs();
        let mut fed = with(&[]);
        fed.feed(&[scraps]);
        let fed = fed.signs();
        let (a, b) = (part.ec_ms_per_cm, fed.ec_ms_per_cm);
        assert!((a / b - 1.0).abs() < 0.1, "{scraps:?}: {a} filled, {b} fed");
        let (a, b) = (part.ph - plain.ph, fed.ph - plain.ph);
        assert!((a - b).abs() < 0.12, "{scraps:?}: {a} filled, {b} fed");
    }
}

/// A listed conductivity is that of an extract, its bicarbonate with it: a bed of
/// one material reads on the first day what the table says of it.
#[test]
fn a_bed_of_one_material_reads_what_the_table_says_of_it() {
    for key in ["cow_manure_solid", "sheep_manure", "yard_compost_finished"] {
        let mut all: Vec<f64> = (1..=41)
            .map(|seed| {
                let parts = [(key, "10 kg")];
                let red = Species::EiseniaFetida;
                Bin::drawn(&tote(), &parts, 20.0, red, seed)
                    .signs()
                    .ec_ms_per_cm
            })
            .collect();
        all.sort_by(f64::total_cmp);
        let listed = value("material_numbers", key, "ec_ms_cm");
        let share = all[20] / listed;
        assert!((share - 1.0).abs() < 0.15, "{key}: {} of {listed}", all[20]);
    }
}

/// Food that rots leaves the base of its own potassium, and humus that takes some
/// of it up.
#[test]
fn the_base_of_food_is_that_of_its_salts_and_humus_is_an_acid() {
    let after = |food: &str| {
        let mut bin = Bin::usual(&tote(), &GOOD, 20.0);
        bin.feed(&[(food, "3 kg")]);
        bin.live(90.0);
        (bin.life.books.cations, bin)
    };
    let (peel, _) = after("banana_peel");
    let (apple, bin) = after("apple");
    // 7.3 % of a peel is potassium and 0.9 % of an apple, and two thirds of it
    // stand against acids of the plant; a few days' food of the bed besides.
    assert!(peel > 2.0 * apple, "{peel} {apple}");
    assert!(bin.bed.humus_kg > 0.0);
    let mut without = bin.bed.clone();
    without.humus_kg = 0.0;
    assert!(bin.bed.ph() < without.ph() - 0.05);
}
