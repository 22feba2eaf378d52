//! Tables: every number with its unit, range and source.
