//! Judging a bedding.

use super::around::{materials, sentence, shell, units};
use super::cite::{cited, scaled, worm_limits};
use super::parse::{self, Faults, ROWS, parts};
use super::words;
use crate::desk::Desk;
use crate::desk::ph_scale::PhScale;
use crate::report;
use crate::web::widgets::{
    Drift, Field, Figure, Kind, Reasons, Sources, Verdict as Banner, Weight,
};
use crate::web::{Answer, Fields, JudgePage, JudgeResult, Nav, PartRow};
use engine::bed::judge::{Judgement, Reason, Topic, Verdict};
use engine::bounds;
use engine::log::Part;
use engine::quantity::Band;
use engine::table::Property;

/// Rows shown open at first.
const OPEN_ROWS: usize = 2;
/// A reason this heavy decides; one this heavy counts.
const DECIDES: f64 = 0.5;
const COUNTS: f64 = 0.1;

pub(super) fn judge(desk: &Desk, fields: &Fields) -> Answer<JudgePage> {
    let asked = (1..=ROWS)
        .any(|n| fields.has(&format!("material{n}")) || fields.has(&format!("amount{n}")));
    let mut faults = Faults::new();
    let mut result = None;
    let mut error = String::new();
    if asked {
        match parts(desk, fields, ROWS) {
            Ok(list) => match desk.judge(&list, None) {
                Ok(j) => result = Some(answer(desk, &j, &list, fields)),
                Err(e) => error = sentence(&e),
            },
            Err(found) => faults = found,
        }
    } else if fields.0.iter().any(|(n, _)| n == "material1") {
        error = "Name at least one material and how much of it.".into();
    }
    if !faults.is_empty() {
        error = "One of the parts could not be read; see below.".into();
    }
    Ok(JudgePage {
        shell: shell(desk, "Judge a bedding", Nav::Judge),
        rows: (1..=ROWS).map(|n| row(desk, n, fields, &faults)).collect(),
        materials: materials(desk),
        error,
        result,
    })
}

fn row(desk: &Desk, number: usize, fields: &Fields, faults: &Faults) -> PartRow {
    let filled = |field: Field| {
        let mut field = field;
        fields.get(&field.name).clone_into(&mut field.value);
        if field.name.starts_with("material")
            && let Ok(found) = parse::material(desk, &field.value)
        {
            found.name.clone_into(&mut field.value);
        }
        let fault = faults.iter().find(|(n, _)| *n == field.name);
        field.error = fault.map_or(String::new(), |(_, m)| m.clone());
        field.scope = "judge".into();
        field
    };
    let name = |field: &str| format!("{field}{number}");
    let example = ["sphagnum peat, unlimed", "corrugated cardboard", "coir"]
        .get(number - 1)
        .copied()
        .unwrap_or("any bedding or feed");
    let main = vec![
        filled(
            Field::new(
                Kind::Suggest("materials".into()),
                &name("material"),
                "Material",
            )
            .hint(&format!("Such as {example}"))
            .unmarked(),
        ),
        filled(
            Field::new(Kind::Text, &name("amount"), "How much")
                .hint("20 L, 3 buckets, 500 g")
                .unmarked(),
        ),
    ];
    let labels = [
        ("as_named", "As the name says"),
        ("lime_adjusted", "Lime added (“pH adjusted”)"),
        ("not_limed", "No lime added"),
        ("does_not_say", "Does not say, or lost"),
    ];
    let labels = labels.map(|(v, w)| (v.to_owned(), w.to_owned())).to_vec();
    let more = vec![
        filled(Field::bounded(
            &name("ph"),
            "Its own pH",
            &bounds::BEDDING_PH,
        )),
        filled(Field::bounded(
            &name("moisture"),
            "Its own moisture",
            &bounds::MOISTURE_PERCENT,
        )),
        filled(Field::new(
            Kind::Select(labels),
            &name("label"),
            "For peat: the label says",
        )),
    ];
    let typed = main
        .iter()
        .chain(&more)
        .any(|f| !f.error.is_empty() || (!f.value.is_empty() && f.value != "as_named"));
    PartRow {
        number,
        main,
        more,
        open: typed || number <= OPEN_ROWS,
    }
}

