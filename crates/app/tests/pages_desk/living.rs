//! The living bin: now, outlook, ration, away, weather and today.

use super::front_door::House;
use axum::http::StatusCode;
use engine::log::{BinId, Body as Log};

fn last_correction(house: &House) -> Log {
    match house.last().body {
        Log::Correction { replacement, .. } => *replacement.unwrap(),
        other => panic!("{other:?}"),
    }
}

#[tokio::test]
async fn the_bin_page_says_how_it_is_in_there_now() {
    let house = House::demo();
    let page = house.get("/bins/3").await.text;
    for said in [
        "Moisture",
        "Warmth in the middle",
        "Warmth where worms sit",
        "Worms by weight",
        "Worms by number",
        "Castings",
        "Last food left",
        "Salt",
        "What the last entries taught",
        "/bins/3/outlook",
        "/bins/3/ration",
        "/bins/3/away",
        "/bins/3/weather",
    ] {
        assert!(page.contains(said), "{said}");
    }
    assert!(page.matches("chart spark").count() >= 9);
    assert!(!page.contains("not known"));
}

#[tokio::test]
async fn every_horizon_has_its_charts_and_its_table() {
    let house = House::demo();
    for days in [14, 56, 182, 365] {
        let page = house.get(&format!("/bins/2/outlook?days={days}")).await;
        assert_eq!(page.status, StatusCode::OK);
        assert_eq!(page.text.matches("class=\"course\"").count(), 9, "{days}");
        assert!(page.text.contains("<table"), "{days}");
    }
    let usual = house.get("/bins/2/outlook").await.text;
    // The line in the chart of pH is that of the bed, not of its food.
    assert!(usual.contains("too acid below 5.5") && !usual.contains("sour food below"));
    assert!(usual.contains("aria-current=\"true\">8 weeks"));
    for days in ["-5", "9", "x", "56.0"] {
        let wrong = house.get(&format!("/bins/2/outlook?days={days}")).await;
        assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY, "{days}");
        assert!(wrong.text.contains("is not one of 14, 56, 182, 365"));
    }
}

#[tokio::test]
async fn a_what_if_says_what_it_assumes_and_goes_along_with_the_horizon() {
    let house = House::demo();
    let asked = "days=56&feed=2&place_celsius=12&place_from=2026-12-01&bedding=coir_pith&bedding_amount=5+L&away_from=2026-12-05&away_to=2026-12-20";
    let page = house.get(&format!("/bins/2/outlook?{asked}")).await.text;
    for said in [
        "What if",
        "Moved in 7 days to a place at 12 °C.",
        "5 L of",
        "Nobody there from Sat 5 Dec to Sun 20 Dec.",
        "away_from=2026-12-05",
    ] {
        assert!(page.contains(said), "{said}");
    }
}

#[tokio::test]
async fn a_what_if_that_cannot_be_read_is_told_by_its_field() {
    let house = House::demo();
    let before = house.written();
    let of = async |query: &str| house.get(&format!("/bins/2/outlook?{query}")).await.text;
    for (query, said) in [
        ("bedding=zork&bedding_amount=5+L", "is not in the tables"),
        ("bedding=coir_pith&bedding_amount=5", "has no unit"),
        ("bedding=coir_pith", "Say how much"),
        ("place_celsius=200", "outside the allowed range"),
        ("place_from=2026-12-01", "Say how warm it is there."),
        ("away_from=2026-12-05", "Say when you return."),
        (
            "away_from=2026-12-05&away_to=2026-12-05",
            "not after leaving",
        ),
        (
            "away_from=2020-12-05&away_to=2026-12-05",
            "That day is past.",
        ),
        ("away_from=soon&away_to=2026-12-05", "is not a date"),
        ("weather=99+abc", "Look again"),
        ("weather=2020-01-01,+5,+1", "is past"),
        ("feed=1000", "outside the allowed range"),
    ] {
        let page = of(query).await;
        assert!(page.contains("Look again:"), "{query}");
        assert!(page.contains(said), "{query}: {said}");
        assert!(page.contains("If things go on as now"), "{query}");
    }
    assert_eq!(house.written(), before);
}

