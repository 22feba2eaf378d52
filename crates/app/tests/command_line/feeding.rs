//! What may be fed and what may not, by every way in.

use super::desk::Desk;

/// A demo shelf, and how many entries the first bin has.
fn shelf() -> Desk {
    let desk = Desk::new();
    assert!(desk.run(&["demo"]).status.success());
    desk
}

fn entries(desk: &Desk) -> usize {
    let answer = desk.json(&["bin", "1", "--json"]);
    answer["log"].as_array().unwrap().len()
}

#[test]
fn lime_acid_and_fertiliser_are_never_fed() {
    let desk = shelf();
    let before = entries(&desk);
    for key in [
        "quicklime",
        "hydrated_lime",
        "wood_ash",
        "sodium_carbonate",
        "elemental_sulfur",
        "citric_acid",
        "vinegar",
        "blood_meal",
    ] {
        let part = format!("100 g {key}");
        for words in [
            &["ration", "1", part.as_str()][..],
            &["ration", "1", "100 g apple", part.as_str()],
            &["log", "1", "fed", part.as_str()],
            &["log", "1", "fed", "100 g apple", part.as_str()],
        ] {
            let (lines, code) = desk.refused(words);
            assert_eq!(code, 2, "{words:?}");
            assert_eq!(lines.len(), 1, "{lines:?}");
            assert!(
                lines[0].starts_with(&format!("feed `{key}`")),
                "{}",
                lines[0]
            );
        }
    }
    assert_eq!(entries(&desk), before);
}

#[test]
fn food_manure_and_paper_are_fed() {
    let desk = shelf();
    let before = entries(&desk);
    let parts = [
        "20 g kitchen_scraps_veg",
        "20 g bread_white",
        "20 g coffee_grounds",
        "20 g horse_manure_aged",
        "20 g cardboard_corrugated",
    ];
    for words in [&["ration", "1"][..], &["log", "1", "fed"]] {
        assert!(desk.run(&[words, &parts].concat()).status.success());
    }
    assert_eq!(entries(&desk), before + 1);
}

#[test]
fn only_bedding_goes_beside_the_feed() {
    let desk = shelf();
    let (lines, code) = desk.refused(&["ration", "1", "100 g apple", "--bedding", "quicklime"]);
    assert_eq!(code, 2);
    assert!(lines[0].starts_with("bedding `quicklime`"), "{}", lines[0]);
}
