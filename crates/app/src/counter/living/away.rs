//! Leaving a bin alone for a while.

use super::courses::Drawn;
use super::days::{self, on, on_and_distance};
use super::outlook::estimated;
use super::{alarms, now};
use crate::chart::chances::chance_words;
use crate::chart::{Chance, ChancePoint};
use crate::counter::around::{capital, refused, sentence, shell, units_of};
use crate::counter::parse::{Check, Faults};
use crate::counter::words;
use crate::desk::outlook::{AIR_CELSIUS, WhatIf};
use crate::desk::planners::Absence;
use crate::desk::{BinState, Desk};
use crate::web::widgets::{Drift, Verdict};
use crate::web::{AlarmLine, Answer, AwayAnswer, AwayPage, CourseView, Fields, Nav, away_controls};
use engine::advice::Advice;
use engine::away::{Away, MOST_DAYS, MOST_LEAVE_IN};
use engine::estimate::track::Track;
use engine::living::trouble::Trouble;
use engine::log::BinId;

/// Chance of harm that is still called safe.
const SAFE: f64 = 0.1;

/// Troubles that harm worms while nobody is there.
const HARMS: [Trouble; 10] = [
    Trouble::TooHot,
    Trouble::Freezing,
    Trouble::Drying,
    Trouble::Drowning,
    Trouble::Acid,
    Trouble::Souring,
    Trouble::Alkaline,
    Trouble::Ammonia,
    Trouble::Leaving,
    Trouble::Starving,
];
/// What to do on coming back.
const BACK: [&str; 3] = [
    "Lift the lid, smell, squeeze a handful, and write down what you find: that settles what was only reckoned.",
    "Water first if the handful gives no drop; feed the day after.",
    "Begin with a small ration, as asked under what to feed, and step up as it disappears.",
];

pub(in crate::counter) fn away(desk: &Desk, id: i64, fields: &Fields) -> Answer<AwayPage> {
    let state = desk.bin(BinId(id)).map_err(refused)?;
    estimated(&state)?;
    let asked = fields.0.iter().any(|(n, _)| n == "from" || n == "to");
    let (answer, faults) = if asked {
        match read(desk, fields) {
            Err(faults) => (None, faults),
            Ok(asked) => match answered(desk, &state, &asked) {
                Ok(answer) => (Some(answer), Vec::new()),
                Err(fault) => (None, vec![(String::new(), fault)]),
            },
        }
    } else {
        (None, Vec::new())
    };
    let whole: Vec<&str> = faults
        .iter()
        .filter(|(field, _)| field.is_empty())
        .map(|(_, fault)| fault.as_str())
        .collect();
    let read_in = units_of(desk, fields);
    let mut controls = away_controls(fields, &faults, days::degrees(read_in));
    controls.push(days::asked_in(read_in));
    Ok(AwayPage {
        shell: shell(desk, "Going away", Nav::Shelf),
        id,
        name: state.description.name.clone(),
        controls,
        error: whole.join(" "),
        answer,
        sources: now::sources(desk),
    })
}

fn read(desk: &Desk, fields: &Fields) -> Result<Absence, Faults> {
    let mut check = Check::default();
    let from = check
        .take("from", days::date(desk, fields, "from"))
        .flatten();
    let to = check.take("to", days::date(desk, fields, "to")).flatten();
    let place = days::celsius(
        units_of(desk, fields),
        fields,
        "place_celsius",
        &AIR_CELSIUS,
    );
    let place = check.take("place_celsius", place).flatten();
    let mut fault = |field: &str, words: String| {
        if !check.faults.iter().any(|(f, _)| f == field) {
            check.faults.push((field.to_owned(), words));
        }
    };
    match from {
        None => fault("from", "Say when you leave.".to_owned()),
        Some(d) if d < 0 => fault("from", "That day is past.".to_owned()),
        Some(d) if d > i64::from(MOST_LEAVE_IN) => fault(
            "from",
            format!("Ask when it is nearer: at most {MOST_LEAVE_IN} days from now."),
        ),
        Some(_) => {}
    }
    match (from, to) {
        (_, None) => fault("to", "Say when you return.".to_owned()),
        (Some(f), Some(t)) if t <= f => {
            fault("to", "The return is not after leaving.".to_owned());
        }
        (Some(f), Some(t)) if t - f > i64::from(MOST_DAYS) => fault(
            "to",
            format!(
                "Longer than {MOST_DAYS} days cannot be answered for; find someone to look after it."
            ),
        ),
        _ => {}
    }
    match (from, to) {
        (Some(from), Some(to)) if check.faults.is_empty() => Ok(Absence {
            leave: from as u32,
            days: (to - from) as u32,
            place,
        }),
        _ => Err(check.faults),
    }
}

fn answered(desk: &Desk, state: &BinState, asked: &Absence) -> Result<AwayAnswer, String> {
    let e = state.estimated().map_err(|e| sentence(&e))?;
    let found = desk.away(state, asked).map_err(|e| sentence(&e))?;
    let what_if = WhatIf {
        away: Some((f64::from(asked.leave), f64::from(asked.leave + asked.days))),
        air: asked.air(e),
        ..WhatIf::default()
    };
    let charts = charts(desk, state, &what_if, asked.leave + asked.days);
    Ok(told(desk, state, asked, &found, charts))
}

