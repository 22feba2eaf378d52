//! The bed: what is in a bin, what it does to acid and base, and how doses
//! spread and act in it.

pub mod curve;
pub mod draw;
pub mod fill;
mod grains;
pub mod judge;
pub mod possible;
pub mod product;
pub mod reasons;
pub mod risk;
pub mod soak;
pub mod squeeze;
pub mod weights;