fn answer(desk: &Desk, j: &Judgement, parts: &[Part], fields: &Fields) -> JudgeResult {
    let may = j.verdict != Verdict::NotForWorms;
    let address = may.then(|| super::new_bin::address(fields)).flatten();
    JudgeResult {
        verdict: banner(j),
        reasons: Reasons {
            list: j.reasons.iter().map(reason).collect(),
        },
        before_worms: before(j),
        bin_address: address.unwrap_or_default(),
        figures: figures(desk, j),
        makes: format!(
            "{} once in the bin and {} once settled, {} of dry matter",
            report::litres_band(&j.wetted_litres, units(desk)),
            report::litres_band(&j.settled_litres, units(desk)),
            report::grams_band(&scaled(&j.dry_kg, 1000.0), units(desk))
        ),
        sources: Sources {
            lines: sources(desk, parts),
        },
    }
}

fn banner(j: &Judgement) -> Banner {
    let (drift, word, line) = match &j.verdict {
        Verdict::Ready => (
            Drift::Good,
            "Ready".to_owned(),
            "Nothing stands against it. Try it with a few worms first; then stock.".to_owned(),
        ),
        Verdict::ReadyAfter { what, days } => (
            Drift::Wait,
            format!(
                "Ready after {}",
                report::count(what.len(), "thing", "things")
            ),
            format!("As it is: {}. {}", troubles(j).join(", "), wait(*days)),
        ),
        Verdict::NotForWorms => (
            Drift::Stop,
            "Not for worms".to_owned(),
            j.reasons
                .iter()
                .find(|r| r.fatal)
                .map_or(String::new(), |r| r.text.clone()),
        ),
    };
    Banner {
        drift,
        word,
        line: line.trim().to_owned(),
    }
}

/// What has to be put right, heaviest first.
fn troubles(j: &Judgement) -> Vec<&'static str> {
    let mut list = Vec::new();
    for r in j.reasons.iter().filter(|r| r.remedy.is_some()) {
        let word = match r.topic {
            Topic::Acid if j.ph.median < 6.5 => "too acid",
            Topic::Acid => "too alkaline",
            Topic::Moisture if j.chances.dry >= j.chances.wet.max(j.chances.runs) => "too dry",
            Topic::Moisture => "too wet",
            Topic::Salt => "too salty",
            Topic::Ammonia => "too much ammonia to come",
            Topic::Heat => "may heat",
            Topic::Air => "too little air",
            Topic::Balance => "too much food for the bedding",
            Topic::Material => "a part that needs care",
        };
        if !list.contains(&word) {
            list.push(word);
        }
    }
    list
}

fn wait((soonest, latest): (f64, f64)) -> String {
    if latest < 0.5 {
        return "Then worms may go in, after the tray test.".into();
    }
    if (latest - soonest).abs() < 0.5 {
        return format!("Allow about {latest:.0} days, then the tray test.");
    }
    format!("Allow {soonest:.0} to {latest:.0} days, then the tray test.")
}

fn reason(r: &Reason) -> (Weight, String) {
    let weight = if r.fatal || r.weight >= DECIDES {
        Weight::Decides
    } else if r.weight >= COUNTS || r.remedy.is_some() {
        Weight::Counts
    } else {
        Weight::Note
    };
    (weight, r.text.clone())
}

fn before(j: &Judgement) -> Vec<String> {
    let mut list = match &j.verdict {
        Verdict::NotForWorms => return Vec::new(),
        Verdict::Ready => Vec::new(),
        Verdict::ReadyAfter { what, .. } => what.clone(),
    };
    list.push(
        "Put a few worms to the half-and-half tray test for a day or two. If they stay, stock it."
            .into(),
    );
    list
}

