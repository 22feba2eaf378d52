//! The ensemble carried by the hour through a spell of weather, with measures
//! taken.

use crate::bed::draw::{Block, Chance, Tape};
use crate::bed::product::Ranged;
use crate::estimate::ahead::Act;
use crate::estimate::ensemble::{Ensemble, Possible};
use crate::estimate::scene::Scene;
use crate::estimate::{Estimate, live};
use crate::living::comfort::Comfort;
use crate::living::heat::{Store, Zones};
use crate::living::room::Room;
use crate::living::species::Species;
use crate::quantity::Band;
use crate::table::{TableError, Tables};
use crate::weather::measure::{Measure, Sun};
use crate::weather::physics;

/// One hour, all members.
#[derive(Debug, Clone, PartialEq)]
pub struct Hour {
    /// Hours from now at its end [h].
    pub hour: u32,
    /// Middle of the bed [°C].
    pub core: Band,
    /// At the walls [°C].
    pub edge: Band,
    /// Kindest zone, where worms sit [°C].
    pub refuge: Band,
    /// Air at the bin, sun and wet cloth counted as warmer or cooler air [°C].
    pub air: Band,
    /// Share of the bed's water that is ice [0 to 1].
    pub frozen: Band,
    /// Chance that the kindest zone is too hot for worms this hour [0 to 1].
    pub too_hot: f64,
    /// Chance that it is too cold this hour [0 to 1].
    pub too_cold: f64,
    /// Chance that it has been either by now [0 to 1].
    pub by_now: f64,
}

/// A spell of weather, by the hour.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Its hours.
    pub hours: Vec<Hour>,
    /// Chance of too hot at any hour [0 to 1].
    pub hot: f64,
    /// Chance of too cold at any hour [0 to 1].
    pub cold: f64,
    /// Chance of either [0 to 1].
    pub either: f64,
    /// Hottest the kindest zone gets [°C].
    pub hottest: Band,
    /// Coldest it gets [°C].
    pub coldest: Band,
}

impl Course {
    /// First hour by which trouble has come with at least `chance`
    /// [h from now].
    #[must_use]
    pub fn first_likely(&self, chance: f64) -> Option<u32> {
        self.hours
            .iter()
            .find(|h| h.by_now >= chance)
            .map(|h| h.hour)
    }
}

/// Numbers of the tables the run needs.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Numbers {
    pub(crate) chance: f64,
    pub(crate) hot: f64,
    pub(crate) cold: f64,
    pub(crate) forecast: Ranged,
    pub(crate) dew_below: Ranged,
    pub(crate) sun_rise: Ranged,
    pub(crate) sun_part: Ranged,
    pub(crate) shade: Ranged,
    pub(crate) freezer: Ranged,
    pub(crate) ice_w_k: Ranged,
    pub(crate) from_bed: Ranged,
    pub(crate) bottle: f64,
    pub(crate) cover: Ranged,
    pub(crate) cover_area: Ranged,
    pub(crate) cloth: Ranged,
    pub(crate) wrap: Ranged,
    pub(crate) wrap_area: Ranged,
    pub(crate) target: f64,
    pub(crate) margin: f64,
    pub(crate) keeping: Keeping,
}

/// What a keeper can be asked to do, and when.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Keeping {
    /// Share of the contents that may be put in as bottles at a time.
    pub(crate) most_of_contents: f64,
    /// Hours of the day between which a keeper is up.
    pub(crate) up_hours: (f64, f64),
    /// How far short of the limit ice or warm bottles go in [K].
    pub(crate) ahead_kelvin: f64,
    /// Hours ice goes in before it is needed [h].
    pub(crate) early_hours: f64,
    /// Hours of the day at which warm bottles are filled.
    pub(crate) filled_hours: [f64; 2],
    /// How many degrees a further measure must gain to be worth its work [K].
    pub(crate) worth_kelvin: f64,
}

impl Keeping {
    fn load(tables: &Tables) -> Result<Self, TableError> {
        let v = |property| tables.value("weather", "keeper", property);
        Ok(Self {
            most_of_contents: v("bottles_of_contents_share")?,
            up_hours: (v("up_from_hour")?, v("up_to_hour")?),
            ahead_kelvin: v("ahead_kelvin")?,
            early_hours: v("early_hours")?,
            filled_hours: [v("fill_morning_hour")?, v("fill_evening_hour")?],
            worth_kelvin: v("worth_kelvin")?,
        })
    }
}

