//! Published checks, worked out live. A miss is allowed only where it is
//! named here, so that a new miss, or an old one put right, is noticed at
//! once.

#![allow(clippy::unwrap_used)] // tests may unwrap

use engine::chemistry::AqueousModel;
use engine::table::Tables;
use engine::validation::{Area, Check, Expected, Verdict, checks, not_validated};
use std::collections::BTreeSet;
use std::sync::LazyLock;

static ALL: LazyLock<Vec<Check>> = LazyLock::new(|| {
    let tables = Tables::load().unwrap();
    let model = AqueousModel::load().unwrap();
    checks(&tables, Some(&model)).unwrap()
});

/// Known misses; VALIDATION.md says what is known of each.
const MISSES: &[&str] = &["13c", "13 mean", "30c", "30d", "42e", "42f", "P2 range"];

#[test]
fn misses_are_the_known_ones() {
    let missed: BTreeSet<&str> = ALL
        .iter()
        .filter(|c| c.verdict() == Verdict::Miss)
        .map(|c| c.key.as_str())
        .collect();
    for c in ALL.iter().filter(|c| c.verdict() == Verdict::Miss) {
        assert!(!c.note.is_empty(), "{}: a miss needs a word on it", c.key);
    }
    assert_eq!(missed, MISSES.iter().copied().collect());
}

#[test]
fn every_check_is_whole() {
    let mut keys = BTreeSet::new();
    for c in ALL.iter() {
        assert!(keys.insert(c.key.as_str()), "{} twice", c.key);
        assert!(c.ours.is_finite(), "{}", c.key);
        assert!(!c.what.is_empty() && !c.source.is_empty() && !c.unit.is_empty());
        match c.expected {
            Expected::Near { value, within } => {
                assert!(within > 0.0 && value.is_finite(), "{}", c.key);
            }
            Expected::Between { low, high } => assert!(low < high, "{}", c.key),
            Expected::Information { value } => assert!(value.is_finite(), "{}", c.key),
        }
    }
    for area in Area::ALL {
        assert!(ALL.iter().any(|c| c.area == area), "{area:?} has no check");
    }
    assert!(ALL.len() > 150, "{}", ALL.len());
    assert!(!not_validated().is_empty());
}

#[test]
fn every_check_can_fail() {
    for c in ALL.iter().filter(|c| c.verdict() != Verdict::Info) {
        let spoiled = |ours: f64| Check { ours, ..c.clone() }.verdict();
        let far = 1e6 * (1.0 + c.ours.abs());
        assert_eq!(spoiled(far), Verdict::Miss, "{}", c.key);
        assert_eq!(spoiled(f64::NAN), Verdict::Miss, "{}", c.key);
    }
}

#[test]
fn the_published_numbers_of_the_list_are_all_there() {
    // Numbers of the list of published checks; 48 is not used by the engine.
    for n in 1..=47 {
        let there = ALL.iter().any(|c| {
            let digits: String = c.key.chars().take_while(char::is_ascii_digit).collect();
            let rest = &c.key[digits.len()..];
            digits.parse() == Ok(n) && !rest.starts_with('.')
        });
        assert!(there, "{n}");
    }
}
