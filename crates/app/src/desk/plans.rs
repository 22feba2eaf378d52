//! Dose plans kept while the slider moves, and beds asked "what if".

use super::hands::ALL_CORES;
use super::kept::Kept;
use super::{Desk, DeskError, state::BinState};
use engine::dose::option::Choice;
use engine::dose::{self, Ask, ShedProduct, plan};
use engine::estimate::{Along, Estimate, Setup, Told, estimate_along};
use engine::log::{BinId, EntryId, ShedItem};
use engine::quantity::Band;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Every how many members the what-if takes, to answer within one frame.
pub const EVERY: usize = 2;
/// Days the what-if looks ahead [d].
pub const DAYS_AHEAD: u32 = 28;
/// Amounts along the dose curve.
const POINTS: u32 = 12;
/// Plans kept at most.
const KEPT: usize = 32;

/// Which plan: bin, target [pH, as bits] and material asked for.
type Key = (i64, Option<u64>, Option<String>);

/// Plans kept until the log changes or an hour has passed.
pub(super) type Plans = Mutex<BTreeMap<Key, Arc<Planned>>>;

/// pH after [`DAYS_AHEAD`] by amount [g].
pub type AmountCurve = Arc<Vec<(f64, Band)>>;

/// A dose plan with the state it was made for.
#[derive(Debug)]
pub struct Planned {
    /// The bin.
    pub state: Arc<BinState>,
    /// The answer.
    pub answer: dose::Answer,
    curves: Mutex<BTreeMap<String, AmountCurve>>,
}

impl Planned {
    /// One of the options, by material key.
    #[must_use]
    pub fn option(&self, material: &str) -> Option<&Choice> {
        self.answer.options.iter().find(|o| o.material == material)
    }

    /// pH path [day, band] after `grams` of a material given today.
    #[must_use]
    pub fn path(&self, choice: &Choice, grams: f64) -> Vec<(f64, Band)> {
        let Ok(e) = self.state.estimated() else {
            return Vec::new();
        };
        plan::what_if(choice, &e.ensemble, grams, DAYS_AHEAD, EVERY)
    }

    /// pH in four weeks by amount given, from nothing to `most` [g]; worked
    /// out once for each material.
    #[must_use]
    pub fn curve(&self, choice: &Choice, most: f64) -> AmountCurve {
        let mut kept = self.curves.lock().unwrap_or_else(PoisonError::into_inner);
        let made = kept.entry(choice.material.clone()).or_insert_with(|| {
            let amounts = (0..=POINTS).map(|i| most * f64::from(i) / f64::from(POINTS));
            let points = amounts.filter_map(|g| Some((g, self.path(choice, g).last()?.1)));
            Arc::new(points.collect())
        });
        Arc::clone(made)
    }
}

impl Desk {
    /// What to dose a bin with, kept while nothing changes.
    ///
    /// # Errors
    /// As [`Desk::dose`].
    pub fn planned(&self, bin: BinId, target: Option<f64>) -> Result<Arc<Planned>, DeskError> {
        let key = (bin.0, target.map(f64::to_bits), None);
        self.kept_plan(bin, key, || self.dose(bin, target))
    }

    /// What one material, in the shed or not, would do towards a pH.
    ///
    /// # Errors
    /// As [`Desk::dose`], and when the material does not lime or acidify.
    pub fn trial(
        &self,
        bin: BinId,
        material: &str,
        target: f64,
    ) -> Result<Arc<Planned>, DeskError> {
        let key = (bin.0, Some(target.to_bits()), Some(material.to_owned()));
        self.kept_plan(bin, key, || {
            let state = self.bin(bin)?;
            let product = self.product(material)?;
            let estimate = state.estimated()?;
            let answer = dose::answer(&Ask {
                tables: self.tables,
                estimate,
                shed: &[product],
                stocked: false,
                target_ph: Some(target),
                system: self.system(),
                seed: self.seed,
            })?;
            Ok((Arc::clone(&state), answer))
        })
    }

    /// A liming or acidifying material, with the keeper's own values when
    /// there are any.
    ///
    /// # Errors
    /// [`DeskError`] when it is not one.
    pub fn product(&self, material: &str) -> Result<ShedProduct, DeskError> {
        let item = self.shed()?.into_iter().find(|i| i.material == material);
        self.shed_product(&item.unwrap_or_else(|| ShedItem {
            material: material.to_owned(),
            called: String::new(),
            available: None,
            have: true,
            own: BTreeMap::new(),
        }))
    }

    /// The bin as it was understood at a moment, with or without one entry.
    ///
    /// # Errors
    /// [`DeskError::NoEstimate`] when the log did not yet say what was in it.
    pub fn estimate_at(
        &self,
        state: &BinState,
        at_unix_seconds: i64,
        without: Option<EntryId>,
    ) -> Result<Estimate, DeskError> {
        let own = self.own()?;
        let log: Vec<_> = state
            .log
            .iter()
            .filter(|e| Some(e.id) != without)
            .cloned()
            .collect();
        let setup = Setup {
            tables: self.tables,
            own: &own,
            temperature: self.room(),
            now: at_unix_seconds,
            seed: self.seed,
            members: state.estimated()?.ensemble.members.len(),
            bin: Some(&state.description),
            air: Some(self.usual_day()?),
        };
        let (told, kept) = (Told::new(), Kept::of(self.path(), state.id));
        let mut before = kept.read();
        // Held beside the estimate for what one entry taught: a first answer does.
        let mut along = Along {
            hands: &ALL_CORES,
            kept: Some(&mut before),
            short_silences: true,
            quick: true,
            ..Along::told(&told)
        };
        estimate_along(&setup, &log, &mut along).map_err(DeskError::NoEstimate)
    }

    fn kept_plan(
        &self,
        bin: BinId,
        key: Key,
        make: impl FnOnce() -> Result<(Arc<BinState>, dose::Answer), DeskError>,
    ) -> Result<Arc<Planned>, DeskError> {
        // The state itself is kept until the log changes or an hour is over,
        // so a plan stands as long as it was made for that very state.
        let now = self.bin(bin)?;
        let lock = || self.plans.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(kept) = lock().get(&key).filter(|p| Arc::ptr_eq(&p.state, &now)) {
            return Ok(Arc::clone(kept));
        }
        let (state, answer) = make()?;
        let planned = Arc::new(Planned {
            state,
            answer,
            curves: Mutex::new(BTreeMap::new()),
        });
        let mut plans = lock();
        if plans.len() >= KEPT {
            plans.clear();
        }
        plans.insert(key, Arc::clone(&planned));
        Ok(planned)
    }
}

/// What would prove a plan wrong, its day named by `day` (days from now):
/// `on Fri 4 Dec` for `on day 9`.
#[must_use]
pub fn proves_wrong(plan: &engine::dose::plan::Plan, day: &dyn Fn(f64) -> String) -> String {
    let Some(first) = plan.steps.first() else {
        return plan.proves_wrong.clone();
    };
    let counted = format!("on day {:.0},", first.reread_day);
    let named = format!("on {},", day(first.reread_day));
    plan.proves_wrong.replacen(&counted, &named, 1)
}
