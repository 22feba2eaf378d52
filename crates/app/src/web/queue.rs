//! How much is worked out at once. Long answers wait their turn in a short
//! line; what comes when the line is full is told to come again. A page of
//! another site never begins one.

use super::error::{PageError, with_what_was_typed};
use super::routes::unreadable;
use super::sent;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http_body_util::LengthLimitError;
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
    if is_file(&request) || request.method() != Method::POST {
        let turn = line.turn().await;
        return answer(whole(request, FILE_BYTES).await, turn, next).await;
    }
    let (request, typed) = match whole(request, FORM_BYTES).await {
        Ok(request) => with_a_copy(request).await,
        Err(fault) => return fault.into_response(),
    };
    let action = request.uri().path().to_owned();
    let response = answer(Ok(request), line.turn().await, next).await;
    match sent::fields(&typed) {
        Ok(fields) => with_what_was_typed(response, &action, fields),
        Err(_) => response,
    }
}

async fn answer(
    request: Result<Request, PageError>,
    turn: Option<SemaphorePermit<'_>>,
    next: Next,
) -> Response {
    match (request, turn) {
        (Ok(request), Some(_turn)) => next.run(request).await,
        (Err(fault), _) => fault.into_response(),
        (_, None) => busy().into_response(),
    }
}

/// The request, whose body is here already, and what its body says.
async fn with_a_copy(request: Request) -> (Request, Bytes) {
    let (head, body) = request.into_parts();
    let bytes = to_bytes(body, FORM_BYTES).await.unwrap_or_default();
    (Request::from_parts(head, Body::from(bytes.clone())), bytes)
}

fn busy() -> PageError {
    PageError::new(
        503,
        "Busy with other answers",
        "Many pages were asked for at once and are still being worked out. Nothing was written. Ask again in a minute.",
    )
}

/// The request with all of its body.
async fn whole(request: Request, most: usize) -> Result<Request, PageError> {
    if request.method() != Method::POST {
        return Ok(request);
    }
    let (head, body) = request.into_parts();
    match tokio::time::timeout(BODY_TIME, to_bytes(body, most)).await {
        Ok(Ok(bytes)) => Ok(Request::from_parts(head, Body::from(bytes))),
        Ok(Err(e)) if is_too_long(&e) => Err(unreadable(413)),
        Ok(Err(_)) => Err(unreadable(400)),
        Err(_) => Err(PageError::new(
            408,
            "Sent too slowly",
            "What was sent had not come in whole after half a minute. Nothing was written.",
        )),
    }
}

fn is_too_long(error: &axum::Error) -> bool {
    let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(error);
    while let Some(e) = cause {
        if e.is::<LengthLimitError>() {
            return true;
        }
        cause = e.source();
    }
    false
}

/// Why a page of another site may not ask this; none when it may, or when it
/// is none. A keeper who follows a link to a page that costs nothing may.
pub(super) fn from_elsewhere(request: &Request) -> Option<PageError> {
    let said = |name: &str| header(request.headers(), name);
    let own = matches!(said("sec-fetch-site"), None | Some("same-origin" | "none"));
    if own {
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
