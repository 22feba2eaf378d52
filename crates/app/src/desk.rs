//! The desk: where the keeper's log, the tables and the engine meet. Commands
//! and pages both ask here, so they give the same answers.

mod against;
pub mod attention;
pub mod bar;
pub mod clock;
pub mod coming;
pub mod depth;
pub mod error;
pub mod files;
pub mod food;
pub mod given;
pub mod hands;
pub mod keeping;
mod kept;
pub mod learned;
pub mod living;
pub mod log_in;
mod moment;
pub mod outlook;
pub mod ph_lesson;
pub mod ph_scale;
pub mod place;
pub mod planners;
pub mod plans;
pub mod seen;
pub mod setting;
pub mod state;
mod staying;
mod taking_in;
pub mod taught;
pub mod today;
pub mod wetness;

pub use attention::{Attention, Level};
pub use clock::Clock;
pub use error::DeskError;
pub use given::Given;
pub use plans::Planned;
pub use state::BinState;

use crate::report::Units;
use engine::bed::fill::Own;
use engine::bed::judge::{self, Judgement};
use engine::bed::product::Product;
use engine::dose::{self, Ask, Refused, ShedProduct};
use engine::estimate::standing::Standing;
use engine::living::room::Day;
use engine::living::room::usual_swing;
use engine::log::{BinId, Part, ShedItem};
use engine::measure::System;
use engine::quantity::Celsius;
use engine::table::{TableError, Tables};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, RwLock, TryLockError};
use store::{BinView, Store};

/// Members of the ensemble behind what is said of a bin.
pub const MEMBERS: usize = 250;
/// Members of a first answer, before a long log was worked through.
pub const FIRST_MEMBERS: usize = 64;
/// Members behind a dose plan, which tries many doses.
pub const DOSE_MEMBERS: usize = 250;
/// Draws behind a judgement of bedding: those of the bin filled with it.
pub const DRAWS: usize = MEMBERS;
/// Seed of every run when none is asked for: the same log gives the same answer.
pub const SEED: u64 = 20;

/// Settings a keeper may choose, with what is taken when they have not.
/// `demo` is `yes` while the shelf is the invented one.
pub const SETTINGS: [(&str, &str); 4] = [
    ("units", "metric"),
    ("room_celsius", "20"),
    ("backups", "on"),
    ("demo", "no"),
];

/// The tables, read once in the life of the program.
fn tables() -> Result<&'static Tables, TableError> {
    static READ: OnceLock<Result<Tables, TableError>> = OnceLock::new();
    let read = READ.get_or_init(Tables::load).as_ref();
    read.map_err(TableError::clone)
}

/// The desk.
pub struct Desk {
    /// The tables.
    pub tables: &'static Tables,
    /// The clock.
    pub clock: Clock,
    store: Mutex<Store>,
    path: Option<PathBuf>,
    closed: Mutex<Option<String>>,
    set_aside: Mutex<Option<PathBuf>>,
    failed: Mutex<Option<String>>,
    /// Keys of the file forms that were carried out.
    taken: Mutex<BTreeSet<String>>,
    kept: Mutex<BTreeMap<i64, state::Kept>>,
    lasting: Mutex<Option<state::Lasting>>,
    plans: plans::Plans,
    bars: bool,
    /// The program ends with it.
    last: bool,
    /// Answers wait for all that a log has to teach.
    patient: bool,
    /// Seed of every run.
    pub seed: u64,
    /// Bins whose answers did not.
    unsettled: Mutex<BTreeSet<i64>>,
    /// Held while a bin is read for whoever asks: idle time is when nobody does.
    asked: RwLock<()>,
    /// What was worked out of them, where it cannot be kept beside the log.
    by_heart: Mutex<BTreeMap<i64, Standing>>,
}

impl Drop for Desk {
    /// Bins hold so many small things that letting go of them takes a tenth of a
    /// short answer: where the program ends, it lets go of all at once.
    fn drop(&mut self) {
        if self.last {
            std::mem::forget(std::mem::take(&mut self.kept));
        }
    }
}

