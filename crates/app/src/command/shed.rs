//! `bedwright shed`, `shed add`, `shed remove` and `settings`.

use super::entry::asked;
use super::parts;
use super::session::{Fault, Reply, Session};
use crate::desk::Desk;
use crate::desk::setting::{self, DEMO, may_be_set};
use crate::report::Units;
use crate::typed;
use clap::Subcommand;
use engine::log::{Body, ShedItem};
use engine::measure::Amount;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Arguments of `shed`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// What to do; lists the shed when not given.
    #[command(subcommand)]
    what: Option<What>,
    /// Print JSON.
    #[arg(long, global = true)]
    pub json: bool,
}

/// What to do with the shed.
#[derive(Debug, Subcommand)]
pub enum What {
    /// Put a material in, or describe it anew.
    Add {
        /// Key of the material.
        key: String,
        /// How much there is, such as "2 kg"; plenty when not given.
        #[arg(long, value_name = "AMOUNT")]
        have: Option<String>,
        /// Your own value, such as ph=5.9, moisture_percent=50,
        /// grams_per_cup=180, neutralising_percent=92 or particle_mm=0.3.
        #[arg(long, value_name = "NAME=VALUE")]
        own: Vec<String>,
        /// What you call it.
        #[arg(long, default_value = "")]
        called: String,
        /// It was put in a moment ago, and is put in again.
        #[arg(long)]
        confirmed: bool,
    },
    /// Take a material out; your own values of it are kept.
    Remove {
        /// Key of the material.
        key: String,
    },
}

/// Arguments of `settings`.
#[derive(Debug, clap::Args)]
pub struct Settings {
    /// Name; lists all when not given.
    #[arg(requires = "value")]
    name: Option<String>,
    /// New value.
    value: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn shed(a: &Arguments, session: &Session) -> Result<Reply, Fault> {
    let desk = match a.what {
        None => session.desk()?,
        Some(_) => session.desk_to_write()?,
    };
    match &a.what {
        None => list(&desk),
        Some(What::Add {
            key,
            have,
            own,
            called,
            confirmed,
        }) => {
            let item = item(&desk, key, have.as_deref(), own, called)?;
            kept(&desk, item, *confirmed)
        }
        Some(What::Remove { key }) => remove(&desk, key),
    }
}

fn list(desk: &Desk) -> Result<Reply, Fault> {
    let items = desk.shed()?;
    let mut text = String::new();
    let mut list: Vec<Value> = Vec::new();
    for i in items.iter().filter(|i| i.have || !i.own.is_empty()) {
        let name = desk.tables.material(&i.material)?.name.clone();
        let have = match (i.have, i.available) {
            (false, _) => "none left".to_owned(),
            (true, None) => "plenty".to_owned(),
            (true, Some(a)) => a.to_string(),
        };
        let own: Vec<String> = i.own.iter().map(|(k, v)| format!("{k}={v}")).collect();
        // Writing to a string does not fail.
        let _ = writeln!(
            text,
            "{:<28}{have:<12}{name}{}{}",
            i.material,
            if own.is_empty() { "" } else { "; your own: " },
            own.join(", ")
        );
        list.push(json!({
            "material": i.material,
            "name": name,
            "called": i.called,
            "have": i.have,
            "available": i.available.map(|a| a.to_string()),
            "own": i.own,
        }));
    }
    if list.is_empty() {
        text.push_str("The shed is empty. `bedwright shed add limestone_calcitic --have \"2 kg\"` puts garden lime in it.");
    }
    Reply::new(text, json!({ "schema": "bedwright-shed-1", "shed": list }))
}

/// The item as described.
fn item(
    desk: &Desk,
    key: &str,
    have: Option<&str>,
    own: &[String],
    called: &str,
) -> Result<ShedItem, Fault> {
    let material = parts::key_of(desk.tables, key).map_err(Fault::input)?;
    let before = desk.shed()?.into_iter().find(|i| i.material == material);
    let mut values = before.map(|i| i.own).unwrap_or_default();
    values.extend(own_values(own)?);
    Ok(ShedItem {
        material,
        called: called.to_owned(),
        available: have.map(Amount::parse).transpose()?,
        have: true,
        own: values,
    })
}

fn own_values(typed: &[String]) -> Result<BTreeMap<String, f64>, Fault> {
    let mut values = BTreeMap::new();
    let mut faults = Vec::new();
    for text in typed {
        match text
            .split_once('=')
            .and_then(|(n, v)| Some((n.trim().to_owned(), typed::number(v).ok()?)))
        {
            Some((name, _)) if values.contains_key(&name) => {
                faults.push(format!("--own `{name}` is given twice"));
            }
            Some((name, value)) => {
                values.insert(name, value);
            }
            None => faults.push(format!(
                "--own `{text}` is not a name and a number, such as `ph=5.9`"
            )),
        }
    }
    if faults.is_empty() {
        Ok(values)
    } else {
        Err(Fault::Input(faults))
    }
}

fn remove(desk: &Desk, key: &str) -> Result<Reply, Fault> {
    let material = parts::key_of(desk.tables, key).map_err(Fault::input)?;
    let Some(mut item) = desk
        .shed()?
        .into_iter()
        .find(|i| i.material == material && i.have)
    else {
        return Err(Fault::input(format!("`{material}` is not in the shed")));
    };
    item.have = false;
    item.available = None;
    kept(desk, item, false)
}

fn kept(desk: &Desk, item: ShedItem, confirmed: bool) -> Result<Reply, Fault> {
    let name = desk.tables.material(&item.material)?.name.clone();
    let said = if item.have {
        format!("{name} is in the shed.")
    } else {
        format!("{name} is no longer in the shed.")
    };
    let json = json!({
        "schema": "bedwright-shed-entry-1",
        "material": item.material,
        "have": item.have,
        "available": item.available.map(|a| a.to_string()),
        "own": item.own,
    });
    let at = desk.clock.unix_seconds();
    desk.write_asked(None, at, Body::Shed(item), confirmed)
        .map_err(asked)?;
    Reply::new(said, json)
}

pub(super) fn settings(a: &Settings, session: &Session) -> Result<Reply, Fault> {
    let desk = match (&a.name, &a.value) {
        (Some(name), Some(value)) => set(session, name, value)?,
        _ => session.desk()?,
    };
    let mut all = desk.settings()?;
    all.retain(|name, _| name != DEMO);
    let (data, folder) = (session.data(), store::backups_folder(&session.data()));
    let mut text: String = all
        .iter()
        .map(|(name, value)| format!("{name:<20}{value}\n"))
        .collect();
    for (name, place) in [("log", &data), ("backups are in", &folder)] {
        // Writing to a string does not fail.
        let _ = writeln!(text, "{name:<20}{}", place.display());
    }
    Reply::new(
        text,
        json!({
            "schema": "bedwright-settings-1",
            "settings": all,
            "data": data.display().to_string(),
            "backups_in": folder.display().to_string(),
        }),
    )
}

fn set(session: &Session, name: &str, value: &str) -> Result<Desk, Fault> {
    if let Err(fault) = may_be_set(name, value) {
        let us = name == "room_celsius" && session.desk_if_any()?.units() == Units::Us;
        return Err(Fault::input(match us {
            true => format!("{fault}. {}", setting::in_fahrenheit(value)),
            false => fault,
        }));
    }
    let desk = session.desk_to_write()?;
    desk.write(
        None,
        desk.clock.unix_seconds(),
        Body::Setting {
            name: name.to_owned(),
            value: value.to_owned(),
        },
    )?;
    Ok(desk)
}
