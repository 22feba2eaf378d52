//! Heat and cold by the hour: how warm the bin gets in a spell of weather, by
//! what hour it harms worms, and the least that has to be done about it.

mod choose;
pub mod days;
pub mod measure;
pub mod physics;
mod run;
mod words;

pub use days::{DaysError, Degrees, Spell as DaysRead, parse_days};
pub use measure::{Kind, Measure, Sun};
pub use run::{Course, Hour};

use crate::advice::{Advice, PLAIN, Speak};
use crate::bounds::{BoundError, SPELL_CELSIUS};
use crate::estimate::Estimate;
use crate::living::room::{Day, Room};
use crate::quantity::Band;
use crate::table::{TableError, Tables};
use crate::what_if;
use run::{Numbers, Spell};
use thiserror::Error;

/// What is asked.
#[derive(Debug, Clone)]
pub struct WeatherAsk<'a> {
    /// The tables.
    pub tables: &'a Tables,
    /// How the bin stands.
    pub estimate: &'a Estimate,
    /// Highs and lows, today first; 1 to 14 days.
    pub days: Vec<Day>,
    /// Local hour of the day now [h, 0 to 24].
    pub start_hour: f64,
    /// Sun on the bin.
    pub sun: Sun,
    /// Relative humidity at the hottest hour, when known [0 to 1].
    pub humidity: Option<f64>,
    /// Whether the keeper would go on feeding as now.
    pub keeps_feeding: bool,
    /// A place to move the bin to, and how warm it is [°C]; `None` when there
    /// is none.
    pub other_place: Option<f64>,
    /// Measures that cannot be taken.
    pub without: Vec<Kind>,
    /// Members to look ahead with.
    pub members: usize,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum WeatherError {
    /// A number is missing.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The days are none or too many.
    #[error(
        "days: {found} given; give the highs and lows of 1 to {} days",
        days::MOST_DAYS
    )]
    Days {
        /// How many were given.
        found: usize,
    },
    /// A high or low outside its range.
    #[error("day {day}: {source}")]
    Day {
        /// Which, from 1.
        day: usize,
        /// What is wrong.
        source: BoundError,
    },
    /// A low over its high.
    #[error("day {day}: low {low} °C is over high {high} °C")]
    Crossed {
        /// Which, from 1.
        day: usize,
        /// Low [°C].
        low: f64,
        /// High [°C].
        high: f64,
    },
    /// Humidity or hour outside its range.
    #[error("{field} {value} {unit} is outside the allowed range {low} to {high} {unit}")]
    Field {
        /// Field.
        field: &'static str,
        /// As given.
        value: f64,
        /// Unit.
        unit: &'static str,
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
}

/// What happens with one set of measures.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The measures.
    pub measures: Vec<Measure>,
    /// Chance of too hot [0 to 1].
    pub hot: f64,
    /// Chance of too cold [0 to 1].
    pub cold: f64,
    /// Chance of either [0 to 1].
    pub either: f64,
    /// Hottest the kindest zone gets [°C].
    pub hottest: Band,
    /// Coldest it gets [°C].
    pub coldest: Band,
}

