//! The dose plan and its slider.

mod slide;

pub(super) use slide::what_if;

use super::around::{capital, instruments, materials, refused, sentence, shell, units};
use super::cite::{cited, readable, scaled, worm_limits};
use super::log_lines::PURE_LIME_G_PER_MEQ;
use super::words;
use crate::chart::{ActedDay, ActedShare, acted_share};
use crate::desk::plans::proves_wrong;
use crate::desk::{BinState, Desk, DeskError, Planned};
use crate::report;
use crate::web::widgets::{Control, Drift, Field, Figure, Form, Kind, Sources, Verdict as Banner};
use crate::web::{
    Answer, DoseOption, DosePage, Fields, Nav, PageError, PlanStep, Refusal, entry_forms,
};
use engine::bounds::TARGET_PH;
use engine::dose::option::{Choice, StepLimit};
use engine::dose::plan::{Plan, Step};
use engine::dose::{self, Direction};
use engine::estimate::Estimate;
use engine::log::{BinId, Body};
use engine::table::Property;
use jiff::ToSpan;
use jiff::civil::Date;

/// A step smaller than this is none [g].
const NO_STEP: f64 = 0.05;
/// Materials offered when the shed has nothing for the job, and why.
const OFFERS: [(&str, &str, &str); 4] = [
    (
        "limestone_calcitic",
        "garden lime",
        "Ground limestone. Slow, kind to worms, hard to overdo.",
    ),
    (
        "eggshell_powder",
        "ground eggshell",
        "Baked or dried, ground to dust. The same stuff, slower when coarse.",
    ),
    (
        "dolomite",
        "dolomite lime",
        "As garden lime with magnesium; slower.",
    ),
    (
        "potassium_bicarbonate",
        "potassium bicarbonate",
        "Acts within hours and adds salt: small steps.",
    ),
];
/// Offered when the bed is over-limed.
const SOUR_OFFERS: [(&str, &str, &str); 1] = [(
    "peat_sphagnum_unlimed",
    "plain peat, no lime",
    "Mixed in, its acid uses up spare lime.",
)];

pub(super) fn dose(desk: &Desk, bin: i64, fields: &Fields) -> Answer<DosePage> {
    let target = target(bin, fields)?;
    slide::amount(bin, fields)?;
    let made = match desk.planned(BinId(bin), target) {
        Ok(made) => made,
        Err(DeskError::NoEstimate(why)) => return nothing_known(desk, bin, &sentence(&why)),
        Err(error) => return Err(refused(error)),
    };
    let state = &made.state;
    let Ok(estimate) = &state.estimate else {
        return nothing_known(desk, bin, "There is no estimate of this bin yet.");
    };
    let answer = &made.answer;
    let mut page = empty(desk, bin, &state.description.name);
    page.verdict = banner(&made);
    page.figures = figures(desk, answer, estimate);
    page.running = running(desk, state, estimate);
    if let Some(plan) = &answer.plan {
        page.steps = plan.steps.iter().map(|s| step(desk, plan, s)).collect();
        page.why_steps = why_steps(plan);
        let named = |days: f64| {
            let (day, today) = day_on(desk, days);
            report::date(day, today)
        };
        page.wrong_if = vec![proves_wrong(plan, &named)];
        page.log_form = log_form(desk, bin, plan);
    }
    page.options = answer
        .options
        .iter()
        .map(|o| option(desk, o, answer))
        .collect();
    page.refused = answer.refused.iter().map(|r| refusal(desk, r)).collect();
    page.also = also(desk, &made);
    page.offers = offers(answer);
    page.target = target.map_or_else(String::new, |t| report::decimals(t, 1));
    page.slider = slide::slider(desk, &made, fields);
    page.sources.lines = sources(desk, answer);
    Ok(page)
}

/// The target asked for; a way back when it cannot be aimed at.
fn target(bin: i64, fields: &Fields) -> Answer<Option<f64>> {
    super::parse::bounded(fields, "target", &TARGET_PH).map_err(|fault| {
        PageError::new(422, "No plan for that pH", &fault)
            .or(&format!("/bins/{bin}/dose"), "Back to the plan")
    })
}

