//! Which words answer the same question, and so exclude each other.

use crate::log::Word;

/// What an eye, nose or hand is asked. Answers stand in the order named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// Dusty, weak ball, drops, several drops, trickle, stream.
    Squeeze,
    /// Sour smell: said, not said.
    Sour,
    /// Rotten smell: said, not said.
    Rotten,
    /// Smell of ammonia: said, not said.
    Ammonia,
    /// Earthy smell: said, not said.
    Earthy,
    /// Where the worms are: spread, climbing, edge, ball, none to be seen.
    Place,
    /// Out at night: none, a few, many.
    Strays,
    /// Plump, thin, none to be seen.
    Condition,
    /// Dead worms: said, not said.
    Dead,
    /// Last food: gone, half, most.
    Food,
    /// Droplets: said, not said.
    Condensation,
    /// Standing liquid: said, not said.
    Pooling,
    /// White mould: said, not said.
    Mould,
    /// Many mites: said, not said.
    Mites,
    /// Potworms: said, not said.
    Potworms,
    /// Flies: said, not said.
    Flies,
    /// Cold, neither, warm to the hand.
    Feel,
}

/// How many questions there are.
pub(super) const QUESTIONS: usize = 17;

/// The sense a question belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Group {
    /// Nose.
    Smell,
    /// The worms themselves.
    Worms,
    /// Water.
    Water,
    /// Food and its guests.
    Food,
    /// Warmth.
    Warmth,
}

/// How many groups there are.
pub(super) const GROUPS: usize = 5;

/// Mask of "a few out at night".
pub(super) const FEW: u8 = 0b010;
/// Mask of "found outside", with no number: many, and a mark of its own.
pub(super) const LEFT: u8 = 0b1000_0000;

/// Mask of worms that climb, sit at the edge or ball.
pub(super) const OUT_OF_PLACE: u8 = 0b0_1110;
/// Mask of a few or many out at night.
pub(super) const STRAYING: u8 = 0b110;

/// Whether a word tells of worms alive in the bin.
pub(super) const fn tells_of_live_worms(word: Word) -> bool {
    matches!(
        word,
        Word::WormsSpread
            | Word::WormsClimbing
            | Word::WormsAtEdge
            | Word::WormsBalled
            | Word::WormsStrayFew
            | Word::WormsStrayMany
            | Word::WormsPlump
            | Word::WormsThin
    )
}

impl Question {
    /// All questions.
    pub const ALL: [Self; QUESTIONS] = [
        Self::Squeeze,
        Self::Sour,
        Self::Rotten,
        Self::Ammonia,
        Self::Earthy,
        Self::Place,
        Self::Strays,
        Self::Condition,
        Self::Dead,
        Self::Food,
        Self::Condensation,
        Self::Pooling,
        Self::Mould,
        Self::Mites,
        Self::Potworms,
        Self::Flies,
        Self::Feel,
    ];

    /// Those about something strong, that a keeper would have said.
    pub const STRONG: [Self; 8] = [
        Self::Sour,
        Self::Rotten,
        Self::Ammonia,
        Self::Place,
        Self::Strays,
        Self::Dead,
        Self::Pooling,
        Self::Feel,
    ];

    /// The word for one of its answers, counted as in
    /// [`super::Sayings::answers`]; `None` where nothing is said.
    #[must_use]
    pub fn word(self, answer: usize) -> Option<Word> {
        let mask = 1u8.checked_shl(u32::try_from(answer).ok()?)?;
        Word::ALL
            .into_iter()
            .find(|word| asked(*word) == (self, mask))
    }

    /// Whether a word answers it.
    #[must_use]
    pub fn is_of(self, word: Word) -> bool {
        asked(word).0 == self
    }

    /// Whether this answer is of something strong, that a keeper may tell of
    /// without being asked.
    #[must_use]
    pub fn is_strong(self, answer: usize) -> bool {
        Self::STRONG.contains(&self) && self.strong_mask() >> answer & 1 == 1
    }

    pub(super) const fn group(self) -> Group {
        match self {
            Self::Sour | Self::Rotten | Self::Ammonia | Self::Earthy => Group::Smell,
            Self::Place | Self::Strays | Self::Condition | Self::Dead => Group::Worms,
            Self::Squeeze | Self::Condensation | Self::Pooling => Group::Water,
            Self::Food | Self::Mould | Self::Mites | Self::Potworms | Self::Flies => Group::Food,
            Self::Feel => Group::Warmth,
        }
    }

    /// The answers whose absence says something.
    pub(super) const fn strong_mask(self) -> u8 {
        match self {
            // Climbing.
            Self::Place => 0b10,
            // Many.
            Self::Strays => 0b100,
            // Cold or warm.
            Self::Feel => 0b101,
            _ => 0b1,
        }
    }
}

