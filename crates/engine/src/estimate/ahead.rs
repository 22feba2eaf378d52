//! Looking ahead: the ensemble carried on under a plan, with the chance of
//! each trouble day by day.

use crate::bed::draw::{Block, Chance};
use crate::bed::fill::{Conditions, ReadyPart};
use crate::bed::product::Ranged;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::filter::Estimate;
use crate::estimate::live;
use crate::estimate::scene::Scene;
use crate::estimate::track::{Moment, Track};
use crate::living::room::Day;
use crate::living::rot::Kind;
use crate::living::signs::Signs;
use crate::living::step::STEP_DAYS;
use crate::living::trouble::{Limits, Trouble};
use crate::quantity::Celsius;
use crate::table::{TableError, Tables};

/// Seconds in a day.
const DAY: i64 = 86_400;
/// Days that a member is carried through before the next is: one by one they cost
/// more, and the signs of all of them lie in memory.
const STRETCH: usize = 8;

/// Something done on a day to come.
#[derive(Debug, Clone)]
pub enum Act {
    /// Feed.
    Feed(Vec<ReadyPart>),
    /// Add bedding.
    Bedding(Vec<ReadyPart>),
    /// Water [kg].
    Water(Ranged),
    /// Take castings out [kg].
    Harvest(Ranged),
    /// Put worms in [g].
    Stock(f64),
    /// Heat given or, negative, taken [kJ]: ice, a warm bottle.
    Heat(f64),
    /// Walls pass this share of the heat from now on: a wrap, a blanket.
    Wrap(f64),
    /// Lid lets this many times as much vapour out from now on.
    Open(f64),
    /// Neutral salt, such as table salt in leftovers [mol_c].
    Salt(f64),
}

/// What is done, and the air, from now on.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// What is done: days from now [d], in any order.
    pub acts: Vec<(f64, Act)>,
    /// The air on days from now on; then as it was known to be.
    pub air: Vec<Day>,
    /// The air after [`Plan::air`]: a move to another place.
    pub moved_to: Option<Day>,
    /// Food of these kinds rots so many times as fast as whole, from now on:
    /// it is chopped, blended or was frozen.
    pub hastened: Vec<(Kind, f64)>,
}

/// The chance of one trouble through the days to come.
#[derive(Debug, Clone, PartialEq)]
pub struct Alarm {
    /// What.
    pub trouble: Trouble,
    /// Chance that it has come up by the end of each day, from today on
    /// [0 to 1]; never falling.
    pub by_day: Vec<f64>,
    /// Chance that it is there today [0 to 1].
    pub now: f64,
    /// Chance from which it is acted on; under it, it is looked for [0 to 1].
    pub act_from: f64,
}

impl Alarm {
    /// First day on which the chance is `chance` or more [d from now].
    #[must_use]
    pub fn day_of(&self, chance: f64) -> Option<usize> {
        self.by_day.iter().position(|c| *c >= chance)
    }

    /// Whether to act on it rather than look for it: trouble that is likely to
    /// come; castings only when they are ready today.
    #[must_use]
    pub fn wants_act(&self) -> bool {
        let chance = if self.trouble.is_bad() {
            self.in_all()
        } else {
            self.now
        };
        chance >= self.act_from
    }

    /// First day on which it is as likely as what is acted on [d from now].
    #[must_use]
    pub fn likely_day(&self) -> Option<usize> {
        self.day_of(self.act_from)
    }

    /// Chance by the end.
    #[must_use]
    pub fn in_all(&self) -> f64 {
        self.by_day.last().copied().unwrap_or(0.0)
    }
}

/// The days to come.
#[derive(Debug, Clone)]
pub struct Ahead {
    /// Courses of all figures, a moment a day, today's first.
    pub course: Vec<Moment>,
    /// Chances of trouble, in the order of [`Trouble::ALL`].
    pub alarms: Vec<Alarm>,
    /// Chance of worms dying in numbers (a tenth of them) by the end [0 to 1].
    pub losing_worms: f64,
    /// The ensemble at the end.
    pub ensemble: Ensemble,
}

impl Ahead {
    /// The alarm of one trouble.
    #[must_use]
    pub fn alarm(&self, trouble: Trouble) -> &Alarm {
        &self.alarms[trouble as usize]
    }
}