fn empty(desk: &Desk, bin: i64, name: &str) -> DosePage {
    DosePage {
        shell: shell(desk, "Dose plan", Nav::Shelf),
        id: bin,
        name: name.to_owned(),
        verdict: Banner {
            drift: Drift::Unknown,
            word: "No plan yet".into(),
            line: String::new(),
        },
        figures: Vec::new(),
        running: Vec::new(),
        steps: Vec::new(),
        why_steps: String::new(),
        wrong_if: Vec::new(),
        options: Vec::new(),
        refused: Vec::new(),
        slider: None,
        log_form: None,
        also: Vec::new(),
        offers: Vec::new(),
        target: String::new(),
        materials: materials(desk),
        sources: Sources { lines: Vec::new() },
    }
}

fn nothing_known(desk: &Desk, bin: i64, why: &str) -> Answer<DosePage> {
    let state = desk.bin(BinId(bin)).map_err(refused)?;
    let mut page = empty(desk, bin, &state.description.name);
    why.clone_into(&mut page.verdict.line);
    Ok(page)
}

/// There would be a step, but nobody has read the bed well enough to dose it.
fn is_blind(answer: &dose::Answer) -> bool {
    answer.plan.is_none()
        && answer
            .options
            .first()
            .is_some_and(|o| o.step_grams >= NO_STEP)
}

fn banner(made: &Planned) -> Banner {
    let answer = &made.answer;
    let steps = answer.plan.as_ref().map_or(0, |p| p.steps.len());
    let in_steps = if steps == 1 {
        "in one step".to_owned()
    } else {
        format!("in {steps} steps")
    };
    let (drift, word) = match answer.direction {
        Direction::Stay => (Drift::Good, "No dose needed".to_owned()),
        _ if answer.waiting_days.is_some() => (Drift::Wait, "Wait".to_owned()),
        _ if is_blind(answer) => (Drift::Unknown, "Read the pH first".to_owned()),
        _ if answer.options.is_empty() => (Drift::Wait, "Nothing in the shed for it".to_owned()),
        _ if steps == 0 => (Drift::Wait, "No safe step".to_owned()),
        Direction::Raise => (Drift::Wait, format!("Raise it {in_steps}")),
        Direction::Lower => (Drift::Wait, format!("Bring it down {in_steps}")),
    };
    Banner {
        drift,
        word,
        line: answer.why.clone(),
    }
}

fn figures(desk: &Desk, answer: &dose::Answer, e: &Estimate) -> Vec<Figure> {
    let axis = (3.5, 9.0);
    let mut list = vec![
        Figure::new(
            "pH now",
            report::ph_band(&e.ph),
            &e.ph,
            axis,
            "the whole bed",
        ),
        Figure::new(
            "Heading for",
            report::ph_band(&e.ph_to_come),
            &e.ph_to_come,
            axis,
            &format!(
                "when all that is in it has acted; aim {}",
                report::ph(answer.target_ph)
            ),
        ),
    ];
    if answer.direction == Direction::Stay {
        return list;
    }
    let (what, need) = match answer.direction {
        Direction::Lower => ("Acid needed", scaled(&answer.needed_base_meq, -1.0)),
        _ => ("Base needed", answer.needed_base_meq),
    };
    let most = (need.high * 1.1).max(1.0);
    list.push(Figure::new(
        what,
        lime_words(desk, &need),
        &need,
        (need.low.min(0.0), most),
        &format!(
            "beyond what is in the bed, counted as pure limestone; a chemist says {} meq, 20 to the gram",
            report::significant(need.median, 2)
        ),
    ));
    if let Some(best) = chosen(answer) {
        list.push(Figure::new(
            "In all, as weighed",
            report::grams_band(&best.grams, units(desk)),
            &best.grams,
            (0.0, (best.grams.high * 1.1).max(1.0)),
            &format!("of {}", words::lower(&best.name)),
        ));
    }
    list.push(Figure::plain(
        "Buffer",
        &lime_words(desk, &e.buffer_meq_per_ph),
        "moves this bed by one pH unit: how hard it is to move",
    ));
    list
}

/// Base as so much pure lime.
fn lime_words(desk: &Desk, meq: &engine::quantity::Band) -> String {
    let grams = report::grams_band(&scaled(meq, PURE_LIME_G_PER_MEQ), units(desk));
    format!("{grams} of pure lime")
}

fn chosen(answer: &dose::Answer) -> Option<&Choice> {
    answer.options.first()
}