impl Numbers {
    pub(crate) fn load(tables: &Tables, species: Species) -> Result<Self, TableError> {
        let r = |subject, property| Ranged::of(tables, "weather", subject, property);
        let v = |subject, property| tables.value("weather", subject, property);
        let comfort = Comfort::of(tables, species)?;
        Ok(Self {
            chance: v("limit", "chance")?,
            hot: comfort.hot_celsius,
            cold: comfort.cold_celsius,
            forecast: r("forecast", "error_celsius")?,
            dew_below: r("forecast", "dew_below_low_kelvin")?,
            sun_rise: r("sun", "peak_rise_kelvin")?,
            sun_part: r("sun", "part_share")?,
            shade: r("shade", "removes_share")?,
            freezer: r("ice", "freezer_celsius")?,
            ice_w_k: r("ice", "watts_per_kelvin_kg")?,
            from_bed: r("ice", "from_bed_share")?,
            bottle: v("bottle", "fill_celsius")?,
            cover: r("wet_cover", "effectiveness")?,
            cover_area: r("wet_cover", "area_share")?,
            cloth: r("wet_cover", "watts_m2_k")?,
            wrap: r("wrap", "resistance_m2_k_w")?,
            wrap_area: r("wrap", "covered_share")?,
            target: comfort.heater_celsius,
            margin: v("heater", "margin")?,
            keeping: Keeping::load(tables)?,
        })
    }
}

/// A spell ready to run.
#[derive(Debug, Clone)]
pub(crate) struct Spell<'a> {
    pub(crate) scene: &'a Scene,
    pub(crate) ensemble: Ensemble,
    pub(crate) room: Room,
    /// Local hour of the day at the start.
    pub(crate) start_hour: f64,
    pub(crate) hours: u32,
    pub(crate) sun: Sun,
    /// Humidity at the hottest hour, when told [0 to 1].
    pub(crate) humidity: Option<f64>,
    /// Feedings in the spell: hours from now.
    pub(crate) feeding: Vec<(f64, Act)>,
    pub(crate) numbers: Numbers,
}

/// What is uncertain of the spell and the measures in one possible world,
/// drawn in one order whatever is done, so that measures are compared in the
/// same worlds.
#[derive(Debug, Clone, Copy)]
struct Luck {
    error: f64,
    dew_below: f64,
    sun: f64,
    shade: f64,
    freezer: f64,
    ice_w_k: f64,
    from_bed: f64,
    cover: f64,
    wrap: f64,
    wrap_area: f64,
}

impl Luck {
    fn draw(n: &Numbers, sun: Sun, g: &mut dyn Chance) -> Self {
        let sd = n.forecast.draw_log(g);
        let rise = n.sun_rise.draw_log(g);
        let part = n.sun_part.draw(g).clamp(0.0, 1.0);
        Self {
            error: sd * g.normal(),
            dew_below: n.dew_below.draw(g).max(0.0),
            sun: match sun {
                Sun::None => 0.0,
                Sun::Part => rise * part,
                Sun::Full => rise,
            },
            shade: n.shade.draw(g).clamp(0.0, 1.0),
            freezer: n.freezer.draw(g),
            ice_w_k: n.ice_w_k.draw_log(g),
            from_bed: n.from_bed.draw(g).clamp(0.1, 1.0),
            cover: n.cover.draw(g).clamp(0.0, 1.0) * n.cover_area.draw(g).clamp(0.0, 1.0),
            wrap: n.wrap.draw_log(g),
            wrap_area: n.wrap_area.draw(g).clamp(0.0, 1.0),
        }
    }
}

/// One hour of one member.
#[derive(Debug, Clone, Copy, Default)]
struct Seen {
    core: f64,
    edge: f64,
    refuge: f64,
    air: f64,
    frozen: f64,
}

impl<'a> Spell<'a> {
    /// Runs the spell with measures taken.
    pub(crate) fn run(&self, measures: &[Measure]) -> Course {
        let mut ensemble = self.ensemble.clone();
        let mut seen: Vec<Vec<Seen>> = Vec::with_capacity(ensemble.members.len());
        ensemble.each(|m| {
            let of = |m: &mut Possible, g: &mut Tape| self.member(m, g, measures);
            seen.push(m.by_chance(Block::Planned(0), of));
        });
        self.course(&seen, &ensemble.weights)
    }

