//! What the log says of the living bin, put into every member: food, water,
//! worms, castings; and what eyes, nose, hands, scales and thermometers say,
//! weighed.

use crate::bed::draw::{Block, Chance, Tape};
use crate::bed::fill::{self, Conditions, ReadyPart};
use crate::bed::product::Ranged;
use crate::estimate::ensemble::Possible;
use crate::estimate::scene::Scene;
use crate::living::heat::Zones;
use crate::living::life::{Life, Load};
use crate::living::load;
use crate::living::observe::{Gauge, GaugeKind, Keepers, Level, Said, Unseen, count::Found};
use crate::living::worms::Worms;
use crate::log::{TrayTest, Word};
use crate::measure::Packing;
use std::collections::BTreeMap;

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

/// A member as filled, by its tape: bed and all that lives in it.
pub(crate) fn fill_member(
    mut tape: Tape,
    parts: &[ReadyPart],
    conditions: &Conditions,
    (scene, drift, keepers): (&Scene, &Ranged, &Keepers),
) -> Possible {
    let mut life = Life::empty(Worms::none(scene.species));
    let mut loads = Vec::with_capacity(parts.len());
    // The bed first: so judged before it was filled, it is the same bed.
    let g = tape.open(Block::Bed);
    let (mut bed, _) = fill::draw_each(g, parts, conditions, |part, drawn| {
        loads.push(load::of_drawn(part, drawn, &scene.priors));
    });
    fill::astray(g, &mut bed, conditions);
    let nature = scene.priors.draw(&scene.home, tape.open(Block::Nature));
    let vital = scene.vitals.draw(tape.open(Block::Vital));
    let drift = drift.draw_log(tape.open(Block::Drift));
    let g = tape.open(Block::Keeper);
    let keeper = keepers.draw(&std::array::from_fn(|_| g.normal()));
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
        bias: BTreeMap::new(),
        gauge_bias: [None; GaugeKind::ALL.len()],
        before_dose: None,
        given_meq: 0.0,
        life,
        nature,
        vital,
        drift,
        keeper,
        said: Said::default(),
        unseen: Unseen::none(0.0),
        tare: None,
        met: 0,
        tape,
        heard: 0.0,
        heard_last: 0.0,
        stood: None,
    }
}

/// Mixes more bedding, or an acid that passes, into a member.
pub(crate) fn add_bedding(
    m: &mut Possible,
    g: &mut dyn Chance,
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
pub(crate) fn feed(m: &mut Possible, g: &mut dyn Chance, parts: &[ReadyPart], scene: &Scene) {
    for part in parts {
        let mut fed = load::fed(g, part, &m.nature, &scene.priors);
        fed.load.celsius = Some(m.life.carried.air_celsius);
        fed.meet(&mut m.bed);
        m.life.add(&fed.load, &scene.priors);
    }
    m.life.seen_pace = (scene.tuning.seen_pace * g.normal()).exp();
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
    g: &mut dyn Chance,
    grams: Option<f64>,
    count: Option<f64>,
    scene: &Scene,
) {
    let off = (scene.tuning.order_off * g.normal()).exp();
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
pub(crate) fn harvest(m: &mut Possible, g: &mut dyn Chance, kg: &Ranged, scene: &Scene) {
    let wet = kg.draw_log(g).max(0.0);
    let dry = m.life.dry_kg(&scene.priors);
    let contents = dry + m.life.water_kg;
    let share = (wet / contents.max(1e-9)).min(scene.tuning.most_harvested);
    let missed = scene.tuning.worms_missed * share;
    m.life.take_out(share, missed, &scene.priors);
    m.bed = m.bed.clone().scaled(1.0 - share);
}

/// Pours water into a member [kg].
pub(crate) fn water(m: &mut Possible, g: &mut dyn Chance, kg: &Ranged, scene: &Scene) {
    let kg = kg.draw(g).max(0.0);
    let air = m.life.carried.air_celsius;
    m.life.pour(kg, Some(air), &scene.priors);
    m.bed.water_kg = m.life.water_kg;
}

#[cfg(test)]
mod tests;
