//! Feed, bedding, doses and water beyond what the bin has room for or what is
//! in it.

use super::figures::unusual;
use super::{Asker, DAY, Past};
use crate::bed::fill::{Own, ReadyPart, WATER, ready};
use crate::bed::product::Ranged;
use crate::log::{Body, Dose, Part};
use crate::measure::Amount;
use crate::reading::contents::{self, Held};
use crate::reading::question::Question;
use crate::table::product::ProductRow;
use crate::table::{TableError, Tables};

impl Asker<'_> {
    /// Asks about more of something than the bin has room for [L].
    pub(super) fn over(
        &self,
        what: &'static str,
        litres: f64,
    ) -> Result<Vec<Question>, TableError> {
        let most = self.holds * self.most("volume_share")?;
        let asked = overfull(what, Ranged::exactly(litres), most, self.holds);
        Ok(asked.into_iter().collect())
    }

    pub(super) fn bedding(&self, parts: &[Part]) -> Result<Vec<Question>, TableError> {
        let litres = amount(self.tables, self.own, parts).1;
        let mut found: Vec<Question> = Vec::new();
        let most = self.holds * self.most("volume_share")?;
        found.extend(overfull("bedding", litres, most, self.holds));
        let water = parts.iter().filter(|p| p.material == WATER);
        let water: f64 = water
            .filter_map(|p| p.amount.water_litres(self.tables).ok())
            .map(|l| l.litres)
            .sum();
        found.extend(self.over("water", water)?);
        // Lime and the like are as much of a dose among bedding as by themselves.
        for part in parts {
            if self.tables.product(&part.material).is_ok_and(is_dosed) {
                found.extend(self.at_once(part)?);
            }
        }
        Ok(found)
    }

    pub(super) fn feed(&self, parts: &[Part]) -> Result<Vec<Question>, TableError> {
        let (kg, litres) = amount(self.tables, self.own, parts);
        let holds = self.holds;
        let most_kg = holds * self.most("feed_kg_per_litre")?;
        if kg.low > most_kg {
            let kg = kg.value;
            return Ok(vec![Question::TooMuchFeed { kg, most_kg, holds }]);
        }
        let most = holds * self.most("volume_share")?;
        Ok(overfull("feed", litres, most, holds).into_iter().collect())
    }

    pub(super) fn dose(&self, dose: &Dose) -> Result<Vec<Question>, TableError> {
        let part = Part::plain(dose.material.clone(), dose.amount);
        match self.tables.product(&dose.material) {
            Ok(product) if !is_dosed(product) => self.bedding(&[part]),
            _ => self.at_once(&part),
        }
    }

    /// Asks about more lime, acid and the like than is given at once.
    fn at_once(&self, part: &Part) -> Result<Vec<Question>, TableError> {
        let kg = amount(self.tables, self.own, std::slice::from_ref(part)).0;
        let most_kg = self.holds * self.most("dose_grams_per_litre")? / 1000.0;
        Ok((kg.low > most_kg)
            .then_some(Question::TooMuchDose {
                kg: kg.value,
                most_kg,
                holds: self.holds,
            })
            .into_iter()
            .collect())
    }

    /// Water at once, and with what was poured in any week that it is in.
    pub(super) fn water(
        &self,
        amount: &Amount,
        past: &Past<'_>,
    ) -> Result<Vec<Question>, TableError> {
        let litres = |a: &Amount| a.water_litres(self.tables).map_or(0.0, |l| l.litres);
        let once = self.over("water", litres(amount))?;
        if !once.is_empty() {
            return Ok(once);
        }
        let week = (self.most("water_days")? * DAY) as i64;
        let poured = past.log.iter().filter_map(|e| match &e.body {
            Body::Water { amount, .. } => Some((e.at_unix_seconds, litres(amount))),
            _ => None,
        });
        let poured: Vec<(i64, f64)> = poured
            .filter(|(at, _)| (at - past.at).abs() <= week)
            .collect();
        let ends = poured.iter().map(|(at, _)| *at).filter(|at| *at > past.at);
        let others = ends.chain([past.at]).map(|end| {
            let within = poured
                .iter()
                .filter(|(at, _)| (end - week..=end).contains(at));
            within.map(|(_, litres)| litres).sum::<f64>()
        });
        let most = others.fold(0.0, f64::max);
        self.over("water within a week", most + litres(amount))
    }

    /// More taken out than is in the bin, more feed at once than goes with what
    /// is in it, or more water than there is bedding.
    pub(super) fn beyond_contents(
        &self,
        within: Held,
        body: &Body,
    ) -> Result<Option<Question>, TableError> {
        let litres = |a: &Amount| {
            a.water_litres(self.tables)
                .map_or((0.0, 0.0), |l| (l.low, l.litres))
        };
        let (what, kg, share) = match body {
            Body::Harvest { amount } => {
                let kg = contents::castings_kg(self.tables, amount);
                ("castings", kg, self.most("taken_share")?)
            }
            Body::Drain { amount } => (
                "liquid drained",
                litres(amount).0,
                self.most("taken_share")?,
            ),
            Body::Feeding { parts } => {
                let kg = amount(self.tables, self.own, parts).0.low;
                ("feed", kg, self.most("feed_share")?)
            }
            Body::Water { amount, .. } => {
                let ((least, litres), bed) = (litres(amount), within.litres);
                let is_more = least > self.most("water_bed_share")? * bed;
                return Ok(is_more.then_some(Question::BeyondBed { litres, bed }));
            }
            _ => return Ok(None),
        };
        Ok(
            (kg > share * within.kg).then_some(Question::BeyondContents {
                what,
                kg,
                within_kg: within.kg,
            }),
        )
    }

    /// Filled with next to no bedding.
    pub(super) fn thin(&self, parts: &[Part]) -> Result<Vec<Question>, TableError> {
        let litres = amount(self.tables, self.own, parts).1;
        let least = self.holds * self.most("fill_share")?;
        if litres.high >= least {
            return Ok(Vec::new());
        }
        let most = self.holds * self.most("volume_share")?;
        Ok(unusual("the bedding", litres.value, least, most, "L"))
    }
}

/// A product that is given by the gram; sour bedding goes in by the litre.
fn is_dosed(product: &ProductRow) -> bool {
    product.action != "sour_bedding"
}

/// Asks only when even the least the amount may be is too much.
fn overfull(what: &'static str, amount: Ranged, most: f64, holds: f64) -> Option<Question> {
    (amount.low > most).then_some(Question::Overfull {
        what,
        litres: amount.value,
        holds,
    })
}

/// Mass [kg] and loose volume [L] of the parts, water left out: it sits in the
/// pores.
fn amount(tables: &Tables, own: &Own, parts: &[Part]) -> (Ranged, Ranged) {
    let ready = ready(tables, parts, own).unwrap_or_default();
    let solid: Vec<_> = ready.iter().filter(|p| p.material.is_some()).collect();
    let sum = |of: fn(&ReadyPart) -> Ranged| {
        let add = |a: Ranged, b: Ranged| Ranged {
            value: a.value + b.value,
            low: a.low + b.low,
            high: a.high + b.high,
        };
        solid
            .iter()
            .fold(Ranged::exactly(0.0), |a, p| add(a, of(p)))
    };
    (sum(|p| p.grams.times(0.001)), sum(|p| p.litres))
}
