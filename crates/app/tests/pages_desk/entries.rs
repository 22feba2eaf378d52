//! What is written into a log, and what is asked about first.

use super::front_door::{House, bin_with};
use axum::http::StatusCode;

#[tokio::test]
async fn every_kind_of_entry_is_taken() {
    let house = House::with_bin().await;
    let good: [&[(&str, &str)]; 14] = [
        &[
            ("kind", "reading"),
            ("what", "ph"),
            ("spots", "6.1 6.3, 6.0"),
            ("instrument", "cheap_pen"),
            ("place", "spread"),
        ],
        &[("kind", "reading"), ("what", "ec_ms_cm"), ("spots", "1.2")],
        &[
            ("kind", "observation"),
            ("word", "squeeze_drops"),
            ("word", "worms_spread"),
            ("text", ""),
        ],
        &[
            ("kind", "feeding"),
            ("material", "banana peel"),
            ("amount", "2 cups"),
        ],
        &[
            ("kind", "dose"),
            ("material", "limestone_calcitic"),
            ("amount", "1 tbsp"),
            ("how", "mixed_in"),
        ],
        &[("kind", "water"), ("amount", "1 L"), ("soft", "yes")],
        &[
            ("kind", "bedding_added"),
            ("material", "coir_pith"),
            ("amount", "3 L"),
        ],
        &[("kind", "worms_in"), ("grams", "50"), ("count", "")],
        &[("kind", "worm_count"), ("found", "40"), ("litres", "2")],
        &[("kind", "turned")],
        &[("kind", "drain"), ("amount", "1 cup")],
        &[("kind", "harvest"), ("amount", "5 L")],
        &[("kind", "move"), ("place", "cellar")],
        &[("kind", "note"), ("text", "Quiet in there.")],
    ];
    for fields in good {
        let mut fields = fields.to_vec();
        fields.push(("when", "2026-11-24T17:30"));
        house
            .takes("/bins/1/log", &fields, "/bins/1?said=logged")
            .await;
        // 17:30 in Paris in winter is 16:30 UTC.
        assert_eq!(house.last().at_unix_seconds, 1_795_537_800);
        assert_eq!(house.last().zone, "Europe/Paris");
    }
    let page = house.get("/bins/1?said=logged").await.text;
    assert!(page.contains("Written in the log."));
    for words in [
        "squeeze: a drop or two",
        "2 cups of banana peel",
        "soft water",
        "40 worms",
        "cellar",
        "1.2 mS/cm",
    ] {
        assert!(page.contains(words), "no {words}");
    }
}

#[tokio::test]
async fn every_bad_entry_is_refused_and_nothing_written() {
    let house = House::with_bin().await;
    let bad: [(&[(&str, &str)], &str); 20] = [
        (
            &[
                ("kind", "feeding"),
                ("material", "quicklime"),
                ("amount", "1 kg"),
            ],
            "is never fed",
        ),
        (
            &[
                ("kind", "feeding"),
                ("material", "wood_ash"),
                ("amount", "1 cup"),
            ],
            "is an amendment, which is not fed",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "ph"),
                ("spots", ""),
                ("instrument", "cheap_pen"),
            ],
            "Give the value read",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "ph"),
                ("spots", "5,8"),
                ("instrument", "cheap_pen"),
            ],
            "may be a decimal or two spots",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "ph"),
                ("spots", "six"),
                ("instrument", "cheap_pen"),
            ],
            "`six` is not a number",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "ph"),
                ("spots", "6.1"),
                ("instrument", "tongue"),
            ],
            "Choose the instrument",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "joy"),
                ("spots", "6.1"),
                ("instrument", "cheap_pen"),
            ],
            "`joy` is not on it",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "moisture_percent"),
                ("spots", "120"),
            ],
            "outside the allowed range 0 to 97",
        ),
        (
            &[
                ("kind", "reading"),
                ("what", "ph"),
                ("spots", "NaN"),
                ("instrument", "cheap_pen"),
            ],
            "`NaN` is not a number",
        ),
        (&[("kind", "observation")], "Choose at least one word"),
        (
            &[("kind", "observation"), ("word", "worms_singing")],
            "`worms_singing` is not on it",
        ),
        (
            &[("kind", "feeding"), ("material", ""), ("amount", "2 cups")],
            "Say which material",
        ),
        (
            &[("kind", "feeding"), ("material", ""), ("amount", "")],
            "Say which material",
        ),
        (
            &[
                ("kind", "dose"),
                ("material", "banana_peel"),
                ("amount", "2 cups"),
            ],
            "is not a liming or acid material",
        ),
        (
            &[
                ("kind", "dose"),
                ("material", "limestone_calcitic"),
                ("amount", "-3 g"),
            ],
            "must be more than 0",
        ),
        (&[("kind", "water"), ("amount", "1,5 L")], "has a comma"),
        (
            &[("kind", "worms_in"), ("grams", ""), ("count", "")],
            "Give the weight or the number",
        ),
        (
            &[("kind", "worms_in"), ("grams", "9000000"), ("count", "")],
            "outside the allowed range 0 to 50000 g",
        ),
        (&[("kind", "note"), ("text", "  ")], "Write something first"),
        (
            &[("kind", "note"), ("text", "x"), ("when", "yesterday")],
            "`yesterday` is not a date and time",
        ),
    ];
    for (fields, message) in bad {
        let got = house.refuses("/bins/1/log", fields, message).await;
        assert!(got.text.contains("Nothing was written yet."), "{fields:?}");
    }
    let got = house
        .refuses("/bins/1/log", &[("kind", "dance")], "not a kind of entry")
        .await;
    assert!(got.text.contains("Back to the bin"));
    let lost = house.post("/bins/9/log", &[("kind", "turned")]).await;
    assert_eq!(lost.status, StatusCode::NOT_FOUND);
}

