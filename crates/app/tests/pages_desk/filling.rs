//! Adding a bin: its measures, its room and what is in it.

use super::front_door::{GOOD_BIN, House, bin_with};
use axum::http::StatusCode;
use engine::log::{BinId, Body as Log, Measured};

#[tokio::test]
async fn a_bin_is_added_with_what_is_in_it() {
    let house = House::with_bin().await;
    assert_eq!(house.written(), 3);
    let state = house.desk.bin(BinId(1)).unwrap();
    assert!(state.stocked && state.estimate.is_ok());
    let page = house.get("/bins/1?said=added").await.text;
    assert!(page.contains("The bin is on the shelf."));
    assert!(page.contains("20 L of coconut coir pith"));
    assert!(page.contains("Take a first pH reading"));
}

#[tokio::test]
async fn a_bin_without_bedding_asks_for_it() {
    let house = House::new();
    let fields: Vec<_> = GOOD_BIN[..9].to_vec();
    assert_eq!(
        house.post("/bins/new", &fields).await.status,
        StatusCode::SEE_OTHER
    );
    let page = house.get("/bins/1").await.text;
    assert!(page.contains("Say what bedding is in it"));
    assert!(page.contains(r#"id="write-filled" open"#));
    let filled = [
        ("kind", "filled"),
        ("material1", "coir_pith"),
        ("amount1", "20 L"),
        ("material2", "Leaf mould, 1-2 yr"),
        ("amount2", "1 bucket"),
    ];
    house
        .takes("/bins/1/log", &filled, "/bins/1?said=logged")
        .await;
    assert!(house.desk.bin(BinId(1)).unwrap().estimate.is_ok());
}

#[tokio::test]
async fn a_common_size_stands_for_measures() {
    let house = House::new();
    let fields = [("name", "Tub"), ("size", "tub")];
    assert_eq!(
        house.post("/bins/new", &fields).await.status,
        StatusCode::SEE_OTHER
    );
    let b = house.desk.bins().unwrap().remove(0).description;
    assert_eq!((b.length_cm, b.width_cm, b.depth_cm), (55.0, 36.0, 28.0));
}

#[tokio::test]
async fn a_bad_bin_is_refused_beside_its_fields() {
    let house = House::new();
    for (field, value, message) in [
        ("name", "", "Give it a name"),
        (
            "length",
            "3",
            "Inner length `3` cm is outside the allowed range 5 to 1000 cm",
        ),
        ("width", "wide", "`wide` is not a number"),
        ("width", "1,5", "has a comma"),
        ("depth", "", "Give the inner depth"),
        ("walls", "glass", "`glass` is not on it"),
        ("material1", "moon dust", "`moon dust` is not in the tables"),
        ("material1", "peat", "may be"),
        ("amount1", "20", "has no unit"),
        ("amount1", "", "Say how much"),
        ("amount1", "3 eggshells", "not a measure"),
        ("grams", "-4", "outside the allowed range"),
        ("when", "2026-12-24T10:00", "still to come"),
    ] {
        let got = house
            .refuses("/bins/new", &bin_with(field, value), message)
            .await;
        assert!(got.text.contains(r#"value="Hall box""#) || field == "name");
    }
    assert!(house.desk.store().is_empty().unwrap());
}

#[tokio::test]
async fn inches_where_the_keeper_reads_inches() {
    let house = House::new();
    let now = house.desk.clock.unix_seconds();
    let units = Log::Setting {
        name: "units".into(),
        value: "us".into(),
    };
    house.desk.write(None, now, units).unwrap();
    let message = "Inner depth `100` in is outside the allowed range 2 to 78.7 in";
    house
        .refuses("/bins/new", &bin_with("depth", "100"), message)
        .await;
    let mut fields = bin_with("depth", "12");
    fields[3].1 = "20";
    house.post("/bins/new", &fields).await;
    let b = house.desk.bins().unwrap().remove(0).description;
    assert_eq!((b.length_cm, b.depth_cm), (50.8, 30.48));
    let warm = [
        ("kind", "reading"),
        ("what", "bedding_celsius"),
        ("spots", "68"),
    ];
    house
        .takes("/bins/1/log", &warm, "/bins/1?said=logged")
        .await;
    let Log::Reading(r) = house.last().body else {
        panic!("not a reading");
    };
    assert_eq!((r.what, r.spots), (Measured::BeddingCelsius, vec![20.0]));
    let page = house.get("/bins/1").await.text;
    assert!(page.contains("68 °F") && page.contains("Temperatures in °F"));
    let hot = [
        ("kind", "reading"),
        ("what", "air_celsius"),
        ("spots", "900"),
    ];
    house
        .refuses(
            "/bins/1/log",
            &hot,
            "`900` °F is outside the allowed range -40 to 194 °F",
        )
        .await;
}

#[tokio::test]
async fn a_judged_bedding_is_carried_to_the_form_of_a_bin() {
    let house = House::new();
    let judged = house
        .get("/judge?material1=coir&amount1=20%20L&ph1=6.1")
        .await
        .text;
    let from = judged.find("/bins/new?").unwrap();
    let address = judged[from..].split('"').next().unwrap();
    let form = house.get(&address.replace("&#38;", "&")).await.text;
    assert!(form.contains(r#"name="material1" value="coir""#), "{form}");
    assert!(form.contains(r#"name="amount1" value="20 L""#));
    assert!(form.contains(r#"type="hidden" name="ph1" value="6.1""#));
    let six = (1..=6).map(|n| format!("material{n}=coir&amount{n}=5%20L"));
    let six: Vec<String> = six.collect();
    let judged = house.get(&format!("/judge?{}", six.join("&"))).await.text;
    assert!(!judged.contains("Make this a bin"), "more parts than rows");
}

/// The banner, the steps and the reasons of one bedding say the same.
#[tokio::test]
async fn a_bedding_that_runs_is_called_wet_and_a_dusty_one_dry() {
    let house = House::new();
    for (percent, is, is_not) in [
        ("88", "As it is: too wet", "too dry"),
        ("30", "As it is: too dry", "too wet"),
    ] {
        let address = format!("/judge?material1=coir_pith&amount1=40%20L&moisture1={percent}");
        let page = house.get(&address).await.text;
        assert!(page.contains(is) && !page.contains(is_not), "{page}");
    }
}

#[tokio::test]
async fn the_room_is_given_in_the_scale_that_is_read() {
    let house = House::new();
    assert!(
        house
            .get("/settings")
            .await
            .text
            .contains(r#"name="room_celsius""#)
    );
    let us = [("units", "us"), ("room_celsius", "20")];
    house.post("/settings", &us).await;
    let page = house.get("/settings").await.text;
    assert!(
        page.contains(r#"name="room_fahrenheit" value="68""#),
        "{page}"
    );
    let warm = [("units", "us"), ("room_fahrenheit", "70")];
    house.post("/settings", &warm).await;
    let set = house.desk.settings().unwrap();
    assert_eq!(set.get("room_celsius").map(String::as_str), Some("21.1"));
    let hot = [("units", "us"), ("room_fahrenheit", "200")];
    let message = "is outside the allowed range 36 to 104 °F";
    house.refuses("/settings", &hot, message).await;
}
