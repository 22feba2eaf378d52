//! Shelf, bins, log, corrections and the living bin through the pages, on a
//! log in memory.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

mod pages_desk {
    mod amounts;
    mod cannot_be;
    mod corrections;
    mod entries;
    mod filling;
    mod front_door;
    mod living;
    mod long_log;
    mod newcomer;
    mod once;
    mod plain_words;
    mod refusals;
    mod shelf;
    mod shown_in;
    mod strict;
    mod times;
}
