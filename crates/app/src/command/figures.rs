//! Figures of answers, as written in JSON.

use engine::quantity::Band;
use serde_json::{Value, json};

/// A path: one entry a day.
pub(super) fn path(key: &str, list: &[(f64, Band)]) -> Vec<Value> {
    list.iter()
        .map(|(day, band)| json!({ "day": day, key: band }))
        .collect()
}

/// Name in snake case of a plain enumeration, by its serde name.
pub(super) fn key_of(value: &impl serde::Serialize) -> String {
    serde_json::to_value(value)
        .ok()
        .and_then(|v| v.as_str().map(str::to_owned))
        .unwrap_or_default()
}

/// The plain enumeration of that key; spaces and hyphens stand for `_`.
pub(super) fn from_key<T: serde::de::DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_value(Value::String(slug(text))).ok()
}

/// Lower case with `_` for spaces and hyphens.
pub(super) fn slug(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}
