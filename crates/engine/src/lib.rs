//! The science of a worm bin, and nothing else: numbers with sources, the
//! chemistry of bedding, what readings are worth, estimates with their spread,
//! and dose plans. Text and values come in, values go out.
//!
//! Rooms, in the order they depend on one another:
//! [`quantity`] and [`bounds`] ← [`table`] ← [`measure`] ← [`chemistry`] ←
//! [`bed`] ← [`reading`] ← [`estimate`] ← [`dose`] ← [`validation`], which holds
//! the rest against what has been published. [`what_if`], [`away`] and
//! [`weather`] look ahead of an estimate under other plans; [`log`] holds the words a
//! keeper's entries are written in.

pub mod advice;
pub mod away;
pub mod bed;
pub mod bounds;
pub mod chemistry;
pub mod dose;
mod echo;
pub mod estimate;
pub mod living;
pub mod log;
pub mod measure;
pub mod quantity;
pub mod ration;
pub mod reading;
pub mod scenario;
pub mod table;
pub mod validation;
pub mod weather;
pub mod what_if;

pub use echo::echo;
