//! How likely what a keeper said, counted or measured is, given one possible
//! bin.
//!
//! Every answer is a probability model with a floor: keepers mis-say. Words of
//! one sense (a squeeze class, where the worms are) exclude each other and
//! their probabilities sum to one; words of different senses are independent
//! given the signs of the bin. What an entry does not say of something strong
//! carries a little weight. All numbers are rows of `observations.csv`.
//!
//! Nothing here allocates per call: an ensemble asks thousands of times. pH
//! readings and jar tests are weighed elsewhere ([`crate::estimate`]).

pub mod chance;
pub mod count;
pub mod gain;
pub mod gauge;
pub mod level;
pub mod place;
pub mod question;
pub mod smell;
pub mod state;
pub mod tare;
pub mod tray;

pub use gauge::Gauge;
pub use level::Level;
pub use question::{Answers, Question};
pub use tare::Tare;

use crate::living::signs::Signs;
use crate::log::{BinDescription, Reading, TrayTest, Walls, Word};
use crate::table::{TableError, Tables};
use question::{GROUPS, Group, QUESTIONS};

/// Name of the table.
const TABLE: &str = "observations";
/// Least probability of anything, for its logarithm's sake.
const LEAST: f64 = 1e-9;

/// The value of one row of the table.
fn row(tables: &Tables, subject: &str, property: &str) -> Result<f64, TableError> {
    tables.value(TABLE, subject, property)
}

/// Rates of saying what is not there and of not saying what plainly is
/// [0 to 1].
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rates {
    false_say: f64,
    missed: f64,
}

impl Rates {
    fn load(tables: &Tables, subject: &str) -> Result<Self, TableError> {
        Ok(Self {
            false_say: row(tables, subject, "false_say")?,
            missed: row(tables, subject, "missed")?,
        })
    }

    /// Chance that it is said when it shows with strength `shows` [0 to 1].
    fn said(&self, shows: f64) -> f64 {
        self.false_say + (1.0 - self.false_say - self.missed) * shows
    }
}

/// All observation models, with their numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Sayings {
    smell: smell::Smell,
    place: place::Places,
    state: state::State,
    counts: count::Counts,
    gauges: gauge::Gauges,
    levels: level::Levels,
    tares: tare::Tares,
    trays: tray::Trays,
    minutes: gain::Minutes,
    silence_unasked: f64,
    silence_answered: f64,
}

