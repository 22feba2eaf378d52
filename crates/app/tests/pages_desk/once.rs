//! A form sent twice writes once, and says so.

use super::front_door::{GOOD_BIN, House, bin_with};
use axum::http::StatusCode;

/// The one-time key of the form on a page that is sent to `action`, the n-th.
fn key_of(page: &str, action: &str, n: usize) -> String {
    let from = page
        .match_indices(&format!("action=\"{action}\""))
        .nth(n)
        .unwrap_or_else(|| panic!("no form {n} for {action}"))
        .0;
    let (_, after) = page[from..].split_once("name=\"once\" value=\"").unwrap();
    let key = after.split_once('"').unwrap().0;
    assert_eq!(key.len(), 32, "{key}");
    key.to_owned()
}

const FED: [(&str, &str); 3] = [
    ("kind", "feeding"),
    ("material", "apple"),
    ("amount", "200 g"),
];

fn with<'a>(
    fields: &[(&'a str, &'a str)],
    name: &'a str,
    value: &'a str,
) -> Vec<(&'a str, &'a str)> {
    let mut list = fields.to_vec();
    list.retain(|(n, _)| *n != name);
    list.push((name, value));
    list
}

#[tokio::test]
async fn the_same_form_sent_twice_is_one_entry() {
    let house = House::with_bin().await;
    let page = house.get("/bins/1").await.text;
    let key = key_of(&page, "/bins/1/log", 2);
    assert_ne!(
        key,
        key_of(&page, "/bins/1/log", 3),
        "two forms share a key"
    );
    assert_ne!(
        key,
        key_of(&house.get("/bins/1").await.text, "/bins/1/log", 2)
    );
    let form = with(&FED, "once", &key);
    house
        .takes("/bins/1/log", &form, "/bins/1?said=logged")
        .await;
    let (count, id) = (house.written(), house.last().id.0);
    for _ in 0..2 {
        let got = house.post("/bins/1/log", &form).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER);
        assert_eq!(got.location, format!("/bins/1?said=already&entry={id}"));
        let told = house.get(&got.location).await.text;
        assert!(told.contains(&format!("Written before, as entry {id} on")));
        assert!(told.contains("Nothing was written twice."));
    }
    assert_eq!(house.written(), count);
    let told = house.get("/bins/1?said=already&entry=999").await.text;
    assert!(!told.contains("Written before"));
}

#[tokio::test]
async fn sent_at_once_from_many_sides_it_is_one_entry() {
    let house = std::sync::Arc::new(House::with_bin().await);
    let before = house.written();
    let mut all = tokio::task::JoinSet::new();
    for _ in 0..8 {
        let house = std::sync::Arc::clone(&house);
        all.spawn(async move {
            let form = with(&FED, "once", "0123456789abcdef0123456789abcdef");
            house.post("/bins/1/log", &form).await.status
        });
    }
    while let Some(status) = all.join_next().await {
        assert_eq!(status.unwrap(), StatusCode::SEE_OTHER);
    }
    assert_eq!(house.written(), before + 1);
}

#[tokio::test]
async fn a_form_changed_after_it_was_sent_writes_nothing_by_itself() {
    let house = House::with_bin().await;
    let key = key_of(&house.get("/bins/1").await.text, "/bins/1/log", 2);
    let form = with(&FED, "once", &key);
    house
        .takes("/bins/1/log", &form, "/bins/1?said=logged")
        .await;
    let id = house.last().id.0;
    let edited = with(&form, "amount", "300 g");
    let asked = house
        .refuses("/bins/1/log", &edited, "This form was sent before")
        .await;
    assert!(asked.text.contains(&format!("It wrote entry {id} on")));
    assert!(asked.text.contains("200 g of"), "{}", asked.text);
    assert!(asked.text.contains(&format!("href=\"/bins/1/log/{id}\"")));
    assert!(asked.text.contains("value=\"300 g\""));
    // What is offered as a new entry has a key of its own.
    let fresh = key_of(&asked.text, "/bins/1/log", 0);
    assert_ne!(fresh, key);
    let anew = with(&edited, "once", &fresh);
    house
        .takes("/bins/1/log", &anew, "/bins/1?said=logged")
        .await;
    let before = house.written();
    house.post("/bins/1/log", &anew).await;
    assert_eq!(house.written(), before);
}

#[tokio::test]
async fn a_question_keeps_the_key_of_its_form() {
    let house = House::with_bin().await;
    let key = key_of(&house.get("/bins/1").await.text, "/bins/1/log", 0);
    let hot = [
        ("kind", "reading"),
        ("what", "bedding_celsius"),
        ("spots", "70"),
        ("once", key.as_str()),
    ];
    let asked = house
        .refuses("/bins/1/log", &hot, "Nothing has been written yet")
        .await;
    assert_eq!(
        asked
            .text
            .matches(&format!("name=\"once\" value=\"{key}\""))
            .count(),
        2
    );
    let kept = with(&hot, "confirmed", "yes");
    house
        .takes("/bins/1/log", &kept, "/bins/1?said=logged")
        .await;
    let before = house.written();
    // Back, and the question answered again; back twice, and the form sent again.
    for form in [&kept[..], &hot[..]] {
        let got = house.post("/bins/1/log", form).await;
        assert!(got.location.contains("said=already"), "{}", got.text);
    }
    // Back to the question, and the other way out of it taken.
    let mended = with(&hot, "spots", "17");
    house
        .refuses("/bins/1/log", &mended, "This form was sent before")
        .await;
    assert_eq!(house.written(), before);
}

