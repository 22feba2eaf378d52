//! Errors are pages with a way out.

use super::answers::Fields;
use super::pages::{ErrorPage, Nav, Resend, Shell};
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
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let shell = Shell::new(&self.heading, Nav::None);
        let error = self.clone();
        let shown = page(&ErrorPage {
            shell,
            error,
            sent: None,
        });
        let mut response = (status, shown).into_response();
        // For whoever knows what was typed.
        response.extensions_mut().insert(self);
        response
    }
}

/// The same refusal with what was typed in the form, so that it is not lost.
pub(super) fn with_what_was_typed(response: Response, action: &str, fields: Fields) -> Response {
    let Some(error) = response.extensions().get::<PageError>().cloned() else {
        return response;
    };
    let sent = Resend::new(action, fields);
    if sent.typed.is_empty() {
        return response;
    }
    let shell = Shell::new(&error.heading, Nav::None);
    let shown = page(&ErrorPage {
        shell,
        error,
        sent: Some(sent),
    });
    (response.status(), shown).into_response()
}
