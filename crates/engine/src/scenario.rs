//! A bin made up from start to end: what it is, what goes in, what is done and
//! seen on which day, and the air. No log, no clock: the same scenario gives
//! the same answer.

pub mod balance;

use crate::bed::fill::Own;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::filter::{Along, Estimate, EstimateError, Setup, estimate_along};
use crate::estimate::hands::Hands;
use crate::estimate::live::Staged;
use crate::estimate::scene::{Scene, species};
use crate::estimate::timeline::Told;
use crate::estimate::track::Moment;
use crate::living::room::Day;
use crate::living::trouble::{Limits, Trouble};
use crate::log::{BinDescription, BinId, Body, Entry, EntryId, Part};
use crate::quantity::{Band, Celsius};
use crate::table::Tables;
use balance::Balances;
use std::collections::BTreeMap;

/// Seconds in a day.
const DAY: f64 = 86_400.0;
/// Most days a scenario runs [d].
pub const MOST_DAYS: u32 = 730;
/// Most members.
pub const MOST_MEMBERS: usize = 5000;

/// Most happenings.
pub const MOST_HAPPENINGS: usize = 20_000;
/// Most happenings times members: each happens to every member.
pub const MOST_WORK: usize = 20_000_000;

/// Something done or seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Happening {
    /// Days after filling [d].
    pub day: f64,
    /// What.
    pub what: What,
}

/// What was done or seen.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// As an entry of a log says.
    Entry(Body),
    /// Worms of known stages put in, of a species by its stable name.
    Staged(Staged, String),
}

/// A scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// The container.
    pub bin: BinDescription,
    /// What it is filled with on day 0.
    pub parts: Vec<Part>,
    /// The air of the first days.
    pub air: Vec<Day>,
    /// The air of all days after them.
    pub usual: Day,
    /// What is done and seen, in any order.
    pub happenings: Vec<Happening>,
    /// Days to run [d].
    pub days: u32,
    /// Seed.
    pub seed: u64,
    /// Members.
    pub members: usize,
}

/// The course of one trouble through a scenario.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// What.
    pub trouble: Trouble,
    /// Chance that it is there at the end of each day, day 0 first [0 to 1].
    pub there: Vec<f64>,
    /// Chance that it has come up by then [0 to 1].
    pub come: Vec<f64>,
}

impl Chance {
    /// First day by which the chance of its having come up is `chance` [d].
    #[must_use]
    pub fn day_of(&self, chance: f64) -> Option<usize> {
        self.come.iter().position(|c| *c >= chance)
    }

    /// Largest chance that it has come up [0 to 1].
    #[must_use]
    pub fn most(&self) -> f64 {
        self.come.iter().copied().fold(0.0, f64::max)
    }
}

/// How a scenario went.
#[derive(Debug, Clone)]
pub struct Played {
    /// All figures, a moment a day, day 0 first; times from day 0 on
    /// [s since filling].
    pub course: Vec<Moment>,
    /// Chances of trouble, in the order of [`Trouble::ALL`].
    pub chances: Vec<Chance>,
    /// Worms dead since the start.
    pub dead: Band,
    /// Worms gone out since the start.
    pub left: Band,
    /// What came in, went out and is held, and how far the books gape.
    pub balances: Balances,
    /// Times what was seen contradicted the ensemble.
    pub contradictions: usize,
    /// The bin at the end.
    pub estimate: Estimate,
}

