//! The what-if slider: one dose today, and where it leads.

use super::{day_on, is_blind, salt, target};
use crate::chart::{CurvePoint, DoseCurve, dose_curve};
use crate::counter::around::{refused, units};
use crate::counter::parse;
use crate::desk::plans::DAYS_AHEAD;
use crate::desk::{Desk, Planned};
use crate::report::{self, Units};
use crate::web::widgets::Picture;
use crate::web::{Answer, Fields, PageError, Slider, WhatIfPart};
use engine::bounds::AMOUNT_GRAMS;
use engine::dose::option::Choice;
use engine::log::BinId;
use engine::measure::describe_grams;
use engine::quantity::Band;

/// Day of the first pH told [d].
const SOON: f64 = 7.0;
/// An amount this much over the step is still that step.
const SLACK: f64 = 1.05;

pub(in crate::counter) fn what_if(desk: &Desk, bin: i64, fields: &Fields) -> Answer<WhatIfPart> {
    let made = desk
        .planned(BinId(bin), target(bin, fields)?)
        .map_err(refused)?;
    let key = fields.get("material");
    let choice = if key.is_empty() {
        made.answer.options.first()
    } else {
        made.option(key)
    };
    let Some(choice) = choice else {
        return Err(PageError::new(
            422,
            "Nothing to try",
            "That material is not in the shed, or must not be used in this bed.",
        )
        .or(&format!("/bins/{bin}/dose"), "Back to the plan"));
    };
    let grams = amount(bin, fields)?
        .unwrap_or(choice.step_grams)
        .min(range(choice).0);
    Ok(part(desk, &made, choice, grams))
}

/// The amount asked about [g]; a way back when it cannot be.
pub(super) fn amount(bin: i64, fields: &Fields) -> Answer<Option<f64>> {
    parse::bounded(fields, "amount", &AMOUNT_GRAMS).map_err(|fault| {
        PageError::new(422, "That amount cannot be", &fault)
            .or(&format!("/bins/{bin}/dose"), "Back to the plan")
    })
}

/// The slider of a plan; `None` when there is nothing to try.
pub(super) fn slider(desk: &Desk, made: &Planned, fields: &Fields) -> Option<Slider> {
    let choice = made
        .option(fields.get("material"))
        .or_else(|| made.answer.options.first())?;
    let (max, step) = range(choice);
    let asked = parse::bounded(fields, "amount", &AMOUNT_GRAMS)
        .ok()
        .flatten();
    let value = asked.map_or_else(|| (choice.step_grams / step).floor() * step, |g| g.min(max));
    let materials = made.answer.options.iter().map(|o| {
        let is = o.material == choice.material;
        (o.material.clone(), o.name.clone(), is)
    });
    Some(Slider {
        materials: materials.collect(),
        min: 0.0,
        max,
        step,
        value,
        part: part(desk, made, choice, value),
    })
}

/// Largest amount on the slider and its step [g]: a round number past the
/// whole need, in a hundred steps or so.
fn range(choice: &Choice) -> (f64, f64) {
    let most = (choice.grams.median * 1.5)
        .max(choice.step_grams * 3.0)
        .max(1.0);
    let step = nice(most / 100.0).max(0.01);
    ((most / step / 10.0).ceil() * step * 10.0, step)
}

/// 1, 2 or 5 times a power of ten, at least `x`.
fn nice(x: f64) -> f64 {
    let power = 10f64.powf(x.log10().floor());
    let found = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|f| f * power >= x * 0.999);
    found.unwrap_or(10.0) * power
}

fn part(desk: &Desk, made: &Planned, choice: &Choice, grams: f64) -> WhatIfPart {
    let path = made.path(choice, grams);
    let curve = made.curve(choice, range(choice).0);
    WhatIfPart {
        amount: amount_words(desk, choice, grams),
        lines: lines(desk, made, choice, grams, &path),
        caution: caution(made, choice, grams, units(desk)),
        curve: Picture::of(
            |s| dose_curve(&by_amount(made, choice, grams, &curve), s),
            "By amount, all given today. Dashed uprights: running totals after each step of the plan.",
        ),
        path: Picture::of(
            |s| dose_curve(&by_day(made, &path), s),
            "By day, with this amount given today.",
        ),
    }
}

