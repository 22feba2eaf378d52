//! Setups written down and committed before the model was run on them: a
//! prediction sealed beforehand. What was measured was read in abstracts, or in
//! copies others made of the tables of articles that could not be opened
//! themselves.
//!
//! Of one setup, municipal waste taken for food alone (`srivastava2020`), and of the
//! air of two (`srivastava2020`, `quadar2022`) something was changed afterwards; of
//! the others nothing for what came out. What all setups share
//! (covers, the extract of conductivity: see `setups`) was changed after the
//! outcomes of `ramos2022`, `santana2020` and `quadar2022` had been seen, and
//! before the others were run.
//!
//! Where the setup is not in what could be read it is that of an older trial
//! here (`castillo2010`: 30 g of worms per kg in a covered pot; `majlessi2012`:
//! food waste in a box that drains), not one chosen for the outcome.
//!
//! Two are sealed without being here: nitrate of `santana2020`, whose setup
//! stayed as it was when the nitrate was entered, and `cow_alone` of
//! `neuhauser1980`, which is set up as the horse pots of the same work.

use super::super::super::ValidationError;
use super::super::super::trial::{Keeping, Trial, adults, kilos, part, tote, worms};
use super::{
    LABORATORY, PLAINS, Planned, Treatment, before, days, moist, nitrogen_for, own, pot,
    printed_over_ours,
};
use crate::bed::fill::Own;
use crate::log::{BinDescription, Lid, Part, Walls};
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
    let mut all = Own::new();
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
    let mut trial = Trial::new(pot(POT_LITRES), parts, PLAINS, days(t))
        .on(0.0, worms(Some(POT_GRAMS), None, "eisenia_fetida"));
    trial.own = all;
    trial.keeping = moist(70.0);
    Ok(Planned {
        trial,
        assumed: "5 kg of our cow manure and coir pith for coconut husk, shares by dry mass, nitrogen so that C:N is as printed, the printed pH and salt; a covered pot of 20 L without holes, 150 g of worms, 27 °C, 70 % moisture kept",
        worms: 500.0,
    })
}

/// Organic part of municipal waste with cow dung, start and end.
///
/// A waste of C:N 46 to 68 is not food alone: so much of it is our food waste as
/// holds its nitrogen, the rest paper.
pub(super) fn srivastava(tables: &Tables, t: &Treatment) -> Result<Planned, ValidationError> {
    let (food, paper) = ("kitchen_food_waste_mixed", "paper_domestic_mixed");
    let of = |material| tables.value("material_numbers", material, "nitrogen_percent");
    let nitrogen = given(t, "start_nitrogen_percent")?;
    let share = ((nitrogen - of(paper)?) / (of(food)? - of(paper)?)).clamp(0.0, 1.0);
    let mut parts = Vec::new();
    let mut all = Own::new();
    for (material, share) in [(food, share), (paper, 1.0 - share)] {
        let mut part = kilos(material, share * POT_KG, Some(70.0))?;
        part.ph = t.value("start_ph");
        parts.push(part);
        let carbon = given(t, "start_carbon_percent")?;
        let ec = given(t, "start_ec")? / printed_over_ours(t);
        all.extend(own(
            material,
            &[("carbon_percent", carbon), ("ec_ms_cm", ec)],
        ));
    }
    let mut trial = Trial::new(pot(POT_LITRES), parts, PLAINS, days(t))
        .on(0.0, worms(Some(POT_GRAMS), None, "eisenia_fetida"));
    trial.own = all;
    trial.keeping = moist(70.0);
    Ok(Planned {
        trial,
        assumed: "5 kg of our mixed food waste and paper, as much of each as holds the printed nitrogen, for municipal waste with dung, with the printed pH, carbon and salt, in a covered pot of 20 L without holes, 150 g of worms from the first day, 60 d, 27 °C, 70 % moisture kept",
        worms: 500.0,
    })
}

/// Household waste, start and end.
pub(super) fn amouei(tables: &Tables, t: &Treatment) -> Result<Planned, ValidationError> {
    let material = "kitchen_food_waste_mixed";
    let food = kilos(material, 10.0, Some(72.0))?;
    let mut trial = Trial::new(tote(50.0, 40.0, 25.0), vec![food], LABORATORY, days(t))
        .on(14.0, worms(Some(500.0), None, "eisenia_fetida"));
    let nitrogen = nitrogen_for(tables, material, given(t, "start_cn_ratio")?)?;
    trial.own = own(
        material,
        &[
            ("nitrogen_percent", nitrogen),
            ("ash_percent", given(t, "start_ash_percent")?),
            ("ec_ms_cm", given(t, "start_ec")? / printed_over_ours(t)),
        ],
    );
    trial.keeping = moist(70.0);
    Ok(Planned {
        trial,
        assumed: "the abstract gives no more, so as majlessi2012: 10 kg of our mixed food waste at 72 % with the printed C:N, ash and salt, 60 d, 22 °C, 500 g of worms after two weeks, 70 % moisture kept, holes that drain",
        worms: 1500.0,
    })
}

