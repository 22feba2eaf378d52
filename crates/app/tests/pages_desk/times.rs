//! Times the clocks skipped or showed twice are asked about, never moved.

use super::front_door::{House, bin_with};
use axum::http::StatusCode;

fn note(when: &str) -> Vec<(&str, &str)> {
    vec![("kind", "note"), ("text", "seen"), ("when", when)]
}

/// 2026-10-25T00:30Z, the first 02:30 of that night in Paris.
const FIRST: i64 = 1_792_888_200;

#[tokio::test]
async fn the_doubled_hour_is_asked_about_and_either_can_be_chosen() {
    let house = House::with_bin().await;
    let asked = house
        .refuses("/bins/1/log", &note("2026-10-25T02:30"), "came twice")
        .await;
    assert!(
        asked
            .text
            .contains("The first 02:30, +02:00 from world time")
    );
    assert!(
        asked
            .text
            .contains("The second 02:30, +01:00 from world time")
    );
    for (which, at) in [("earlier", FIRST), ("later", FIRST + 3600)] {
        let mut form = note("2026-10-25T02:30");
        form.extend([("which_time", which), ("confirmed", "yes")]);
        house
            .takes("/bins/1/log", &form, "/bins/1?said=logged")
            .await;
        assert_eq!(house.last().at_unix_seconds, at);
    }
    // Corrected with its time left alone, it stays in the hour it was in.
    let id = house.last().id.0;
    let mut form = note("2026-10-25T02:30");
    form[1].1 = "seen twice";
    form.push(("confirmed", "yes"));
    house
        .takes(
            &format!("/bins/1/log/{id}"),
            &form,
            "/bins/1?said=corrected",
        )
        .await;
    let page = house
        .get(&format!("/bins/1/log/{}", house.last().id.0))
        .await;
    assert_eq!(page.status, StatusCode::OK);
    let engine::log::Body::Correction {
        at_unix_seconds, ..
    } = house.last().body
    else {
        panic!("no correction");
    };
    assert_eq!(at_unix_seconds, Some(FIRST + 3600));
}

#[tokio::test]
async fn the_hour_that_was_not_is_asked_about() {
    let house = House::with_bin().await;
    let asked = house
        .refuses("/bins/1/log", &note("2026-03-29T02:30"), "There was no")
        .await;
    assert!(asked.text.contains(">01:30<") && asked.text.contains(">03:30<"));
    let new = bin_with("when", "2026-03-29T02:30");
    let asked = house.refuses("/bins/new", &new, "There was no").await;
    assert!(asked.text.contains("value=\"earlier\"") && asked.text.contains(">03:30<"));
}

#[tokio::test]
async fn an_offset_typed_is_heeded_and_no_part_of_a_time_is_dropped() {
    let house = House::with_bin().await;
    house
        .takes(
            "/bins/1/log",
            &note("2026-11-24T12:00-05:00"),
            "/bins/1?said=logged",
        )
        .await;
    // 17:00 UTC.
    assert_eq!(house.last().at_unix_seconds, 1_795_539_600);
    for odd in [
        "2026-11-24T25:00",
        "24.11.2026",
        "2026-11-24T23:59:60",
        "soon",
    ] {
        house
            .refuses("/bins/1/log", &note(odd), "is not a date and time")
            .await;
    }
    let away = house
        .get("/bins/1/away?from=2026-12-12T23:00&to=2027-01-09")
        .await;
    assert!(away.text.contains("is not a date. Write it as 2026-12-20."));
}