const IDLE: [(&str, &str); 4] = [
    ("kind", "reading"),
    ("what", "ph"),
    ("spots", "7.0 7.0"),
    ("instrument", "two_metal_probe"),
];

#[tokio::test]
async fn an_idling_probe_is_asked_about_and_kept_on_the_keepers_word() {
    let house = House::with_bin().await;
    let got = house
        .refuses("/bins/1/log", &IDLE, "Is pH 7.0 right?")
        .await;
    assert!(got.text.contains("It is right, keep it"));
    assert!(got.text.contains(r#"name="spots" value="7.0 7.0""#));
    let mut kept = IDLE.to_vec();
    kept.push(("confirmed", "yes"));
    house
        .takes("/bins/1/log", &kept, "/bins/1?said=logged")
        .await;
    let page = house.get("/bins/1").await.text;
    assert!(page.contains("Kept on your word.") && page.contains("doubtful"));
}

#[tokio::test]
async fn what_cannot_be_is_not_kept_even_when_confirmed() {
    let house = House::with_bin().await;
    for (typed, message) in [("56", "Did you mean 5.6?"), ("14.5", "off the scale")] {
        let fields = [
            ("kind", "reading"),
            ("what", "ph"),
            ("spots", typed),
            ("instrument", "cheap_pen"),
            ("confirmed", "yes"),
        ];
        let got = house.refuses("/bins/1/log", &fields, message).await;
        assert!(got.text.contains("cannot be"));
        assert!(!got.text.contains("It is right, keep it"));
    }
}

#[tokio::test]
async fn a_time_to_come_is_asked_about() {
    let house = House::with_bin().await;
    let fields = |when| [("kind", "note"), ("text", "x"), ("when", when)];
    // Three minutes ahead is a slow clock.
    house
        .takes(
            "/bins/1/log",
            &fields("2026-11-24T18:08"),
            "/bins/1?said=logged",
        )
        .await;
    let got = house
        .refuses("/bins/1/log", &fields("2026-11-24T20:00"), "still to come")
        .await;
    assert!(got.text.contains("It is right, keep it"));
    let got = house
        .refuses("/bins/1/log", &fields("2027-11-24T20:00"), "still to come")
        .await;
    assert!(!got.text.contains("It is right, keep it"));
}

#[tokio::test]
async fn a_local_reading_is_marked_and_a_second_look_named() {
    let house = House::with_bin().await;
    let dose = [
        ("kind", "dose"),
        ("material", "limestone_calcitic"),
        ("amount", "2 tbsp"),
        ("how", "on_top"),
        ("when", "2026-11-24T12:00"),
    ];
    house
        .takes("/bins/1/log", &dose, "/bins/1?said=logged")
        .await;
    let read = [
        ("kind", "reading"),
        ("what", "ph"),
        ("spots", "7.1 7.4 6.9"),
        ("instrument", "good_pen"),
        ("when", "2026-11-24T17:00"),
    ];
    house
        .takes("/bins/1/log", &read, "/bins/1?said=logged")
        .await;
    let page = house.get("/bins/1").await.text;
    assert!(page.contains("it shows the place, not the bed"));
    assert!(page.contains("5 hours after a dose"));
    // Dusted on top: read again 48 hours after the dose.
    assert!(page.contains("Read again Thu 26 Nov, 12:00"));
    assert!(page.contains("Has the bed changed since the dose"));
    assert!(page.contains("just after a dose"));
}

#[tokio::test]
async fn more_than_the_bin_holds_is_asked_about() {
    let house = House::with_bin().await;
    let asked: [(&[(&str, &str)], &str); 3] = [
        (
            &[
                ("kind", "feeding"),
                ("material", "apple"),
                ("amount", "50 kg"),
            ],
            "50 kg of feed",
        ),
        (&[("kind", "worms_in"), ("grams", "25000")], "g of worms"),
        (
            &[
                ("kind", "observation"),
                ("word", "squeeze_dusty"),
                ("word", "squeeze_stream"),
            ],
            "contradict",
        ),
    ];
    for (fields, why) in asked {
        let before = house.written();
        let page = house.post("/bins/1/log", fields).await.text;
        assert!(page.contains("Is this right?"), "{page}");
        assert!(page.contains(why) && page.contains("It is right, keep it"));
        assert!(!page.contains("marked as kept"));
        assert_eq!(house.written(), before);
        let sure = [fields, &[("confirmed", "yes")]].concat();
        house
            .takes("/bins/1/log", &sure, "/bins/1?said=logged")
            .await;
        assert_eq!(house.written(), before + 1);
    }
}

#[tokio::test]
async fn a_new_bin_with_too_many_worms_is_asked_about() {
    let house = House::new();
    let fields = bin_with("grams", "25000");
    let page = house.post("/bins/new", &fields).await.text;
    assert!(page.contains("Is this right?") && page.contains("g of worms"));
    assert_eq!(house.written(), 0);
    let sure = [&fields[..], &[("confirmed", "yes")]].concat();
    let got = house.post("/bins/new", &sure).await;
    assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
}
