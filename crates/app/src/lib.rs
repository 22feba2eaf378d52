//! The app.