/// Figures of this bin.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Heat passing walls, lid and floor [W/K].
    pub passing_w_per_kelvin: Band,
    /// Heat the bed takes up [kJ/K].
    pub holds_kj_per_kelvin: Band,
    /// Time for two thirds of a change of the air [h].
    pub lag_hours: Band,
    /// Heat a kilogram of ice takes up, freezer to bed [kJ/kg].
    pub ice_kj_per_kg: Band,
    /// Ice to hold the bin a degree cooler [kg/d/°C].
    pub ice_kg_per_day_degree: Band,
    /// Ice to cool it by a degree once [kg/°C].
    pub ice_kg_per_degree: Band,
    /// Hours a bottle of about a kilogram lasts in a bed near the limit [h].
    pub ice_lasts_hours: Band,
    /// Most a wet cloth can cool the air by at the hottest hour [°C].
    pub wet_cloth_degrees: Band,
    /// Water the cloth takes on a hot day [kg/d].
    pub cloth_kg_per_day: Band,
    /// Heater to keep the target in the coldest hour [W].
    pub heater_watts: Band,
    /// The target [°C].
    pub heater_target_celsius: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Weather {
    /// When nothing is done: the table by the hour.
    pub undone: Course,
    /// First hour by which trouble has come with a tenth chance [h from now].
    pub first_likely_hour: Option<u32>,
    /// Nothing needs to be done.
    pub nothing_needed: bool,
    /// Each measure by itself.
    pub alone: Vec<Tried>,
    /// The least that brings the chance under a tenth, or the best there is.
    pub least: Option<Tried>,
    /// The same by the hour.
    pub done: Option<Course>,
    /// Whether the least is enough.
    pub enough: bool,
    /// How warm another place may be at most in heat, or must be at least in
    /// cold, for the bin to need nothing else there [°C]; `None` where nothing
    /// is needed, a place was named or ruled out, or none would do.
    pub enough_place: Option<f64>,
    /// Figures of this bin.
    pub figures: Figures,
    /// What to do, in order.
    pub advice: Vec<Advice>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// The bin through a spell of weather, and what to do about it.
///
/// # Errors
/// [`WeatherError`] naming what is wrong with the question.
pub fn weather(ask: &WeatherAsk<'_>) -> Result<Weather, WeatherError> {
    check(ask)?;
    let spell = spell(ask)?;
    let undone = spell.run(&[]);
    let figures = figures(ask, &spell);
    let first_likely_hour = undone.first_likely(spell.numbers.chance);
    let nothing_needed = first_likely_hour.is_none();
    let (alone, least) = if nothing_needed {
        (Vec::new(), None)
    } else {
        choose::choose(ask, &spell, &undone, &figures)
    };
    let done = least.as_ref().map(|l: &Tried| spell.run(&l.measures));
    let enough = match &least {
        Some(l) => l.either < spell.numbers.chance,
        None => nothing_needed,
    };
    let enough_place = if nothing_needed {
        None
    } else {
        choose::enough_place(ask, &spell, &undone)
    };
    let mut answer = Weather {
        enough_place,
        undone,
        first_likely_hour,
        nothing_needed,
        alone,
        least,
        done,
        enough,
        figures,
        advice: Vec::new(),
        cautions: Vec::new(),
    };
    answer.advice = words::advice(ask, &answer, &spell.numbers, PLAIN);
    answer.cautions = words::cautions(&answer);
    Ok(answer)
}

/// The advice of an answer worded otherwise: in other units, with days named.
///
/// # Errors
/// As [`weather`].
pub fn advice_worded(
    ask: &WeatherAsk<'_>,
    answer: &Weather,
    speak: Speak<'_>,
) -> Result<Vec<Advice>, WeatherError> {
    Ok(words::advice(
        ask,
        answer,
        &Numbers::load(ask.tables, ask.estimate.scene.species)?,
        speak,
    ))
}

/// The bin through a spell with these measures, whatever would be advised.
///
/// # Errors
/// As [`weather`].
pub fn with_measures(ask: &WeatherAsk<'_>, measures: &[Measure]) -> Result<Course, WeatherError> {
    check(ask)?;
    Ok(spell(ask)?.run(measures))
}

fn check(ask: &WeatherAsk<'_>) -> Result<(), WeatherError> {
    let found = ask.days.len();
    if found == 0 || found > days::MOST_DAYS {
        return Err(WeatherError::Days { found });
    }
    for (i, d) in ask.days.iter().enumerate() {
        for v in [d.high, d.low] {
            SPELL_CELSIUS
                .check(v)
                .map_err(|source| WeatherError::Day { day: i + 1, source })?;
        }
        if d.low > d.high {
            return Err(WeatherError::Crossed {
                day: i + 1,
                low: d.low,
                high: d.high,
            });
        }
    }
    within("humidity", ask.humidity.unwrap_or(0.5), "share", 0.03, 1.0)?;
    within("hour now", ask.start_hour, "h", 0.0, 24.0)?;
    within(
        "other place",
        ask.other_place.unwrap_or(18.0),
        "°C",
        -40.0,
        60.0,
    )
}

fn within(
    field: &'static str,
    value: f64,
    unit: &'static str,
    low: f64,
    high: f64,
) -> Result<(), WeatherError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(WeatherError::Field {
        field,
        value,
        unit,
        low,
        high,
    })
}

