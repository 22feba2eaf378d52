//! The four bins and what was written about them. All invented.

use super::Story;
use crate::desk::DeskError;
use engine::log::{
    Applied, BinDescription, Body, Dose, Lid, Measured, Part, PeatLabel, Place, Reading, Walls,
    Word,
};
use engine::measure::Amount;

type Entries = Vec<(i32, i8, i8, Body)>;

/// All four.
pub(super) fn all() -> Result<Vec<Story>, DeskError> {
    Ok(vec![sour()?, recovered()?, well_kept()?, young()?])
}

fn parts(list: &[(&str, &str)]) -> Result<Vec<Part>, DeskError> {
    list.iter()
        .map(|(material, amount)| {
            Ok(Part {
                material: (*material).to_owned(),
                amount: Amount::parse(amount)?,
                ph: None,
                moisture_percent: None,
                label: PeatLabel::AsNamed,
            })
        })
        .collect()
}

fn filled(list: &[(&str, &str)]) -> Result<Body, DeskError> {
    Ok(Body::Filled {
        parts: parts(list)?,
    })
}

fn fed(material: &str, amount: &str) -> Result<Body, DeskError> {
    Ok(Body::Feeding {
        parts: parts(&[(material, amount)])?,
    })
}

fn read(what: Measured, spots: &[f64], instrument: &str, place: Place) -> Body {
    Body::Reading(Reading {
        what,
        spots: spots.to_vec(),
        instrument: instrument.into(),
        place,
        text: String::new(),
        confirmed: false,
    })
}

fn ph(spots: &[f64]) -> Body {
    read(Measured::Ph, spots, "cheap_pen", Place::Spread)
}

fn probe(spots: &[f64]) -> Body {
    read(Measured::Ph, spots, "two_metal_probe", Place::Spread)
}

fn warmth(celsius: f64) -> Body {
    read(Measured::BeddingCelsius, &[celsius], "own", Place::Middle)
}

fn seen(words: &[Word], text: &str) -> Body {
    Body::Observation {
        words: words.to_vec(),
        text: text.into(),
    }
}

fn dose(material: &str, amount: &str, how: Applied) -> Result<Body, DeskError> {
    Ok(Body::Dose(Dose {
        material: material.into(),
        amount: Amount::parse(amount)?,
        how,
    }))
}

fn water(amount: &str) -> Result<Body, DeskError> {
    Ok(Body::Water {
        amount: Amount::parse(amount)?,
        soft: false,
    })
}

fn worms(grams: f64) -> Body {
    Body::WormsIn {
        grams: Some(grams),
        count: None,
        species: String::new(),
    }
}

fn note(text: &str) -> Body {
    Body::Note { text: text.into() }
}

/// Peat-rich, never limed, and going down.
fn sour() -> Result<Story, DeskError> {
    let entries: Entries = vec![
        (
            86,
            10,
            15,
            filled(&[
                ("peat_sphagnum_unlimed", "24 L"),
                ("leaf_mould", "8 L"),
                ("cardboard_corrugated", "6 L"),
            ])?,
        ),
        (84, 17, 40, worms(220.0)),
        (79, 18, 5, fed("kitchen_scraps_veg", "2 cups")?),
        (72, 9, 20, ph(&[5.6, 5.4, 5.7])),
        (70, 18, 30, fed("kitchen_scraps_veg", "3 cups")?),
        (61, 19, 0, fed("apple", "2 cups")?),
        (
            52,
            8,
            50,
            seen(
                &[Word::SqueezeDrops, Word::WormsSpread, Word::SmellEarthy],
                "",
            ),
        ),
        (45, 18, 45, fed("coffee_grounds", "2 cups")?),
        (38, 9, 10, ph(&[5.3, 5.1, 5.2])),
        (30, 18, 20, fed("kitchen_scraps_veg", "3 cups")?),
        (19, 18, 55, fed("tomato", "2 cups")?),
        (
            11,
            8,
            35,
            seen(&[Word::SqueezeSeveral, Word::WormsAtEdge], ""),
        ),
        (10, 8, 40, warmth(18.0)),
        (9, 9, 5, ph(&[5.0, 4.8, 4.7, 5.0])),
        (
            3,
            21,
            10,
            seen(
                &[Word::WormsClimbing, Word::SmellSour],
                "A dozen under the lid at night.",
            ),
        ),
        (
            1,
            8,
            15,
            seen(
                &[Word::WormsClimbing, Word::FoodHalf, Word::SqueezeSeveral],
                "",
            ),
        ),
        (1, 8, 30, ph(&[4.8, 4.6, 4.9])),
    ];
    Ok(Story {
        description: BinDescription {
            name: "Attic tub".into(),
            length_cm: 55.0,
            width_cm: 36.0,
            depth_cm: 30.0,
            bedding_depth_cm: Some(18.0),
            walls: Walls::Plastic,
            lid: Lid::Vented,
            drains: true,
            place: "attic stairs".into(),
            retired: false,
        },
        entries,
    })
}