fn running(desk: &Desk, state: &BinState, e: &Estimate) -> Vec<String> {
    let mut list: Vec<String> = e
        .given
        .iter()
        .map(|g| {
            let said = state.log.iter().find(|entry| entry.id == g.entry);
            let what = match said.map(|entry| &entry.body) {
                Some(Body::Dose(d)) => format!("{} of {}", d.amount, words::lower(&g.name)),
                _ => g.name.clone(),
            };
            let day = report::day_month(words::day(desk, g.at));
            let (carried, base) = if g.base_meq.median < 0.0 {
                ("acid", scaled(&g.base_meq, -1.0))
            } else {
                ("base", g.base_meq)
            };
            format!(
                "{day}: {what}, which carried {} of {carried}.",
                report::band(&base, "meq")
            )
        })
        .collect();
    if e.pending_meq.high >= 1.0 && !list.is_empty() {
        list.push(format!(
            "Still to act, from doses and from chalk in paper and compost: {}. It is counted in.",
            report::band(&e.pending_meq, "meq")
        ));
    }
    if let Some((rise, chance)) = &e.change {
        list.push(format!(
            "Since just before the last dose the bed has moved by {} pH; the chance that this is a real change (more than 0.2) is {}.",
            signed(rise),
            report::chance(*chance)
        ));
    }
    list
}

fn signed(b: &engine::quantity::Band) -> String {
    let one = |v: f64| {
        let text = report::decimals(v, 1);
        if text.starts_with('-') || text == "0.0" {
            text
        } else {
            format!("+{text}")
        }
    };
    format!("{} ({} to {})", one(b.median), one(b.low), one(b.high))
}

/// A day from today on.
pub(super) fn day_on(desk: &Desk, days: f64) -> (Date, Date) {
    let today = words::today(desk);
    let day = today.saturating_add((days.round() as i64).clamp(0, 3650).days());
    (day, today)
}

fn step(desk: &Desk, plan: &Plan, s: &Step) -> PlanStep {
    let (day, today) = day_on(desk, s.day);
    let (reread, _) = day_on(desk, s.reread_day);
    let when = if day == today {
        format!("Today, {}", report::date(day, today))
    } else {
        format!("{}, if the reading agrees", report::date(day, today))
    };
    let give = if plan.steps.first() == Some(s) {
        format!("{}: {}", plan.name, s.measure)
    } else {
        format!("{} more", capital(&s.measure))
    };
    PlanStep {
        when,
        give,
        how: s.how.clone(),
        ph_after: format!(
            "pH {} by {}",
            report::ph_band(&s.ph_after),
            report::date(reread, today)
        ),
        reread: format!(
            "Read again {}, at three spots or more, each a hand deep.",
            report::date_and_distance(reread, today)
        ),
        if_lower: s.if_lower.clone(),
        if_expected: s.as_expected.clone(),
        if_higher: s.if_higher.clone(),
    }
}

fn why_steps(plan: &Plan) -> String {
    let mut limits: Vec<StepLimit> = Vec::new();
    for s in &plan.steps {
        if !limits.contains(&s.limit) {
            limits.push(s.limit);
        }
    }
    let said: Vec<&str> = limits.iter().map(|l| l.text()).collect();
    let more = if plan.goes_on {
        " More will be needed after these; the log will say how much by then."
    } else {
        ""
    };
    format!("Why this size: {}.{more}", said.join("; "))
}

/// The first step, ready to be written down with one tap.
fn log_form(desk: &Desk, bin: i64, plan: &Plan) -> Option<Form> {
    let first = plan.steps.first().filter(|s| s.day < 0.5)?;
    let when = words::machine_time(desk, desk.clock.unix_seconds());
    let mut form = entry_forms(bin, &instruments(desk, None), &when)
        .into_iter()
        .find(|f| f.kind == "dose")?;
    for control in &mut form.controls {
        if let Control::Field(f) = control {
            match f.name.as_str() {
                "material" => plan.name.clone_into(&mut f.value),
                "amount" => {
                    f.value = format!("{} g", report::significant(first.grams, 2));
                    f.hint = format!("Step 1 is {}", first.measure);
                }
                _ => {}
            }
        }
    }
    form.submit = "Write the dose down".into();
    form.controls.push(Control::Field(
        Field::new(Kind::Hidden, "from", "").value("dose"),
    ));
    Some(form)
}

