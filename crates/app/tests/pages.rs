//! The pages in memory: every one is reachable, well-formed, guarded, and its
//! links lead somewhere.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

#[path = "pages/guard.rs"]
mod guard;
#[path = "pages/sample.rs"]
mod sample;

use app::web::{Site, listen, router, serve_on};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use sample::Sample;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Arc;
use tower::ServiceExt;

const HOST: &str = "127.0.0.1:7878";

/// Every page, by an address that shows it.
const PAGES: [(&str, &str); 34] = [
    ("shelf", "/"),
    ("bin", "/bins/1"),
    ("bin_reading", "/bins/1?open=reading&said=logged"),
    ("bin_looks", "/bins/1?open=observation"),
    ("bin_dose", "/bins/1?open=dose"),
    ("add_bin", "/bins/new"),
    ("correct", "/bins/1/log/9"),
    ("judge", "/judge"),
    (
        "judged",
        "/judge?material1=Peat%2C+unlimed&amount1=40+L&material2=Newspaper&amount2=10+L",
    ),
    ("dose", "/bins/1/dose"),
    ("what_if", "/bins/1/dose/what-if?amount=60"),
    ("jar_test", "/bins/1/jar-test"),
    ("jar_test_blank", "/bins/2/jar-test"),
    ("tray_test", "/tray-test"),
    ("tray_read", "/tray-test?in_suspect=4"),
    ("shed", "/shed"),
    ("shed_none", "/shed?q=zzz"),
    ("material", "/shed/peat_sphagnum_unlimed"),
    ("settings", "/settings"),
    ("damage", "/settings/damage"),
    ("bin_2", "/bins/2"),
    ("shed_role", "/shed?role=bedding"),
    ("outlook", "/bins/1/outlook"),
    ("outlook_short", "/bins/1/outlook?days=14"),
    (
        "outlook_if",
        "/bins/1/outlook?days=365&feed=2&away_from=2026-12-20",
    ),
    (
        "ration",
        "/bins/1/ration?material=Kitchen+scraps&amount=1+kg",
    ),
    ("ration_blank", "/bins/1/ration"),
    ("ration_wrong", "/bins/1/ration?material=x&amount=lots"),
    ("away", "/bins/1/away?from=2026-12-12&to=2027-01-09"),
    ("away_blank", "/bins/1/away"),
    (
        "weather",
        "/bins/1/weather?weather=2026-07-03%2C36%2C22&sun=full",
    ),
    ("weather_blank", "/bins/1/weather"),
    ("today", "/today"),
    ("half_year", "/bins/1/outlook?days=182"),
];

struct Got {
    status: StatusCode,
    headers: axum::http::HeaderMap,
    text: String,
}

async fn send(empty: bool, request: Request<Body>) -> Got {
    let site = Site {
        answers: Arc::new(Sample { empty }),
        port: Some(7878),
    };
    let response = router(site).oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let bytes = to_bytes(body, 64 << 20).await.unwrap();
    Got {
        status: parts.status,
        headers: parts.headers,
        text: String::from_utf8_lossy(&bytes).into_owned(),
    }
}

fn asking(path: &str) -> Request<Body> {
    Request::get(path)
        .header(header::HOST, HOST)
        .body(Body::empty())
        .unwrap()
}

fn posting(path: &str, body: impl Into<Body>) -> axum::http::request::Builder {
    let _ = body.into();
    Request::post(path)
        .header(header::HOST, HOST)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
}

async fn get(path: &str) -> Got {
    send(false, asking(path)).await
}

async fn post(path: &str, body: &str) -> Got {
    let request = posting(path, "")
        .header(header::ORIGIN, format!("http://{HOST}"))
        .header("sec-fetch-site", "same-origin")
        .body(Body::from(body.to_owned()))
        .unwrap();
    send(false, request).await
}

fn attributes(html: &str, name: &str) -> Vec<String> {
    let mark = format!(" {name}=\"");
    html.match_indices(&mark)
        .map(|(i, _)| &html[i + mark.len()..])
        .filter_map(|rest| rest.split('"').next())
        .map(|v| v.replace("&amp;", "&").replace("&#38;", "&"))
        .collect()
}

#[tokio::test]
async fn every_page_shows_and_its_links_lead_somewhere() {
    let mut links = BTreeSet::new();
    for (name, path) in PAGES {
        let got = get(path).await;
        let due = if name == "ration_wrong" {
            StatusCode::UNPROCESSABLE_ENTITY
        } else {
            StatusCode::OK
        };
        assert_eq!(got.status, due, "{name}");
        assert!(!got.text.contains("NaN"), "{name}");
        if name != "what_if" {
            assert!(got.text.contains("<h1>"), "{name} has a heading");
            assert!(got.text.contains("class=\"skip\""), "{name}");
        }
        links.extend(attributes(&got.text, "href"));
        links.extend(attributes(&got.text, "src"));
    }
    let mut followed = 0;
    for link in links {
        if link.starts_with('#') {
            continue;
        }
        assert!(link.starts_with('/'), "{link} leads off this machine");
        let got = get(&link).await;
        assert_eq!(got.status, StatusCode::OK, "{link}");
        followed += 1;
    }
    assert!(followed > 20, "only {followed} links");
}

