//! One part of a bed as drawn: each of its numbers from its own range.

use super::{Conditions, ReadyPart, Totals};
use crate::bed::draw::{Chance, in_range};
use crate::bed::possible::Grains;
use crate::bed::product::Product;
use crate::chemistry::lime::Shape;
use crate::chemistry::neutralising::meq_per_gram;
use crate::measure::Packing;
use crate::table::{Material, Property, Role};

/// One part as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnPart {
    /// Dry mass [kg].
    pub dry_kg: f64,
    /// Water [kg].
    pub water_kg: f64,
    /// Volume as it comes [L].
    pub litres: f64,
    /// How it packs.
    pub packing: Packing,
    /// pH as it comes.
    pub ph: f64,
    /// Salt of a 1:5 extract, table salt left out [mS/cm].
    pub ec: f64,
    /// Organic carbon [share of dry mass].
    pub carbon: f64,
    /// Nitrogen [share of dry mass].
    pub nitrogen: f64,
    /// Labile share of organic matter [0 to 1].
    pub labile: f64,
    /// Ash [share of dry mass].
    pub ash: f64,
    /// Water its dry matter holds [kg/kg], where listed.
    pub holds: Option<f64>,
    filler_meq_per_g: f64,
    /// Food, as against bedding.
    pub feed: bool,
    /// Acid of its dry matter that microbes burn, as in vinegar [mol_c].
    pub acid: f64,
}

impl DrawnPart {
    /// Water, or a mineral that has no part in acid and base here.
    pub(super) fn only(part: &ReadyPart, dry_kg: f64, water_kg: f64) -> Self {
        Self {
            dry_kg,
            water_kg,
            litres: dry_kg * part.packing.wetted(0.0),
            packing: part.packing,
            ph: 7.0,
            ec: 0.0,
            carbon: 0.0,
            nitrogen: 0.0,
            labile: 0.0,
            ash: 1.0,
            holds: None,
            filler_meq_per_g: 0.0,
            feed: false,
            acid: 0.0,
        }
    }

    /// Vinegar and the like: water, and an acid that microbes burn within days,
    /// which a bed without life in it does not feel.
    pub(super) fn passing(
        rng: &mut dyn Chance,
        part: &ReadyPart,
        m: &Material,
        product: &Product,
        kg: f64,
    ) -> Self {
        let moisture = part.moisture_percent.unwrap_or_else(|| {
            m.triple(Property::MoisturePercent)
                .map_or(0.0, |(low, v, high)| in_range(rng, v, low, high))
        });
        let water = (moisture / 100.0).clamp(0.0, 1.0) * kg;
        Self {
            ash: 0.0,
            labile: 1.0,
            acid: (-product.draw(rng).meq_per_g).max(0.0) * kg,
            ..Self::only(part, kg - water, water)
        }
    }

    pub(super) fn of(rng: &mut dyn Chance, part: &ReadyPart, m: &Material, c: &Conditions) -> Self {
        let dry_per_litre = part.dry_per_litre.draw_log(rng) / 1000.0;
        let amount = if part.by_volume {
            part.litres.draw_log(rng)
        } else {
            part.grams.draw_log(rng) / 1000.0
        };
        // Where nobody measured it, its potassium conducts.
        let potassium = m.triple(Property::PotassiumPercent);
        let unlisted_ec = potassium.map_or(c.unlisted_ec.value, |(_, k, _)| c.potassium_ec * k);
        // Draws are held to what matter can be.
        let mut number = |property: Property, low: f64, high: f64| {
            m.triple(property)
                .map_or(0.0, |(lo, v, hi)| in_range(rng, v, lo, hi).clamp(low, high))
        };
        // Drawn whether typed or not, so that all else is drawn alike.
        let listed = number(Property::MoisturePercent, 0.0, 97.0);
        let moisture = part.moisture_percent.unwrap_or(listed);
        let ph = match part.ph {
            Some(own) => number_around(own, c.own_ph_sd, number(Property::Ph, 2.0, 13.0), m),
            None => number(Property::Ph, 2.0, 13.0),
        };
        let ash = number(Property::AshPercent, 0.0, 100.0) / 100.0;
        let dry_share = (1.0 - moisture / 100.0).max(0.01);
        let dry_kg = amount
            * if part.by_volume {
                dry_per_litre
            } else {
                dry_share
            };
        Self {
            dry_kg,
            water_kg: dry_kg * (1.0 / dry_share - 1.0),
            litres: dry_kg / dry_per_litre.max(1e-9),
            packing: part.packing.coming_at(1.0 / dry_per_litre.max(1e-9)),
            ph,
            ec: if m.triple(Property::EcMsCm).is_some() {
                number(Property::EcMsCm, 0.0, 60.0)
            } else {
                unlisted_ec
            },
            carbon: number(Property::CarbonPercent, 0.0, 60.0) / 100.0,
            nitrogen: number(Property::NitrogenPercent, 0.0, 20.0) / 100.0,
            labile: number(Property::LabileFraction, 0.0, 1.0),
            ash,
            holds: m
                .triple(Property::WaterHoldingGPerG)
                .map(|_| number(Property::WaterHoldingGPerG, 0.0, 20.0)),
            filler_meq_per_g: meq_per_gram(number(Property::NeutralisingPercent, 0.0, 100.0)),
            feed: m.role == Role::Feed,
            acid: 0.0,
        }
    }

    pub(super) fn add_to(&self, t: &mut Totals) {
        let d = self.dry_kg;
        t.wet_kg += d + self.water_kg;
        t.dry_kg += d;
        t.water_kg += self.water_kg;
        t.carbon_kg += d * self.carbon;
        t.nitrogen_kg += d * self.nitrogen;
        t.labile_carbon_kg += d * self.carbon * self.labile;
        t.labile_nitrogen_kg += d * self.nitrogen * self.labile;
        t.labile_kg += d * (1.0 - self.ash) * self.labile;
        t.ash_kg += d * self.ash;
        t.litres += self.litres;
        t.packing.join(t.dry_kg - d, &self.packing, d);
        t.litres_ec += self.litres * self.ec;
        if let Some(holds) = self.holds {
            t.holds_kg += d * holds;
            t.holds_dry_kg += d;
        }
        if self.feed {
            t.feed_kg += d;
        }
    }

    /// Free carbonate in paper and compost, as grains.
    pub(super) fn filler(&self, size_um: f64) -> Option<Grains> {
        (self.filler_meq_per_g > 0.0).then_some(Grains {
            whole: self.filler_meq_per_g * self.dry_kg,
            size_um,
            shape: Shape::Grain,
            contact: 1.0,
            ash: false,
            retreat_um: 0.0,
        })
    }
}

/// The keeper's own pH with its error, taking its random part from a draw of
/// the table's range so that the number of draws stays the same.
fn number_around(own: f64, sd: f64, table_draw: f64, m: &Material) -> f64 {
    let z = m.triple(Property::Ph).map_or(0.0, |(lo, v, hi)| {
        let half = if table_draw < v { v - lo } else { hi - v };
        if half > 0.0 {
            (table_draw - v) / half * crate::bed::draw::Z90
        } else {
            0.0
        }
    });
    (own + sd * z).clamp(2.0, 13.0)
}