impl Sayings {
    /// Reads the numbers.
    ///
    /// # Errors
    /// [`TableError`] when one is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        Ok(Self {
            smell: smell::Smell::load(tables)?,
            place: place::Places::load(tables)?,
            state: state::State::load(tables)?,
            counts: count::Counts::load(tables)?,
            gauges: gauge::Gauges::load(tables)?,
            levels: level::Levels::load(tables)?,
            tares: tare::Tares::load(tables)?,
            trays: tray::Trays::load(tables)?,
            minutes: gain::Minutes::load(tables)?,
            silence_unasked: row(tables, "silence", "unasked")?,
            silence_answered: row(tables, "silence", "answered")?,
        })
    }

    /// Probabilities of the answers to one question, in the order of
    /// [`Question`]; they sum to one.
    #[must_use]
    pub fn answers(&self, question: Question, signs: &Signs) -> Answers {
        match question {
            Question::Squeeze => self.state.squeeze(signs),
            Question::Sour => Answers::yes(self.smell.sour(signs)),
            Question::Rotten => Answers::yes(self.smell.rotten(signs)),
            Question::Ammonia => Answers::yes(self.smell.ammonia(signs)),
            Question::Earthy => Answers::yes(self.smell.earthy(signs)),
            Question::Place => self.place.place(signs),
            Question::Strays => self.place.strays(signs),
            Question::Condition => self.state.condition(signs),
            Question::Dead => Answers::yes(self.state.dead(signs)),
            Question::Food => self.state.food(signs),
            Question::Condensation => Answers::yes(self.state.condensation(signs)),
            Question::Pooling => Answers::yes(self.state.pooling(signs)),
            Question::Mould => Answers::yes(self.state.mould(signs)),
            Question::Mites => Answers::yes(self.state.mites(signs)),
            Question::Potworms => Answers::yes(self.state.potworms(signs)),
            Question::Flies => Answers::yes(self.state.flies(signs)),
            Question::Feel => self.state.feel(signs),
        }
    }

    /// Log probability that a keeper who answers this word's question says
    /// this word. Always finite.
    #[must_use]
    pub fn word_log_likelihood(&self, word: Word, signs: &Signs) -> f64 {
        let (question, mask) = question::asked(word);
        self.chance(question, mask, signs).ln()
    }

    /// Log likelihood of all words of one entry. Words of one sense given
    /// together count as "one of these"; what is not said of something strong
    /// counts with the weight of `silence`. An entry without words says
    /// nothing. Always finite.
    #[must_use]
    pub fn words_log_likelihood(&self, words: &[Word], signs: &Signs) -> f64 {
        if words.is_empty() {
            return 0.0;
        }
        let mut masks = [0u8; QUESTIONS];
        let mut answered = [false; GROUPS];
        for word in words {
            let (question, mask) = question::asked(*word);
            masks[question as usize] |= mask;
            answered[question.group() as usize] = true;
        }
        let mut log = 0.0;
        for question in Question::ALL {
            let mask = masks[question as usize];
            if mask != 0 {
                log += self.chance(question, mask, signs).ln();
            }
        }
        log + self.silence(&masks, &answered, signs)
    }

    /// Worms that live where these words were said; `None` where no word tells of
    /// a live one.
    #[must_use]
    pub fn least_alive(&self, words: &[Word]) -> Option<f64> {
        words
            .iter()
            .any(|w| question::tells_of_live_worms(*w))
            .then_some(self.place.to_be_seen)
    }

    fn chance(&self, question: Question, mask: u8, signs: &Signs) -> f64 {
        let answers = self.answers(question, signs);
        let mut sum = answers.of_mask(mask);
        // "Outside the bin", without how many: some of those who see a few.
        let few_too = mask & question::FEW == 0 && mask & question::LEFT != 0;
        if question == Question::Strays && few_too {
            sum += self.place.left_few_share * answers.chances[1];
        }
        sum.max(LEAST)
    }

    /// How often a keeper who writes of these words tells of something strong
    /// besides, when it is there and of that question [0 to 1]: the weight its
    /// silence has.
    #[must_use]
    pub fn volunteers(&self, question: Question, words: &[Word]) -> f64 {
        let group = question.group();
        let near = words.iter().any(|w| question::asked(*w).0.group() == group);
        if near {
            self.silence_answered
        } else {
            self.silence_unasked
        }
    }

    /// Weight of what was not said of strong things.
    fn silence(&self, masks: &[u8; QUESTIONS], answered: &[bool; GROUPS], signs: &Signs) -> f64 {
        let (mut near, mut far) = (1.0, 1.0);
        // "Earthy" has said already that no bad smell was there.
        let earthy = masks[Question::Earthy as usize] != 0;
        // Who tells that the worms are out of the bedding has looked at the lid
        // and has told of the worst: that nobody wrote of strays or of dead in
        // the bedding says nothing of how bad it is.
        let out = masks[Question::Place as usize] & question::OUT_OF_PLACE != 0
            || masks[Question::Strays as usize] & question::STRAYING != 0;
        for question in Question::STRONG {
            let group = question.group();
            let told = earthy && group == Group::Smell || out && group == Group::Worms;
            if masks[question as usize] != 0 || told {
                continue;
            }
            let answers = self.answers(question, signs);
            let not = (1.0 - answers.of_mask(question.strong_mask())).max(LEAST);
            if answered[group as usize] {
                near *= not;
            } else {
                far *= not;
            }
        }
        let log = |product: f64, weight: f64| {
            if product < 1.0 {
                weight * product.ln()
            } else {
                0.0
            }
        };
        log(near, self.silence_answered) + log(far, self.silence_unasked)
    }

    /// Log probability of finding this many worms in so many litres
    /// (`None`: in the whole bin); see [`count`].
    #[must_use]
    pub fn count_log_likelihood(&self, found: f64, litres: Option<f64>, signs: &Signs) -> f64 {
        self.counts.count(found, litres, signs)
    }

    /// Log likelihood of a weighed find [g]; see [`count`].
    #[must_use]
    pub fn weighed_log_likelihood(&self, grams: f64, from: count::Weighed, signs: &Signs) -> f64 {
        self.counts.weighed(grams, from, signs)
    }

    /// Log likelihood of a whole worm count entry: number, mass or both.
    #[must_use]
    pub fn worm_count_log_likelihood(&self, seen: &count::Found, signs: &Signs) -> f64 {
        self.counts.entry(seen, signs)
    }

    /// A reading made ready to weigh by; `None` for what is weighed elsewhere
    /// (pH), is no evidence (air), needs [`Sayings::mass`] (bin mass), or has
    /// no finite spot.
    #[must_use]
    pub fn gauge(&self, reading: &Reading) -> Option<Gauge> {
        self.gauges.ready(reading)
    }

    /// The depth of bedding a description gives, made ready to weigh by.
    #[must_use]
    pub fn level(&self, bin: &BinDescription) -> Option<Level> {
        self.levels.ready(bin)
    }

    /// Log likelihood of a reading, up to a constant; 0 where
    /// [`Sayings::gauge`] gives none. To weigh many members make the gauge
    /// once.
    #[must_use]
    pub fn reading_log_likelihood(&self, reading: &Reading, signs: &Signs) -> f64 {
        self.gauge(reading).map_or(0.0, |g| g.log_likelihood(signs))
    }

    /// What an empty bin may weigh before any reading.
    #[must_use]
    pub fn tare(&self, (length_cm, width_cm, depth_cm): (f64, f64, f64), walls: Walls) -> Tare {
        self.tares.prior((length_cm, width_cm, depth_cm), walls)
    }

    /// Log likelihood of a gross mass [kg], up to a constant, and what it
    /// teaches of the tare; see [`tare`].
    #[must_use]
    pub fn mass(&self, gross_kg: f64, tare: Tare, signs: &Signs) -> (f64, Tare) {
        self.tares.heard(gross_kg, tare, signs)
    }

    /// Log likelihood of a half-and-half tray test of this bin's bedding.
    #[must_use]
    pub fn tray_log_likelihood(&self, test: &TrayTest, signs: &Signs) -> f64 {
        self.trays.tray(test, signs)
    }

    /// Log likelihood, weak, of a harvest of so much wet mass [kg], given the
    /// signs just before it.
    #[must_use]
    pub fn harvest_log_likelihood(&self, wet_kg: f64, signs: &Signs) -> f64 {
        self.trays.harvest(wet_kg, signs)
    }
}
