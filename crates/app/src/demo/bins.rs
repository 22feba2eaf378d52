//! The four bins and what was written about them. All invented.

mod entries;

use super::Story;
use crate::desk::DeskError;
use engine::log::{Applied, BinDescription, Body, Lid, Walls, Word};
use engine::measure::Amount;
use entries::{
    air, counted, dose, fed, filled, note, parts, ph, probe, seen, warmth, water, worms,
};

type Entries = Vec<(i32, i8, i8, Body)>;

/// All four.
pub(super) fn all() -> Result<Vec<Story>, DeskError> {
    Ok(vec![sour()?, recovered()?, well_kept()?, young()?])
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
                ("water", "7 L"),
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

/// Limed in time; then drowned in melon, and brought back with dry bedding.
fn recovered() -> Result<Story, DeskError> {
    let lime = |amount: &str| dose("limestone_calcitic", amount, Applied::MixedIn);
    let scraps = |grams: &str| fed("kitchen_scraps_veg", grams);
    let entries: Entries = vec![
        (
            118,
            14,
            0,
            filled(&[
                ("peat_sphagnum_unlimed", "14 L"),
                ("leaf_mould", "8 L"),
                ("straw_wheat", "8 L"),
                ("water", "7 L"),
            ])?,
        ),
        (117, 9, 25, ph(&[5.1, 4.9, 5.2])),
        (117, 17, 30, lime("3 tbsp")?),
        (117, 19, 10, ph(&[6.6, 5.4, 7.0])),
        (112, 9, 30, ph(&[5.6, 5.5, 5.8])),
        (111, 17, 50, lime("3 tbsp")?),
        (108, 10, 30, worms(180.0)),
        (
            107,
            22,
            10,
            seen(
                &[Word::WormsStrayFew],
                "Three on the wall, back in by morning.",
            ),
        ),
        (103, 18, 10, scraps("100 g")?),
        (102, 9, 0, ph(&[6.2, 6.1, 6.3])),
        (96, 18, 20, scraps("150 g")?),
        (95, 9, 0, warmth(17.0)),
        (89, 18, 20, fed("carrot", "150 g")?),
        (
            88,
            9,
            20,
            seen(&[Word::WormsSpread, Word::SqueezeDrops, Word::FoodHalf], ""),
        ),
        (81, 18, 15, scraps("200 g")?),
        (74, 18, 15, scraps("200 g")?),
        (73, 9, 5, ph(&[6.5, 6.6, 6.4])),
        (68, 18, 15, fed("watermelon_flesh", "900 g")?),
        (64, 18, 40, fed("watermelon_flesh", "1.1 kg")?),
        (
            61,
            8,
            15,
            seen(
                &[Word::Pooling, Word::SqueezeTrickle, Word::Condensation],
                "Melon season. Too much of it.",
            ),
        ),
        (
            59,
            8,
            0,
            seen(
                &[
                    Word::Pooling,
                    Word::SqueezeStream,
                    Word::SmellRotten,
                    Word::WormsClimbing,
                ],
                "Wet through, and it stinks.",
            ),
        ),
        (
            59,
            8,
            30,
            Body::Drain {
                amount: Amount::parse("600 mL")?,
            },
        ),
        (
            59,
            9,
            0,
            Body::BeddingAdded {
                parts: parts(&[("cardboard_corrugated", "8 L"), ("straw_wheat", "4 L")])?,
            },
        ),
        (59, 9, 10, Body::Turned),
        (
            54,
            9,
            0,
            seen(
                &[Word::SqueezeSeveral, Word::WormsAtEdge],
                "Smell is going.",
            ),
        ),
        (
            46,
            9,
            20,
            seen(
                &[Word::SmellEarthy, Word::SqueezeDrops, Word::WormsSpread],
                "",
            ),
        ),
        (45, 18, 0, scraps("120 g")?),
        (38, 18, 0, scraps("180 g")?),
        (37, 9, 10, warmth(18.0)),
        (31, 18, 0, fed("carrot", "200 g")?),
        (30, 9, 0, ph(&[6.5, 6.4, 6.6])),
        (24, 18, 0, scraps("200 g")?),
        (
            23,
            9,
            30,
            seen(
                &[Word::WormsPlump, Word::WormsSpread, Word::SqueezeDrops],
                "",
            ),
        ),
        (17, 18, 0, fed("coffee_grounds", "120 g")?),
        (15, 10, 0, counted(31.0, 1.0, 8.0)),
        (10, 18, 0, scraps("200 g")?),
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
                    Word::FoodGone,
                ],
                "",
            ),
        ),
        (5, 9, 20, ph(&[6.5, 6.6, 6.5])),
        (4, 18, 0, scraps("200 g")?),
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

