//! Corrections: the entry and what stands for it are both shown.

use super::front_door::{House, bin_with};
use axum::http::StatusCode;
use engine::log::{BinId, Body, EntryId};

#[tokio::test]
async fn a_reading_is_corrected_and_both_are_shown() {
    let house = House::with_bin().await;
    let wrong = [
        ("kind", "reading"),
        ("what", "ph"),
        ("spots", "6.9 6.8"),
        ("instrument", "good_pen"),
        ("when", "2026-11-24T17:10"),
    ];
    house
        .takes("/bins/1/log", &wrong, "/bins/1?said=logged")
        .await;
    let id = house.last().id.0;
    let address = format!("/bins/1/log/{id}");
    let form = house.get(&address).await;
    assert_eq!(form.status, StatusCode::OK);
    assert!(form.text.contains(r#"value="6.9 6.8""#));
    assert!(form.text.contains(r#"value="2026-11-24T17:10""#));
    assert!(form.text.contains(r#"value="good_pen" selected"#));
    let mut right = wrong.to_vec();
    right[2].1 = "5.9 5.8";
    right.push(("reason", "read the wrong line"));
    right[2].1 = "59";
    house.refuses(&address, &right, "Did you mean 5.9?").await;
    right[2].1 = "five";
    house
        .refuses(&address, &right, "`five` is not a number")
        .await;
    right[2].1 = "5.9 5.8";
    house
        .takes(&address, &right, "/bins/1?said=corrected")
        .await;
    let page = house.get("/bins/1?said=corrected").await.text;
    assert!(page.contains("<s>pH 6.9, 6.8"), "the first entry is hidden");
    assert!(page.contains("pH 5.9, 5.8") && page.contains("read the wrong line"));
    let state = house.desk.bin(BinId(1)).unwrap();
    let heard = &state.estimate.as_ref().unwrap().heard;
    assert_eq!(heard.len(), 1);
    assert!((heard[0].mean - 5.85).abs() < 0.3, "{}", heard[0].mean);
    // The correction can be corrected in its turn.
    let second = house.last().id.0;
    right[2].1 = "6.2 6.1";
    let address = format!("/bins/1/log/{second}");
    house
        .takes(&address, &right, "/bins/1?said=corrected")
        .await;
    let page = house.get("/bins/1").await.text;
    assert_eq!(page.matches(r#"<li class="struck">"#).count(), 2);
}

#[tokio::test]
async fn an_entry_is_struck_and_stays_visible() {
    let house = House::with_bin().await;
    let dose = [
        ("kind", "dose"),
        ("material", "limestone_calcitic"),
        ("amount", "2 tbsp"),
    ];
    house
        .takes("/bins/1/log", &dose, "/bins/1?said=logged")
        .await;
    let id = house.last().id.0;
    let given = || {
        house
            .desk
            .bin(BinId(1))
            .unwrap()
            .estimate
            .as_ref()
            .unwrap()
            .given
            .len()
    };
    assert_eq!(given(), 1);
    house
        .takes(
            &format!("/bins/1/log/{id}"),
            &[("strike", "yes")],
            "/bins/1?said=struck",
        )
        .await;
    assert_eq!(given(), 0);
    let page = house.get("/bins/1").await.text;
    assert!(page.contains("<s>2 tbsp of ground calcitic limestone"));
    assert!(page.contains("Struck out"));
    assert!(house.desk.store().entry(EntryId(id)).is_ok());
    // The only description of a bin cannot be struck.
    house
        .refuses(
            "/bins/1/log/1",
            &[("strike", "yes")],
            "without a description",
        )
        .await;
}

#[tokio::test]
async fn every_entry_of_the_demo_has_a_form_that_says_the_same_again() {
    let house = House::demo();
    let all = house.desk.store().all_entries().unwrap();
    for entry in all.iter().filter(|e| e.bin.is_some()).step_by(3) {
        let bin = entry.bin.unwrap().0;
        let got = house.get(&format!("/bins/{bin}/log/{}", entry.id.0)).await;
        assert_eq!(got.status, StatusCode::OK, "entry {}", entry.id.0);
        assert!(got.text.contains("Write the correction"));
    }
    assert_eq!(
        house.get("/bins/1/log/99999").await.status,
        StatusCode::NOT_FOUND
    );
    // An entry of another bin is not here.
    let other = all.iter().find(|e| e.bin == Some(BinId(2))).unwrap().id.0;
    let lost = house.get(&format!("/bins/1/log/{other}")).await;
    assert_eq!(lost.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_bin_is_described_anew_and_a_filling_keeps_its_rows() {
    let house = House::with_bin().await;
    let form = house.get("/bins/1/log/1").await.text;
    assert!(form.contains(r#"value="Hall box""#) && form.contains(r#"value="wood" checked"#));
    let fields = bin_with("name", "Stair box");
    house
        .takes("/bins/1/log/1", &fields, "/bins/1?said=corrected")
        .await;
    assert!(house.get("/").await.text.contains("Stair box"));
    let form = house.get("/bins/1/log/2").await.text;
    assert!(form.contains(r#"value="20 L""#) && form.contains("material4"));
}

#[tokio::test]
async fn a_page_of_an_entry_that_no_longer_stands_says_so() {
    let house = House::with_bin().await;
    let water = [("kind", "water"), ("amount", "1 L")];
    house
        .takes("/bins/1/log", &water, "/bins/1?said=logged")
        .await;
    let id = house.last().id.0;
    let address = format!("/bins/1/log/{id}");
    let before = house.get(&address).await.text;
    assert!(before.contains("Strike it out") && !before.contains("no longer stands"));
    let right = [("kind", "water"), ("amount", "2 L")];
    house
        .takes(&address, &right, "/bins/1?said=corrected")
        .await;
    let by = house.last().id.0;
    let page = house.get(&address).await.text;
    assert!(page.contains("no longer stands. Corrected"), "{page}");
    assert!(
        page.contains(&format!("href=\"/bins/1/log/{by}\"")),
        "{page}"
    );
    assert!(page.contains("<s>"), "{page}");
    let strike = [
        ("strike", "yes"),
        ("once", "00000000000000000000000000000001"),
    ];
    house.takes(&address, &strike, "/bins/1?said=struck").await;
    let by = house.last().id.0;
    let page = house.get(&address).await.text;
    assert!(page.contains("no longer stands. Struck out"), "{page}");
    assert!(
        page.contains(&format!("href=\"/bins/1/log/{by}\"")),
        "{page}"
    );
    assert!(!page.contains("Strike it out"), "{page}");
    // From a page opened before, under a key of its own.
    let again = [
        ("strike", "yes"),
        ("once", "00000000000000000000000000000002"),
    ];
    house.refuses(&address, &again, "struck out before").await;
    // What is struck out can still be said anew, when that is meant.
    let anew = [("kind", "water"), ("amount", "3 L")];
    let struck = format!("was struck out by entry {by}");
    house.refuses(&address, &anew, &struck).await;
    let meant = [&anew[..], &[("confirmed", "yes")]].concat();
    house
        .takes(&address, &meant, "/bins/1?said=corrected")
        .await;
    assert!(house.get(&address).await.text.contains("Strike it out"));
}

#[tokio::test]
async fn a_form_for_a_bin_that_is_not_there_gives_back_what_was_typed() {
    let house = House::with_bin().await;
    let note = [("kind", "note"), ("text", "Long thought over")];
    let got = house.post("/bins/99/log", &note).await;
    assert_eq!(got.status, StatusCode::NOT_FOUND);
    assert!(got.text.contains("Long thought over"), "{}", got.text);
    assert!(!got.text.contains("name=\"text\""), "{}", got.text);
}

/// By a day, and within the thirty days that are not far.
#[tokio::test]
async fn a_correction_to_before_the_bin_was_filled_is_asked_about() {
    let house = House::with_bin().await;
    let note = [
        ("kind", "note"),
        ("text", "seen"),
        ("when", "2026-11-10T10:00"),
    ];
    house
        .takes("/bins/1/log", &note, "/bins/1?said=logged")
        .await;
    let of_a_note = format!("/bins/1/log/{}", house.last().id.0);
    let water = [("kind", "water"), ("amount", "1 L")];
    house
        .takes("/bins/1/log", &water, "/bins/1?said=logged")
        .await;
    let address = format!("/bins/1/log/{}", house.last().id.0);
    for when in ["2026-11-13T12:00", "2026-10-28T12:00"] {
        let moved = [&water[..], &[("when", when)]].concat();
        house
            .refuses(
                &address,
                &moved,
                "before the bin was filled (2026-11-14 10:00)",
            )
            .await;
    }
    // Nothing moves, and what is said cannot have been done then.
    let fields = [&water[..], &[("when", "2026-11-10T10:00")]].concat();
    house
        .refuses(&of_a_note, &fields, "before the bin was filled")
        .await;
    let moved = [&water[..], &[("when", "2026-11-20T12:00")]].concat();
    house
        .takes(&address, &moved, "/bins/1?said=corrected")
        .await;
    let early = [
        &water[..],
        &[("when", "2026-11-13T12:00"), ("confirmed", "yes")],
    ]
    .concat();
    house
        .takes(&address, &early, "/bins/1?said=corrected")
        .await;
}

/// A filling moved past what was done since would leave it without a bed.
#[tokio::test]
async fn a_filling_moved_past_other_entries_is_asked_about() {
    let house = House::with_bin().await;
    let reading = [
        ("kind", "reading"),
        ("what", "ph"),
        ("spots", "6.4 6.5"),
        ("instrument", "good_pen"),
        ("when", "2026-11-18T10:00"),
    ];
    house
        .takes("/bins/1/log", &reading, "/bins/1?said=logged")
        .await;
    let read = house.last().id.0;
    let entries = house.desk.bin(BinId(1)).unwrap().written.clone();
    let filled = entries.iter().find(|e| is_filling(&e.body)).unwrap();
    let address = format!("/bins/1/log/{}", filled.id.0);
    let fill = [
        ("kind", "filled"),
        ("material1", "coir_pith"),
        ("amount1", "20 L"),
    ];
    let moved = [&fill[..], &[("when", "2026-11-20T12:00")]].concat();
    let worms = entries.iter().find(|e| e.id > filled.id).unwrap().id.0;
    let said = format!("after entry {worms} (2026-11-14 10:00), which would then stand before");
    house.refuses(&address, &moved, &said).await;
    let meant = [&moved[..], &[("confirmed", "yes")]].concat();
    house
        .takes(&address, &meant, "/bins/1?said=corrected")
        .await;
    // Moved on, past nothing; and back, to where it leaves nothing behind.
    for when in ["2026-11-21T12:00", "2026-11-17T12:00", "2026-11-18T09:00"] {
        let on = [&fill[..], &[("when", when)]].concat();
        house.takes(&address, &on, "/bins/1?said=corrected").await;
    }
    let again = [&fill[..], &[("when", "2026-11-18T10:01")]].concat();
    let said = format!("after entry {read} (2026-11-18 10:00)");
    house.refuses(&address, &again, &said).await;
}

fn is_filling(body: &Body) -> bool {
    matches!(body, Body::Filled { .. })
}

/// A correction of the sizes is read by every entry of the bin.
#[tokio::test]
async fn sizes_that_would_undo_an_entry_are_refused() {
    let house = House::with_bin().await;
    let sizes = |length, width, depth| {
        [
            ("kind", "bin"),
            ("name", "Hall box"),
            ("length", length),
            ("width", width),
            ("depth", depth),
            ("walls", "wood"),
            ("lid", "cover"),
            ("drains", "yes"),
            ("when", "2026-11-14T10:00"),
        ]
    };
    let got = house
        .refuses(
            "/bins/1/log/1",
            &sizes("20", "20", "10"),
            "of bin 1 could no longer be used with this",
        )
        .await;
    assert!(
        got.text.contains("correct that entry first"),
        "{}",
        got.text
    );
    assert!(house.desk.bin(BinId(1)).unwrap().estimate.is_ok());
    // So small that what was put in hardly goes in is asked about.
    house
        .refuses(
            "/bins/1/log/1",
            &sizes("40", "30", "8"),
            "Is the amount right?",
        )
        .await;
    house
        .takes(
            "/bins/1/log/1",
            &sizes("50", "30", "20"),
            "/bins/1?said=corrected",
        )
        .await;
    assert!(house.desk.bin(BinId(1)).unwrap().estimate.is_ok());
}

/// The time went to this moment without a word.
#[tokio::test]
async fn a_correction_without_a_time_leaves_it_as_it_was() {
    let house = House::with_bin().await;
    let note = [
        ("kind", "note"),
        ("text", "a lid"),
        ("when", "2026-11-16T17:10"),
    ];
    house
        .takes("/bins/1/log", &note, "/bins/1?said=logged")
        .await;
    let written = house.last();
    let address = format!("/bins/1/log/{}", written.id.0);
    for (n, text) in ["a new lid", "a wooden lid"].into_iter().enumerate() {
        let mut right = vec![("kind", "note"), ("text", text)];
        if n == 0 {
            right.push(("when", ""));
        }
        house
            .takes(&address, &right, "/bins/1?said=corrected")
            .await;
        let all = house.desk.store().all_entries().unwrap();
        let stands = engine::log::effective(&all);
        let stands = stands.iter().find(|e| e.id == written.id).unwrap();
        assert_eq!(stands.at_unix_seconds, written.at_unix_seconds, "{text}");
    }
    house
        .refuses(
            &address,
            &[("strike", "perhaps")],
            "`perhaps` is neither yes nor no",
        )
        .await;
}
