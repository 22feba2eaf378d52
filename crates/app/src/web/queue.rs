//! How much is worked out at once. Long answers wait their turn in a short
//! line; what comes when the line is full is told to come again. A page of
//! another site never begins one.

use super::error::{PageError, Typed};
use super::routes::unreadable;
use super::sent;
use super::serving::Visit;
use axum::body::{Body, Bytes};
use axum::extract::{Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http_body_util::BodyExt;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use tokio::sync::{Semaphore, SemaphorePermit};

/// A line of requests of one sort.
struct Line {
    hands: Semaphore,
    waiting: AtomicUsize,
    most_waiting: usize,
}

impl Line {
    fn new(at_once: usize, most_waiting: usize) -> Self {
        Self {
            hands: Semaphore::new(at_once),
            waiting: AtomicUsize::new(0),
            most_waiting,
        }
    }

    /// A turn, waited for; none when the line is full.
    async fn turn(&self) -> Option<SemaphorePermit<'_>> {
        if let Ok(turn) = self.hands.try_acquire() {
            return Some(turn);
        }
        let _place = Place::take(&self.waiting, self.most_waiting)?;
        self.hands.acquire().await.ok()
    }
}

/// A place in a line, given up when dropped.
struct Place<'a>(&'a AtomicUsize);

impl<'a> Place<'a> {
    fn take(waiting: &'a AtomicUsize, most: usize) -> Option<Self> {
        let place = Self(waiting);
        // Taken before it is looked at; a place too many is given back.
        let before = waiting.fetch_add(1, Ordering::Relaxed);
        (before < most).then_some(place)
    }
}

impl Drop for Place<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// The lines of the house.
#[derive(Clone)]
pub(super) struct Lines(Arc<[Line; 3]>);

impl Lines {
    pub(super) fn new() -> Self {
        // Long answers, forms, files: a file may be large, so one at a time.
        Self(Arc::new([
            Line::new(3, 24),
            Line::new(4, 64),
            Line::new(1, 2),
        ]))
    }

    /// The line a request belongs in; none for what costs next to nothing.
    fn of(&self, request: &Request) -> Option<&Line> {
        let [long, forms, files] = &*self.0;
        match *request.method() {
            Method::POST if is_file(request) => Some(files),
            Method::POST => Some(forms),
            _ if is_light(request) => None,
            _ => Some(long),
        }
    }
}

/// Longest wait for all of a form or file.
const BODY_TIME: Duration = Duration::from_secs(30);
/// Largest form taken [bytes].
const FORM_BYTES: usize = 64 * 1024;
/// Largest file taken, with what is sent around it [bytes].
const FILE_BYTES: usize = 20 * 1024 * 1024 + 4096;

fn is_file(request: &Request) -> bool {
    matches!(
        request.uri().path(),
        "/settings/restore" | "/settings/import"
    )
}

/// Whether a page costs next to nothing to show.
fn is_light(request: &Request) -> bool {
    let path = request.uri().path();
    let doors = ["/bins/new", "/tray-test", "/shed", "/settings"];
    doors.contains(&path)
        || path.starts_with("/shed/")
        || path.starts_with("/static/")
        || (path == "/judge" && request.uri().query().is_none())
}

/// Waits for all of what is sent and for a turn, and passes on.
pub(super) async fn queue(State(lines): State<Lines>, request: Request, next: Next) -> Response {
    let Some(line) = lines.of(&request) else {
        return next.run(request).await;
    };
    // A form is whole before it takes a turn: who sends slowly holds up nobody.
    // A file is large, and read in its turn.
    let (came, turn) = if is_file(&request) {
        let turn = line.turn().await;
        (whole(request, FILE_BYTES).await, turn)
    } else {
        let came = whole(request, FORM_BYTES).await;
        (came, line.turn().await)
    };
    let Came { head, body, fault } = came;
    let typed = |whole| sent::typed(&head, &body, whole);
    let (response, typed) = match (fault, turn) {
        (Some(fault), _) => (fault.into_response(), typed(false)),
        (None, None) => (busy().into_response(), typed(true)),
        (None, Some(_turn)) => {
            let request = Request::from_parts(head.clone(), Body::from(body.clone()));
            (next.run(request).await, typed(true))
        }
    };
    give_back(response, typed)
}