    fn member(&self, m: &mut Possible, g: &mut dyn Chance, measures: &[Measure]) -> Vec<Seen> {
        let luck = Luck::draw(&self.numbers, self.sun, g);
        let mut packs: Vec<Pack> = measures
            .iter()
            .filter_map(|x| Pack::of(x, self, &luck))
            .collect();
        if measures.contains(&Measure::Wrap) {
            let n = &mut m.nature;
            n.wall_w_m2_k *= physics::wrapped_share(n.wall_w_m2_k, luck.wrap, luck.wrap_area);
        }
        let fed = !measures.contains(&Measure::StopFeeding);
        let mut feeding = self.feeding.iter().filter(|_| fed).peekable();
        let mut out = Vec::with_capacity(self.hours as usize);
        for hour in 0..self.hours {
            while let Some((_, act)) = feeding.next_if(|(at, _)| *at < f64::from(hour + 1)) {
                if let Act::Feed(parts) = act {
                    live::feed(m, g, parts, self.scene);
                }
            }
            let air = self.air(hour, &luck, measures, m);
            for pack in &mut packs {
                pack.act(m, self.scene, hour);
            }
            heat_up(m, self.scene, measures, air);
            m.carry(self.scene, 1.0 / 24.0, &[air]);
            out.push(look(m, self.scene));
        }
        out
    }

    /// Air the bin meets through an hour [°C]: sun and wet cloth as warmer or
    /// cooler air. Sets how humid it is, where the keeper told.
    fn air(&self, hour: u32, luck: &Luck, measures: &[Measure], m: &mut Possible) -> f64 {
        if let Some(celsius) = measures.iter().find_map(|x| match x {
            Measure::Move { celsius } => Some(*celsius),
            _ => None,
        }) {
            return celsius;
        }
        let t = (self.start_hour + f64::from(hour)) / 24.0;
        let outside = self.room.mean(t, t + 1.0 / 24.0) + luck.error;
        let day = self.room.day(t);
        let dew = match self.humidity {
            Some(rh) => physics::dew_point(day.high, rh) + luck.error,
            None => day.low - luck.dew_below + luck.error,
        };
        let humidity = physics::humidity(outside, dew);
        if self.humidity.is_some() {
            m.nature.humidity = humidity;
        }
        let mut sun = luck.sun * physics::sun_share(self.start_hour + f64::from(hour) + 0.5);
        if measures.contains(&Measure::Shade) {
            sun *= 1.0 - luck.shade;
        }
        let mut air = outside + sun;
        if measures.contains(&Measure::WetCover) {
            air -= luck.cover * (outside - physics::wet_bulb(outside, humidity));
        }
        air
    }

    fn course(&self, seen: &[Vec<Seen>], weights: &[f64]) -> Course {
        let band = |values: Vec<f64>| {
            Band::weighted(&values, weights).unwrap_or(Band {
                median: f64::NAN,
                low: f64::NAN,
                high: f64::NAN,
            })
        };
        let mut met = vec![(false, false); seen.len()];
        let chance = |which: &dyn Fn(usize) -> bool| {
            let sum: f64 = (0..seen.len())
                .filter(|i| which(*i))
                .map(|i| weights[i])
                .fold(0.0, |a, b| a + b);
            sum.min(1.0)
        };
        let (hot, cold) = (self.numbers.hot, self.numbers.cold);
        let mut hours = Vec::with_capacity(self.hours as usize);
        for h in 0..self.hours as usize {
            let of = |f: fn(&Seen) -> f64| band(seen.iter().map(|s| f(&s[h])).collect());
            for (met, s) in met.iter_mut().zip(seen) {
                met.0 |= s[h].refuge > hot;
                met.1 |= s[h].refuge < cold;
            }
            hours.push(Hour {
                hour: h as u32 + 1,
                core: of(|s| s.core),
                edge: of(|s| s.edge),
                refuge: of(|s| s.refuge),
                air: of(|s| s.air),
                frozen: of(|s| s.frozen),
                too_hot: chance(&|i| seen[i][h].refuge > hot),
                too_cold: chance(&|i| seen[i][h].refuge < cold),
                by_now: chance(&|i| met[i].0 || met[i].1),
            });
        }
        let extreme = |f: fn(f64, f64) -> f64, start: f64| {
            band(
                seen.iter()
                    .map(|s| s.iter().map(|x| x.refuge).fold(start, f))
                    .collect(),
            )
        };
        Course {
            hours,
            hot: chance(&|i| met[i].0),
            cold: chance(&|i| met[i].1),
            either: chance(&|i| met[i].0 || met[i].1),
            hottest: extreme(f64::max, f64::NEG_INFINITY),
            coldest: extreme(f64::min, f64::INFINITY),
        }
    }
}

