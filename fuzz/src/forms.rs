//! Forms and addresses as a browser or anything else may send them, to the
//! whole app with a log in memory.

use app::counter::Counter;
use app::desk::{Clock, Desk};
use app::shown;
use app::web::{Site, router};
use axum::body::{Body as Sent, to_bytes};
use axum::http::{Request, StatusCode, header};
use engine::log::Body;
use std::cell::RefCell;
use std::sync::{Arc, OnceLock};
use tokio::runtime::{Builder, Runtime};
use tower::ServiceExt;

/// Addresses that take a form.
const POSTS: [&str; 9] = [
    "/bins/1/log",
    "/bins/new",
    "/bins/1/log/2",
    "/bins/1/jar-test",
    "/shed/coir_pith",
    "/settings",
    "/bins/9/log",
    "/demo/away",
    "/shed/limestone_calcitic",
];
/// Addresses that take a query.
const GETS: [&str; 14] = [
    "/bins/1",
    "/bins/new",
    "/judge",
    "/tray-test",
    "/shed",
    "/shed/coir_pith",
    "/settings",
    "/bins/1/jar-test",
    "/bins/1/dose",
    "/bins/1/outlook",
    "/bins/1/ration",
    "/bins/1/away",
    "/bins/1/weather",
    "/today",
];

thread_local! {
    /// The house of the input before, as long as nothing was written in it.
    static HOUSE: RefCell<Option<Arc<Desk>>> = const { RefCell::new(None) };
}

/// The first line names the way and the address, such as `POST /bins/1/log`;
/// what follows is the form or the query as sent. A refusal writes nothing and
/// says why; nothing breaks off; what is written comes back from its export.
pub fn attack(data: &[u8]) {
    let (first, sent) = match data.iter().position(|b| *b == b'\n') {
        Some(end) => (&data[..end], &data[end + 1..]),
        None => (data, &[][..]),
    };
    let Some(request) = request(first, sent) else {
        return;
    };
    let desk =
        HOUSE.with_borrow_mut(|kept| Arc::clone(kept.get_or_insert_with(|| Arc::new(house()))));
    let before = entries(&desk);
    let (status, page) = answer(Arc::clone(&desk), request);
    let written = entries(&desk) - before;
    assert!(!status.is_server_error(), "{status}: {page}");
    if status != StatusCode::SEE_OTHER {
        assert_eq!(
            written, 0,
            "{status}, and yet {written} entries were written"
        );
    }
    let odd = page.chars().find(|c| *c != '\r' && shown::is_hidden(*c));
    assert!(odd.is_none(), "{odd:?} reaches the page");
    if written > 0 {
        super::import::comes_back(&desk.store());
        HOUSE.take();
    }
}

/// The request, when the first line names an address of ours.
fn request(first: &[u8], sent: &[u8]) -> Option<Request<Sent>> {
    let (way, path) = std::str::from_utf8(first).ok()?.split_once(' ')?;
    let host = "127.0.0.1:4177";
    let made = match way {
        "POST" if POSTS.contains(&path) => Request::post(path)
            .header(header::ORIGIN, "http://127.0.0.1:4177")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header(header::HOST, host)
            .body(Sent::from(sent.to_vec())),
        // What is no address at all does not reach the app.
        "GET" if GETS.contains(&path) => {
            let query = std::str::from_utf8(sent).ok()?;
            Request::get(format!("{path}?{query}"))
                .header(header::HOST, host)
                .body(Sent::empty())
        }
        _ => return None,
    };
    made.ok()
}

fn answer(desk: Arc<Desk>, request: Request<Sent>) -> (StatusCode, String) {
    static RUNTIME: OnceLock<Runtime> = OnceLock::new();
    let runtime = RUNTIME.get_or_init(|| {
        Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime")
    });
    let answers = Arc::new(Counter { desk });
    runtime.block_on(async {
        let site = Site {
            answers,
            port: None,
        };
        let Ok(response) = router(site).oneshot(request).await;
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, 64 << 20).await.expect("a page in memory");
        let page = String::from_utf8(bytes.to_vec()).expect("a page is text");
        (parts.status, page)
    })
}

const HOME: &str = r#"{"name":"Home","length_cm":60.0,"width_cm":40.0,"depth_cm":30.0}"#;
/// When the bin was made [s since 1970-01-01 00:00 UTC].
const MADE: i64 = 1_795_000_000;

/// One bin, not filled yet, and a note in its log.
fn house() -> Desk {
    let now = "2026-11-24T18:05[Europe/Paris]".parse().expect("a time");
    let desk = Desk::in_memory(Clock::stopped(now)).expect("the tables are sound");
    let home = serde_json::from_str(HOME).expect("a bin");
    let note = Body::Note {
        text: "a note".into(),
    };
    desk.store()
        .create_bin_with(home, MADE, "Europe/Paris", MADE, vec![note])
        .expect("a bin");
    desk
}

fn entries(desk: &Desk) -> usize {
    desk.store().all_entries().expect("a log can be read").len()
}
