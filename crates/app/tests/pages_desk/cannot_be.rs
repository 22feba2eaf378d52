//! Forms that say what cannot be, a key that is another form's, and an entry
//! that is written before its bin is worked out.

use super::front_door::House;
use axum::http::StatusCode;
use std::time::Instant;

#[tokio::test]
async fn what_cannot_be_is_refused() {
    let house = House::with_bin().await;
    let cases: [(&[(&str, &str)], &str); 4] = [
        (
            &[("kind", "note"), ("text", "a\0b")],
            "Note holds the control character U+0000 as character 2",
        ),
        (
            &[
                ("kind", "observation"),
                ("word", "worms_spread"),
                ("word", "worms_spread"),
            ],
            "`worms-spread` is given more than once",
        ),
        (
            &[("kind", "worms_in"), ("grams", "1000"), ("count", "1")],
            "Mass of one worm `1000` g is outside",
        ),
        (
            &[("kind", "worms_in"), ("grams", "0"), ("count", "0")],
            "0 g and 0 worms are none",
        ),
    ];
    for (fields, why) in cases {
        let sure = [fields, &[("confirmed", "yes")]].concat();
        let before = house.written();
        let got = house.post("/bins/1/log", &sure).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}");
        let shown = app::report::quoted(why).to_lowercase();
        assert!(got.text.to_lowercase().contains(&shown), "no {shown}");
        assert_eq!(house.written(), before, "{fields:?}");
    }
    let odd = [
        ("kind", "observation"),
        ("word", "worms_spread"),
        ("word", "worms_left"),
    ];
    house
        .refuses("/bins/1/log", &odd, "contradict each other")
        .await;
}

#[tokio::test]
async fn settings_are_not_saved_under_the_key_of_another_form() {
    let house = House::with_bin().await;
    let note = [("kind", "note"), ("text", "new lid"), ("once", "abc")];
    house
        .takes("/bins/1/log", &note, "/bins/1?said=logged")
        .await;
    let set = |key, units| {
        [
            ("kind", "settings"),
            ("once", key),
            ("units", units),
            ("room_celsius", "20"),
        ]
    };
    house
        .refuses("/settings", &set("abc", "us"), "which wrote entry")
        .await;
    house
        .takes("/settings", &set("own", "us"), "/settings?said=saved")
        .await;
    // Back, changed again, and saved again: the same form may.
    house
        .takes("/settings", &set("own", "metric"), "/settings?said=saved")
        .await;
    house
        .refuses("/settings", &set("abc", "us"), "which wrote entry")
        .await;
}

#[tokio::test]
async fn an_entry_is_written_before_its_bin_is_worked_out() {
    let house = House::with_bin().await;
    let begun = Instant::now();
    let note = [("kind", "note"), ("text", "new lid")];
    house
        .takes("/bins/1/log", &note, "/bins/1?said=logged")
        .await;
    let written = begun.elapsed();
    house.get("/bins/1").await;
    let shown = begun.elapsed() - written;
    assert!(
        written * 2 < shown,
        "written after {written:?}, the page after {shown:?}"
    );
}
