//! What a keeper reads: plain words, their own units, no codes of ours.

use super::front_door::{House, encoded};
use engine::log::Body;

/// A code of our own source lists, such as `S19`, or a sign for a comparison.
fn is_ours(text: &str) -> bool {
    let code = text.split(|c: char| !c.is_alphanumeric()).any(|word| {
        word.strip_prefix('S')
            .is_some_and(|n| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit()))
    });
    code || text.contains("<=") || text.contains(">=") || text.contains("&lt;=")
}

#[test]
fn cautions_hold_no_codes_and_no_signs() {
    assert!(is_ours("<=25 % of feed (S19)") && is_ours("poor (S3)"));
    let house = House::new();
    for m in house.desk.tables.materials() {
        for caution in &m.cautions {
            assert!(!is_ours(caution), "{}: {caution}", m.key);
        }
    }
}

#[tokio::test]
async fn coffee_is_cautioned_with_its_author_and_year() {
    let house = House::demo();
    let page = house
        .get("/bins/3/ration?material=coffee_grounds&amount=900+g")
        .await
        .text;
    assert!(page.contains("At most 25 % of the feed (Gonzalez-Moreno et al. 2020)"));
}

fn in_us_units(house: &House) {
    let units = Body::Setting {
        name: "units".into(),
        value: "us".into(),
    };
    let now = house.desk.clock.unix_seconds();
    house.desk.write(None, now, units).unwrap();
}

/// Text of the page's main part, without the tags, and without the field in
/// which the asked is put back.
fn answered(page: &str) -> String {
    let main = &page[page.find("<main").unwrap()..page.find("</main").unwrap()];
    let mut out = String::new();
    for piece in main.split('<') {
        out.push_str(piece.split_once('>').map_or("", |(_, text)| text));
        out.push(' ');
    }
    out
}

#[tokio::test]
async fn heat_cold_and_an_absence_are_told_in_the_units_of_the_keeper() {
    let house = House::demo();
    in_us_units(&house);
    let hot = encoded("88, 70\n97, 75\n102, 79\n93, 72");
    let cold = encoded("34, 21\n25, 9\n19, 3\n32, 18");
    for path in [
        format!("/bins/3/weather?weather={hot}&sun=full&place_celsius=64"),
        format!("/bins/2/weather?weather={cold}"),
        "/bins/3/away?from=2026-12-01&to=2027-02-20".to_owned(),
    ] {
        let text = answered(&house.get(&path).await.text);
        let (answer, _) = text.split_once("Where this comes from").unwrap();
        for metric in ["°C", " kg", "\u{a0}kg", " g of", " L a day"] {
            assert!(!answer.contains(metric), "{path}: {metric} in {answer}");
        }
        assert!(answer.contains("°F"), "{path}");
    }
}

#[tokio::test]
async fn another_place_is_set_beside_doing_nothing_and_damp_air_counts() {
    let house = House::demo();
    let hot = encoded("31, 21\n36, 24\n39, 26\n34, 22");
    let of = async |more: &str| {
        let path = format!("/bins/3/weather?weather={hot}&sun=part{more}");
        answered(&house.get(&path).await.text)
    };
    let without = of("").await;
    let with = of("&place_celsius=18").await;
    assert!(!without.contains("Another place") && with.contains("Another place"));
    let (dry, damp) = (of("&humidity=15").await, of("&humidity=95").await);
    let cloth = |text: &str| text[text.find("Wet cloth").unwrap()..][..80].to_owned();
    assert_ne!(cloth(&dry), cloth(&damp));
    assert!(of("&humidity=140").await.contains("Look again"));
}

#[tokio::test]
async fn the_ration_asks_how_the_feed_was_made_ready() {
    let house = House::demo();
    let of = async |how: &str| {
        let path = format!("/bins/3/ration?material=kitchen_scraps_veg&prepared={how}");
        house.get(&path).await.text
    };
    let (whole, blended) = (of("whole").await, of("blended").await);
    assert!(whole.contains("value=\"whole\" checked") && !whole.contains("thin strips"));
    assert!(blended.contains("value=\"blended\" checked") && blended.contains("thin strips"));
    assert!(of("fried").await.contains("Choose one of the ways shown."));
}

#[tokio::test]
async fn a_reading_from_before_the_bin_was_filled_is_refused_by_its_field() {
    let house = House::with_bin().await;
    let log = house.desk.store().all_entries().unwrap();
    let filled = log.iter().find(|e| matches!(e.body, Body::Filled { .. }));
    let filled = house.desk.clock.minute(filled.unwrap().at_unix_seconds);
    let reading = |what| {
        [
            ("kind", "reading"),
            ("what", what),
            ("spots", "6.5"),
            ("instrument", "cheap_pen"),
            ("when", "2025-01-02T08:00"),
        ]
    };
    let said = format!(
        "When: 2025-01-02 08:00 is before the bin was filled; a reading of the bed may be dated from {filled} to 2026-11-24 18:05"
    );
    house.refuses("/bins/1/log", &reading("ph"), &said).await;
    // So long before all else in the log it is asked about, and then taken.
    let air = [&reading("air_celsius")[..], &[("confirmed", "yes")]].concat();
    let air = house.post("/bins/1/log", &air).await;
    assert_eq!(air.location, "/bins/1?said=logged");
}
