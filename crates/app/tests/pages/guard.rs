//! What is kept out: other hosts, other sites' posts, too much at once, other
//! machines.

use super::*;

#[tokio::test]
async fn strange_hosts_are_refused() {
    for host in [
        "example.org",
        "127.0.0.1:1",
        "localhost.example:7878",
        "127.0.0.1",
    ] {
        let request = Request::get("/").header(header::HOST, host);
        let got = send(false, request.body(Body::empty()).unwrap()).await;
        assert_eq!(got.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
        assert!(got.headers.contains_key("content-security-policy"));
        assert!(got.text.contains("Back to the shelf"));
    }
    let got = send(false, Request::get("/").body(Body::empty()).unwrap()).await;
    assert_eq!(got.status, StatusCode::MISDIRECTED_REQUEST);
    for host in ["localhost:7878", "[::1]:7878"] {
        let request = Request::get("/").header(header::HOST, host);
        let got = send(false, request.body(Body::empty()).unwrap()).await;
        assert_eq!(got.status, StatusCode::OK, "{host}");
    }
}

#[tokio::test]
async fn posts_from_elsewhere_are_refused() {
    let cases: [&[(&str, &str)]; 5] = [
        &[("origin", "http://example.org")],
        &[("origin", "null")],
        &[("origin", "http://127.0.0.1:9999")],
        &[("sec-fetch-site", "cross-site")],
        &[
            ("sec-fetch-site", "same-site"),
            ("origin", "http://127.0.0.1:7878"),
        ],
    ];
    for case in cases {
        let mut request = posting("/bins/1/log", "");
        for (name, value) in case {
            request = request.header(*name, *value);
        }
        let got = send(false, request.body(Body::from("kind=note")).unwrap()).await;
        assert_eq!(got.status, StatusCode::FORBIDDEN, "{case:?}");
    }
    let request = posting("/bins/1/log", "")
        .body(Body::from("kind=note"))
        .unwrap();
    assert_eq!(send(false, request).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn inputs_are_bounded() {
    let long = format!("kind=note&text={}", "x".repeat(65 * 1024));
    assert_eq!(
        post("/bins/1/log", &long).await.status,
        StatusCode::PAYLOAD_TOO_LARGE
    );
    let many = "a=1&".repeat(300);
    assert_eq!(
        post("/bins/1/log", &many).await.status,
        StatusCode::PAYLOAD_TOO_LARGE
    );
    let request = Request::post("/bins/1/log")
        .header(header::HOST, HOST)
        .header(header::CONTENT_TYPE, "application/json")
        .body(Body::from("{}"))
        .unwrap();
    let got = send(false, request).await;
    assert!(got.status.is_client_error());
    assert!(got.text.contains("Back to the shelf"));
}

#[tokio::test]
async fn only_loopback_is_listened_on() {
    let error = listen("0.0.0.0:0".parse().unwrap()).await.unwrap_err();
    assert!(error.to_string().contains("loopback"), "{error}");
    let (_, address) = listen("127.0.0.1:0".parse().unwrap()).await.unwrap();
    assert!(address.port() > 0);
}

#[tokio::test]
async fn a_real_socket_answers() {
    use std::io::{Read, Write};
    let (listener, address) = listen("127.0.0.1:0".parse().unwrap()).await.unwrap();
    let serving = tokio::spawn(serve_on(
        Arc::new(Sample { empty: false }),
        listener,
        address,
    ));
    let ask = move |host: String| {
        let mut socket = std::net::TcpStream::connect(address).unwrap();
        let request = format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        socket.write_all(request.as_bytes()).unwrap();
        let mut text = String::new();
        socket.read_to_string(&mut text).unwrap();
        text
    };
    let answers = tokio::task::spawn_blocking(move || {
        (ask(address.to_string()), ask("example.org".to_owned()))
    });
    let (own, strange) = answers.await.unwrap();
    assert!(own.starts_with("HTTP/1.1 200"), "{own}");
    assert!(strange.starts_with("HTTP/1.1 421"), "{strange}");
    serving.abort();
}

/// An answer to a GET with headers as a browser sets them.
async fn asked_by(path: &str, site: &str, mode: &str, dest: &str) -> Got {
    let request = Request::get(path)
        .header(header::HOST, HOST)
        .header("sec-fetch-site", site)
        .header("sec-fetch-mode", mode)
        .header("sec-fetch-dest", dest);
    send(false, request.body(Body::empty()).unwrap()).await
}

#[tokio::test]
async fn another_site_begins_no_long_answer() {
    let long = [
        "/",
        "/bins/1",
        "/bins/1/outlook?days=365",
        "/today",
        "/judge?material1=x",
    ];
    for site in ["cross-site", "same-site", "\u{fe}"] {
        for path in long {
            for (mode, dest) in [("navigate", "document"), ("no-cors", "image")] {
                let got = asked_by(path, site, mode, dest).await;
                assert_eq!(got.status, StatusCode::FORBIDDEN, "{site} {path}");
                let place = path.split('?').next().unwrap();
                assert!(got.text.contains(&format!("href=\"{place}\"")), "{path}");
            }
        }
        for path in ["/shed", "/settings", "/bins/new", "/judge"] {
            let followed = asked_by(path, site, "navigate", "document").await;
            assert_eq!(followed.status, StatusCode::OK, "{site} {path}");
            let framed = asked_by(path, site, "navigate", "iframe").await;
            assert_eq!(framed.status, StatusCode::FORBIDDEN, "{site} {path}");
        }
        let saved = asked_by("/settings/backup", site, "navigate", "document").await;
        assert_eq!(saved.status, StatusCode::FORBIDDEN);
        let away = asked_by("//example.org/", site, "navigate", "document").await;
        assert!(!away.text.contains("example.org"), "{}", away.text);
    }
    for path in long {
        let typed = asked_by(path, "none", "navigate", "document").await;
        assert_eq!(typed.status, StatusCode::OK, "{path}");
    }
}

#[tokio::test]
async fn more_at_once_than_can_be_worked_out_is_told_to_come_again() {
    let site = Site {
        answers: Arc::new(Sample { empty: false }),
        port: Some(7878),
    };
    let router = router(site);
    let mut asked = tokio::task::JoinSet::new();
    for _ in 0..300 {
        asked.spawn(router.clone().oneshot(asking("/bins/1/outlook")));
    }
    let mut seen = std::collections::BTreeMap::new();
    while let Some(got) = asked.join_next().await {
        let status = got.unwrap().unwrap().status().as_u16();
        *seen.entry(status).or_insert(0) += 1;
    }
    assert!(seen[&200] >= 3 && seen[&503] >= 1, "{seen:?}");
    let after = router.oneshot(asking("/bins/1/outlook")).await.unwrap();
    assert_eq!(after.status(), StatusCode::OK);
}

#[tokio::test]
async fn a_form_refused_gives_back_what_was_typed() {
    let site = Site {
        answers: Arc::new(Sample { empty: false }),
        port: Some(7878),
    };
    let router = router(site);
    let mut asked = tokio::task::JoinSet::new();
    for _ in 0..300 {
        let form = "kind=note&once=0abc&text=It+smells+of+%3Csilage%3E%0D%0Aand+drips";
        let request = posting("/bins/1/log", "").body(Body::from(form)).unwrap();
        asked.spawn(router.clone().oneshot(request));
    }
    let mut busy = 0;
    while let Some(got) = asked.join_next().await {
        let got = got.unwrap().unwrap();
        if got.status() != StatusCode::SERVICE_UNAVAILABLE {
            continue;
        }
        busy += 1;
        let length = got.headers().get(header::CONTENT_LENGTH).cloned();
        let bytes = axum::body::to_bytes(got.into_body(), 1 << 20)
            .await
            .unwrap();
        if let Some(length) = length {
            assert_eq!(length.to_str().unwrap(), bytes.len().to_string());
        }
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        // To read and copy, and to send again under the same key.
        let shown = "It smells of &#60;silage&#62;\nand drips";
        assert_eq!(text.matches(shown).count(), 2, "{text}");
        assert!(text.contains("action=\"/bins/1/log\""), "{text}");
        assert!(text.contains("name=\"once\" value=\"0abc\""), "{text}");
        assert!(!text.contains("<dt>Once"), "{text}");
    }
    assert!(busy > 0);
    let long = format!("kind=note&text=start+{}&more=%C3", "x".repeat(65 * 1024));
    let long = post("/bins/1/log", &long).await;
    assert_eq!(long.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(long.text.contains("start xxx"), "what was typed is lost");
    // Cut off, it must not be sent again.
    assert!(!long.text.contains("name=\"text\""));
}

#[tokio::test]
async fn what_is_too_large_is_told_how_large_it_may_be() {
    let long = format!("kind=note&text={}", "x".repeat(65 * 1024));
    let form = post("/bins/1/log", &long).await;
    assert!(form.text.contains("64 KB"), "{}", form.text);
    for (path, command) in [
        ("/settings/restore", "bedwright restore FILE"),
        ("/settings/import", "bedwright import FILE"),
    ] {
        let request = Request::post(path)
            .header(header::HOST, HOST)
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=cut")
            .body(Body::from(vec![b'x'; 21 << 20]))
            .unwrap();
        let got = send(false, request).await;
        assert_eq!(got.status, StatusCode::PAYLOAD_TOO_LARGE);
        assert!(got.text.contains("20 MB"), "{}", got.text);
        let shown = app::report::quoted(&format!("`{command}`"));
        assert!(got.text.contains(&shown), "{}", got.text);
    }
}

#[tokio::test]
async fn another_site_known_by_its_origin_alone_is_refused() {
    for (origin, want) in [
        ("http://example.org", StatusCode::FORBIDDEN),
        ("null", StatusCode::FORBIDDEN),
        ("http://127.0.0.1:7878", StatusCode::OK),
    ] {
        for path in ["/settings/backup", "/bins/1/outlook?days=365"] {
            let request = asking_of(path).header(header::ORIGIN, origin);
            let got = send(false, request.body(Body::empty()).unwrap()).await;
            assert_eq!(got.status, want, "{origin} {path}");
        }
    }
}

fn asking_of(path: &str) -> axum::http::request::Builder {
    Request::get(path).header(header::HOST, HOST)
}
