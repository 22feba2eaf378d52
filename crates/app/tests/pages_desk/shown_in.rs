//! A form is read in the units it was shown in, whatever is set by the time it
//! is sent.

use super::front_door::{GOOD_BIN, House};
use axum::http::StatusCode;
use engine::log::Body;

fn set(house: &House, units: &str) {
    let body = Body::Setting {
        name: "units".to_owned(),
        value: units.to_owned(),
    };
    let now = house.desk.clock.unix_seconds();
    house.desk.write(None, now, body).unwrap();
}

/// What a form of this page says it was shown in.
async fn shown_in(house: &House, path: &str) -> String {
    let page = house.get(path).await.text;
    let after = page.split("name=\"shown_in\" value=\"").nth(1);
    let after = after.unwrap_or_else(|| panic!("no form of {path} says its units"));
    after.split('"').next().unwrap().to_owned()
}

fn spot(body: &Body) -> f64 {
    match body {
        Body::Reading(r) => r.spots[0],
        other => panic!("no reading: {other:?}"),
    }
}

#[tokio::test]
async fn a_form_left_open_while_the_units_were_changed_says_what_was_typed() {
    let house = House::new();
    let old = shown_in(&house, "/bins/new").await;
    assert_eq!(old, "metric");
    set(&house, "us");
    let mut bin = GOOD_BIN.to_vec();
    bin.push(("shown_in", &old));
    let got = house.post("/bins/new", &bin).await;
    assert_eq!(got.location, "/bins/1?said=added", "{}", got.text);
    let sizes = house.desk.bins().unwrap()[0].description.clone();
    assert_eq!([sizes.length_cm, sizes.width_cm], [50.0, 30.0]);
    assert_eq!(shown_in(&house, "/bins/1").await, "us");
    let reading = [("kind", "reading"), ("instrument", "cheap_pen")];
    for (n, (what, typed, units, held)) in (20u8..).zip([
        ("bin_kg", "8", "metric", 8.0),
        ("bedding_celsius", "18", "metric", 18.0),
        ("bedding_celsius", "50", "us", 10.0),
    ]) {
        let more = [("what", what), ("spots", typed), ("shown_in", units)];
        let form = [&reading[..], &more].concat();
        house
            .takes("/bins/1/log", &form, "/bins/1?said=logged")
            .await;
        assert_eq!(spot(&house.last().body), held, "{typed} {units}");
        // Without it, by the setting, as before.
        set(&house, "metric");
        let spots = n.to_string();
        let plain = [&reading[..], &[("what", what), ("spots", &spots)]].concat();
        house
            .takes("/bins/1/log", &plain, "/bins/1?said=logged")
            .await;
        assert_eq!(spot(&house.last().body), f64::from(n));
        set(&house, "us");
    }
    // Shown again, and asked about, it stays in its units.
    let odd = [
        ("kind", "reading"),
        ("what", "bedding_celsius"),
        ("spots", "warm"),
        ("shown_in", "metric"),
    ];
    let again = house.post("/bins/1/log", &odd).await.text;
    assert!(again.contains("name=\"shown_in\" value=\"metric\""));
    assert!(!again.contains("Temperatures in °F"));
    let asked = [&odd[..2], &[("spots", "70"), odd[3]]].concat();
    let asked = house.post("/bins/1/log", &asked).await.text;
    assert!(asked.contains("Is this right?") && !asked.contains("value=\"us\""));
}

#[tokio::test]
async fn a_correction_and_the_questions_about_the_weather_say_their_units() {
    let house = House::with_bin().await;
    let reading = [("kind", "reading"), ("what", "bin_kg"), ("spots", "8")];
    house
        .takes("/bins/1/log", &reading, "/bins/1?said=logged")
        .await;
    let place = format!("/bins/1/log/{}", house.last().id.0);
    let old = shown_in(&house, &place).await;
    set(&house, "us");
    let form = [&reading[..2], &[("spots", "9"), ("shown_in", &old)]].concat();
    house.takes(&place, &form, "/bins/1?said=corrected").await;
    let Body::Correction { replacement, .. } = house.last().body else {
        panic!("no correction");
    };
    assert_eq!(spot(&replacement.unwrap()), 9.0);
    for page in ["away", "weather", "outlook"] {
        assert_eq!(shown_in(&house, &format!("/bins/1/{page}")).await, "us");
    }
    let away = "/bins/1/away?from=2026-12-01&to=2026-12-08&place_celsius=18";
    let told = house.get(&format!("{away}&shown_in=metric")).await;
    assert_eq!(told.status, StatusCode::OK, "18 was taken for °F");
    assert!(told.text.contains("name=\"shown_in\" value=\"metric\""));
}

#[tokio::test]
async fn units_there_are_not_are_refused_by_name() {
    let house = House::with_bin().await;
    let form = [
        ("kind", "water"),
        ("amount", "1 L"),
        ("shown_in", "furlongs"),
    ];
    house
        .refuses("/bins/1/log", &form, "`shown_in` is `furlongs`")
        .await;
    let got = house.get("/bins/1/weather?shown_in=furlongs").await;
    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY);
}
