//! From parts in any measure to one possible bed: every amount, moisture, pH,
//! buffer and filler drawn from its own range.

mod conditions;
mod drawn;
mod ready;

use crate::bed::curve::Curve;
use crate::bed::draw::{Chance, factor};
use crate::bed::judge::Levels;
use crate::bed::possible::PossibleBed;
use crate::bed::product::Action;
use crate::bed::soak::MIXED;
use crate::chemistry::lime::{Law, Parameters, Surroundings};
use crate::chemistry::pore::{Pore, Solutes};
use crate::chemistry::sites::site_charge;
use crate::measure::{Packing, density};
use crate::table::Material;
pub use conditions::Conditions;
pub use drawn::DrawnPart;
pub(crate) use ready::{DRAINED, amount_of, is_a_bed, ready_those, with_own};
pub use ready::{FillError, Own, ReadyPart, WATER, charge_of, ready, ready_bed};

/// Totals of one possible mix.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Totals {
    /// Wet mass [kg].
    pub wet_kg: f64,
    /// Dry mass [kg].
    pub dry_kg: f64,
    /// Water [kg].
    pub water_kg: f64,
    /// Organic carbon [kg].
    pub carbon_kg: f64,
    /// Nitrogen [kg].
    pub nitrogen_kg: f64,
    /// Carbon that rots within weeks to months [kg].
    pub labile_carbon_kg: f64,
    /// Nitrogen in what rots within weeks to months [kg].
    pub labile_nitrogen_kg: f64,
    /// Dry organic matter that rots within weeks to months [kg].
    pub labile_kg: f64,
    /// Ash [kg].
    pub ash_kg: f64,
    /// Sum of the volumes as the parts come [L].
    pub litres: f64,
    /// How the mix packs.
    pub packing: Packing,
    /// Salt, sum of volume times EC [L mS/cm].
    pub litres_ec: f64,
    /// Water the mix can hold against drainage [kg].
    pub holds_kg: f64,
    /// Dry mass whose holding is known [kg].
    pub holds_dry_kg: f64,
    /// Dry mass that is feed [kg].
    pub feed_kg: f64,
}

impl Totals {
    /// Moisture [share of wet mass].
    #[must_use]
    pub fn moisture(&self) -> f64 {
        self.water_kg / self.wet_kg.max(1e-9)
    }

    /// What it stands at, wetted as it is and not settled [L].
    #[must_use]
    pub fn wetted_litres(&self) -> f64 {
        self.dry_kg * self.packing.wetted(self.moisture())
    }

    /// Share by which it settles in the end under its own weight, filled to a
    /// depth [0 to 1].
    #[must_use]
    pub fn settled_share(&self, depth_m: f64) -> f64 {
        let floor_m2 = self.wetted_litres() / 1000.0 / depth_m.max(1e-9);
        let kpa = density::load_kpa(self.wet_kg, floor_m2);
        self.packing.settled(kpa, 1.0)
    }

    /// What the mix can hold against drainage, `100 WH / (1 + WH)` [% of wet
    /// mass]; nothing where it is not known.
    #[must_use]
    pub fn held_percent(&self) -> Option<f64> {
        let holding = self.holds_kg / self.holds_dry_kg.max(1e-9);
        (holding > 0.0).then(|| 100.0 * holding / (1.0 + holding))
    }

    /// Moisture to aim for [share of wet mass]: what is usual, or a little below
    /// what the mix can hold when that is less.
    #[must_use]
    pub fn aim_moisture(&self, l: &Levels) -> f64 {
        let most = l.aim_percent / 100.0;
        self.held_percent().map_or(most, |held| {
            (held / 100.0 - l.aim_under_holding).clamp(l.aim_least, most)
        })
    }

    /// Moisture at which a squeeze runs instead of dropping [% of wet mass].
    #[must_use]
    pub fn runs_from(&self, l: &Levels) -> f64 {
        let held = self.held_percent();
        held.map_or(l.wet_percent, |held| l.squeeze.runs_from(held))
    }
}

/// Draws one possible bed.
pub fn draw(rng: &mut dyn Chance, parts: &[ReadyPart], c: &Conditions) -> (PossibleBed, Totals) {
    draw_each(rng, parts, c, |_, _| {})
}

