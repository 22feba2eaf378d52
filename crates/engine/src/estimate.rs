//! How is it in there now: an ensemble of possible beds, carried through the
//! log and weighed by what the keeper read.

pub mod ahead;
pub mod along;
pub mod ensemble;
pub mod filter;
pub mod hands;
pub mod jar;
pub mod live;
pub mod moves;
pub mod outlook;
mod room;
pub mod scene;
mod script;
pub mod settled;
pub mod standing;
pub mod timeline;
pub mod track;
pub mod tuning;
mod ways;

pub use ensemble::{Ensemble, Possible};
pub use filter::{
    Along, Estimate, EstimateError, FedThen, Heard, Lesson, Setup, estimate, estimate_along,
    estimate_told,
};
pub use hands::Hands;
pub use scene::Scene;
pub use timeline::{LeftOut, Told, left_out, usable};
pub use track::{Moment, Track};
