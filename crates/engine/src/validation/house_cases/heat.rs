//! Cases of heat and of bad mixes: K42, K43, K45, K61, K63, K64, K65.

use super::{Told, alive, measured, ran, told};
use crate::living::room::Day;
use crate::log::{BinDescription, Body, Lid, Walls};
use crate::quantity::Band;
use crate::table::Tables;
use crate::validation::experiments::Quantity;
use crate::validation::predicted::{Kind, Prediction};
use crate::validation::trial::{Keeping, Ran, Trial, kilos, part, said, tote, worms};
use crate::validation::{Check, ValidationError};

pub(super) fn checks(
    tables: &Tables,
    cases: &Told,
    seen: &mut Vec<Prediction>,
) -> Result<Vec<Check>, ValidationError> {
    let mut all = manure(tables, cases)?;
    all.extend(grass(tables, cases)?);
    all.extend(heat_wave(tables, cases, seen)?);
    all.extend(desert(tables)?);
    all.extend(grain(tables)?);
    all.extend(dying(tables)?);
    Ok(all)
}

/// K42, K43: hot mixes.
fn manure(tables: &Tables, cases: &Told) -> Result<Vec<Check>, ValidationError> {
    // Layer mash stands for dry poultry manure: 20 % of the wet mass.
    let heap = BinDescription {
        lid: Lid::Open,
        ..tote(100.0, 75.0, 45.0)
    };
    let fresh = Trial::new(
        heap.clone(),
        vec![part("yard_compost_finished", "300 L")?],
        12.0,
        0.5 + 10.0,
    )
    .on(1.0, worms(Some(2000.0), None, ""))
    .on(
        10.0,
        Body::Feeding {
            parts: vec![kilos("chicken_layer_mash", 40.0, None)?],
        },
    )
    .run(tables)?;
    let hot = fresh.last(|l| l.bed_celsius.max(l.signs.hot_celsius));
    let new = Trial::new(
        heap,
        vec![
            part("horse_manure_bedded_fresh", "120 L")?,
            part("grass_clippings", "60 L")?,
            part("brewers_grain_wet", "20 L")?,
        ],
        25.0,
        20.0,
    )
    .run(tables)?;
    let above = new.most(|l| l.signs.core_celsius - l.signs.air_celsius);
    Ok(vec![
        told(cases, ("K42", "out.core_celsius"), ("°C", 0), "compost with a fifth of dry poultry manure, twelve hours on", hot.median)?
            .note(&format!("{}. Layer mash stands for the manure, and is wetted only by the compost. Steam was seen, no thermometer. Our first-order decay at 12 °C has no fast start: microbes of a heap double within hours.", said(&hot, 0))),
        told(cases, ("K43", "out.core_above_room_kelvin"), ("K", 0), "under-aged manure, grass and grain: highest over the room", above.median)?
            .note(&format!("{}. Most worms left or died; no thermometer.", said(&above, 0))),
    ])
}

/// K45: grass with damp card.
fn grass(tables: &Tables, cases: &Told) -> Result<Vec<Check>, ValidationError> {
    let bin = BinDescription {
        lid: Lid::Tight,
        drains: false,
        ..tote(40.0, 30.0, 25.0)
    };
    let parts = vec![
        part("grass_clippings", "12 L")?,
        part("cardboard_corrugated", "12 L")?,
        kilos("water", 1.0, None)?,
    ];
    let run = Trial::new(
        bin,
        parts,
        cases.value("K45", "in.celsius")?,
        cases.value("K45", "in.days")?,
    )
    .run(tables)?;
    let ammonia = run.last(|l| l.signs.free_ammonia_mg_per_kg);
    let card = run.between(0.0, 21.0, |a, b| 100.0 * b.paper_kg / a.paper_kg);
    let volume = run.between(0.0, 21.0, |a, b| 100.0 * b.signs.litres / a.signs.litres);
    // 0.05 mg NH4OH in a gram of soil at pH 8 and 20 °C is 20 mg N/kg, of
    // which 3.8 % is free.
    let avoided = tables.value("living", "alarm", "free_ammonia_mg_per_kg")? * 0.038;
    Ok(vec![
        ran(
            ("K45 ammonia", "mg N/kg", 2),
            "free ammonia in grass with damp card after three weeks",
            (avoided, 5000.0),
            &ammonia,
            "Above what half the worms avoid in soil (0.05 mg/g as NH4OH, read at pH 8 and 20 °C). The keeper smelt it and worms stayed out.",
        ),
        told(
            cases,
            ("K45", "out.card_left_percent"),
            ("% of start", 0),
            "card left then",
            card.median,
        )?
        .note(&format!("{}.", said(&card, 0))),
        told(
            cases,
            ("K45", "out.volume_left_percent"),
            ("% of start", 0),
            "volume left then",
            volume.median,
        )?
        .note(&format!(
            "{}. Grass falls in only as it rots; wilting is not modelled.",
            said(&volume, 0)
        )),
    ])
}

