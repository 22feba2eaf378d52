//! The committed VALIDATION.md is what the engine works out.

#![allow(clippy::unwrap_used)] // tests may unwrap

use app::command::validation::{agreement, document};
use std::path::Path;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

#[test]
fn the_committed_page_is_what_the_engine_works_out() {
    let summary = std::fs::read_to_string(root().join("crosscheck/summary.json")).ok();
    let page = document(summary.as_deref()).unwrap();
    let committed = std::fs::read_to_string(root().join("VALIDATION.md")).unwrap();
    for (ours, theirs) in page.lines().zip(committed.lines()) {
        assert_eq!(
            ours, theirs,
            "VALIDATION.md is out of date: run `bedwright validation --write`"
        );
    }
    assert_eq!(page.lines().count(), committed.lines().count());
}

#[test]
fn without_a_cross_check_the_page_says_how_to_run_it_and_a_bad_one_is_named() {
    assert!(agreement(None).unwrap().contains("run `./check`"));
    let fault = agreement(Some("{\"groups\": 3}")).unwrap_err();
    assert_eq!(fault.code(), 2);
    let good = r#"{"seed": 1, "reference": "PHREEQC", "groups": {"random": {"asked": 3,
        "compared": 3, "errors": {"ph": {"p50": 0.001, "p95": 0.002, "p99": 0.003, "max": 0.004}}}},
        "limits_broken": []}"#;
    let page = agreement(Some(good)).unwrap();
    assert!(page.contains("| random | 3 | 3 | pH | 1.0e-3 | 2.0e-3 | 3.0e-3 | 4.0e-3 |"));
}