/// Coir, card and a little compost, looked after; it grows and is harvested.
fn well_kept() -> Result<Story, DeskError> {
    let looks = |more: Word| {
        seen(
            &[
                Word::WormsSpread,
                Word::WormsPlump,
                Word::SmellEarthy,
                Word::SqueezeDrops,
                more,
            ],
            "",
        )
    };
    let mut entries: Entries = vec![
        (
            124,
            11,
            20,
            filled(&[
                ("coir_pith", "14 L"),
                ("cardboard_corrugated", "6 L"),
                ("vermicompost", "9 L"),
            ])?,
        ),
        (123, 16, 0, worms(220.0)),
        (122, 22, 0, seen(&[Word::WormsStrayNone], "")),
        (110, 9, 40, probe(&[6.5, 7.5, 6.8])),
        (104, 19, 0, looks(Word::FoodHalf)),
        (103, 19, 0, warmth(20.0)),
        (88, 19, 0, looks(Word::FoodGone)),
        (
            87,
            18,
            50,
            Body::BeddingAdded {
                parts: parts(&[("coir_pith", "4 L"), ("cardboard_corrugated", "4 L")])?,
            },
        ),
        (76, 9, 35, probe(&[7.1, 6.5, 6.8])),
        (75, 18, 0, water("500 mL")?),
        (70, 19, 0, looks(Word::FoodGone)),
        (
            63,
            18,
            50,
            Body::BeddingAdded {
                parts: parts(&[("coir_pith", "4 L"), ("cardboard_corrugated", "4 L")])?,
            },
        ),
        (62, 19, 10, air(21.0)),
        (62, 19, 12, warmth(23.0)),
        (49, 10, 0, counted(60.0, 1.0, 18.0)),
        (
            34,
            18,
            20,
            Body::Harvest {
                amount: Amount::parse("2.4 kg")?,
            },
        ),
        (
            34,
            18,
            45,
            Body::BeddingAdded {
                parts: parts(&[("coir_pith", "5 L"), ("cardboard_corrugated", "4 L")])?,
            },
        ),
        (33, 18, 0, water("1 L")?),
        (29, 19, 0, looks(Word::FoodHalf)),
        (16, 9, 30, ph(&[6.8, 6.6, 6.7])),
        (4, 19, 0, looks(Word::FoodGone)),
        (4, 19, 20, warmth(21.0)),
    ];
    let foods = [
        "kitchen_scraps_veg",
        "apple",
        "lettuce_leaf",
        "carrot",
        "coffee_grounds",
    ];
    for (food, days) in foods.iter().cycle().zip((3..120).step_by(6)) {
        let much = match days {
            90.. => "120 g",
            45.. => "180 g",
            _ => "240 g",
        };
        entries.push((days, 18, 35, fed(food, much)?));
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

/// Not five weeks old; the worms have been in for a little over three.
fn young() -> Result<Story, DeskError> {
    let entries: Entries = vec![
        (
            33,
            15,
            30,
            filled(&[
                ("coir_pith", "18 L"),
                ("leaf_mould", "6 L"),
                ("cardboard_corrugated", "8 L"),
            ])?,
        ),
        (33, 16, 0, water("3 L")?),
        (32, 9, 15, seen(&[Word::SqueezeWeak], "")),
        (32, 9, 30, water("1 L")?),
        (
            26,
            19,
            45,
            note("Twenty worms from the pantry box stayed two days in a tray of it."),
        ),
        (24, 17, 0, worms(250.0)),
        (
            23,
            22,
            30,
            seen(&[Word::WormsStrayFew], "Left the light on."),
        ),
        (21, 18, 0, fed("kitchen_scraps_veg", "60 g")?),
        (
            19,
            22,
            0,
            seen(&[Word::WormsStrayNone, Word::SqueezeDrops], ""),
        ),
        (12, 18, 10, fed("kitchen_scraps_veg", "90 g")?),
        (11, 9, 0, warmth(18.0)),
        (5, 18, 0, fed("kitchen_scraps_veg", "120 g")?),
        (
            3,
            9,
            10,
            seen(&[Word::WormsSpread, Word::SmellEarthy, Word::FoodHalf], ""),
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
