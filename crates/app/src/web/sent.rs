//! What was sent, as fields: from the query of an address or the body of a
//! form. Nothing is put right in silence: text that is no text, and a field
//! with one value that comes twice, are refused.

use super::answers::{Fields, SHOWN_IN};
use super::error::{PageError, Typed};
use super::routes::unreadable;
use crate::report::Units;
use crate::typed::short;
use axum::body::to_bytes;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::HeaderMap;
use axum::http::header::CONTENT_TYPE;
use axum::http::request::Parts;

/// Most fields in one form or address.
const MOST_FIELDS: usize = 200;
/// Fields that may have several values: boxes to tick.
const MANY: [&str; 2] = ["word", "help"];

/// Fields of the query.
pub(super) struct Asked(pub(super) Fields);

impl<S: Send + Sync> FromRequestParts<S> for Asked {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, PageError> {
        fields(parts.uri.query().unwrap_or_default().as_bytes()).map(Self)
    }
}

/// Fields of a posted form.
pub(super) struct Sent(pub(super) Fields);

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = PageError;

    async fn from_request(request: Request, _: &S) -> Result<Self, PageError> {
        if !is_form(request.headers()) {
            return Err(unreadable(415));
        }
        // Its length was bounded when it was let in.
        let body = to_bytes(request.into_body(), usize::MAX).await;
        fields(&body.map_err(|_| unreadable(400))?).map(Self)
    }
}

/// Whether what is sent is a form of fields.
fn is_form(headers: &HeaderMap) -> bool {
    let kind = headers.get(CONTENT_TYPE);
    let kind = kind.and_then(|k| k.to_str().ok()).unwrap_or_default();
    let (essence, _) = kind.split_once(';').unwrap_or((kind, ""));
    essence
        .trim()
        .eq_ignore_ascii_case("application/x-www-form-urlencoded")
}

/// What was typed into a form that is refused, as far as it can be read; none
/// where it was no form.
pub(super) fn typed(head: &Parts, raw: &[u8], whole: bool) -> Option<Box<Typed>> {
    let path = head.uri.path();
    // Two strokes at its head would be another site's address.
    if !is_form(&head.headers) || path.starts_with("//") {
        return None;
    }
    let readable = |piece| {
        let (name, value) = name_and_value(piece);
        Some((decoded(name)?, legible(value)))
    };
    Some(Box::new(Typed {
        action: path.to_owned(),
        fields: pieces(raw).take(MOST_FIELDS).filter_map(readable).collect(),
        whole,
    }))
}

/// Most bytes of one letter, each sent as `%20`.
const LETTER_BYTES: usize = 4 * 3;

/// A value to be shown and not used: without the letter it may break off in.
fn legible(value: &[u8]) -> String {
    (0..LETTER_BYTES.min(value.len() + 1))
        .find_map(|cut| decoded(&value[..value.len() - cut]))
        .unwrap_or_else(|| String::from_utf8_lossy(value).into_owned())
}

fn pieces(raw: &[u8]) -> impl Iterator<Item = &[u8]> + Clone {
    raw.split(|b| *b == b'&').filter(|p| !p.is_empty())
}

fn name_and_value(piece: &[u8]) -> (&[u8], &[u8]) {
    let cut = piece.iter().position(|b| *b == b'=');
    let (name, value) = piece.split_at(cut.unwrap_or(piece.len()));
    (name, value.strip_prefix(b"=").unwrap_or(value))
}

/// The fields of `a=1&b=2`.
pub(super) fn fields(raw: &[u8]) -> Result<Fields, PageError> {
    if pieces(raw).count() > MOST_FIELDS {
        return Err(PageError::new(
            413,
            "Too much at once",
            &format!("What was sent has more than {MOST_FIELDS} fields. Nothing was written."),
        ));
    }
    let mut list: Vec<(String, String)> = Vec::new();
    for (name, value) in pieces(raw).map(name_and_value) {
        let name =
            decoded(name).ok_or_else(|| refused("the name of a field is not readable text"))?;
        let value = decoded(value).ok_or_else(|| {
            refused(&format!(
                "the field `{}` is not readable text",
                short(&name)
            ))
        })?;
        if !MANY.contains(&name.as_str()) && list.iter().any(|(n, _)| *n == name) {
            return Err(refused(&format!(
                "the field `{}` came twice, and only one value of it can be meant",
                short(&name)
            )));
        }
        if name == SHOWN_IN && Units::of_word(&value).is_none() {
            return Err(other_units(&value));
        }
        list.push((name, value));
    }
    Ok(Fields(list))
}

/// Undoes the `+` and `%20` of a form. None for a `%` without two hex digits,
/// and for bytes that are not UTF-8. Browsers end lines by two characters.
fn decoded(text: &[u8]) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.iter();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'+' => b' ',
            b'%' => 16 * hex(*rest.next()?)? + hex(*rest.next()?)?,
            other => *other,
        });
    }
    let text = String::from_utf8(bytes).ok()?;
    Some(text.replace("\r\n", "\n"))
}

fn hex(digit: u8) -> Option<u8> {
    char::from(digit).to_digit(16).map(|d| d as u8)
}

/// A form that was shown in no units there are.
fn other_units(value: &str) -> PageError {
    let why = format!(
        "In what was sent, `{SHOWN_IN}` is `{}`; the units of a form are metric or us. Nothing was written.",
        short(value)
    );
    PageError::new(422, "Could not be read", &why)
}

fn refused(why: &str) -> PageError {
    PageError::new(
        400,
        "Could not be read",
        &format!("In what was sent, {why}. Nothing was written."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_is_read_as_it_was_typed() {
        let read = fields("a=1+2%2B%C3%A9&word=x&word=y&empty=&bare&b=l%0D%0Am".as_bytes());
        let of = |n: &str, v: &str| (n.to_owned(), v.to_owned());
        let want = vec![
            of("a", "1 2+é"),
            of("word", "x"),
            of("word", "y"),
            of("empty", ""),
            of("bare", ""),
            of("b", "l\nm"),
        ];
        assert_eq!(read.map(|f| f.0), Ok(want));
    }

    #[test]
    fn what_breaks_off_is_shown_up_to_there() {
        for (raw, want) in [
            ("caf%C3%A9", "café"),
            ("caf%C3", "caf"),
            ("%", ""),
            ("a+b%2", "a b"),
        ] {
            assert_eq!(legible(raw.as_bytes()), want);
        }
        assert_eq!(
            legible(b"\xff is no text at all"),
            "\u{fffd} is no text at all"
        );
    }

    #[test]
    fn what_is_no_text_or_comes_twice_is_refused() {
        for raw in [
            &b"a=%FF"[..],
            b"a=\xff",
            b"%ff=1",
            b"a=%zz",
            b"a=%2",
            b"a=1&a=1",
        ] {
            let refused = fields(raw).map_err(|e| e.status);
            assert_eq!(refused, Err(400), "{raw:?}");
        }
        let many: String = (0..300).map(|n| format!("a{n}=&")).collect();
        assert_eq!(fields(many.as_bytes()).map_err(|e| e.status), Err(413));
    }
}