/// A refusal, with what was typed.
fn give_back(response: Response, typed: Option<Box<Typed>>) -> Response {
    match response.extensions().get::<PageError>() {
        Some(error) if typed.is_some() => PageError {
            typed,
            ..error.clone()
        }
        .into_response(),
        _ => response,
    }
}

fn busy() -> PageError {
    PageError::new(
        503,
        "Busy with other answers",
        "Many pages were asked for at once and are still being worked out. Nothing was written. Ask again in a minute.",
    )
}

/// What came of a request, and why no more of it is waited for.
struct Came {
    head: Parts,
    body: Bytes,
    fault: Option<PageError>,
}

/// A form or file with all of its body, at most so many bytes.
async fn whole(request: Request, most: usize) -> Came {
    let is_posted = request.method() == Method::POST;
    let (head, body) = request.into_parts();
    let mut came = Vec::new();
    let fault = if is_posted {
        let end = tokio::time::timeout(BODY_TIME, collect(body, most, &mut came)).await;
        end.unwrap_or(Err(408)).err()
    } else {
        None
    };
    let fault = fault.map(|status| match status {
        413 => too_large(head.uri.path()),
        408 => too_slow(),
        other => unreadable(other),
    });
    if let Some(visit) = head.extensions.get::<Visit>() {
        visit.came_whole();
    }
    let body = Bytes::from(came);
    Came { head, body, fault }
}

/// Collects a body; an error is the status that says why it ended early.
async fn collect(mut body: Body, most: usize, came: &mut Vec<u8>) -> Result<(), u16> {
    while let Some(frame) = body.frame().await {
        let Ok(data) = frame.map_err(|_| 400_u16)?.into_data() else {
            continue;
        };
        let room = most - came.len();
        came.extend_from_slice(&data[..data.len().min(room)]);
        if data.len() > room {
            return Err(413);
        }
    }
    Ok(())
}

fn too_slow() -> PageError {
    PageError::new(
        408,
        "Sent too slowly",
        "What was sent had not come in whole after half a minute. Nothing was written.",
    )
}

fn too_large(path: &str) -> PageError {
    let detail = match path {
        "/settings/restore" | "/settings/import" => {
            let command = path.trim_start_matches("/settings/");
            format!(
                "A page takes a file of at most {} MB. Nothing was written. A larger one is taken by the command `bedwright {command} FILE`.",
                FILE_BYTES >> 20
            )
        }
        _ => format!(
            "What was sent is larger than a form may be ({} KB). Nothing was written.",
            FORM_BYTES >> 10
        ),
    };
    PageError::new(413, "Too much at once", &detail)
}

/// Why a page of another site may not ask this; none when it may, or when it
/// is none. A keeper who follows a link to a page that costs nothing may.
pub(super) fn from_elsewhere(request: &Request, own_origin: bool) -> Option<PageError> {
    let said = |name: &str| header(request.headers(), name);
    let own_site = matches!(said("sec-fetch-site"), None | Some("same-origin" | "none"));
    if own_site && own_origin {
        return None;
    }
    let followed = said("sec-fetch-mode") == Some("navigate")
        && said("sec-fetch-dest") == Some("document")
        && request.uri().query().is_none();
    if followed && is_light(request) {
        return None;
    }
    let path = request.uri().path();
    // Two strokes at its head would be another site's address.
    let path = if path.starts_with("//") { "/" } else { path };
    Some(
        PageError::new(
            403,
            "Asked for by another site",
            "Another site asked for this page, so nothing was worked out. If it was you who followed a link here, go on from here.",
        )
        .or(path, "Open the page"),
    )
}

/// A header; one that is not plain text counts as a word nobody knows.
fn header<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers.get(name).map(|v| v.to_str().unwrap_or("?"))
}