/// The question a word answers, and which of its answers it is.
pub(super) const fn asked(word: Word) -> (Question, u8) {
    use Question as Q;
    match word {
        Word::SqueezeDusty => (Q::Squeeze, 1),
        Word::SqueezeWeak => (Q::Squeeze, 1 << 1),
        Word::SqueezeDrops => (Q::Squeeze, 1 << 2),
        Word::SqueezeSeveral => (Q::Squeeze, 1 << 3),
        Word::SqueezeTrickle => (Q::Squeeze, 1 << 4),
        Word::SqueezeStream => (Q::Squeeze, 1 << 5),
        Word::SmellEarthy => (Q::Earthy, 1),
        Word::SmellSour => (Q::Sour, 1),
        Word::SmellRotten => (Q::Rotten, 1),
        Word::SmellAmmonia => (Q::Ammonia, 1),
        Word::WormsSpread => (Q::Place, 1),
        Word::WormsClimbing => (Q::Place, 1 << 1),
        Word::WormsAtEdge => (Q::Place, 1 << 2),
        Word::WormsBalled => (Q::Place, 1 << 3),
        Word::WormsLeft => (Q::Strays, LEFT | 1 << 2),
        Word::WormsStrayNone => (Q::Strays, 1),
        Word::WormsStrayFew => (Q::Strays, FEW),
        Word::WormsStrayMany => (Q::Strays, 1 << 2),
        Word::WormsPlump => (Q::Condition, 1),
        Word::WormsThin => (Q::Condition, 1 << 1),
        Word::WormsDead => (Q::Dead, 1),
        Word::FoodGone => (Q::Food, 1),
        Word::FoodHalf => (Q::Food, 1 << 1),
        Word::FoodMost => (Q::Food, 1 << 2),
        Word::Condensation => (Q::Condensation, 1),
        Word::Pooling => (Q::Pooling, 1),
        Word::Mould => (Q::Mould, 1),
        Word::Mites => (Q::Mites, 1),
        Word::Potworms => (Q::Potworms, 1),
        Word::Flies => (Q::Flies, 1),
        Word::FeelsCold => (Q::Feel, 1),
        Word::FeelsWarm => (Q::Feel, 1 << 2),
    }
}

/// Probabilities of the answers to one question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answers {
    pub(super) chances: [f64; 6],
    pub(super) count: usize,
}

impl Answers {
    /// Said with that chance, or not.
    pub(super) fn yes(chance: f64) -> Self {
        Self::of(&[chance, 1.0 - chance])
    }

    /// At most six answers.
    pub(super) fn of(list: &[f64]) -> Self {
        let mut chances = [0.0; 6];
        for (to, from) in chances.iter_mut().zip(list) {
            *to = *from;
        }
        Self {
            chances,
            count: list.len().min(6),
        }
    }

    /// Ordered classes from the chances of lying above each boundary, lowest
    /// boundary first.
    pub(super) fn ordered<const N: usize>(above: [f64; N]) -> Self {
        let mut chances = [0.0; 6];
        let mut last = 1.0;
        for (chance, above) in chances.iter_mut().zip(above) {
            let above = above.min(last);
            *chance = last - above;
            last = above;
        }
        chances[N] = last;
        Self {
            chances,
            count: N + 1,
        }
    }

    /// With a share spread evenly over all answers: slips of the pen.
    pub(super) fn with_slips(mut self, share: f64) -> Self {
        let each = share / self.count as f64;
        for chance in &mut self.chances[..self.count] {
            *chance = each + (1.0 - share) * *chance;
        }
        self
    }

    /// With slips of the pen of its own chance for each answer.
    pub(super) fn with_slips_each<const N: usize>(mut self, slips: [f64; N]) -> Self {
        let right = 1.0 - slips.iter().sum::<f64>();
        for (chance, slip) in self.chances[..self.count].iter_mut().zip(slips) {
            *chance = slip + right * *chance;
        }
        self
    }

    /// With one more answer of that chance.
    pub(super) fn and(mut self, chance: f64) -> Self {
        self.chances[self.count] = chance;
        self.count += 1;
        self
    }

    /// The probabilities, one an answer.
    #[must_use]
    pub fn probabilities(&self) -> &[f64] {
        &self.chances[..self.count]
    }

    /// Chance of one of the marked answers.
    pub(super) fn of_mask(&self, mask: u8) -> f64 {
        let marked = |i: usize| mask >> i & 1 == 1;
        (0..self.count)
            .filter(|i| marked(*i))
            .map(|i| self.chances[i])
            .sum()
    }
}
