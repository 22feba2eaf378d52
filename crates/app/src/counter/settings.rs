//! Settings, backup, restore, export and import.

use super::around::{refused, sentence, shell, units};
use super::once;
use super::parse::{self, Check};
use super::words;
use crate::desk::{Desk, DeskError, Given, setting};
use crate::report::{self, Units};
use crate::web::widgets::{Chips, Control, Field, Form, Kind};
use crate::web::{
    Answer, BackupLine, Backups, Download, Export, Fields, Nav, Outcome, PageError, SettingsPage,
    Upload,
};
use engine::bounds::Bound;
use engine::log::{Body, Entry, EntryId};
use engine::measure::fahrenheit;

/// Room temperatures the chemistry holds for.
const ROOM: Bound = Bound {
    name: "room temperature",
    unit: "°C",
    low: 2.0,
    high: 40.0,
    why: "the chemistry is checked from 2 to 40 °C",
};
/// The same in the other scale.
const ROOM_US: Bound = Bound {
    name: "room temperature",
    unit: "°F",
    low: 36.0,
    high: 104.0,
    why: "the chemistry is checked from 36 to 104 °F",
};
/// Fields of the form.
const OWN_FIELDS: [&str; 4] = ["units", "room_celsius", "room_fahrenheit", "backups"];
/// Backups listed.
const NEWEST: usize = 5;
/// Largest text of an error shown [characters].
const LONGEST: usize = 600;

pub(super) fn settings(desk: &Desk, fields: &Fields) -> Answer<SettingsPage> {
    let mut made = page(desk)?;
    made.shell = made.shell.said(fields.get("said"));
    if fields.get("said") == "restored"
        && let Some(kept) = desk.set_aside()
    {
        made.shell.notice = format!(
            "The backup is in place. The log it replaced is kept as `{}`.",
            kept.display()
        );
    }
    if let ("imported", Ok(last)) = (fields.get("said"), fields.get("entry").parse()) {
        for line in left_behind(desk, EntryId(last))? {
            made.shell.notice.push_str(&format!(" {}", sentence(&line)));
        }
    }
    Ok(made)
}

fn page(desk: &Desk) -> Answer<SettingsPage> {
    let set = desk.settings().map_err(refused)?;
    let get = |name: &str| set.get(name).map_or("", String::as_str);
    let controls = vec![
        Control::Chips(Chips::new(
            "units",
            "Measures",
            false,
            &[
                ("metric", "Grams, litres, °C"),
                ("us", "Ounces, gallons, °F"),
            ],
            get("units"),
        )),
        Control::Field(room_field(desk, get("room_celsius"))),
        Control::Chips(Chips::new(
            "backups",
            "A backup on each day with a new entry",
            false,
            &[("on", "Make one"), ("off", "None")],
            get("backups"),
        )),
    ];
    let place = desk.path().map_or_else(
        || "in memory only; it is gone when the program ends".to_owned(),
        |p| p.display().to_string(),
    );
    Ok(SettingsPage {
        shell: shell(desk, "Settings", Nav::Settings),
        form: Form::new(
            "settings",
            "Measures and backups",
            "/settings",
            "Save",
            controls,
        ),
        data_place: place,
        data_size: size(desk)?,
        backups: backups(desk)?,
        file_error: None,
        version: env!("CARGO_PKG_VERSION").to_owned(),
    })
}

/// The room temperature in the keeper's scale; the scale is in the name of
/// the field, so that a change of measures in the same form does not mistake it.
fn room_field(desk: &Desk, celsius: &str) -> Field {
    let (name, bound, value) = match units(desk) {
        Units::Metric => ("room_celsius", ROOM, celsius.to_owned()),
        Units::Us => {
            let value = celsius
                .parse::<f64>()
                .map_or_else(|_| celsius.to_owned(), |c| tenth(fahrenheit(c)).to_string());
            ("room_fahrenheit", ROOM_US, value)
        }
    };
    let (low, high, unit) = (bound.low, bound.high, bound.unit);
    Field::new(Kind::Number, name, "How warm it is where the bins stand")
        .unit(unit)
        .hint(&format!(
            "{low} to {high} {unit}; used until a bed temperature is logged"
        ))
        .value(&value)
        .required()
}

