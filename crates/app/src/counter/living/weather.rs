//! Heat and cold by the hour.

use super::courses::comfort;
use super::days::{self, on};
use super::now;
use super::outlook::{estimated, point};
use crate::chart::chances::chance_words;
use crate::chart::{Course, CourseLimit, CourseLine, CoursePoint, Trouble};
use crate::counter::around::{refused, sentence, shell, units, units_of};
use crate::counter::parse::{Check, Faults, bounded, short};
use crate::counter::words;
use crate::desk::outlook::AIR_CELSIUS;
use crate::desk::planners::{HUMIDITY_PERCENT, Spell};
use crate::desk::{BinState, Desk};
use crate::report::{self, Units};
use crate::web::widgets::{Drift, Figure, Table, Verdict};
use crate::web::{
    Answer, CourseView, Fields, HelpLine, Nav, WeatherAnswer, WeatherPage, weather_controls,
};
use engine::advice::{Advice, number};
use engine::living::trouble::EVEN;
use engine::log::BinId;
use engine::measure::{GRAMS_PER_POUND, fahrenheit};
use engine::quantity::Band;
use engine::weather::{self, Hour, Kind, Measure, Sun, Weather, WeatherAsk};

pub(in crate::counter) fn weather(desk: &Desk, id: i64, fields: &Fields) -> Answer<WeatherPage> {
    let state = desk.bin(BinId(id)).map_err(refused)?;
    let e = estimated(&state)?;
    let mut faults = Vec::new();
    let mut answer = None;
    let read_in = units_of(desk, fields);
    if fields.has("weather") {
        match days::spell(desk, e, fields.get("weather"), read_in) {
            Err(fault) => faults.push(("weather".to_owned(), fault)),
            Ok(spell) => {
                if let Some(asked) = ask(desk, e, fields, spell, &mut faults) {
                    match desk
                        .weather(&asked)
                        .map_err(|e| sentence(&e))
                        .and_then(|w| told(desk, &state, &asked, &w))
                    {
                        Ok(told) => answer = Some(told),
                        Err(fault) => faults.push(("weather".to_owned(), fault)),
                    }
                }
            }
        }
    } else if fields.0.iter().any(|(name, _)| name == "weather") {
        faults.push((
            "weather".to_owned(),
            "Give the highs and lows, a line a day.".to_owned(),
        ));
    }
    let mut controls = weather_controls(fields, &faults, days::degrees(read_in));
    controls.push(days::asked_in(read_in));
    Ok(WeatherPage {
        shell: shell(desk, "Heat and cold", Nav::Shelf),
        id,
        name: state.description.name.clone(),
        controls,
        error: String::new(),
        answer,
        sources: now::sources(desk),
    })
}

/// The question as typed; none when something in it is wrong.
fn ask<'a>(
    desk: &'a Desk,
    e: &'a engine::estimate::Estimate,
    fields: &Fields,
    spell: Vec<engine::living::room::Day>,
    faults: &mut Faults,
) -> Option<WeatherAsk<'a>> {
    let mut check = Check::default();
    let sun = check.take("sun", sun(fields.get("sun")));
    let help = check.take("help", known_help(&fields.all("help")));
    let humidity = check.take("humidity", bounded(fields, "humidity", &HUMIDITY_PERCENT));
    let place = days::celsius(
        units_of(desk, fields),
        fields,
        "place_celsius",
        &AIR_CELSIUS,
    );
    let place = check.take("place_celsius", place);
    faults.append(&mut check.faults);
    let (humidity, other_place) = (humidity?, place?);
    let (sun, help) = (sun?, help?);
    let spell = Spell {
        days: spell,
        sun,
        humidity_percent: humidity,
        other_place,
        without: without(&help, other_place.is_some()),
    };
    Some(desk.weather_ask(e, &spell))
}

fn sun(sent: &str) -> Result<Sun, String> {
    match sent {
        "" | "none" => Ok(Sun::None),
        "part" => Ok(Sun::Part),
        "full" => Ok(Sun::Full),
        other => Err(not_listed(other)),
    }
}

