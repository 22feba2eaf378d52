//! Who may ask, and what the answer allows.
//!
//! The app has no passwords: it serves whoever sits at the machine. Its
//! dangers are other web pages open in the same browser. Four checks meet
//! them, and no form tokens are needed beside them:
//! - Host must be a loopback name with our port, so a name that was pointed
//!   at 127.0.0.1 by someone else gets nothing (DNS rebinding).
//! - A POST whose Sec-Fetch-Site or Origin says it comes from elsewhere is
//!   refused. Browsers set these headers themselves, no page can forge them,
//!   and every browser of the last years sends Origin with each POST. There
//!   are no cookies, so there is no sign-in for a forged request to ride on.
//!   A POST with neither header is no web page's and is let through, so that
//!   a keeper's own scripts work.
//! - A GET of another site's page begins no long answer; a link to a page that
//!   costs nothing is followed (see `queue`).
//! - The policy header starts from nothing and allows only our own style,
//!   script and pictures, and forms sent to ourselves.

use super::error::PageError;
use super::{Site, queue};
use axum::extract::{Request, State};
use axum::http::header::{CACHE_CONTROL, HOST, HeaderName, ORIGIN};
use axum::http::{HeaderMap, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// What a page may load and do.
pub(super) const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; \
img-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; \
base-uri 'none'";

/// `same-origin` and not `no-referrer`: under the latter browsers send
/// `Origin: null` with our own forms, which could not be told from a stranger.
/// Nothing is ever sent to another site either way.
const HEADERS: [(&str, &str); 6] = [
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("x-frame-options", "DENY"),
];

/// Check a request, pass it on, and set the headers of its answer.
pub(super) async fn guard(State(site): State<Site>, request: Request, next: Next) -> Response {
    let mut response = match refusal(&site, &request) {
        Some(error) => error.into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    if !headers.contains_key(CACHE_CONTROL) {
        headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

fn refusal(site: &Site, request: &Request) -> Option<PageError> {
    let Some(host) = host_of(request) else {
        return Some(PageError::new(
            421,
            "Wrong address",
            "The request did not say which host it wants.",
        ));
    };
    if !is_ours(&host, site.port) {
        return Some(PageError::new(
            421,
            "Wrong address",
            "Bedwright answers only to this machine's own names: localhost, 127.0.0.1 and [::1].",
        ));
    }
    let safe = matches!(*request.method(), Method::GET | Method::HEAD);
    if safe {
        return queue::from_elsewhere(request, is_own_origin(request.headers(), &host));
    }
    if !from_our_pages(request.headers(), &host) {
        return Some(PageError::new(
            403,
            "Sent from another site",
            "This form was not sent from one of Bedwright's own pages, so nothing was written.",
        ));
    }
    None
}

fn host_of(request: &Request) -> Option<String> {
    let header = request.headers().get(HOST)?.to_str().ok()?;
    // A full address in the request line must name the same host.
    match request.uri().authority() {
        Some(a) if a.as_str() != header => None,
        _ => Some(header.to_ascii_lowercase()),
    }
}

fn is_ours(host: &str, port: Option<u16>) -> bool {
    let names = ["localhost", "127.0.0.1", "[::1]"];
    names.iter().any(|name| {
        host.strip_prefix(name).is_some_and(|rest| match port {
            Some(80) if rest.is_empty() => true,
            Some(port) => rest == format!(":{port}"),
            None => rest.is_empty() || is_port(rest),
        })
    })
}

fn is_port(rest: &str) -> bool {
    rest.strip_prefix(':')
        .is_some_and(|p| p.parse::<u16>().is_ok())
}

fn from_our_pages(headers: &HeaderMap, host: &str) -> bool {
    let site_ok = headers
        .get("sec-fetch-site")
        .is_none_or(|v| v == "same-origin" || v == "none");
    site_ok && is_own_origin(headers, host)
}

/// Whether no other origin is named than ours.
fn is_own_origin(headers: &HeaderMap, host: &str) -> bool {
    headers.get(ORIGIN).is_none_or(|v| {
        v.to_str()
            .is_ok_and(|o| o.eq_ignore_ascii_case(&format!("http://{host}")))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_loopback_names_with_our_port() {
        assert!(is_ours("localhost:8080", Some(8080)));
        assert!(is_ours("[::1]:8080", Some(8080)));
        assert!(is_ours("127.0.0.1", Some(80)));
        for host in [
            "localhost:8081",
            "localhost",
            "localhost.example:8080",
            "127.0.0.1.example:8080",
            "example:8080",
            "127.0.0.1:8080x",
            "",
        ] {
            assert!(!is_ours(host, Some(8080)), "{host}");
        }
        assert!(!is_ours("localhost.example", None));
    }
}
