//! What the log says of the living bin, put into every member: food, water,
//! worms, castings; and what eyes, nose, hands, scales and thermometers say,
//! weighed.

use crate::bed::draw::normal;
use crate::bed::fill::{self, Conditions, ReadyPart};
use crate::bed::product::Ranged;
use crate::estimate::ensemble::{Ensemble, Possible, Weighed};
use crate::estimate::scene::Scene;
use crate::living::heat::Zones;
use crate::living::life::{Life, Load};
use crate::living::load;
use crate::living::observe::{Gauge, Level, Sayings, count::Found};
use crate::living::signs::Signs;
use crate::living::worms::Worms;
use crate::log::{TrayTest, Word};
use crate::measure::Packing;
use rand_chacha::ChaCha8Rng;

/// What moves or shows the living bin.
#[derive(Debug, Clone)]
pub(crate) enum Living {
    /// Food.
    Fed(Vec<ReadyPart>),
    /// Water poured [kg].
    Watered(Ranged),
    /// Liquid taken off [kg].
    Drained(Ranged),
    /// Worms put in.
    Stocked {
        grams: Option<f64>,
        count: Option<f64>,
    },
    /// Castings taken out [kg].
    Harvested(Ranged),
    /// Words.
    Seen(Vec<Word>),
    /// Worms counted or weighed.
    Counted(Found),
    /// Temperature, moisture or salt, ready to weigh by.
    Gauged(Gauge),
    /// Depth of the bedding written down.
    Stood(Level),
    /// Bin with contents [kg].
    Weighed(f64),
    /// Half-and-half tray.
    Tray(TrayTest),
}

/// Draws a member as filled: bed and all that lives in it.
pub(crate) fn fill_member(
    g: &mut ChaCha8Rng,
    parts: &[ReadyPart],
    conditions: &Conditions,
    scene: &Scene,
) -> Possible {
    let mut life = Life::empty(Worms::none(scene.species));
    let mut loads = Vec::with_capacity(parts.len());
    // The bed first: so judged before it was filled, it is the same bed.
    let (mut bed, _) = fill::draw_each(g, parts, conditions, |part, drawn| {
        loads.push(load::of_drawn(part, drawn, &scene.priors));
    });
    fill::astray(g, &mut bed, conditions);
    let nature = scene.priors.draw(&scene.home, g);
    let vital = scene.vitals.draw(g);
    let celsius = scene.room.mean(0.0, 0.0) + nature.room_offset;
    for load in &mut loads {
        load.celsius = Some(celsius);
        load.feed = false;
        life.add(load, &scene.priors);
        load.sour(&mut bed);
    }
    life.warm_to(celsius, &scene.priors);
    life.carried.air_celsius = celsius;
    life.told.zones = Zones::even(celsius);
    life.carried.ends = life.told.zones;
    Possible {
        bed,
        bias: std::collections::BTreeMap::new(),
        before_dose: None,
        life,
        nature,
        vital,
        tare: None,
        met: 0,
    }
}

/// Mixes more bedding, or an acid that passes, into a member.
pub(crate) fn add_bedding(
    m: &mut Possible,
    g: &mut ChaCha8Rng,
    parts: &[ReadyPart],
    conditions: &Conditions,
    scene: &Scene,
) {
    let air = m.life.carried.air_celsius;
    let (life, bed) = (&mut m.life, &mut m.bed);
    let (other, _) = fill::draw_each(g, parts, conditions, |part, drawn| {
        let mut load = load::of_drawn(part, drawn, &scene.priors);
        load.celsius = Some(air);
        load.feed = false;
        life.add(&load, &scene.priors);
        load.sour(bed);
    });
    bed.join(other);
}

/// Feeds a member.
pub(crate) fn feed(m: &mut Possible, g: &mut ChaCha8Rng, parts: &[ReadyPart], scene: &Scene) {
    for part in parts {
        let mut fed = load::fed(g, part, &m.nature, &scene.priors);
        fed.load.celsius = Some(m.life.carried.air_celsius);
        fed.meet(&mut m.bed);
        m.life.add(&fed.load, &scene.priors);
    }
}

