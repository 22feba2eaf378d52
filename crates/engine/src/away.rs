//! An absence: what to do before leaving, and how long the bin does without
//! its keeper.
