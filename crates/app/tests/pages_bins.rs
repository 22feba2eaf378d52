//! The shelf, a bin, its log, corrections and the demo, through the pages, on
//! a log in memory.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

use app::counter::Counter;
use app::demo;
use app::desk::{Clock, Desk};
use app::web::{Site, router};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use engine::log::{BinId, Body as Log, EntryId, Measured};
use std::sync::Arc;
use tower::ServiceExt;

/// A keeper in Paris on a winter evening.
struct House {
    desk: Arc<Desk>,
}

struct Got {
    status: StatusCode,
    location: String,
    text: String,
}

impl House {
    fn new() -> Self {
        let now = "2026-11-24T18:05[Europe/Paris]".parse().unwrap();
        let desk = Desk::in_memory(Clock::stopped(now)).unwrap();
        Self {
            desk: Arc::new(desk),
        }
    }

    fn demo() -> Self {
        let house = Self::new();
        demo::open(&house.desk).unwrap();
        house
    }

    async fn send(&self, request: Request<Body>) -> Got {
        let site = Site {
            answers: Arc::new(Counter {
                desk: Arc::clone(&self.desk),
            }),
            port: None,
        };
        let (parts, body) = router(site).oneshot(request).await.unwrap().into_parts();
        let bytes = to_bytes(body, 64 << 20).await.unwrap();
        let location = parts.headers.get(header::LOCATION);
        Got {
            status: parts.status,
            location: location.map_or(String::new(), |l| l.to_str().unwrap().to_owned()),
            text: String::from_utf8(bytes.to_vec()).unwrap(),
        }
    }

    async fn get(&self, path: &str) -> Got {
        let request = Request::get(path).header(header::HOST, "127.0.0.1:7878");
        self.send(request.body(Body::empty()).unwrap()).await
    }

    async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Got {
        let form: Vec<String> = fields
            .iter()
            .map(|(n, v)| format!("{n}={}", encoded(v)))
            .collect();
        let request = Request::post(path)
            .header(header::HOST, "127.0.0.1:7878")
            .header(header::ORIGIN, "http://127.0.0.1:7878")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(form.join("&"))).unwrap())
            .await
    }

    fn written(&self) -> usize {
        self.desk.store().all_entries().unwrap().len()
    }

    fn last(&self) -> engine::log::Entry {
        self.desk.store().all_entries().unwrap().pop().unwrap()
    }

    /// A bin of coir, by the form.
    async fn with_bin() -> Self {
        let house = Self::new();
        let got = house.post("/bins/new", &GOOD_BIN).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
        assert_eq!(got.location, "/bins/1?said=added");
        house
    }

    /// The form refused, its page shows `message`, and nothing was written.
    async fn refuses(&self, path: &str, fields: &[(&str, &str)], message: &str) -> Got {
        let before = self.written();
        let got = self.post(path, fields).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}");
        let shown = app::report::quoted(message);
        assert!(got.text.contains(&shown), "no {shown} in {}", got.text);
        assert_eq!(self.written(), before, "{fields:?}");
        got
    }

    /// The form was taken and led to `location`.
    async fn takes(&self, path: &str, fields: &[(&str, &str)], location: &str) {
        let before = self.written();
        let got = self.post(path, fields).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{fields:?} {}", got.text);
        assert_eq!(got.location, location);
        assert_eq!(self.written(), before + 1, "{fields:?}");
    }
}

fn encoded(text: &str) -> String {
    text.bytes().map(|b| format!("%{b:02X}")).collect()
}

const GOOD_BIN: [(&str, &str); 13] = [
    ("kind", "bin"),
    ("name", "Hall box"),
    ("size", "own"),
    ("length", "50"),
    ("width", "30"),
    ("depth", "28"),
    ("walls", "wood"),
    ("lid", "cover"),
    ("drains", "yes"),
    ("material1", "coir_pith"),
    ("amount1", "20 L"),
    ("grams", "250"),
    ("when", "2026-11-14T10:00"),
];

fn bin_with<'a>(name: &str, value: &'a str) -> Vec<(&'a str, &'a str)> {
    let mut fields: Vec<(&str, &str)> = GOOD_BIN.to_vec();
    for field in &mut fields {
        if field.0 == name {
            field.1 = value;
        }
    }
    fields
}

