//! What a keeper of this world says: classes with an error of hand, eye and nose
//! that is the keeper's own, an error of the look, and a small share of slips.

use super::chance::{Book, Chance};
use super::world::Seen;
use crate::log::Word;
use crate::table::TableError;

/// Classes of a squeezed handful, from dry to wet.
const SQUEEZES: [Word; 6] = [
    Word::SqueezeDusty,
    Word::SqueezeWeak,
    Word::SqueezeDrops,
    Word::SqueezeSeveral,
    Word::SqueezeTrickle,
    Word::SqueezeStream,
];
/// How much of the last food is left, from none to most.
const FOOD: [Word; 3] = [Word::FoodGone, Word::FoodHalf, Word::FoodMost];
/// Where worms are.
const PLACES: [Word; 4] = [
    Word::WormsSpread,
    Word::WormsClimbing,
    Word::WormsAtEdge,
    Word::WormsBalled,
];

/// One keeper's hand, eye and nose.
#[derive(Debug, Clone)]
pub(super) struct Tongue {
    hand: f64,
    handful: f64,
    squeezes: [f64; 5],
    eye: f64,
    glance: f64,
    food: [f64; 2],
    nose: f64,
    sniff: f64,
    sour: f64,
    ammonia: f64,
    false_smell: f64,
    slips: f64,
    asks: f64,
    uneasy: f64,
    restless: f64,
    strays: f64,
    cold: f64,
    thin: f64,
    dead: f64,
    pool_kg: f64,
    tells: f64,
}

impl Tongue {
    /// Draws a keeper's.
    pub(super) fn drawn(book: Book<'_>, c: &mut Chance) -> Result<Self, TableError> {
        let n = |subject: &str, property: &str| book.plain(subject, property);
        Ok(Self {
            hand: n("hand", "own_percent")? * c.bell(),
            handful: n("hand", "handful_percent")?,
            squeezes: [
                -book.draw("hand", "dusty_under", c)?,
                0.0,
                book.draw("hand", "several_over", c)?,
                book.draw("hand", "trickle_over", c)?,
                book.draw("hand", "stream_over", c)?,
            ],
            eye: n("eye", "own_share")? * c.bell(),
            glance: n("eye", "glance_share")?,
            food: [
                book.draw("eye", "half_over", c)?,
                book.draw("eye", "most_over", c)?,
            ],
            nose: c.factor(n("nose", "own_ln")?),
            sniff: n("nose", "sniff_ln")?,
            sour: n("nose", "sour_mmol_kg")?,
            ammonia: n("nose", "ammonia_mol_kg")?,
            false_smell: n("nose", "false_share")?,
            slips: n("keeper", "slips")?,
            asks: book.draw("keeper", "asks", c)?.min(1.0),
            uneasy: n("eye", "uneasy")?,
            restless: n("eye", "restless_days")?,
            strays: n("eye", "strays")?,
            cold: n("eye", "balls_below_celsius")?,
            thin: book.draw("eye", "thin_below", c)?,
            dead: n("eye", "dead_share")?,
            pool_kg: n("eye", "pool_kg")?,
            tells: n("keeper", "tells")?,
        })
    }

    /// The words of one look; none when nothing came to mind.
    pub(super) fn look(&self, c: &mut Chance, seen: &Seen) -> Vec<Word> {
        let mut words = Vec::new();
        if c.happens(self.asks) {
            let squeezed = self.squeeze(c.bell(), seen);
            words.push(self.or_a_slip(c, squeezed, &SQUEEZES));
        }
        if let Some(left) = seen.food_left.filter(|_| c.happens(self.asks)) {
            let felt = left + self.eye + self.glance * c.bell();
            let class = self.food.iter().filter(|at| felt > **at).count();
            words.push(self.or_a_slip(c, FOOD[class], &FOOD));
        }
        if seen.worms >= 1.0 && c.happens(self.asks) {
            let place = self.place(c, seen);
            words.push(self.or_a_slip(c, place, &PLACES));
        }
        if seen.worms >= 1.0 && c.happens(0.5 * self.asks) {
            let thin = seen.plump * c.factor(0.15) < self.thin;
            let looks = [Word::WormsPlump, Word::WormsThin];
            words.push(self.or_a_slip(c, looks[usize::from(thin)], &looks));
        }
        if c.happens(self.asks) {
            words.extend(self.smell(c, seen));
        }
        if !words.is_empty() {
            words.extend(self.strong(c, seen));
        }
        words
    }

    fn or_a_slip(&self, c: &mut Chance, word: Word, of: &[Word]) -> Word {
        if c.happens(self.slips) {
            of[c.one_of(of.len())]
        } else {
            word
        }
    }

    fn squeeze(&self, bell: f64, seen: &Seen) -> Word {
        let over = seen.felt + self.hand + self.handful * bell - seen.drops;
        SQUEEZES[self.squeezes.iter().filter(|at| over > **at).count()]
    }

    /// New worms wander, worms in trouble leave the bed, cold ones ball.
    fn place(&self, c: &mut Chance, seen: &Seen) -> Word {
        let new = seen
            .here_days
            .is_some_and(|days| f64::from(days) < self.restless);
        let uneasy = seen.worst > self.uneasy;
        let strays = if new || uneasy { 0.5 } else { self.strays };
        if c.happens(strays) {
            let climbs = [Word::WormsClimbing, Word::WormsAtEdge];
            return climbs[c.one_of(2)];
        }
        let balls = if seen.celsius < self.cold {
            0.5
        } else {
            self.strays
        };
        if c.happens(balls) {
            Word::WormsBalled
        } else {
            Word::WormsSpread
        }
    }

    fn smell(&self, c: &mut Chance, seen: &Seen) -> Option<Word> {
        if c.happens(self.false_smell) {
            return Some(Word::SmellSour);
        }
        let strength = self.nose * c.factor(self.sniff);
        if seen.acid * strength > self.sour {
            return Some(Word::SmellSour);
        }
        if seen.ph > 7.5 && seen.ammonia * strength > self.ammonia {
            return Some(Word::SmellAmmonia);
        }
        c.happens(self.tells).then_some(Word::SmellEarthy)
    }

    /// What strikes the eye or nose without being asked.
    fn strong(&self, c: &mut Chance, seen: &Seen) -> Vec<Word> {
        let pooled = seen.standing > self.pool_kg;
        let rotten = seen.standing > 4.0 * self.pool_kg;
        let dead = seen.died > self.dead * (seen.worms + seen.died).max(1.0);
        let struck = [
            (Word::Pooling, pooled),
            (Word::SmellRotten, rotten),
            (Word::WormsDead, dead),
        ];
        struck
            .into_iter()
            .filter(|(_, there)| *there && c.happens(self.tells))
            .map(|(word, _)| word)
            .collect()
    }
}
