//! The keeper's own values of a material.

use super::page::{item, page};
use crate::counter::around::{refused, sentence};
use crate::counter::bin::{Asked, question};
use crate::counter::once::{self, Tried};
use crate::counter::parse::{self, Check};
use crate::desk::{Desk, DeskError};
use crate::web::widgets::{Chips, Control, Field, Form, Kind};
use crate::web::{Answer, Fields, MaterialPage, Outcome, PageError};
use engine::bed::fill::FillError;
use engine::bounds::{
    BEDDING_PH, Bound, GRAMS_PER_CUP, MOISTURE_PERCENT, NEUTRALISING_PERCENT, PARTICLE_MM,
};
use engine::log::{Body, ShedItem};
use engine::measure::Amount;
use engine::table::{Material, Property, Role, TableError};
use std::collections::BTreeMap;

/// Values a keeper can measure or read on a label: name, label, range, hint.
const VALUES: [(&str, &str, Bound, &str); 5] = [
    (
        "ph",
        "Its own pH",
        BEDDING_PH,
        "Measured in a slurry, 2 to 13",
    ),
    (
        "moisture_percent",
        "Its own moisture",
        MOISTURE_PERCENT,
        "Share of its weight that is water, 0 to 97",
    ),
    (
        "grams_per_cup",
        "Weight of a level US cup (237 mL)",
        GRAMS_PER_CUP,
        "Weighed, 1 to 600",
    ),
    (
        "neutralising_percent",
        "Neutralising value on the label",
        NEUTRALISING_PERCENT,
        "Calcium carbonate equivalent (CCE), 0 to 260",
    ),
    (
        "particle_mm",
        "Particle size",
        PARTICLE_MM,
        "If all of one size, 0.0001 to 20",
    ),
];

/// Whether a value is worth asking for of a material.
fn asked(desk: &Desk, m: &Material, name: &str) -> bool {
    let product = desk.tables.product(&m.key).ok();
    match name {
        "neutralising_percent" => {
            product.is_some()
                && m.value(Property::NeutralisingPercent)
                    .is_some_and(|v| v >= 0.0)
        }
        "particle_mm" => product.is_some_and(|p| p.action == "ground" && p.shape == "grain"),
        "ph" => m.role != Role::Amendment,
        _ => true,
    }
}

/// The form, holding what was said last.
pub(super) fn form(desk: &Desk, m: &Material, item: Option<&ShedItem>) -> Form {
    // Who opens the page of a material to write something down mostly has it.
    let have = item.is_none_or(|i| i.have);
    let mut controls = vec![
        Control::Chips(Chips::new(
            "have",
            "In the shed",
            false,
            &[("yes", "I have it"), ("no", "None")],
            if have { "yes" } else { "no" },
        )),
        Control::Field(
            Field::new(Kind::Text, "available", "How much")
                .hint("2 kg, 1 L; empty for plenty")
                .value(
                    &item
                        .and_then(|i| i.available)
                        .map_or_else(String::new, |a| a.to_string()),
                ),
        ),
        Control::Field(
            Field::new(Kind::Text, "called", "What you call it")
                .value(item.map_or("", |i| i.called.as_str())),
        ),
    ];
    for (name, label, bound, hint) in VALUES {
        if !asked(desk, m, name) {
            continue;
        }
        let unit = match bound.unit {
            "pH" => "",
            "% of wet mass" | "% of pure CaCO3" => "%",
            unit => unit,
        };
        let value = item
            .and_then(|i| i.own.get(name))
            .map_or_else(String::new, f64::to_string);
        controls.push(Control::Field(
            Field::new(Kind::Number, name, label)
                .unit(unit)
                .hint(hint)
                .value(&value),
        ));
    }
    Form::new(
        "own",
        "Your own",
        &format!("/shed/{}", m.key),
        "Write it down",
        controls,
    )
}

