//! Two limits of a ration found by arithmetic: the salt that comes with food,
//! and the chill of food put in frozen.

use super::RationAsk;
use super::numbers::Numbers;
use crate::bed::fill::ReadyPart;
use crate::estimate::ensemble::Ensemble;
use crate::living::comfort::Comfort;
use crate::living::nature::Constants;
use crate::table::{Property, TableError, Tables};

/// Molar mass of sodium chloride [g/mol].
const SODIUM_CHLORIDE_G_PER_MOL: f64 = 58.443;
/// Molar mass of potassium [g/mol].
const POTASSIUM_G_PER_MOL: f64 = 39.098;

/// Table salt in a gram of feed, part by part [mol_c/g wet]: `salt_percent` of
/// `ration.csv`, percent of dry mass; nothing for feed that has no row.
pub(super) fn table_salt(tables: &Tables, parts: &[ReadyPart]) -> Result<f64, TableError> {
    parts.iter().try_fold(0.0, |sum, part| {
        let Some(m) = &part.material else {
            return Ok(sum);
        };
        let percent = tables
            .value_if_listed("ration", "salt_percent", &m.key)?
            .unwrap_or(0.0);
        Ok(sum + dry_grams(part) * percent / 100.0 / SODIUM_CHLORIDE_G_PER_MOL)
    })
}

/// Salt that a gram of feed leaves in the bed's water, conductivity of a 1:5
/// extract times dry mass [mS/cm kg/g]: `k (K f/39.1 + NaCl)`, with `k` the
/// conductivity per charge, and of the potassium the share `f` that stands
/// against chloride and sulphate. The rest goes to the sites as the feed rots.
pub(super) fn salt_per_gram(parts: &[ReadyPart], table_salt: f64, c: &Constants) -> f64 {
    let potassium: f64 = parts
        .iter()
        .filter_map(|p| {
            let (_, percent, _) = p.material.as_ref()?.triple(Property::PotassiumPercent)?;
            Some(dry_grams(p) * percent / 100.0 / POTASSIUM_G_PER_MOL)
        })
        .sum();
    c.anion_ec * (potassium * c.mineral_salt + table_salt)
}

/// Most usual dry mass of a part [g].
fn dry_grams(part: &ReadyPart) -> f64 {
    let usual = |m: &crate::table::Material| {
        m.triple(Property::MoisturePercent)
            .map_or(0.0, |(_, v, _)| v)
    };
    let moisture = part
        .moisture_percent
        .or_else(|| part.material.as_ref().map(usual))
        .unwrap_or(100.0);
    part.grams.value * (1.0 - moisture / 100.0)
}

/// Most feed for `days` before salt rises faster than it may in nine beds of
/// ten [g]: so much a week.
pub(super) fn most_by_salt(
    ask: &RationAsk<'_>,
    n: &Numbers,
    e: &Ensemble,
    per_gram: f64,
    days: f64,
) -> f64 {
    let priors = &ask.estimate.scene.priors;
    let dry = e.band(|m| m.life.dry_kg(priors)).low;
    n.salt_per_week * days / 7.0 * dry / per_gram.max(1e-12)
}

/// Most frozen feed before it chills nine beds of ten by more than it may, or
/// takes where worms sit under their limit of cold [g]:
/// `C min(ΔT, T - T_cold) / q`, `q` the heat a gram takes up to thaw.
pub(super) fn most_by_chill(
    ask: &RationAsk<'_>,
    n: &Numbers,
    e: &Ensemble,
    comfort: &Comfort,
    kj_per_gram: f64,
) -> f64 {
    let priors = &ask.estimate.scene.priors;
    e.band(|m| {
        let holds = m.life.store(priors, m.life.dry_kg(priors)).thawed;
        let over = m.life.told.zones.refuge - comfort.cold_celsius;
        holds * over.clamp(0.0, n.chill_kelvin) / kj_per_gram.max(1e-12)
    })
    .low
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bed::fill::{Own, ready};
    use crate::living::nature::Priors;
    use crate::log::Part;
    use crate::measure::Amount;

    fn grams(key: &str) -> (Tables, Vec<ReadyPart>) {
        let tables = Tables::load().unwrap();
        let part = Part::plain(key, Amount::parse("1 g").unwrap());
        let parts = ready(&tables, &[part], &Own::new()).unwrap();
        (tables, parts)
    }

    /// By hand: bread of 36.3 % water and 2 % salt: 0.637 g x 0.02 / 58.44 =
    /// 0.218 mmol a gram; potassium 0.18 %: 0.637 x 0.0018 / 39.1 x 0.33 =
    /// 0.0097 mmol; at 20 mS/cm kg/mol 4.55e-3.
    #[test]
    fn the_salt_of_bread_is_as_by_hand() {
        let (tables, parts) = grams("bread_white");
        let salt = table_salt(&tables, &parts).unwrap();
        assert!((1000.0 * salt - 0.218).abs() < 0.001, "{salt}");
        let c = Priors::load(&tables).unwrap().constants;
        let per_gram = salt_per_gram(&parts, salt, &c);
        assert!((1000.0 * per_gram - 4.55).abs() < 0.03, "{per_gram}");
    }

    #[test]
    fn scraps_of_vegetables_bring_no_table_salt() {
        let (tables, parts) = grams("kitchen_scraps_veg");
        assert!(table_salt(&tables, &parts).unwrap().abs() < 1e-15);
    }
}