impl Desk {
    /// Reads the tables, which every desk works by, where they are not yet.
    pub fn make_ready() {
        // What is wrong with them is told by whoever opens a desk.
        let _ = tables();
    }

    /// Opens the keeper's log at `path`, making it on first run.
    ///
    /// # Errors
    /// [`DeskError`] when the file cannot be opened.
    pub fn open(path: &Path, clock: Clock) -> Result<Self, DeskError> {
        let store = Store::open(path)?;
        Self::with(store, Some(path.to_owned()), clock)
    }

    /// Opens the keeper's log at `path`, which must be there: neither file nor
    /// folder is made. One that cannot be written to is read, and refuses what
    /// would be written.
    ///
    /// # Errors
    /// [`DeskError`] when there is none, or it cannot be opened.
    pub fn open_existing(path: &Path, clock: Clock) -> Result<Self, DeskError> {
        let store = Store::open_to_read(path)?;
        Self::with(store, Some(path.to_owned()), clock)
    }

    /// A desk before a log that cannot be opened: it answers only with why, and
    /// with what can be read of the file.
    ///
    /// # Errors
    /// [`DeskError`] when the tables are damaged.
    pub fn closed(path: &Path, why: &DeskError, clock: Clock) -> Result<Self, DeskError> {
        let mut desk = Self::in_memory(clock)?;
        desk.path = Some(path.to_owned());
        desk.closed = Mutex::new(Some(why.to_string()));
        Ok(desk)
    }

    /// A desk on an empty log in memory.
    ///
    /// # Errors
    /// [`DeskError`] when the tables are damaged.
    pub fn in_memory(clock: Clock) -> Result<Self, DeskError> {
        Self::with(Store::open_in_memory()?, None, clock)
    }

    /// A desk on an empty log that is gone afterwards, to try an import on.
    ///
    /// # Errors
    /// [`DeskError`] when the tables are damaged.
    pub fn to_try(clock: Clock) -> Result<Self, DeskError> {
        Self::with(Store::open_to_try()?, None, clock)
    }

    fn with(store: Store, path: Option<PathBuf>, clock: Clock) -> Result<Self, DeskError> {
        Ok(Self {
            tables: tables()?,
            clock,
            store: Mutex::new(store),
            path,
            closed: Mutex::new(None),
            set_aside: Mutex::new(None),
            failed: Mutex::new(None),
            taken: Mutex::default(),
            kept: Mutex::new(BTreeMap::new()),
            lasting: Mutex::default(),
            plans: plans::Plans::default(),
            bars: false,
            last: false,
            patient: false,
            seed: SEED,
            unsettled: Mutex::default(),
            asked: RwLock::default(),
            by_heart: Mutex::default(),
        })
    }

    /// Shows on standard error how far it is when an answer takes long.
    #[must_use]
    pub fn with_bars(mut self, on: bool) -> Self {
        self.bars = on;
        self
    }

    /// Keeps its bins until the program ends.
    #[must_use]
    pub fn to_the_end(mut self) -> Self {
        self.last = true;
        self
    }

    /// Waits with every answer for all that a log has to teach, instead of
    /// answering by what was learned so far.
    #[must_use]
    pub const fn waiting(mut self, patient: bool) -> Self {
        self.patient = patient;
        self
    }

    /// Draws all chances by another seed.
    #[must_use]
    pub const fn seeded(mut self, seed: u64) -> Self {
        self.seed = seed;
        self
    }

