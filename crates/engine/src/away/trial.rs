//! Trying out what could be given before leaving.

use crate::away::harm::{Harm, Judge, Tally};
use crate::away::{AwayAsk, AwayError, Course};
use crate::bed::fill::ReadyPart;
use crate::bed::product::Ranged;
use crate::estimate::ahead::{Act, Ahead, Outlooker, Plan};
use crate::estimate::track::Track;
use crate::estimate::{Ensemble, Possible};
use crate::living::trouble::Trouble;
use crate::living::water::moisture;
use crate::quantity::Band;
use crate::table::{TableError, Tables};
use crate::what_if;

/// What is given before leaving [g].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Given {
    /// Feed, wet.
    pub(crate) feed: f64,
    /// Bedding, dry.
    pub(crate) bedding: f64,
    /// Water to soak it in.
    pub(crate) soak: f64,
    /// Water poured on besides.
    pub(crate) water: f64,
}

/// How one trial went.
pub(crate) struct Went {
    ahead: Ahead,
    tally: Tally,
    days: u32,
}

/// Everything to try with.
pub(crate) struct Trial<'a> {
    ask: &'a AwayAsk<'a>,
    outlooker: Outlooker<'a>,
    ensemble: Ensemble,
    judge: Judge,
    parts: Vec<ReadyPart>,
    bedding: Vec<ReadyPart>,
    chance: f64,
    dry_limit: f64,
    normal_feed: f64,
    numbers: Numbers,
}

/// Bedding tried, as a share of the dry bed.
const BEDDING_SHARES: [f64; 3] = [0.0, 0.1, 0.25];
/// Chances closer than this are the same [0 to 1].
const SAME: f64 = 1e-9;
/// Feed tried, as a share of an ordinary ration.
const FEED_SHARES: [f64; 3] = [1.0, 0.5, 0.0];

/// Judgements of an absence, from `weather.csv`.
#[derive(Debug, Clone, Copy)]
struct Numbers {
    /// Chance by which one way may be worse than another and still be as good.
    as_good: f64,
    /// Water to soak bedding in, per dry bedding [g/g].
    soak: f64,
    /// Points of moisture kept over the dry limit [points].
    kept_points: f64,
    /// Points under the first drop the bed may be watered to [points].
    under_drop: f64,
    /// Days before leaving in which nothing else is fed [d].
    stands_for_days: f64,
    /// Smallest amounts worth carrying out [g].
    smallest: f64,
    /// Parting ration of a keeper without a habit, of an ordinary one [-].
    without_habit: f64,
}

impl Numbers {
    fn load(tables: &Tables) -> Result<Self, TableError> {
        let v = |property| tables.value("weather", "away", property);
        Ok(Self {
            as_good: v("as_good_chance")?,
            soak: v("soak_g_per_g")?,
            kept_points: v("kept_points")?,
            under_drop: v("under_drop_points")?,
            stands_for_days: v("stands_for_days")?,
            smallest: v("smallest_grams")?,
            without_habit: v("without_habit_share")?,
        })
    }
}

impl<'a> Trial<'a> {
    pub(crate) fn new(
        ask: &'a AwayAsk<'a>,
        parts: Vec<ReadyPart>,
        bedding: Vec<ReadyPart>,
    ) -> Result<Self, AwayError> {
        let t = ask.tables;
        let outlooker = Outlooker::new(t, ask.estimate, ask.bed)?;
        let ensemble = ask.estimate.ensemble.thinned(ask.members.max(10));
        let numbers = Numbers::load(t)?;
        let per_day = t.value("weather", "away", "normal_feed_g_per_kg_day")?;
        let parting = t.value("weather", "away", "parting_days")?;
        let worms_kg = ensemble.band(|m| m.life.worms.grams() / 1000.0).median;
        let days = parting.min(f64::from(ask.days_away).max(2.0));
        let by_worms = worms_kg * per_day * days;
        // Never more than the keeper gives at a time, or in such days, now.
        let by_habit = what_if::habit(ask.estimate).map_or(numbers.without_habit * by_worms, |h| {
            h.grams * (days / h.every_days).max(1.0)
        });
        let normal_feed = by_worms
            .min(by_habit)
            .min(ask.most_feed.unwrap_or(f64::INFINITY));
        Ok(Self {
            numbers,
            judge: Judge::load(t, *outlooker.limits())?,
            chance: t.value("weather", "limit", "chance")?,
            dry_limit: t.value("living", "alarm", "dry_percent")?,
            normal_feed: if parts.is_empty() { 0.0 } else { normal_feed },
            ask,
            outlooker,
            ensemble,
            parts,
            bedding,
        })
    }

