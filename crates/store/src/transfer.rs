//! The whole log to JSON Lines or CSV and back, exactly.
//!
//! One entry a line, with the fields `id`, `bin`, `at_unix_seconds`, `zone`,
//! `written_unix_seconds`, (`kind`, CSV only), `body`, `engine_version`. The
//! body is JSON in both. An import is all or none: into an empty log it keeps
//! all numbers; into another it adds what follows the last entry and passes
//! over what is there already, refusing a line that says otherwise.

use crate::append::{New, VERSION, admit, find, insert};
use crate::validate;
use crate::{Store, StoreError};
use engine::log::{BinId, Body, EntryId};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use serde_json::value::RawValue;
use std::io::{BufRead, Read, Write};

/// Longest line taken [bytes].
const LINE_LONG: u64 = 1_048_576;

/// Largest number an imported entry or bin may have.
const ID_HIGH: i64 = 1_000_000_000_000;

/// Columns of the CSV, in order.
const COLUMNS: [&str; 8] = [
    "id",
    "bin",
    "at_unix_seconds",
    "zone",
    "written_unix_seconds",
    "kind",
    "body",
    "engine_version",
];

/// What an import did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Imported {
    /// Entries added.
    pub added: usize,
    /// Entries that were there already.
    pub already_there: usize,
}

/// One line, as exported. The body stays as it is in the file, so that kinds
/// this version does not know come through untouched.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    id: i64,
    bin: Option<i64>,
    at_unix_seconds: i64,
    zone: String,
    written_unix_seconds: i64,
    body: Box<RawValue>,
    #[serde(default)]
    engine_version: Option<String>,
}

/// One line of CSV: the body is a cell of JSON text.
#[derive(Debug, Serialize, Deserialize)]
struct Record {
    id: i64,
    bin: Option<i64>,
    at_unix_seconds: i64,
    zone: String,
    written_unix_seconds: i64,
    kind: String,
    body: String,
    #[serde(default)]
    engine_version: Option<String>,
}

/// An entry of a file, read but not yet admitted.
struct Incoming {
    line: u64,
    id: EntryId,
    new: New,
    version: String,
}

impl Store {
    /// Write the whole log as JSON Lines, entries of kinds unknown to this
    /// version included. Gives the number of entries.
    ///
    /// # Errors
    /// When the log cannot be read or `out` not written.
    pub fn export_jsonl(&self, out: &mut impl Write) -> Result<usize, StoreError> {
        self.each_record(|record| {
            // JSON has bare line breaks only between tokens, where a space says the same.
            let body = record.body.replace(['\n', '\r'], " ");
            let line = Line {
                id: record.id,
                bin: record.bin,
                at_unix_seconds: record.at_unix_seconds,
                zone: record.zone,
                written_unix_seconds: record.written_unix_seconds,
                body: RawValue::from_string(body).map_err(export_failed)?,
                engine_version: record.engine_version,
            };
            serde_json::to_writer(&mut *out, &line).map_err(export_failed)?;
            out.write_all(b"\n").map_err(export_failed)
        })
    }

    /// Write the whole log as CSV with a line of column names. Gives the number
    /// of entries.
    ///
    /// # Errors
    /// When the log cannot be read or `out` not written.
    pub fn export_csv(&self, out: &mut impl Write) -> Result<usize, StoreError> {
        let mut csv = csv::WriterBuilder::new()
            .has_headers(false)
            .from_writer(out);
        csv.write_record(COLUMNS).map_err(export_failed)?;
        let count = self.each_record(|record| csv.serialize(record).map_err(export_failed))?;
        csv.flush().map_err(export_failed)?;
        Ok(count)
    }

    /// Read a log from JSON Lines, all or none.
    ///
    /// # Errors
    /// [`StoreError::Line`] naming the first line that cannot be taken.
    pub fn import_jsonl(&mut self, input: impl BufRead) -> Result<Imported, StoreError> {
        let incoming = read_jsonl(input)?;
        self.in_one_go(|tx| bring_in(tx, &incoming))
    }

    /// Read a log from CSV, all or none. The column `engine_version` may be
    /// missing.
    ///
    /// # Errors
    /// [`StoreError::Line`] naming the first line that cannot be taken.
    pub fn import_csv(&mut self, input: impl Read) -> Result<Imported, StoreError> {
        let incoming = read_csv(input)?;
        self.in_one_go(|tx| bring_in(tx, &incoming))
    }

