//! Every row of every table keeps the rules, and the numbers that were read
//! in print are the ones in the tables.

// Helper functions of tests may unwrap as the tests themselves do.
#![allow(clippy::unwrap_used)]

#[path = "tables/amounts.rs"]
mod amounts;
#[path = "tables/published.rs"]
mod published;
#[path = "tables/rules.rs"]
mod rules;
#[path = "tables/words.rs"]
mod words;

use engine::table::Tables;

fn tables() -> Tables {
    Tables::load().unwrap_or_else(|e| panic!("{e}"))
}