    /// Carries out a way of leaving and looks `days` on from then.
    pub(crate) fn run(&self, given: &Given, days: u32) -> Went {
        let leave = self.ask.leave_in_days;
        let at = f64::from(leave);
        // A parting ration stands for the last feeding, not beside it.
        let feeds_until = if given.feed > 0.0 {
            (at - self.numbers.stands_for_days).max(0.0)
        } else {
            at
        };
        let mut plan = what_if::present_plan(self.ask.estimate, feeds_until);
        plan.air.clone_from(&self.ask.air);
        self.give(&mut plan, given, at);
        let mut tally = Tally::new(self.judge, leave);
        let ahead =
            self.outlooker
                .ahead_seen(&self.ensemble, &plan, leave + days, &mut |day, signs| {
                    tally.hear(day, signs);
                });
        Went { ahead, tally, days }
    }

    fn give(&self, plan: &mut Plan, given: &Given, at: f64) {
        let of = |parts: &[ReadyPart], grams: f64| {
            let total: f64 = parts.iter().map(|p| p.grams.value).sum();
            what_if::times_as_much(parts, grams / total.max(1e-9))
        };
        if given.feed > 0.0 {
            plan.acts.push((at, Act::Feed(of(&self.parts, given.feed))));
        }
        if given.bedding > 0.0 {
            plan.acts
                .push((at, Act::Bedding(of(&self.bedding, given.bedding))));
        }
        let water = given.soak + given.water;
        if water > 0.0 {
            plan.acts
                .push((at, Act::Water(Ranged::exactly(water / 1000.0))));
        }
    }

    /// The best way: of those with as little harm as the least, the one with
    /// the most of an ordinary ration and the least of all else. Nothing is
    /// advised that does more harm than leaving it out, be it ever so little.
    pub(crate) fn best(&self) -> Given {
        let days = self.ask.days_away;
        let undone = self.run(&Given::default(), days);
        let ways = self.ways(&undone);
        let harms: Vec<f64> = ways.iter().map(|w| self.harm(&self.run(w, days))).collect();
        let least = harms.iter().copied().fold(f64::INFINITY, f64::min);
        let harm_of = |way: &Given| {
            let at = ways.iter().position(|w| w == way);
            at.map_or(f64::INFINITY, |i| harms[i])
        };
        let as_it_is = harm_of(&Given::default());
        let helps = |way: &Given, harm: f64| {
            let unfed = harm_of(&Given { feed: 0.0, ..*way });
            harm <= least + self.numbers.as_good && harm <= unfed.min(as_it_is) + SAME
        };
        ways.iter()
            .zip(&harms)
            .find(|(way, harm)| helps(way, **harm))
            .map_or_else(Given::default, |(way, _)| *way)
    }

    /// Ways to try, the least work first within each amount of feed.
    fn ways(&self, undone: &Went) -> Vec<Given> {
        let scene = &self.ask.estimate.scene;
        let dry = 1000.0 * self.ensemble.band(|m| m.life.dry_kg(&scene.priors)).median;
        let litres = undone.at(self.ask.leave_in_days, Track::Litres).median;
        let room = (scene.home.litres() - litres).max(0.0);
        let per_litre = self.bedding[0].grams.value / self.bedding[0].litres.value.max(1e-9);
        let water = self.water(undone, dry);
        let soak = if self.is_wet(undone) {
            0.0
        } else {
            self.numbers.soak
        };
        let no_feed = self.no_feed(undone);
        let mut ways = Vec::new();
        for more in [0.0, 1.0] {
            for bedding in BEDDING_SHARES {
                for feed in FEED_SHARES {
                    let feed = if no_feed { 0.0 } else { feed };
                    let bedding = self.floor(bedding * dry).min(self.floor(room * per_litre));
                    let way = Given {
                        feed: self.floor(feed * self.normal_feed),
                        bedding,
                        soak: soak * bedding,
                        water: more * water,
                    };
                    if !ways.contains(&way) {
                        ways.push(way);
                    }
                }
            }
        }
        ways
    }

    /// Fresh food is not for a bin that is hot, sour, wet or full of ammonia,
    /// or that will be hot: heat and fresh food make each other worse.
    fn no_feed(&self, undone: &Went) -> bool {
        let back = (self.ask.leave_in_days + self.ask.days_away) as usize;
        let hot = undone.ahead.alarm(Trouble::TooHot).by_day[back] > self.chance;
        let worse = |h: &Harm| {
            matches!(
                h,
                Harm::Trouble(
                    Trouble::TooHot | Trouble::Souring | Trouble::Ammonia | Trouble::Drowning
                )
            )
        };
        hot || self.already(undone).iter().any(|(h, _)| worse(h))
    }

