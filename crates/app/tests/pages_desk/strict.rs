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
    assert_eq!(&*text, "one\ntwo");
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
        format!("/bins/new?material1={sent}&amount1={sent}"),
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

#[tokio::test]
async fn a_field_nobody_reads_is_refused_by_name_at_every_form() {
    let house = House::with_bin().await;
    let jars = [
        ("material", "limestone_calcitic"),
        ("wet", "100"),
        ("hours", "48"),
        ("instrument", "good_pen"),
        ("grams1", "0"),
        ("ph1", "5.0"),
        ("grams2", "2"),
        ("ph2", "5.6"),
    ];
    let tray = [
        ("kind", "tray_test"),
        ("worms", "20"),
        ("in_suspect", "9"),
        ("in_trusted", "11"),
        ("dead", "0"),
        ("hours", "48"),
    ];
    let forms: [(&str, &[(&str, &str)]); 5] = [
        ("/settings", &[("units", "us"), ("room_celsius", "20")]),
        ("/shed/limestone_calcitic", &[("have", "yes")]),
        ("/shed/vinegar", &[("quick", "1")]),
        ("/bins/1/jar-test", &jars),
        ("/bins/1/log", &tray),
    ];
    for (path, fields) in forms {
        for stray in ["unts", "when", "grams9", "have "] {
            let fields = [fields, &[(stray, "1")]].concat();
            let before = house.written();
            let got = house.post(path, &fields).await;
            assert_eq!(
                got.status,
                StatusCode::UNPROCESSABLE_ENTITY,
                "{path} {stray}"
            );
            let said = app::report::quoted(&format!("`{stray}` is not a field"));
            assert!(got.text.contains(&said), "{path} {stray} {}", got.text);
            assert_eq!(house.written(), before, "{path} {stray}");
        }
        let got = house.post(path, fields).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{path} {}", got.text);
    }
}

#[tokio::test]
async fn an_address_that_asks_what_its_page_does_not_take_is_refused_by_name() {
    let house = House::with_bin().await;
    for path in [
        "/",
        "/today",
        "/bins/new",
        "/bins/1",
        "/bins/1/log/1",
        "/bins/1/dose",
        "/bins/1/jar-test",
        "/bins/1/outlook",
        "/bins/1/ration",
        "/bins/1/away",
        "/bins/1/weather",
        "/judge",
        "/tray-test",
        "/shed",
        "/shed/coir_pith",
        "/settings",
        "/settings/log.csv",
    ] {
        assert_eq!(house.get(path).await.status, StatusCode::OK, "{path}");
        let got = house.get(&format!("{path}?unts=us")).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
        let said = app::report::quoted("`unts` is not a field of this page.");
        assert!(got.text.contains(&said), "{path} {}", got.text);
    }
    let posted = house
        .post("/bins/1/log?kind=note", &[("kind", "note"), ("text", "a")])
        .await;
    assert_eq!(posted.status, StatusCode::UNPROCESSABLE_ENTITY);
    for path in [
        "/judge?material7=coir",
        "/bins/new?amount5=2+L",
        "/judge?ph=6",
    ] {
        let got = house.get(path).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
    }
}

/// Every link and every form of a shelf in use, as the pages write them.
#[tokio::test]
async fn what_the_pages_themselves_ask_is_known_to_them() {
    let house = House::demo();
    let mut seen = std::collections::BTreeSet::new();
    let mut ahead = vec!["/".to_owned()];
    ahead.push("/judge?material1=coir_pith&amount1=20+L&ph1=6&label1=as_named".into());
    ahead.push("/bins/1/outlook?days=14&feed=2".into());
    ahead.push("/bins/3/dose?target=6.5".into());
    ahead.push("/tray-test?worms=20&in_suspect=9&in_trusted=11&dead=0&hours=48".into());
    while let Some(path) = ahead.pop() {
        let of_one_kind = path.starts_with("/shed/") || path.contains("/log/");
        if !seen.insert(path.clone()) || (of_one_kind && seen.len() % 16 != 0) {
            continue;
        }
        let got = house.get(&path).await;
        assert!(got.status.is_success(), "{path} {}", got.status);
        for mark in ["href=\"", "action=\""] {
            // What stands before the first mark is no address.
            for rest in got.text.split(mark).skip(1) {
                let link = rest.split(['"', '#']).next().unwrap();
                let link = link.replace("&amp;", "&").replace("&#38;", "&");
                let kept = ["/static/", "/settings/", "/demo"];
                let leads_here = link.starts_with('/') && !kept.iter().any(|k| link.starts_with(k));
                if leads_here && !link.ends_with("/log") {
                    ahead.push(link);
                }
            }
        }
        if seen.len() > 90 {
            break;
        }
    }
    assert!(seen.len() > 40, "only {} addresses", seen.len());
}

#[tokio::test]
async fn a_question_at_fault_is_answered_as_a_form_at_fault_is() {
    let house = House::with_bin().await;
    for path in [
        "/judge?material1=nosuchthing&amount1=20+L",
        "/judge?material1=&amount1=",
        "/tray-test?worms=2.5&in_suspect=1&in_trusted=1&hours=48",
        "/bins/1/ration?material=apple&amount=lots",
        "/bins/1/ration?next_visit=900",
        "/bins/1/ration?prepared=fried",
        "/bins/1/outlook?feed=99",
        "/bins/1/outlook?days=14&place_celsius=900",
        "/bins/1/away?from=2026-12-20&to=2026-12-01",
        "/bins/1/weather?weather=1e1,4",
        "/bins/1/weather?weather=12,NaN",
        "/bins/1/weather?weather=36,22&sun=much",
        "/bins/1/dose?amount=lots",
        "/bins/1/dose?target=11",
    ] {
        let got = house.get(path).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{path}");
    }
    for path in [
        "/judge?material1=coir&amount1=20+L",
        "/bins/1/ration",
        "/bins/1/away",
    ] {
        assert_eq!(house.get(path).await.status, StatusCode::OK, "{path}");
    }
}