#[tokio::test]
async fn an_empty_shelf_offers_the_demo_and_a_start() {
    let house = House::new();
    let got = house.get("/").await;
    assert_eq!(got.status, StatusCode::OK);
    assert!(got.text.contains("No bins yet"));
    assert!(got.text.contains(r#"action="/demo""#) && got.text.contains("/bins/new"));
    assert!(!got.text.contains("Invented demo shelf."));
    assert_eq!(house.get("/bins/1").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_demo_shows_four_bins_those_in_need_first() {
    let house = House::new();
    let got = house.post("/demo", &[]).await;
    assert_eq!(
        (got.status, got.location.as_str()),
        (StatusCode::SEE_OTHER, "/")
    );
    let shelf = house.get("/").await.text;
    assert!(shelf.contains("Invented demo shelf."));
    let at = |name: &str| shelf.find(name).unwrap_or_else(|| panic!("no {name}"));
    assert!(at("Attic tub") < at("New foam box"));
    assert!(at("New foam box") < at("Bench crate"));
    assert!(at("Bench crate") < at("Pantry box"));
    assert_eq!(shelf.matches("Look again").count(), 4);
    let again = house.post("/demo", &[]).await;
    assert_eq!(again.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn each_demo_bin_tells_its_story() {
    let house = House::demo();
    let pages: Vec<String> = [
        house.get("/bins/1").await,
        house.get("/bins/2").await,
        house.get("/bins/3").await,
        house.get("/bins/4").await,
    ]
    .into_iter()
    .map(|got| got.text)
    .collect();
    // In acid trouble: the drawing, the line, the way to the plan.
    assert!(pages[0].contains("worms climbing") && pages[0].contains("too acid"));
    assert!(pages[0].contains("/bins/1/dose"));
    // Came up after liming; the reading of the dose's evening is known as local.
    assert!(pages[1].contains("shows the place"));
    assert!(pages[1].contains("Has the bed changed"));
    assert!(pages[1].contains("Garden lime"));
    assert!(pages[2].contains("leave it be"));
    // Drowned in melon and brought back.
    assert!(pages[1].contains("standing liquid") && pages[1].contains("worms plump"));
    // Young: worms in for three weeks, its pH never read.
    assert!(
        pages[3].contains("Take a first pH reading") && pages[3].contains("no worms out at night")
    );
    for page in &pages {
        assert!(page.contains("To move it by one pH unit") && page.contains("of lime"));
        assert!(page.contains("if left alone"), "no look ahead");
        assert!(!page.contains("NaN"));
    }
}

#[tokio::test]
async fn the_demo_holds_what_it_is_meant_to_show() {
    let house = House::demo();
    let ph = |bin: i64| {
        let state = house.desk.bin(BinId(bin)).unwrap();
        state.estimate.as_ref().unwrap().ph.median
    };
    assert!(ph(1) < 5.3, "{}", ph(1));
    assert!((6.0..7.2).contains(&ph(2)), "{}", ph(2));
    assert!((6.2..7.5).contains(&ph(3)), "{}", ph(3));
    let (_, answer) = house.desk.dose(BinId(1), None).unwrap();
    let shown = format!("{answer:?}");
    assert!(
        shown.contains("hydrated_lime"),
        "hydrated lime is not spoken of"
    );
    let now = house.desk.clock.unix_seconds();
    let all = house.desk.store().all_entries().unwrap();
    assert!(all.iter().all(|e| e.at_unix_seconds <= now));
    assert!(all.len() > 60);
}

#[tokio::test]
async fn the_demo_can_be_put_away() {
    let house = House::demo();
    let put = house.post("/demo/away", &[]).await;
    assert_eq!(put.status, StatusCode::SEE_OTHER);
    let shelf = house.get("/").await.text;
    assert!(shelf.contains("No bins yet") && !shelf.contains("Invented demo shelf."));
    assert!(house.desk.shed().unwrap().iter().all(|i| !i.have));
    // Only the demo can be put away.
    let own = House::with_bin().await;
    let kept = own.post("/demo/away", &[]).await;
    assert_eq!(kept.status, StatusCode::CONFLICT);
    assert!(own.get("/").await.text.contains("Hall box"));
}

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
    let bad: [(&[(&str, &str)], &str); 18] = [
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
    let mut fields = bin_with("name", "Stair box");
    fields.push(("when", "2026-11-24T18:05"));
    house
        .takes("/bins/1/log/1", &fields, "/bins/1?said=corrected")
        .await;
    assert!(house.get("/").await.text.contains("Stair box"));
    let form = house.get("/bins/1/log/2").await.text;
    assert!(form.contains(r#"value="20 L""#) && form.contains("material4"));
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

#[tokio::test]
async fn the_demo_is_offered_only_where_it_opens() {
    let house = House::new();
    assert!(house.get("/").await.text.contains(r#"action="/demo""#));
    demo::open(&house.desk).unwrap();
    demo::put_away(&house.desk).unwrap();
    let shelf = house.get("/").await.text;
    assert!(shelf.contains("No bins yet") && !shelf.contains(r#"action="/demo""#));
}