/// As [`draw`], showing `each` part as it was drawn.
pub fn draw_each(
    rng: &mut dyn Chance,
    parts: &[ReadyPart],
    c: &Conditions,
    mut each: impl FnMut(&ReadyPart, &DrawnPart),
) -> (PossibleBed, Totals) {
    let mut totals = Totals::default();
    let mut food = c.humus.scaled(0.0);
    let mut capacity = [0.0; 8];
    let mut site_reference = 0.0;
    let mut water_by_ph: Vec<(f64, f64)> = Vec::new();
    let mut grains = Vec::new();
    let mut reagents = Vec::new();
    let co2 = c.co2_atm.draw_log(rng);
    let pore = Pore::new(c.temperature, co2, c.ionic_strength, Solutes::default());
    let filler_um = c.carbonate_um.draw_log(rng);
    for part in parts {
        let Some(material) = chosen(rng, part) else {
            let drawn = DrawnPart::only(part, 0.0, part.grams.draw_log(rng) / 1000.0);
            drawn.add_to(&mut totals);
            each(part, &drawn);
            continue;
        };
        if let Some(product) = &part.reagent {
            let kg = part.grams.draw_log(rng) / 1000.0;
            let passing = product.action == Action::Passing;
            let drawn = if passing {
                DrawnPart::passing(rng, part, material, product, kg)
            } else {
                reagents.push((product.draw(rng), 1000.0 * kg));
                DrawnPart::only(part, kg, 0.0)
            };
            drawn.add_to(&mut totals);
            each(part, &drawn);
            continue;
        }
        let drawn = DrawnPart::of(rng, part, material, c);
        drawn.add_to(&mut totals);
        each(part, &drawn);
        let strength = factor(rng, part.gsd) * drawn.dry_kg / 100.0;
        if drawn.feed {
            food = food.joined(1.0, &part.charge.from(drawn.ph), 100.0 * strength);
        } else {
            for (sum, q) in capacity.iter_mut().zip(part.sites) {
                *sum += strength * q;
            }
            site_reference += site_charge(&part.sites.map(|q| q * strength), drawn.ph);
        }
        water_by_ph.push((drawn.water_kg, drawn.ph));
        grains.extend(drawn.filler(filler_um));
    }
    let water = totals.water_kg;
    let reference: f64 = site_reference
        + water_by_ph
            .iter()
            .map(|(w, ph)| w * pore.charge(*ph))
            .sum::<f64>();
    let mut bed = PossibleBed {
        curve: Curve::tabulate(|ph| {
            // With nothing in it a bin has no pH of its own: next to no buffer
            // keeps it neutral.
            let nothing = if totals.wet_kg > 0.0 {
                0.0
            } else {
                1e-3 * (ph - 7.0)
            };
            site_charge(&capacity, ph) - reference + nothing
        }),
        water: Curve::tabulate(|ph| pore.charge(ph)),
        stretch: 1.0,
        humus: c.humus.clone(),
        humus_kg: 0.0,
        food,
        food_left: 1.0,
        base: 0.0,
        grains,
        slow: Vec::new(),
        touches: Vec::new(),
        dry_kg: totals.dry_kg,
        water_kg: water,
        temperature: c.temperature,
        lime: 0.0,
        calcium: 0.0,
        carbonic_per_day: f64::INFINITY,
        chalk: c.chalk,
        law: Law::new(
            &Parameters {
                max_um_per_day: c.lime_um_per_day.draw_log(rng),
                activation_kj_per_mol: c.activation_kj_per_mol,
                pore_calcium_mol_per_l: c.pore_calcium_mmol.draw_log(rng) / 1000.0,
            },
            &Surroundings {
                temperature: c.temperature,
                co2_atm: co2,
                gamma1: pore.gamma1(),
            },
        ),
    };
    for (lot, grams) in &reagents {
        lot.give(&mut bed, *grams, &MIXED);
    }
    (bed, totals)
}

/// Lets a bed stand somewhat off the sum of its parts, as one that was really
/// filled does.
pub fn astray(rng: &mut dyn Chance, bed: &mut PossibleBed, c: &Conditions) {
    let ph = bed.ph() + c.start_error_ph * rng.normal();
    bed.set_ph(ph.clamp(c.least_ph, c.most_ph));
}

/// The material of a part; an unlabelled bag is one row or the other.
fn chosen<'a>(rng: &mut dyn Chance, part: &'a ReadyPart) -> Option<&'a Material> {
    match &part.maybe {
        Some(other) if rng.normal() > 0.0 => Some(other),
        _ => part.material.as_ref(),
    }
}