#[tokio::test]
async fn a_ration_in_hand_is_shared_out_and_written_down() {
    let house = House::demo();
    let page = house
        .get("/bins/2/ration?material=carrot&amount=20+g")
        .await
        .text;
    assert!(
        page.contains("Feed 20 g") && page.contains("All of it"),
        "{page}"
    );
    assert!(page.contains("I fed it: write it down"));
    let much = house
        .get("/bins/2/ration?material=carrot&amount=20+kg")
        .await
        .text;
    assert!(much.contains("That leaves"));
    let sour = house.get("/bins/1/ration").await.text;
    assert!(sour.contains("Do not feed yet") && sour.contains("turning sour"));
    for (query, said) in [
        ("material=zork", "is not in the tables"),
        ("amount=3+L", "Say which material"),
        ("material=carrot&amount=lots", "lots"),
        ("next_visit=400", "outside the allowed range"),
    ] {
        let page = house.get(&format!("/bins/2/ration?{query}")).await.text;
        assert!(
            page.contains("Look again:") && page.contains(said),
            "{query}"
        );
    }
}

#[tokio::test]
async fn an_absence_is_planned_between_two_days() {
    let house = House::demo();
    let empty = house.get("/bins/3/away").await.text;
    assert!(!empty.contains("Look again:") && !empty.contains("Be back by"));
    let page = house
        .get("/bins/3/away?from=2026-11-28&to=2026-12-20")
        .await
        .text;
    for said in [
        "Before you leave",
        "Be back by",
        "Give no lime",
        "Chance of new harm",
    ] {
        assert!(page.contains(said), "{said}");
    }
    for (query, said) in [
        ("from=&to=", "Say when you leave."),
        ("from=2026-11-28&to=2026-11-27", "not after leaving"),
        ("from=2027-11-28&to=2027-12-27", "nearer"),
        ("from=2026-11-28&to=2027-11-28", "Longer than"),
        ("from=2026-11-28&to=2026-12-05&place_celsius=900", "outside"),
    ] {
        let page = house.get(&format!("/bins/3/away?{query}")).await.text;
        assert!(
            page.contains("Look again:") && page.contains(said),
            "{query}"
        );
    }
}

#[tokio::test]
async fn heat_is_answered_by_the_hour() {
    let house = House::demo();
    let page = house
        .get("/bins/3/weather?weather=38,24%0A40,25&sun=part")
        .await
        .text;
    for said in [
        "What helps",
        "Hour by hour",
        "Where worms sit",
        "of ice",
        "<table",
    ] {
        assert!(page.contains(said), "{said}");
    }
    let mild = house.get("/bins/3/weather?weather=22,17").await.text;
    assert!(mild.contains("It stands this"));
    let wrong = house
        .get("/bins/3/weather?weather=38,24%0A99,abc")
        .await
        .text;
    assert!(wrong.contains("Look again:") && wrong.contains("Line 2"));
}

#[tokio::test]
async fn degrees_are_read_in_the_keepers_units() {
    let house = House::demo();
    house
        .post("/settings", &[("units", "us"), ("room_celsius", "20")])
        .await;
    let page = house
        .get("/bins/3/outlook?days=56&place_celsius=54")
        .await
        .text;
    assert!(page.contains("place at 54 °F."), "{page}");
    assert!(page.contains("°F"));
    let hot = house.get("/bins/3/weather?weather=72,62").await.text;
    assert!(hot.contains("It stands this"));
}

#[tokio::test]
async fn today_leads_to_what_is_to_be_done() {
    let house = House::demo();
    let page = house.get("/today").await.text;
    assert!(page.contains("Attic tub") && page.contains("plan a dose"));
    let empty = House::new().get("/today").await.text;
    assert!(empty.contains("Nothing needs doing"));
}

