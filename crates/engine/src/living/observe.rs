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
pub mod keeper;
pub mod level;
pub mod place;
pub mod question;
pub mod said;
pub mod smell;
pub mod state;
pub mod tare;
pub mod tray;
pub mod unseen;

pub use gauge::{Gauge, GaugeKind};
pub use keeper::{Keeper, Keepers};
pub use level::Level;
pub use question::{Answers, Question};
pub use said::Said;
pub use tare::Tare;
pub use unseen::{Cause, Causes, Unseen};

use crate::living::signs::Signs;
use crate::log::{BinDescription, Reading, TrayTest, Walls, Word};
use crate::table::{TableError, Tables};
use said::Heard;

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
    keepers: keeper::Keepers,
    causes: unseen::Causes,
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
            keepers: keeper::Keepers::load(tables)?,
            causes: unseen::Causes::load(tables)?,
            silence_unasked: row(tables, "silence", "unasked")?,
            silence_answered: row(tables, "silence", "answered")?,
        })
    }

    /// How keepers differ.
    #[must_use]
    pub fn keepers(&self) -> &Keepers {
        &self.keepers
    }

    /// How causes outside the model come and go, for [`Unseen::carry`].
    #[must_use]
    pub fn causes(&self) -> &Causes {
        &self.causes
    }

    /// Probabilities of the answers to one question, in the order of
    /// [`Question`]; they sum to one.
    #[must_use]
    pub fn answers(&self, question: Question, signs: &Signs) -> Answers {
        self.answers_by(question, signs, &Keeper::default())
    }

    /// The same of this keeper.
    #[must_use]
    pub fn answers_by(&self, question: Question, signs: &Signs, keeper: &Keeper) -> Answers {
        match question {
            Question::Squeeze => self.state.squeeze(signs, keeper.squeeze_points),
            Question::Sour => Answers::yes(self.smell.sour(signs, keeper.nose())),
            Question::Rotten => Answers::yes(self.smell.rotten(signs, keeper.nose())),
            Question::Ammonia => Answers::yes(self.smell.ammonia(signs, keeper.nose())),
            Question::Earthy => Answers::yes(self.smell.earthy(signs, keeper.nose())),
            Question::Place => self.place.place(signs),
            Question::Strays => self.place.strays(signs),
            Question::Condition => self.state.condition(signs),
            Question::Dead => Answers::yes(self.state.dead(signs)),
            Question::Food => self.state.food(signs, keeper.food_classes),
            Question::Condensation => Answers::yes(self.state.condensation(signs)),
            Question::Pooling => Answers::yes(self.state.pooling(signs)),
            Question::Mould => Answers::yes(self.state.mould(signs)),
            Question::Mites => Answers::yes(self.state.mites(signs)),
            Question::Potworms => Answers::yes(self.state.potworms(signs)),
            Question::Flies => Answers::yes(self.state.flies(signs)),
            Question::Feel => self.state.feel(signs, keeper.warmth_kelvin),
        }
    }

    /// The same where there is this cause outside the model.
    #[must_use]
    pub fn answers_under(
        &self,
        cause: Cause,
        question: Question,
        signs: &Signs,
        keeper: &Keeper,
    ) -> Answers {
        let mut answers = self.answers_by(question, signs, keeper);
        for effect in &self.causes.effects {
            if effect.question == question && effect.cause == cause as usize {
                answers = effect.on(&answers, signs);
            }
        }
        answers
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
        let heard = Heard::of(words);
        let mut log = 0.0;
        for question in Question::ALL {
            let mask = heard.masks[question as usize];
            if mask != 0 {
                log += self.chance(question, mask, signs).ln();
            }
        }
        log + self.silence(&heard, signs)
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
        self.of_answers(question, mask, &answers).max(LEAST)
    }

    /// Chance of one of the marked answers [0 to 1].
    fn of_answers(&self, question: Question, mask: u8, answers: &Answers) -> f64 {
        let sum = answers.of_mask(mask);
        // "Outside the bin", without how many: some of those who see a few.
        let few_too = mask & question::FEW == 0 && mask & question::LEFT != 0;
        if question == Question::Strays && few_too {
            sum + self.place.left_few_share * answers.chances[1]
        } else {
            sum
        }
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
    fn silence(&self, heard: &Heard, signs: &Signs) -> f64 {
        let (mut near, mut far) = (1.0, 1.0);
        for question in Question::STRONG {
            if !heard.silent_of(question) {
                continue;
            }
            let answers = self.answers(question, signs);
            let not = (1.0 - answers.of_mask(question.strong_mask())).max(LEAST);
            if heard.near(question) {
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
        self.counts.count(found, litres, signs, 1.0)
    }

    /// Log likelihood of a weighed find [g]; see [`count`].
    #[must_use]
    pub fn weighed_log_likelihood(&self, grams: f64, from: count::Weighed, signs: &Signs) -> f64 {
        self.counts.weighed(grams, from, signs, 1.0)
    }

    /// Log likelihood of a whole worm count entry: number, mass or both.
    #[must_use]
    pub fn worm_count_log_likelihood(&self, seen: &count::Found, signs: &Signs) -> f64 {
        self.worm_count_log_likelihood_by(seen, signs, &Keeper::default())
    }

    /// The same of this keeper, who finds more or fewer of those there are.
    #[must_use]
    pub fn worm_count_log_likelihood_by(
        &self,
        seen: &count::Found,
        signs: &Signs,
        keeper: &Keeper,
    ) -> f64 {
        self.counts.entry(seen, signs, keeper.count_ln.exp())
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
