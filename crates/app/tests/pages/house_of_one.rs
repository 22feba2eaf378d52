//! A desk with one bin behind the pages, for the tests of the planning pages.

use app::counter::Counter;
use app::desk::{Clock, Desk};
use app::web::{Site, router};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use engine::log::{
    BinDescription, BinId, Body as Said, Lid, Measured, Part, Place, Reading, ShedItem, Walls,
};
use engine::measure::Amount;
use jiff::civil::date;
use jiff::tz::TimeZone;
use std::sync::Arc;
use tower::ServiceExt;

const HOST: &str = "127.0.0.1:7878";
const DAY: i64 = 86_400;

pub(crate) struct House {
    pub(crate) desk: Arc<Desk>,
}

pub(crate) struct Got {
    pub(crate) status: StatusCode,
    pub(crate) to: String,
    pub(crate) text: String,
    pub(crate) bytes: Vec<u8>,
}

impl Got {
    /// What is read on the page: no tags.
    pub(crate) fn words(&self) -> String {
        let mut out = String::new();
        let mut inside = false;
        for c in self.text.chars() {
            match c {
                '<' => inside = true,
                '>' => {
                    inside = false;
                    out.push(' ');
                }
                c if !inside => out.push(c),
                _ => {}
            }
        }
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

fn clock() -> Clock {
    let noon = date(2026, 11, 25).at(12, 0, 0, 0);
    Clock::stopped(TimeZone::UTC.to_zoned_datetime(noon).unwrap())
}

pub(crate) fn part(material: &str, amount: &str) -> Part {
    Part::plain(material, Amount::parse(amount).unwrap())
}

impl House {
    pub(crate) fn new() -> Self {
        Self {
            desk: Arc::new(Desk::in_memory(clock()).unwrap()),
        }
    }

    /// A house with one stocked bin and nothing in the shed.
    pub(crate) fn with_bin(parts: Vec<Part>, read: &[f64]) -> Self {
        let house = Self::new();
        let now = house.desk.clock.unix_seconds();
        let description = BinDescription {
            name: "Cellar box".into(),
            length_cm: 60.0,
            width_cm: 40.0,
            depth_cm: 32.0,
            bedding_depth_cm: Some(20.0),
            walls: Walls::Plastic,
            lid: Lid::Vented,
            drains: true,
            place: String::new(),
            retired: false,
        };
        let first = vec![
            Said::Filled { parts },
            Said::WormsIn {
                grams: Some(450.0),
                count: None,
                species: String::new(),
            },
        ];
        house
            .desk
            .store()
            .create_bin_with(description, now - 40 * DAY, "UTC", now, first)
            .unwrap();
        if !read.is_empty() {
            let reading = Reading {
                what: Measured::Ph,
                spots: read.to_vec(),
                instrument: "good_pen".into(),
                place: Place::Spread,
                text: String::new(),
                confirmed: true,
            };
            house
                .desk
                .write(Some(BinId(1)), now - 2 * DAY, Said::Reading(reading))
                .unwrap();
        }
        house
    }

    pub(crate) fn acid() -> Self {
        let parts = vec![part("peat_sphagnum_unlimed", "40 L"), part("water", "10 L")];
        Self::with_bin(parts, &[4.7, 4.9, 4.8])
    }

    pub(crate) fn has(self, materials: &[&str]) -> Self {
        for material in materials {
            let item = ShedItem {
                material: (*material).into(),
                called: String::new(),
                available: None,
                have: true,
                own: std::collections::BTreeMap::new(),
            };
            let now = self.desk.clock.unix_seconds();
            self.desk.write(None, now, Said::Shed(item)).unwrap();
        }
        self
    }

    pub(crate) fn entries(&self) -> usize {
        self.desk.store().all_entries().unwrap().len()
    }

    pub(crate) async fn send(&self, request: Request<Body>) -> Got {
        let site = Site {
            answers: Arc::new(Counter {
                desk: Arc::clone(&self.desk),
            }),
            port: Some(7878),
        };
        let response = router(site).oneshot(request).await.unwrap();
        let status = response.status();
        let to = response
            .headers()
            .get(header::LOCATION)
            .map_or(String::new(), |v| v.to_str().unwrap().to_owned());
        let bytes = to_bytes(response.into_body(), 1 << 22).await.unwrap();
        Got {
            status,
            to,
            text: String::from_utf8_lossy(&bytes).into_owned(),
            bytes: bytes.to_vec(),
        }
    }

    pub(crate) async fn get(&self, path: &str) -> Got {
        let request = Request::get(path).header(header::HOST, HOST);
        self.send(request.body(Body::empty()).unwrap()).await
    }

    pub(crate) async fn post(&self, path: &str, form: &str) -> Got {
        let request = Request::post(path)
            .header(header::HOST, HOST)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(form.to_owned())).unwrap())
            .await
    }

    pub(crate) async fn upload(&self, path: &str, content: &[u8]) -> Got {
        let head =
            b"--cut\r\nContent-Disposition: form-data; name=\"file\"; filename=\"f\"\r\n\r\n";
        let body = [head.as_slice(), content, b"\r\n--cut--\r\n"].concat();
        let request = Request::post(path)
            .header(header::HOST, HOST)
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=cut");
        self.send(request.body(Body::from(body)).unwrap()).await
    }
}

pub(crate) fn on_disk(folder: &std::path::Path) -> House {
    let desk = Desk::open(&folder.join("log.db"), clock()).unwrap();
    House {
        desk: Arc::new(desk),
    }
}
