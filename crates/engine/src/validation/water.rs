//! The water solver against published waters. Its agreement with PHREEQC is
//! held apart, by the cross-check.

use super::{Area, Basis, Check, From, ValidationError, about, between, near};
use crate::chemistry::{AqueousModel, Gas, Problem, Solid, Solids, Totals, equilibrate};
use crate::quantity::Celsius;
use crate::table::Tables;

const AIR: Gas = Gas::Open { co2_atm: 0.00042 };

pub(super) fn checks(tables: &Tables, model: &AqueousModel) -> Result<Vec<Check>, ValidationError> {
    let mut all = waters(model)?;
    all.extend(conductivity(tables, model)?);
    all.extend(liquor(model)?);
    Ok(all)
}

fn waters(model: &AqueousModel) -> Result<Vec<Check>, ValidationError> {
    let ph = From {
        area: Area::Water,
        source: "textbooks",
        basis: Basis::Memory,
        unit: "pH",
        decimals: 2,
    };
    let buffer = From {
        source: "CRC Handbook; calcium hydroxide pH standard",
        ..ph
    };
    let grams = From {
        unit: "g/L",
        ..buffer
    };
    let rain = equilibrate(
        model,
        &Problem {
            gas: AIR,
            ..Problem::water()
        },
    )?;
    let lime = equilibrate(
        model,
        &Problem {
            solids: Solids::NONE.with(Solid::Portlandite, 10.0),
            ..Problem::water()
        },
    )?;
    Ok(vec![
        ph.check(
            "45",
            "pure water in air, 25 °C",
            between(5.55, 5.70),
            rain.ph,
        )
        .note("published 5.60 to 5.65, allowed 0.05"),
        buffer.check(
            "46a",
            "saturated lime water, 25 °C",
            near(12.45, 0.05),
            lime.ph,
        ),
        grams.check(
            "46b",
            "Ca(OH)2 it holds",
            between(1.5, 1.7),
            lime.totals.ca * 74.09,
        ),
    ])
}

fn conductivity(tables: &Tables, model: &AqueousModel) -> Result<Vec<Check>, ValidationError> {
    let crc = From {
        area: Area::Water,
        source: "CRC Handbook of Chemistry and Physics",
        basis: Basis::Memory,
        unit: "µS/cm",
        decimals: 0,
    };
    let rule = From {
        source: "Vadose Zone J. 5:824, figure 1 caption",
        basis: Basis::Opened,
        unit: "mS/cm per meq/L",
        decimals: 3,
        ..crc
    };
    let shift = From {
        source: "ASTM D2976, sections 3 and 5",
        basis: Basis::Opened,
        unit: "pH",
        decimals: 2,
        ..crc
    };
    let salt = |totals: Totals| {
        equilibrate(
            model,
            &Problem {
                totals,
                ..Problem::water()
            },
        )
    };
    let kcl = salt(Totals {
        k: 0.01,
        cl: 0.01,
        ..Totals::default()
    })?;
    let mut all = vec![crc.check(
        "44",
        "0.01 mol/L KCl at 25 °C",
        near(1412.0, 0.015 * 1412.0),
        1000.0 * kcl.ec25_ms_per_cm,
    )];
    let rows = [
        (
            "42a",
            "sodium bicarbonate",
            Totals {
                na: 0.01,
                carbonate: 0.01,
                ..Totals::default()
            },
        ),
        (
            "42b",
            "potassium bicarbonate",
            Totals {
                k: 0.01,
                carbonate: 0.01,
                ..Totals::default()
            },
        ),
        (
            "42c",
            "calcium bicarbonate",
            Totals {
                ca: 0.005,
                carbonate: 0.0104,
                ..Totals::default()
            },
        ),
        (
            "42d",
            "gypsum water",
            Totals {
                ca: 0.005,
                so4: 0.005,
                ..Totals::default()
            },
        ),
        (
            "42e",
            "sodium chloride",
            Totals {
                na: 0.01,
                cl: 0.01,
                ..Totals::default()
            },
        ),
        (
            "42f",
            "potassium chloride",
            Totals {
                k: 0.01,
                cl: 0.01,
                ..Totals::default()
            },
        ),
    ];
    for (key, what, totals) in rows {
        let per_meq = salt(totals)?.ec25_ms_per_cm / 10.0;
        all.push(rule.check(key, format!("conductivity of 10 meq/L {what}"), near(0.1, 0.015), per_meq)
            .note("the quick rule counts the salt of a dose, which is bicarbonates and lime. Chlorides lie above it, dissolved lime below, and the rule knows no ion"));
    }
    let cacl2 = salt(Totals {
        ca: 0.01,
        cl: 0.02,
        ..Totals::default()
    })?
    .ec25_ms_per_cm;
    let slurry = tables.value("constants", "salt", "peat_slurry_ec_ms_cm")?;
    let per_decade = tables.value("constants", "salt", "ph_fall_per_decade_ec")?;
    all.push(shift.check(
        "36",
        "peat pH in water above that in 0.01 M CaCl2, from the salt effect",
        between(0.5, 0.8),
        per_decade * (cacl2 / slurry).log10(),
    ));
    Ok(all)
}

/// A central ash liquor: K, SO4 and Cl as worked out from the median ash.
fn liquor(model: &AqueousModel) -> Result<Vec<Check>, ValidationError> {
    let share = From {
        area: Area::Water,
        source: "Etiégni & Campbell 1991, Bioresour. Technol. 37:173, abstract",
        basis: Basis::Opened,
        unit: "%",
        decimals: 1,
    };
    let ph = From {
        unit: "pH",
        decimals: 2,
        ..share
    };
    let phreeqc = From {
        source: "PHREEQC with phreeqc.dat and portlandite, run for this work",
        basis: Basis::Derived,
        ..ph
    };
    let totals = Totals {
        k: 0.0299,
        so4: 0.00374,
        cl: 0.0030,
        carbonate: 0.0097,
        ..Totals::default()
    };
    let base = Problem {
        temperature: Celsius(20.0),
        totals,
        ..Problem::water()
    };
    let steeped = equilibrate(model, &base)?;
    let limed = equilibrate(
        model,
        &Problem {
            solids: Solids::NONE
                .with(Solid::Calcite, 0.0)
                .with(Solid::Portlandite, 10.0),
            ..base
        },
    )?;
    let aged = equilibrate(model, &Problem { gas: AIR, ..base })?;
    let hydroxide = limed.species(model).get("OH-").copied().unwrap_or(f64::NAN);
    Ok(vec![
        share.check(
            "25",
            "share of hydroxide in the alkalinity of ash liquor with calcite and lime",
            near(92.0, 2.0),
            100_000.0 * hydroxide / limed.alkalinity_meq_per_kg,
        ),
        phreeqc.check(
            "3.2 a",
            "the liquor, carbonate only",
            near(11.09, 0.02),
            steeped.ph,
        ),
        phreeqc.check(
            "3.2 b",
            "with calcite and lime in excess",
            near(12.65, 0.05),
            limed.ph,
        ),
        phreeqc.check("3.2 c", "left open to the air", near(9.28, 0.02), aged.ph),
        From {
            source: "what keepers' meters show in ash water",
            basis: Basis::Practice,
            ..ph
        }
        .check(
            "P5",
            "ash water reads about 9.5; ours aged in air",
            about(9.5),
            aged.ph,
        )
        .note("fresh liquor is far higher; what a cheap meter shows at such pH is not known"),
    ])
}