fn not_listed(sent: &str) -> String {
    format!("Choose from the list; `{}` is not on it.", short(sent))
}

/// What the keeper could do, by the word each is sent under.
const HELP: [(&str, &[Kind]); 6] = [
    ("place", &[Kind::Move]),
    ("shade", &[Kind::Shade]),
    ("ice", &[Kind::Ice]),
    ("wet_cover", &[Kind::WetCover]),
    ("insulation", &[Kind::Wrap]),
    ("heater", &[Kind::Heater, Kind::WarmBottles]),
];

fn known_help<'a>(sent: &[&'a str]) -> Result<Vec<&'a str>, String> {
    let listed = |word: &&&str| word.is_empty() || HELP.iter().any(|(name, _)| name == *word);
    match sent.iter().find(|word| !listed(word)) {
        Some(word) => Err(not_listed(word)),
        None => Ok(sent.to_vec()),
    }
}

/// Measures the keeper cannot take: those not chosen, when any is.
fn without(help: &[&str], has_place: bool) -> Vec<Kind> {
    if help.iter().all(|h| h.is_empty()) {
        return Vec::new();
    }
    HELP.iter()
        .filter(|(name, _)| !(help.contains(name) || (*name == "place" && has_place)))
        .flat_map(|(_, kinds)| kinds.iter().copied())
        .collect()
}

fn told(
    desk: &Desk,
    state: &BinState,
    ask: &WeatherAsk<'_>,
    w: &Weather,
) -> Result<WeatherAnswer, String> {
    let units = units(desk);
    let compared = compared(ask, w, units).map_err(|e| sentence(&e))?;
    let mut charts = vec![chart(
        desk,
        state,
        ask,
        &w.undone.hours,
        (
            "undone",
            "If nothing is done",
            &hottest(w.undone.hottest, w.undone.coldest, units),
        ),
    )];
    if let Some(done) = &w.done {
        charts.push(chart(
            desk,
            state,
            ask,
            &done.hours,
            (
                "done",
                "With what helps",
                &hottest(done.hottest, done.coldest, units),
            ),
        ));
    }
    Ok(WeatherAnswer {
        verdict: verdict(desk, state, ask, w),
        advice: w.advice.iter().map(help).collect(),
        compared,
        cautions: w.cautions.clone(),
        figures: figures(w, units),
        charts,
        alarms: Vec::new(),
        hours: Some(table(desk, state, ask, &w.undone.hours)),
    })
}

/// Each thing by itself beside doing nothing, and beside the other place when
/// one was given; none where there is nothing to compare.
fn compared(
    ask: &WeatherAsk<'_>,
    w: &Weather,
    units: Units,
) -> Result<Option<Table>, weather::WeatherError> {
    let row = |name: &str, harm: f64, hottest: &Band, coldest: &Band| {
        vec![
            name.to_owned(),
            chance_words(harm),
            report::celsius_band(hottest, units),
            report::celsius_band(coldest, units),
        ]
    };
    let u = &w.undone;
    let mut rows = vec![row("Nothing", u.either, &u.hottest, &u.coldest)];
    let mut moved = false;
    for t in &w.alone {
        if let [only] = t.measures.as_slice() {
            moved |= only.kind() == Kind::Move;
            rows.push(row(only.kind().title(), t.either, &t.hottest, &t.coldest));
        }
    }
    if let (Some(celsius), false) = (ask.other_place.or(w.enough_place), moved) {
        let c = weather::with_measures(ask, &[Measure::Move { celsius }])?;
        let title = match ask.other_place {
            Some(_) => Kind::Move.title().to_owned(),
            None => format!("A place at {}", report::celsius(celsius, units)),
        };
        rows.insert(1, row(&title, c.either, &c.hottest, &c.coldest));
    }
    Ok((rows.len() > 1).then(|| Table {
        caption: "Each thing by itself".to_owned(),
        head: ["What", "Chance of harm", "Hottest", "Coldest"]
            .map(str::to_owned)
            .to_vec(),
        rows,
    }))
}

