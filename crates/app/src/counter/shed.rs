//! The shed and the tables.

mod own;
mod page;

pub(super) use own::own_values;
pub(super) use page::material;

use super::around::{refused, shell};
use crate::desk::Desk;
use crate::report;
use crate::web::{Answer, Fields, MaterialLine, Nav, ShedPage};
use engine::log::ShedItem;
use engine::table::{Material, Property, Role};

/// What is shown when nothing is searched for: what dose plans use.
const FIRST: &str = "amendment";

pub(super) fn shed(desk: &Desk, fields: &Fields) -> Answer<ShedPage> {
    let items = desk.shed().map_err(refused)?;
    let q: String = fields.get("q").chars().take(100).collect();
    let role = match fields.get("role") {
        "" if q.is_empty() => FIRST,
        "" => "all",
        role => role,
    };
    let role_words = [
        ("all", "All"),
        ("amendment", "Lime, ash, grit"),
        ("bedding", "Bedding"),
        ("feed", "Feed"),
        ("potting", "Potting"),
    ];
    let fits = |m: &&Material| role == "all" || m.role.name() == role;
    let found = desk.tables.search(&q);
    let mine = items.iter().filter(|i| i.have).filter_map(|i| {
        let m = desk.tables.material(&i.material).ok()?;
        Some(line(m, Some(i)))
    });
    Ok(ShedPage {
        shell: shell(desk, "Shed", Nav::Shed),
        roles: role_words
            .map(|(v, w)| (v.to_owned(), w.to_owned(), v == role))
            .to_vec(),
        mine: mine.collect(),
        found: found
            .into_iter()
            .filter(fits)
            .map(|m| line(m, items.iter().find(|i| i.material == m.key && i.have)))
            .collect(),
        total: desk.tables.materials().count(),
        unfed: desk.tables.unfed(&q).map_or_else(String::new, |u| u.text()),
        q,
    })
}

/// Role in a keeper's word.
fn role_word(role: Role) -> &'static str {
    match role {
        Role::Bedding => "bedding",
        Role::Feed => "feed",
        Role::Amendment => "amendment",
        Role::Potting => "potting",
    }
}

fn line(material: &Material, item: Option<&ShedItem>) -> MaterialLine {
    let own = item.map(|i| &i.own);
    let mut values = own.cloned().unwrap_or_default();
    values.remove("particle_mm");
    let shown = material
        .with_own(&values)
        .unwrap_or_else(|_| material.clone());
    let called = item.map_or("", |i| i.called.as_str());
    MaterialLine {
        key: material.key.clone(),
        name: if called.is_empty() {
            material.name.clone()
        } else {
            format!("{called}: {}", super::words::lower(&material.name))
        },
        role: role_word(material.role).to_owned(),
        line: key_figure(&shown),
        have: item.map_or_else(String::new, |i| {
            i.available
                .map_or_else(|| "on hand".to_owned(), |a| a.to_string())
        }),
    }
}

/// The figure that matters most.
fn key_figure(m: &Material) -> String {
    let range = |p: Property, words: &str, unit: &str| {
        let (low, value, high) = m.triple(p)?;
        let n = |v: f64| report::significant(v, 2);
        (value.abs() > 1e-9 || p == Property::Ph)
            .then(|| format!("{words} {}{unit} ({} to {})", n(value), n(low), n(high)))
    };
    let order: &[(Property, &str, &str)] = match m.role {
        Role::Amendment => &[
            (Property::NeutralisingPercent, "neutralising value", " %"),
            (Property::Ph, "pH", ""),
        ],
        Role::Feed => &[(Property::CarbonNitrogenRatio, "carbon to nitrogen", "")],
        _ => &[
            (Property::Ph, "pH", ""),
            (Property::MoisturePercent, "moisture", " %"),
        ],
    };
    let found = order.iter().find_map(|(p, w, u)| range(*p, w, u));
    found.unwrap_or_default()
}
