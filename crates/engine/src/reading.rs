//! What a pH reading is worth: instruments and their error, several spots
//! made one, readings that cannot be, and readings taken too soon.

pub mod calibration;
pub mod combine;
mod contents;
pub mod doubt;
pub mod early;
pub mod instrument;
pub mod medium;
pub mod question;
pub mod settling;