/// Adds the mass of a dose [kg] and its neutral salt [mol_c].
pub(crate) fn add_mineral(m: &mut Possible, kg: f64, salt: f64, scene: &Scene) {
    let load = Load {
        dry_kg: kg,
        salt: salt * scene.priors.constants.anion_ec,
        holds_kg: scene.priors.constants.mineral_hold * kg,
        packing: Packing::firm(scene.priors.constants.mineral_litres),
        ..Load::default()
    };
    m.life.add(&load, &scene.priors);
}

/// Gives heat [kJ] or, negative, takes it; booked as coming with matter.
pub(crate) fn warm(m: &mut Possible, kj: f64) {
    m.life.heat += kj;
    m.life.books.heat_with_matter += kj;
}

/// Puts worms into a member. What the post brings is a few per cent off what
/// was ordered.
pub(crate) fn stock(
    m: &mut Possible,
    g: &mut ChaCha8Rng,
    grams: Option<f64>,
    count: Option<f64>,
    scene: &Scene,
) {
    let off = (scene.tuning.order_off * normal(g)).exp();
    let new = Worms::stocked(
        scene.species,
        grams.map(|v| v * off),
        count.map(|v| v * off),
        &m.vital,
    );
    m.life.worms.join(&new);
    m.life.came_in(new.grams(), &scene.priors);
}

/// Worms by stage.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Staged {
    /// Worms with a clitellum.
    pub adults: f64,
    /// Worms without.
    pub young: f64,
    /// Cocoons.
    pub cocoons: f64,
}

/// Puts counted worms of known stages into a member, well fed.
pub(crate) fn stock_staged(m: &mut Possible, staged: &Staged, scene: &Scene) {
    let new = Worms::counted(
        scene.species,
        staged.adults,
        staged.young,
        staged.cocoons,
        &m.vital,
    );
    m.life.worms.join(&new);
    m.life.came_in(new.grams(), &scene.priors);
}

/// Takes castings out of a member: bedding of the whole bin in proportion,
/// with the few worms a keeper cannot pick out.
pub(crate) fn harvest(m: &mut Possible, g: &mut ChaCha8Rng, kg: &Ranged, scene: &Scene) {
    let wet = kg.draw_log(g).max(0.0);
    let dry = m.life.dry_kg(&scene.priors);
    let contents = dry + m.life.water_kg;
    let share = (wet / contents.max(1e-9)).min(scene.tuning.most_harvested);
    let missed = scene.tuning.worms_missed * share;
    m.life.take_out(share, missed, &scene.priors);
    m.bed = m.bed.clone().scaled(1.0 - share);
}

/// Carries one living event out, or weighs by it. What was seen alive lives in
/// every possible bin, before and after.
pub(crate) fn happen(
    ensemble: &mut Ensemble,
    scene: &Scene,
    sayings: &Sayings,
    event: &Living,
) -> Option<Weighed> {
    let least = match event {
        Living::Seen(words) => sayings.least_alive(words),
        Living::Counted(found) => found.least_alive(),
        _ => None,
    };
    if let Some(least) = least {
        ensemble.seen_alive(scene, least);
    }
    let went = carry_out(ensemble, scene, sayings, event);
    if let Some(least) = least {
        ensemble.seen_alive(scene, least);
    }
    went
}

