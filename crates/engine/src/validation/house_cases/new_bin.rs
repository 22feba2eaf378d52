//! What keepers expect of a new bin, and castings against appetite.

use super::KEEPERS;
use crate::living::habitat::Habitat;
use crate::living::species::{Species, Vital};
use crate::living::worms::Worms;
use crate::log::PeatLabel;
use crate::quantity::Band;
use crate::table::Tables;
use crate::validation::trial::{Ran, Trial, kilos, part, said, tote, worms};
use crate::validation::{Area, Check, From, ValidationError, between, near};

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let practice = From {
        area: Area::Practice,
        ..KEEPERS
    };
    let unit = |unit: &'static str| From { unit, ..practice };
    let mut peat = part("peat_sphagnum_limed", "20 L")?;
    peat.label = PeatLabel::LimeAdjusted;
    let parts = vec![
        peat,
        part("yard_compost_finished", "20 L")?,
        kilos("water", 4.0, None)?,
    ];
    let run = Trial::new(tote(60.0, 40.0, 30.0), parts, 22.0, 30.0)
        .on(1.0, worms(None, Some(5000.0), ""))
        .feed(3.0, 3.5, &[kilos("kitchen_scraps_veg", 0.4, None)?])
        .run(tables)?;
    let share = |day: f64| run.band(day, |l| l.signs.castings_share);
    let urge = |day: f64| run.band(day, |l| l.signs.urge_to_leave);
    let (early, late, week, fortnight) = (share(18.5), share(29.0), urge(8.0), urge(15.0));
    let worked = "Worked through taken as 60 % of the dry matter, 8 to 9 kg of it. 1.2 kg of worms at 0.10 g/g/d turn over 3 kg in four weeks even unhindered, and too little air hinders half of the possible bins. Keepers judge by eye, and garden compost looks worked from the first day: our model counts compost of kitchen waste as worked, that of the garden not.";
    let row =
        |key: &str, of: &'static str, what: &str, range: (f64, f64), band: &Band, note: &str| {
            unit(of)
                .check(key, what, between(range.0, range.1), band.median)
                .note(&format!("{}. {note}", said(band, 2)))
        };
    let lives = household_of_coir(tables)?;
    let kept = "Salt and heat of food, and too little air, drive the interval; a bed half of compost is close to waterlogged in the model.";
    let growth = lives.between(4.0, 79.0, |a, b| {
        b.signs.worms_kg / a.signs.worms_kg.max(1e-9)
    });
    Ok(vec![
        row(
            "P5 castings",
            "share",
            "5000 worms in half peat, half compost: castings after four weeks",
            (0.6, 1.0),
            &late,
            worked,
        ),
        row(
            "P5 early",
            "share",
            "the same after two and a half weeks: not worked through before",
            (0.0, 0.6),
            &early,
            worked,
        ),
        row(
            "P6 week",
            "0 to 1",
            "urge to leave a week after stocking: settled",
            (0.0, 0.3),
            &week,
            kept,
        ),
        row(
            "P6 fortnight",
            "0 to 1",
            "the same after a fortnight",
            (0.0, 0.3),
            &fortnight,
            kept,
        ),
        row(
            "P7 doubling",
            "fold",
            "worms of a usual household bin after 75 d; doubling takes 60 to 90 d",
            (1.78, 2.38),
            &growth,
            "450 g in card, coir and compost, 2 to 3 cups of scraps every four days. Salt rises and the urge to leave with it.",
        ),
        turnover(tables)?,
    ])
}

fn household_of_coir(tables: &Tables) -> Result<Ran, ValidationError> {
    let parts = vec![
        part("cardboard_corrugated", "30 L")?,
        part("coir_pith", "10 L")?,
        part("yard_compost_finished", "5 L")?,
        part("water", "5 L")?,
    ];
    Trial::new(tote(60.0, 40.0, 30.0), parts, 20.0, 100.0)
        .on(3.0, worms(Some(450.0), None, ""))
        .feed(5.0, 4.0, &[part("kitchen_scraps_veg", "2.5 cups")?])
        .run(tables)
}

/// Castings against appetite: the two published figures side by side.
fn turnover(tables: &Tables) -> Result<Check, ValidationError> {
    let v = Vital::of(tables, Species::EiseniaFetida)?;
    let stock = Worms::stocked(Species::EiseniaFetida, Some(1000.0), None, &v);
    let h = Habitat {
        celsius: 25.0,
        ..Habitat::kind(40.0)
    };
    let dry = stock.appetite_g_dm_per_day(&v, &h) / 1000.0
        * tables.value("living", "worms", "turnover")?;
    // Casts of 70 % moisture.
    Ok(From { area: Area::Practice, source: "Yadav, Tare and Ahammed 2010, Waste Management 30:50", basis: crate::validation::Basis::Opened, unit: "kg/kg/d", decimals: 2 }
        .check("P5 turnover", "wet casts a kilogram of worms makes a day at 25 °C", near(0.30, 0.09), dry / 0.3)
        .note("0.10 kg of dry matter eaten a day is 0.33 kg of casts at 70 % moisture, as published; ours counts 1.4 times that, for bedding is worked faster than it is eaten, by what worms mix and line their burrows with (estimate)."))
}
