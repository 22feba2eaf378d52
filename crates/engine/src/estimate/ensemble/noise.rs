//! What chance brings a possible bin, week by week: how far its pH, its water,
//! its room and its worms go astray of what the laws say, and what may have
//! happened that nobody wrote down.
//!
//! One number a week for each, spread evenly over its days, so that neither a
//! longer step nor a look in between changes what was.

use super::Possible;
use crate::bed::draw::Block;
use crate::estimate::scene::Scene;
use crate::living::nature::Priors;
use crate::living::worms::Worms;

/// Numbers of what nobody wrote down in a week: whether, when, and seven sizes.
pub(crate) const UNLOGGED: usize = 9;
/// Days that one number is spread over [d].
const WEEK: f64 = 7.0;

/// Lets chance act from day `from` of the scene for `days`.
pub(super) fn astray(m: &mut Possible, scene: &Scene, from: f64, days: f64) {
    // Days before filling have no week.
    let (mut at, end) = (from.max(0.0), from.max(0.0) + days);
    while end - at > 1e-9 {
        let week = ((at + 1e-9) / WEEK) as u32;
        let next = end.min(WEEK * f64::from(week + 1));
        let brings: [f64; 4] = m.tape.first(Block::Week(week));
        happens(m, scene, week, (at, next));
        drift_ph(m, scene, next - at, brings[0]);
        drift_rest(m, scene, next - at, [brings[1], brings[2], brings[3]]);
        at = next;
    }
}

/// An Ornstein-Uhlenbeck path under a force that is even for a week: `x` after
/// `days`, forgotten over `tau` days, where `sd` [per root day] is that of white
/// noise with the same variance at the ends of weeks.
fn pulled(x: f64, days: f64, tau: f64, sd: f64, z: f64) -> f64 {
    let over_week = (-WEEK / tau).exp();
    let force = sd * ((1.0 + over_week) / (2.0 * tau * (1.0 - over_week))).sqrt();
    let kept = (-days / tau).exp();
    x * kept + force * tau * (1.0 - kept) * z
}

/// What the model does not know of a bed's pH: it goes astray, and finds back as
/// what it was is forgotten. Predictions of published experiments say how far; a
/// reading teaches it, and for some weeks it stays where it was read.
fn drift_ph(m: &mut Possible, scene: &Scene, days: f64, z: f64) {
    let t = &scene.tuning;
    let (bed, life) = (&mut m.bed, &mut m.life);
    let was = bed.ph();
    life.ph_wander = pulled(life.ph_wander, days, t.ph_forgets_days, m.drift, z);
    // Given as base it would wander farther one way than the other, for buffers
    // differ; so what the bed would be without it is asked first.
    let own = bed.base - life.base_wander;
    let own_ph = bed.ph_with(-life.base_wander);
    let ph = own_ph + life.ph_wander;
    bed.set_ph(ph.clamp(t.least_ph.min(own_ph), t.most_ph.max(own_ph)));
    life.base_wander = bed.base - own;
    // The past moves along: what the model does not know is no change after a
    // dose.
    if let Some(before) = &mut m.before_dose {
        *before += bed.ph() - was;
    }
}

/// What the log does not say: a splash, an open lid, a colder corner.
fn drift_rest(m: &mut Possible, scene: &Scene, days: f64, [water, room, worms]: [f64; 3]) {
    let p = &scene.priors;
    let c = &p.constants;
    // A walk: so much in a root week, evenly.
    let share = days / WEEK.sqrt();
    let more = m.life.water_kg * ((c.water_noise * share * water).exp() - 1.0);
    m.life.pour(more, None, p);
    let tau = scene.tuning.room_forgets_days;
    m.life.room_wander = pulled(m.life.room_wander, days, tau, c.room_noise, room);
    scale_worms(m, (c.worm_noise * share * worms).exp(), p);
}

