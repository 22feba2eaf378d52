//! From parts, as a keeper gives them, to what goes into one possible bin.

use crate::bed::draw::{in_range, in_range_log};
use crate::bed::fill::{DrawnPart, ReadyPart};
use crate::bed::possible::PossibleBed;
use crate::chemistry::neutralising::meq_per_gram;
use crate::living::life::Load;
use crate::living::nature::{Nature, Priors};
use crate::living::rot::Kind;
use crate::measure::Packing;
use crate::table::{Material, Property};
use rand_chacha::ChaCha8Rng;

/// Matter that is castings already: worms need not work it again.
const WORKED: [&str; 3] = ["vermicompost", "vermicompost_dry_norm", "castings_potting"];

/// Conductivity of a 1:5 extract of dry food per percent of potassium
/// [mS/cm]: 1 % is 0.26 mol/kg, in 5 L/kg, at 0.1 mS/cm per meq/L; the other
/// salts lie within the factor drawn for them. Where it goes, see
/// [`crate::living::salt`].
const EC_PER_POTASSIUM: f64 = 5.1;

/// A part of a filling, drawn together with the bed's acid and base.
#[must_use]
pub fn of_drawn(part: &ReadyPart, d: &DrawnPart, p: &Priors) -> Load {
    let key = part.material.as_ref().map_or("", |m| m.key.as_str());
    let kind = p.rates.kinds.get(key).copied();
    let acid = d.acid.min(d.dry_kg / p.constants.acid_mass);
    // What of its dry matter is no acid.
    let dry = d.dry_kg - acid * p.constants.acid_mass;
    let lasting = match kind {
        Some(kind) if kind.is_fresh() => p.constants.mineral_salt,
        _ => 1.0,
    };
    Load {
        kind,
        dry_kg: dry,
        water_kg: d.water_kg,
        ash_kg: dry * d.ash,
        carbon_kg: dry * d.carbon,
        nitrogen_kg: dry * d.nitrogen,
        ammonium: ammonium(key, dry * d.nitrogen, p),
        degradable: d.labile,
        feed: d.feed,
        worked: if WORKED.contains(&key) { 0.9 } else { 0.0 },
        salt: dry * d.ec * lasting,
        salt_of_acids: dry * d.ec * (1.0 - lasting),
        acid,
        holds_kg: dry * holds_as_it_lies(part.material.as_ref(), d.holds, p),
        cell_water_kg: cell_water(kind, dry, d.water_kg, p),
        packing: as_it_rots(kind, &d.packing, p).0,
        fresh_litres: dry * as_it_rots(kind, &d.packing, p).1,
        celsius: None,
    }
}

/// How dry matter packs, and what it takes up beyond that while it is fresh
/// [L/kg]: food falls to rotted food as its cells give way.
fn as_it_rots(kind: Option<Kind>, packing: &Packing, p: &Priors) -> (Packing, f64) {
    if !kind.is_some_and(Kind::in_pocket) {
        return (*packing, 0.0);
    }
    (
        p.rotted,
        (packing.wetted(1.0) - p.rotted.wetted(1.0)).max(0.0),
    )
}

/// A feeding as one possible bin gets it, and what it does to the acid of the
/// bed: cheaper than a whole new bed, since food is little beside it.
#[derive(Debug, Clone, Copy)]
pub struct Fed {
    /// What goes in.
    pub load: Load,
    /// pH of the food.
    pub ph: f64,
}

