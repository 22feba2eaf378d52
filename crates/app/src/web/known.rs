//! What each address may be asked: the names its query may hold. A slip in a
//! name must not be left out in silence.

use super::answers::SHOWN_IN;
use super::error::PageError;
use super::sent;
use crate::typed::short;
use axum::extract::{MatchedPath, Request};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// What a part in a row may say, each with the number of the row behind it.
pub(crate) const OF_A_PART: [&str; 5] = ["material", "amount", "ph", "moisture", "label"];

/// Names of one address, and how many rows of parts it takes.
type Known = (&'static [&'static str], usize);

/// What was just done, and the entry it is about.
const SAID: Known = (&["said", "entry"], 0);

/// By the address as it is routed.
const KNOWN: [(&str, Known); 14] = [
    ("/bins/new", (&[], 4)),
    ("/bins/{bin}", (&["open", "said", "entry", "log_from"], 0)),
    ("/bins/{bin}/dose", (&["target", "material", "amount"], 0)),
    (
        "/bins/{bin}/dose/what-if",
        (&["target", "material", "amount"], 0),
    ),
    ("/bins/{bin}/jar-test", SAID),
    (
        "/bins/{bin}/outlook",
        (
            &[
                "days",
                "feed",
                "water",
                "place_celsius",
                "place_from",
                "bedding",
                "bedding_amount",
                "away_from",
                "away_to",
                "weather",
                SHOWN_IN,
            ],
            0,
        ),
    ),
    (
        "/bins/{bin}/ration",
        (&["material", "amount", "prepared", "next_visit"], 0),
    ),
    (
        "/bins/{bin}/away",
        (&["from", "to", "place_celsius", SHOWN_IN], 0),
    ),
    (
        "/bins/{bin}/weather",
        (
            &[
                "weather",
                "sun",
                "humidity",
                "place_celsius",
                "help",
                SHOWN_IN,
            ],
            0,
        ),
    ),
    ("/judge", (&[], 6)),
    (
        "/tray-test",
        (&["worms", "in_suspect", "in_trusted", "dead", "hours"], 0),
    ),
    ("/shed", (&["q", "role"], 0)),
    ("/shed/{key}", SAID),
    ("/settings", SAID),
];

fn takes((names, rows): Known, name: &str) -> bool {
    let of_a_row = |(part, row): (&str, usize)| name == format!("{part}{row}");
    names.contains(&name)
        || OF_A_PART
            .iter()
            .flat_map(|part| (1..=rows).map(move |row| (*part, row)))
            .any(of_a_row)
}

/// Refuses a query that holds what its address does not take. A form that is
/// sent holds what it says, and its address nothing.
pub(super) async fn only_known(request: Request, next: Next) -> Response {
    match unknown(&request) {
        Some(refused) => refused.into_response(),
        None => next.run(request).await,
    }
}

fn unknown(request: &Request) -> Option<PageError> {
    let query = request.uri().query().filter(|q| !q.is_empty())?;
    let asks = matches!(request.method().as_str(), "GET" | "HEAD");
    let path = request.extensions().get::<MatchedPath>();
    let path = path.map_or("", MatchedPath::as_str);
    let known = KNOWN.iter().find(|(at, _)| asks && *at == path);
    let known = known.map_or((&[][..], 0), |(_, known)| *known);
    let fields = match sent::fields(query.as_bytes()) {
        Ok(fields) => fields,
        Err(refused) => return Some(refused),
    };
    let (name, _) = fields.0.iter().find(|(name, _)| !takes(known, name))?;
    Some(refused(known, name).or(request.uri().path(), "The page without it"))
}

fn refused((names, rows): Known, name: &str) -> PageError {
    let mut list: Vec<&str> = names.to_vec();
    if rows > 0 {
        list.extend(["material1", "amount1", "and so on"]);
    }
    let takes = match list.as_slice() {
        [] => "It takes none.".to_owned(),
        list => format!("It takes {}.", list.join(", ")),
    };
    let name = short(name);
    let why = format!("`{name}` is not a field of this page. {takes} Nothing was written.");
    PageError::new(422, "Could not be read", &why)
}
