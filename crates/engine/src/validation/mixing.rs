//! Worked examples of mixing, through the same path a keeper's mix takes,
//! with every range closed to its value.

use super::exact::{exact_part, water};
use super::{Area, Basis, Check, From, ValidationError, near};
use crate::bed::fill::{Conditions, ReadyPart, Totals, draw};
use crate::bed::risk::Solids;
use crate::measure::Amount;
use crate::measure::GRAMS_PER_POUND;
use crate::quantity::Celsius;
use crate::table::Tables;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

fn mix(tables: &Tables, parts: &[ReadyPart]) -> Result<Totals, ValidationError> {
    let conditions = Conditions::usual(tables, Celsius(20.0))?;
    let mut rng = ChaCha8Rng::seed_from_u64(1);
    Ok(draw(&mut rng, parts, &conditions).1)
}

fn moisture(t: &Totals) -> f64 {
    100.0 * t.water_kg / t.wet_kg
}

fn ratio(t: &Totals) -> f64 {
    t.carbon_kg / t.nitrogen_kg
}

/// Water that brings a mix to 75 % (or another goal) [kg].
fn to_goal(t: &Totals, goal: f64) -> f64 {
    t.dry_kg / (1.0 - goal) - t.wet_kg
}

/// Moisture, nitrogen and carbon [%].
fn analysis(m: f64, n: f64, c: f64) -> [(&'static str, f64); 3] {
    [
        ("moisture_percent", m),
        ("nitrogen_percent", n),
        ("carbon_percent", c),
    ]
}

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let mut all = two_part(tables)?;
    all.extend(paper(tables)?);
    all.extend(from_table(tables)?);
    all.extend(air(tables)?);
    all.extend(measures(tables)?);
    Ok(all)
}

const PERCENT: From = From {
    area: Area::Mixing,
    source: "Cornell Waste Management Institute, moisture page, reprint",
    basis: Basis::Opened,
    unit: "%",
    decimals: 1,
};

fn two_part(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let cornell = From {
        source: "Cornell Waste Management Institute, C/N page; inputs from memory",
        basis: Basis::Memory,
        ..PERCENT
    };
    let g_per_g = From {
        unit: "g/g",
        ..cornell
    };
    let hand = From {
        source: "by hand from the two above",
        basis: Basis::Derived,
        ..PERCENT
    };
    let sheet = From {
        source: "garden magazine sheet of compost mixes",
        ..PERCENT
    };
    let sheet_ratio = From {
        unit: "g/g",
        ..sheet
    };
    let nraes = From {
        source: "NRAES-54, chapter 3 style; inputs from memory",
        ..cornell
    };
    let part = |key, a: [(&str, f64); 3], grams| exact_part(tables, key, &a, grams);
    let grass = part("grass_clippings", analysis(77.0, 2.4, 45.0), 10_000.0)?;
    let leaves = |grams| part("leaves_dry", analysis(35.0, 0.75, 50.0), grams);
    let w2 = mix(tables, &[grass.clone(), leaves(6800.0)?])?;
    let w3 = mix(tables, &[grass, leaves(3474.0)?])?;
    // 50 lb hay, 10 lb scraps, 2 lb coffee, all as they are.
    let lb = GRAMS_PER_POUND;
    let w5 = mix(
        tables,
        &[
            part("hay_grass", analysis(0.0, 1.0, 40.0), 50.0 * lb)?,
            part("kitchen_scraps_veg", analysis(0.0, 1.0, 10.0), 10.0 * lb)?,
            part("coffee_grounds", analysis(0.0, 1.0, 25.0), 2.0 * lb)?,
        ],
    )?;
    let w6 = mix(
        tables,
        &[
            part("cow_manure_solid", analysis(70.0, 6.0, 60.0), lb)?,
            part("sawdust", analysis(35.0, 0.11, 55.0), 1.07 * lb)?,
        ],
    )?;
    Ok(vec![
        PERCENT.check(
            "W2",
            "10 kg grass (77 %) and 6.8 kg leaves (35 %): moisture",
            near(60.0, 0.1),
            moisture(&w2),
        ),
        g_per_g.check(
            "W3a",
            "10 kg grass and 3.474 kg leaves: C:N",
            near(30.0, 0.1),
            ratio(&w3),
        ),
        cornell.check("W3b", "the same: moisture", near(66.2, 0.1), moisture(&w3)),
        From {
            unit: "g/g",
            ..hand
        }
        .check(
            "W4",
            "the mix for moisture: C:N",
            near(36.7, 0.1),
            ratio(&w2),
        ),
        sheet_ratio.check(
            "W5a",
            "50 lb hay, 10 lb scraps, 2 lb coffee: C:N",
            near(34.7, 0.15),
            ratio(&w5),
        ),
        From {
            unit: "lb",
            ..sheet
        }
        .check(
            "W5b",
            "the same: carbon",
            near(21.5, 0.05),
            1000.0 * w5.carbon_kg / lb,
        ),
        From {
            unit: "g/g",
            ..nraes
        }
        .check(
            "W6a",
            "1 lb hen manure and 1.07 lb sawdust: C:N",
            near(30.0, 0.5),
            ratio(&w6),
        )
        .note("sawdust carbon as 500 times nitrogen, as the example has it"),
        nraes.check("W6b", "the same: moisture", near(51.9, 0.1), moisture(&w6)),
    ])
}

