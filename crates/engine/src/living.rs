//! The living bin: decay, air, water, heat, salt and worms, carried through
//! time together with the acid and base of the bed.
//!
//! One process per file, each a short pure function of what it needs; `step`
//! joins them and posts every flow once, from one pool to another.

pub mod breath;
pub mod growth;
pub mod habitat;
pub mod mortality;
pub mod population;
pub mod signs;
pub mod species;
mod stock;
pub mod tolerance;
pub mod warmth;
pub mod worms;
