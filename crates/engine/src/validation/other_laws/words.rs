//! From what is there to what a keeper writes: thresholds with noise, an offset
//! of the keeper's own hand, eye and nose, now and then a word that is wrong or
//! that was written again without looking.

use super::chance::{Book, Chance};
use super::world::Seen;
use crate::log::Word;
use crate::table::TableError;

/// What a keeper asks at a look; the words of each exclude each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(usize)]
pub(super) enum Ask {
    /// A squeezed handful.
    Squeeze,
    /// The last food.
    Food,
    /// Where the worms are.
    Place,
    /// How they look.
    Looks,
    /// What it smells of.
    Smell,
}

impl Ask {
    /// All of them.
    pub(super) const ALL: [Self; 5] = [
        Self::Squeeze,
        Self::Food,
        Self::Place,
        Self::Looks,
        Self::Smell,
    ];

    /// The words that answer it.
    const fn words(self) -> &'static [Word] {
        match self {
            Self::Squeeze => &[
                Word::SqueezeDusty,
                Word::SqueezeWeak,
                Word::SqueezeDrops,
                Word::SqueezeSeveral,
                Word::SqueezeTrickle,
                Word::SqueezeStream,
            ],
            Self::Food => &[Word::FoodGone, Word::FoodHalf, Word::FoodMost],
            Self::Place => &[
                Word::WormsSpread,
                Word::WormsClimbing,
                Word::WormsAtEdge,
                Word::WormsBalled,
            ],
            Self::Looks => &[Word::WormsPlump, Word::WormsThin],
            Self::Smell => &[Word::SmellEarthy, Word::SmellSour],
        }
    }
}

/// How one keeper says things.
#[derive(Debug, Clone)]
pub(super) struct Tongue {
    hand: f64,
    handful: f64,
    squeezes: [f64; 5],
    eye: f64,
    glance: f64,
    food: [f64; 2],
    climbing: [f64; 2],
    new_days: f64,
    edge: f64,
    balled: f64,
    balled_celsius: f64,
    flee: f64,
    near: f64,
    thin_above: f64,
    dead_share: f64,
    pool_kg: f64,
    sour: f64,
    clear: f64,
    false_smell: f64,
    mis_said: f64,
    repeats: f64,
    repeats_days: f64,
    tells: f64,
    asks: f64,
    said: [Option<(u32, Word)>; 5],
}