fn amount_words(desk: &Desk, choice: &Choice, grams: f64) -> String {
    if grams <= 0.0 {
        return "Nothing".into();
    }
    let material = desk.product(&choice.material).map(|p| p.material);
    let words = material.ok().and_then(|m| {
        let said = describe_grams(grams, &m, desk.tables, desk.system()).ok()?;
        Some(said.text)
    });
    let words = words.unwrap_or_else(|| format!("{} g", report::significant(grams, 2)));
    format!("{words} of {}", super::words::lower(&choice.name))
}

fn lines(
    desk: &Desk,
    made: &Planned,
    choice: &Choice,
    grams: f64,
    path: &[(f64, Band)],
) -> Vec<String> {
    let on = |day: f64| {
        path.iter()
            .find(|(d, _)| (d - day).abs() < 0.5)
            .map(|(_, b)| b)
    };
    let tell = |day: f64, words: &str| {
        let band = on(day)?;
        let (date, today) = day_on(desk, day);
        Some(format!(
            "{words}, {}: pH {}",
            report::date(date, today),
            report::ph_band(band)
        ))
    };
    let mut list: Vec<String> = [
        tell(SOON, "In a week"),
        tell(f64::from(DAYS_AHEAD), "In four weeks"),
    ]
    .into_iter()
    .flatten()
    .collect();
    // Salt goes with the base given.
    let share = grams / choice.step_grams.max(1e-9);
    let said = salt(choice.ec_rise.high * share).replace(" at the first step", "");
    list.push(format!("Salt: {said}"));
    if is_blind(&made.answer) {
        list.push("The bed has not been read well enough: to look at, not to act on.".into());
    }
    list
}

fn caution(made: &Planned, choice: &Choice, grams: f64, units: Units) -> String {
    let stocked = made.state.estimate.as_ref().is_ok_and(|e| e.stocked);
    if grams <= choice.step_grams * SLACK {
        return String::new();
    }
    let step = report::grams(choice.step_grams, units);
    let why = choice.step_limit.text();
    if stocked {
        format!(
            "With worms in the bed give no more than {step} of this in one step: {why}. More than that in steps, with a reading between."
        )
    } else {
        format!("The plan gives no more than {step} of this in one step: {why}.")
    }
}

fn points(list: impl Iterator<Item = (f64, Band)>) -> Vec<CurvePoint> {
    list.map(|(amount, b)| CurvePoint {
        amount,
        median: b.median,
        low: b.low,
        high: b.high,
    })
    .collect()
}

fn by_amount(made: &Planned, choice: &Choice, grams: f64, curve: &[(f64, Band)]) -> DoseCurve {
    let plan = made.answer.plan.as_ref();
    let mut total = 0.0;
    let steps = plan
        .filter(|p| p.material == choice.material)
        .map(|p| {
            let sums = p.steps.iter().map(|s| {
                total += s.grams;
                total
            });
            sums.collect()
        })
        .unwrap_or_default();
    DoseCurve {
        id: "by-amount".into(),
        title: format!("pH in four weeks by amount of {}", choice.name),
        unit: "g".into(),
        points: points(curve.iter().copied()),
        steps,
        at: Some(grams),
        target: Some(made.answer.target_ph),
    }
}

fn by_day(made: &Planned, path: &[(f64, Band)]) -> DoseCurve {
    DoseCurve {
        id: "by-day".into(),
        title: "pH over the next four weeks".into(),
        unit: "days".into(),
        points: points(path.iter().copied()),
        steps: Vec::new(),
        at: None,
        target: Some(made.answer.target_ph),
    }
}
