//! What to do about an acid, or an over-limed, bed: how much of what is in
//! the shed, in which steps, and how to know that it worked.

pub mod answer;
pub mod consequence;
pub mod option;
pub mod plan;
pub mod tray;

pub use answer::{Answer, Ask, Direction, Refused, ShedProduct, answer};
