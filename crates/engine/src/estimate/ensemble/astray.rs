//! How members go their own ways: wandering with time, copies nudged apart,
//! and another life for those that cannot have been as the log tells.

use super::Possible;
use crate::bed::draw::normal;
use crate::estimate::scene::Scene;
use crate::estimate::tuning::Tuning;
use crate::living::nature::Priors;
use rand_chacha::ChaCha8Rng;

/// What the model does not know of a bed's pH: it goes astray by `sd` [pH] in so
/// many `days`, and finds back as what it was is forgotten. Predictions of published experiments say
/// how far; a reading teaches it, and for some weeks it stays where it was read.
pub(super) fn wander_ph(m: &mut Possible, t: &Tuning, (sd, days): (f64, f64), g: &mut ChaCha8Rng) {
    let forgotten = days / t.ph_forgets_days;
    let (bed, life) = (&mut m.bed, &mut m.life);
    let was = bed.ph();
    life.ph_wander = life.ph_wander * (-forgotten).exp() + sd * normal(g);
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
pub(super) fn wander(m: &mut Possible, scene: &Scene, days: f64, g: &mut ChaCha8Rng) {
    let p = &scene.priors;
    let c = &p.constants;
    let root = days.sqrt();
    let more = m.life.water_kg * ((c.water_noise * root * normal(g)).exp() - 1.0);
    m.life.pour(more, None, p);
    m.life.room_wander *= (-days / scene.tuning.room_forgets_days).exp();
    m.life.room_wander += c.room_noise * root * normal(g);
    scale_worms(m, (c.worm_noise * root * normal(g)).exp(), p);
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

/// What may have happened that nobody wrote down: water given or lost, worms
/// lost or come, a warmer or colder place, food taken out or put in.
pub(super) fn another_life(m: &mut Possible, scene: &Scene, g: &mut ChaCha8Rng) {
    let (p, t) = (&scene.priors, &scene.tuning);
    let more = m.life.water_kg * ((t.other_water * normal(g)).exp() - 1.0);
    m.life.pour(more, None, p);
    m.bed.water_kg = m.life.water_kg;
    // [`scale`] can double them and no more.
    scale_worms(m, (t.other_worms * normal(g)).exp().min(2.0), p);
    let warmer = t.other_room * normal(g);
    m.life.room_wander += warmer;
    m.life.warm_by(warmer, p);
    m.life.seen_kg =
        (m.life.seen_kg * (t.other_food * normal(g)).exp()).min(m.life.fed_kg * t.most_food);
    let times = (
        (t.other_food * normal(g)).exp(),
        (t.other_food * normal(g)).exp(),
    );
    scale_dissolved(m, times, p);
}

/// Lets a copy of a living bin go its own way.
pub(super) fn jitter_life(m: &mut Possible, scene: &Scene, share: f64, g: &mut ChaCha8Rng) {
    let (p, t) = (&scene.priors, &scene.tuning);
    m.nature.jitter(p, share, g);
    let more = m.life.water_kg * ((t.copy_water * share * normal(g)).exp() - 1.0);
    m.life.pour(more, None, p);
    scale_worms(m, (t.copy_worms * share * normal(g)).exp(), p);
    m.life.worked = (m.life.worked * (t.copy_castings * share * normal(g)).exp()).clamp(0.0, 1.0);
    let times = ((share * normal(g)).exp(), (share * normal(g)).exp());
    scale_dissolved(m, times, p);
    m.life.seen_kg *= (share * normal(g)).exp();
}

/// Nudges a copy, its pH by a standard deviation of `nudge`.
pub(super) fn jitter(member: &mut Possible, t: &Tuning, nudge: f64, g: &mut ChaCha8Rng) {
    member.bed.restretch((t.copy_buffer * normal(g)).exp());
    let was = member.bed.ph();
    // Within the ends of the curve.
    let ph = (was + nudge * normal(g)).clamp(2.1, 12.9);
    member.bed.set_ph(ph);
    // The past moves along, or jitter would pass for a change.
    if let Some(before) = &mut member.before_dose {
        *before += ph - was;
    }
    for bias in member.bias.values_mut() {
        *bias += t.copy_bias * normal(g);
    }
}
