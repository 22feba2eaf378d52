//! A desk in memory behind the pages, for the tests of shelf, bins and the
//! living bin.

use app::counter::Counter;
use app::demo;
use app::desk::{Clock, Desk};
use app::web::{Site, router};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use std::sync::Arc;
use tower::ServiceExt;

/// A keeper in Paris on a winter evening.
pub(crate) struct House {
    pub(crate) desk: Arc<Desk>,
}

pub(crate) struct Got {
    pub(crate) status: StatusCode,
    pub(crate) location: String,
    pub(crate) text: String,
}

impl House {
    pub(crate) fn new() -> Self {
        let now = "2026-11-24T18:05[Europe/Paris]".parse().unwrap();
        let desk = Desk::in_memory(Clock::stopped(now)).unwrap();
        Self {
            desk: Arc::new(desk),
        }
    }

    pub(crate) fn demo() -> Self {
        let house = Self::new();
        demo::open(&house.desk, None).unwrap();
        house
    }

    pub(crate) async fn send(&self, request: Request<Body>) -> Got {
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

    pub(crate) async fn get(&self, path: &str) -> Got {
        let request = Request::get(path).header(header::HOST, "127.0.0.1:7878");
        self.send(request.body(Body::empty()).unwrap()).await
    }

    pub(crate) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Got {
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

    pub(crate) fn written(&self) -> usize {
        self.desk.store().all_entries().unwrap().len()
    }

    pub(crate) fn last(&self) -> engine::log::Entry {
        self.desk.store().all_entries().unwrap().pop().unwrap()
    }

    /// A bin of coir, by the form.
    pub(crate) async fn with_bin() -> Self {
        let house = Self::new();
        let got = house.post("/bins/new", &GOOD_BIN).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{}", got.text);
        assert_eq!(got.location, "/bins/1?said=added");
        house
    }

    /// The form refused, its page shows `message`, and nothing was written.
    pub(crate) async fn refuses(&self, path: &str, fields: &[(&str, &str)], message: &str) -> Got {
        let before = self.written();
        let got = self.post(path, fields).await;
        assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}");
        let shown = app::report::quoted(message);
        assert!(got.text.contains(&shown), "no {shown} in {}", got.text);
        assert_eq!(self.written(), before, "{fields:?}");
        got
    }

    /// The form was taken and led to `location`.
    pub(crate) async fn takes(&self, path: &str, fields: &[(&str, &str)], location: &str) {
        let before = self.written();
        let got = self.post(path, fields).await;
        assert_eq!(got.status, StatusCode::SEE_OTHER, "{fields:?} {}", got.text);
        assert_eq!(got.location, location);
        assert_eq!(self.written(), before + 1, "{fields:?}");
    }
}

pub(crate) fn encoded(text: &str) -> String {
    text.bytes().map(|b| format!("%{b:02X}")).collect()
}

pub(crate) const GOOD_BIN: [(&str, &str); 13] = [
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

pub(crate) fn bin_with<'a>(name: &str, value: &'a str) -> Vec<(&'a str, &'a str)> {
    let mut fields: Vec<(&str, &str)> = GOOD_BIN.to_vec();
    for field in &mut fields {
        if field.0 == name {
            field.1 = value;
        }
    }
    fields
}
