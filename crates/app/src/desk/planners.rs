//! Leaving a bin alone, and a spell of heat or cold: what is asked of the
//! engine, for pages and commands alike.

use super::{BinState, Desk, DeskError};
use crate::report::{self, Units};
use engine::advice::Speak;
use engine::away::{self, Away, AwayAsk};
use engine::bounds::Bound;
use engine::estimate::Estimate;
use engine::estimate::ahead::Plan;
use engine::living::room::Day;
use engine::weather::{self, Degrees, Kind, Sun, Weather, WeatherAsk, parse_days};
use engine::what_if;
use jiff::ToSpan;
use jiff::civil::Date;

/// Members looked ahead with.
const MEMBERS: usize = 120;
/// Relative humidity that is taken.
pub const HUMIDITY_PERCENT: Bound = Bound {
    name: "humidity",
    unit: "%",
    low: 3.0,
    high: 100.0,
    why: "air holds no more than all it can",
};
/// Days a spell may begin from now.
const MOST_AHEAD: i64 = 300;

/// An absence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Absence {
    /// Days from now to leaving [d].
    pub leave: u32,
    /// Days away [d].
    pub days: u32,
    /// Mean air where the bin stands meanwhile, when it is moved [°C].
    pub place: Option<f64>,
}

/// Heat or cold by the hour.
#[derive(Debug, Clone, PartialEq)]
pub struct Spell {
    /// Highs and lows from today on.
    pub days: Vec<Day>,
    /// Sun on the bin.
    pub sun: Sun,
    /// Relative humidity at the hottest hour, when known [%].
    pub humidity_percent: Option<f64>,
    /// Another place to compare with [°C].
    pub other_place: Option<f64>,
    /// Measures that cannot be taken.
    pub without: Vec<Kind>,
}

impl Desk {
    /// What to do before an absence, worded in the keeper's units.
    ///
    /// # Errors
    /// [`DeskError`] when there is no estimate or a day is out of range.
    pub fn away(&self, state: &BinState, absence: &Absence) -> Result<Away, DeskError> {
        let e = state.estimated()?;
        let own = self.own()?;
        let ask = AwayAsk {
            tables: self.tables,
            own: &own,
            estimate: e,
            bed: state.temperature,
            leave_in_days: absence.leave,
            days_away: absence.days,
            feed: self.last_fed(state).unwrap_or_default(),
            most_feed: self.parting(state, absence)?,
            bedding: self.dry_bedding()?,
            air: absence.air(e),
            members: MEMBERS,
        };
        let mut found = away::away(&ask)?;
        let day = |days: u32| self.near(days);
        found.advice = away::advice_worded(&ask, &found, self.speak(&day));
        Ok(found)
    }

    /// Most to feed at parting [g]: where the bin is left before the next look,
    /// no more than the ration worked out now.
    fn parting(&self, state: &BinState, absence: &Absence) -> Result<Option<f64>, DeskError> {
        if !state.stocked {
            return Ok(None);
        }
        let ration = &self.usual_ration(state)?.ration;
        let is_soon = f64::from(absence.leave) <= ration.look_in_days;
        Ok(is_soon.then_some(ration.grams.median))
    }

    /// The question of a spell, as the engine is asked it.
    #[must_use]
    pub fn weather_ask<'a>(&'a self, e: &'a Estimate, spell: &Spell) -> WeatherAsk<'a> {
        let local = self.clock.now();
        WeatherAsk {
            tables: self.tables,
            estimate: e,
            days: spell.days.clone(),
            start_hour: f64::from(local.hour()) + f64::from(local.minute()) / 60.0,
            sun: spell.sun,
            humidity: spell.humidity_percent.map(|percent| percent / 100.0),
            keeps_feeding: true,
            other_place: spell.other_place,
            without: spell.without.clone(),
            members: MEMBERS,
        }
    }

    /// A bin through a spell of heat or cold, worded in the keeper's units.
    ///
    /// # Errors
    /// [`DeskError`] when the days are none, too many or out of range.
    pub fn weather(&self, ask: &WeatherAsk<'_>) -> Result<Weather, DeskError> {
        let mut found = weather::weather(ask)?;
        let day = |days: u32| self.near(days);
        found.advice = weather::advice_worded(ask, &found, self.speak(&day))?;
        Ok(found)
    }

    /// Highs and lows as typed, from today on, in the degrees of `units`; days
    /// before the first one given are as they were thought to be.
    ///
    /// # Errors
    /// [`DeskError::Unreadable`] naming the line or the date at fault.
    pub fn spell(&self, e: &Estimate, text: &str, units: Units) -> Result<Vec<Day>, DeskError> {
        let degrees = match units {
            Units::Metric => Degrees::Celsius,
            Units::Us => Degrees::Fahrenheit,
        };
        let wrong = |words: String| Err(DeskError::Unreadable(words));
        let read = match parse_days(text, degrees) {
            Ok(read) => read,
            Err(e) => return wrong(e.to_string()),
        };
        let ahead = match read.first_date.as_deref().map(str::parse::<Date>) {
            None => 0,
            Some(Ok(day)) => day.duration_since(self.clock.now().date()).as_hours() / 24,
            Some(Err(_)) => return wrong("the first date cannot be read".to_owned()),
        };
        if ahead < 0 {
            return wrong(format!(
                "the first day, {}, is past; begin with today",
                read.first_date.unwrap_or_default()
            ));
        }
        if ahead > MOST_AHEAD {
            return wrong(format!(
                "the first day is {ahead} days off; begin within {MOST_AHEAD} days"
            ));
        }
        Ok(what_if::wave(e, Plan::default(), ahead as u32, &read.days).air)
    }

    /// A day so many days from now: `today`, `tomorrow`, `Fri 27 Nov`.
    #[must_use]
    pub fn near(&self, days: u32) -> String {
        let today = self.clock.now().date();
        match days {
            0 => "today".to_owned(),
            1 => "tomorrow".to_owned(),
            _ => report::date(self.day_from_now(days), today),
        }
    }

    /// The date so many days from now; the last there is when there are not so
    /// many.
    #[must_use]
    pub fn day_from_now(&self, days: u32) -> Date {
        let today = self.clock.now().date();
        today
            .checked_add(i64::from(days).days())
            .unwrap_or(Date::MAX)
    }

    fn speak<'a>(&self, day: &'a dyn Fn(u32) -> String) -> Speak<'a> {
        Speak {
            system: self.system(),
            day,
        }
    }
}

impl Absence {
    /// The air from today on when the bin is moved for the absence; none when
    /// it stays.
    #[must_use]
    pub fn air(&self, e: &Estimate) -> Vec<Day> {
        let today = e.scene.day(e.now).floor();
        self.place.map_or_else(Vec::new, |celsius| {
            let before = (0..self.leave).map(|d| e.scene.room.day(today + f64::from(d)));
            let there = (0..=2 * self.days.max(30)).map(|_| super::outlook::there(e, celsius));
            before.chain(there).collect()
        })
    }
}