    /// Goes on, for about a second of two cores, with what a bin whose answer did
    /// not wait has yet to learn; `false` when there is no such bin.
    pub fn settle_on(&self) -> bool {
        let unsettled = || {
            self.unsettled
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner)
        };
        let Some(bin) = unsettled().first().copied() else {
            return false;
        };
        if self
            .asked
            .try_write()
            .is_err_and(|e| matches!(e, TryLockError::WouldBlock))
        {
            return false;
        }
        // What cannot be settled is answered as it is.
        if state::settle_on(self, BinId(bin)).unwrap_or(true) {
            unsettled().remove(&bin);
            let kept = self.kept.lock();
            kept.unwrap_or_else(std::sync::PoisonError::into_inner)
                .remove(&bin);
        }
        true
    }

    /// A bar for something that may take long.
    pub(crate) fn bar(&self, what: &'static str) -> bar::Bar {
        bar::Bar::new(self.bars, what)
    }

    /// A usual day of the air around the bins: the room's, with its swing.
    ///
    /// # Errors
    /// [`engine::table::TableError`] when a number is missing.
    pub fn usual_day(&self) -> Result<Day, engine::table::TableError> {
        Ok(Day::around(self.room().0, usual_swing(self.tables)?))
    }

    /// Where the data file is; `None` in memory.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The store, for one question or entry at a time.
    pub fn store(&self) -> MutexGuard<'_, Store> {
        self.store
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Settings, with what is taken for those not chosen.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn settings(&self) -> Result<BTreeMap<String, String>, DeskError> {
        let mut all: BTreeMap<String, String> = SETTINGS
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect();
        let chosen = state::lasting(self)?.settings;
        all.extend(chosen.iter().map(|(k, v)| (k.clone(), v.clone())));
        Ok(all)
    }

    /// Units the keeper reads in.
    #[must_use]
    pub fn system(&self) -> System {
        match self.settings().ok().and_then(|s| s.get("units").cloned()) {
            Some(u) if u == "us" => System::Us,
            _ => System::Metric,
        }
    }

    /// The same for what is shown.
    #[must_use]
    pub fn units(&self) -> Units {
        match self.system() {
            System::Metric => Units::Metric,
            System::Us => Units::Us,
        }
    }

    /// Room temperature taken when no bed or air temperature is logged [°C].
    #[must_use]
    pub fn room(&self) -> Celsius {
        let set = self
            .settings()
            .ok()
            .and_then(|s| s.get("room_celsius")?.parse().ok());
        Celsius(set.unwrap_or(20.0f64).clamp(2.0, 40.0))
    }

    /// Bins on the shelf, those put away left out.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn bins(&self) -> Result<Vec<BinView>, DeskError> {
        Ok(self
            .store()
            .bins()?
            .into_iter()
            .filter(|b| !b.retired)
            .collect())
    }

    /// What is in the shed.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn shed(&self) -> Result<Vec<ShedItem>, DeskError> {
        Ok(state::lasting(self)?.shed.to_vec())
    }

    /// The keeper's own values by material.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn own(&self) -> Result<Own, DeskError> {
        Ok(self
            .shed()?
            .into_iter()
            .filter(|i| !i.own.is_empty())
            .map(|i| (i.material, i.own))
            .collect())
    }

    /// Judges a bedding.
    ///
    /// # Errors
    /// [`DeskError`] naming the part and what is wrong with it.
    pub fn judge(&self, parts: &[Part], depth_cm: Option<f64>) -> Result<Judgement, DeskError> {
        let own = self.own()?;
        Ok(judge::judge(
            self.tables,
            &judge::Question {
                parts,
                own: &own,
                temperature: self.room(),
                depth_cm,
                lime: self.lime()?.as_str(),
                seed: self.seed,
                draws: DRAWS,
                lime_draws: DOSE_MEMBERS,
            },
        )?)
    }

    /// The ground lime in the shed, or garden lime when there is none.
    fn lime(&self) -> Result<String, DeskError> {
        let usual = "limestone_calcitic";
        let ground = |item: &&ShedItem| {
            item.have
                && self
                    .tables
                    .product(&item.material)
                    .is_ok_and(|p| p.action == "ground")
        };
        let shed = self.shed()?;
        let has_usual = shed.iter().any(|i| i.material == usual && i.have);
        Ok(match shed.iter().find(ground) {
            Some(item) if !has_usual => item.material.clone(),
            _ => usual.to_owned(),
        })
    }

    /// Liming and acidifying products in the shed, with how much there is; and
    /// those of an older log that cannot be used, each with why.
    ///
    /// # Errors
    /// [`DeskError`] when the log cannot be read.
    pub fn shed_products(&self) -> Result<(Vec<ShedProduct>, Vec<Refused>), DeskError> {
        let (mut usable, mut left_out) = (Vec::new(), Vec::new());
        for item in self.shed()?.iter().filter(|i| i.have) {
            let Ok(known) = self.tables.product(&item.material) else {
                continue;
            };
            match self.shed_product(item) {
                Ok(product) => usable.push(product),
                Err(why) => left_out.push(Refused {
                    material: item.material.clone(),
                    name: self.tables.material(&known.key)?.name.clone(),
                    reason: format!(
                        "what the shed says of it cannot be used, so it is left out: {why}; describe it anew"
                    ),
                }),
            }
        }
        Ok((usable, left_out))
    }

    /// One shed item as a product.
    ///
    /// # Errors
    /// [`DeskError`] when its own values do not fit the tables.
    pub fn shed_product(&self, item: &ShedItem) -> Result<ShedProduct, DeskError> {
        let mut values = item.own.clone();
        values.remove("particle_mm");
        let material = self.tables.material(&item.material)?.with_own(&values)?;
        let product = Product::of(self.tables, &material, &item.own)?;
        let available_grams = item
            .available
            .map(|a| a.grams(&material, self.tables).map(|g| g.grams))
            .transpose()?;
        Ok(ShedProduct {
            product,
            material,
            available_grams,
        })
    }

    /// How a bin stands. Kept until the log changes or an hour has passed.
    ///
    /// # Errors
    /// [`DeskError::NoBin`] when there is no such bin, or the log cannot be read.
    pub fn bin(&self, bin: BinId) -> Result<Arc<BinState>, DeskError> {
        let mark = self.store().mark()?;
        let now = self.clock.unix_seconds();
        let kept = || {
            self.kept
                .lock()
                .unwrap_or_else(std::sync::PoisonError::into_inner)
        };
        if let Some(k) = kept().get(&bin.0)
            && k.mark == mark
            && (now - k.state.now).abs() < 3600
        {
            return Ok(Arc::clone(&k.state));
        }
        let _asked = self
            .asked
            .read()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        // Not under the lock: one long log must not hold up the other bins.
        let state = Arc::new(state::read(self, bin, now)?);
        kept().insert(
            bin.0,
            state::Kept {
                mark,
                state: Arc::clone(&state),
            },
        );
        Ok(state)
    }

    /// What to dose a bin with.
    ///
    /// # Errors
    /// [`DeskError::NoEstimate`] when the log does not say what is in the bin.
    pub fn dose(
        &self,
        bin: BinId,
        target: Option<f64>,
    ) -> Result<(Arc<BinState>, dose::Answer), DeskError> {
        let state = self.bin(bin)?;
        let estimate = state.estimated()?;
        if let Some(t) = target {
            engine::bounds::TARGET_PH.check(t)?;
        }
        let (shed, left_out) = self.shed_products()?;
        let mut answer = dose::answer(&Ask {
            tables: self.tables,
            estimate,
            shed: &shed,
            stocked: estimate.stocked,
            target_ph: target,
            system: self.system(),
            seed: self.seed,
        })?;
        answer.refused.extend(left_out);
        Ok((state, answer))
    }

    /// The one most important line of a bin, and what is wrong in it: what was
    /// seen and read first, then what the next fortnight is likely to bring.
    #[must_use]
    pub fn attention(&self, state: &BinState) -> Attention {
        let soon = match state.stocked {
            true => self.soon(state).ok(),
            false => None,
        };
        let mut found = attention::attention(self.tables, state, soon.map(|s| &s.ahead));
        if let Some(due) = self.feed_due(state).ok().flatten() {
            if due.wants_food {
                found.feed_days = Some(due.days);
                found.feed_why = due.why;
            } else {
                found.next_days = found.next_days.min(due.days);
            }
        }
        found
    }
}
