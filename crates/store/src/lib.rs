//! The store.