/// What may have happened in a week that nobody wrote down: water given or lost,
/// worms lost or come, or alive that were thought dead, a warmer or colder place,
/// food taken out or put in.
fn happens(m: &mut Possible, scene: &Scene, week: u32, (from, to): (f64, f64)) {
    let [does, when, sizes @ ..] = m.tape.first::<UNLOGGED>(Block::Unlogged(week));
    if does < scene.tuning.unlogged_from {
        return;
    }
    let day = WEEK * (f64::from(week) + evenly(when));
    if day >= from && day < to {
        another_life(m, scene, sizes);
    }
}

/// A number spread evenly over 0 to 1, about, from a standard normal one.
fn evenly(z: f64) -> f64 {
    // Nearest a normal distribution function that a logistic one comes.
    1.0 / (1.0 + (-1.702 * z).exp())
}

fn another_life(m: &mut Possible, scene: &Scene, sizes: [f64; UNLOGGED - 2]) {
    let (p, t) = (&scene.priors, &scene.tuning);
    let [ph, water, worms, room, food, acid, ammonium] = sizes;
    let to = (m.bed.ph() + t.other_ph * ph).clamp(t.least_ph, t.most_ph);
    m.bed.set_ph(to);
    let more = m.life.water_kg * ((t.other_water * water).exp() - 1.0);
    m.life.pour(more, None, p);
    m.bed.water_kg = m.life.water_kg;
    if m.life.worms.number() < scene.tuning.thought_dead {
        revive(m, scene, evenly(worms));
    } else {
        // [`scale`] can double them and no more.
        scale_worms(m, (t.other_worms * worms).exp().min(2.0), p);
    }
    let warmer = t.other_room * room;
    m.life.room_wander += warmer;
    m.life.warm_by(warmer, p);
    m.life.seen_kg =
        (m.life.seen_kg * (t.other_food * food).exp()).min(m.life.fed_kg * t.most_food);
    let times = ((t.other_food * acid).exp(), (t.other_food * ammonium).exp());
    scale_dissolved(m, times, p);
}

/// Worms live that all laws had dead: in a corner nobody knows of. Between the
/// fewest that can be seen and all there ever were, `share` of the way on the
/// scale of logarithms.
fn revive(m: &mut Possible, scene: &Scene, share: f64) {
    let least = scene.tuning.thought_dead;
    let ever = m.life.books.worms_died + m.life.books.worms_left + m.life.worms.number();
    if ever <= least {
        return;
    }
    let count = least * (ever / least).powf(share);
    let worms = Worms::stocked(scene.species, None, Some(count), &m.vital);
    let p = &scene.priors;
    m.life
        .unlogged(worms.grams() / 1000.0 * p.constants.worm_dry, 0.0, 0.0, p);
    m.life.worms.join(&worms);
}

/// As many worms as `factor` says, of all ages alike.
fn scale_worms(m: &mut Possible, factor: f64, p: &Priors) {
    let before = m.life.worms.grams();
    scale(m, factor);
    let dry = (m.life.worms.grams() - before) / 1000.0 * p.constants.worm_dry;
    m.life.unlogged(dry, 0.0, 0.0, p);
}

fn scale(m: &mut Possible, factor: f64) {
    if factor < 1.0 {
        m.life.worms.take_out(1.0 - factor);
    } else {
        let mut more = m.life.worms;
        more.take_out((2.0 - factor).max(0.0));
        m.life.worms.join(&more);
    }
}

/// As many times the acids in the food, and the ammonium.
fn scale_dissolved(m: &mut Possible, (acid, ammonium): (f64, f64), p: &Priors) {
    let before = (m.life.acid_pocket, m.life.ammonium);
    m.life.acid_pocket *= acid;
    m.life.ammonium *= ammonium;
    let acid = m.life.acid_pocket - before.0;
    let ammonium = m.life.ammonium - before.1;
    m.life.unlogged(0.0, acid, ammonium, p);
}
