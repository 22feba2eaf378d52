//! Jars that say what no bedding does: the pH going the other way than the
//! lime or acid, or rising further than any bedding would let it.

use super::Asker;
use crate::bed::product::{Action, Product};
use crate::chemistry::neutralising::meq_per_gram;
use crate::echo::Said;
use crate::log::{Jar, JarTest};
use crate::reading::instrument::Instrument;
use crate::reading::question::Question;
use crate::table::{Role, SiteClass, TableError};

/// Deviations of a difference of two readings that are the instrument's own.
const ERROR_SDS: f64 = 3.0;
/// Highest pH there is.
const TOP_PH: f64 = 14.0;

/// Two jars, the one with less in it first.
type Pair<'a> = [(usize, &'a Jar); 2];

impl Asker<'_> {
    /// The first jar that cannot be beside another with less in it.
    pub(super) fn odd_jar(&self, test: &JarTest) -> Result<Option<Question>, TableError> {
        let empty = std::collections::BTreeMap::new();
        let own = self.own.get(&test.material).unwrap_or(&empty);
        let Ok(product) = Product::from_tables(self.tables, &test.material, own) else {
            // Refused elsewhere.
            return Ok(None);
        };
        let instrument = Instrument::from_tables(self.tables, &test.instrument)?;
        let error = ERROR_SDS * std::f64::consts::SQRT_2 * instrument.noise_sd.hypot(0.1);
        let name = self.tables.material(&test.material)?.name_inside();
        let raises = match product.action {
            action if action.raises() => true,
            Action::Sulphur | Action::SourBedding => false,
            // No lasting effect to be contradicted.
            _ => return Ok(None),
        };
        for pair in pairs(test) {
            let [(_, less), (_, more)] = pair;
            let (low, high) = match raises {
                true => (less.ph - error, self.highest(test, &product, pair, error)?),
                false => (0.0, less.ph + error),
            };
            if more.ph < low || more.ph > high {
                return Ok(Some(asked(pair, &name, (low, high))));
            }
        }
        Ok(None)
    }

    /// Highest pH the fuller jar can show: what so little lime does in the
    /// wettest of the weakest bedding of the tables.
    fn highest(
        &self,
        test: &JarTest,
        product: &Product,
        [(_, less), (_, more)]: Pair<'_>,
        error: f64,
    ) -> Result<f64, TableError> {
        let dry = 1.0 - self.most("moisture_high_percent")? / 100.0;
        let grams = (more.grams - less.grams) / test.wet_bedding_grams.max(1e-9);
        let given = grams * meq_per_gram(product.neutralising.high) / dry;
        // Taken up between the two [meq/g dry], the strength at its least.
        let takes = |s: &SiteClass, ph: f64| {
            (s.charge_mol_kg(ph) - s.charge_mol_kg(less.ph)) / (s.gsd * s.gsd)
        };
        let beddings = self.tables.materials().filter(|m| m.role == Role::Bedding);
        let sites: Vec<SiteClass> = beddings
            .filter_map(|m| self.tables.sites(&m.key).ok())
            .collect();
        let reached = |ph: f64| sites.iter().any(|s| takes(s, ph) <= given);
        let steps = (1..=140).map(|tenths| less.ph + f64::from(tenths) / 10.0);
        let highest = steps
            .take_while(|ph| *ph <= TOP_PH && reached(*ph))
            .last()
            .unwrap_or(less.ph);
        Ok((highest + 0.1 + error).min(TOP_PH))
    }
}

/// Every two jars of different amounts.
fn pairs(test: &JarTest) -> impl Iterator<Item = Pair<'_>> {
    let mut jars: Vec<(usize, &Jar)> = (1..).zip(&test.jars).collect();
    jars.sort_by(|a, b| a.1.grams.total_cmp(&b.1.grams));
    let all: Vec<Pair<'_>> = (0..jars.len())
        .flat_map(|i| (i + 1..jars.len()).map(move |j| (i, j)))
        .map(|(i, j)| [jars[i], jars[j]])
        .filter(|[less, more]| more.1.grams - less.1.grams > 1e-9)
        .collect();
    all.into_iter()
}

fn asked([(n, less), (m, more)]: Pair<'_>, name: &str, (low, high): (f64, f64)) -> Question {
    let tenth = |x: f64| Said((x * 10.0).round() / 10.0);
    Question::InWords(format!(
        "Jar {m} shows pH {} with {} g of {name}. Beside jar {n} (pH {} with {} g) no bedding would show that: it would be {} to {}. Are the jars and their amounts right?",
        Said(more.ph),
        Said(more.grams),
        Said(less.ph),
        Said(less.grams),
        tenth(low.max(0.0)),
        tenth(high)
    ))
}