#[tokio::test]
async fn a_bin_nobody_filled_says_so_on_each_page() {
    let house = House::new();
    let bin = [
        ("kind", "bin"),
        ("name", "Hall box"),
        ("size", "own"),
        ("length", "50"),
        ("width", "30"),
        ("depth", "28"),
    ];
    assert_eq!(
        house.post("/bins/new", &bin).await.status,
        StatusCode::SEE_OTHER
    );
    for page in ["outlook", "ration", "away", "weather"] {
        let got = house.get(&format!("/bins/1/{page}")).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
        assert!(got.text.contains("Say what is in it"), "{page}");
        assert_eq!(
            house.get(&format!("/bins/9/{page}")).await.status,
            StatusCode::NOT_FOUND
        );
    }
    assert_eq!(house.get("/bins/1").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_weighed_ball_and_a_species_are_kept_through_a_correction() {
    let house = House::demo();
    let ball = [
        ("kind", "worm_count"),
        ("found", ""),
        ("grams", "80"),
        ("ball", "yes"),
    ];
    let got = house.post("/bins/3/log", &ball).await;
    assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
    let entry = house.last();
    let written = Log::WormCount {
        found: 0.0,
        litres_searched: None,
        grams: Some(80.0),
        ball: true,
    };
    assert_eq!(entry.body, written);
    let form = house.get(&format!("/bins/3/log/{}", entry.id.0)).await.text;
    assert!(form.contains("value=\"80\"") && form.contains("value=\"yes\" checked"));
    let when = ("when", "2026-11-20T10:00");
    let mut again = ball.to_vec();
    again.push(when);
    house
        .post(&format!("/bins/3/log/{}", entry.id.0), &again)
        .await;
    assert_eq!(last_correction(&house), written);

    let worms = [
        ("kind", "worms_in"),
        ("grams", "50"),
        ("species", "dendrobaena_veneta"),
    ];
    house.post("/bins/3/log", &worms).await;
    let entry = house.last();
    let Log::WormsIn { species, .. } = &entry.body else {
        panic!("{entry:?}")
    };
    assert_eq!(species, "dendrobaena_veneta");
    let form = house.get(&format!("/bins/3/log/{}", entry.id.0)).await.text;
    assert!(form.contains("value=\"dendrobaena_veneta\" selected"));
}

#[tokio::test]
async fn worms_never_named_stay_unnamed_when_their_weight_is_corrected() {
    let house = House::demo();
    let log = house.desk.store().entries(Some(BinId(3))).unwrap();
    let stocked = log
        .iter()
        .find(|e| matches!(e.body, Log::WormsIn { .. }))
        .unwrap();
    let fields = [
        ("kind", "worms_in"),
        ("grams", "210"),
        ("species", "eisenia_fetida"),
        ("when", "2026-07-25T10:00"),
    ];
    house
        .post(&format!("/bins/3/log/{}", stocked.id.0), &fields)
        .await;
    let kept = Log::WormsIn {
        grams: Some(210.0),
        count: None,
        species: String::new(),
    };
    assert_eq!(last_correction(&house), kept);
}

#[tokio::test]
async fn a_count_that_says_nothing_is_refused() {
    let house = House::demo();
    let before = house.written();
    for fields in [
        vec![("kind", "worm_count"), ("found", "")],
        vec![("kind", "worm_count"), ("found", "20"), ("ball", "yes")],
        vec![
            ("kind", "worm_count"),
            ("grams", "20"),
            ("ball", "yes"),
            ("litres", "2"),
        ],
        vec![("kind", "worms_in"), ("grams", "20"), ("species", "dragon")],
    ] {
        let got = house.post("/bins/3/log", &fields).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}");
        assert!(got.text.contains("Look again"), "{fields:?}");
    }
    assert_eq!(house.written(), before);
}