/// A part of a day to come.
enum Leg<'p> {
    /// From a day of the scene on for so many days [d], through equal steps with
    /// each mean air [°C].
    Carry((f64, f64), Vec<f64>),
    /// Something done, and its place in the plan.
    Act(usize, &'p Act),
}

/// Everything needed to look ahead from an ensemble.
#[derive(Debug, Clone)]
pub struct Outlooker<'a> {
    limits: Limits,
    conditions: Conditions,
    scene: &'a Scene,
    start_day: f64,
    start_at: i64,
}

impl<'a> Outlooker<'a> {
    /// From an estimate.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn new(tables: &Tables, e: &'a Estimate, bed: Celsius) -> Result<Self, TableError> {
        Ok(Self {
            limits: Limits::load(tables, e.scene.species)?,
            conditions: Conditions::usual(tables, bed)?,
            scene: &e.scene,
            start_day: e.scene.day(e.now),
            start_at: e.now,
        })
    }

    /// The limits of each trouble.
    #[must_use]
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// Carries `ensemble` through `days` under a plan.
    #[must_use]
    pub fn ahead(&self, ensemble: &Ensemble, plan: &Plan, days: u32) -> Ahead {
        self.ahead_seen(ensemble, plan, days, &mut |_, _| {})
    }

    /// As [`Outlooker::ahead`], calling `seen` with day and signs each day.
    pub fn ahead_seen(
        &self,
        ensemble: &Ensemble,
        plan: &Plan,
        days: u32,
        seen: &mut dyn FnMut(u32, &[Signs]),
    ) -> Ahead {
        let scene = self.scene_of(plan);
        let hands = ensemble.hands();
        let copy = |place: usize| ensemble.members[place].clone();
        let mut ahead = Ensemble::weighted(ensemble.weights.clone(), hands, &copy);
        let mut tally = Tally::new(&ahead);
        let mut course = Vec::with_capacity(days as usize + 1);
        let mut day = 0;
        for stretch in self.days(&scene, plan, days).chunks(STRETCH) {
            hands.rest();
            let lived = hands.days(&mut ahead.members, &|m| {
                let lived = stretch.iter().map(|legs| self.live(m, &scene, legs));
                lived.collect()
            });
            let signs = |i: usize| lived.iter().map(|signs| signs[i]).collect::<Vec<_>>();
            let by_day: Vec<Vec<Signs>> = (0..stretch.len()).map(signs).collect();
            let mut at = Vec::with_capacity(by_day.len());
            for signs in &by_day {
                tally.add(&self.limits, signs, &ahead.weights);
                seen(day, signs);
                at.push(self.start_at + i64::from(day) * DAY);
                day += 1;
            }
            let band = |i: usize, track: Track| track.band(&by_day[i], &ahead.weights);
            course.extend(Moment::all(hands, &at, &band));
        }
        tally.finish(course, ahead, &self.limits, scene.tuning.many_worms)
    }

    /// What a member goes through up to the end of each day, today's first, on
    /// which nothing has happened yet.
    fn days<'p>(&self, scene: &Scene, plan: &'p Plan, days: u32) -> Vec<Vec<Leg<'p>>> {
        let mut acts: Vec<&(f64, Act)> = plan.acts.iter().collect();
        acts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut acts = acts.into_iter().enumerate().peekable();
        let mut all = vec![Vec::new()];
        for day in 1..=days {
            let mut legs = Vec::new();
            let mut at = f64::from(day - 1);
            while let Some((place, (when, act))) = acts.next_if(|(_, a)| a.0 < f64::from(day)) {
                legs.extend(self.carry(scene, at, when.max(at)));
                at = when.max(at);
                legs.push(Leg::Act(place, act));
            }
            legs.extend(self.carry(scene, at, f64::from(day)));
            all.push(legs);
        }
        all
    }

    fn carry<'p>(&self, scene: &Scene, from: f64, to: f64) -> Option<Leg<'p>> {
        let (from, days) = (self.start_day + from, to - from);
        let steps = (days / STEP_DAYS).ceil().max(1.0) as u32;
        (days > 1e-6).then(|| Leg::Carry((from, days), scene.airs(from, days, steps)))
    }

    /// Takes a member through a day, and gives its signs then.
    fn live(&self, m: &mut Possible, scene: &Scene, legs: &[Leg<'_>]) -> Signs {
        for leg in legs {
            match leg {
                Leg::Carry(days, airs) => m.live_on(scene, *days, airs),
                // What an act draws stands in a block of its own: what else befalls
                // a member is the same whatever is done, so that two plans differ by
                // what they do and not by luck.
                Leg::Act(place, act) => {
                    let block = Block::Planned(*place as u64);
                    m.by_chance(block, |m, g| self.act_on(m, g, scene, act));
                }
            }
        }
        m.signs(scene)
    }

    fn scene_of(&self, plan: &Plan) -> Scene {
        let mut scene = self.scene.clone();
        let first = self.start_day.floor().max(0.0) as usize;
        if let Some(usual) = plan.moved_to {
            scene.room.usual_from(first, usual);
        }
        if !plan.air.is_empty() {
            scene.room.set(first, &plan.air);
        }
        for (kind, times) in &plan.hastened {
            for rate in &mut scene.priors.rates.per_day[*kind as usize] {
                *rate *= times;
            }
        }
        scene
    }

    fn act_on(&self, m: &mut Possible, g: &mut dyn Chance, scene: &Scene, act: &Act) {
        let conditions = &self.conditions;
        match act {
            Act::Feed(parts) => live::feed(m, g, parts, scene),
            Act::Bedding(parts) => live::add_bedding(m, g, parts, conditions, scene),
            Act::Water(kg) => {
                let kg = kg.draw(g).max(0.0);
                m.life
                    .pour(kg, Some(m.life.carried.air_celsius), &scene.priors);
            }
            Act::Harvest(kg) => live::harvest(m, g, kg, scene),
            Act::Stock(grams) => live::stock(m, g, Some(*grams), None, scene),
            Act::Heat(kj) => live::warm(m, *kj),
            Act::Wrap(share) => m.nature.wall_w_m2_k *= share,
            Act::Open(times) => m.nature.lid_s_per_m /= times.max(1e-3),
            Act::Salt(mol) => live::add_mineral(m, 0.0, *mol, scene),
        }
    }
}