/// Bottles of ice or of warm water in the bed.
#[derive(Debug, Clone)]
struct Pack {
    store: Store,
    /// As put in [kJ].
    fresh: f64,
    heat: f64,
    w_k: f64,
    share: f64,
    swaps: Vec<u32>,
    in_place: bool,
}

impl Pack {
    fn of(measure: &Measure, spell: &Spell<'_>, luck: &Luck) -> Option<Self> {
        let (kg, celsius, swaps) = match measure {
            Measure::Ice { kg, swaps } => (*kg, luck.freezer, swaps),
            Measure::WarmBottles { kg, swaps } => (*kg, spell.numbers.bottle, swaps),
            _ => return None,
        };
        let c = &spell.scene.priors.constants;
        let store = Store {
            thawed: c.water_heat * kg,
            frozen: c.ice_heat * kg,
            melting: c.melt * kg,
        };
        Some(Self {
            fresh: store.heat(celsius),
            heat: 0.0,
            store,
            w_k: luck.ice_w_k * kg,
            share: luck.from_bed,
            swaps: swaps.clone(),
            in_place: false,
        })
    }

    /// Takes heat from the bed, or gives it, for an hour.
    fn act(&mut self, m: &mut Possible, scene: &Scene, hour: u32) {
        const STEPS: u32 = 6;
        if self.swaps.contains(&hour) {
            self.heat = self.fresh;
            self.in_place = true;
        }
        if !self.in_place || self.store.thawed <= 0.0 {
            return;
        }
        let bed = store_of(m, scene);
        for _ in 0..STEPS {
            let gap = bed.celsius(m.life.heat) - self.store.celsius(self.heat);
            let flow = self.w_k * gap * 3.6 / f64::from(STEPS);
            self.heat += flow;
            m.life.heat -= flow * self.share;
            m.life.books.heat_with_matter -= flow * self.share;
        }
    }
}

fn store_of(m: &Possible, scene: &Scene) -> Store {
    m.life.store(&scene.priors, m.life.dry_kg(&scene.priors))
}

/// Heat passing the walls of a member [W/K].
pub(crate) fn ua(m: &Possible, scene: &Scene) -> f64 {
    let dry = m.life.dry_kg(&scene.priors);
    let litres = m.life.litres(&scene.priors, &m.nature, dry);
    m.nature.wall_w_m2_k * m.nature.exchange * scene.home.heat_m2(litres)
}

/// Heat a member takes up per kelvin [kJ/K].
pub(crate) fn kj_per_kelvin(m: &Possible, scene: &Scene) -> f64 {
    store_of(m, scene).thawed
}

/// A heater with a thermostat, for an hour in air at `air`.
fn heat_up(m: &mut Possible, scene: &Scene, measures: &[Measure], air: f64) {
    for measure in measures {
        let Measure::Heater { watts, target } = measure else {
            continue;
        };
        let air = air + m.nature.room_offset + m.life.room_wander;
        let lost = ua(m, scene) * (target - air) * 3.6;
        let short = store_of(m, scene).heat(*target) - m.life.heat;
        let kj = (short + lost).clamp(0.0, watts * 3.6);
        m.life.heat += kj;
        m.life.books.heat_with_matter += kj;
    }
}

/// How a member stands at the end of an hour.
fn look(m: &Possible, scene: &Scene) -> Seen {
    let store = store_of(m, scene);
    let (carried, told) = (&m.life.carried, &m.life.told);
    let zones = Zones::with_core(
        (store.celsius(m.life.heat), carried.core_excess),
        (carried.air_celsius, scene.priors.constants.edge_share),
        told.zones.hot - told.zones.core,
        &scene.home.kindest,
    );
    Seen {
        core: zones.core,
        edge: zones.edge,
        refuge: zones.refuge,
        air: carried.air_celsius,
        frozen: store.ice(m.life.heat),
    }
}

/// The ensemble of an estimate, thinned.
pub(crate) fn thinned(e: &Estimate, members: usize) -> Ensemble {
    e.ensemble.thinned(members.max(10))
}
