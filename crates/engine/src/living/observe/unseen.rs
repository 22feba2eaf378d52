//! A trouble that no law of the model knows: a rotten pocket where nobody fed,
//! something poisonous in the food, a draught or a dry spot, a knock.
//!
//! Each possible bin carries the chances of having one, and they are carried
//! exactly: a cause comes at some rate, more often in a new bin, and goes after
//! some days. It does not act on the bin, else it would be in the model, but
//! on what is seen: what it shows is seen with some chance, else what the model
//! says. Words then weigh the causes as they weigh possible bins.

use super::question::{Answers, Question};
use super::row;
use crate::living::signs::Signs;
use crate::table::{TableError, Tables};
use serde::{Deserialize, Serialize};

/// How many causes there are, none among them.
pub const CAUSES: usize = 5;

/// A cause that is not in the model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// None: what is seen is as the model says.
    None,
    /// Something rots where the model has nothing.
    RottenPocket,
    /// Something in the food or bedding drives worms off.
    Poison,
    /// A draught or a dry spot.
    Draught,
    /// A knock, a move, a light left on.
    Knock,
}

impl Cause {
    /// All, in the order of [`Unseen::chances`].
    pub const ALL: [Self; CAUSES] = [
        Self::None,
        Self::RottenPocket,
        Self::Poison,
        Self::Draught,
        Self::Knock,
    ];
}

/// The chances of each cause on a day; they sum to one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Unseen {
    /// In the order of [`Cause::ALL`].
    pub chances: [f64; CAUSES],
    /// The day they hold for [d].
    pub day: f64,
}

impl Unseen {
    /// None for certain on that day [d], such as the day of filling.
    #[must_use]
    pub const fn none(day: f64) -> Self {
        Self {
            chances: [1.0, 0.0, 0.0, 0.0, 0.0],
            day,
        }
    }

    /// Chance that there is one [0 to 1].
    #[must_use]
    pub fn any(&self) -> f64 {
        self.chances[1..].iter().sum()
    }

    /// So many days on [d], `age` days since filling, or since worms came in if
    /// that was later, at their end [d]: exact for any number of days.
    pub fn advance(&mut self, days: f64, age: f64, causes: &Causes) {
        if !(days > 0.0 && days.is_finite()) {
            return;
        }
        // Not-a-number counts as old.
        let new = (causes.new_days - (age - days)).clamp(0.0, days);
        let new = if new > 0.0 { new } else { 0.0 };
        causes.pass(&mut self.chances, new, causes.new_onset);
        causes.pass(&mut self.chances, days - new, causes.onset);
        self.day += days;
    }

    /// On to a day [d] of the bin that has these signs on it.
    pub fn carry(&mut self, day: f64, signs: &Signs, causes: &Causes) {
        let days = day - self.day;
        if !(days > 0.0 && days.is_finite()) {
            return;
        }
        let since = signs.stocked_days.unwrap_or(signs.age_days);
        let after = if since < days { since.max(0.0) } else { days };
        self.advance(days - after, signs.age_days - after, causes);
        self.advance(after, since, causes);
        self.day = day;
    }

    /// Weighs the causes by how likely each makes what was seen; gives the
    /// logarithm of how likely they make it together.
    pub(super) fn weigh(&mut self, likely: &[f64; CAUSES]) -> f64 {
        let mut sum = 0.0;
        for (chance, likely) in self.chances.iter_mut().zip(likely) {
            *chance *= likely;
            sum += *chance;
        }
        // A guard: so unlikely that nothing is left to weigh.
        if sum.is_nan() || sum <= f64::MIN_POSITIVE {
            *self = Self::none(self.day);
            return f64::MIN_POSITIVE.ln();
        }
        for chance in &mut self.chances {
            *chance /= sum;
        }
        sum.ln()
    }
}

/// What one cause does to the answers to one question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Effect {
    /// Place of the cause in [`Cause::ALL`].
    pub(super) cause: usize,
    pub(super) question: Question,
    /// Chance of each answer it shows [0 to 1].
    shown: [f64; 6],
    /// Their sum.
    share: f64,
    /// Answers of the model it takes the place of, as a mask.
    instead_of: u8,
    /// Answers it shows, as a mask.
    pub(super) shows: u8,
}

/// All answers.
const ANY: u8 = u8::MAX;

impl Effect {
    fn new(cause: Cause, question: Question, list: &[(usize, f64)], instead_of: u8) -> Self {
        let mut shown = [0.0; 6];
        let mut shows = 0;
        for (answer, chance) in list {
            shown[*answer] = *chance;
            shows |= 1 << answer;
        }
        Self {
            cause: cause as usize,
            question,
            shown,
            share: shown.iter().sum(),
            instead_of,
            shows,
        }
    }

