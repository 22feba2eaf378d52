//! Bedwright.
fn main() {}