pub(in crate::counter) fn own_values(
    desk: &Desk,
    key: &str,
    fields: &Fields,
) -> Answer<Outcome<MaterialPage>> {
    let Ok(material) = desk.tables.material(key) else {
        return Err(PageError::not_found("material of that name in the tables")
            .or("/shed", "Back to the shed"));
    };
    let before = item(desk, key);
    let quick = fields.has("quick");
    let mut check = Check::default();
    let said = if quick {
        parse::only_these(fields, &["quick"], false, &mut check);
        check.faults.is_empty().then(|| have_it(key, before))
    } else {
        read(desk, material, before, fields, &mut check)
    };
    let back = format!("/shed/{key}");
    if let Some(body) = said.map(Body::Shed) {
        let (at, given) = (desk.clock.unix_seconds(), once::given(fields));
        let tried = Tried {
            bin: None,
            body: &body,
            at: None,
            back: &back,
        };
        let form = || page(desk, key).map(|page| page.form);
        let twice = |e: &DeskError| once::already(desk, e, &tried, form, fields);
        match desk.write_given(None, at, body.clone(), &given) {
            Ok(_) => return Ok(Outcome::Go(next(key, fields))),
            Err(e) if let Some(led) = twice(&e) => return led,
            Err(e) if let Some(asked) = Asked::by(&e) => {
                return question(desk, asked, form()?, fields, back.clone());
            }
            Err(e) if !e.is_input() => return Err(refused(e)),
            Err(e) => check.faults.push(fault(&e)),
        }
    }
    let mut again = page(desk, key)?;
    again.form.refill(fields, &check.faults);
    Ok(Outcome::Show(Box::new(again)))
}

/// Where to go when written down: back to the plan that asked, or here.
fn next(key: &str, fields: &Fields) -> String {
    match fields.get("quick").parse::<i64>() {
        Ok(bin) => format!("/bins/{bin}/dose"),
        Err(_) => format!("/shed/{key}?said=saved"),
    }
}

fn have_it(key: &str, before: Option<ShedItem>) -> ShedItem {
    let mut item = before.unwrap_or_else(|| ShedItem {
        material: key.to_owned(),
        called: String::new(),
        available: None,
        have: true,
        own: BTreeMap::new(),
    });
    item.have = true;
    item
}

fn read(
    desk: &Desk,
    m: &Material,
    before: Option<ShedItem>,
    fields: &Fields,
    check: &mut Check,
) -> Option<ShedItem> {
    let own_fields = VALUES.iter().map(|(name, ..)| *name);
    let own_fields = own_fields.filter(|name| asked(desk, m, name));
    let known: Vec<&str> = ["have", "available", "called"]
        .into_iter()
        .chain(own_fields)
        .collect();
    parse::only_these(fields, &known, false, check);
    let available = if fields.has("available") {
        let read = parse::amount(fields, "available");
        check.take("available", read).map(Some)
    } else {
        Some(None)
    };
    // Values set elsewhere that this form does not ask for are kept.
    let mut own = before.map(|i| i.own).unwrap_or_default();
    for (name, _, bound, _) in VALUES {
        if !asked(desk, m, name) {
            continue;
        }
        own.remove(name);
        let value = check
            .take(name, parse::bounded(fields, name, &bound))
            .flatten();
        if let Some(value) = value {
            own.insert(name.to_owned(), value);
        }
    }
    let available: Option<Option<Amount>> = available;
    let have = check.take("have", parse::yes_or_no(fields, "have", false));
    if !check.faults.is_empty() {
        return None;
    }
    Some(ShedItem {
        material: m.key.clone(),
        called: fields.get("called").to_owned(),
        available: available?,
        have: have?,
        own,
    })
}

/// Which field an error is about.
fn fault(error: &DeskError) -> (String, String) {
    let field = match error {
        DeskError::Amount(_) | DeskError::Fill(FillError::Amount { .. }) => "available",
        DeskError::Table(TableError::Own { property, .. }) => property,
        _ => "",
    };
    (field.to_owned(), sentence(error))
}
