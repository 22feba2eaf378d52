//! The log as a file, through the program itself: what may not be lost by
//! export, backup, restore, demo, a file taken away or a file damaged.
//! `BEDWRIGHT=PATH cargo test -p app --test keeping` tries another build.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot read its own data has failed"
)]

mod keeping {
    mod away;
    mod clocks;
    mod damage;
    mod demo;
    mod files;
    mod home;
    #[cfg(unix)]
    mod limits;
    mod meant;
    mod odd;
    #[cfg(unix)]
    mod others;
    #[cfg(unix)]
    mod places;
    mod rolling;
    mod serving;
    mod settled;
    #[cfg(unix)]
    mod unwritable;
}