fn hottest(hottest: Band, coldest: Band, units: Units) -> String {
    format!(
        "Where worms sit: {} at the hottest, {} at the coldest.",
        report::celsius_band(&hottest, units),
        report::celsius_band(&coldest, units)
    )
}

fn verdict(desk: &Desk, state: &BinState, ask: &WeatherAsk<'_>, w: &Weather) -> Verdict {
    if w.nothing_needed {
        return Verdict {
            drift: Drift::Good,
            word: "It stands this".to_owned(),
            line: format!(
                "Chance of harm to worms: {}. Nothing needs to be done.",
                chance_words(w.undone.either)
            ),
        };
    }
    let what = if w.undone.hot >= w.undone.cold {
        "too hot"
    } else {
        "too cold"
    };
    let by = w.first_likely_hour.map_or_else(String::new, |h| {
        format!(", 1 in 10 by {}", clock(desk, state, ask, h))
    });
    let after = w.least.as_ref().map_or_else(String::new, |l| {
        format!(" With what is below: {}.", chance_words(l.either))
    });
    Verdict {
        drift: if w.enough && w.undone.either < EVEN {
            Drift::Wait
        } else {
            Drift::Stop
        },
        word: if w.enough {
            "It needs help".to_owned()
        } else {
            "Move it if you can".to_owned()
        },
        line: format!(
            "Chance of getting {what} for worms: {}{by}.{after}",
            chance_words(w.undone.either)
        ),
    }
}

/// An hour from now in words: `Fri 3 Jul, 14:00`.
fn clock(desk: &Desk, state: &BinState, ask: &WeatherAsk<'_>, hours: u32) -> String {
    let at = ask.start_hour + f64::from(hours);
    let day = (at / 24.0).floor();
    let date = words::today(desk);
    let date = jiff::Span::new()
        .try_days(day as i64)
        .and_then(|d| date.checked_add(d))
        .map_or_else(
            |_| on(desk, state.now, day),
            |d| report::date(d, words::today(desk)),
        );
    format!("{date}, {:02.0}:00", (at - 24.0 * day).floor())
}

fn help(a: &Advice) -> HelpLine {
    let amount = a.amount.map_or_else(String::new, |b| {
        let (m, l, h) = (number(b.median), number(b.low), number(b.high));
        if l == h {
            format!(": {m} {}", a.unit)
        } else {
            format!(": {m} {} ({l} to {h})", a.unit)
        }
    });
    HelpLine {
        what: format!("{}{amount}.", a.what),
        effect: a.why.clone(),
        when: crate::counter::around::capital(&a.when),
        caution: String::new(),
    }
}

fn figures(w: &Weather, units: Units) -> Vec<Figure> {
    let f = &w.figures;
    let mut list = vec![
        Figure::plain(
            "Hottest where worms sit",
            &report::celsius_band(&w.undone.hottest, units),
            "if nothing is done",
        ),
        Figure::plain(
            "Coldest where worms sit",
            &report::celsius_band(&w.undone.coldest, units),
            "if nothing is done",
        ),
        Figure::plain(
            "It follows the air within",
            &report::band(&f.lag_hours, "h"),
            "for two thirds of a change",
        ),
    ];
    if w.undone.hot >= w.undone.cold {
        let per = |b: &Band| match units {
            Units::Metric => format!("{} of ice", report::band(b, "kg")),
            Units::Us => format!(
                "{} of ice",
                report::band(
                    &crate::counter::cite::scaled(b, 1000.0 / GRAMS_PER_POUND / 1.8),
                    "lb"
                )
            ),
        };
        let degree = days_degree(units);
        list.push(Figure::plain(
            &format!("One {degree} cooler, once"),
            &per(&f.ice_kg_per_degree),
            "melted in it",
        ));
        list.push(Figure::plain(
            &format!("Held one {degree} cooler"),
            &format!("{} a day", per(&f.ice_kg_per_day_degree)),
            "",
        ));
        list.push(Figure::plain(
            match units {
                Units::Metric => "A bottle of 1 kg lasts",
                Units::Us => "A bottle of 2.2 lb lasts",
            },
            &report::band(&f.ice_lasts_hours, "h"),
            "then swap it",
        ));
    } else {
        list.push(Figure::plain(
            "Heater",
            &report::band(&f.heater_watts, "W"),
            &format!(
                "with a thermostat at {}, in the coldest hour",
                report::celsius(f.heater_target_celsius, units)
            ),
        ));
    }
    list
}

