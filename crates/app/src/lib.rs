//! The app.
pub mod chart;
pub mod report;
pub mod web;
