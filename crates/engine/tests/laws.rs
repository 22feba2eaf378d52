//! Laws: what must hold for any bedding, any dose and any log.

#![allow(clippy::unwrap_used)] // tests may unwrap

#[path = "laws/bed.rs"]
mod bed;
#[path = "laws/estimate.rs"]
mod estimate;
#[path = "laws/story.rs"]
mod story;