    /// Water that keeps nine in ten possible bins moist to the return, as far
    /// as the bed holds it [g].
    fn water(&self, undone: &Went, dry: f64) -> f64 {
        let leave = self.ask.leave_in_days;
        let per_dry = |percent: f64| {
            let p = percent.clamp(5.0, 95.0);
            p / (100.0 - p)
        };
        let at_return = undone.at(leave + undone.days, Track::Moisture).low;
        let now = undone.at(leave, Track::Moisture).median;
        let wanted = per_dry(self.dry_limit + self.numbers.kept_points) - per_dry(at_return);
        let room = per_dry(self.holds() - self.numbers.under_drop) - per_dry(now);
        self.floor(dry * wanted.min(room).max(0.0))
    }

    /// Rounded down to two figures; nothing when not worth carrying out.
    fn floor(&self, grams: f64) -> f64 {
        if grams < self.numbers.smallest {
            return 0.0;
        }
        let scale = 10f64.powf(grams.log10().floor() - 1.0);
        (grams / scale).floor() * scale
    }

    /// Moisture at which the bed gives its first drop [% of wet mass].
    fn holds(&self) -> f64 {
        let priors = &self.ask.estimate.scene.priors;
        let first_drop = |m: &Possible| {
            let kg = m.life.dry_kg(priors);
            moisture(m.life.holds_kg(priors, &m.nature, kg), kg)
        };
        self.ensemble.band(first_drop).median
    }

    /// Whether the bed has all the water it holds when it is left, so that
    /// bedding for it is best dry.
    fn is_wet(&self, undone: &Went) -> bool {
        let leaving = undone.at(self.ask.leave_in_days, Track::Moisture);
        leaving.median > self.holds() - self.numbers.under_drop
    }

    fn harm(&self, went: &Went) -> f64 {
        went.tally
            .chance(&went.ahead.ensemble.weights, self.ask.days_away)
    }

    /// The feed by material.
    pub(crate) fn shares(&self, grams: f64) -> Vec<(String, f64)> {
        let total: f64 = self.parts.iter().map(|p| p.grams.value).sum();
        self.ask
            .feed
            .iter()
            .zip(&self.parts)
            .map(|(part, ready)| (part.material.clone(), grams * ready.grams.value / total))
            .collect()
    }

    /// Harms that are likely there on leaving.
    pub(crate) fn already(&self, went: &Went) -> Vec<(Harm, f64)> {
        let weights = &went.ahead.ensemble.weights;
        let chance = |harm: Harm| {
            went.tally
                .had
                .iter()
                .zip(weights)
                .filter(|(had, _)| had.contains(&harm))
                .fold(0.0, |sum, (_, w)| sum + w)
        };
        let mut all: Vec<(Harm, f64)> = Harm::ALL
            .into_iter()
            .map(|h| (h, chance(h)))
            .filter(|(_, c)| *c > self.chance)
            .collect();
        // What is done about another settles it: worms flee what is put right.
        let troubles: Vec<Trouble> = all.iter().filter_map(|(h, _)| h.trouble()).collect();
        all.retain(|(h, _)| !h.trouble().is_some_and(|t| t.is_settled_by(&troubles)));
        all
    }

    /// A trial as the keeper is told it.
    pub(crate) fn course(&self, went: &Went) -> Course {
        let weights = &went.ahead.ensemble.weights;
        let away = self.ask.days_away;
        let by_day: Vec<f64> = (0..=went.days)
            .map(|d| went.tally.chance(weights, d))
            .collect();
        let day_of = |share: f64| by_day.iter().position(|c| *c >= share).map(|d| d as u32);
        let over = by_day.iter().position(|c| *c > self.chance + 1e-9);
        let back = self.ask.leave_in_days + away;
        let chances = Trouble::ALL
            .iter()
            .filter(|t| t.is_bad())
            .map(|t| (*t, went.ahead.alarm(*t).by_day[back as usize]))
            .collect();
        Course {
            harm_day: [day_of(0.1), day_of(0.5), day_of(0.9)],
            latest_safe_days: over.map(|d| (d as u32).saturating_sub(1)),
            looked_days: went.days,
            chances,
            first: Harm::ALL
                .into_iter()
                .map(|h| (h, went.tally.chance_first(weights, away, h)))
                .collect(),
            at_return: went.tally.chance(weights, away),
            condition: went.tally.condition(weights, away),
            moisture_percent: went.at(back, Track::Moisture),
            by_day,
        }
    }
}

impl Went {
    fn at(&self, day: u32, track: Track) -> Band {
        self.ahead.course[day as usize].band(track)
    }
}