/// Vegetable waste with dung or sawdust, composted and then given to worms.
pub(super) fn cotta(tables: &Tables, t: &Treatment) -> Result<Planned, ValidationError> {
    let composted = before("cotta2015");
    let other = t
        .word("feed.dung.material")
        .or_else(|| t.word("feed.sawdust.material"))
        .unwrap_or_default();
    let ratio = given(t, "start_cn_ratio")?;
    let mut parts: Vec<Part> = Vec::new();
    let mut all = Own::new();
    for material in ["veg_waste_nonlegume", other] {
        parts.push(part(material, "20 L")?);
        let nitrogen = nitrogen_for(tables, material, ratio)?;
        all.extend(own(material, &[("nitrogen_percent", nitrogen)]));
    }
    let bin = BinDescription {
        walls: Walls::Wood,
        ..tote(50.0, 40.0, 30.0)
    };
    let count = given(t, "worms_start")?;
    let mut trial = Trial::new(bin, parts, LABORATORY, composted + days(t));
    trial.staged = Some((composted, adults(count), "eisenia_fetida".to_owned()));
    trial.own = all;
    trial.keeping = moist(70.0);
    Ok(Planned {
        trial,
        assumed: "20 L of each, as used, which makes the 40 L, with nitrogen so that C:N of both is as printed, taken as before composting; the whole 154 d in one wooden box of 60 L with holes, 300 adults after 56 d, 22 °C, 70 % moisture kept; days counted from the worms",
        worms: count,
    })
}

/// Worms in garden soil, fed duckweed with or without dung.
pub(super) fn kostecka(t: &Treatment) -> Result<Planned, ValidationError> {
    /// Feed of a week, as for `dominguez2000_sludge` [kg].
    const WEEKLY_KG: f64 = 0.1;
    let duckweed = given(t, "feed.duckweed.share_percent")? / 100.0;
    let mut feed = vec![kilos("weeds_green", duckweed * WEEKLY_KG, None)?];
    if duckweed < 1.0 {
        let dung = (1.0 - duckweed) * WEEKLY_KG;
        feed.push(kilos("cow_manure_solid", dung, None)?);
    }
    let count = given(t, "worms_start")?;
    let soil = part("topsoil_loam", "1 L")?;
    let mut trial = Trial::new(pot(4.0), vec![soil], given(t, "celsius")?, days(t))
        .on(0.0, worms(None, Some(count), "eisenia_fetida"))
        .feed(0.0, 7.0, &feed);
    // What is printed can hardly be of garden soil by wet mass, so it is not
    // taken beyond what the bed holds.
    trial.keeping = moist(given(t, "moisture_percent")?);
    Ok(Planned {
        trial,
        assumed: "1 L of our loam in a covered pot of 4 L without holes, 100 worms of unknown mass, 100 g of feed a week, halves by wet mass, green weeds for duckweed, 25 °C; 72.5 % moisture kept as far as the bed holds it",
        worms: count,
    })
}

/// One layer of rabbit manure, as it ages under newer ones.
pub(super) fn gomez_brandon(t: &Treatment) -> Result<Planned, ValidationError> {
    let moisture = given(t, "moisture_percent")?;
    let mut manure = kilos("rabbit_manure_aged", POT_KG, Some(moisture))?;
    manure.ph = t.value("start_ph");
    let mut trial = Trial::new(pot(POT_LITRES), vec![manure], LABORATORY, days(t))
        .on(0.0, worms(Some(POT_GRAMS), None, "eisenia_fetida"));
    trial.keeping = Keeping {
        printed: true,
        ..moist(moisture)
    };
    Ok(Planned {
        trial,
        assumed: "one layer by itself: 5 kg of our aged rabbit manure with the printed pH in a covered pot of 20 L without holes, 150 g of worms from the first day, 22 °C, 71 % moisture kept",
        worms: 500.0,
    })
}

/// A household's tank of scraps and garden soil.
pub(super) fn sharafi(t: &Treatment) -> Result<Planned, ValidationError> {
    let parts = vec![
        kilos("kitchen_scraps_veg", POT_KG, None)?,
        kilos("topsoil_loam", POT_KG / 10.0, None)?,
    ];
    let mut trial = Trial::new(tote(40.0, 30.0, 25.0), parts, LABORATORY, days(t))
        .on(0.0, worms(Some(POT_GRAMS), None, "eisenia_fetida"));
    trial.keeping = moist(70.0);
    Ok(Planned {
        trial,
        assumed: "nothing but materials and days is in the abstract: 5 kg of our vegetable scraps with 0.5 kg of loam, given once, in a tote with holes, 150 g of worms, 22 °C, 70 % moisture kept",
        worms: 500.0,
    })
}
