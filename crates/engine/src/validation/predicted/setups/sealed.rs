//! Setups written down and committed before the model was run on them, and
//! left as they were whatever came out: a prediction sealed beforehand. The
//! measured values are copies others made of the tables of articles that could
//! not be opened themselves.
//!
//! Where the setup is not in what could be read it is that of an older trial
//! here (`castillo2010`: 30 g of worms per kg in a covered pot), not one chosen
//! for the outcome.

use super::super::super::ValidationError;
use super::super::super::trial::{Trial, kilos, tote, worms};
use super::{
    LABORATORY, Planned, Treatment, days, moist, nitrogen_for, own, pot, printed_over_ours,
};
use crate::log::{BinDescription, Lid, Part};
use crate::table::{TableError, Tables};

/// Bedding of a pot [kg] and worms in it [g], as for `castillo2010`.
const POT_KG: f64 = 5.0;
const POT_GRAMS: f64 = 150.0;
const POT_LITRES: f64 = 20.0;

/// A value of the setup that the table must hold.
fn given(t: &Treatment, property: &str) -> Result<f64, ValidationError> {
    let value = t.value(property);
    let missing = || TableError::UnknownNumber {
        table: "experiment_setups".to_owned(),
        subject: t.key.clone(),
        property: property.to_owned(),
        nearest: "none".to_owned(),
    };
    Ok(value.ok_or_else(missing)?)
}

/// Cattle manure given once, sampled after 15 to 120 days.
pub(super) fn ramos(t: &Treatment) -> Result<Planned, ValidationError> {
    let material = "cow_manure_solid";
    let mut manure = kilos(material, POT_KG, Some(75.0))?;
    manure.ph = t.value("start_ph");
    let mut trial = Trial::new(pot(POT_LITRES), vec![manure], LABORATORY, days(t))
        .on(0.0, worms(Some(POT_GRAMS), None, "eisenia_andrei"));
    trial.own = own(
        material,
        &[
            ("carbon_percent", given(t, "start_carbon_percent")?),
            ("nitrogen_percent", given(t, "start_nitrogen_percent")?),
            ("ec_ms_cm", given(t, "start_ec")? / printed_over_ours(t)),
        ],
    );
    trial.keeping = moist(75.0);
    Ok(Planned {
        trial,
        assumed: "5 kg of manure with the printed pH, carbon, nitrogen and salt in a covered pot of 20 L without holes, 150 g of worms, 22 °C, 75 % moisture kept",
        worms: 500.0,
    })
}

/// One layer of grape marc on a bed with worms, as it ages under newer ones.
pub(super) fn santana(t: &Treatment) -> Result<Planned, ValidationError> {
    /// Piece of the reactor that is looked at [m2].
    const AREA_M2: f64 = 0.25;
    /// Day the worms have come up into the fresh marc [d].
    const WORMS_COME: f64 = 7.0;
    let material = "apple_pomace";
    let moisture = given(t, "moisture_percent")?;
    let kg = AREA_M2 * given(t, "feed.marc.kg_per_m2")?;
    let grams = AREA_M2 * given(t, "worms_g_per_m2")?;
    let mut marc = kilos(material, kg, Some(moisture))?;
    marc.ph = t.value("start_ph");
    let bin = BinDescription {
        lid: Lid::Open,
        ..tote(50.0, 50.0, 30.0)
    };
    let mut trial = Trial::new(bin, vec![marc], LABORATORY, days(t))
        .on(WORMS_COME, worms(Some(grams), None, "eisenia_andrei"));
    trial.own = own(
        material,
        &[
            ("carbon_percent", given(t, "start_carbon_percent")?),
            ("nitrogen_percent", given(t, "start_nitrogen_percent")?),
            ("ash_percent", given(t, "start_ash_percent")?),
            ("ec_ms_cm", given(t, "start_ec")? / printed_over_ours(t)),
        ],
    );
    trial.keeping = moist(moisture);
    Ok(Planned {
        trial,
        assumed: "one layer by itself, without the newer marc laid on it: 26 kg/m2 with the printed pH, carbon, nitrogen, ash and salt, else as our apple pomace; 58 g/m2 of worms come up after a week; 22 °C, 70 % moisture kept, holes that drain",
        worms: 234.0 * AREA_M2,
    })
}

/// Cattle dung and coconut husk, sampled after 120 days.
pub(super) fn quadar(tables: &Tables, t: &Treatment) -> Result<Planned, ValidationError> {
    let husk = given(t, "feed.husk.share_percent")? / 100.0;
    let ratio = given(t, "start_cn_ratio")?;
    let ec = given(t, "start_ec")? / printed_over_ours(t);
    let mut parts: Vec<Part> = Vec::new();
    let mut all = crate::bed::fill::Own::new();
    for (material, share) in [("cow_manure_solid", 1.0 - husk), ("coir_pith", husk)] {
        if share <= 0.0 {
            continue;
        }
        let mut part = kilos(material, share * POT_KG, Some(70.0))?;
        part.ph = t.value("start_ph");
        parts.push(part);
        let nitrogen = nitrogen_for(tables, material, ratio)?;
        all.extend(own(
            material,
            &[("nitrogen_percent", nitrogen), ("ec_ms_cm", ec)],
        ));
    }
    let mut trial = Trial::new(pot(POT_LITRES), parts, LABORATORY, days(t))
        .on(0.0, worms(Some(POT_GRAMS), None, "eisenia_fetida"));
    trial.own = all;
    trial.keeping = moist(70.0);
    Ok(Planned {
        trial,
        assumed: "5 kg of our cow manure and coir pith for coconut husk, shares by dry mass, nitrogen so that C:N is as printed, the printed pH and salt; a covered pot of 20 L without holes, 150 g of worms, 22 °C, 70 % moisture kept",
        worms: 500.0,
    })
}
