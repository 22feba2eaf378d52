//! From parts, as a keeper gives them, to what goes into one possible bin.

use crate::bed::curve::Curve;
use crate::bed::draw::{Chance, in_range, in_range_log};
use crate::bed::fill::{DrawnPart, ReadyPart};
use crate::bed::possible::PossibleBed;
use crate::chemistry::neutralising::meq_per_gram;
use crate::living::life::Load;
use crate::living::nature::{Nature, Priors};
use crate::living::rot::Kind;
use crate::living::salt;
use crate::measure::Packing;
use crate::table::{Material, Property, Role};

/// Matter that is castings already: worms need not work it again.
const WORKED: [&str; 3] = ["vermicompost", "vermicompost_dry_norm", "castings_potting"];

/// A part of a filling, drawn together with the bed's acid and base.
#[must_use]
pub fn of_drawn(part: &ReadyPart, d: &DrawnPart, p: &Priors) -> Load {
    let key = part.material.as_ref().map_or("", |m| m.key.as_str());
    let kind = p.rates.kinds.get(key).copied();
    let acid = d.acid.min(d.dry_kg / p.constants.acid_mass);
    // What of its dry matter is no acid.
    let dry = d.dry_kg - acid * p.constants.acid_mass;
    let salts = salt::brought((part.material.as_ref(), kind), dry, (d.ec, d.ph), p);
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
        worked: if WORKED.contains(&key) {
            p.constants.castings_worked
        } else {
            0.0
        },
        salt: salts.lasting,
        salt_of_acids: salts.of_acids,
        alkali: salts.alkali,
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
#[derive(Debug, Clone)]
pub struct Fed {
    /// What goes in.
    pub load: Load,
    /// Its titration curve, counted from the pH it comes at [mol_c/kg].
    pub charge: Curve,
    /// What it is made of rots away.
    pub rots: bool,
}

/// Draws one part of a feeding: what the keeper's measures weigh is this
/// possible bin's, how wet and how rich the food is falls anew each time.
#[must_use]
pub fn fed(g: &mut dyn Chance, part: &ReadyPart, n: &Nature, p: &Priors) -> Fed {
    let weighed = part.grams.high / part.grams.low.max(1e-9) < p.constants.weighed_within;
    let measure = if weighed { 1.0 } else { n.measured_feed };
    let kg = measure * in_range_log(g, part.grams.value, part.grams.low, part.grams.high) / 1000.0;
    let Some(m) = &part.material else {
        return Fed {
            load: Load {
                water_kg: kg,
                ..Load::default()
            },
            charge: part.charge.clone(),
            rots: false,
        };
    };
    let mut drawn = |property: Property, low: f64, high: f64| {
        m.triple(property)
            .map_or(0.0, |(l, v, h)| in_range(g, v, l, h).clamp(low, high))
    };
    // Draws are held to what food can be.
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
    let listed = m.triple(Property::EcMsCm).map(|(_, ec, _)| ec);
    let unlisted = || p.constants.potassium_ec * usual(Property::PotassiumPercent);
    let ph = part.ph.unwrap_or_else(|| match usual(Property::Ph) {
        0.0 => p.constants.unlisted_food_ph,
        ph => ph,
    });
    let ec = n.salt * listed.unwrap_or_else(unlisted);
    let salts = salt::brought((Some(m), kind), dry, (ec, ph), p);
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
            degradable: degradable(m, p),
            feed: true,
            worked: 0.0,
            salt: salts.lasting,
            salt_of_acids: salts.of_acids,
            alkali: salts.alkali,
            holds_kg: dry * p.constants.unlisted_hold,
            cell_water_kg: cell_water(kind, dry, water, p),
            packing: as_it_rots(kind, &part.packing, p).0,
            fresh_litres: dry * as_it_rots(kind, &part.packing, p).1,
            celsius: None,
        },
        charge: part.charge.from(ph),
        rots: m.role == Role::Feed,
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

fn degradable(m: &Material, p: &Priors) -> f64 {
    m.triple(Property::LabileFraction)
        .map_or(p.constants.unlisted_degradable, |(_, v, _)| v)
}

impl Fed {
    /// What it does to the acid of the bed: as when it is filled in.
    pub fn meet(&self, bed: &mut PossibleBed) {
        if self.rots {
            bed.join_food(&self.charge, self.load.dry_kg);
        } else if self.load.dry_kg > 0.0 {
            bed.join_lasting(&self.charge, self.load.dry_kg);
        }
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
