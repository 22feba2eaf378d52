//! Every field of every form, as the pages show them, with bad values of each
//! kind: what is refused is refused in plain words and at most 300 characters.

use super::front_door::House;
use axum::http::StatusCode;
use std::collections::BTreeSet;

/// Longest message [characters].
const LONGEST: usize = 300;
const INNER: [&str; 7] = [
    "struct", "Err(", "products", "serde", "TryFrom", "ParseInt", "panicked",
];

/// What an attribute of each tag holds.
fn held(html: &str, attribute: &str) -> Vec<String> {
    let mark = format!(" {attribute}=\"");
    // What stands before the first mark is no value.
    let rest = html.split(mark.as_str()).skip(1);
    rest.filter_map(|r| r.split('"').next())
        .map(str::to_owned)
        .collect()
}

/// Where each form is sent, its kind, and its fields.
fn forms(html: &str) -> Vec<(String, String, BTreeSet<String>)> {
    // What stands before the first form is none.
    let each = html
        .split("<form ")
        .skip(1)
        .filter_map(|f| f.split("</form>").next());
    each.filter(|f| f.contains("method=\"post\"") && !f.contains("enctype"))
        .map(|f| {
            let kind = f.split("name=\"kind\" value=\"").nth(1);
            let kind = kind.and_then(|k| k.split('"').next()).unwrap_or_default();
            let action = held(&format!(" {f}"), "action").remove(0);
            let names = held(f, "name").into_iter();
            let own = names.filter(|n| !["kind", "once", "confirmed"].contains(&n.as_str()));
            (action, kind.to_owned(), own.collect())
        })
        .collect()
}

/// Messages of a page, without their tags.
fn messages(html: &str) -> Vec<String> {
    // What stands before the first message is none.
    let found = html.split("class=\"error\"").skip(1);
    found
        .filter_map(|m| m.split_once('>')?.1.split("</p>").next())
        .map(|m| {
            let mut inside = false;
            m.chars()
                .filter(|c| {
                    inside = (inside || *c == '<') && *c != '>';
                    !inside && *c != '>'
                })
                .collect()
        })
        .collect()
}

#[tokio::test]
async fn every_field_of_every_form_refuses_in_few_and_plain_words() {
    let house = House::with_bin().await;
    let (nines, letters) = ("9".repeat(10_000), "x".repeat(10_000));
    let bad = [
        "99999999",
        "-5",
        "NaN",
        "1e9",
        "lots",
        &nines,
        &letters,
        "5 parsecs",
    ];
    let (mut tried, mut silent) = (0, BTreeSet::new());
    for path in [
        "/bins/new",
        "/bins/1",
        "/bins/1/jar-test",
        "/settings",
        "/shed/limestone_calcitic",
    ] {
        let page = house.get(path).await.text;
        for (action, kind, names) in forms(&page) {
            for name in &names {
                // Words of the keeper's own.
                if ["text", "called", "name", "place", "reason"].contains(&name.as_str()) {
                    continue;
                }
                for value in bad {
                    let before = house.written();
                    let fields = [("kind", kind.as_str()), (name.as_str(), value)];
                    let got = house.post(&action, &fields).await;
                    let named = format!("{action} {kind} {name} {value:.12}");
                    if got.status == StatusCode::SEE_OTHER {
                        panic!("taken: {named}");
                    }
                    assert_eq!(got.status, StatusCode::UNPROCESSABLE_ENTITY, "{named}");
                    assert_eq!(house.written(), before, "{named}");
                    let told = messages(&got.text);
                    if told.is_empty() {
                        silent.insert(name.clone());
                    }
                    for message in told {
                        let message = message.replace("Look again:", "");
                        assert!(message.chars().count() <= LONGEST, "{named}: {message}");
                        let inner = INNER.iter().find(|w| message.contains(**w));
                        assert_eq!(inner, None, "{named}: {message}");
                    }
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 300, "only {tried} tried");
    // Hidden fields that nobody types are answered by a page of their own.
    assert_eq!(silent.into_iter().collect::<Vec<_>>(), ["shown_in"]);
}