    /// The answers under the cause, from those of the model: what it shows with
    /// its chance, else as the model says.
    pub(super) fn on(&self, model: &Answers, signs: &Signs) -> Answers {
        // Where none was given, no food lies there untouched.
        if self.question == Question::Food && signs.fed_days.is_none() {
            return *model;
        }
        let taken = model.of_mask(self.instead_of);
        let mut answers = *model;
        for (i, chance) in answers.chances[..model.count].iter_mut().enumerate() {
            if self.instead_of >> i & 1 == 1 {
                *chance *= 1.0 - self.share;
            }
            *chance += self.shown[i] * taken;
        }
        answers
    }
}

/// How many effects all causes have together.
const EFFECTS: usize = 11;

/// How causes come, go and show themselves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Causes {
    /// Rates at which any comes [1/d], in a new bin and later.
    new_onset: f64,
    onset: f64,
    /// For how long a bin is new [d].
    new_days: f64,
    /// Share of each cause among those that come [0 to 1]; the first is 0.
    shares: [f64; CAUSES],
    /// Rates at which the first three and a knock go [1/d].
    goes: f64,
    knock_goes: f64,
    pub(super) effects: [Effect; EFFECTS],
}

const KNOCK: usize = Cause::Knock as usize;

impl Causes {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let get = |subject, property| row(tables, subject, property);
        let once_in = |property| get("unseen", property).map(|days| 1.0 / days);
        let mut shares = [
            0.0,
            get("pocket", "share")?,
            get("poison", "share")?,
            get("draught", "share")?,
            get("knock", "share")?,
        ];
        let sum: f64 = shares.iter().sum();
        shares = shares.map(|s| s / sum);
        Ok(Self {
            new_onset: once_in("new_onset_days")?,
            onset: once_in("onset_days")?,
            new_days: get("unseen", "new_days")?,
            shares,
            goes: once_in("mean_days")?,
            knock_goes: 1.0 / get("knock", "mean_days")?,
            effects: effects(tables)?,
        })
    }

    /// Carries the chances through so many days [d] of causes that come at
    /// `onset` [1/d] in all. The first three go at one rate, so that their sum
    /// and the chance of a knock obey two linear equations, and what each of the
    /// three differs from its share of the sum only dies away.
    fn pass(&self, chances: &mut [f64; CAUSES], days: f64, onset: f64) {
        if days <= 0.0 {
            return;
        }
        let lasting: f64 = self.shares[1..KNOCK].iter().sum();
        let (a_in, b_in) = (onset * lasting, onset * self.shares[KNOCK]);
        let (a_out, b_out) = (self.goes, self.knock_goes);
        let none = 1.0 / (1.0 + a_in / a_out + b_in / b_out);
        let (a_end, b_end) = (none * a_in / a_out, none * b_in / b_out);
        let before: f64 = chances[1..KNOCK].iter().sum();
        let (a, b) = (before - a_end, chances[KNOCK] - b_end);
        // The exponential of a matrix of two rows by its two roots.
        let half = (b_in + b_out - a_in - a_out) / 2.0;
        let middle = -(a_in + a_out + b_in + b_out) / 2.0;
        let root = (half * half + a_in * b_in).sqrt();
        let (slow, fast) = (
            ((middle + root) * days).exp(),
            ((middle - root) * days).exp(),
        );
        let even = f64::midpoint(slow, fast);
        let odd = if root > 1e-12 {
            (slow - fast) / (2.0 * root)
        } else {
            days * slow
        };
        let a_now = a_end + even * a + odd * (half * a - a_in * b);
        let b_now = b_end + even * b - odd * (half * b + b_in * a);
        let dies = (-a_out * days).exp();
        for (chance, share) in chances[1..KNOCK].iter_mut().zip(&self.shares[1..KNOCK]) {
            let share = share / lasting;
            *chance = (share * a_now + (*chance - share * before) * dies).max(0.0);
        }
        chances[KNOCK] = b_now.max(0.0);
        chances[0] = (1.0 - chances[1..].iter().sum::<f64>()).max(0.0);
    }
}

