//! From parts in any measure to one possible bed: every amount, moisture, pH,
//! buffer and filler drawn from its own range.

use crate::bed::curve::Curve;
use crate::bed::draw::{factor, in_range};
use crate::bed::possible::{Grains, PossibleBed};
use crate::bed::product::{Action, Product, Ranged};
use crate::bed::soak::MIXED;
use crate::bounds;
use crate::chemistry::lime::{Law, Parameters, Shape, Surroundings};
use crate::chemistry::neutralising::meq_per_gram;
use crate::chemistry::pore::{Pore, Solutes};
use crate::chemistry::sites::site_charge;
use crate::log::{Part, PeatLabel};
use crate::measure::AmountError;
use crate::quantity::Celsius;
use crate::table::{Material, Property, Role, TableError, Tables, inside_a_sentence};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;
use thiserror::Error;

/// Why parts could not be made a bed.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FillError {
    /// A material or number is not in the tables.
    #[error(transparent)]
    Table(#[from] TableError),
    /// An amount does not fit the material.
    #[error("{material}: {source}")]
    Amount {
        /// Material key.
        material: String,
        /// What was wrong.
        source: Box<AmountError>,
    },
    /// A value outside its range.
    #[error("{material}: {source}")]
    Bound {
        /// Material key.
        material: String,
        /// What was wrong.
        source: bounds::BoundError,
    },
    /// Nothing to fill with.
    #[error(
        "there are no parts; name at least one material with an amount, such as `coir_pith` and `20 L`"
    )]
    Nothing,
    /// Water, lime and the like, but nothing worms could live in.
    #[error(
        "there is no bedding among the parts, only {found}; name at least one bedding with an amount, such as `coir_pith` and `20 L`"
    )]
    NoBedding {
        /// Names of what is there.
        found: String,
    },
}

/// Key under which plain water may stand among the parts.
pub const WATER: &str = "water";

/// A part made ready: the material with the keeper's own values, and ranges.
#[derive(Debug, Clone)]
pub struct ReadyPart {
    /// The material; `None` for water.
    pub material: Option<Material>,
    /// The other row of an unlabelled bag of peat, when the label does not say.
    pub maybe: Option<Material>,
    /// Wet mass [g].
    pub grams: Ranged,
    /// Loose volume [L].
    pub litres: Ranged,
    /// Own pH.
    pub ph: Option<f64>,
    /// Own moisture [% of wet mass].
    pub moisture_percent: Option<f64>,
    /// Name shown.
    pub name: String,
    /// Site capacities [cmol/kg dry at pKa 3..10] and their geometric spread.
    pub sites: [f64; 8],
    /// Geometric standard deviation of the buffer's strength [-].
    pub gsd: f64,
    /// A lime, ash or acid among the parts: it acts, but has no sites.
    pub reagent: Option<Product>,
}

impl ReadyPart {
    /// `factor` times as much of it.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            grams: self.grams.times(factor),
            litres: self.litres.times(factor),
            ..self.clone()
        }
    }
}

/// Uncertainty of a pH the keeper measured on a material [pH] (judgement).
const OWN_PH_SD: f64 = 0.3;

/// The keeper's own values by material key.
pub type Own = BTreeMap<String, BTreeMap<String, f64>>;

/// Makes parts ready, checking every amount and value.
///
/// # Errors
/// [`FillError`] naming the material and what is wrong.
pub fn ready(tables: &Tables, parts: &[Part], own: &Own) -> Result<Vec<ReadyPart>, FillError> {
    if parts.is_empty() {
        return Err(FillError::Nothing);
    }
    parts.iter().map(|p| ready_part(tables, p, own)).collect()
}