fn told(
    desk: &Desk,
    state: &BinState,
    asked: &Absence,
    found: &Away,
    charts: Vec<CourseView>,
) -> AwayAnswer {
    let before = &found.advice;
    let refrain = |a: &&Advice| a.what.starts_with("Give no ");
    let return_day = f64::from(asked.leave + asked.days);
    let until = format!("by {}", on(desk, state.now, return_day));
    let mut alarms = vec![harm(desk, state, asked, found)];
    let harms: Vec<(Trouble, f64)> = found
        .done
        .chances
        .iter()
        .filter(|(t, _)| HARMS.contains(t))
        .copied()
        .collect();
    alarms.extend(alarms::chances(&harms, &until));
    AwayAnswer {
        verdict: verdict(found),
        before: before
            .iter()
            .filter(|a| !refrain(a))
            .map(|a| capital(&a.text()))
            .collect(),
        not: before
            .iter()
            .filter(refrain)
            .map(|a| capital(&a.text()))
            .collect(),
        latest_return: latest_return(desk, state, asked, found),
        latest_why: latest_why(found),
        alarms,
        back: BACK.map(str::to_owned).to_vec(),
        charts,
    }
}

fn verdict(found: &Away) -> Verdict {
    let (done, undone) = (found.done.at_return, found.undone.at_return);
    if let Some((harm, chance)) = found.unsettled() {
        return Verdict {
            drift: Drift::Stop,
            word: "Settle it before you leave".to_owned(),
            line: format!(
                "{}: {} when you leave. New harm by your return besides: {} with what is below, {} as it is.",
                harm.title(),
                chance_words(chance),
                chance_words(done),
                chance_words(undone)
            ),
        };
    }
    let (drift, word) = if done <= SAFE {
        (Drift::Good, "It can be left")
    } else if done <= 0.5 {
        (Drift::Wait, "It can be left at some risk")
    } else {
        (Drift::Stop, "Find someone to look after it")
    };
    Verdict {
        drift,
        word: word.to_owned(),
        line: format!(
            "Chance of new harm by your return: {} with what is below, {} as it is.",
            chance_words(done),
            chance_words(undone)
        ),
    }
}

/// Until when it may be left, and what comes before that.
fn latest_return(desk: &Desk, state: &BinState, asked: &Absence, found: &Away) -> String {
    let day = |days: u32| f64::from(asked.leave + days);
    let safe = match found.done.latest_safe_days {
        Some(days) => on_and_distance(desk, state.now, day(days)),
        None => format!(
            "Safe until {} at least",
            on(desk, state.now, day(found.done.looked_days))
        ),
    };
    if found.unsettled().is_some() {
        format!("{safe}, once what is wrong is put right")
    } else {
        safe
    }
}

fn latest_why(found: &Away) -> String {
    let first = found
        .done
        .first
        .iter()
        .filter(|f| f.1 > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    match (found.done.latest_safe_days, first) {
        (None, _) => "Moist bedding keeps worms for weeks.".to_owned(),
        (Some(_), Some((harm, _))) => format!(
            "After that the chance of harm passes 1 in 10; the first is likely to be: {}.",
            words::lower(harm.title())
        ),
        (Some(_), None) => "After that the chance of harm passes 1 in 10.".to_owned(),
    }
}

/// Harm of any kind, through the absence.
fn harm(desk: &Desk, state: &BinState, asked: &Absence, found: &Away) -> AlarmLine {
    let chance = Chance {
        id: format!("chance-{}-harm", state.id.0),
        what: "New harm of any kind".to_owned(),
        start: words::day(desk, state.now + i64::from(asked.leave) * 86_400),
        days: f64::from(asked.days),
        points: found
            .done
            .by_day
            .iter()
            .take(asked.days as usize + 1)
            .enumerate()
            .map(|(day, share)| ChancePoint {
                day: day as f64,
                share: *share,
            })
            .collect(),
    };
    let drift = match found.done.at_return {
        c if c <= SAFE => Drift::Good,
        c if c <= 0.5 => Drift::Wait,
        _ => Drift::Stop,
    };
    let by = format!("{} by your return", chance_words(found.done.at_return));
    AlarmLine::new(
        drift,
        &chance,
        &by,
        "With what is advised done, and not there yet when you leave: too hot, frozen, dry, drowned, sour, ammonia, starved or gone.",
    )
}

fn charts(desk: &Desk, state: &BinState, what_if: &WhatIf, days: u32) -> Vec<CourseView> {
    let (Ok(seen), Ok(e)) = (desk.outlook(state, what_if, days.max(1)), state.estimated()) else {
        return Vec::new();
    };
    let drawn = Drawn::of(desk, state, e, &seen.ahead.course, 21.0).planned(&seen.acts);
    let as_it_is = if seen.acts.is_empty() {
        "If nothing is given before you leave."
    } else {
        "If you go on as lately until you leave, and nothing more is given."
    };
    let mut list = vec![
        CourseView::new("Moisture", as_it_is, &drawn.course(Track::Moisture)),
        CourseView::new("Temperature", as_it_is, &drawn.temperature()),
    ];
    if e.stocked {
        let worms = drawn.course(Track::WormKg);
        list.push(CourseView::new(&worms.title, as_it_is, &worms));
    }
    list
}
