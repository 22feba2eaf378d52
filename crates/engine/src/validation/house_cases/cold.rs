//! Cases of cold: K54, K55, K59.

use super::{Told, alive, measured, ran, told};
use crate::living::room::Day;
use crate::log::{BinDescription, Walls};
use crate::table::Tables;
use crate::validation::experiments::Quantity;
use crate::validation::predicted::{Kind, Prediction};
use crate::validation::trial::{Trial, kilos, part, said, tote, worms};
use crate::validation::{Check, ValidationError};

pub(super) fn checks(
    tables: &Tables,
    cases: &Told,
    seen: &mut Vec<Prediction>,
) -> Result<Vec<Check>, ValidationError> {
    let mut all = shed(tables, cases)?;
    all.extend(cold_beds(tables, cases, seen)?);
    all.extend(killed(tables, cases)?);
    Ok(all)
}

/// K54: four trays in a shed, a week of frost nights.
fn shed(tables: &Tables, cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let frost = cases.value("K54", "in.frost_days")? as usize;
    let mut t = Trial::new(
        tote(40.0, 40.0, 32.0),
        vec![
            part("vermicompost", "25 L")?,
            part("cardboard_corrugated", "15 L")?,
            kilos("water", 3.0, None)?,
        ],
        6.0,
        14.0 + frost as f64 + 0.3,
    )
    .on(0.5, worms(Some(800.0), None, ""))
    .feed(2.0, 7.0, &[kilos("kitchen_scraps_veg", 0.5, None)?]);
    t.air = vec![
        Day {
            low: 2.0,
            high: 8.0
        };
        14
    ];
    t.usual = Day {
        low: cases.value("K54", "in.air_min_celsius")?,
        high: 0.0,
    };
    let run = t.run(tables)?;
    let core = run.last(|l| l.signs.core_celsius);
    let living = alive(&run);
    Ok(vec![
        told(cases, ("K54", "out.lower_core_celsius"), ("°C", 1), "middle of a stacked unit after a week of frost nights in a shed", core.median)?
            .note(&format!("{}. Before sunrise; plastic without the bubble wrap of the keeper. The frozen corners of the top tray are not modelled.", said(&core, 1))),
        ran(("K54 alive", "share", 2), "worms alive after it", (0.5, 1.0), &living, "The keeper saw them feed after the thaw."),
    ])
}

/// K55: four beds at 2.8 °C for two weeks.
fn cold_beds(
    tables: &Tables,
    cases: &Told,
    seen: &mut Vec<Prediction>,
) -> Result<Vec<Check>, ValidationError> {
    let air = cases.value("K55", "in.air_celsius")?;
    let mut t = Trial::new(
        BinDescription {
            walls: Walls::Wood,
            ..tote(150.0, 80.0, 45.0)
        },
        vec![
            part("horse_manure_aged", "250 L")?,
            part("vermicompost", "150 L")?,
        ],
        air,
        44.0,
    )
    .on(1.0, worms(Some(4000.0), None, ""))
    .feed(3.0, 7.0, &[kilos("kitchen_scraps_veg", 4.0, None)?]);
    t.air = vec![Day::around(12.0, 5.0); 30];
    let run = t.run(tables)?;
    let bed = run.last(|l| l.signs.core_celsius);
    seen.push(measured(
        "K55",
        Quantity::Temperature,
        Kind::Temperature,
        (44.0, cases.value("K55", "out.bed_celsius")?),
        &bed,
    ));
    let above = run.last(|l| l.signs.core_celsius - l.signs.air_celsius);
    let note = "400 L of aged manure and castings in wood, 4 kg of scraps a week: estimates.";
    Ok(vec![
        told(cases, ("K55", "out.bed_celsius"), ("°C", 1), "large beds after two weeks at 2.8 °C", bed.median)?
            .note(&format!("{}. {note} Warm by the food of our assumption.", said(&bed, 1))),
        told(cases, ("K55", "out.bed_above_air_kelvin"), ("K", 1), "the same over the air", above.median)?
            .note(&format!("{}.", said(&above, 1))),
        told(cases, ("K59", "out.bin_above_air_kelvin"), ("K", 1), "a well filled bed over cold air: the rule of a county", above.median)?
            .note(&format!("{}. Upper end, a rule of thumb; the measured beds of K55 stood 1.7 to 3.3 K over the air.", said(&above, 1))),
    ])
}

/// K59: a small bin outdoors through a week of hard frost.
fn killed(tables: &Tables, cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let mut t = Trial::new(
        tote(45.0, 35.0, 28.0),
        vec![
            part("vermicompost", "20 L")?,
            part("cardboard_corrugated", "10 L")?,
            kilos("water", 2.0, None)?,
        ],
        cases.value("K59", "in.air_week_celsius")?,
        12.0,
    )
    .on(0.5, worms(Some(500.0), None, ""));
    t.air = vec![Day::around(4.0, 5.0); 5];
    let run = t.run(tables)?;
    let core = run.last(|l| l.signs.core_celsius);
    Ok(vec![
        ran(
            ("K59 killed", "share", 3),
            "worms alive in a small bin after a week at -15 °C",
            (0.0, 0.05),
            &alive(&run),
            "All were dead.",
        ),
        ran(
            ("K59 core", "°C", 1),
            "middle of it",
            (-20.0, -0.5),
            &core,
            "Frozen through.",
        ),
    ])
}
