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

#[test]
fn more_than_the_bin_holds_is_asked_about_and_kept_when_confirmed() {
    let desk = Desk::new();
    let tote = [
        "add-bin", "Tote", "--length", "50", "--width", "40", "--depth", "27.5",
    ];
    let (lines, code) = desk.refused(&[&tote[..], &["--worms-grams", "25000"]].concat());
    assert_eq!(code, 2);
    assert!(lines[0].contains("--confirmed"), "{}", lines[0]);
    assert_eq!(
        desk.json(&["bins", "--json"])["bins"],
        serde_json::json!([])
    );
    assert!(desk.run(&tote).status.success());
    for (words, said) in [
        (&["log", "1", "fed", "80 kg apple"][..], "80 kg of feed"),
        (
            &["log", "1", "bedding", "80 L coir_pith"],
            "80 L of bedding",
        ),
        (&["log", "1", "water", "80 L"], "80 L of water"),
        (
            &["log", "1", "worms", "--grams", "25000"],
            "25000 g of worms",
        ),
        (
            &["log", "1", "look", "squeeze-dusty", "squeeze-stream"],
            "contradict",
        ),
    ] {
        let (lines, code) = desk.refused(words);
        assert_eq!(code, 2, "{words:?}");
        assert_eq!(lines.len(), 1, "{lines:?}");
        assert!(lines[0].contains(said), "{}", lines[0]);
        assert!(lines[0].contains("Nothing was saved"), "{}", lines[0]);
        let kept = [words, &["--confirmed"]].concat();
        assert!(desk.run(&kept).status.success(), "{kept:?}");
    }
    let log = &desk.json(&["bin", "1", "--json"])["log"];
    // The bin itself and five entries.
    assert_eq!(log.as_array().unwrap().len(), 6, "{log}");
}

#[test]
fn worms_are_put_in_by_species() {
    let desk = Desk::new();
    let tote = [
        "add-bin", "Tote", "--length", "50", "--width", "40", "--depth", "30",
    ];
    let worms = ["--worms-grams", "200", "--species"];
    let (lines, code) = desk.refused(&[&tote[..], &worms, &["lumbricus"]].concat());
    assert_eq!(code, 2);
    assert!(
        lines[0].starts_with("--species `lumbricus` is not one of eisenia_fetida,"),
        "{}",
        lines[0]
    );
    let (lines, _) = desk.refused(&[&tote[..], &["--species", "eisenia_fetida"]].concat());
    assert!(lines[0].contains("--worms-grams"), "{}", lines[0]);
    let added = [&tote[..], &worms, &["dendrobaena_veneta"]].concat();
    assert!(desk.run(&added).status.success());
    let more = ["log", "1", "worms", "--count", "20", "--species"];
    assert_eq!(desk.refused(&[&more[..], &["earthworm"]].concat()).1, 2);
    let kept = [&more[..], &["Dendrobaena-veneta"]].concat();
    assert!(desk.run(&kept).status.success());
    let bin = desk.json(&["bin", "1", "--json"]).to_string();
    assert_eq!(
        bin.matches(r#""species":"dendrobaena_veneta""#).count(),
        2,
        "{bin}"
    );
}

#[test]
fn an_amount_below_zero_is_refused_in_our_own_words() {
    let desk = Desk::new();
    let tote = [
        "add-bin", "Tote", "--length", "50", "--width", "40", "--depth", "30",
    ];
    assert!(desk.run(&tote).status.success());
    for words in [
        &["ration", "1", "-200 g apple", "--json"][..],
        &["log", "1", "fed", "200 g pear", "-200 g apple"],
        &["log", "1", "bedding", "-2L coir_pith"],
        &["log", "1", "dose", "-2 tbsp limestone_calcitic"],
        &["log", "1", "water", "-1 L"],
        &["log", "1", "harvest", "-.5 L"],
    ] {
        let (lines, code) = desk.refused(words);
        assert_eq!(code, 2, "{words:?}");
        assert_eq!(lines.len(), 1, "{lines:?}");
        assert!(lines[0].contains("must be more than 0"), "{}", lines[0]);
        assert!(!lines[0].contains("` -"), "{}", lines[0]);
    }
    let (lines, code) = desk.refused(&["log", "1", "worms", "--grams", "-5"]);
    assert_eq!(code, 2);
    assert!(lines[0].contains("worms `-5` g"), "{}", lines[0]);
    let (lines, _) = desk.refused(&["ration", "1", "-x"]);
    assert!(lines[0].contains("unexpected argument"), "{}", lines[0]);
}
