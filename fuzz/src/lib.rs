//! What any input at all must not do. Each target takes bytes and panics when
//! something that must hold does not; the fuzzer makes up bytes, and
//! `crates/app/tests/corpus.rs` tries those that are kept in `corpus/`.

pub mod amounts;
pub mod forms;
pub mod import;
pub mod times;
pub mod toml;

/// A target: its name, and what is done with the bytes.
pub type Target = (&'static str, fn(&[u8]));

/// All targets; the corpus of each is in the folder of its name.
pub const TARGETS: [Target; 5] = [
    ("amounts", amounts::attack),
    ("times", times::attack),
    ("toml", toml::attack),
    ("import", import::attack),
    ("forms", forms::attack),
];

/// Longest message a keeper is shown [characters].
const LONGEST: usize = 300;

/// A message must be one short line without anything that moves a cursor.
fn told(message: &str) {
    let line = app::shown::line(message);
    assert!(!line.trim().is_empty(), "a refusal without a word");
    let long = line.chars().count();
    assert!(long <= LONGEST, "{long} characters: {line}");
    let odd = line
        .chars()
        .find(|c| c.is_control() || app::shown::is_hidden(*c));
    assert!(odd.is_none(), "{odd:?} in {line}");
}

/// The tables, read once.
fn tables() -> &'static engine::table::Tables {
    static TABLES: std::sync::OnceLock<engine::table::Tables> = std::sync::OnceLock::new();
    TABLES.get_or_init(|| engine::table::Tables::load().expect("the tables are sound"))
}
