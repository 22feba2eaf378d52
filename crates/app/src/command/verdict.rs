//! A judgement of bedding, for people and for programs.

use crate::report::{self, Units};
use engine::bed::judge::{Judgement, Reason, Topic, Verdict};
use engine::bed::soak::LimeNeed;
use engine::measure::{System, describe_grams};
use engine::table::Tables;
use serde_json::{Value, json};
use std::fmt::Write;

/// What to do after a good verdict.
const GATE: &str = "Before all the worms go in, try it on a few: half of a tray this bedding, half bedding you trust, ten to twenty worms on the line, a day or two in the dark; then `bedwright tray-test` reads the count.";

/// The topic as a stable key.
fn topic(t: Topic) -> &'static str {
    match t {
        Topic::Acid => "acid",
        Topic::Moisture => "moisture",
        Topic::Salt => "salt",
        Topic::Ammonia => "ammonia",
        Topic::Heat => "heat",
        Topic::Air => "air",
        Topic::Balance => "balance",
        Topic::Material => "material",
    }
}

fn days(d: Option<(f64, f64)>) -> Value {
    d.map_or(
        Value::Null,
        |(soonest, latest)| json!({ "soonest": soonest, "latest": latest }),
    )
}

fn reason(r: &Reason) -> Value {
    json!({
        "topic": topic(r.topic),
        "weight": r.weight,
        "text": r.text,
        "remedy": r.remedy,
        "days": days(r.days),
        "fatal": r.fatal,
    })
}

fn lime(tables: &Tables, n: &LimeNeed) -> Value {
    let said = |grams: f64| {
        tables
            .material(&n.material)
            .ok()
            .and_then(|m| describe_grams(grams, m, tables, System::Metric).ok())
            .map(|h| h.text)
    };
    json!({
        "material": n.material,
        "name": n.name,
        "grams": n.grams,
        "measure": said(n.grams.median),
        "grams_per_10_l_bucket": 10.0 * n.grams_per_litre,
        "measure_per_10_l_bucket": said(10.0 * n.grams_per_litre),
        "target_ph": n.target_ph,
        "wait_days": n.wait_days,
        "ph_after": n.ph_after,
    })
}

/// The judgement for programs; keys as in docs/contract-mix.md.
pub(super) fn json(schema: &str, tables: &Tables, j: &Judgement) -> Value {
    let ready_after = match &j.verdict {
        Verdict::ReadyAfter { what, days: d } => json!({ "what": what, "days": days(Some(*d)) }),
        _ => Value::Null,
    };
    let c = &j.chances;
    json!({
        "schema": schema,
        "ph": j.ph,
        "ph_in_four_weeks": j.ph_in_four_weeks,
        "moisture_percent": j.moisture_percent,
        "cn": j.carbon_nitrogen,
        "air_filled_porosity": j.air_filled_porosity,
        "ec_ms_per_cm": j.ec_ms_per_cm,
        "dry_kg": j.dry_kg,
        "loose_l": j.loose_litres,
        "wetted_l": j.wetted_litres,
        "volume_l": j.settled_litres,
        "ammonia_mg_per_g": j.ammonia_mg_per_g,
        "heating_celsius": j.heating_celsius,
        "water_to_add_l": j.water_to_add_litres,
        "water_over_l": j.water_over_litres,
        "chances": {
            "sour": c.sour, "deadly_sour": c.deadly_sour, "alkaline": c.alkaline,
            "dry": c.dry, "wet": c.wet, "runs": c.runs, "airless": c.airless, "salty": c.salty,
            "ammonia": c.ammonia, "hot": c.hot,
        },
        "lime": j.lime.as_ref().map(|n| lime(tables, n)),
        "verdict": j.verdict.key(),
        "ready_after": ready_after,
        "reasons": j.reasons.iter().map(reason).collect::<Vec<_>>(),
        "gate": (j.verdict == Verdict::Ready).then_some(GATE),
    })
}

/// The judgement for people.
pub(super) fn text(j: &Judgement, units: Units) -> String {
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(out, "{}", headline(&j.verdict));
    if let Verdict::ReadyAfter { what, .. } = &j.verdict {
        for (n, step) in (1..).zip(what) {
            let _ = writeln!(out, "  {n}. {step}");
        }
    }
    let _ = writeln!(out);
    for (name, figure) in figures(j, units) {
        let _ = writeln!(out, "{name:<24}{figure}");
    }
    let _ = writeln!(out, "\nWhy, heaviest first:");
    for r in &j.reasons {
        let _ = writeln!(out, "  - {}", r.text);
    }
    if j.verdict == Verdict::Ready {
        let _ = writeln!(out, "\n{GATE}");
    }
    out
}

fn headline(v: &Verdict) -> String {
    match v {
        Verdict::Ready => "Ready for worms.".to_owned(),
        Verdict::ReadyAfter { days: (_, b), .. } if *b <= 0.0 => {
            "Ready for worms after this:".to_owned()
        }
        Verdict::ReadyAfter { days: (a, b), .. } => {
            let (a, b) = (report::decimals(*a, 0), report::decimals(*b, 0));
            if a == b {
                format!("Not ready yet. Ready after this, in about {a} days:")
            } else {
                format!("Not ready yet. Ready after this, in {a} to {b} days:")
            }
        }
        Verdict::NotForWorms => "Not for worms.".to_owned(),
    }
}

fn figures(j: &Judgement, units: Units) -> [(&'static str, String); 13] {
    let air = engine::quantity::Band {
        median: 100.0 * j.air_filled_porosity.median,
        low: 100.0 * j.air_filled_porosity.low,
        high: 100.0 * j.air_filled_porosity.high,
    };
    let kg = |b: &engine::quantity::Band| engine::quantity::Band {
        median: 1000.0 * b.median,
        low: 1000.0 * b.low,
        high: 1000.0 * b.high,
    };
    let warming = report::celsius_band(&j.heating_celsius, Units::Metric);
    [
        ("pH", report::ph_band(&j.ph)),
        ("pH in four weeks", report::ph_band(&j.ph_in_four_weeks)),
        ("moisture", report::percent_band(&j.moisture_percent)),
        ("carbon to nitrogen", report::band(&j.carbon_nitrogen, "")),
        ("air-filled", report::percent_band(&air)),
        ("salt (EC)", report::band(&j.ec_ms_per_cm, "mS/cm")),
        (
            "ammonia in ten days",
            report::band(&j.ammonia_mg_per_g, "mg/g"),
        ),
        ("warming above the room", warming),
        ("water to add", water(j, units)),
        ("dry mass", report::grams_band(&kg(&j.dry_kg), units)),
        (
            "volume, as it comes",
            report::litres_band(&j.loose_litres, units),
        ),
        (
            "volume, moist",
            report::litres_band(&j.wetted_litres, units),
        ),
        (
            "volume, settled",
            report::litres_band(&j.settled_litres, units),
        ),
    ]
}

/// Water to add; where there is as likely as not none to add, how much wetter
/// it is than wanted.
fn water(j: &Judgement, units: Units) -> String {
    let (add, over) = (&j.water_to_add_litres, &j.water_over_litres);
    if add.median > 0.0 {
        return report::litres_band(add, units);
    }
    format!(
        "none: it holds {} more than wanted",
        report::litres_band(over, units)
    )
}
