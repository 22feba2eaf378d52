//! A bed through time: what grains and slow doses give up, step by step.

use super::{PossibleBed, Slow};
use crate::chemistry::lime;

impl PossibleBed {
    /// Carries the bed `days` forward, in steps of at most half a day while
    /// something is dissolving and two days otherwise.
    pub fn advance(&mut self, days: f64) {
        self.advance_near(days, self.ph());
    }

    /// The same where its pH is known not to be far from `near`.
    pub(crate) fn advance_near(&mut self, days: f64, near: f64) {
        let mut near = near;
        let longest = if self.grains.is_empty() && self.slow.is_empty() {
            2.0
        } else {
            0.5
        };
        let steps = (days / longest).ceil().max(1.0);
        let dt = days / steps;
        for _ in 0..steps as u32 {
            let mut now = self.pace(near);
            let parts = self.sub_steps(dt, &now);
            let part = dt / f64::from(parts);
            for i in 0..parts {
                if i > 0 {
                    now = self.pace(now.ph);
                }
                if self.is_stiff(part, &now) {
                    self.stiff_step(part, now.ph);
                } else {
                    self.step(part, &now);
                }
            }
            near = now.ph;
        }
    }

    /// Parts to cut a step into so that what is on its way moves pH by little
    /// in each: a weak bed full of chalk and sulphur is stiff.
    fn sub_steps(&self, dt: f64, now: &Pace) -> u32 {
        const MOST_PH: f64 = 0.1;
        const MOST_PARTS: f64 = 24.0;
        if self.grains.is_empty() && self.slow.is_empty() {
            return 1;
        }
        let later = |s: &Slow| Slow {
            age_days: s.age_days + dt,
            ..*s
        };
        let slow: f64 = self
            .slow
            .iter()
            .map(|s| s.whole.abs() * (later(s).released_share() - s.released_share()))
            .sum();
        let grains = self.released_in(dt, now.speed, now.ash_speed);
        if slow + grains <= 0.0 {
            return 1;
        }
        let buffer = self.buffer_at(now.ph).max(1e-9);
        ((slow + grains) / buffer / MOST_PH)
            .ceil()
            .clamp(1.0, MOST_PARTS) as u32
    }

    /// Half of what comes whatever the pH, then the grains, then the other
    /// half: so grains meet the middle of the step.
    fn step(&mut self, dt: f64, before: &Pace) {
        // Below saturation nothing falls as chalk.
        const ROUNDING: f64 = 1e-6;
        self.release(dt / 2.0);
        if before.base != self.base || before.ph > self.law.saturation_ph() - ROUNDING {
            self.carbonate(dt);
        }
        self.dissolve(dt, before);
        self.release(dt / 2.0);
        self.age_touches(dt);
    }

    /// The same where the grains answer acid faster than the step: all that
    /// comes whatever the pH first, then the grains at the speed of the end.
    fn stiff_step(&mut self, dt: f64, near: f64) {
        self.release(dt);
        self.carbonate(dt);
        self.dissolve_to_end(dt, near);
        self.age_touches(dt);
    }

    /// Whether a small fall of pH would be made good by the grains within the
    /// step: much chalk in a weak bed.
    fn is_stiff(&self, dt: f64, now: &Pace) -> bool {
        // How small a fall is tried [pH], and how much of it made good is stiff.
        const FALL: f64 = 0.05;
        const STIFF: f64 = 0.3;
        if self.grains.is_empty() {
            return false;
        }
        let ph = now.ph;
        if ph - FALL >= self.law.saturation_ph() {
            return false;
        }
        let (speed, ash_speed) = self.speeds(ph - FALL);
        let made_good =
            self.released_in(dt, speed, ash_speed) - self.released_in(dt, now.speed, now.ash_speed);
        if made_good <= 0.0 {
            return false;
        }
        let buffer = self.buffer_at(ph).max(1e-9);
        made_good > STIFF * FALL * buffer
    }

    fn age_touches(&mut self, dt: f64) {
        for touch in &mut self.touches {
            touch.age_days += dt;
        }
        // After so many e-folds nothing is left of it.
        const GONE: f64 = 6.0;
        self.touches.retain(|t| t.age_days < GONE * t.tau_days);
    }

    fn release(&mut self, dt: f64) {
        for slow in &mut self.slow {
            let before = slow.released_share();
            slow.age_days += dt;
            self.base += slow.whole * (slow.released_share() - before);
        }
        for done in self.slow.iter().filter(|s| spent(s)) {
            self.base += done.whole * (1.0 - done.released_share());
        }
        self.slow.retain(|s| !spent(s));
    }