impl Tongue {
    /// Draws a keeper.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        let n = |subject, property| book.plain(subject, property);
        let nose = (n("nose", "nose_ln")? * c.bell()).exp();
        Ok(Self {
            hand: n("squeeze", "hand_percent")? * c.bell(),
            handful: n("squeeze", "handful_percent")?,
            squeezes: [
                -book.around(("squeeze", "dusty_below"), c)?,
                -book.around(("squeeze", "weak_below"), c)?,
                book.around(("squeeze", "several_above"), c)?,
                book.around(("squeeze", "trickle_above"), c)?,
                book.around(("squeeze", "stream_above"), c)?,
            ],
            eye: n("eye", "food_off")? * c.bell(),
            glance: n("eye", "food_look")?,
            food: [n("eye", "food_gone")?, n("eye", "food_most")?],
            climbing: [n("eye", "climbing_usual")?, n("eye", "climbing_new")?],
            new_days: n("eye", "new_days")?,
            edge: n("eye", "edge_usual")?,
            balled: n("eye", "balled_usual")?,
            balled_celsius: n("eye", "balled_celsius")?,
            flee: n("eye", "flee_share")?,
            near: n("eye", "near_share")?,
            thin_above: book.around(("eye", "thin_above"), c)?,
            dead_share: n("eye", "dead_share")?,
            pool_kg: n("eye", "pool_kg")?,
            sour: n("nose", "sour_gram_per_kg")? * nose,
            clear: n("keeper", "clear")?,
            false_smell: n("nose", "false_smell")?,
            mis_said: n("keeper", "mis_said")?,
            repeats: n("keeper", "repeats")?,
            repeats_days: n("keeper", "repeats_days")?,
            tells: n("keeper", "tells")?,
            asks: n("keeper", "asks")?,
            said: [None; 5],
        })
    }

    /// The words of a look on a day; none where nothing was asked.
    pub(super) fn look(&mut self, c: &mut Chance, seen: &Seen, day: u32) -> Vec<Word> {
        let mut words: Vec<Word> = Ask::ALL
            .into_iter()
            .filter_map(|ask| {
                let asked = c.happens(self.asks);
                asked.then(|| self.answer(c, ask, seen, day)).flatten()
            })
            .collect();
        if !words.is_empty() {
            words.extend(self.strong(c, seen));
        }
        words
    }

    /// What the keeper last said of something, and when.
    pub(super) fn last(&self, ask: Ask) -> Option<(u32, Word)> {
        self.said[ask as usize]
    }

    fn answer(&mut self, c: &mut Chance, ask: Ask, seen: &Seen, day: u32) -> Option<Word> {
        let again = self.last(ask).filter(|(then, _)| {
            let days = f64::from(day - then);
            c.happens(self.repeats * (-days / self.repeats_days).exp())
        });
        let word = match again {
            Some((_, word)) => Some(word),
            None if c.happens(self.mis_said) => {
                let words = ask.words();
                Some(words[c.one_of(words.len())])
            }
            None => self.look_at(c, ask, seen),
        }?;
        self.said[ask as usize] = Some((day, word));
        Some(word)
    }

    fn look_at(&self, c: &mut Chance, ask: Ask, seen: &Seen) -> Option<Word> {
        match ask {
            Ask::Squeeze => Some(self.squeeze(c, seen)),
            Ask::Food => self.food(c, seen),
            Ask::Place => (seen.worms >= 1.0).then(|| self.place(c, seen)),
            Ask::Looks => (seen.worms >= 1.0).then(|| self.looks(c, seen)),
            Ask::Smell => self.smell(c, seen),
        }
    }

    /// By how far over the first drops the handful is.
    fn squeeze(&self, c: &mut Chance, seen: &Seen) -> Word {
        let felt = seen.moisture + self.hand + self.handful * c.bell() - seen.drops;
        let class = self.squeezes.iter().filter(|at| felt > **at).count();
        Ask::Squeeze.words()[class]
    }

    fn food(&self, c: &mut Chance, seen: &Seen) -> Option<Word> {
        let left = seen.food_left? + self.eye + self.glance * c.bell();
        let class = self.food.iter().filter(|at| left > **at).count();
        Some(Ask::Food.words()[class])
    }

    /// Worms wander when they are new, flee when a limit is near, ball in the
    /// cold, and else are where they are.
    fn place(&self, c: &mut Chance, seen: &Seen) -> Word {
        let flee = seen.worst > -self.near && c.happens(self.flee);
        if flee {
            return if c.happens(0.5) {
                Word::WormsClimbing
            } else {
                Word::WormsAtEdge
            };
        }
        let new = seen.here_days < self.new_days;
        let climbing = self.climbing[usize::from(new)];
        let cold = seen.celsius < self.balled_celsius;
        let balled = if cold { self.flee } else { self.balled };
        let mut left = c.even();
        for (chance, word) in [
            (climbing, Word::WormsClimbing),
            (self.edge, Word::WormsAtEdge),
            (balled, Word::WormsBalled),
        ] {
            left -= chance;
            if left < 0.0 {
                return word;
            }
        }
        Word::WormsSpread
    }

    fn looks(&self, c: &mut Chance, seen: &Seen) -> Word {
        if seen.crowding > self.thin_above && c.happens(self.clear) {
            Word::WormsThin
        } else {
            Word::WormsPlump
        }
    }

    fn smell(&self, c: &mut Chance, seen: &Seen) -> Option<Word> {
        let sour = if seen.sour > self.sour {
            self.clear
        } else {
            self.false_smell
        };
        if c.happens(sour) {
            return Some(Word::SmellSour);
        }
        c.happens(self.tells).then_some(Word::SmellEarthy)
    }

    /// Strong things, told without being asked.
    fn strong(&self, c: &mut Chance, seen: &Seen) -> Vec<Word> {
        let pooled = seen.standing_kg > self.pool_kg;
        let things = [
            (Word::Pooling, pooled, 0.0),
            (
                Word::SmellRotten,
                seen.standing_kg > 2.0 * self.pool_kg,
                self.false_smell,
            ),
            (
                Word::WormsDead,
                seen.died > self.dead_share * (seen.worms + seen.died),
                0.0,
            ),
        ];
        let mut words = Vec::new();
        for (word, there, falsely) in things {
            if c.happens(if there { self.tells } else { falsely }) {
                words.push(word);
            }
        }
        words
    }
}
