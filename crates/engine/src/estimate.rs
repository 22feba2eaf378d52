//! How is it in there now: an ensemble of possible beds, carried through the
//! log and weighed by what the keeper read.

pub mod ahead;
pub mod ensemble;
pub mod filter;
pub mod jar;
pub mod live;
pub mod outlook;
pub mod scene;
pub mod timeline;
pub mod track;

pub use ensemble::{Ensemble, Possible};
pub use filter::{Estimate, EstimateError, FedThen, Heard, Setup, estimate, estimate_told};
pub use scene::Scene;
pub use timeline::Told;
pub use track::{Moment, Track};