fn days_degree(units: Units) -> &'static str {
    match units {
        Units::Metric => "°C",
        Units::Us => "°F",
    }
}

fn chart(
    desk: &Desk,
    state: &BinState,
    ask: &WeatherAsk<'_>,
    hours: &[Hour],
    (id, heading, line): (&str, &str, &str),
) -> CourseView {
    let us = units(desk) == Units::Us;
    let shown = |v: f64| if us { fahrenheit(v) } else { v };
    let band = |b: &Band| Band {
        median: shown(b.median),
        low: shown(b.low),
        high: shown(b.high),
    };
    let day = |h: &Hour| (ask.start_hour + f64::from(h.hour)) / 24.0;
    let unit = days_degree(units(desk));
    let mut c = Course::new(
        &format!("{}-{id}", state.id.0),
        "Where worms sit",
        unit,
        words::today(desk),
    );
    "worms".clone_into(&mut c.name);
    c.now = Some(ask.start_hour / 24.0);
    c.band = hours
        .iter()
        .map(|h| point(day(h), &band(&h.refuge)))
        .collect();
    let extra = |name: &str, of: fn(&Hour) -> f64| CourseLine {
        name: name.to_owned(),
        points: hours
            .iter()
            .map(|h| CoursePoint::sure(day(h), shown(of(h))))
            .collect(),
    };
    c.extra = vec![
        extra("middle", |h| h.core.median),
        extra(air_words(ask.sun).1, |h| h.air.median),
    ];
    let limit = |celsius: f64, trouble: Trouble, says: &str| {
        let value = shown(celsius);
        CourseLimit {
            value,
            trouble,
            words: format!("{says} {}\u{a0}{unit}", report::decimals(value, 0)),
        }
    };
    if let Some(comfort) = comfort(desk, state) {
        c.limits = vec![
            limit(comfort.hot_celsius, Trouble::Above, "too hot above"),
            limit(comfort.cold_celsius, Trouble::Below, "too cold below"),
        ];
    }
    let mut view = CourseView::new(heading, line, &c);
    view.id = format!("course-{id}");
    view
}

/// What the air is called at the head of a column and beside a line: where the
/// sun is on the bin it is counted as warmer air.
const fn air_words(sun: Sun) -> (&'static str, &'static str) {
    match sun {
        Sun::None => ("Air", "air"),
        Sun::Part | Sun::Full => ("Air at the bin, sun included", "air, sun included"),
    }
}

fn table(desk: &Desk, state: &BinState, ask: &WeatherAsk<'_>, hours: &[Hour]) -> Table {
    let units = units(desk);
    let head = [
        "Hour",
        "Where worms sit",
        "Middle",
        "At the walls",
        air_words(ask.sun).0,
        "Chance of harm by then",
    ];
    Table {
        caption: "If nothing is done, by the hour".to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows: hours
            .iter()
            .map(|h| {
                vec![
                    clock(desk, state, ask, h.hour),
                    report::celsius_band(&h.refuge, units),
                    report::celsius_band(&h.core, units),
                    report::celsius_band(&h.edge, units),
                    report::celsius(h.air.median, units),
                    chance_words(h.by_now),
                ]
            })
            .collect(),
    }
}
