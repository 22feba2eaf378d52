//! Style sheet, script and icon, carried in the program. Their addresses
//! hold a hash of their content, so a browser may keep them for good.

use super::error::PageError;
use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use std::sync::LazyLock;

struct Asset {
    name: &'static str,
    mime: &'static str,
    text: &'static str,
}

static ASSETS: [Asset; 3] = [
    Asset {
        name: "bedwright.css",
        mime: "text/css; charset=utf-8",
        text: include_str!("../../static/bedwright.css"),
    },
    Asset {
        name: "bedwright.js",
        mime: "text/javascript; charset=utf-8",
        text: include_str!("../../static/bedwright.js"),
    },
    Asset {
        name: "icon.svg",
        mime: "image/svg+xml",
        text: include_str!("../../static/icon.svg"),
    },
];

static HASHES: LazyLock<[String; 3]> =
    LazyLock::new(|| std::array::from_fn(|i| hash(ASSETS[i].text)));

/// FNV-1a, 64 bit: tells versions apart; not for secrets.
fn hash(text: &str) -> String {
    let sum = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| {
        (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{sum:016x}")
}

fn href(index: usize) -> String {
    format!("/static/{}/{}", HASHES[index], ASSETS[index].name)
}

/// Address of the style sheet.
pub(super) fn style() -> String {
    href(0)
}

/// Address of the script.
pub(super) fn script() -> String {
    href(1)
}

/// Address of the icon.
pub(super) fn icon() -> String {
    href(2)
}

/// Serve one asset.
pub(super) async fn asset(Path((hash, name)): Path<(String, String)>) -> Response {
    let found = ASSETS.iter().position(|a| a.name == name);
    match found.filter(|i| HASHES[*i] == hash) {
        Some(i) => (
            [
                (CONTENT_TYPE, ASSETS[i].mime),
                (CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            ASSETS[i].text,
        )
            .into_response(),
        None => PageError::not_found("such file").into_response(),
    }
}