/// As [`ready`], for a whole bed: something besides water, lime, ash or acid
/// must be there, or there is nothing with a pH of its own to speak of.
///
/// # Errors
/// As [`ready`], or [`FillError::NoBedding`].
pub fn ready_bed(tables: &Tables, parts: &[Part], own: &Own) -> Result<Vec<ReadyPart>, FillError> {
    let parts = ready(tables, parts, own)?;
    let is_bedding = |p: &ReadyPart| p.material.is_some() && p.reagent.is_none();
    if parts.iter().any(is_bedding) {
        return Ok(parts);
    }
    let names: Vec<String> = parts.iter().map(|p| inside_a_sentence(&p.name)).collect();
    Err(FillError::NoBedding {
        found: names.join(", "),
    })
}

fn ready_part(tables: &Tables, part: &Part, own: &Own) -> Result<ReadyPart, FillError> {
    let bound = |b: &bounds::Bound, v: Option<f64>| -> Result<Option<f64>, FillError> {
        v.map(|v| b.check(v))
            .transpose()
            .map_err(|source| FillError::Bound {
                material: part.material.clone(),
                source,
            })
    };
    let ph = bound(&bounds::BEDDING_PH, part.ph)?;
    let moisture_percent = bound(&bounds::MOISTURE_PERCENT, part.moisture_percent)?;
    let amount_error = |source| FillError::Amount {
        material: part.material.clone(),
        source: Box::new(source),
    };
    if part.material == WATER {
        let litres = part
            .amount
            .water_litres(tables)
            .map_err(amount_error)?
            .litres;
        return Ok(water_part(litres));
    }
    let (key, maybe_key) = peat_rows(&part.material, part.label);
    let material = with_own(tables, key, own)?;
    let maybe = maybe_key.map(|k| with_own(tables, k, own)).transpose()?;
    let grams = part.amount.grams(&material, tables).map_err(amount_error)?;
    let litres = part
        .amount
        .litres(&material, tables)
        .map_err(amount_error)?;
    let (sites, gsd, reagent) = match tables.sites(key) {
        Ok(found) => (found.capacity_cmol_kg, found.gsd, None),
        Err(TableError::NoSites { .. }) => {
            let empty = BTreeMap::new();
            let values = own.get(key).unwrap_or(&empty);
            ([0.0; 8], 1.0, Some(Product::of(tables, &material, values)?))
        }
        Err(other) => return Err(other.into()),
    };
    Ok(ReadyPart {
        name: material.name.clone(),
        grams: Ranged {
            value: grams.grams,
            low: grams.low,
            high: grams.high,
        },
        litres: Ranged {
            value: litres.litres,
            low: litres.low,
            high: litres.high,
        },
        ph,
        moisture_percent,
        sites,
        gsd,
        reagent,
        material: Some(material),
        maybe,
    })
}

fn water_part(litres: f64) -> ReadyPart {
    let of = Ranged::exactly;
    ReadyPart {
        material: None,
        maybe: None,
        grams: of(litres * 1000.0),
        litres: of(0.0),
        ph: None,
        moisture_percent: None,
        name: "Water".into(),
        sites: [0.0; 8],
        gsd: 1.0,
        reagent: None,
    }
}

/// The material with the keeper's own values. The grain size of a label is
/// not a number of the material: it goes to the product made of it.
pub(crate) fn with_own(tables: &Tables, key: &str, own: &Own) -> Result<Material, TableError> {
    let material = tables.material(key)?;
    let Some(values) = own.get(key) else {
        return Ok(material.clone());
    };
    let mut values = values.clone();
    values.remove("particle_mm");
    material.with_own(&values)
}

/// The peat row a label points to, and the other one when it does not say.
fn peat_rows(key: &str, label: PeatLabel) -> (&str, Option<&'static str>) {
    const SOUR: &str = "peat_sphagnum_unlimed";
    const LIMED: &str = "peat_sphagnum_limed";
    if key != SOUR && key != LIMED {
        return (key, None);
    }
    match label {
        PeatLabel::AsNamed => (key, None),
        PeatLabel::LimeAdjusted => (LIMED, None),
        PeatLabel::NotLimed => (SOUR, None),
        PeatLabel::DoesNotSay => (SOUR, Some(LIMED)),
    }
}

