//! Peat trials: lime, alkali and compost mixed into peat of a stated dry
//! density, by the sites of the tables and the pore water.

use super::bedding::{bisect, sites};
use super::{Area, Basis, Check, Expected, From, ValidationError, about, between, near};
use crate::bed::product::Product;
use crate::bed::soak::MIXED;
use crate::chemistry::neutralising::meq_per_gram;
use crate::chemistry::pore::{Pore, Solutes};
use crate::chemistry::sites::site_charge;
use crate::quantity::Celsius;
use crate::table::Tables;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;

const BISHKO: &str = "Bishko, Fisher & Argo 2002, HortScience 37:511, abstract";
const COMPOST: &str =
    "Compost and limestone study, HortScience (Taylor et al. 2016), trade-press abstract";

/// One litre of a medium: its beddings and their water.
struct Litre {
    parts: Vec<([f64; 8], f64, f64)>,
    water_kg: f64,
    pore: Pore,
}

impl Litre {
    fn new(tables: &Tables, parts: &[(&str, f64, f64)]) -> Result<Self, ValidationError> {
        let co2 = tables.value("gases", "normal_bedding", "co2_atm")?;
        let strength = tables.value("bed", "bed", "ionic_strength_mol_per_kg")?;
        let mut known = Vec::new();
        for (key, dry_kg, ph) in parts {
            known.push((sites(tables, key)?, *dry_kg, *ph));
        }
        Ok(Self {
            parts: known,
            water_kg: 0.5,
            pore: Pore::new(Celsius(22.0), co2, strength, Solutes::default()),
        })
    }

    /// pH once `base` [mol_c] has acted.
    fn ph_with(&self, base: f64) -> f64 {
        let dry: f64 = self.parts.iter().map(|p| p.1).sum();
        bisect(|ph| {
            let taken: f64 = self
                .parts
                .iter()
                .map(|(q, kg, start)| {
                    let water = self.water_kg * kg / dry;
                    kg * (site_charge(q, ph) - site_charge(q, *start))
                        + water * (self.pore.charge(ph) - self.pore.charge(*start))
                })
                .sum();
            taken - base
        })
    }
}

const PEAT: &str = "peat_sphagnum_unlimed";

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let mut all = bishko(tables)?;
    all.extend(limed(tables)?);
    all.extend(composted(tables)?);
    Ok(all)
}

fn bishko(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let from = From {
        area: Area::Trials,
        source: BISHKO,
        basis: Basis::Opened,
        unit: "pH",
        decimals: 2,
    };
    // 70 % peat at 0.08 to 0.10 kg dry per litre; hydrated dolomitic lime at
    // 28.6 to 33.1 g per equivalent.
    let medium = |density: f64, ph: f64| Litre::new(tables, &[(PEAT, 0.7 * density, ph)]);
    let hydrate = |grams_per_eq: f64| 1.5 / grams_per_eq;
    let middle = medium(0.09, 3.4)?.ph_with(hydrate(30.85));
    let mut all = vec![
        from.check(
            "11",
            "1.5 kg/m³ hydrated dolomitic lime in 70 % peat, from pH 3.4",
            near(6.4, 0.5),
            middle,
        ),
        from.check(
            "11 low",
            "the same, densest peat and weakest lime",
            about(6.4),
            medium(0.10, 3.4)?.ph_with(hydrate(33.1)),
        ),
        from.check(
            "11 high",
            "the same, lightest peat and strongest lime",
            about(6.4),
            medium(0.08, 3.4)?.ph_with(hydrate(28.6)),
        ),
    ];
    let rise = |density: f64, start: f64, base: f64| -> Result<f64, ValidationError> {
        Ok(medium(density, start)?.ph_with(base) - start)
    };
    for start in [3.4, 4.4, 5.4, 6.4] {
        all.push(from.check(
            format!("12 pH {start}"),
            format!("rise for 4.0 meq/L KOH, from pH {start}"),
            between(0.0, 0.5),
            rise(0.09, start, 0.0040)?,
        ));
    }
    let accepted = Expected::Between {
        low: 1.0,
        high: 3.0,
    };
    for (key, density, start) in [("13a", 0.10, 3.4), ("13b", 0.09, 3.4), ("13c", 0.08, 4.0)] {
        all.push(
            from.check(key, format!("rise for 45.4 meq/L KHCO3, from pH {start}, peat at {density:.2} kg/L"), accepted, rise(density, start, 0.0454)?)
                .note("published: up to about 2, a mean over starting pH and days 1 to 28; to 3 is accepted. The buffer is about 30 % low in this trial"),
        );
    }
    let mut mean = 0.0;
    for start in [3.4, 4.4, 5.4, 6.4] {
        mean += rise(0.09, start, 0.0454)? / 4.0;
    }
    all.push(
        from.check("13 mean", "the same, mean over starts at pH 3.4, 4.4, 5.4 and 6.4", between(1.0, 2.0), mean)
            .note("held to the published figure itself. A buffer a third stronger would come close to it and then miss check 11 of the same abstract, so the sites were not re-fitted"),
    );
    Ok(all)
}