    fn dissolve(&mut self, dt: f64, before: &Pace) {
        if self.grains.is_empty() {
            return;
        }
        // Where nothing else came since, they are what they were.
        let now = if before.base == self.base {
            *before
        } else {
            self.pace(before.ph)
        };
        let (first, ash_first) = (now.speed, now.ash_speed);
        if first <= 0.0 {
            return;
        }
        // Speed at the end as it would be with the speed at the start; the
        // mean of the two is used (Heun).
        let ahead = self.ph_with_near(self.released_in(dt, first, ash_first), now.ph);
        let (last, ash_last) = self.speeds(ahead);
        let speed = f64::midpoint(first, last);
        let ash_speed = f64::midpoint(ash_first, ash_last);
        let room = self.base_to_reach(self.law.saturation_ph());
        let mut days = dt;
        let mut released = self.released_in(days, speed, ash_speed);
        if released > room {
            days = self.days_to_release(room.max(0.0), dt, speed, ash_speed);
            released = self.released_in(days, speed, ash_speed);
        }
        for g in &mut self.grains {
            g.retreat_um += g.contact * days * if g.ash { ash_speed } else { speed };
        }
        self.base += released;
        self.grains.retain(|g| g.retreat_um < g.size_um / 2.0);
    }

    /// Dissolves at the speed of the step's end (backward Euler): where a weak
    /// bed sits between chalk and acid, the pH follows the two within minutes,
    /// and only the end's speed keeps a step of hours on that balance.
    fn dissolve_to_end(&mut self, dt: f64, near: f64) {
        // Most guesses, and how close the ends must come [pH].
        const GUESSES: u32 = 60;
        const CLOSE: f64 = 1e-9;
        let (mut low, mut high) = (self.ph_with_near(0.0, near), self.law.saturation_ph());
        if self.grains.is_empty() || low >= high {
            return;
        }
        let over = |ph: f64| {
            let (speed, ash_speed) = self.speeds(ph);
            self.released_in(dt, speed, ash_speed) - self.base_to_reach(ph)
        };
        let (mut at_low, mut at_high) = (over(low), over(high));
        // False position with the kept end's value halved (Illinois); the
        // middle instead where that would leave the bracket.
        let mut side = 0;
        for _ in 0..GUESSES {
            if high - low < CLOSE || at_low <= 0.0 {
                break;
            }
            let guess = low + (high - low) * at_low / (at_low - at_high);
            let guess = if guess > low && guess < high {
                guess
            } else {
                f64::midpoint(low, high)
            };
            let there = over(guess);
            if there > 0.0 {
                (low, at_low) = (guess, there);
                at_high /= if side > 0 { 2.0 } else { 1.0 };
                side = 1;
            } else {
                (high, at_high) = (guess, there);
                at_low /= if side < 0 { 2.0 } else { 1.0 };
                side = -1;
            }
            if there.abs() < 1e-12 {
                low = guess;
                break;
            }
        }
        let (speed, ash_speed) = self.speeds(low);
        self.base += self.released_in(dt, speed, ash_speed);
        for g in &mut self.grains {
            g.retreat_um += g.contact * dt * if g.ash { ash_speed } else { speed };
        }
        self.grains.retain(|g| g.retreat_um < g.size_um / 2.0);
    }

    /// How fast its grains dissolve as it stands, its pH not far from `near`.
    fn pace(&self, near: f64) -> Pace {
        let ph = self.ph_with_near(0.0, near);
        let (speed, ash_speed) = if self.grains.is_empty() {
            (0.0, 0.0)
        } else {
            self.speeds(ph)
        };
        Pace {
            base: self.base,
            ph,
            speed,
            ash_speed,
        }
    }

    /// Speeds of lime and of ash grains at `ph` [µm/day].
    fn speeds(&self, ph: f64) -> (f64, f64) {
        let speed = self.law.retreat_um_per_day(ph);
        let ash = if self.grains.iter().any(|g| g.ash) {
            speed * crate::chemistry::ash::relative_rate(ph)
        } else {
            speed
        };
        (speed, ash)
    }

    /// Base the grains give up in `days` at these speeds [mol_c].
    fn released_in(&self, days: f64, speed: f64, ash_speed: f64) -> f64 {
        if speed == 0.0 && ash_speed == 0.0 {
            return 0.0;
        }
        self.grains
            .iter()
            .map(|g| {
                let v = if g.ash { ash_speed } else { speed };
                let after = g.retreat_um + g.contact * v * days;
                g.whole * lime::dissolved_share(g.shape, g.size_um, after) - g.dissolved()
            })
            .sum()
    }

    /// Time within `dt` after which the grains have given up `room` [d].
    fn days_to_release(&self, room: f64, dt: f64, speed: f64, ash_speed: f64) -> f64 {
        let (mut low, mut high) = (0.0, dt);
        for _ in 0..30 {
            let middle = (low + high) / 2.0;
            if self.released_in(middle, speed, ash_speed) > room {
                high = middle;
            } else {
                low = middle;
            }
        }
        low
    }
}

/// How fast the grains of a bed dissolve at its base [mol_c] and pH [µm/day].
#[derive(Debug, Clone, Copy)]
struct Pace {
    base: f64,
    ph: f64,
    speed: f64,
    ash_speed: f64,
}

/// Nothing worth waiting for is left.
fn spent(slow: &Slow) -> bool {
    slow.released_share() > 1.0 - 1e-6
}
