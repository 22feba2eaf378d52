//! What is handed in to be written.

use engine::log::{BinId, Body};

/// An entry to be written; the store gives it its number.
#[derive(Debug, Clone, PartialEq)]
pub struct New {
    /// The bin it is about; `None` for the shed and settings.
    pub bin: Option<BinId>,
    /// When it was seen or done [s since 1970-01-01 00:00 UTC].
    pub at_unix_seconds: i64,
    /// Name of the time zone the keeper was in, such as `Europe/Paris`.
    pub zone: String,
    /// When it was written down [s since 1970-01-01 00:00 UTC].
    pub written_unix_seconds: i64,
    /// What was seen or done.
    pub body: Body,
    /// The one-time key of the form it comes from: the same key writes once.
    pub once: Option<String>,
    /// Written as part of the invented shelf.
    pub demo: bool,
    /// Not to be written when the same was written within so many seconds.
    pub not_again: Option<i64>,
}

impl New {
    /// An entry of the keeper's own, written down when it was seen or done.
    #[must_use]
    pub fn at(at_unix_seconds: i64, zone: impl Into<String>, body: Body) -> Self {
        Self {
            bin: None,
            at_unix_seconds,
            zone: zone.into(),
            written_unix_seconds: at_unix_seconds,
            body,
            once: None,
            demo: false,
            not_again: None,
        }
    }

    /// About this bin.
    #[must_use]
    pub fn about(mut self, bin: impl Into<Option<BinId>>) -> Self {
        self.bin = bin.into();
        self
    }

    /// Written down at this time [s since 1970-01-01 00:00 UTC].
    #[must_use]
    pub fn written(mut self, unix_seconds: i64) -> Self {
        self.written_unix_seconds = unix_seconds;
        self
    }

    /// With the one-time key of its form.
    #[must_use]
    pub fn once(mut self, key: impl Into<Option<String>>) -> Self {
        self.once = key.into();
        self
    }

    /// Not to be written when the same was written within so many seconds.
    #[must_use]
    pub fn not_again(mut self, seconds: impl Into<Option<i64>>) -> Self {
        self.not_again = seconds.into();
        self
    }

    /// As part of the invented shelf, or not.
    #[must_use]
    pub fn demo(mut self, demo: bool) -> Self {
        self.demo = demo;
        self
    }
}

/// A bin to be made with its first entries. The store gives the bin its number
/// and sets it in each.
#[derive(Debug, Clone, PartialEq)]
pub struct NewBin {
    /// Its description, a [`Body::Bin`].
    pub description: New,
    /// What it was filled with, the worms put in, and so on.
    pub entries: Vec<New>,
}
