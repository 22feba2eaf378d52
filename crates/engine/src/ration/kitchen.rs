//! The feed and the bedding at hand, and looking ahead with so much of them.

use super::balance::{Aim, Balance};
use super::caps::{material_caps, share_of_ration};
use super::fed::{is_bedding, may_be_fed};
use super::numbers::Numbers;
use super::{Caution, Prepared, RationAsk, RationError, Sparing, band, limits};
use crate::bed::fill::{ReadyPart, ready};
use crate::bed::product::Ranged;
use crate::estimate::ahead::{Act, Ahead, Outlooker, Plan};
use crate::estimate::ensemble::Ensemble;
use crate::living::rot::Kind;
use crate::living::signs::Signs;
use crate::log::Part;
use crate::measure::{Amount, Unit};

/// The feed and bedding at hand, made ready.
pub(super) struct Kitchen {
    /// One gram of the feed, part by part.
    parts: Vec<ReadyPart>,
    shares: Vec<(String, f64)>,
    bedding: ReadyPart,
    /// Heat a gram of it takes up to thaw and warm to the bed [kJ/g]; 0 unless
    /// put in frozen.
    pub(super) thaw_kj_per_gram: f64,
    /// Table salt in a gram of it [mol_c/g].
    table_salt: f64,
    /// Salt a gram of it leaves in the water [mS/cm kg/g].
    pub(super) salt_per_gram: f64,
    /// Kinds of food in it, and how many times as fast as whole they rot.
    hastened: Vec<(Kind, f64)>,
    balance: Balance,
    aim: Aim,
    /// Dry matter of the feed [g/g].
    pub(super) dry_share: f64,
    /// Most wet feed a day per worms [g/g/d], and what kind of food sets it.
    pub(super) most_per_worms: (f64, Sparing),
    pub(super) cautions: Vec<Caution>,
    /// Share of a ration that this feed may be [0 to 1].
    pub(super) share_of_ration: f64,
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
        let share_of_ration = share_of_ration(ask, n, &shares);
        let table_salt = limits::table_salt(ask.tables, &scaled)?;
        let constants = &ask.estimate.scene.priors.constants;
        Ok(Self {
            table_salt,
            salt_per_gram: limits::salt_per_gram(&scaled, table_salt, constants),
            hastened: hastened(ask, n, &shares),
            dry_share: balance.feed_dry,
            parts: scaled,
            shares,
            bedding,
            thaw_kj_per_gram: match ask.prepared {
                Prepared::Frozen => (1.0 - balance.feed_dry) * n.thaw_kj_per_kg(ask) / 1000.0,
                _ => 0.0,
            },
            aim: n.beside,
            balance,
            most_per_worms,
            cautions,
            share_of_ration,
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
        if self.thaw_kj_per_gram > 0.0 {
            acts.push((0.0, Act::Heat(-grams * self.thaw_kj_per_gram)));
        }
        if self.table_salt > 0.0 {
            acts.push((0.0, Act::Salt(grams * self.table_salt)));
        }
        let plan = Plan {
            acts,
            hastened: self.hastened.clone(),
            ..Plan::default()
        };
        o.ahead(ensemble, &plan, days)
    }
}

/// Kinds of food that lie in a pocket, each once, if this feed was cut or
/// frozen. What is fed of bedding is left as it is: the bed is full of it.
fn hastened(ask: &RationAsk<'_>, n: &Numbers, shares: &[(String, f64)]) -> Vec<(Kind, f64)> {
    let times = n.hastened(ask.prepared);
    if times <= 1.0 {
        return Vec::new();
    }
    let kinds = &ask.estimate.scene.priors.rates.kinds;
    let mut list: Vec<(Kind, f64)> = shares
        .iter()
        .filter_map(|(key, _)| kinds.get(key).copied())
        .filter(|kind| kind.in_pocket())
        .map(|kind| (kind, times))
        .collect();
    list.sort_by_key(|(kind, _)| *kind as usize);
    list.dedup_by_key(|(kind, _)| *kind as usize);
    list
}
