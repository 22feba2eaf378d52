//! The answer about a dose, for people and for programs.

use crate::command::figures::path;
use crate::desk::plans::proves_wrong;
use crate::report::{self, Units};
use engine::dose::option::{Choice, StepLimit};
use engine::dose::plan::{Plan, Step};
use engine::dose::{Answer, Direction, Refused};
use engine::estimate::{Estimate, Heard};
use engine::quantity::Band;
use engine::reading::settling::Settling;
use engine::table::Tables;
use serde_json::{Value, json};
use std::fmt::Write;

/// Days of an option's path that are shown; the plan's path is whole.
const DAYS: [f64; 12] = [
    0.0, 1.0, 2.0, 3.0, 7.0, 14.0, 21.0, 28.0, 35.0, 42.0, 49.0, 56.0,
];

fn direction(d: Direction) -> &'static str {
    match d {
        Direction::Raise => "raise",
        Direction::Lower => "lower",
        Direction::Stay => "stay",
    }
}

fn limit(l: StepLimit) -> &'static str {
    match l {
        StepLimit::WholeNeed => "whole_need",
        StepLimit::PhStep => "ph_step",
        StepLimit::Ceiling => "ceiling",
        StepLimit::Salt => "salt",
        StepLimit::Available => "available",
        StepLimit::Slaking => "slaking",
    }
}

/// The answer for programs; keys as in docs/contract-dose.md.
pub(in crate::command) fn json(schema: &str, tables: &Tables, e: &Estimate, a: &Answer) -> Value {
    json!({
        "schema": schema,
        "ph": e.ph,
        "ph_to_come": e.ph_to_come,
        "buffer_meq_per_ph": e.buffer_meq_per_ph,
        "stocked": e.stocked,
        "direction": direction(a.direction),
        "why": a.why,
        "target_ph": a.target_ph,
        "needed_base_meq": a.needed_base_meq,
        "options": a.options.iter().map(option).collect::<Vec<_>>(),
        "plan": a.plan.as_ref().map(plan),
        "waiting_days": a.waiting_days,
        "refused": a.refused.iter().map(refused).collect::<Vec<_>>(),
        "running_total": {
            "doses": a.running.doses,
            "given_meq": a.running.given_meq,
            "pending_meq": a.running.pending_meq,
            "ph_to_come": a.running.ph_to_come,
        },
        "readings": readings(tables, e),
        "also": a.also,
        "look_again_days": a.look_again_days,
    })
}

fn option(c: &Choice) -> Value {
    let shown: Vec<(f64, Band)> = c
        .path
        .iter()
        .filter(|(day, _)| DAYS.contains(day))
        .copied()
        .collect();
    json!({
        "material": c.material,
        "name": c.name,
        "grams": c.grams,
        "measure": c.measure,
        "step_grams": c.step_grams,
        "step_measure": c.step_measure,
        "step_limit": limit(c.step_limit),
        "acted": path("share", &c.acted),
        "path": path("ph", &shown),
        "ec_rise_ms_per_cm": c.ec_rise,
        "ammonia_factor": c.ammonia_factor,
        "cautions": c.cautions,
        "enough": c.enough,
    })
}

fn plan(p: &Plan) -> Value {
    json!({
        "material": p.material,
        "name": p.name,
        "total_grams": p.total_grams,
        "steps": p.steps.iter().map(step).collect::<Vec<_>>(),
        "goes_on": p.goes_on,
        "proves_wrong": p.proves_wrong,
        "cautions": p.cautions,
        "path": path("ph", &p.path),
        "path_without": path("ph", &p.path_without),
    })
}

fn step(s: &Step) -> Value {
    json!({
        "day": s.day,
        "grams": s.grams,
        "measure": s.measure,
        "how": s.how,
        "limit": limit(s.limit),
        "ph_after": s.ph_after,
        "reread_day": s.reread_day,
        "if_lower": s.if_lower,
        "as_expected": s.as_expected,
        "if_higher": s.if_higher,
    })
}

fn refused(r: &Refused) -> Value {
    json!({ "material": r.material, "name": r.name, "reason": r.reason })
}

/// Readings as understood, oldest first.
pub(in crate::command) fn readings(_tables: &Tables, e: &Estimate) -> Vec<Value> {
    e.heard.iter().map(heard).collect()
}