fn hot_days(t: Trial) -> Trial {
    Trial {
        usual: Day {
            low: 24.0,
            high: 38.5,
        },
        ..t
    }
}

/// K61: shallow and deep bins in a heat wave, and ice.
fn heat_wave(
    tables: &Tables,
    cases: &Told,
    seen: &mut Vec<Prediction>,
) -> Result<Vec<Check>, ValidationError> {
    let bin = |depth: f64| tote(40.0, 31.0, depth);
    let shallow = |end: f64| -> Result<Ran, ValidationError> {
        hot_days(Trial::new(
            bin(10.0),
            vec![part("vermicompost", "10 L")?],
            30.0,
            end,
        ))
        .on(0.1, worms(Some(400.0), None, ""))
        .run(tables)
    };
    let a = shallow(5.8)?;
    let deep = hot_days(Trial::new(
        BinDescription {
            lid: Lid::Cover,
            ..tote(60.0, 40.0, 30.0)
        },
        vec![
            part("vermicompost", "35 L")?,
            part("newsprint_shredded", "25 L")?,
            kilos("water", 8.0, None)?,
        ],
        30.0,
        5.8,
    ))
    .on(0.1, worms(Some(400.0), None, ""))
    .run(tables)?;
    let mut iced = shallow(5.0 + 8.0 / 24.0)?;
    iced.ice(cases.value("K61", "in.ice_kg")?, 7.0 / 24.0);
    let core = |r: &Ran| r.last(|l| l.bed_celsius);
    let (shallow_c, deep_c, iced_c) = (core(&a), core(&deep), core(&iced));
    for (property, band) in [
        ("out.bed_without_ice_celsius", &shallow_c),
        ("out.bed_with_ice_celsius", &iced_c),
    ] {
        seen.push(measured(
            "K61",
            Quantity::Temperature,
            Kind::Temperature,
            (5.0, cases.value("K61", property)?),
            band,
        ));
    }
    let difference = Band {
        median: shallow_c.median - deep_c.median,
        low: shallow_c.low - deep_c.high,
        high: shallow_c.high - deep_c.low,
    };
    Ok(vec![
        told(
            cases,
            ("K61", "out.bed_without_ice_celsius"),
            ("°C", 1),
            "shallow bin on the evening of a hot day",
            shallow_c.median,
        )?
        .note(&format!(
            "{}. 10 L of castings, air 24 to 38.5 °C; sun on the lid is not modelled.",
            said(&shallow_c, 1)
        )),
        told(
            cases,
            ("K61", "out.bed_with_ice_celsius"),
            ("°C", 1),
            "the same at three with 1 kg of ice put in at eight",
            iced_c.median,
        )?
        .note(&format!(
            "{}. All of the melting taken from the bed.",
            said(&iced_c, 1)
        )),
        ran(
            ("K61 deep", "K", 1),
            "how much cooler a deep bin with wet paper is than a shallow one",
            (2.0, 15.0),
            &difference,
            "Intervals of the two taken against each other. One temperature for the whole bed: the cool bottom of a deep bin, and wet paper under sun, are not modelled.",
        ),
        ran(
            ("K61 deep alive", "share", 2),
            "worms alive in the deep bin",
            (0.5, 1.0),
            &alive(&deep),
            "They lived.",
        ),
        ran(
            ("K61 shallow", "share", 2),
            "worms alive in the shallow bin",
            (0.0, 0.9),
            &alive(&a),
            "Some or all were lost.",
        ),
    ])
}