/// What holds for the whole bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// Temperature [°C].
    pub temperature: Celsius,
    /// Carbon dioxide in the bed air [atm].
    pub co2_atm: Ranged,
    /// Calcium in the pore water [mmol/L].
    pub pore_calcium_mmol: Ranged,
    /// Background ionic strength of the pore water [mol/kg].
    pub ionic_strength: f64,
    /// Fastest retreat of a lime grain [µm/day].
    pub lime_um_per_day: Ranged,
    /// Its activation energy [kJ/mol].
    pub activation_kj_per_mol: f64,
    /// Salt of a material for which nobody lists it [mS/cm].
    pub unlisted_ec: Ranged,
    /// Size of the carbonate grains in paper and compost [µm].
    pub carbonate_um: Ranged,
}

impl Conditions {
    /// Usual conditions of a bed at a temperature.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn usual(tables: &Tables, temperature: Celsius) -> Result<Self, TableError> {
        let bed = |property: &str| Ranged::of(tables, "bed", "bed", property);
        let lime = |property: &str| Ranged::of(tables, "dissolution", "bedding", property);
        Ok(Self {
            temperature,
            co2_atm: Ranged::of(tables, "gases", "normal_bedding", "co2_atm")?,
            pore_calcium_mmol: lime("pore_calcium_mmol_l")?,
            ionic_strength: bed("ionic_strength_mol_per_kg")?.value,
            lime_um_per_day: lime("retreat_cap_um_per_day")?,
            activation_kj_per_mol: lime("activation_energy_kj_mol")?.value,
            unlisted_ec: bed("unlisted_ec_ms_per_cm")?,
            carbonate_um: bed("filler_grain_um")?,
        })
    }
}

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
    /// Sum of loose volumes [L].
    pub litres: f64,
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
    /// A dry mineral such as lime or grit [kg].
    fn add_mineral(&mut self, kg: f64) {
        self.wet_kg += kg;
        self.dry_kg += kg;
        self.ash_kg += kg;
    }

    /// Moisture to aim for [share of wet mass]: `most`, or a little below what
    /// the mix can hold against drainage, `WH / (1 + WH)`, when that is less.
    #[must_use]
    pub fn aim_moisture(&self, most: f64) -> f64 {
        let holding = self.holds_kg / self.holds_dry_kg.max(1e-9);
        if holding <= 0.0 {
            return most;
        }
        (holding / (1.0 + holding) - 0.04).clamp(0.4, most)
    }
}

/// Draws one possible bed.
pub fn draw(rng: &mut ChaCha8Rng, parts: &[ReadyPart], c: &Conditions) -> (PossibleBed, Totals) {
    draw_each(rng, parts, c, |_, _| {})
}

