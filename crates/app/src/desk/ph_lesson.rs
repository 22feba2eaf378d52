//! How far a pH reading moved the estimate of the bed, and why no further.

use super::BinState;
use crate::report;
use engine::estimate::Lesson;
use engine::estimate::track::Track;
use engine::quantity::Band;

/// A pH reading beside the estimate before and after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhLesson {
    /// As read, on the 1:5 water scale.
    pub read: f64,
    /// Half of the 80 % range of the reading by itself [pH].
    pub reading_half_width: f64,
    /// Spots read.
    pub spots: usize,
    /// Taken just after a dose or watering.
    pub local: bool,
    /// Estimate before.
    pub before: Band,
    /// Estimate after.
    pub after: Band,
}

/// Difference under which a reading is what was expected [pH].
const AS_EXPECTED: f64 = 0.1;
/// Share of the way from which the estimate is said to have followed.
const FOLLOWED: f64 = 0.5;

impl PhLesson {
    /// Of an entry; `None` where it was no pH reading.
    #[must_use]
    pub fn of(state: &BinState, lesson: &Lesson) -> Option<Self> {
        let e = state.estimate.as_ref().ok()?;
        let heard = e.heard.iter().find(|h| h.entry == lesson.entry)?;
        let is_ph = |f: &&(Track, Band, Band)| f.0 == Track::Ph;
        let (_, before, after) = lesson.figures.iter().find(is_ph)?;
        Some(Self {
            read: heard.mean,
            reading_half_width: heard.half_width,
            spots: heard.spots,
            local: heard.settling.is_local(),
            before: *before,
            after: *after,
        })
    }

    /// Estimate and reading apart, before it was heard [pH].
    #[must_use]
    pub fn apart(&self) -> f64 {
        (self.read - self.before.median).abs()
    }

    /// How far the estimate went towards the reading [pH]; under 0 for away.
    #[must_use]
    pub fn moved(&self) -> f64 {
        (self.after.median - self.before.median) * (self.read - self.before.median).signum()
    }

    /// In plain words.
    #[must_use]
    pub fn words(&self) -> String {
        let read = report::ph(self.read);
        if self.apart() < AS_EXPECTED {
            return format!("It read {read}, which is what was expected.");
        }
        let apart = hundredths(self.apart());
        let moved = match self.moved() {
            m if m < 0.005 => {
                format!("It read {read}, {apart} from what was believed, and did not move it.")
            }
            m => format!(
                "It read {read}, {apart} from what was believed, and moved it {} of that.",
                hundredths(m)
            ),
        };
        match self.why_no_further() {
            why if why.is_empty() => moved,
            why => format!("{moved} {why}"),
        }
    }

    fn why_no_further(&self) -> String {
        if self.moved() >= FOLLOWED * self.apart() {
            return String::new();
        }
        if self.local {
            return "It was taken just after a dose or watering: it shows that place, and says little of the bed.".to_owned();
        }
        let mut why = vec![format!(
            "By itself this reading is good to ± {}, most of it the instrument's own error; the bed was held to ± {} already, by what went in and what was read before.",
            report::decimals(self.reading_half_width, 1),
            report::decimals(self.before.half_width(), 1)
        )];
        if self.spots == 1 {
            why.push(
                "One spot speaks first for that spot; three or more speak for the bed.".into(),
            );
        }
        why.join(" ")
    }
}

/// A small difference of pH: `0.05`, `0.4`.
fn hundredths(value: f64) -> String {
    if value < 0.095 {
        report::decimals(value, 2)
    } else {
        report::decimals(value, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(median: f64, half: f64) -> Band {
        Band {
            median,
            low: median - half,
            high: median + half,
        }
    }

    fn lesson(read: f64, before: f64, after: f64) -> PhLesson {
        PhLesson {
            read,
            reading_half_width: 0.41,
            spots: 3,
            local: false,
            before: band(before, 0.3),
            after: band(after, 0.25),
        }
    }

    #[test]
    fn a_reading_that_moved_little_says_how_little_and_why() {
        let said = lesson(4.8, 5.3, 5.25).words();
        assert!(said.contains("0.5 from what was believed"), "{said}");
        assert!(said.contains("moved it 0.05 of that"), "{said}");
        assert!(said.contains("good to ± 0.4"), "{said}");
        assert!(said.contains("held to ± 0.3"), "{said}");
        assert!(!said.contains("spot speaks"), "{said}");
        let one = PhLesson {
            spots: 1,
            ..lesson(4.8, 5.3, 5.3)
        };
        assert!(one.words().contains("did not move it"));
        assert!(one.words().contains("One spot speaks first"));
    }

    #[test]
    fn a_local_reading_and_one_that_was_followed_say_so() {
        let local = PhLesson {
            local: true,
            ..lesson(7.5, 5.3, 5.35)
        };
        assert!(local.words().contains("just after a dose or watering"));
        let followed = lesson(4.8, 5.6, 5.0).words();
        assert!(followed.ends_with("moved it 0.6 of that."), "{followed}");
        assert!(lesson(5.3, 5.3, 5.3).words().contains("what was expected"));
    }
}