/// Was sour, was limed in steps, and came up.
fn recovered() -> Result<Story, DeskError> {
    let lime = |amount: &str| dose("limestone_calcitic", amount, Applied::MixedIn);
    let entries: Entries = vec![
        (
            118,
            14,
            0,
            filled(&[
                ("peat_sphagnum_unlimed", "20 L"),
                ("leaf_mould", "6 L"),
                ("straw_wheat", "8 L"),
            ])?,
        ),
        (116, 10, 30, worms(180.0)),
        (109, 18, 10, fed("kitchen_scraps_veg", "2 cups")?),
        (
            101,
            9,
            0,
            seen(&[Word::WormsClimbing, Word::SqueezeDrops], ""),
        ),
        (100, 9, 25, ph(&[5.1, 4.9, 5.2])),
        (99, 17, 30, lime("3 tbsp")?),
        (99, 19, 10, ph(&[6.6, 5.4, 7.0])),
        (97, 9, 30, ph(&[5.3, 5.2, 5.5])),
        (90, 9, 15, ph(&[5.6, 5.5, 5.8])),
        (89, 17, 50, lime("3 tbsp")?),
        (80, 9, 0, ph(&[6.0, 5.9, 6.1])),
        (76, 18, 20, fed("carrot", "2 cups")?),
        (66, 18, 0, Body::Turned),
        (
            65,
            9,
            20,
            seen(
                &[Word::WormsSpread, Word::WormsPlump, Word::SqueezeDrops],
                "",
            ),
        ),
        (58, 17, 45, lime("3 tbsp")?),
        (49, 9, 5, ph(&[6.5, 6.6, 6.4])),
        (41, 18, 15, fed("kitchen_scraps_veg", "3 cups")?),
        (30, 18, 40, water("1 L")?),
        (20, 9, 10, ph(&[6.5, 6.4, 6.6])),
        (13, 18, 30, fed("coffee_grounds", "1 cup")?),
        (
            6,
            9,
            0,
            seen(
                &[
                    Word::WormsSpread,
                    Word::WormsPlump,
                    Word::SmellEarthy,
                    Word::SqueezeDrops,
                ],
                "",
            ),
        ),
        (5, 9, 20, ph(&[6.5, 6.6, 6.5])),
    ];
    Ok(Story {
        description: BinDescription {
            name: "Bench crate".into(),
            length_cm: 48.0,
            width_cm: 34.0,
            depth_cm: 28.0,
            bedding_depth_cm: Some(17.0),
            walls: Walls::Wood,
            lid: Lid::Cover,
            drains: true,
            place: "under the potting bench".into(),
            retired: false,
        },
        entries,
    })
}

/// Coir and compost, looked after.
fn well_kept() -> Result<Story, DeskError> {
    let mut entries: Entries = vec![
        (
            112,
            11,
            20,
            filled(&[("coir_pith", "16 L"), ("yard_compost_finished", "10 L")])?,
        ),
        (111, 16, 0, worms(300.0)),
        (95, 9, 40, probe(&[6.5, 7.5, 6.8])),
        (60, 9, 35, probe(&[7.1, 6.5, 6.8])),
        (
            28,
            18,
            20,
            Body::Harvest {
                amount: Amount::parse("3 L")?,
            },
        ),
        (
            27,
            9,
            45,
            Body::BeddingAdded {
                parts: parts(&[("coir_pith", "4 L")])?,
            },
        ),
        (16, 9, 30, ph(&[6.8, 6.6, 6.7])),
        (
            4,
            19,
            0,
            seen(
                &[
                    Word::WormsSpread,
                    Word::WormsPlump,
                    Word::SmellEarthy,
                    Word::FoodGone,
                    Word::SqueezeDrops,
                ],
                "",
            ),
        ),
        (4, 19, 20, warmth(21.0)),
    ];
    let foods = [
        "kitchen_scraps_veg",
        "lettuce_leaf",
        "banana_peel",
        "coffee_grounds",
    ];
    for (food, days) in foods.iter().cycle().zip((3..105).step_by(9)) {
        entries.push((days, 18, 35, fed(food, "2 cups")?));
    }
    entries.sort_by_key(|(days, hour, minute, _)| (-days, *hour, *minute));
    Ok(Story {
        description: BinDescription {
            name: "Pantry box".into(),
            length_cm: 44.0,
            width_cm: 44.0,
            depth_cm: 26.0,
            bedding_depth_cm: Some(15.0),
            walls: Walls::Wood,
            lid: Lid::Vented,
            drains: true,
            place: "pantry floor".into(),
            retired: false,
        },
        entries,
    })
}

/// Just filled; no worms yet.
fn young() -> Result<Story, DeskError> {
    let entries: Entries = vec![
        (
            3,
            15,
            30,
            filled(&[
                ("coir_pith", "18 L"),
                ("leaf_mould", "6 L"),
                ("cardboard_corrugated", "8 L"),
            ])?,
        ),
        (3, 16, 0, water("3 L")?),
        (2, 9, 15, seen(&[Word::SqueezeWeak], "")),
        (2, 9, 30, water("1 L")?),
        (
            1,
            19,
            45,
            note("Twenty worms set aside from the pantry box for a tray test."),
        ),
    ];
    Ok(Story {
        description: BinDescription {
            name: "New foam box".into(),
            length_cm: 50.0,
            width_cm: 33.0,
            depth_cm: 30.0,
            bedding_depth_cm: Some(19.0),
            walls: Walls::Foam,
            lid: Lid::Vented,
            drains: false,
            place: "garage shelf".into(),
            retired: false,
        },
        entries,
    })
}