fn paper(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let appelhof = From {
        source: "Appelhof, Worms Eat My Garbage, chapter 7; worm-bin rule",
        ..PERCENT
    };
    let setup = From {
        source: "set-up table of a worm bin",
        ..PERCENT
    };
    let hand = From {
        source: "W = dry / (1 - goal) - wet, by hand",
        basis: Basis::Derived,
        unit: "kg",
        decimals: 2,
        ..PERCENT
    };
    let news = |m: f64, grams: f64| {
        exact_part(
            tables,
            "newsprint_shredded",
            &[("moisture_percent", m)],
            grams,
        )
    };
    let m = |paper: ReadyPart, w: f64| -> Result<f64, ValidationError> {
        Ok(moisture(&mix(tables, &[paper, water(w)])?))
    };
    let mut all = vec![
        appelhof.check(
            "W7a",
            "1 lb dry newspaper and 3 lb water",
            near(75.0, 0.1),
            m(news(0.0, 1000.0)?, 3000.0)?,
        ),
        appelhof.check(
            "W7b",
            "the same, paper at 6 % moisture",
            near(75.0, 2.0),
            m(news(6.0, 1000.0)?, 3000.0)?,
        ),
        setup.check(
            "W8a",
            "1.25 lb dry newspaper and 3 lb water: about 70",
            near(70.0, 1.0),
            m(news(0.0, 1250.0)?, 3000.0)?,
        ),
        setup.check(
            "W8b",
            "the same, paper at 6 % moisture",
            near(70.0, 3.0),
            m(news(6.0, 1250.0)?, 3000.0)?,
        ),
    ];
    for (key, material, m, goal, published) in [
        ("W12a", "newsprint_shredded", 6.0, 0.75, 2.76),
        ("W12b", "cardboard_corrugated", 8.0, 0.75, 2.68),
        ("W12c", "peat_sphagnum_unlimed", 45.0, 0.75, 1.20),
        ("W12d", "coir_pith", 17.0, 0.80, 3.15),
    ] {
        let t = mix(
            tables,
            &[exact_part(
                tables,
                material,
                &[("moisture_percent", m)],
                1000.0,
            )?],
        )?;
        let name = &tables.material(material)?.name;
        all.push(hand.check(
            key,
            format!(
                "water for 1 kg of {name} from {m:.0} to {:.0} %",
                100.0 * goal
            ),
            near(published, 0.01),
            to_goal(&t, goal),
        ));
    }
    Ok(all)
}

