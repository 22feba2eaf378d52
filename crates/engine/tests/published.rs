//! Published checks, worked out live but for the long tables. A miss is allowed only where it is
//! named here, so that a new miss, or an old one put right, is noticed at
//! once.

#![allow(clippy::unwrap_used)] // tests may unwrap

use engine::chemistry::AqueousModel;
use engine::table::Tables;
use engine::validation::long::{Kept, Long};
use engine::validation::trust::{trusted, written};
use engine::validation::{Area, Check, Expected, Verdict, Worked, not_validated, worked};
use std::collections::BTreeSet;
use std::sync::LazyLock;

static WORKED: LazyLock<Worked> = LazyLock::new(|| {
    let tables = Tables::load().unwrap();
    let model = AqueousModel::load().unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/validation");
    #[allow(
        clippy::disallowed_methods,
        reason = "the tables are kept outside the engine; a test may read them"
    )]
    let texts = Long::ALL.map(|long| {
        let path = format!("{folder}/{}.csv", long.name());
        std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
    });
    let kept = Kept::read(&texts).unwrap();
    worked(&tables, Some(&model), &kept).unwrap()
});
static ALL: LazyLock<&[Check]> = LazyLock::new(|| &WORKED.checks);

/// Known misses; VALIDATION.md says what is known of each.
const MISSES: &[&str] = &[
    "13c",
    "13 mean",
    "30c",
    "30d",
    "42e",
    "42f",
    "P2 range",
    "B Durán domestic",
    "B Durán quality 2",
    "B Durán quality 4",
    "B acetate",
    "B maturity 25",
    "B 35 grown",
    "B pH 4.9",
    "B pH 9.1",
    "B practice doubling",
    "B1.3 cattle",
    "B1.3 manure 1",
    "B1.3 manure 3",
    "B1.3 pig",
    "B1.3 pig manure 65",
    "B1.3 pig manure 70",
    "B1.3 pig manure 75",
    "B1.3 pig manure 80",
    "B1.3 pig manure 90",
    "B1.3 veneta",
    "B5.1 adults week 52",
    "B5.1 biomass week 52",
    "B5.1 veneta adults",
    "B5.1 week 8",
    "B5.2 veneta",
    "B5.3 mass",
    "B5.4 edwards 15",
    "B5.4 edwards 20",
    "B5.4 tripathi 15",
    "B5.4 tripathi 35",
    "B Durán quality 0.5",
    "B8.17",
    "B8.17 Dv",
    "B8.18 laying",
    "B8.2",
    "B8.22 15",
    "B8.23 25",
    "B8.24",
    "B8.27",
    "B8.35 gain",
    "B8.36 heat",
    "B8.36 pH",
    "B8.38 28 d",
    "B8.35 salt deadly",
    "B8.48",
    "B8.7",
    "B8.8",
    "E coverage cn_ratio blind seen",
    "E coverage ec blind seen",
    "E coverage worm_mass blind seen",
    "E coverage worm_number blind seen",
    "E coverage worm_number weak seen",
    "E coverage mass_loss blind seen",
    "E coverage nitrate blind seen",
    "K04 paper kg",
    "K13 young food",
    "K13 young paper",
    "K82 worms kg",
    "K104 days between warm",
    "K104 ratio open to warm",
    "K104 feed per worm per day warm",
    "K09 days warm",
    "K09 days cool",
    "K09 ratio cool to warm",
    "K50 drain litres per week",
    "P5 castings",
    "P7 doubling",
    "K59 bin above air kelvin",
    "K43 core above room kelvin",
    "K61 deep",
    "K63 crate",
    "B Durán quality 4",
    "K42 core celsius",
    "K64 dead",
    "K64 living",
    "K61 deep alive",
    "K64 without",
    "K65 jump",
    "E coverage cn_ratio blind fresh",
    "E coverage worm_mass blind fresh",
    "E coverage worm_mass weak fresh",
    "E coverage worm_number blind fresh",
    "K61 bed with ice celsius",
    "K81 castings litres",
    "P5 turnover",
];

#[test]
fn misses_are_the_known_ones() {
    let missed: BTreeSet<&str> = ALL
        .iter()
        .filter(|c| c.verdict() == Verdict::Miss)
        .map(|c| c.key.as_str())
        .collect();
    let known: BTreeSet<&str> = MISSES.iter().copied().collect();
    let told = |keys: Vec<&&str>| -> Vec<String> {
        let of = |key: &&&str| ALL.iter().find(|c| c.key == ***key);
        let say = |c: &Check| format!("{}: {} for {:?}", c.key, c.ours, c.expected);
        keys.iter().filter_map(of).map(say).collect()
    };
    let (new, gone) = (
        told(missed.difference(&known).collect()),
        told(known.difference(&missed).collect()),
    );
    assert!(
        new.is_empty() && gone.is_empty(),
        "missed now {new:#?}, no more {gone:#?}"
    );
    let bare = |c: &&Check| c.verdict() == Verdict::Miss && c.note.is_empty();
    let bare: Vec<&str> = ALL.iter().filter(bare).map(|c| c.key.as_str()).collect();
    assert!(bare.is_empty(), "a miss needs a word on it: {bare:?}");
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

#[test]
fn the_table_of_trust_is_what_is_worked_out() {
    let tables = Tables::load().unwrap();
    let mut wrong = Vec::new();
    for t in trusted(&WORKED.evidence) {
        let name = t.kind.name();
        let row = |property: &str| tables.value("trust", name, property).unwrap();
        let worked_out = [
            ("error", written(t.kind, t.error)),
            ("treatments", t.treatments as f64),
            ("values", t.values as f64),
        ];
        for (property, value) in worked_out {
            if (row(property) - value).abs() >= 0.006 {
                wrong.push(format!(
                    "{name},{property}: {} stands, {value:.2} worked out",
                    row(property)
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
