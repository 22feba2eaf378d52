//! The feed and the bedding at hand, and looking ahead with so much of them.

use super::balance::{Aim, Balance};
use super::caps::material_caps;
use super::fed::{is_bedding, may_be_fed};
use super::numbers::Numbers;
use super::{Caution, Prepared, RationAsk, RationError, band};
use crate::bed::fill::{ReadyPart, ready};
use crate::bed::product::Ranged;
use crate::estimate::ahead::{Act, Ahead, Outlooker, Plan};
use crate::estimate::ensemble::Ensemble;
use crate::living::signs::Signs;
use crate::log::Part;
use crate::measure::{Amount, Unit};

/// The feed and bedding at hand, made ready.
pub(super) struct Kitchen {
    /// One gram of the feed, part by part.
    parts: Vec<ReadyPart>,
    shares: Vec<(String, f64)>,
    bedding: ReadyPart,
    /// Heat its water takes up to thaw and warm to the bed [kJ/kg]; 0 unless
    /// put in frozen.
    thaw_kj_per_kg: f64,
    balance: Balance,
    aim: Aim,
    /// Dry matter of the feed [g/g].
    pub(super) dry_share: f64,
    /// Most wet feed a day per worms [g/g/d].
    pub(super) most_per_worms: f64,
    pub(super) cautions: Vec<Caution>,
}

impl Kitchen {
    pub(super) fn of(ask: &RationAsk<'_>, n: &Numbers) -> Result<Self, RationError> {
        may_be_fed(ask.tables, &ask.feed)?;
        is_bedding(ask.tables, &ask.bedding)?;
        let parts = ready(ask.tables, &ask.feed, ask.own)?;
        let total: f64 = parts.iter().map(|p| p.grams.value).sum();
        let bedding_part = Part::plain(
            ask.bedding.clone(),
            Amount {
                number: 100.0,
                unit: Unit::Gram,
            },
        );
        let bedding = ready(ask.tables, &[bedding_part], ask.own)
            .map_err(|_| RationError::NoBedding(ask.bedding.clone()))?
            .remove(0);
        let shares: Vec<(String, f64)> = ask
            .feed
            .iter()
            .zip(&parts)
            .map(|(asked, p)| (asked.material.clone(), p.grams.value / total))
            .collect();
        let scaled: Vec<ReadyPart> = parts.iter().map(|p| p.times(1.0 / total)).collect();
        let balance = Balance::of(&scaled, &bedding);
        let (most_per_worms, cautions) = material_caps(ask, n, &shares, &parts);
        Ok(Self {
            dry_share: balance.feed_dry,
            parts: scaled,
            shares,
            bedding,
            thaw_kj_per_kg: match ask.prepared {
                Prepared::Frozen => n.thaw_kj_per_kg(ask),
                _ => 0.0,
            },
            aim: n.beside,
            balance,
            most_per_worms,
            cautions,
        })
    }

    pub(super) fn shares(&self, grams: f64) -> Vec<(String, f64)> {
        self.shares
            .iter()
            .map(|(k, s)| (k.clone(), s * grams))
            .collect()
    }

    /// Dry bedding and water to add beside `grams` of feed [g].
    pub(super) fn beside(&self, signs: &[Signs], weights: &[f64], grams: f64) -> (f64, f64) {
        let moisture = band(signs, weights, |s| s.moisture_percent);
        let drop = band(signs, weights, |s| s.drop_moisture_percent);
        let contents = band(signs, weights, |s| s.contents_kg);
        self.balance.beside(
            &self.aim,
            grams,
            moisture.median,
            drop.median,
            contents.median,
        )
    }

    /// Looks ahead with `grams` fed now, bedding beside it.
    pub(super) fn try_with(
        &self,
        o: &Outlooker<'_>,
        ensemble: &Ensemble,
        signs: &[Signs],
        grams: f64,
        days: u32,
    ) -> Ahead {
        if grams <= 0.0 {
            return o.ahead(ensemble, &Plan::default(), days);
        }
        let feed: Vec<ReadyPart> = self.parts.iter().map(|p| p.times(grams)).collect();
        let mut acts = vec![(0.0, Act::Feed(feed))];
        let (bedding, water) = self.beside(signs, &ensemble.weights, grams);
        if bedding > 0.0 {
            let part = self.bedding.times(bedding / self.bedding.grams.value);
            acts.push((0.0, Act::Bedding(vec![part])));
        }
        if water > 0.0 {
            acts.push((0.0, Act::Water(Ranged::exactly(water / 1000.0))));
        }
        if self.thaw_kj_per_kg > 0.0 {
            let water_kg = grams / 1000.0 * (1.0 - self.dry_share);
            acts.push((0.0, Act::Heat(-water_kg * self.thaw_kj_per_kg)));
        }
        let plan = Plan {
            acts,
            ..Plan::default()
        };
        o.ahead(ensemble, &plan, days)
    }
}