#[tokio::test]
async fn every_form_that_writes_has_a_key() {
    let house = House::with_bin().await;
    let fed = house.post("/bins/1/log", &FED).await;
    assert_eq!(fed.status, StatusCode::SEE_OTHER);
    let id = house.last().id.0;
    // An acid bed, so that the dose page has something to write down.
    let acid = [
        ("kind", "reading"),
        ("what", "ph"),
        ("spots", "4.6 4.7"),
        ("instrument", "good_pen"),
        ("place", "spread"),
        ("confirmed", "yes"),
    ];
    let read = house.post("/bins/1/log", &acid).await;
    assert_eq!(read.status, StatusCode::SEE_OTHER, "{}", read.text);
    let tray = "/tray-test?worms=20&in_suspect=10&in_trusted=10&dead=0&hours=24";
    for path in [
        "/bins/1",
        "/bins/new",
        &format!("/bins/1/log/{id}"),
        "/bins/1/jar-test",
        tray,
        "/bins/1/dose",
        "/shed/limestone_calcitic",
        "/settings",
    ] {
        let page = house.get(path).await.text;
        let mut writing = 0;
        // What stands before the first form is none.
        for form in page.split("<form").skip(1) {
            let (form, _) = form.split_once("</form>").unwrap();
            if form.contains("method=\"post\"") && !form.contains("multipart") {
                assert!(form.contains("name=\"once\""), "{path}: {form}");
                writing += 1;
            }
        }
        assert!(writing > 0, "no form of {path} writes");
    }
}

#[tokio::test]
async fn the_other_forms_write_once_too() {
    let house = House::with_bin().await;
    let key = |n: u32| format!("{n:032x}");
    house.post("/bins/1/log", &FED).await;
    let id = house.last().id.0;
    let jars = [
        ("kind", "jar_test"),
        ("material", "limestone_calcitic"),
        ("wet", "500"),
        ("hours", "168"),
        ("instrument", "good_pen"),
        ("grams1", "0"),
        ("ph1", "5.0"),
        ("grams2", "2"),
        ("ph2", "5.6"),
        ("grams3", "5"),
        ("ph3", "6.4"),
    ];
    let tray = [
        ("kind", "tray_test"),
        ("worms", "20"),
        ("in_suspect", "10"),
        ("in_trusted", "10"),
        ("dead", "0"),
        ("hours", "24"),
    ];
    let own = [("have", "yes"), ("available", "2 kg")];
    let (quick, strike) = ([("quick", "1")], [("strike", "yes")]);
    let correction = with(&FED, "amount", "250 g");
    let cases: [(&str, &[(&str, &str)]); 7] = [
        ("/bins/new", &bin_with("name", "Stair box")),
        ("/bins/1/jar-test", &jars),
        ("/bins/1/log", &tray),
        ("/shed/limestone_calcitic", &own),
        ("/shed/dolomite", &quick),
        (&format!("/bins/1/log/{id}"), &correction),
        (&format!("/bins/1/log/{}", id + 4), &strike),
    ];
    for (n, (path, fields)) in (1..).zip(cases) {
        let key = key(n);
        let fields = with(fields, "once", &key);
        let first = house.post(path, &fields).await;
        assert_eq!(first.status, StatusCode::SEE_OTHER, "{path} {}", first.text);
        let before = house.written();
        let again = house.post(path, &fields).await;
        assert_eq!(again.status, StatusCode::SEE_OTHER, "{path} {}", again.text);
        assert!(
            again.location.contains("said=already&entry="),
            "{path} {}",
            again.location
        );
        assert_eq!(house.written(), before, "{path}");
        let told = house.get(&again.location).await.text;
        assert!(
            told.contains("Nothing was written twice."),
            "{path} {}",
            again.location
        );
    }
    let first_key = key(1);
    // A second bin under the key of the first, with another name.
    let other = with(&bin_with("name", "Attic box"), "once", &first_key);
    house
        .refuses("/bins/new", &other, "This form was sent before")
        .await;
}

#[tokio::test]
async fn the_same_without_a_key_within_a_minute_is_asked_about() {
    let house = House::with_bin().await;
    house
        .takes("/bins/1/log", &FED, "/bins/1?said=logged")
        .await;
    let asked = house
        .refuses("/bins/1/log", &FED, "Did this happen twice?")
        .await;
    assert!(
        asked.text.contains("within the last minute"),
        "{}",
        asked.text
    );
    let kept = with(&FED, "confirmed", "yes");
    house
        .takes("/bins/1/log", &kept, "/bins/1?said=logged")
        .await;
    house
        .refuses("/bins/new", &GOOD_BIN, "Did this happen twice?")
        .await;
    let earlier = with(&FED, "when", "2026-11-24T12:00");
    house
        .takes("/bins/1/log", &earlier, "/bins/1?said=logged")
        .await;
}

#[tokio::test]
async fn the_same_from_a_second_tab_within_a_minute_is_asked_about() {
    let house = House::with_bin().await;
    let keys = [1, 2, 3].map(|n: u32| format!("{n:032x}"));
    let [first, second, third] = keys.each_ref().map(|k| with(&FED, "once", k));
    house
        .takes("/bins/1/log", &first, "/bins/1?said=logged")
        .await;
    let before = house.written();
    for form in [&second, &third] {
        house
            .refuses("/bins/1/log", form, "Did this happen twice?")
            .await;
    }
    // What the first form wrote is known by its key, not asked about.
    let again = house.post("/bins/1/log", &first).await;
    assert!(again.location.contains("said=already"), "{}", again.text);
    let bin = with(&GOOD_BIN, "once", &keys[1]);
    house
        .refuses("/bins/new", &bin, "Did this happen twice?")
        .await;
    assert_eq!(house.written(), before);
    let kept = with(&second, "confirmed", "yes");
    house
        .takes("/bins/1/log", &kept, "/bins/1?said=logged")
        .await;
    assert_eq!(house.written(), before + 1);
}