fn limed(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let from = From {
        area: Area::Trials,
        source: COMPOST,
        basis: Basis::Opened,
        unit: "pH",
        decimals: 2,
    };
    let peat = Litre::new(tables, &[(PEAT, 0.11, 4.5)])?;
    let product = Product::from_tables(tables, "limestone_calcitic", &BTreeMap::new())?;
    let mut all = Vec::new();
    for (grams, published) in [(1.2, 5.2), (2.4, 5.6), (3.6, 6.1)] {
        let base = 0.65 * grams * meq_per_gram(100.0) / 1000.0;
        all.push(
            from.check(
                format!("14 {grams}"),
                format!("peat at pH 4.5 with {grams} g/L limestone, 65 % of it acted"),
                near(published, 0.3),
                peat.ph_with(base),
            )
            .note("the share acted is our assumption; the time of reading is not in the abstract"),
        );
        for days in [7.0, 28.0] {
            let acted = share_acted(tables, &product, grams, days)?;
            let base = acted * grams * meq_per_gram(100.0) / 1000.0;
            all.push(from.check(
                format!("14 {grams} day {days}"),
                format!(
                    "the same with a usual garden lime on day {days:.0} ({:.0} % acted)",
                    100.0 * acted
                ),
                about(published),
                peat.ph_with(base),
            ));
        }
    }
    Ok(all)
}

/// Share of garden lime that has acted in a litre of peat after some days.
fn share_acted(
    tables: &Tables,
    product: &Product,
    grams: f64,
    days: f64,
) -> Result<f64, ValidationError> {
    use crate::bed::fill::{Conditions, draw};
    let conditions = Conditions::usual(tables, Celsius(22.0))?;
    let part = super::exact::exact_part(
        tables,
        PEAT,
        &[("ph", 4.5), ("moisture_percent", 80.0)],
        550.0,
    )?;
    let mut rng = ChaCha8Rng::seed_from_u64(14);
    let mut shares = Vec::new();
    for _ in 0..200 {
        let (mut bed, _) = draw(&mut rng, std::slice::from_ref(&part), &conditions);
        let lot = product.draw(&mut rng);
        lot.give(&mut bed, grams, &MIXED);
        bed.advance(days);
        shares.push(1.0 - bed.pending() / lot.base(grams, &MIXED));
    }
    shares.sort_by(f64::total_cmp);
    Ok(shares[shares.len() / 2])
}

fn composted(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let from = From {
        area: Area::Trials,
        source: COMPOST,
        basis: Basis::Opened,
        unit: "pH",
        decimals: 2,
    };
    let mixed = |peat_ph: f64, compost: f64| -> Result<f64, ValidationError> {
        let parts = [
            (PEAT, 0.6 * 0.10, peat_ph),
            ("yard_compost_finished", 0.4 * compost, 7.6),
        ];
        Ok(Litre::new(tables, &parts)?.ph_with(0.0))
    };
    Ok(vec![
        from.check(
            "15",
            "40 % compost (pH 7.6, 0.30 kg/L dry) in peat at pH 4.5",
            near(6.7, 0.3),
            mixed(4.5, 0.30)?,
        ),
        from.check(
            "15 light",
            "the same, compost 0.25 kg/L",
            near(6.7, 0.3),
            mixed(4.5, 0.25)?,
        ),
        from.check(
            "15 dense",
            "the same, compost 0.35 kg/L",
            near(6.7, 0.3),
            mixed(4.5, 0.35)?,
        ),
        from.check(
            "15 limed",
            "40 % compost in peat limed to pH 6.1",
            near(7.1, 0.3),
            mixed(6.1, 0.30)?,
        ),
    ])
}
