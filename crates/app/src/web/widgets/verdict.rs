//! A verdict: its drift, its shape, its word and its line.

use askama::Template;

/// The drift of a verdict. Each has its own shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drift {
    /// Go on: a plain ring.
    Good,
    /// Wait, or look: a half-filled ring.
    Wait,
    /// Act, or do not: a crossed square.
    Stop,
    /// Not known: a broken ring.
    Unknown,
}

impl Drift {
    /// Its class and shape name.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Wait => "wait",
            Self::Stop => "stop",
            Self::Unknown => "unknown",
        }
    }

    /// Its shape.
    #[must_use]
    pub fn shape(self) -> Shape {
        Shape(self)
    }
}

/// The shape of a drift.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Template)]
#[template(path = "parts/shape.html")]
pub struct Shape(pub Drift);

/// A verdict: a word, a shape, a line.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/verdict.html")]
pub struct Verdict {
    /// Drift.
    pub drift: Drift,
    /// The word: `Ready`, `Not for worms`.
    pub word: String,
    /// The line.
    pub line: String,
}
