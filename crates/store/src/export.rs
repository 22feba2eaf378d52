//! The whole log to JSON Lines or CSV, exactly.
//!
//! One entry a line, with the fields `id`, `bin`, `at_unix_seconds`, `zone`,
//! `written_unix_seconds`, (`kind`, CSV only), `body`, `engine_version`,
//! `device`, `sequence`, `demo`, `once`, `checksum`. The body is JSON in both.
//! `demo` and `once` are left out of JSON where they say nothing.

use crate::health::readable;
use crate::seal::{COLUMNS, Record};
use crate::whole_file::write_whole;
use crate::{Store, StoreError};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use std::io::Write;
use std::path::Path;

/// How a log is written out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// One JSON object a line.
    JsonLines,
    /// A table with a line of column names.
    Csv,
}

/// Columns of the CSV, in order.
pub(crate) const CSV_COLUMNS: [&str; 13] = [
    "id",
    "bin",
    "at_unix_seconds",
    "zone",
    "written_unix_seconds",
    "kind",
    "body",
    "engine_version",
    "device",
    "sequence",
    "demo",
    "once",
    "checksum",
];

/// One line, as exported. The body stays as it is in the file, so that kinds
/// this version does not know come through untouched.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Line {
    pub(crate) id: i64,
    pub(crate) bin: Option<i64>,
    pub(crate) at_unix_seconds: i64,
    pub(crate) zone: String,
    pub(crate) written_unix_seconds: i64,
    pub(crate) body: Box<RawValue>,
    #[serde(default)]
    pub(crate) engine_version: Option<String>,
    #[serde(default)]
    pub(crate) device: Option<String>,
    #[serde(default)]
    pub(crate) sequence: Option<i64>,
    #[serde(default, skip_serializing_if = "is_no")]
    pub(crate) demo: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) once: Option<String>,
    #[serde(default)]
    pub(crate) checksum: Option<i64>,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the shape serde asks for"
)]
fn is_no(demo: &bool) -> bool {
    !*demo
}

/// One line of CSV: the body is a cell of JSON text.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Cells {
    pub(crate) id: i64,
    pub(crate) bin: Option<i64>,
    pub(crate) at_unix_seconds: i64,
    pub(crate) zone: String,
    pub(crate) written_unix_seconds: i64,
    pub(crate) kind: String,
    pub(crate) body: String,
    #[serde(default)]
    pub(crate) engine_version: Option<String>,
    #[serde(default)]
    pub(crate) device: Option<String>,
    #[serde(default)]
    pub(crate) sequence: Option<i64>,
    #[serde(default)]
    pub(crate) demo: Option<i64>,
    #[serde(default)]
    pub(crate) once: Option<String>,
    #[serde(default)]
    pub(crate) checksum: Option<i64>,
}

impl Store {
    /// Write the whole log to a file at `path`, which appears there only when
    /// it is whole. Gives the number of entries.
    ///
    /// # Errors
    /// When the log is not whole, so that nothing could be saved by this; when
    /// `path` is the log itself or not a plain file, is there and not to be
    /// replaced, or cannot be written. What was there is then as it was.
    pub fn export_to(&self, path: &Path, form: Form, replace: bool) -> Result<usize, StoreError> {
        self.may_be_exported(replace)?;
        if replace {
            // A log is never written over by an export: nothing is held.
            self.may_write_over(path, false)?;
        }
        write_whole(path, replace, self.path(), |out| self.export(form, out))
    }

    /// Write the whole log, entries of kinds unknown to this version included.
    /// Gives the number of entries.
    ///
    /// # Errors
    /// When the log cannot be read, an entry no longer says what was written,
    /// or `out` cannot be written.
    pub fn export(&self, form: Form, out: &mut dyn Write) -> Result<usize, StoreError> {
        match form {
            Form::JsonLines => self.export_jsonl(out),
            Form::Csv => self.export_csv(out),
        }
    }

    /// [`Store::export`] as JSON Lines.
    ///
    /// # Errors
    /// As [`Store::export`].
    pub fn export_jsonl(&self, mut out: impl Write) -> Result<usize, StoreError> {
        self.each_record(|record| {
            // JSON has bare line breaks only between tokens, where a space says
            // the same; the checksum is of the body as it was.
            let body = record.body.replace(['\n', '\r'], " ");
            let checksum = (body == record.body).then_some(record.checksum);
            let line = Line {
                id: record.id,
                bin: record.bin,
                at_unix_seconds: record.at_unix_seconds,
                zone: record.zone,
                written_unix_seconds: record.written_unix_seconds,
                body: RawValue::from_string(body).map_err(export_failed)?,
                engine_version: Some(record.engine_version),
                device: Some(record.device),
                sequence: Some(record.sequence),
                demo: record.demo == 1,
                once: record.once,
                checksum,
            };
            serde_json::to_writer(&mut out, &line).map_err(export_failed)?;
            out.write_all(b"\n").map_err(export_failed)
        })
    }

    /// [`Store::export`] as CSV with a line of column names.
    ///
    /// # Errors
    /// As [`Store::export`].
    pub fn export_csv(&self, out: impl Write) -> Result<usize, StoreError> {
        let mut csv = csv::WriterBuilder::new()
            .has_headers(false)
            .from_writer(out);
        csv.write_record(CSV_COLUMNS).map_err(export_failed)?;
        let count = self.each_record(|record| {
            csv.serialize(Cells {
                id: record.id,
                bin: record.bin,
                at_unix_seconds: record.at_unix_seconds,
                zone: record.zone,
                written_unix_seconds: record.written_unix_seconds,
                kind: record.kind,
                body: record.body,
                engine_version: Some(record.engine_version),
                device: Some(record.device),
                sequence: Some(record.sequence),
                demo: Some(record.demo).filter(|d| *d == 1),
                once: record.once,
                checksum: Some(record.checksum),
            })
            .map_err(export_failed)
        })?;
        csv.flush().map_err(export_failed)?;
        Ok(count)
    }

    /// An export of this log could stand for it: nothing in it is damaged.
    /// One with entries missing may be saved beside what was saved before, not
    /// in its place.
    fn may_be_exported(&self, replace: bool) -> Result<(), StoreError> {
        let health = self.examine()?;
        let missing = health.missing.first().filter(|_| replace);
        let problem = health
            .first_damage()
            .or_else(|| missing.map(ToString::to_string));
        match problem {
            Some(problem) => Err(StoreError::not_whole(&self.shown(), problem)),
            None => Ok(()),
        }
    }

    fn each_record(
        &self,
        mut give: impl FnMut(Record) -> Result<(), StoreError>,
    ) -> Result<usize, StoreError> {
        let mut query = self
            .reading()?
            .prepare(&format!("SELECT {COLUMNS} FROM entry ORDER BY id"))?;
        let mut rows = query.query([])?;
        let mut count = 0;
        while let Some(row) = rows.next()? {
            match readable(row) {
                Ok((record, _)) => give(record)?,
                Err(flaw) if flaw.intact => give(Record::read(row)?)?,
                Err(flaw) => return Err(StoreError::Unreadable(flaw)),
            }
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
