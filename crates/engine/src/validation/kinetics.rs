//! Lime grains in peat, and the rate laws behind them.

use super::{Area, Basis, Check, From, ValidationError, about, near};
use crate::chemistry::lime::{
    Law, Parameters, Surroundings, dissolved_share_of_class, forward_rate_mmol_cm2_s,
};
use crate::chemistry::pore::{Constants, davies_gamma1};
use crate::quantity::Celsius;
use crate::table::Tables;

const HUANG: &str = "Huang, Fisher & Argo 2007, HortScience 42:1268, abstract";
const PLUMMER: &str = "Plummer, Wigley & Parkhurst 1978, as in the RATES block of phreeqc.dat";
const PALANDRI: &str =
    "Palandri & Kharaka 2004, USGS Open-File Report 2004-1068, as encoded in an open library";

/// Classes of Huang et al. [µm] with their efficiency on day 7.
const CLASSES: [(f64, f64, f64); 6] = [
    (850.0, 2000.0, 0.13),
    (250.0, 850.0, 0.40),
    (150.0, 250.0, 0.78),
    (75.0, 150.0, 0.97),
    (45.0, 75.0, 1.00),
    (10.0, 45.0, 1.00),
];

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let mut all = efficiencies(tables)?;
    all.extend(plummer());
    all.extend(palandri(tables)?);
    Ok(all)
}

fn efficiencies(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let peat = From {
        area: Area::Kinetics,
        source: HUANG,
        basis: Basis::Opened,
        unit: "share",
        decimals: 2,
    };
    let n = |property: &str| tables.value("dissolution", "bedding", property);
    let law = Law::new(
        &Parameters {
            max_um_per_day: n("retreat_cap_um_per_day")?,
            activation_kj_per_mol: n("activation_energy_kj_mol")?,
            pore_calcium_mol_per_l: n("pore_calcium_mmol_l")? / 1000.0,
        },
        &Surroundings {
            temperature: Celsius(25.0),
            co2_atm: tables.value("gases", "normal_bedding", "co2_atm")?,
            gamma1: davies_gamma1(
                Celsius(25.0),
                tables.value("bed", "bed", "ionic_strength_mol_per_kg")?,
            ),
        },
    );
    let fitted = 7.0 * n("retreat_um_per_day")?;
    let by_law = 7.0 * law.retreat_um_per_day(6.0);
    let mut all = Vec::new();
    for (i, (low, high, published)) in CLASSES.into_iter().enumerate() {
        let name = format!("{low:.0} to {high:.0} µm, day 7 in peat");
        let key = char::from(b'a' + i as u8);
        all.push(
            peat.check(
                format!("6{key}"),
                format!("{name}, at the fitted speed"),
                near(published, 0.04),
                dissolved_share_of_class(low, high, fitted),
            )
            .note("the one speed was fitted to these six; share dissolved against a ratio of pH rises"),
        );
        all.push(peat.check(
            format!("6{key} law"),
            format!("{name}, by the rate law at pH 6"),
            near(published, 0.04),
            dissolved_share_of_class(low, high, by_law),
        ));
    }
    Ok(all)
}

/// µm/day for each mmol/cm²/s of calcite.
const CALCITE_UM_DAY: f64 = 36.9 * 86_400.0 * 1e4 * 1e-3;

fn plummer() -> Vec<Check> {
    let constants = From {
        area: Area::Kinetics,
        source: PLUMMER,
        basis: Basis::Derived,
        unit: "mmol/cm²/s",
        decimals: 9,
    };
    let speed = From {
        unit: "µm/day",
        decimals: 1,
        ..constants
    };
    let t = Celsius(25.0);
    let k3 = forward_rate_mmol_cm2_s(40.0, t, 0.0);
    let k1 = forward_rate_mmol_cm2_s(0.0, t, 0.0) - k3;
    let k2 = forward_rate_mmol_cm2_s(40.0, t, 1.0) - k3;
    let mut all = vec![
        From {
            decimals: 5,
            ..constants
        }
        .check("32a", "k1 at 25 °C", near(0.05115, 5e-5), k1),
        constants.check("32b", "k2 at 25 °C", near(3.454e-5, 5e-9), k2),
        From {
            decimals: 11,
            ..constants
        }
        .check("32c", "k3 at 25 °C", near(1.193e-7, 5e-11), k3),
    ];
    let co2 = 10f64.powf(Constants::at(t).log_kh) * 0.01;
    for (ph, published) in [
        (4.0, 167.0),
        (4.7, 37.0),
        (5.0, 20.0),
        (5.5, 9.3),
        (6.0, 5.8),
        (6.5, 4.7),
    ] {
        all.push(speed.check(
            format!("32 pH {ph}"),
            format!("calcite surface at pH {ph}, 25 °C, 1 % CO2, far from saturation"),
            near(published, 0.03 * published),
            forward_rate_mmol_cm2_s(ph, t, co2) * CALCITE_UM_DAY,
        ));
    }
    all
}

/// Retreat [µm/day] at 25 °C by the law of Palandri and Kharaka.
fn palandri_um_day(
    tables: &Tables,
    mineral: &str,
    ph: f64,
    co2_atm: f64,
) -> Result<f64, ValidationError> {
    let n = |property: &str| tables.value("dissolution", mineral, property);
    let volume = tables.value("dissolution", "dolomite", "molar_volume_cm3_mol")?;
    let term = |log_k: f64, log_a: f64, order: f64| 10f64.powf(log_k + order * log_a);
    let rate = term(n("log_k_acid")?, -ph, n("order_acid")?)
        + 10f64.powf(n("log_k_neutral")?)
        + term(
            n("log_k_carbonate")?,
            co2_atm.log10(),
            n("order_carbonate")?,
        );
    Ok(rate * volume * 86_400.0)
}

fn palandri(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let speed = From {
        area: Area::Kinetics,
        source: PALANDRI,
        basis: Basis::Derived,
        unit: "µm/day",
        decimals: 1,
    };
    let mut all = Vec::new();
    for (mineral, what, row) in [
        (
            "dolomite_disordered",
            "disordered dolomite",
            [(4.0, 40.0), (5.0, 16.0), (6.0, 8.1), (6.5, 6.5)],
        ),
        (
            "dolomite_ordered",
            "ordered dolomite",
            [(4.0, 12.0), (5.0, 5.4), (6.0, 3.4), (6.5, 2.9)],
        ),
    ] {
        for (ph, published) in row {
            all.push(speed.check(
                format!("33 {what} pH {ph}"),
                format!("surface of {what} at pH {ph}, 25 °C, 1 % CO2"),
                near(published, 0.04 * published),
                palandri_um_day(tables, mineral, ph, 0.01)?,
            ));
        }
    }
    let share = From {
        unit: "ratio",
        decimals: 2,
        ..speed
    };
    let factor = tables.value("dissolution", "dolomite", "contact_factor")?;
    for mineral in ["dolomite_disordered", "dolomite_ordered"] {
        let co2 = 10f64.powf(Constants::at(Celsius(25.0)).log_kh) * 0.01;
        let calcite = forward_rate_mmol_cm2_s(5.5, Celsius(25.0), co2) * CALCITE_UM_DAY;
        let ratio = palandri_um_day(tables, mineral, 5.5, 0.01)? / calcite;
        let what = mineral.replace('_', " ");
        all.push(
            share
                .check(format!("33 {what} ratio"), format!("{what} against calcite at pH 5.5; shown: the contact factor the engine uses"), about(ratio), factor)
                .note("the two laws disagree by three times; the factor stands near the slower, its range (0.15 to 0.6) does not reach the faster"),
        );
    }
    Ok(all)
}