/// Draws one part of a feeding: what the keeper's measures weigh is this
/// possible bin's, how wet and how rich the food is falls anew each time.
#[must_use]
pub fn fed(g: &mut ChaCha8Rng, part: &ReadyPart, n: &Nature, p: &Priors) -> Fed {
    let weighed = part.grams.high / part.grams.low.max(1e-9) < 1.05;
    let measure = if weighed { 1.0 } else { n.measured_feed };
    let kg = measure * in_range_log(g, part.grams.value, part.grams.low, part.grams.high) / 1000.0;
    let Some(m) = &part.material else {
        return Fed {
            load: Load {
                water_kg: kg,
                ..Load::default()
            },
            ph: 7.0,
        };
    };
    let mut drawn = |property: Property, low: f64, high: f64| {
        m.triple(property)
            .map_or(0.0, |(l, v, h)| in_range(g, v, l, h).clamp(low, high))
    };
    let moisture = part
        .moisture_percent
        .unwrap_or_else(|| drawn(Property::MoisturePercent, 0.0, 97.0));
    let nitrogen = drawn(Property::NitrogenPercent, 0.0, 15.0) / 100.0;
    let usual = |property: Property| m.triple(property).map_or(0.0, |(_, v, _)| v);
    let dry = kg * (1.0 - moisture / 100.0);
    let kind = p.rates.kinds.get(&m.key).copied();
    let acid = acid_mol(m, kg).min(dry / p.constants.acid_mass);
    let water = kg - dry;
    let dry = dry - acid * p.constants.acid_mass;
    let salts = dry * EC_PER_POTASSIUM * usual(Property::PotassiumPercent) * n.salt;
    let mineral = p.constants.mineral_salt;
    let table_salt = p.table_salt.get(&m.key).map_or(0.0, |mol| mol * dry) * p.constants.anion_ec;
    Fed {
        load: Load {
            kind,
            dry_kg: dry,
            water_kg: water,
            acid,
            ash_kg: dry * usual(Property::AshPercent) / 100.0,
            carbon_kg: dry * usual(Property::CarbonPercent) / 100.0,
            nitrogen_kg: dry * nitrogen,
            ammonium: ammonium(&m.key, dry * nitrogen, p),
            degradable: degradable(m),
            feed: true,
            worked: 0.0,
            salt: salts * mineral + table_salt,
            salt_of_acids: salts * (1.0 - mineral),
            holds_kg: dry * p.constants.unlisted_hold,
            cell_water_kg: cell_water(kind, dry, water, p),
            packing: as_it_rots(kind, &part.packing, p).0,
            fresh_litres: dry * as_it_rots(kind, &part.packing, p).1,
            celsius: None,
        },
        ph: part.ph.unwrap_or_else(|| {
            let ph = usual(Property::Ph);
            if ph > 0.0 { ph } else { 6.0 }
        }),
    }
}

/// Water bedding holds [kg/kg dry]: what its table says, and no less than what
/// it brings when it lies in a heap and drips no more.
fn holds_as_it_lies(m: Option<&Material>, listed: Option<f64>, p: &Priors) -> f64 {
    let rots = m.is_some_and(|m| p.rates.kinds.contains_key(&m.key));
    let unlisted = if rots {
        p.constants.unlisted_hold
    } else {
        p.constants.mineral_hold
    };
    let holds = listed.unwrap_or(unlisted);
    let lies = m.and_then(|m| m.triple(Property::MoisturePercent));
    let lies = lies
        .filter(|_| !m.is_some_and(|m| p.rates.kinds.get(&m.key).is_some_and(|k| k.in_pocket())));
    lies.map_or(holds, |(_, moisture, _)| {
        holds.max(moisture / (100.0 - moisture))
    })
}

/// Water the cells of fresh food hold beyond what its dry matter would [kg]: it
/// comes free as the food rots.
fn cell_water(kind: Option<Kind>, dry_kg: f64, water_kg: f64, p: &Priors) -> f64 {
    match kind {
        Some(kind) if kind.in_pocket() => (water_kg - dry_kg * p.constants.unlisted_hold).max(0.0),
        _ => 0.0,
    }
}

/// Ammonium that `nitrogen_kg` of a material comes with [mol].
fn ammonium(key: &str, nitrogen_kg: f64, p: &Priors) -> f64 {
    p.ammonium.get(key).map_or(0.0, |share| share * nitrogen_kg) * p.constants.mol_per_kg
}

/// Acid in `kg` of vinegar and the like [mol], which microbes burn: what would
/// neutralise it, per kg.
fn acid_mol(m: &Material, kg: f64) -> f64 {
    let percent = m
        .triple(Property::NeutralisingPercent)
        .map_or(0.0, |(_, v, _)| v);
    (-meq_per_gram(percent)).max(0.0) * kg
}

fn degradable(m: &Material) -> f64 {
    m.triple(Property::LabileFraction)
        .map_or(0.5, |(_, v, _)| v)
}

impl Fed {
    /// What it does to the acid of the bed: its buffer joins, and the gap
    /// between its pH and the bed's is shared by both.
    pub fn meet(&self, bed: &mut PossibleBed, n: &Nature) {
        let ph = bed.ph();
        let buffer = n.food_buffer * self.load.dry_kg;
        let bed_buffer = bed.buffer_at(ph).max(1e-9);
        bed.restretch(1.0 + buffer / bed_buffer);
        bed.base += buffer * (self.ph - ph);
        self.load.sour(bed);
    }
}

impl Load {
    /// What its acid, as in vinegar, does to the base of the bed; adding it to
    /// the life of the bin books as much.
    pub fn sour(&self, bed: &mut PossibleBed) {
        bed.base -= self.acid;
    }
}