fn spell<'a>(ask: &WeatherAsk<'a>) -> Result<Spell<'a>, WeatherError> {
    let e = ask.estimate;
    let days = ask.days.len() as f64;
    let hours = (24.0 * days - ask.start_hour).ceil().max(1.0);
    let feeding = if ask.keeps_feeding {
        what_if::present_plan(e, days)
            .acts
            .into_iter()
            .map(|(at, act)| (at * 24.0, act))
            .collect()
    } else {
        Vec::new()
    };
    let last = ask.days[ask.days.len() - 1];
    let warmest = e.scene.priors.constants.warmest_day_share;
    Ok(Spell {
        scene: &e.scene,
        ensemble: run::thinned(e, ask.members),
        room: Room::new(ask.days.clone(), last, warmest),
        start_hour: ask.start_hour,
        hours: hours as u32,
        sun: ask.sun,
        humidity: ask.humidity,
        feeding,
        numbers: Numbers::load(ask.tables, e.scene.species)?,
    })
}

fn figures(ask: &WeatherAsk<'_>, spell: &Spell<'_>) -> Figures {
    let n = &spell.numbers;
    let c = &spell.scene.priors.constants;
    let e = &spell.ensemble;
    let lowest = ask.days.iter().map(|d| d.low).fold(f64::INFINITY, f64::min);
    let hottest = ask
        .days
        .iter()
        .copied()
        .max_by(|a, b| a.high.total_cmp(&b.high))
        .unwrap_or(ask.days[0]);
    let bed = n.hot - 2.0;
    let ice_kj =
        |freezer: f64| physics::ice_kj_per_kg(freezer, bed, c.ice_heat, c.melt, c.water_heat);
    let kj = around(
        ice_kj(n.freezer.value),
        ice_kj(n.freezer.high),
        ice_kj(n.freezer.low),
    );
    let lasts = |k: f64| physics::ice_hours(n.freezer.value, bed, c.ice_heat, c.melt, k);
    let cloth = cloth_degrees(ask, n, hottest);
    let home = &spell.scene.home;
    let m2 = n.cover_area.value * (home.floor_m2 + home.around_m * home.depth_m);
    // The cloth drinks by how far it stands under the air, half the day long.
    let drinks = |w: f64, share: f64, degrees: f64| {
        let kelvin = degrees / (share * n.cover_area.value);
        physics::cloth_kg_per_day(w, m2, kelvin, c.evaporate) / 2.0
    };
    Figures {
        passing_w_per_kelvin: e.band(|m| run::ua(m, spell.scene)),
        holds_kj_per_kelvin: e.band(|m| run::kj_per_kelvin(m, spell.scene)),
        lag_hours: e.band(|m| {
            physics::lag_hours(run::kj_per_kelvin(m, spell.scene), run::ua(m, spell.scene))
        }),
        ice_kj_per_kg: kj,
        ice_kg_per_day_degree: e.band(|m| {
            let ua = run::ua(m, spell.scene);
            physics::ice_kg_per_day_kelvin(ua, kj.median, n.from_bed.value)
        }),
        ice_kg_per_degree: e.band(|m| {
            let holds = run::kj_per_kelvin(m, spell.scene);
            physics::ice_kg_per_kelvin(holds, kj.median, n.from_bed.value)
        }),
        ice_lasts_hours: around(
            lasts(n.ice_w_k.value),
            lasts(n.ice_w_k.high),
            lasts(n.ice_w_k.low),
        ),
        wet_cloth_degrees: cloth,
        cloth_kg_per_day: around(
            drinks(n.cloth.value, n.cover.value, cloth.median),
            drinks(n.cloth.low, n.cover.low, cloth.low),
            drinks(n.cloth.high, n.cover.high, cloth.high),
        ),
        heater_watts: e.band(|m| {
            let place = m.nature.room_offset + m.life.room_wander;
            let kelvin = n.target - lowest - place;
            n.margin * physics::heater_watts(run::ua(m, spell.scene), kelvin)
        }),
        heater_target_celsius: n.target,
    }
}

fn around(median: f64, low: f64, high: f64) -> Band {
    Band { median, low, high }
}

/// Cooling by a wet cloth at the hottest hour [K].
fn cloth_degrees(ask: &WeatherAsk<'_>, n: &Numbers, day: Day) -> Band {
    let by = |effect: f64, below: f64| {
        let dew = match ask.humidity {
            Some(rh) => physics::dew_point(day.high, rh),
            None => day.low - below,
        };
        let rh = physics::humidity(day.high, dew);
        (effect * (day.high - physics::wet_bulb(day.high, rh))).max(0.0)
    };
    let area = n.cover_area.value;
    around(
        by(n.cover.value * area, n.dew_below.value),
        by(n.cover.low * area, n.dew_below.low),
        by(n.cover.high * area, n.dew_below.high),
    )
}