    fn each_record(
        &self,
        mut give: impl FnMut(Record) -> Result<(), StoreError>,
    ) -> Result<usize, StoreError> {
        let mut query = self.db.prepare(&format!(
            "SELECT {} FROM entry ORDER BY id",
            COLUMNS.join(", ")
        ))?;
        let mut rows = query.query([])?;
        let mut count = 0;
        while let Some(row) = rows.next()? {
            give(Record {
                id: row.get(0)?,
                bin: row.get(1)?,
                at_unix_seconds: row.get(2)?,
                zone: row.get(3)?,
                written_unix_seconds: row.get(4)?,
                kind: row.get(5)?,
                body: row.get(6)?,
                engine_version: row.get(7)?,
            })?;
            count += 1;
        }
        Ok(count)
    }
}

fn export_failed(problem: impl Into<std::io::Error>) -> StoreError {
    StoreError::Io {
        what: "could not write the export".into(),
        problem: problem.into(),
    }
}

fn read_jsonl(mut input: impl BufRead) -> Result<Vec<Incoming>, StoreError> {
    let mut incoming = Vec::new();
    let mut bytes = Vec::new();
    for line in 1.. {
        bytes.clear();
        let got = input
            .by_ref()
            .take(LINE_LONG + 1)
            .read_until(b'\n', &mut bytes);
        if got.map_err(|e| not_read(&e).at_line(line))? == 0 {
            break;
        }
        if bytes.len() as u64 > LINE_LONG {
            return Err(
                StoreError::invalid("line", format!("is longer than {LINE_LONG} bytes"))
                    .at_line(line),
            );
        }
        if bytes.iter().all(u8::is_ascii_whitespace) {
            continue;
        }
        let given: Line = serde_json::from_slice(&bytes).map_err(|e| not_read(&e).at_line(line))?;
        incoming.push(given.read(line).map_err(|e| e.at_line(line))?);
    }
    Ok(incoming)
}

fn read_csv(input: impl Read) -> Result<Vec<Incoming>, StoreError> {
    let mut csv = csv::Reader::from_reader(input);
    let columns = csv.headers().map_err(|e| not_read(&e).at_line(1))?.clone();
    let known = columns.iter().all(|c| COLUMNS.contains(&c));
    let full = COLUMNS[..7]
        .iter()
        .all(|c| columns.iter().filter(|d| d == c).count() == 1);
    if !known || !full {
        let need = COLUMNS.join(",");
        return Err(
            StoreError::invalid("first line", format!("must name the columns {need}")).at_line(1),
        );
    }
    let mut incoming = Vec::new();
    let mut cells = csv::StringRecord::new();
    loop {
        let line = csv.position().line();
        if !csv
            .read_record(&mut cells)
            .map_err(|e| not_read(&e).at_line(line))?
        {
            return Ok(incoming);
        }
        let line = cells.position().map_or(line, csv::Position::line);
        let record: Record = cells
            .deserialize(Some(&columns))
            .map_err(|e| not_read(&e).at_line(line))?;
        incoming.push(record.read(line).map_err(|e| e.at_line(line))?);
    }
}

fn not_read(error: &dyn std::error::Error) -> StoreError {
    StoreError::invalid("line", unreadable(error))
}

/// JSON's own line number is always 1 here and would only mislead.
fn unreadable(error: &dyn std::error::Error) -> String {
    let text = error
        .to_string()
        .replace(" at line 1 column ", " at column ");
    format!("could not be read: {text}")
}

impl Record {
    fn read(self, line: u64) -> Result<Incoming, StoreError> {
        let body = RawValue::from_string(self.body)
            .map_err(|e| StoreError::invalid("body", unreadable(&e)))?;
        let value: Value = serde_json::from_str(body.get()).map_err(|e| not_read(&e))?;
        if value["kind"] != Value::String(self.kind.clone()) {
            let problem = format!(
                "`{}` is not the kind in the body, {}",
                self.kind, value["kind"]
            );
            return Err(StoreError::invalid("kind", problem));
        }
        let given = Line {
            id: self.id,
            bin: self.bin,
            at_unix_seconds: self.at_unix_seconds,
            zone: self.zone,
            written_unix_seconds: self.written_unix_seconds,
            body,
            engine_version: self.engine_version,
        };
        given.read(line)
    }
}

