//! `bedwright chemistry`: answers, exact complaints and exit codes.
#![allow(
    clippy::unwrap_used,
    reason = "a helper of a test may panic like the test"
)]

use std::path::PathBuf;
use std::process::{Command, Output};

/// Run the command on a file of `text` called `water.toml`.
fn run(text: &str, json: bool) -> (Output, String) {
    let folder = tempfile::tempdir().unwrap();
    let file: PathBuf = folder.path().join("water.toml");
    std::fs::write(&file, text).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_bedwright"));
    command.arg("chemistry").arg(&file);
    if json {
        command.arg("--json");
    }
    let name = file.display().to_string();
    (command.output().unwrap(), name)
}

/// What was complained of, with the file's folder taken off.
fn complaint(text: &str) -> (String, Option<i32>) {
    let (output, name) = run(text, true);
    assert!(output.stdout.is_empty());
    let said = String::from_utf8(output.stderr).unwrap();
    (said.replace(&name, "water.toml"), output.status.code())
}

const RAIN: &str = "temperature_celsius = 25\nco2_atm = 0.00042\nwater_kg = 1\n";

#[test]
fn an_answer_has_the_promised_keys() {
    let text = format!(
        "{RAIN}[totals_mmol_per_kg_water]\nCa = 10\n[[solids]]\nname = \"calcite\"\namount_mol = 0\n[[materials]]\nkey = \"peat_sphagnum_unlimed\"\ndry_kg = 0.001\nph = 8.1985\n"
    );
    let (output, _) = run(&text, true);
    assert_eq!(output.status.code(), Some(0));
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    for key in [
        "ph",
        "ec_ms_per_cm",
        "ionic_strength",
        "alkalinity_meq_per_kg",
    ] {
        assert!(answer[key].is_number(), "{key}");
    }
    // Water at rest with chalk and air, PHREEQC: pH 8.1985, Ca 0.5428. Peat
    // that arrives at that pH changes nothing.
    assert!((answer["ph"].as_f64().unwrap() - 8.1985).abs() < 0.02);
    let ca = answer["totals_mmol_per_kg_water"]["Ca"].as_f64().unwrap();
    assert!((ca / 0.5428 - 1.0).abs() < 0.02, "{ca}");
    assert!(answer["species"]["HCO3-"].is_number());
    assert_eq!(answer["schema"], "bedwright-chemistry-1");
}

#[test]
fn without_json_it_prints_a_short_table() {
    let (output, _) = run(RAIN, false);
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(
        said,
        "temperature                   25.0 °C\n\
         pH                           5.598\n\
         salt (EC)                    0.001 mS/cm\n\
         salt (EC) at 25 °C           0.001 mS/cm\n\
         ionic strength             0.00000 mol/kg\n\
         alkalinity                   0.000 meq/kg\n\
         carbonate                   0.0168 mmol/kg\n"
    );
}

#[test]
fn every_fault_is_named_with_its_line() {
    let (said, code) = complaint(
        "temperature_celsius = 60\nwater_kg = 1\n[totals_mmol_per_kg_water]\nCa = 2000\n[[solids]]\nname = \"chalk\"\namount_mol = 1\n",
    );
    assert_eq!(
        said,
        "water.toml:1: temperature_celsius `60` °C is outside the allowed range 2 to 40 °C (the chemistry is checked from 2 to 40 °C)\n\
         water.toml:4: Ca `2000` mmol per kg water is outside the allowed range 0 to 1000 mmol per kg water (beyond 1 mol per kg the activity model does not hold)\n\
         water.toml:6: unknown solid `chalk`; known are calcite, aragonite, dolomite, gypsum, portlandite, brucite\n"
    );
    assert_eq!(code, Some(2));
}

#[test]
fn unknown_missing_and_misspelt_keys_are_refused() {
    let (said, code) = complaint(&format!("{RAIN}salt = 3\n"));
    assert_eq!(
        said,
        "water.toml:4: unknown key `salt`; known are temperature_celsius, co2_atm, water_kg, totals_mmol_per_kg_water, solids, materials\n"
    );
    assert_eq!(code, Some(2));
    let (said, code) = complaint("temperature_celsius = 20\n");
    assert_eq!(said, "water.toml:1: missing key `water_kg`\n");
    assert_eq!(code, Some(2));
    let (said, code) = complaint(&format!(
        "{RAIN}[[materials]]\nkey = \"straw\"\ndry_kg = 1\nph = 7\n"
    ));
    assert_eq!(
        said,
        "water.toml:5: material `straw` is not in the tables; nearest: `straw_wheat`, `straw_oat`, `straw_general`\n"
    );
    assert_eq!(code, Some(2));
}

#[test]
fn what_is_not_toml_or_not_there_is_bad_input() {
    let (said, code) = complaint("temperature_celsius = twenty\n");
    assert!(said.starts_with("water.toml:1: "), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
    assert_eq!(code, Some(2));
    let nowhere = Command::new(env!("CARGO_BIN_EXE_bedwright"))
        .args(["chemistry", "no-such-file.toml"])
        .output()
        .unwrap();
    assert_eq!(nowhere.status.code(), Some(2));
    let said = String::from_utf8(nowhere.stderr).unwrap();
    assert!(
        said.starts_with("no-such-file.toml: cannot be read"),
        "{said}"
    );
}
