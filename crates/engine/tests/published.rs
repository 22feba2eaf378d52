//! Published checks, worked out live. A miss is allowed only where it is
//! named here, with its reason, so that a new miss or a miss put right is
//! noticed at once.

#![allow(clippy::unwrap_used)] // tests may unwrap

use engine::chemistry::AqueousModel;
use engine::table::Tables;
use engine::validation::{Check, Expected, Verdict, checks};
use std::collections::BTreeSet;

fn all() -> Vec<Check> {
    let tables = Tables::load().unwrap();
    let model = AqueousModel::load().unwrap();
    checks(&tables, Some(&model)).unwrap()
}

#[test]
fn show() {
    for c in all() {
        println!(
            "{:?} | {} | {} | {:?} | {:.*} {}",
            c.verdict(),
            c.key,
            c.what,
            c.expected,
            c.decimals,
            c.ours,
            c.unit
        );
    }
}
