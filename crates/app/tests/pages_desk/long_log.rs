//! A long log is shown in parts: a page of it does not grow with it.

use super::front_door::House;
use engine::log::{BinId, Body};
use store::New;

#[tokio::test]
async fn a_long_log_is_shown_in_pages_and_a_long_entry_cut() {
    let house = House::with_bin().await;
    let first = house.last();
    let note = |n: i64| {
        let text = format!("note {n}. {}", "wörter ".repeat(1200)).into();
        New::at(
            first.at_unix_seconds + n,
            first.zone.clone(),
            Body::Note { text },
        )
        .about(Some(BinId(1)))
    };
    for n in 1..=450 {
        house.desk.store().append(note(n)).unwrap();
    }
    let has = |page: &str, n: i64| page.contains(&format!("note {n}. "));
    let newest = house.get("/bins/1").await.text;
    assert!(newest.len() < 600_000, "{}", newest.len());
    assert!(has(&newest, 450) && has(&newest, 251) && !has(&newest, 250));
    let entries = house.desk.bin(BinId(1)).unwrap().written.len();
    let older = format!("Older entries: {}", entries - 200);
    assert!(newest.contains(&older) && !newest.contains("Newer entries"));
    assert!(newest.contains(r#"href="/bins/1?log_from=200#log""#));
    let middle = house.get("/bins/1?log_from=200").await.text;
    assert!(has(&middle, 250) && has(&middle, 51) && !has(&middle, 251) && !has(&middle, 50));
    assert!(middle.contains("Newer entries: 200"));
    assert!(middle.contains(r#"href="/bins/1?log_from=0#log""#));
    let oldest = house.get("/bins/1?log_from=400").await.text;
    assert!(has(&oldest, 50) && has(&oldest, 1) && !oldest.contains("Older entries"));
    for n in 1..=450 {
        let on = [&newest, &middle, &oldest].map(|page| has(page, n));
        assert_eq!(on.iter().filter(|is| **is).count(), 1, "{n}");
    }
    // What is no place in the log is its beginning.
    for odd in ["451000", "-1", "x", "99999999999999999999999"] {
        let page = house.get(&format!("/bins/1?log_from={odd}")).await.text;
        assert!(has(&page, 450), "{odd}");
    }
    // The whole is on the page of the entry.
    let id = house.last().id.0;
    let address = format!("/bins/1/log/{id}");
    assert!(newest.contains(&format!(r#"<a href="{address}">Read it whole"#)));
    let whole = house.get(&address).await.text;
    assert!(whole.contains("wörter ".repeat(1200).trim_end()));
    assert!(!newest.contains(&"wörter ".repeat(90)));
}
