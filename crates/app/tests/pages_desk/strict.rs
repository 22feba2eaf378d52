//! Nothing sent is put right in silence, and nothing shown moves a cursor.

use super::front_door::House;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};

async fn raw(house: &House, body: &'static [u8]) -> super::front_door::Got {
    let request = Request::post("/bins/1/log")
        .header(header::HOST, "127.0.0.1:7878")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    house.send(request.body(Body::from(body)).unwrap()).await
}

#[tokio::test]
async fn what_is_no_text_or_comes_twice_is_refused() {
    let house = House::with_bin().await;
    let before = house.written();
    for body in [
        &b"kind=note&text=%FF"[..],
        b"kind=note&text=\xff",
        b"kind=note&text=50%",
        b"kind=note&text=a&text=b",
        b"kind=note&kind=note&text=a",
    ] {
        let got = raw(&house, body).await;
        assert_eq!(got.status, StatusCode::BAD_REQUEST, "{body:?}");
        assert!(got.text.contains("Nothing was written."));
    }
    for path in [
        "/shed?q=%FF",
        "/shed?q=a&q=b",
        "/bins/1/outlook?days=14&days=56",
    ] {
        assert_eq!(
            house.get(path).await.status,
            StatusCode::BAD_REQUEST,
            "{path}"
        );
    }
    assert_eq!(house.written(), before);
    // What a browser makes of lines in a box is what was typed.
    let got = raw(&house, b"kind=note&text=one%0D%0Atwo").await;
    assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
    let engine::log::Body::Note { text } = house.last().body else {
        panic!("no note");
    };
    assert_eq!(text, "one\ntwo");
}

#[tokio::test]
async fn choices_and_fields_nobody_offered_are_refused() {
    let house = House::with_bin().await;
    let water = [("kind", "water"), ("amount", "1 L")];
    let bad: [&[(&str, &str)]; 8] = [
        &[("soft", "maybe")],
        &[("soft", "YES")],
        &[("amuont", "2 L")],
        &[("material", "apple")],
        &[("when ", "2026-11-24T12:00")],
        &[("which_time", "noon")],
        &[("confirmed", "perhaps")],
        &[("spots", "7")],
    ];
    for more in bad {
        let fields = [&water[..], more].concat();
        let before = house.written();
        let got = house.post("/bins/1/log", &fields).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{more:?}");
        assert_eq!(house.written(), before, "{more:?}");
    }
    let mut bin = super::front_door::GOOD_BIN.to_vec();
    for (name, value) in [
        ("drains", "some"),
        ("size", "huge"),
        ("walls", "glass"),
        ("lid", "x"),
    ] {
        let kept = bin.clone();
        bin.retain(|(n, _)| *n != name);
        bin.push((name, value));
        let before = house.written();
        let got = house.post("/bins/new", &bin).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        assert_eq!(house.written(), before, "{name}");
        bin = kept;
    }
    for (path, said) in [
        ("/bins/1/outlook?water=lots", "is not on it"),
        ("/bins/1/weather?weather=36,22&sun=much", "is not on it"),
        ("/bins/1/weather?weather=36,22&help=prayer", "is not on it"),
    ] {
        let page = house.get(path).await.text;
        assert!(page.contains(said), "{path}");
    }
}

#[tokio::test]
async fn odd_numbers_are_refused() {
    let house = House::with_bin().await;
    for odd in ["1,500", "1e3", "0x10", "١٢", "nan", "inf", "1_000", "--5"] {
        let worms = [("kind", "worms_in"), ("grams", odd)];
        let before = house.written();
        let got = house.post("/bins/1/log", &worms).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{odd}");
        assert_eq!(house.written(), before, "{odd}");
    }
}

#[tokio::test]
async fn no_page_is_given_what_moves_a_cursor_or_turns_letters() {
    let house = House::with_bin().await;
    let hostile = "\u{1b}[2J\u{7}\u{202e}evil\u{2066}\u{85}\0";
    let sent = super::front_door::encoded(hostile);
    for path in [
        format!("/shed?q={sent}"),
        format!("/bins/new?name={sent}&material1={sent}&amount1={sent}"),
        format!("/judge?material1={sent}&amount1={sent}"),
        format!("/bins/1/ration?material={sent}&amount={sent}"),
    ] {
        let page = house.get(&path).await.text;
        assert!(!page.contains(app::shown::is_hidden), "{path}");
        assert!(page.contains("‹U+001B›"), "{path}");
    }
    let note = [
        ("kind", "feeding"),
        ("material", hostile),
        ("amount", hostile),
    ];
    let page = house.post("/bins/1/log", &note).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!page.text.contains(app::shown::is_hidden));
}