/// As [`draw`], showing `each` part as it was drawn.
pub fn draw_each(
    rng: &mut ChaCha8Rng,
    parts: &[ReadyPart],
    c: &Conditions,
    mut each: impl FnMut(&ReadyPart, &DrawnPart),
) -> (PossibleBed, Totals) {
    let mut totals = Totals::default();
    let mut capacity = [0.0; 8];
    let mut site_reference = 0.0;
    let mut water_by_ph: Vec<(f64, f64)> = Vec::new();
    let mut grains = Vec::new();
    let mut reagents = Vec::new();
    let co2 = c.co2_atm.draw_log(rng);
    let pore = Pore::new(c.temperature, co2, c.ionic_strength, Solutes::default());
    let filler_um = c.carbonate_um.draw_log(rng);
    for part in parts {
        let kg = part.grams.draw_log(rng) / 1000.0;
        let Some(material) = chosen(rng, part) else {
            totals.wet_kg += kg;
            totals.water_kg += kg;
            each(part, &DrawnPart::only(0.0, kg));
            continue;
        };
        if let Some(product) = &part.reagent {
            if product.action == Action::Passing {
                let drawn = DrawnPart::passing(rng, part, material, product, kg);
                drawn.add_to(&mut totals);
                each(part, &drawn);
                continue;
            }
            totals.add_mineral(kg);
            each(part, &DrawnPart::only(kg, 0.0));
            reagents.push((product.draw(rng), 1000.0 * kg));
            continue;
        }
        let mut drawn = DrawnPart::of(rng, part, material, kg, c);
        drawn.litres = part.litres.draw_log(rng);
        drawn.add_to(&mut totals);
        each(part, &drawn);
        let strength = factor(rng, part.gsd) * drawn.dry_kg / 100.0;
        for (sum, q) in capacity.iter_mut().zip(part.sites) {
            *sum += strength * q;
        }
        site_reference += site_charge(&part.sites.map(|q| q * strength), drawn.ph);
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
            site_charge(&capacity, ph) + water * pore.charge(ph) - reference + nothing
        }),
        stretch: 1.0,
        base: 0.0,
        grains,
        slow: Vec::new(),
        touches: Vec::new(),
        dry_kg: totals.dry_kg,
        water_kg: water,
        temperature: c.temperature,
        trend_per_day: 0.0,
        lime: 0.0,
        carbonic_per_day: f64::INFINITY,
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

/// The material of a part; an unlabelled bag is one row or the other.
fn chosen<'a>(rng: &mut ChaCha8Rng, part: &'a ReadyPart) -> Option<&'a Material> {
    match &part.maybe {
        Some(other) if crate::bed::draw::normal(rng) > 0.0 => Some(other),
        _ => part.material.as_ref(),
    }
}

/// One part as drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnPart {
    /// Dry mass [kg].
    pub dry_kg: f64,
    /// Water [kg].
    pub water_kg: f64,
    /// Loose volume [L].
    pub litres: f64,
    ph: f64,
    /// Salt [mS/cm].
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
    fn only(dry_kg: f64, water_kg: f64) -> Self {
        Self {
            dry_kg,
            water_kg,
            litres: 0.0,
            ph: 7.0,
            ec: 0.0,
            carbon: 0.0,
            nitrogen: 0.0,
            labile: 0.0,
            ash: 1.0,
            holds: Some(0.3),
            filler_meq_per_g: 0.0,
            feed: false,
            acid: 0.0,
        }
    }

    /// Vinegar and the like: water, and an acid that microbes burn within days,
    /// which a bed without life in it does not feel.
    fn passing(
        rng: &mut ChaCha8Rng,
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
            holds: None,
            acid: (-product.draw(rng).meq_per_g).max(0.0) * kg,
            ..Self::only(kg - water, water)
        }
    }

    fn of(rng: &mut ChaCha8Rng, part: &ReadyPart, m: &Material, kg: f64, c: &Conditions) -> Self {
        let unlisted_ec = c.unlisted_ec.value;
        let mut number = |property: Property, low: f64, high: f64| {
            m.triple(property)
                .map_or(0.0, |(lo, v, hi)| in_range(rng, v, lo, hi).clamp(low, high))
        };
        let moisture = part
            .moisture_percent
            .unwrap_or_else(|| number(Property::MoisturePercent, 0.0, 97.0));
        let ph = match part.ph {
            Some(own) => number_around(own, OWN_PH_SD, number(Property::Ph, 2.0, 13.0), m),
            None => number(Property::Ph, 2.0, 13.0),
        };
        let ash = number(Property::AshPercent, 0.0, 100.0) / 100.0;
        Self {
            dry_kg: kg * (1.0 - moisture / 100.0),
            water_kg: kg * moisture / 100.0,
            litres: 0.0,
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

    fn add_to(&self, t: &mut Totals) {
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
    fn filler(&self, size_um: f64) -> Option<Grains> {
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