/// K63: a desert summer, and a wooden crate under wet cloth.
fn desert(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let parts = || -> Result<_, ValidationError> {
        Ok(vec![
            part("vermicompost", "25 L")?,
            part("cardboard_corrugated", "20 L")?,
            kilos("water", 5.0, None)?,
        ])
    };
    let mut plastic = Trial::new(tote(55.0, 38.0, 30.0), parts()?, 30.0, 90.6)
        .on(0.5, worms(Some(500.0), None, ""));
    plastic.usual = Day {
        low: 27.0,
        high: 40.3,
    };
    plastic.air = vec![plastic.usual; 40];
    plastic.air.extend(
        [Day {
            low: 29.0,
            high: 46.1,
        }; 4],
    );
    plastic.keeping.moisture = Some(70.0);
    let mut crate_ = Trial::new(
        BinDescription {
            walls: Walls::Fabric,
            lid: Lid::Cover,
            ..tote(60.0, 45.0, 30.0)
        },
        parts()?,
        30.0,
        14.6,
    )
    .on(0.5, worms(Some(500.0), None, ""));
    crate_.usual = Day {
        low: 26.0,
        high: 45.0,
    };
    crate_.keeping = Keeping {
        moisture: Some(75.0),
        ..Keeping::default()
    };
    let (plastic, open) = (plastic.run(tables)?, crate_.run(tables)?);
    let below = open.last(|l| 45.0 - l.signs.core_celsius);
    Ok(vec![
        ran(
            ("K63 plastic", "share", 2),
            "worms alive in a plastic bin after a desert summer in shade",
            (0.0, 0.05),
            &alive(&plastic),
            "None were left by autumn.",
        ),
        ran(
            ("K63 crate", "share", 2),
            "worms alive in a breathing crate under wet cloth, two weeks",
            (0.2, 1.0),
            &alive(&open),
            "A cloth bag stands for slatted wood; our air is as damp as a room's (35 to 75 %), not as dry as a desert's, so vapour takes less heat.",
        ),
        ran(
            ("K63 below", "K", 1),
            "how far the crate stays below the daily highest",
            (6.0, 20.0),
            &below,
            "Not measured; what the dry air must give for worms to live.",
        ),
    ])
}

/// K64: warm weeks with and without warm fresh grain.
fn grain(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let bin = || -> Result<Trial, ValidationError> {
        let parts = vec![
            part("vermicompost", "30 L")?,
            part("cardboard_corrugated", "10 L")?,
            kilos("water", 2.0, None)?,
        ];
        let mut t = Trial::new(tote(55.0, 38.0, 30.0), parts, 29.4, 14.0)
            .on(0.2, worms(Some(500.0), None, ""));
        t.usual = Day::around(29.4, 4.0);
        Ok(t)
    };
    let without = bin()?.run(tables)?;
    let fed = Body::Feeding {
        parts: vec![kilos("brewers_grain_wet", 4.0, None)?],
    };
    let with = bin()?.on(0.5, fed).run(tables)?;
    let most = |r: &Ran| r.most(|l| l.signs.core_celsius);
    Ok(vec![
        ran(
            ("K64 grain", "°C", 1),
            "middle of a warm bin given 4 kg of spent grain: highest",
            (33.0, 60.0),
            &most(&with),
            "Not measured; must pass what worms stand.",
        ),
        ran(
            ("K64 dead", "share", 2),
            "worms alive in it after two weeks",
            (0.0, 0.1),
            &alive(&with),
            "All were dead. Our heat death at 36 °C is 0.2 a day, an estimate.",
        ),
        ran(
            ("K64 without", "°C", 1),
            "the same without grain: highest",
            (29.0, 33.0),
            &most(&without),
            "Sign and contrast only.",
        ),
        ran(
            ("K64 living", "share", 2),
            "worms alive without grain",
            (0.7, 1.0),
            &alive(&without),
            "Sign and contrast only.",
        ),
    ])
}

/// K65: liquid when worms die of heat.
fn dying(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let parts = vec![part("vermicompost", "35 L")?, kilos("water", 2.0, None)?];
    let mut t = Trial::new(tote(55.0, 38.0, 30.0), parts, 20.0, 14.0)
        .on(0.5, worms(Some(1500.0), None, ""));
    t.air = vec![Day::around(20.0, 3.0); 10];
    t.usual = Day::around(37.0, 4.0);
    let run = t.run(tables)?;
    let day = |a: f64, b: f64| run.between(a, b, |x, y| (y.drained_kg - x.drained_kg) / (b - a));
    let before = day(8.0, 10.0);
    // From the day the heat comes: worms die within hours of it.
    let after = day(10.0, 14.0);
    let jump = after.median / before.median.max(1e-3);
    Ok(vec![ran(
        ("K65 jump", "ratio", 1),
        "liquid a day in great heat over before",
        (3.0, 1000.0),
        &Band {
            median: jump,
            low: after.low / before.median.max(1e-3),
            high: after.high / before.median.max(1e-3),
        },
        "The dead rot, but bedding of 62 % takes up their water: millilitres drain before and after.",
    )])
}
