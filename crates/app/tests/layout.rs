//! The arrows of ARCHITECTURE.md, checked: app → store → engine, and what each
//! crate may lean on.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

use std::process::Command;

/// Direct dependencies of a crate, by name.
fn leans_on(krate: &str) -> Vec<String> {
    let output = Command::new(env!("CARGO"))
        .args([
            "tree",
            "--locked",
            "--offline",
            "--edges",
            "normal",
            "--depth",
            "1",
        ])
        .args(["--prefix", "none", "--format", "{p}", "-p", krate])
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let text = String::from_utf8(output.stdout).unwrap();
    // The first line is the crate itself; what it needs follows.
    let (_, needs) = text.split_once('\n').unwrap();
    let mut names: Vec<String> = needs
        .lines()
        .filter_map(|l| l.split_whitespace().next())
        .map(str::to_owned)
        .collect();
    names.sort();
    names.dedup();
    names
}

fn allowed(krate: &str, list: &[&str]) {
    let extra: Vec<String> = leans_on(krate)
        .into_iter()
        .filter(|n| !list.contains(&n.as_str()))
        .collect();
    assert!(
        extra.is_empty(),
        "crate `{krate}` gained dependencies {extra:?}; add each to this list with a reason in DESIGN.md, or put the code elsewhere"
    );
}

#[test]
fn the_engine_leans_on_no_crate_of_ours_and_on_nothing_that_reaches_outside() {
    allowed(
        "engine",
        &[
            "csv",
            "nalgebra",
            "rand",
            "rand_chacha",
            "rand_distr",
            "serde",
            "thiserror",
        ],
    );
}

#[test]
fn the_store_leans_on_the_engine_and_is_the_only_one_with_sql() {
    allowed(
        "store",
        &[
            "crc32fast",
            "csv",
            "engine",
            "jiff",
            "rusqlite",
            "serde",
            "serde_json",
            "thiserror",
        ],
    );
    assert!(!leans_on("app").contains(&"rusqlite".to_owned()));
    assert!(!leans_on("engine").contains(&"rusqlite".to_owned()));
}

#[test]
fn the_app_leans_on_what_design_names() {
    allowed(
        "app",
        &[
            "askama",
            "axum",
            "clap",
            "csv",
            "directories",
            "engine",
            "getrandom",
            "http-body-util",
            "hyper",
            "hyper-util",
            "jiff",
            "mimalloc",
            "postcard",
            "rayon",
            "serde",
            "serde_json",
            "signal-hook",
            "store",
            "thiserror",
            "tokio",
            "toml",
            "tower",
            "tracing",
            "tracing-subscriber",
        ],
    );
}

#[test]
fn no_room_is_called_utils_or_common_and_no_file_is_called_mod() {
    fn walk(dir: &std::path::Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            if ["utils", "util", "common", "helpers", "misc", "mod"].contains(&name.as_str()) {
                found.push(path.display().to_string());
            }
            if path.is_dir() {
                walk(&path, found);
            }
        }
    }
    let crates = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap();
    let mut found = Vec::new();
    for krate in ["engine", "store", "app"] {
        walk(&crates.join(krate).join("src"), &mut found);
    }
    assert!(found.is_empty(), "{found:?}");
}

/// Rust files of the engine and the app, as one text.
fn code() -> String {
    fn walk(dir: &std::path::Path, text: &mut String) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, text);
            } else if path.extension().is_some_and(|e| e == "rs") {
                *text += &std::fs::read_to_string(&path).unwrap();
            }
        }
    }
    let app = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut text = String::new();
    walk(&app.join("src"), &mut text);
    walk(&app.parent().unwrap().join("engine/src"), &mut text);
    text
}

/// Rows that are asked for by the key of a material or listed whole.
const BY_KEY: [&str; 7] = [
    "never_fed",
    "feed_of_bedding",
    "repellent",
    "leftovers",
    "salt_percent",
    "published",
    "telling",
];

#[test]
fn every_judgement_is_named_by_code() {
    let (tables, code) = (engine::table::Tables::load().unwrap(), code());
    let named = |name: &str| code.contains(&format!("\"{name}\""));
    let mut seen = 0;
    for row in tables.rows() {
        let judged = [
            "constants",
            "tolerances",
            "bed",
            "weather",
            "ration",
            "estimate",
            "gases",
            "other_laws",
            "second_world",
        ];
        if !judged.contains(&row.table) {
            continue;
        }
        seen += 1;
        if BY_KEY.contains(&row.subject.as_str()) {
            assert!(named(&row.subject), "{}", row.property);
            continue;
        }
        assert!(
            named(&row.property) && named(&row.subject),
            "{}.csv line {}: no code names `{}` of `{}`",
            row.table,
            row.line,
            row.property,
            row.subject
        );
    }
    assert!(seen > 200, "{seen}");
}

/// The page on reliability names a test for each promise, as the file and then
/// its functions; each must be there.
#[test]
fn every_promise_names_a_test_that_is_there() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let page = std::fs::read_to_string(root.join("docs/reliability.md")).unwrap();
    let rows = page
        .lines()
        .filter(|l| l.starts_with("| ") && l.contains(".rs`"));
    let mut seen = 0;
    for row in rows {
        let mut code = String::new();
        // Every second piece stands between backticks.
        for named in row.split('`').skip(1).step_by(2) {
            if named.ends_with(".rs") {
                code = std::fs::read_to_string(root.join(named)).expect(named);
            } else if named.chars().all(|c| c.is_ascii_lowercase() || c == '_') {
                assert!(
                    code.contains(&format!("fn {named}()")),
                    "no test {named}: {row}"
                );
                seen += 1;
            }
        }
    }
    assert!(seen > 25, "{seen}");
}