/// Reads what each cause shows. Earthy is said only where nothing else smells.
fn effects(tables: &Tables) -> Result<[Effect; EFFECTS], TableError> {
    use Cause::{Draught, Knock, Poison, RottenPocket};
    let get = |subject, property| row(tables, subject, property);
    let (rotten, sour) = (get("pocket", "rotten")?, get("pocket", "sour")?);
    let smells = 1.0 - (1.0 - rotten) * (1.0 - sour);
    let dry = [
        (0, get("draught", "squeeze_dusty")?),
        (1, get("draught", "squeeze_weak")?),
    ];
    let one =
        |cause, question, answer, chance| Effect::new(cause, question, &[(answer, chance)], ANY);
    let (climbing, edge, many) = (1, 2, 2);
    Ok([
        one(RottenPocket, Question::Rotten, 0, rotten),
        one(RottenPocket, Question::Sour, 0, sour),
        one(RottenPocket, Question::Earthy, 1, smells),
        Effect::new(
            RottenPocket,
            Question::Place,
            &[
                (climbing, get("pocket", "climbing")?),
                (edge, get("pocket", "edge")?),
            ],
            ANY,
        ),
        one(
            RottenPocket,
            Question::Strays,
            many,
            get("pocket", "strays_many")?,
        ),
        one(RottenPocket, Question::Flies, 0, get("pocket", "flies")?),
        one(
            Poison,
            Question::Place,
            climbing,
            get("poison", "climbing")?,
        ),
        one(
            Poison,
            Question::Strays,
            many,
            get("poison", "strays_many")?,
        ),
        Effect::new(Draught, Question::Squeeze, &dry, ANY),
        one(Draught, Question::Place, edge, get("draught", "edge")?),
        one(Knock, Question::Place, climbing, get("knock", "climbing")?),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::sync::LazyLock;

    static CAUSES_READ: LazyLock<Causes> = LazyLock::new(|| {
        let tables = Tables::load().unwrap_or_else(|e| panic!("{e}"));
        Causes::load(&tables).unwrap_or_else(|e| panic!("{e}"))
    });

    /// The same by small steps of the five equations (Runge and Kutta's second).
    fn by_steps(c: &Causes, mut p: [f64; CAUSES], days: f64, age: f64) -> [f64; CAUSES] {
        let goes = [0.0, c.goes, c.goes, c.goes, c.knock_goes];
        let slope = |p: &[f64; CAUSES], onset: f64| {
            let mut d = [0.0; CAUSES];
            for i in 1..CAUSES {
                d[i] = onset * c.shares[i] * p[0] - goes[i] * p[i];
                d[0] -= d[i];
            }
            d
        };
        let steps = 20_000;
        let h = days / f64::from(steps);
        for i in 0..steps {
            let at = age - days + (f64::from(i) + 0.5) * h;
            let onset = if at < c.new_days {
                c.new_onset
            } else {
                c.onset
            };
            let first = slope(&p, onset);
            let mut half = p;
            for (x, d) in half.iter_mut().zip(first) {
                *x += h / 2.0 * d;
            }
            for (x, d) in p.iter_mut().zip(slope(&half, onset)) {
                *x += h * d;
            }
        }
        p
    }

    #[test]
    fn the_closed_form_is_what_small_steps_give() {
        let c = &*CAUSES_READ;
        for (days, age) in [(1.0, 1.0), (10.0, 20.0), (30.0, 30.0), (3.5, 200.0)] {
            for chances in [[1.0, 0.0, 0.0, 0.0, 0.0], [0.1, 0.4, 0.2, 0.1, 0.2]] {
                let mut u = Unseen { chances, day: 0.0 };
                u.advance(days, age, c);
                let steps = by_steps(c, chances, days, age);
                for (x, y) in u.chances.iter().zip(steps) {
                    assert!((x - y).abs() < 2e-5, "{days} {age}: {u:?} {steps:?}");
                }
            }
        }
    }

    proptest! {
        #[test]
        fn one_gap_is_as_many_small_ones(
            parts in proptest::array::uniform5(0.01..1.0f64),
            days in 0.1..60.0f64, share in 0.05..0.95f64, age in 0.0..400.0f64,
        ) {
            let sum: f64 = parts.iter().sum();
            let start = Unseen { chances: parts.map(|p| p / sum), day: 3.0 };
            let (mut once, mut twice) = (start, start);
            once.advance(days, age + days, &CAUSES_READ);
            twice.advance(days * share, age + days * share, &CAUSES_READ);
            twice.advance(days * (1.0 - share), age + days, &CAUSES_READ);
            for (x, y) in once.chances.iter().zip(twice.chances) {
                prop_assert!((x - y).abs() < 1e-12 && (0.0..=1.0).contains(x));
            }
            prop_assert!((once.chances.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            prop_assert!((once.day - 3.0 - days).abs() < 1e-9);
        }
    }

    #[test]
    fn a_new_bin_and_new_worms_have_them_more_often() {
        let c = &*CAUSES_READ;
        let at = |age_days, stocked_days, days| {
            let mut u = Unseen::none(0.0);
            let signs = Signs {
                age_days,
                stocked_days,
                ..Signs::default()
            };
            u.carry(days, &signs, c);
            u.any()
        };
        assert!(at(10.0, None, 10.0) > 2.0 * at(100.0, None, 10.0));
        // Worms came in eight of the ten days ago; the bin is old.
        let stocked = at(100.0, Some(8.0), 10.0);
        assert!(stocked > 2.0 * at(100.0, Some(90.0), 10.0));
        assert!(stocked < at(10.0, Some(10.0), 10.0));
        for odd in [f64::NAN, f64::INFINITY, -4.0] {
            assert!((0.0..=1.0).contains(&at(odd, Some(odd), 10.0)));
            assert!((0.0..=1.0).contains(&at(3.0, None, odd)));
        }
    }
}