fn heard(h: &Heard) -> Value {
    let (local, reread) = match h.settling {
        Settling::Settled => (None, None),
        Settling::LocalAfterDose {
            reread_in_hours, ..
        } => (Some("dose"), Some(reread_in_hours)),
        Settling::LocalAfterWater {
            reread_in_hours, ..
        } => (Some("water"), Some(reread_in_hours)),
    };
    json!({
        "entry": h.entry.0,
        "ph": h.mean,
        "half_width": h.half_width,
        "spots": h.spots,
        "settled": !h.settling.is_local(),
        "local_after": local,
        "reread_in_hours": reread,
        "bed_ph": h.bed,
        "surprised": h.contradicted,
        "spread_before": h.taught.0,
        "spread_after": h.taught.1,
    })
}

/// The answer for people.
/// As text; `day` names a day so many days from now: `day 7`, `Tue 1 Dec`.
pub(in crate::command) fn text(
    _tables: &Tables,
    e: &Estimate,
    a: &Answer,
    day: &dyn Fn(f64) -> String,
) -> String {
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(out, "{}", a.why);
    let _ = writeln!(out, "\npH of the bed now       {}", report::ph_band(&e.ph));
    let _ = writeln!(
        out,
        "when all has acted      {}",
        report::ph_band(&e.ph_to_come)
    );
    if a.direction != Direction::Stay {
        let _ = writeln!(
            out,
            "base to reach pH {}    {} (1 meq is what 0.05 g of pure lime neutralises)",
            report::ph(a.target_ph),
            report::band(&a.needed_base_meq, "meq")
        );
    }
    if a.running.doses > 0 {
        let _ = writeln!(
            out,
            "given so far            {}, {} meq in all; {} still to act",
            report::count(a.running.doses, "dose", "doses"),
            report::significant(a.running.given_meq, 2),
            report::band(&a.running.pending_meq, "meq")
        );
    }
    if let Some(h) = e.heard.last().filter(|h| h.settling.is_local()) {
        let _ = writeln!(
            out,
            "\nThe reading of {} was taken within a day of a dose or watering: it shows the place, not the bed, which is probably at {}. Read again before believing it.",
            report::ph(h.mean),
            report::ph_band(&h.bed)
        );
    }
    if let Some(p) = &a.plan {
        plan_text(&mut out, p, day);
    }
    options_text(&mut out, &a.options);
    if !a.refused.is_empty() {
        let _ = writeln!(out, "\nNot to be used here:");
        for r in &a.refused {
            let _ = writeln!(out, "  - {}: {}", r.name, r.reason);
        }
    }
    for line in &a.also {
        let _ = writeln!(out, "\n{line}");
    }
    let _ = writeln!(out, "\n{}", report::look_again(a.look_again_days));
    out
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

fn plan_text(out: &mut String, p: &Plan, day: &dyn Fn(f64) -> String) {
    let _ = writeln!(
        out,
        "\nThe plan, with {}:",
        engine::table::inside_a_sentence(&p.name)
    );
    for (n, s) in (1..).zip(&p.steps) {
        let _ = writeln!(
            out,
            "  {n}. {}: {}; {}.",
            capital(&day(s.day)),
            s.measure,
            s.limit.text()
        );
        if n == 1 {
            let _ = writeln!(out, "     {}", s.how);
        }
        let _ = writeln!(
            out,
            "     Read again on {}; expect {}.",
            day(s.reread_day),
            report::ph_band(&s.ph_after)
        );
        if n == 1 {
            for line in [&s.if_lower, &s.as_expected, &s.if_higher] {
                let _ = writeln!(out, "     {line}");
            }
        }
    }
    if p.goes_on {
        let _ = writeln!(out, "  More will be needed after that; ask again then.");
    }
    for caution in &p.cautions {
        let _ = writeln!(out, "  Mind: {caution}.");
    }
    let _ = writeln!(out, "  What would prove it wrong: {}", proves_wrong(p, day));
}

fn options_text(out: &mut String, options: &[Choice]) {
    if options.is_empty() {
        return;
    }
    let _ = writeln!(out, "\nWhat is in the shed would take, all steps together:");
    for c in options {
        let by = |day: f64| {
            c.acted
                .iter()
                .find(|(d, _)| *d == day)
                .map_or_else(String::new, |(_, b)| report::percent(100.0 * b.median))
        };
        let short = match c.enough {
            Some(false) => "; there is not enough",
            _ => "",
        };
        let _ = writeln!(
            out,
            "  - {}: {} ({}); {} has acted in a week, {} in four{short}",
            c.name,
            report::grams_band(&c.grams, Units::Metric),
            c.measure,
            by(7.0),
            by(28.0)
        );
    }
}
