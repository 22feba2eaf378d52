//! Acids of the food: burnt, seeping into the bed, and how far they sour both.

use crate::bed::possible::PossibleBed;
use crate::living::chain::Chain;
use crate::living::life::Life;
use crate::living::now::Now;
use crate::living::rotting::Rotted;
use crate::living::step::Around;
use std::f64::consts::LN_10;

/// What acids did in a part.
#[derive(Debug, Clone, Copy)]
pub(super) struct Soured {
    /// In the food at the end [mol].
    pub(super) pocket: f64,
    /// In the bed at the end [mol].
    pub(super) bed: f64,
    /// Of them dissociated [mol].
    pub(super) posted: f64,
    /// Burnt [mol].
    pub(super) burnt: f64,
}

/// Acids: made in the food as it `rotted`, burnt where there is air, seeping from
/// the food into the bed as it falls apart.
pub(super) fn acids(
    life: &Life,
    bed: &PossibleBed,
    a: &Around<'_>,
    now: &Now,
    rotted: &Rotted,
) -> Soured {
    let (c, n) = (&a.priors.constants, a.nature);
    let eat_pocket = n.acid_eaten * now.warm.pocket * (1.0 - now.airless.pocket);
    let eat_bed = n.acid_eaten * now.warm.bed * (1.0 - now.airless.bed);
    let leave = if now.zones.core > 0.0 {
        n.acid_leaves + rotted.pocket_falls
    } else {
        0.0
    };
    let chain = Chain {
        first: eat_pocket + leave,
        on: leave,
        second: eat_bed,
    };
    let passed = chain.carry((life.acid_pocket, life.acid_bed), rotted.acid, now.dt);
    let acids = (passed.second, life.acid_posted);
    Soured {
        pocket: passed.first,
        bed: passed.second,
        posted: dissociated(acids, bed, now.ph, c.acid_pka),
        burnt: passed.out - passed.on + passed.away,
    }
}

/// Of so much acid in the bed, of which so much `was` dissociated, what is when it
/// stands as far dissociated as its pH lets it [mol]: `α = 1 / (1 + 10^(pKa − pH))`.
/// Weak acids stop souring a bed near their own pKa, however many there are. The
/// bed was `near` that pH.
fn dissociated((acid, was): (f64, f64), bed: &PossibleBed, near: f64, pka: f64) -> f64 {
    // Farther than this above its pKa 99 % of an acid is dissociated [pH].
    const ALL: f64 = 2.0;
    if acid < 1e-9 && was.abs() < 1e-9 {
        return was;
    }
    let share = |ph: f64| 1.0 / (1.0 + (LN_10 * (pka - ph)).exp());
    // Far above the pKa all of it is dissociated, and no root need be found.
    let lowest = bed.ph_with_near(was - acid, near);
    if lowest > pka + ALL {
        return acid * share(lowest);
    }
    // What more is posted than dissociates there, and how fast that rises.
    let stands = |posted: f64| {
        let (ph, steep) = bed.ph_and_slope_near(was - posted, near);
        let share = share(ph);
        (
            posted - acid * share,
            1.0 + LN_10 * acid * share * (1.0 - share) * steep,
        )
    };
    halved(acid, acid * share(near), stands)
}

/// Where `over` of its argument comes to nought between nothing and `most`, by
/// halvings. `over` gives its value and its rise, which is one or more; so a value
/// found near a first `guess` tells on which side most middles lie, and only the
/// others are looked at: the answer is that of halving alone.
fn halved(most: f64, guess: f64, over: impl Fn(f64) -> (f64, f64)) -> f64 {
    const HALVINGS: u32 = 30;
    const GUESSES: u32 = 5;
    // Against rounding, and how close a guess is close enough, of `most`.
    const ROUNDING: f64 = 1e-14;
    const CLOSE: f64 = 1e-11;
    // The root lies between these.
    let (mut below, mut above) = (0.0, most);
    let look = |x: f64, below: &mut f64, above: &mut f64| {
        let (value, rise) = over(x);
        let other = x - value;
        let (from, to) = if value > 0.0 { (other, x) } else { (x, other) };
        *below = below.max(from - ROUNDING * most);
        *above = above.min(to + ROUNDING * most);
        (value, rise)
    };
    let mut guess = guess;
    for _ in 0..GUESSES {
        let (value, rise) = look(guess, &mut below, &mut above);
        if value.abs() <= CLOSE * most {
            break;
        }
        guess = (guess - value / rise).clamp(0.0, most);
    }
    let (mut low, mut high) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        let positive = if middle >= above {
            true
        } else if middle <= below {
            false
        } else {
            over(middle).0 > 0.0
        };
        if positive {
            high = middle;
        } else {
            low = middle;
        }
    }
    f64::midpoint(low, high)
}

/// pH in the pocket of food: the bed's, lowered by acids still in the food.
#[must_use]
pub(super) fn pocket_ph(life: &Life, a: &Around<'_>, bed_ph: f64) -> f64 {
    pocket_ph_of(life, a, life.organic.pocket(), bed_ph)
}

/// The same where what lies in the pocket is known [kg].
pub(super) fn pocket_ph_of(life: &Life, a: &Around<'_>, pocket_kg: f64, bed_ph: f64) -> f64 {
    let c = &a.priors.constants;
    let dry = pocket_kg.max(1e-3) * c.pocket_dry;
    let soured = bed_ph - life.acid_pocket / (a.nature.food_buffer * dry);
    soured.max(c.pocket_least_ph.min(bed_ph))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By halvings alone, every middle looked at.
    fn halved_alone(most: f64, over: impl Fn(f64) -> f64) -> f64 {
        let (mut low, mut high) = (0.0, most);
        for _ in 0..30 {
            let middle = f64::midpoint(low, high);
            if over(middle) > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        f64::midpoint(low, high)
    }

    #[test]
    fn middles_that_need_no_look_change_nothing() {
        for i in 0..400 {
            let (acid, strong) = (0.003 * f64::from(i + 1), 0.01 * f64::from(i % 37));
            // What is dissociated falls with what is posted, with a bend in it.
            let free =
                |x: f64| acid / (1.0 + (strong * x / acid).exp() + (x - 0.3 * acid).max(0.0));
            let over = |x: f64| {
                let near = acid * 1e-7;
                let value = |x: f64| x - free(x);
                (value(x), ((value(x + near) - value(x)) / near).max(1.0))
            };
            let alone = halved_alone(acid, |x| over(x).0);
            for guess in [0.0, 0.4 * acid, acid, alone] {
                let seen = std::cell::Cell::new(0);
                let found = halved(acid, guess, |x| {
                    seen.set(seen.get() + 1);
                    over(x)
                });
                assert_eq!(found.to_bits(), alone.to_bits(), "{i} {guess}");
                assert!(seen.get() < 15, "{i} {guess}: {}", seen.get());
            }
        }
    }
}