fn tenth(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

/// The room temperature sent, whichever scale the form was in [°C].
fn room(fields: &Fields, check: &mut Check) -> Option<f64> {
    if fields.has("room_fahrenheit") {
        let read = parse::required(fields, "room_fahrenheit", &ROOM_US);
        let celsius = |f: f64| tenth((f - 32.0) / 1.8).clamp(ROOM.low, ROOM.high);
        return check.take("room_fahrenheit", read).map(celsius);
    }
    let read = parse::required(fields, "room_celsius", &ROOM);
    // Measures changed in the same form leave the field in the scale before.
    let read = read.map_err(|fault| match fields.get("units") {
        "us" => format!(
            "{fault} {}",
            setting::in_fahrenheit(fields.get("room_celsius"))
        ),
        _ => fault,
    });
    check.take("room_celsius", read)
}

/// Entries and size on disk, in words.
fn size(desk: &Desk) -> Answer<String> {
    let entries = desk
        .store()
        .all_entries()
        .map_err(DeskError::from)
        .map_err(refused)?;
    let count = report::count(entries.len(), "entry", "entries");
    let bytes: u64 = desk.path().map_or(0, |path| {
        ["", "-wal"]
            .iter()
            .filter_map(|end| {
                let mut name = path.as_os_str().to_owned();
                name.push(end);
                std::fs::metadata(std::path::PathBuf::from(name)).ok()
            })
            .map(|m| m.len())
            .sum()
    });
    Ok(match bytes {
        0 => format!("{count}."),
        b => format!("{count}, {} on disk.", kilobytes(b)),
    })
}

pub(super) fn set(desk: &Desk, fields: &Fields) -> Answer<Outcome<SettingsPage>> {
    let mut check = Check::default();
    parse::only_these(fields, &OWN_FIELDS, false, &mut check);
    let units = match fields.get("units") {
        known @ ("metric" | "us") => Some(known.to_owned()),
        other => {
            let fault = format!("`{}` is not a choice; pick one.", parse::short(other));
            check.faults.push(("units".into(), fault));
            None
        }
    };
    let room = room(fields, &mut check);
    let backups = made_of_themselves(fields, &mut check);
    let (true, Some(units), Some(room)) = (check.faults.is_empty(), units, room) else {
        let mut again = page(desk)?;
        again.form.refill(fields, &check.faults);
        return Ok(Outcome::Show(Box::new(again)));
    };
    let once = match own_key(desk, fields)? {
        Ok(key) => key,
        Err(fault) => {
            let mut again = page(desk)?;
            again.form.refill(fields, &[(String::new(), fault)]);
            again.form.once = String::new();
            return Ok(Outcome::Show(Box::new(again)));
        }
    };
    let sent = [
        ("units", Some(units)),
        ("room_celsius", Some(room.to_string())),
        ("backups", backups),
    ];
    write_changed(desk, sent, once)?;
    Ok(Outcome::Go("/settings?said=saved".into()))
}

/// Writes the settings that are not as they were sent, the first of them under
/// the key.
fn write_changed(
    desk: &Desk,
    sent: [(&str, Option<String>); 3],
    mut once: Option<String>,
) -> Answer<()> {
    let now = desk.settings().map_err(refused)?;
    for (name, value) in sent {
        let Some(value) = value.filter(|v| now.get(name) != Some(v)) else {
            continue;
        };
        let body = Body::Setting {
            name: name.to_owned(),
            value,
        };
        // One key, one entry: the others of this form go without.
        let given = Given {
            once: once.take(),
            ..Given::default()
        };
        desk.write_given(None, desk.clock.unix_seconds(), body, &given)
            .map_err(refused)?;
    }
    Ok(())
}

/// The key the first setting is written under; none when a setting was written
/// under it before, for one set twice is the same setting.
///
/// # Errors
/// What is wrong when another form wrote something else under it.
fn own_key(desk: &Desk, fields: &Fields) -> Answer<Result<Option<String>, String>> {
    let given = once::given(fields).once;
    let read = |key: &str| -> Result<Option<Entry>, DeskError> {
        let written = desk.store().written_by(key)?;
        Ok(written.map(|id| desk.store().entry(id)).transpose()?)
    };
    let before = given.as_deref().map(read).transpose().map_err(refused)?;
    Ok(match before.flatten() {
        None => Ok(given),
        Some(e) if matches!(e.body, Body::Setting { .. }) => Ok(None),
        Some(e) => Err(format!(
            "This form was sent under the key of another, which wrote entry {}. Nothing was written; save it again from here.",
            e.id.0
        )),
    })
}

/// Whether backups are to be made; `None` leaves it as it is.
fn made_of_themselves(fields: &Fields, check: &mut Check) -> Option<String> {
    match fields.get("backups") {
        "" => None,
        known @ ("on" | "off") => Some(known.to_owned()),
        other => {
            let fault = format!("`{}` is not a choice; pick one.", parse::short(other));
            check.faults.push(("backups".into(), fault));
            None
        }
    }
}

/// The backups, in words.
pub(super) fn backups(desk: &Desk) -> Answer<Backups> {
    let found = desk.backed_up().map_err(refused)?;
    let how = match (&found.folder, found.of_itself) {
        (None, _) => "A log in memory is not backed up.",
        (_, true) => {
            "One is made on each day with a new entry, and read back whole before it is kept."
        }
        (_, false) => "None are made of themselves: that is turned off.",
    };
    let line = |b: &store::Saved| BackupLine {
        when: words::when(desk, b.at_unix_seconds),
        size: match b.entries {
            Some(n) => format!(
                "{}, {}, read back whole when it was made",
                report::count(n, "entry", "entries"),
                kilobytes(b.bytes)
            ),
            None => "cannot be read any more".to_owned(),
        },
        name: b
            .path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned(),
    };
    Ok(Backups {
        how: how.to_owned(),
        folder: found
            .folder
            .map_or_else(String::new, |f| f.display().to_string()),
        list: found.list.iter().take(NEWEST).map(line).collect(),
        failed: found.failed.as_ref().map_or_else(String::new, sentence),
        reminder: found.reminder.unwrap_or_default(),
    })
}

fn kilobytes(bytes: u64) -> String {
    match bytes {
        b if b < 1_000_000 => format!("{:.0} kB", b as f64 / 1e3),
        b => format!("{:.1} MB", b as f64 / 1e6),
    }
}

pub(super) fn file_name(desk: &Desk, what: &str, end: &str) -> String {
    format!("bedwright-{what}{}.{end}", words::today(desk))
}

pub(super) fn backup(desk: &Desk) -> Answer<Download> {
    Ok(Download {
        name: file_name(desk, "", "db"),
        mime: "application/vnd.sqlite3",
        bytes: desk.backup().map_err(refused)?,
    })
}

pub(super) fn export(desk: &Desk, form: Export) -> Answer<Download> {
    let mut bytes = Vec::new();
    let store = desk.store();
    let (written, end, mime) = match form {
        Export::JsonLines => (
            store.export_jsonl(&mut bytes),
            "jsonl",
            "application/x-ndjson",
        ),
        Export::Csv => (
            store.export_csv(&mut bytes),
            "csv",
            "text/csv; charset=utf-8",
        ),
    };
    drop(store);
    written.map_err(DeskError::from).map_err(refused)?;
    Ok(Download {
        name: file_name(desk, "log-", end),
        mime,
        bytes,
    })
}

pub(super) fn restore(desk: &Desk, file: &Upload) -> Answer<Outcome<SettingsPage>> {
    if desk.took(&file.once) {
        return Ok(sent_before());
    }
    match desk.restore(&file.bytes, &file.name) {
        Ok(_) => {
            desk.take_note(&file.once);
            Ok(Outcome::Go("/settings?said=restored".into()))
        }
        Err(e) if desk.why_closed().is_some() => {
            let said = format!("{} Nothing was replaced.", sentence(&e));
            Err(
                PageError::new(422, "The backup was not put in place", &said)
                    .or("/settings/damage", "Back to what to do"),
            )
        }
        Err(e) => again(desk, &e, "restore-file", "Nothing was replaced."),
    }
}

pub(super) fn import(desk: &Desk, file: &Upload) -> Answer<Outcome<SettingsPage>> {
    if desk.took(&file.once) {
        return Ok(sent_before());
    }
    let last = desk.last_entry().map_err(refused)?;
    match desk.import(&file.bytes) {
        Ok(_) => {
            desk.take_note(&file.once);
            let after = match left_behind(desk, last)?.is_empty() {
                true => String::new(),
                false => format!("&entry={}", last.0),
            };
            Ok(Outcome::Go(format!("/settings?said=imported{after}")))
        }
        Err(e) => again(desk, &e, "import-file", "Nothing was taken in."),
    }
}

/// What is to be told of entries taken in after this one.
fn left_behind(desk: &Desk, last: EntryId) -> Answer<Vec<String>> {
    desk.odd_since(last).map_err(refused)
}

fn sent_before() -> Outcome<SettingsPage> {
    Outcome::Go("/settings?said=file-before".into())
}

/// The page again, saying what was wrong with a file.
fn again(
    desk: &Desk,
    error: &DeskError,
    field: &'static str,
    comfort: &str,
) -> Answer<Outcome<SettingsPage>> {
    let mut made = page(desk)?;
    let text: String = sentence(error).chars().take(LONGEST).collect();
    made.file_error = Some((field, format!("{text} {comfort}")));
    Ok(Outcome::Show(Box::new(made)))
}