fn option(desk: &Desk, o: &Choice, answer: &dose::Answer) -> DoseOption {
    let days = o.acted.iter().map(|(day, b)| ActedDay {
        day: *day,
        share: b.median,
        low: b.low,
        high: b.high,
    });
    let planned = answer.plan.as_ref().map(|p| p.material.as_str());
    let mut caution = o.cautions.clone();
    if o.enough == Some(false) {
        caution.insert(0, "there is not enough in the shed for all of it".into());
    }
    DoseOption {
        key: o.material.clone(),
        name: o.name.clone(),
        amount: format!("{} in all", report::grams_band(&o.grams, units(desk))),
        measure: format!(
            "All: {}. First step: {}; {}.",
            o.measure,
            o.step_measure,
            o.step_limit.text()
        ),
        acted: acted_share(&ActedShare {
            id: format!("acted-{}", o.material),
            material: o.name.clone(),
            days: days.collect(),
        }),
        salt: salt(o.ec_rise.high),
        ammonia: ammonia(&o.ammonia_factor),
        caution: readable(&caution.join("; ")),
        chosen: planned == Some(o.material.as_str()),
    }
}

/// Rise of salt at most [mS/cm], in words.
pub(super) fn salt(most: f64) -> String {
    if most < 0.02 {
        return "hardly any more".into();
    }
    format!(
        "up to {} mS/cm more in the bed's water at the first step",
        report::significant(most, 1)
    )
}

/// Free ammonia against now, in words.
pub(super) fn ammonia(factor: &engine::quantity::Band) -> String {
    if factor.high < 1.15 {
        return "no more of it turns to gas than now".into();
    }
    format!(
        "if there is any, {} times as much of it turns to gas (up to {})",
        report::significant(factor.median, 2),
        report::significant(factor.high, 2)
    )
}

fn refusal(desk: &Desk, r: &dose::Refused) -> Refusal {
    Refusal {
        name: words::material(desk, &r.material),
        why: r.reason.clone(),
    }
}

fn also(desk: &Desk, made: &Planned) -> Vec<String> {
    let mut list = made.answer.also.clone();
    if is_blind(&made.answer) {
        list.insert(0, how_to_read(desk, &made.state));
    }
    list
}

/// How to take the reading that is missing, with the instrument used last.
fn how_to_read(desk: &Desk, state: &BinState) -> String {
    let last = state.log.iter().rev().find_map(|e| match &e.body {
        Body::Reading(r) => desk.tables.instrument(&r.instrument).ok(),
        _ => None,
    });
    let how = last.map_or_else(
        || {
            "With a pen or strips: one part bedding to five of rain or distilled water by volume, stir, wait half an hour, read."
                .to_owned()
        },
        |i| format!("{}: {}", i.name, i.how),
    );
    format!(
        "How to read it: three spots or more, a hand deep, away from food, a day or more after any dose or watering. {how}"
    )
}

fn offers(answer: &dose::Answer) -> Vec<(String, String, String)> {
    if !answer.options.is_empty() {
        return Vec::new();
    }
    let list: &[(&str, &str, &str)] = match answer.direction {
        Direction::Stay => &[],
        Direction::Lower => &SOUR_OFFERS,
        Direction::Raise => &OFFERS,
    };
    let own = |(a, b, c): &(&str, &str, &str)| ((*a).into(), (*b).into(), (*c).into());
    list.iter().map(own).collect()
}

fn sources(desk: &Desk, answer: &dose::Answer) -> Vec<String> {
    let own = desk.own().unwrap_or_default();
    let mut lines: Vec<String> = answer
        .options
        .iter()
        .filter_map(|o| {
            let mut values = own.get(&o.material).cloned().unwrap_or_default();
            values.remove("particle_mm");
            let material = desk.tables.material(&o.material).ok()?;
            let number = material
                .with_own(&values)
                .ok()?
                .number(Property::NeutralisingPercent)?;
            cited(desk, &format!("{}: neutralising value", o.name), &number)
        })
        .collect();
    lines.extend(worm_limits(desk));
    lines.push(
        "Largest step with worms in the bed, half a pH unit and 0.5 mS/cm of salt: judgement; no trial of it was found."
            .into(),
    );
    lines
}
