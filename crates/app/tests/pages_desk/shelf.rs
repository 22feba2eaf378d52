//! The shelf and the demo on it.

use super::front_door::House;
use app::demo;
use axum::http::StatusCode;
use engine::log::BinId;

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
    // Months old and well fed: about half of it is castings, and no harvest is
    // told of yet.
    for page in &pages[1..3] {
        assert!(page.contains("Castings") && !page.contains("Harvest castings"));
    }
    // Drowned in melon and brought back.
    assert!(pages[1].contains("standing liquid") && pages[1].contains("worms plump"));
    // Young: worms in for three weeks, its pH never read.
    assert!(
        pages[3].contains("Take a first pH reading") && pages[3].contains("no worms out at night")
    );
    for page in &pages {
        assert!(page.contains("To move it by one pH unit") && page.contains("of lime"));
        assert!(page.contains("if things go on as now"), "no look ahead");
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
async fn the_demo_is_offered_only_where_it_opens() {
    let house = House::new();
    assert!(house.get("/").await.text.contains(r#"action="/demo""#));
    demo::open(&house.desk, None).unwrap();
    demo::put_away(&house.desk, None).unwrap();
    let shelf = house.get("/").await.text;
    assert!(shelf.contains("No bins yet") && !shelf.contains(r#"action="/demo""#));
}