impl Line {
    fn read(self, line: u64) -> Result<Incoming, StoreError> {
        for (what, id) in [("id", Some(self.id)), ("bin", self.bin)] {
            if let Some(id) = id.filter(|id| !(1..=ID_HIGH).contains(id)) {
                return Err(StoreError::invalid(
                    what,
                    format!("`{id}` is outside 1 to {ID_HIGH}"),
                ));
            }
        }
        let version = self.engine_version.unwrap_or_else(|| VERSION.to_owned());
        validate::name("engine_version", &version)?;
        Ok(Incoming {
            line,
            id: EntryId(self.id),
            new: New {
                bin: self.bin.map(BinId),
                at_unix_seconds: self.at_unix_seconds,
                zone: self.zone,
                written_unix_seconds: self.written_unix_seconds,
                body: read_body(self.body.get())?,
            },
            version,
        })
    }
}

/// Read a body and make sure nothing in it goes unread: a field this version
/// does not know would otherwise be lost without a word.
fn read_body(text: &str) -> Result<Body, StoreError> {
    let wrong = |e: serde_json::Error| StoreError::invalid("body", unreadable(&e));
    let body: Body = serde_json::from_str(text).map_err(wrong)?;
    let given: Value = serde_json::from_str(text).map_err(wrong)?;
    let kept = serde_json::to_value(&body).map_err(wrong)?;
    match unread(&given, &kept) {
        Some(field) => Err(StoreError::invalid(
            format!("field `{field}` of the body"),
            "is not known to this version",
        )),
        None => Ok(body),
    }
}

/// The first field of `given` that `kept` has no place for. An empty (null)
/// field says nothing, so nothing is lost with it.
fn unread(given: &Value, kept: &Value) -> Option<String> {
    match (given, kept) {
        (Value::Object(given), Value::Object(kept)) => {
            given.iter().find_map(|(name, value)| match kept.get(name) {
                Some(kept) => unread(value, kept),
                None if value.is_null() => None,
                None => Some(name.clone()),
            })
        }
        (Value::Array(given), Value::Array(kept)) => {
            given.iter().zip(kept).find_map(|(g, k)| unread(g, k))
        }
        _ => None,
    }
}

fn bring_in(tx: &Connection, incoming: &[Incoming]) -> Result<Imported, StoreError> {
    let last: Option<i64> = tx.query_row("SELECT max(id) FROM entry", [], |r| r.get(0))?;
    let last = EntryId(last.unwrap_or(0));
    let mut before = EntryId(0);
    let mut done = Imported {
        added: 0,
        already_there: 0,
    };
    for given in incoming {
        if given.id <= before {
            let problem = format!(
                "`{}` does not rise from the line before (`{}`)",
                given.id.0, before.0
            );
            return Err(StoreError::invalid("id", problem).at_line(given.line));
        }
        before = given.id;
        if given.id <= last {
            same_as_there(tx, given).map_err(|e| e.at_line(given.line))?;
            done.already_there += 1;
        } else {
            let taken = admit(tx, &given.new, true)
                .and_then(|()| insert(tx, Some(given.id), &given.new, &given.version));
            taken.map_err(|e| e.at_line(given.line))?;
            done.added += 1;
        }
    }
    Ok(done)
}

fn same_as_there(tx: &Connection, given: &Incoming) -> Result<(), StoreError> {
    let there = match find(tx, given.id) {
        Err(StoreError::UnknownEntry(id)) => {
            let problem = format!(
                "`{}` lies before the last entry of the log but is not in it",
                id.0
            );
            return Err(StoreError::invalid("id", problem));
        }
        found => found?,
    };
    let there = New {
        bin: there.bin,
        at_unix_seconds: there.at_unix_seconds,
        zone: there.zone,
        written_unix_seconds: there.written_unix_seconds,
        body: there.body,
    };
    if there == given.new {
        return Ok(());
    }
    let problem = format!("`{}` is taken by another entry of the log", given.id.0);
    Err(StoreError::invalid("id", problem))
}
