//! Looking ahead for the keeper: heat and cold by the hour, an absence, what
//! if; held against physics by hand and against what keepers told.

// Helper functions of tests may unwrap as the tests themselves do.
#![allow(clippy::unwrap_used)]

#[path = "planning/away.rs"]
mod away;
#[path = "planning/bins.rs"]
mod bins;
#[path = "planning/troubles.rs"]
mod troubles;
#[path = "planning/weather.rs"]
mod weather;
#[path = "planning/what_if.rs"]
mod what_if;
