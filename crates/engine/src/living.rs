//! The living bin: decay, air, water, heat, salt and worms, carried through
//! time together with the acid and base of the bed.
//!
//! One process per file, each a short pure function of what it needs; `step`
//! joins them, and `post` moves every flow once, from one pool to another.

pub mod air;
pub mod airless;
pub mod breath;
pub mod chain;
pub mod comfort;
pub mod constants;
pub mod deaths;
pub mod draining;
mod drying;
mod dwell;
pub mod growth;
pub mod habitat;
pub mod heat;
pub mod home;
pub mod in_place;
pub mod ledger;
pub mod life;
pub mod load;
pub mod microbes;
pub mod moment;
pub mod mortality;
pub mod nature;
pub mod nitrogen;
mod now;
pub mod observe;
mod pace;
pub mod population;
mod post;
mod profile;
pub mod room;
pub mod rot;
mod rotting;
pub mod salt;
pub mod signs;
mod souring;
pub mod species;
pub mod step;
mod stock;
mod tissue;
pub mod tolerance;
pub mod trouble;
pub mod walls;
pub mod warmth;
pub mod water;
pub mod worms;