fn carry_out(
    ensemble: &mut Ensemble,
    scene: &Scene,
    sayings: &Sayings,
    event: &Living,
) -> Option<Weighed> {
    match event {
        Living::Fed(parts) => ensemble.each_by_hands(|m, g| feed(m, g, parts, scene)),
        Living::Watered(kg) => ensemble.each_by_hands(|m, g| {
            let kg = kg.draw(g).max(0.0);
            m.life
                .pour(kg, Some(m.life.carried.air_celsius), &scene.priors);
            m.bed.water_kg = m.life.water_kg;
        }),
        Living::Drained(kg) => ensemble.each_by_hands(|m, g| {
            let kg = kg.draw(g).max(0.0);
            m.take_off(scene, kg);
        }),
        Living::Stocked { grams, count } => {
            ensemble.each_by_hands(|m, g| stock(m, g, *grams, *count, scene));
        }
        Living::Harvested(kg) => {
            let says = |s: &Signs| sayings.harvest_log_likelihood(kg.value, s);
            let went = ensemble.weigh_life(scene, false, None, |_, s| says(s));
            ensemble.each_by_hands(|m, g| harvest(m, g, kg, scene));
            return Some(went);
        }
        Living::Seen(words) => {
            let says = |s: &Signs| sayings.words_log_likelihood(words, s);
            let signs = ensemble.signs(scene);
            let chance = |s: &Signs, w| sayings.word_log_likelihood(w, s).exp();
            let surprise = words.iter().any(|w| {
                chance_of(ensemble, &signs, |s| chance(s, *w)) < scene.tuning.surprising_word
            });
            return Some(ensemble.weigh_life(scene, surprise, Some(signs), |_, s| says(s)));
        }
        Living::Counted(found) => {
            let says = |s: &Signs| sayings.worm_count_log_likelihood(found, s);
            return Some(ensemble.weigh_life(scene, false, None, |_, s| says(s)));
        }
        Living::Gauged(gauge) => {
            let signs = ensemble.signs(scene);
            let surprise = far_off(ensemble, &signs, gauge) > scene.tuning.surprise;
            let says = |s: &Signs| gauge.log_likelihood(s);
            return Some(ensemble.weigh_life(scene, surprise, Some(signs), |_, s| says(s)));
        }
        Living::Stood(level) => {
            let says = |s: &Signs| level.log_likelihood(s);
            return Some(ensemble.weigh_life(scene, false, None, |_, s| says(s)));
        }
        Living::Tray(test) => {
            let says = |s: &Signs| sayings.tray_log_likelihood(test, s);
            return Some(ensemble.weigh_life(scene, false, None, |_, s| says(s)));
        }
        Living::Weighed(gross) => return Some(put_on_scale(ensemble, scene, sayings, *gross)),
    }
    None
}

/// Weighs by the mass of the whole bin, learning what it weighs empty.
fn put_on_scale(ensemble: &mut Ensemble, scene: &Scene, sayings: &Sayings, gross: f64) -> Weighed {
    let signs = ensemble.signs(scene);
    let prior = sayings.tare(scene.size_cm, scene.walls);
    let heard: Vec<_> = ensemble
        .members
        .iter()
        .zip(&signs)
        .map(|(m, s)| sayings.mass(gross, m.tare.unwrap_or(prior), s))
        .collect();
    for (m, (_, tare)) in ensemble.members.iter_mut().zip(&heard) {
        m.tare = Some(*tare);
    }
    let logs: Vec<f64> = heard.iter().map(|h| h.0).collect();
    ensemble.weigh_logs(scene, &logs)
}

/// Chance the ensemble gave a word [0 to 1].
fn chance_of(e: &Ensemble, signs: &[Signs], chance: impl Fn(&Signs) -> f64) -> f64 {
    signs
        .iter()
        .zip(&e.weights)
        .map(|(s, w)| w * chance(s))
        .sum()
}

/// How far a reading lies from what the ensemble expects, in standard
/// deviations of both together [-].
fn far_off(e: &Ensemble, signs: &[Signs], gauge: &Gauge) -> f64 {
    let expected: Vec<f64> = signs.iter().map(|s| gauge.expected(s)).collect();
    let mean: f64 = expected.iter().zip(&e.weights).map(|(x, w)| x * w).sum();
    let var: f64 = expected
        .iter()
        .zip(&e.weights)
        .map(|(x, w)| w * (x - mean).powi(2))
        .sum();
    (gauge.read() - mean).abs() / (var + gauge.sd().powi(2)).sqrt()
}

#[cfg(test)]
mod tests;
