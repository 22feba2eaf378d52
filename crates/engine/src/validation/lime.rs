//! Neutralising value from the formula, and sieve analyses by the published
//! schemes.

use super::{Area, Basis, Check, From, ValidationError, about, between, near};
use crate::chemistry::fineness::{Passing, Scheme, Sieves, effectiveness};
use crate::chemistry::neutralising::neutralising_percent;
use crate::table::{Property, Tables};

/// Standard atomic weights [g/mol].
const CA: f64 = 40.078;
const MG: f64 = 24.305;
const C: f64 = 12.011;
const O: f64 = 15.999;
const H: f64 = 1.008;

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let mut all = neutralising();
    all.extend(schemes(tables)?);
    all.extend(shells(tables)?);
    Ok(all)
}

fn neutralising() -> Vec<Check> {
    let nebraska = From {
        area: Area::Lime,
        source: "University of Nebraska soils lesson, Table 4.4",
        basis: Basis::Opened,
        unit: "% of CaCO3",
        decimals: 1,
    };
    let cornell = From {
        source: "Cornell Agronomy Fact Sheet 7, Table 1",
        ..nebraska
    };
    let pounds = From {
        unit: "lb",
        decimals: 0,
        ..nebraska
    };
    let european = From {
        source: "EN 12945, neutralising value as CaO",
        basis: Basis::Memory,
        unit: "g/g",
        decimals: 3,
        ..nebraska
    };
    let mgco3 = neutralising_percent(MG + C + 3.0 * O, 2.0);
    let caoh2 = neutralising_percent(CA + 2.0 * (O + H), 2.0);
    let mgoh2 = neutralising_percent(MG + 2.0 * (O + H), 2.0);
    let cao = neutralising_percent(CA + O, 2.0);
    let mgo = neutralising_percent(MG + O, 2.0);
    let dolomite = neutralising_percent(CA + MG + 2.0 * (C + 3.0 * O), 4.0);
    vec![
        nebraska.check("1a", "neutralising value of MgCO3", near(119.0, 1.0), mgco3),
        nebraska.check(
            "1b",
            "neutralising value of Ca(OH)2",
            near(135.0, 1.0),
            caoh2,
        ),
        nebraska.check(
            "1c",
            "neutralising value of Mg(OH)2",
            near(172.0, 1.0),
            mgoh2,
        ),
        nebraska.check("1d", "neutralising value of CaO", near(178.0, 1.0), cao),
        nebraska.check("1e", "neutralising value of MgO", near(250.0, 2.0), mgo),
        cornell.check(
            "2a",
            "neutralising value of dolomite",
            near(109.0, 1.0),
            dolomite,
        ),
        cornell.check("2b", "neutralising value of CaO", near(179.0, 1.0), cao),
        cornell.check(
            "2c",
            "neutralising value of Ca(OH)2",
            near(136.0, 1.0),
            caoh2,
        ),
        pounds.check(
            "3a",
            "CaO equal to one ton of CaCO3",
            near(1120.0, 5.0),
            2e5 / cao,
        ),
        pounds.check(
            "3b",
            "Ca(OH)2 equal to one ton of CaCO3",
            near(1480.0, 5.0),
            2e5 / caoh2,
        ),
        european.check("3c", "CaCO3 equal to CaO", near(1.785, 0.001), cao / 100.0),
    ]
}

/// A lime that lies whole between two sieves.
fn between_sieves(fine_mm: f64, coarse_mm: f64) -> Result<Sieves, ValidationError> {
    let line = |opening_mm, share| Passing { opening_mm, share };
    Ok(Sieves::new(vec![line(fine_mm, 0.0), line(coarse_mm, 1.0)])?)
}

fn schemes(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let new_york = From {
        area: Area::Lime,
        source: "Cornell Certified Crop Adviser guide, CA5 PO41",
        basis: Basis::Opened,
        unit: "share",
        decimals: 2,
    };
    let cornell = From {
        source: "Cornell Agronomy Fact Sheet 7",
        ..new_york
    };
    let nebraska = From {
        source: "University of Nebraska, Quality of Agricultural Limestone",
        ..new_york
    };
    let rows = [
        (
            "4a",
            new_york,
            Scheme::NewYork,
            0.05,
            0.15,
            1.0,
            "finer than 100 mesh",
        ),
        (
            "4b",
            new_york,
            Scheme::NewYork,
            0.15,
            0.25,
            0.8,
            "60 to 100 mesh",
        ),
        (
            "4c",
            new_york,
            Scheme::NewYork,
            0.25,
            0.85,
            0.4,
            "20 to 60 mesh",
        ),
        (
            "4d",
            cornell,
            Scheme::Cornell,
            0.15,
            0.85,
            0.6,
            "20 to 100 mesh",
        ),
        (
            "5a",
            nebraska,
            Scheme::Nebraska,
            2.36,
            5.0,
            0.1,
            "coarser than 8 mesh",
        ),
        (
            "5b",
            nebraska,
            Scheme::Nebraska,
            0.30,
            2.36,
            0.4,
            "8 to 50 mesh",
        ),
        (
            "5c",
            nebraska,
            Scheme::Nebraska,
            0.05,
            0.30,
            1.0,
            "finer than 50 mesh",
        ),
    ];
    rows.into_iter()
        .map(|(key, from, scheme, fine, coarse, factor, what)| {
            let ours = effectiveness(tables, scheme, &between_sieves(fine, coarse)?)?;
            let what = format!("effectiveness of a lime {what}");
            Ok(from.check(key, what, near(factor, 1e-9), ours))
        })
        .collect()
}

fn shells(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let nv = |key: &str| -> Result<f64, ValidationError> {
        Ok(tables
            .material(key)?
            .value(Property::NeutralisingPercent)
            .unwrap_or(f64::NAN))
    };
    let shell = From {
        area: Area::Lime,
        source: "Thermogravimetry of eggshell of 16 origins, preprint 2023, abstract",
        basis: Basis::Opened,
        unit: "% of CaCO3",
        decimals: 1,
    };
    let litter = From {
        source: "Noble et al. 1996, Plant and Soil, abstract",
        unit: "cmol/kg",
        decimals: 0,
        ..shell
    };
    let alkalinity = tables.value("constants", "litter", "ash_alkalinity_cmol_kg")?;
    Ok(vec![
        shell
            .check(
                "27a",
                "eggshell the engine doses with",
                between(94.65, 97.23),
                nv("eggshell_crushed")?,
            )
            .note("the engine's value stands for dry shell with its membrane and dirt"),
        shell.check(
            "27b",
            "mean of CaCO3 in shell",
            about(96.33),
            nv("eggshell_powder")?,
        ),
        litter
            .check(
                "41",
                "ash alkalinity of leaf litter",
                between(36.0, 247.0),
                alkalinity,
            )
            .note("a value chosen within the published range; not yet used by a bed"),
    ])
}