#[tokio::test]
async fn no_page_needs_what_the_policy_forbids() {
    for (name, path) in PAGES {
        let got = get(path).await;
        let policy = got.headers["content-security-policy"].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none';"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        for banned in [
            " style=\"",
            "<style",
            " onclick=",
            "javascript:",
            "http://",
            "https://",
        ] {
            let text = got.text.replace("http://www.w3.org/2000/svg", "");
            assert!(!text.contains(banned), "{name} holds {banned}");
        }
    }
}

#[tokio::test]
async fn labels_ids_and_descriptions_fit_together() {
    for (name, path) in PAGES {
        let html = get(path).await.text;
        let ids = attributes(&html, "id");
        let unique: BTreeSet<&String> = ids.iter().collect();
        assert_eq!(
            ids.len(),
            unique.len(),
            "{name} repeats an id: {:?}",
            repeated(&ids)
        );
        for kind in ["for", "aria-describedby", "aria-labelledby", "list"] {
            for value in attributes(&html, kind) {
                for id in value.split(' ') {
                    assert!(unique.contains(&id.to_owned()), "{name}: {kind} {id}");
                }
            }
        }
        for link in attributes(&html, "href") {
            if let Some(id) = link.strip_prefix('#') {
                assert!(unique.contains(&id.to_owned()), "{name}: #{id}");
            }
        }
    }
}

fn repeated(ids: &[String]) -> Vec<&String> {
    let mut seen = BTreeSet::new();
    ids.iter().filter(|id| !seen.insert(*id)).collect()
}

#[tokio::test]
async fn every_template_is_shown_by_some_page() {
    let mut all = String::new();
    for (_, path) in PAGES {
        all.push_str(&get(path).await.text);
    }
    all.push_str(&get("/nowhere").await.text);
    all.push_str(&post("/bins/1/log", "kind=reading&spots=7.0").await.text);
    all.push_str(&send(true, asking("/")).await.text);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates");
    for file in fs::read_dir(folder).unwrap() {
        let file = file.unwrap().path();
        if file.extension().is_none_or(|e| e != "html") || file.ends_with("base.html") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let own = text
            .lines()
            .flat_map(|l| l.split("{{").next())
            .find(|l| {
                l.starts_with("<h1>") && l.len() > 6
                    || l.starts_with("<ul class=\"w")
                    || l.starts_with("<p class=\"number")
            })
            .or_else(|| {
                text.lines()
                    .find(|l| l.starts_with("<section") && !l.contains("{{"))
            })
            .unwrap_or_else(|| panic!("{} has no line to know it by", file.display()));
        let own = own.split("{%").next().unwrap();
        assert!(
            all.contains(own),
            "{} is shown by no page: {own}",
            file.display()
        );
    }
}

