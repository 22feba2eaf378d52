//! Errors are pages with a way out.

use super::pages::{ErrorPage, Nav, Shell};
use super::widgets::page;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Somewhere to go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Where.
    pub href: String,
    /// What is there.
    pub words: String,
}

impl Link {
    /// A link.
    #[must_use]
    pub fn new(href: &str, words: &str) -> Self {
        Self {
            href: href.to_owned(),
            words: words.to_owned(),
        }
    }
}

/// What went wrong, in words for the keeper, and where to go from here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageError {
    /// HTTP status.
    pub status: u16,
    /// What happened.
    pub heading: String,
    /// Why, and what to do.
    pub detail: String,
    /// Ways out.
    pub ways_out: Vec<Link>,
    /// What was typed, where it was a form.
    pub typed: Option<Box<Typed>>,
}

/// What was typed into a form that was refused: our pages are not kept by a
/// browser, so going back would show it empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    /// Where it was sent.
    pub action: String,
    /// Name and value, in order.
    pub fields: Vec<(String, String)>,
    /// All of it had come in.
    pub whole: bool,
}

/// Fields no keeper typed.
const HIDDEN: [&str; 5] = ["kind", "once", "confirmed", "strike", "which_time"];

impl Typed {
    /// What a keeper would miss: a name to read, and the value.
    pub(super) fn shown(&self) -> Vec<(String, String)> {
        let typed =
            |(n, v): &&(String, String)| !HIDDEN.contains(&n.as_str()) && !v.trim().is_empty();
        let named = |(n, v): &(String, String)| (n.replace('_', " "), v.clone());
        self.fields.iter().filter(typed).map(named).collect()
    }
}

impl PageError {
    /// An error with a way back to the shelf.
    #[must_use]
    pub fn new(status: u16, heading: &str, detail: &str) -> Self {
        Self {
            status,
            heading: heading.to_owned(),
            detail: detail.to_owned(),
            ways_out: vec![Link::new("/", "Back to the shelf")],
            typed: None,
        }
    }

    /// Nothing there.
    #[must_use]
    pub fn not_found(what: &str) -> Self {
        Self::new(
            404,
            "Nothing here",
            &format!("There is no {what}. It may have been put away, or the address mistyped."),
        )
    }

    /// A fault of the tool, not of the keeper.
    #[must_use]
    pub fn ours(detail: &str) -> Self {
        Self::new(
            500,
            "Something broke on our side",
            &format!("{detail} What was written in the log before this is safe."),
        )
    }

    /// With another way out, named before the shelf.
    #[must_use]
    pub fn or(mut self, href: &str, words: &str) -> Self {
        self.ways_out.insert(0, Link::new(href, words));
        self
    }

    /// Whether the very same, sent once more, may be taken: its one-time key
    /// sees to it that it is written once.
    pub(super) fn may_be_sent_again(&self) -> bool {
        self.status == 503 && self.typed.as_ref().is_some_and(|t| t.whole)
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let shell = Shell::new(&self.heading, Nav::None);
        let error = self.clone();
        let mut response = (status, page(&ErrorPage { shell, error })).into_response();
        // For whoever knows what was typed, to show it again.
        response.extensions_mut().insert(self);
        response
    }
}
