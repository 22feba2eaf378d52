//! How far a long answer is, in one line on standard error that is wiped when
//! the answer comes.

use std::io::Write;
use std::time::{Duration, Instant};

/// Nothing is shown before.
const PATIENCE: Duration = Duration::from_secs(1);
/// Nor more often than this.
const BETWEEN: Duration = Duration::from_millis(100);
/// Width of the bar in letters.
const WIDTH: usize = 30;

/// A bar.
#[derive(Debug)]
pub struct Bar {
    on: bool,
    what: &'static str,
    begun: Instant,
    drawn: Option<Instant>,
}

impl Bar {
    /// A bar that stays dark for a second; always dark unless `on`.
    #[must_use]
    pub fn new(on: bool, what: &'static str) -> Self {
        Self {
            on,
            what,
            begun: Instant::now(),
            drawn: None,
        }
    }

    /// How far it is [0 to 1].
    pub fn at(&mut self, done: f64) {
        let early = self.begun.elapsed() < PATIENCE;
        let drawn_lately = self.drawn.is_some_and(|t| t.elapsed() < BETWEEN);
        if !self.on || early || drawn_lately {
            return;
        }
        self.drawn = Some(Instant::now());
        // A bar that cannot be drawn is no reason to stop.
        let _ = write!(std::io::stderr(), "\r{}", line(self.what, done));
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        if self.drawn.is_some() {
            let _ = write!(std::io::stderr(), "\r\x1b[K");
        }
    }
}

fn line(what: &str, done: f64) -> String {
    let done = done.clamp(0.0, 1.0);
    let full = (done * WIDTH as f64).round() as usize;
    format!(
        "{what} [{}{}] {:3.0} %",
        "#".repeat(full),
        ".".repeat(WIDTH - full),
        100.0 * done
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_is_as_full_as_the_work_is_done() {
        assert_eq!(
            line("reading", 0.5),
            "reading [###############...............]  50 %"
        );
        assert_eq!(line("x", 7.0).matches('#').count(), WIDTH);
        assert_eq!(line("x", 0.0).matches('#').count(), 0);
    }
}
