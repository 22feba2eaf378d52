//! Chemistry of the bed: one process per file.

pub mod ammonia;
pub mod ash;
pub mod lime;
pub mod neutralising;
pub mod pore;
pub mod sites;