#[tokio::test]
async fn post_leads_to_a_get_and_mistakes_keep_what_was_typed() {
    let done = post("/bins/1/log", "kind=reading&spots=5.4").await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert_eq!(done.headers[header::LOCATION], "/bins/1?said=logged");
    let wrong = post("/bins/1/log", "kind=reading&spots=56&place=edge").await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.text.contains("value=\"56\""));
    assert!(wrong.text.contains("allowed range 0 to 14"));
    assert!(wrong.text.contains("value=\"edge\" checked"));
    let asked = post("/bins/1/log", "kind=reading&spots=7.0").await;
    assert!(asked.text.contains("It is right, keep it"));
    assert!(asked.text.contains("name=\"spots\" value=\"7.0\""));
    let kept = post("/bins/1/log", "kind=reading&spots=7.0&confirmed=yes").await;
    assert_eq!(kept.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn what_was_typed_is_shown_as_text() {
    let got = get("/shed?q=%22%3E%3Cscript%3Ealert(1)%3C%2Fscript%3E").await;
    assert!(!got.text.contains("<script>alert"));
    let got = get("/bins/1?said=%3Cb%3Ehello").await;
    assert!(!got.text.contains("hello"));
}

fn file_form(content: &[u8]) -> Vec<u8> {
    let head = "--cut\r\nContent-Disposition: form-data; name=\"file\"; filename=\"b.db\"\r\nContent-Type: application/octet-stream\r\n\r\n";
    [head.as_bytes(), content, b"\r\n--cut--\r\n"].concat()
}

async fn send_file(path: &str, content: &[u8]) -> Got {
    let request = Request::post(path)
        .header(header::HOST, HOST)
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=cut")
        .body(Body::from(file_form(content)))
        .unwrap();
    send(false, request).await
}

#[tokio::test]
async fn files_go_in_and_out() {
    let good = send_file("/settings/restore", b"good").await;
    assert_eq!(good.status, StatusCode::SEE_OTHER);
    let large = vec![b'x'; 1 << 20];
    let bad = send_file("/settings/restore", &large).await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(bad.text.contains("not a Bedwright backup"));
    let huge = vec![b'x'; 21 << 20];
    let refused = send_file("/settings/restore", &huge).await;
    assert_eq!(refused.status, StatusCode::PAYLOAD_TOO_LARGE);
    let out = get("/settings/backup").await;
    assert_eq!(
        out.headers[header::CONTENT_DISPOSITION],
        "attachment; filename=\"bedwright-2026-11-25.db\""
    );
}

#[tokio::test]
async fn errors_are_pages_with_a_way_out() {
    for (path, status) in [
        ("/nowhere", 404),
        ("/bins/99", 404),
        ("/bins/x", 404),
        ("/shed/nothing", 404),
        ("/static/0/bedwright.css", 404),
        ("/demo", 405),
    ] {
        let got = get(path).await;
        assert_eq!(got.status.as_u16(), status, "{path}");
        assert!(got.text.contains("class=\"ways\""), "{path}");
    }
    let broke = send_file("/settings/import", b"x").await;
    assert_eq!(broke.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(broke.text.contains("broke off"));
}

#[tokio::test]
async fn static_files_may_be_kept_and_pages_may_not() {
    let page = get("/").await;
    assert_eq!(page.headers[header::CACHE_CONTROL], "no-store");
    let style = attributes(&page.text, "href")
        .into_iter()
        .find(|h| h.ends_with(".css"))
        .unwrap();
    let style = get(&style).await;
    assert!(
        style.headers[header::CACHE_CONTROL]
            .to_str()
            .unwrap()
            .contains("immutable")
    );
    assert_eq!(style.headers["x-content-type-options"], "nosniff");
}

#[tokio::test]
async fn an_empty_shelf_offers_two_ways_to_start() {
    let got = send(true, asking("/")).await;
    assert!(got.text.contains("Start my own"));
    assert!(got.text.contains("Open the demo shelf"));
}

#[tokio::test]
async fn the_part_of_the_bin_page_on_now_fits_together() {
    let html = get("/bins/2").await.text;
    let ids = attributes(&html, "id");
    let unique: BTreeSet<&String> = ids.iter().collect();
    assert_eq!(ids.len(), unique.len(), "{:?}", repeated(&ids));
    for id in attributes(&html, "aria-labelledby") {
        assert!(
            id.split(' ').all(|i| unique.contains(&i.to_owned())),
            "{id}"
        );
    }
    for said in [
        "17 °C (15 to 19)",
        "Most worth a look",
        "What the last entries taught",
    ] {
        assert!(html.contains(said), "{said}");
    }
    for link in attributes(&sample::living::now_part().to_string(), "href") {
        assert_eq!(get(&link).await.status, StatusCode::OK, "{link}");
    }
}

#[tokio::test]
async fn what_was_asked_of_a_living_page_stays_in_its_form() {
    let got = get("/bins/1/outlook?days=365&feed=2&away_from=2026-12-20").await;
    for kept in [
        "name=\"feed\" value=\"2\" checked",
        "value=\"2026-12-20\"",
        "name=\"days\" value=\"365\"",
        "aria-current=\"true\">A year",
    ] {
        assert!(got.text.contains(kept), "{kept}");
    }
    let got = get("/bins/1/ration?material=x&amount=lots").await;
    assert!(got.text.contains("Look again:"));
    assert!(got.text.contains("value=\"lots\""));
    let got = send(true, asking("/today")).await;
    assert!(got.text.contains("Nothing needs doing"));
}

/// Writes the gallery for eyes when `BEDWRIGHT_GALLERY` names a folder;
/// always checks that every page of it can be made.
#[tokio::test]
async fn gallery() {
    let mut shown: Vec<(String, String)> = Vec::new();
    for (name, path) in PAGES {
        shown.push((name.to_owned(), get(path).await.text));
    }
    shown.push(("shelf_empty".into(), send(true, asking("/")).await.text));
    shown.push(("error".into(), get("/nowhere").await.text));
    let typed = "kind=reading&what=ph&spots=7.0&instrument=probe_cheap&place=spread";
    shown.push(("question".into(), post("/bins/1/log", typed).await.text));
    let typed = "kind=reading&what=ph&spots=56&instrument=pen&place=top";
    shown.push(("bin_wrong".into(), post("/bins/1/log", typed).await.text));
    assert!(shown.iter().all(|(_, html)| html.len() > 500));
    let Some(folder) = std::env::var_os("BEDWRIGHT_GALLERY") else {
        return;
    };
    let folder = Path::new(&folder);
    fs::create_dir_all(folder).unwrap();
    let links = attributes(&shown[0].1, "href");
    for link in links.iter().chain(&attributes(&shown[0].1, "src")) {
        if link.starts_with("/static/") {
            let file = folder.join(link.trim_start_matches('/'));
            fs::create_dir_all(file.parent().unwrap()).unwrap();
            fs::write(file, get(link).await.text).unwrap();
        }
    }
    for (name, html) in shown {
        fs::write(folder.join(format!("{name}.html")), html).unwrap();
    }
}