fn figures(desk: &Desk, j: &Judgement) -> Vec<Figure> {
    let air = scaled(&j.air_filled_porosity, 100.0);
    let best = PhScale::of(desk.tables).map_or_else(
        |_| String::new(),
        |s| {
            let (low, high) = (report::ph(s.best.0), report::ph(s.best.1));
            format!("worms do best from {low} to {high}")
        },
    );
    let top = |b: &Band, least: f64| (b.high * 1.15).max(least);
    let warm = match units(desk) {
        report::Units::Metric => report::band(&j.heating_celsius, "°C"),
        report::Units::Us => report::band(&scaled(&j.heating_celsius, 1.8), "°F"),
    };
    vec![
        Figure::new(
            "pH in the first days",
            report::ph_band(&j.ph),
            &j.ph,
            (3.0, 10.0),
            &best,
        ),
        Figure::new(
            "pH in four weeks",
            report::ph_band(&j.ph_in_four_weeks),
            &j.ph_in_four_weeks,
            (3.0, 10.0),
            "when lime and chalk in the parts have acted",
        ),
        Figure::new(
            "Moisture",
            report::percent_band(&j.moisture_percent),
            &j.moisture_percent,
            (0.0, 100.0),
            &water_note(desk, j),
        ),
        Figure::new(
            "Carbon to nitrogen",
            report::band(&j.carbon_nitrogen, ""),
            &j.carbon_nitrogen,
            (0.0, top(&j.carbon_nitrogen, 60.0)),
            "by mass; high is slow food, not harm",
        ),
        Figure::new(
            "Air",
            report::percent_band(&air),
            &air,
            (0.0, 100.0),
            "share of the volume",
        ),
        Figure::new(
            "Salt",
            report::band(&j.ec_ms_per_cm, "mS/cm"),
            &j.ec_ms_per_cm,
            (0.0, top(&j.ec_ms_per_cm, 6.0)),
            &chance("too salty", j.chances.salty),
        ),
        Figure::new(
            "Ammonia",
            report::band(&j.ammonia_mg_per_g, "mg N/g dry"),
            &j.ammonia_mg_per_g,
            (0.0, top(&j.ammonia_mg_per_g, 1.0)),
            &format!(
                "set free in ten days; {}",
                chance("too much", j.chances.ammonia)
            ),
        ),
        Figure::new(
            "Heating",
            warm,
            &j.heating_celsius,
            (0.0, top(&j.heating_celsius, 20.0)),
            &format!(
                "above the room, in the middle of a 20 cm bed; {}",
                chance("too hot", j.chances.hot)
            ),
        ),
    ]
}

fn water_note(desk: &Desk, j: &Judgement) -> String {
    let (add, over) = (j.water_to_add_litres, j.water_over_litres);
    if add.low > 0.0 {
        return format!(
            "add about {} of water",
            report::litres(add.median, units(desk))
        );
    }
    if over.median > 0.0 {
        return format!(
            "no water to add: it holds {} more than wanted",
            report::litres_band(&over, units(desk))
        );
    }
    "about right when a hard squeeze gives a drop or two".into()
}

fn chance(what: &str, share: f64) -> String {
    let tens = (share * 10.0).round();
    match tens {
        t if t < 1.0 => format!("{what}: unlikely"),
        t if t >= 10.0 => format!("{what}: nearly certain"),
        t => format!("{what}: {t:.0} in 10"),
    }
}

fn sources(desk: &Desk, parts: &[Part]) -> Vec<String> {
    let own = desk.own().unwrap_or_default();
    let mut lines = Vec::new();
    for part in parts {
        let Ok(material) = desk.tables.material(&part.material) else {
            continue;
        };
        let mut values = own.get(&part.material).cloned().unwrap_or_default();
        values.remove("particle_mm");
        let Ok(material) = material.with_own(&values) else {
            continue;
        };
        let name = words::material(desk, &part.material);
        for (property, what) in [
            (Property::Ph, "pH"),
            (Property::MoisturePercent, "moisture"),
            (Property::BulkDensityKgM3, "weight of a litre"),
        ] {
            let number = material.number(property);
            let line = number.and_then(|n| cited(desk, &format!("{name}: {what}"), &n));
            lines.extend(line);
        }
    }
    lines.extend(worm_limits(desk));
    lines.dedup();
    lines
}