/// Counts which members have met which trouble.
struct Tally {
    met: Vec<Vec<bool>>,
    by_day: Vec<Vec<f64>>,
    now: Vec<f64>,
    died_at_start: Vec<f64>,
    worms_at_start: Vec<f64>,
}

impl Tally {
    fn new(e: &Ensemble) -> Self {
        let n = e.members.len();
        Self {
            met: vec![vec![false; n]; Trouble::ALL.len()],
            by_day: vec![Vec::new(); Trouble::ALL.len()],
            now: Vec::new(),
            died_at_start: e.members.iter().map(lost).collect(),
            worms_at_start: e.members.iter().map(|m| m.life.worms.number()).collect(),
        }
    }

    fn add(&mut self, limits: &Limits, signs: &[Signs], weights: &[f64]) {
        for (i, trouble) in Trouble::ALL.iter().enumerate() {
            let mut chance = 0.0;
            for ((s, w), met) in signs.iter().zip(weights).zip(&mut self.met[i]) {
                *met |= limits.meets(*trouble, s);
                if *met {
                    chance += w;
                }
            }
            self.by_day[i].push(chance.min(1.0));
            if self.by_day[i].len() == 1 {
                self.now.push(chance.min(1.0));
            }
        }
    }

    fn finish(self, course: Vec<Moment>, ensemble: Ensemble, limits: &Limits, many: f64) -> Ahead {
        let losing_worms = ensemble
            .members
            .iter()
            .zip(&ensemble.weights)
            .zip(self.died_at_start.iter().zip(&self.worms_at_start))
            .filter(|((m, _), (died, worms))| lost(m) - **died > many * **worms && **worms > 0.5)
            .map(|((_, w), _)| w)
            .sum::<f64>()
            .min(1.0);
        let alarms = Trouble::ALL
            .iter()
            .zip(self.by_day)
            .zip(self.now)
            .map(|((trouble, by_day), now)| Alarm {
                trouble: *trouble,
                by_day,
                now,
                act_from: limits.act_from(*trouble),
            })
            .collect();
        Ahead {
            course,
            alarms,
            losing_worms,
            ensemble,
        }
    }
}

/// Worms gone, dead or away.
fn lost(m: &Possible) -> f64 {
    m.life.books.worms_died + m.life.books.worms_left
}
