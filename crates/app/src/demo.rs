//! placeholder
use crate::desk::{Desk, DeskError};
/// Opens.
/// # Errors
/// none
pub fn open(_desk: &Desk) -> Result<(), DeskError> { Ok(()) }