fn from_table(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let hand = From {
        source: "by hand from the tables",
        basis: Basis::Derived,
        ..PERCENT
    };
    let ratio_from = From {
        unit: "g/g",
        ..hand
    };
    let kg = From {
        unit: "kg",
        decimals: 2,
        ..hand
    };
    let usda = From {
        source: "by hand from USDA SR28",
        ..hand
    };
    let plain = |key: &str, grams: f64| exact_part(tables, key, &[], grams);
    let w13 = mix(
        tables,
        &[
            plain("newsprint_shredded", 1000.0)?,
            exact_part(
                tables,
                "peat_sphagnum_limed",
                &[("moisture_percent", 50.0)],
                500.0,
            )?,
            exact_part(tables, "vermicompost", &[("moisture_percent", 60.0)], 500.0)?,
        ],
    )?;
    let mut all = vec![
        hand.check(
            "W13a",
            "1 kg newsprint, 0.5 kg limed peat, 0.5 kg castings: moisture",
            near(30.5, 0.2),
            moisture(&w13),
        ),
        ratio_from.check("W13b", "the same: C:N", near(92.8, 1.0), ratio(&w13)),
        kg.check("W13c", "the same: dry mass", near(1.39, 0.01), w13.dry_kg),
        kg.check(
            "W13d",
            "the same: water to 75 %",
            near(3.56, 0.01),
            to_goal(&w13, 0.75),
        ),
    ];
    for (x, cn, m) in [
        (0.0, 19.0, 87.0),
        (0.05, 25.0, 83.1),
        (0.10, 30.8, 79.6),
        (0.15, 36.4, 76.4),
        (0.20, 41.9, 73.5),
    ] {
        let mut parts = vec![exact_part(
            tables,
            "kitchen_scraps_veg",
            &analysis(87.0, 2.7, 51.3),
            1000.0,
        )?];
        if x > 0.0 {
            parts.push(plain("newsprint_shredded", 1000.0 * x)?);
        }
        let t = mix(tables, &parts)?;
        all.push(ratio_from.check(
            format!("W14 {x} C:N"),
            format!("1 kg scraps and {x} kg newsprint: C:N"),
            near(cn, 0.2),
            ratio(&t),
        ));
        all.push(hand.check(
            format!("W14 {x} water"),
            "the same: moisture",
            near(m, 0.1),
            moisture(&t),
        ));
    }
    let basket = [
        "apple",
        "banana_flesh",
        "carrot",
        "potato_peel",
        "lettuce_leaf",
        "cabbage",
        "tomato",
        "watermelon_flesh",
        "onion",
        "pumpkin",
    ];
    let mut parts = Vec::new();
    for key in basket {
        parts.push(plain(key, 100.0)?);
    }
    let t = mix(tables, &parts)?;
    all.push(usda.check(
        "W17a",
        "ten foods, equal wet mass: water",
        near(88.6, 0.1),
        moisture(&t),
    ));
    all.push(
        From {
            unit: "% of dry",
            decimals: 2,
            ..usda
        }
        .check(
            "W17b",
            "the same: nitrogen",
            near(1.55, 0.02),
            100.0 * t.nitrogen_kg / t.dry_kg,
        ),
    );
    all.push(
        From {
            unit: "% of dry",
            ..usda
        }
        .check(
            "W17c",
            "the same: carbon",
            near(42.8, 0.1),
            100.0 * t.carbon_kg / t.dry_kg,
        ),
    );
    all.push(
        From {
            unit: "g/g",
            ..usda
        }
        .check("W17d", "the same: C:N", near(27.5, 0.3), ratio(&t)),
    );
    Ok(all)
}

fn air(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let share = From {
        source: "EN 13041-type densities, by hand",
        basis: Basis::Derived,
        unit: "share",
        decimals: 3,
        ..PERCENT
    };
    let carbon = From {
        source: "Cornell Waste Management Institute, carbon page",
        ..PERCENT
    };
    let solids = Solids::from_tables(tables)?;
    let porosity = |rho: f64, m: f64, ash: f64| {
        let dry = rho * (1.0 - m);
        let t = Totals {
            wet_kg: rho,
            dry_kg: dry,
            water_kg: rho * m,
            ash_kg: dry * ash,
            ..Totals::default()
        };
        solids.air_filled_porosity(&t, 1000.0)
    };
    Ok(vec![
        share.check(
            "W15",
            "air at 600 kg/m³, 75 % water, 10 % ash",
            near(0.457, 0.001),
            porosity(600.0, 0.75, 0.10),
        ),
        share.check(
            "W16",
            "air at 800 kg/m³, 60 % water, 20 % ash",
            near(0.331, 0.001),
            porosity(800.0, 0.60, 0.20),
        ),
        carbon.check(
            "W11",
            "carbon of a material with 10 % ash",
            near(50.0, 0.05),
            90.0 * tables.value("constants", "carbon", "per_organic_matter")?,
        ),
    ])
}

fn measures(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let appelhof = From {
        source: "Appelhof, Worms Eat My Garbage, chapter 7",
        unit: "lb",
        decimals: 2,
        ..PERCENT
    };
    let epa = From {
        source: "US EPA, Volume-to-Weight Conversion Factors, 2016",
        ..appelhof
    };
    let pounds = |key: &str, amount: &str| -> Result<f64, ValidationError> {
        let grams = Amount::parse(amount)?.grams(tables.material(key)?, tables)?;
        Ok(grams.grams / GRAMS_PER_POUND)
    };
    Ok(vec![
        appelhof.check(
            "M26",
            "a cubic foot of shredded newsprint",
            near(3.0, 0.3),
            pounds("newsprint_shredded", "28.32 L")?,
        ),
        epa.check(
            "M25",
            "a gallon of food scraps",
            near(3.8, 0.57),
            pounds("kitchen_scraps_veg", "1 gallon")?,
        )
        .note("loose in a caddy; denser lists have 7.5. Allowed 15 %"),
    ])
}