/// Plays a scenario with `hands`, telling `progress` how far it is [0 to 1].
///
/// # Errors
/// [`EstimateError`] when a part, an amount or an instrument cannot be used.
pub fn play(
    tables: &Tables,
    scenario: &Scenario,
    hands: &'static dyn Hands,
    progress: &mut dyn FnMut(f64),
) -> Result<Played, EstimateError> {
    let (log, staged) = log(scenario);
    let limits = Limits::load(tables, species(&log))?;
    let own = Own::new();
    let told = Told::new();
    let mut tally = Tally::default();
    let mut daily = |day: u32, e: &mut Ensemble, scene: &Scene| {
        tally.add(&limits, day, e, scene);
    };
    let mut along = Along {
        told: &told,
        air: &scenario.air,
        staged: &staged,
        hands,
        progress: Some(progress),
        daily: Some(&mut daily),
        ..Along::told(&told)
    };
    let setup = Setup {
        tables,
        own: &own,
        temperature: Celsius(middle(scenario).clamp(2.0, 40.0)),
        now: (f64::from(scenario.days) * DAY) as i64,
        seed: scenario.seed,
        members: scenario.members,
        bin: Some(&scenario.bin),
        air: Some(scenario.usual),
    };
    let estimate = estimate_along(&setup, &log, &mut along)?;
    if let Some(first) = estimate.left_out.first() {
        return Err(EstimateError::Entry {
            entry: first.entry,
            source: first.why.clone(),
        });
    }
    // The last day's happenings come after its picture was taken.
    tally.again(&limits, &estimate);
    let of = |f: fn(&Possible) -> f64| estimate.ensemble.band(f);
    Ok(Played {
        dead: of(|m| m.life.books.worms_died),
        left: of(|m| m.life.books.worms_left),
        balances: Balances::of(&estimate),
        contradictions: estimate.contradictions,
        course: tally.course,
        chances: tally.chances,
        estimate,
    })
}

/// Mean air of the scenario [°C].
fn middle(s: &Scenario) -> f64 {
    let of = |d: &Day| f64::midpoint(d.low, d.high);
    if s.air.is_empty() {
        return of(&s.usual);
    }
    s.air.iter().map(of).sum::<f64>() / s.air.len() as f64
}

/// A scenario as a log, in order, with the stages of worms beside it.
fn log(s: &Scenario) -> (Vec<Entry>, BTreeMap<EntryId, Staged>) {
    let filled = Happening {
        day: 0.0,
        what: What::Entry(Body::Filled {
            parts: s.parts.clone(),
        }),
    };
    let mut all: Vec<&Happening> = s.happenings.iter().collect();
    all.sort_by(|a, b| a.day.total_cmp(&b.day));
    let mut staged = BTreeMap::new();
    let log = std::iter::once(&filled)
        .chain(all)
        .zip((1..).map(EntryId))
        .map(|(happening, id)| {
            let body = match &happening.what {
                What::Entry(body) => body.clone(),
                What::Staged(stages, species) => {
                    staged.insert(id, *stages);
                    Body::WormsIn {
                        grams: None,
                        count: Some(stages.adults + stages.young),
                        species: species.clone(),
                    }
                }
            };
            let at = (happening.day * DAY).round() as i64;
            Entry {
                id,
                bin: Some(BinId(1)),
                at_unix_seconds: at,
                zone: "UTC".to_owned(),
                written_unix_seconds: at,
                body,
            }
        })
        .collect();
    (log, staged)
}

/// The pictures of the days.
#[derive(Default)]
struct Tally {
    course: Vec<Moment>,
    chances: Vec<Chance>,
}

impl Tally {
    fn add(&mut self, limits: &Limits, day: u32, e: &mut Ensemble, scene: &Scene) {
        let signs = e.signs(scene);
        if self.chances.is_empty() {
            let empty = |t: &Trouble| Chance {
                trouble: *t,
                there: Vec::new(),
                come: Vec::new(),
            };
            self.chances = Trouble::ALL.iter().map(empty).collect();
        }
        for (i, chance) in self.chances.iter_mut().enumerate() {
            let bit = 1 << i;
            let (mut there, mut come) = (0.0, 0.0);
            for ((m, s), w) in e.members.iter_mut().zip(&signs).zip(&e.weights) {
                if limits.meets(chance.trouble, s) {
                    m.met |= bit;
                    there += w;
                }
                if m.met & bit != 0 {
                    come += w;
                }
            }
            chance.there.push(f64::min(there, 1.0));
            chance.come.push(f64::min(come, 1.0));
        }
        let at = i64::from(day) * DAY as i64;
        self.course.push(e.moment(at, &signs));
    }

    /// Takes the last picture anew.
    fn again(&mut self, limits: &Limits, estimate: &Estimate) {
        let Some(last) = self.course.pop() else {
            return;
        };
        for chance in &mut self.chances {
            chance.there.pop();
            chance.come.pop();
        }
        let day = (last.at as f64 / DAY) as u32;
        let mut ensemble = estimate.ensemble.clone();
        self.add(limits, day, &mut ensemble, &estimate.scene);
    }
}
