//! A log from JSON Lines or CSV, as [`crate::Store::export`] writes them.
//!
//! An import is all or none: into an empty log it keeps all numbers; into
//! another it adds what follows the last entry and passes over what is there
//! already, refusing a line that says otherwise. Line by line, so that a file
//! of any length takes little memory.

use crate::admit::{admit, find};
use crate::append::{Pen, Place, VERSION};
use crate::bounded::{Bounded, LINE_LONG, read_line};
use crate::error::plain;
use crate::export::{CSV_COLUMNS, Cells, Form, Line};
use crate::place::plain_file;
use crate::seal::Record;
use crate::spans::Spans;
use crate::unfit::{Asked, Fits, Lines};
use crate::validate;
use crate::whole_file::belongs_to;
use crate::words::{of_csv, of_json};
use crate::{Missing, New, Store, StoreError};
use engine::log::{BinId, Body, EntryId};
use serde_json::Value;
use serde_json::value::RawValue;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;

/// Largest number the first entry of a log, its bin or place may have. Each
/// entry before it makes room for one more: so what goes on from an imported
/// log can be taken in again, too.
const ID_HIGH: i64 = 1_000_000_000_000;

/// Columns a CSV must have; of the others any may be missing.
const NEEDED: usize = 7;

/// What an import did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Imported {
    /// Entries added.
    pub added: usize,
    /// Entries that were there already.
    pub already_there: usize,
}

/// An entry of a file, read but not yet admitted.
struct Incoming {
    id: i64,
    new: New,
    place: Place,
    version: String,
    /// The line carries a checksum, and says what it stands for.
    sealed: bool,
}

impl Store {
    /// Read a log from the file at `path`, all or none.
    ///
    /// # Errors
    /// When `path` is the log itself, or is no plain file that can be read;
    /// [`StoreError::Line`] naming the first line that cannot be taken.
    pub fn import_from(
        &mut self,
        path: &Path,
        form: Form,
        fits: Fits<'_>,
    ) -> Result<Imported, StoreError> {
        // Looked at before it is opened: closing the log's own file here would
        // drop the locks SQLite holds on it.
        if self.path().is_some_and(|log| belongs_to(path, log)) {
            return Err(StoreError::invalid(
                "the file to import",
                "is the log itself",
            ));
        }
        plain_file(path)?.ok_or_else(|| {
            StoreError::invalid("the file to import", "is not there; check its name")
        })?;
        let file = std::fs::File::open(path).map_err(crate::error::io_at("open", path))?;
        match form {
            Form::JsonLines => self.import_jsonl(BufReader::new(file), fits),
            Form::Csv => self.import_csv(file, fits),
        }
    }

    /// Read a log from JSON Lines, all or none.
    ///
    /// # Errors
    /// [`StoreError::Line`] naming the first line that cannot be taken.
    pub fn import_jsonl(
        &mut self,
        mut input: impl BufRead,
        fits: Fits<'_>,
    ) -> Result<Imported, StoreError> {
        self.in_one_go(|pen| {
            let mut taking = Taking::new(pen, fits)?;
            let mut bytes = Vec::new();
            for line in 1.. {
                if !read_line(&mut input, &mut bytes).map_err(|e| e.at_line(line))? {
                    break;
                }
                taking.json(&bytes, line).map_err(|e| e.at_line(line))?;
            }
            taking.finish()
        })
    }

    /// Read a log from CSV, all or none. The columns from `engine_version` on
    /// may be missing.
    ///
    /// # Errors
    /// [`StoreError::Line`] naming the first line that cannot be taken.
    pub fn import_csv(&mut self, input: impl Read, fits: Fits<'_>) -> Result<Imported, StoreError> {
        self.in_one_go(|pen| Taking::new(pen, fits)?.csv(input))
    }
}

/// An import under way.
struct Taking<'p, 't> {
    pen: &'p mut Pen<'t>,
    fits: Fits<'p>,
    /// Number of the last entry before the import.
    last: i64,
    /// Entries before the import.
    there: i64,
    /// Number of the line before.
    before: i64,
    /// Entries missing before the import.
    missing: Vec<Missing>,
    /// Line being read.
    line: u64,
    lines: Lines,
    done: Imported,
}

impl<'p, 't> Taking<'p, 't> {
    fn new(pen: &'p mut Pen<'t>, fits: Fits<'p>) -> Result<Self, StoreError> {
        let count = "SELECT count(*) FROM entry";
        Ok(Self {
            fits,
            last: pen.last,
            there: pen.tx.query_row(count, [], |r| r.get(0))?,
            before: 0,
            missing: pen.missing()?,
            line: 0,
            lines: Lines::default(),
            done: Imported::default(),
            pen,
        })
    }

    /// What was taken in is what is known of another device: what lies between
    /// its entries, and never came, is put down as not to be had. What was
    /// missing here before is missing still.
    fn finish(self) -> Result<Imported, StoreError> {
        self.lines.fit(self.pen.tx, self.fits)?;
        let before = self.missing.iter();
        let before = Spans::of(before.map(|m| (m.device.as_str(), m.first, m.last)));
        for gap in self.pen.missing()? {
            if !before.cover(&gap.device, gap.first, gap.last) {
                self.pen.lose(&gap.device, gap.first, gap.last)?;
            }
        }
        Ok(self.done)
    }

    fn json(&mut self, bytes: &[u8], line: u64) -> Result<(), StoreError> {
        self.line = line;
        let text = std::str::from_utf8(bytes).map_err(|e| {
            let problem = format!("is not UTF-8 text (byte {})", e.valid_up_to() + 1);
            StoreError::invalid("line", problem)
        })?;
        let text = match line {
            1 => text.strip_prefix('\u{feff}').unwrap_or(text),
            _ => text,
        };
        if text.trim().is_empty() {
            return Ok(());
        }
        if !text.trim_start().starts_with('{') {
            let problem = "must be one entry: an object in braces, as an export writes it";
            return Err(StoreError::invalid("line", problem));
        }
        let given: Line = serde_json::from_str(text).map_err(|e| not_read(of_json(&e)))?;
        self.take(given.read()?)
    }

    fn csv(mut self, input: impl Read) -> Result<Imported, StoreError> {
        let (input, allowance) = Bounded::new(input);
        let mut csv = csv::Reader::from_reader(input);
        let columns = csv
            .headers()
            .map_err(|e| not_read(of_csv(&e)).at_line(1))?
            .clone();
        names_columns(&columns).map_err(|e| e.at_line(1))?;
        let mut cells = csv::StringRecord::new();
        loop {
            let line = csv.position().line();
            allowance.renew();
            let more = csv.read_record(&mut cells);
            if !more.map_err(|e| not_read(of_csv(&e)).at_line(line))? {
                return self.finish();
            }
            let line = cells.position().map_or(line, csv::Position::line);
            self.line = line;
            let taken = self.cells(&cells, &columns);
            taken.map_err(|e| e.at_line(line))?;
        }
    }

    fn cells(
        &mut self,
        cells: &csv::StringRecord,
        columns: &csv::StringRecord,
    ) -> Result<(), StoreError> {
        if cells.as_slice().len() as u64 > LINE_LONG {
            return Err(StoreError::invalid("line", crate::bounded::too_long()));
        }
        let given: Cells = cells
            .deserialize(Some(columns))
            .map_err(|e| not_read(of_csv(&e)))?;
        self.take(given.read()?)
    }

    fn take(&mut self, given: Incoming) -> Result<(), StoreError> {
        self.leaves_room(&given)?;
        if given.id <= self.before {
            let (id, before) = (given.id, self.before);
            let problem = format!("`{id}` does not rise from the line before (`{before}`)");
            return Err(StoreError::invalid("id", problem));
        }
        self.before = given.id;
        if given.id <= self.last {
            self.same_as_there(&given)?;
            self.done.already_there += 1;
            return Ok(());
        }
        self.place_is_free(&given)?;
        self.pen.is_new(&given.new)?;
        admit(self.pen.tx, &given.new, true, &mut self.pen.known)?;
        let (new, sealed) = (&given.new, given.sealed);
        (self.fits)(Asked::Entry { new, sealed })
            .map_err(|unfit| StoreError::invalid("entry cannot be used:", unfit.why))?;
        self.pen.insert(&given.new, &given.place, &given.version)?;
        self.lines.put(given.id, &given.new, self.line);
        self.done.added += 1;
        Ok(())
    }

    /// Its numbers leave room for those that come after it.
    fn leaves_room(&self, given: &Incoming) -> Result<(), StoreError> {
        let added = i64::try_from(self.done.added).unwrap_or(i64::MAX);
        let high = ID_HIGH.saturating_add(self.there).saturating_add(added);
        let place = given.place.written.as_ref().map(|(_, sequence)| *sequence);
        for (what, n) in [
            ("id", Some(given.id)),
            ("bin", given.new.bin.map(|bin| bin.0)),
            ("sequence", place),
        ] {
            if let Some(n) = n.filter(|n| !(1..=high).contains(n)) {
                let problem = format!("`{n}` is outside 1 to {high}");
                return Err(StoreError::invalid(what, problem));
            }
        }
        Ok(())
    }

    fn same_as_there(&self, given: &Incoming) -> Result<(), StoreError> {
        let id = given.id;
        let there = match find(self.pen.tx, EntryId(id)) {
            Err(StoreError::UnknownEntry(_)) => {
                let problem =
                    format!("`{id}` lies before the last entry of the log but is not in it");
                return Err(StoreError::invalid("id", problem));
            }
            found => found?,
        };
        let new = &given.new;
        let same = there.bin == new.bin
            && there.at_unix_seconds == new.at_unix_seconds
            && there.zone == new.zone
            && there.written_unix_seconds == new.written_unix_seconds
            && there.body == new.body;
        match same {
            true => Ok(()),
            false => {
                let problem = format!("`{id}` is taken by another entry of the log");
                Err(StoreError::invalid("id", problem))
            }
        }
    }

    fn place_is_free(&self, given: &Incoming) -> Result<(), StoreError> {
        let Some((device, sequence)) = &given.place.written else {
            return Ok(());
        };
        let next = self.pen.next_of(device);
        if let Some(next) = next.filter(|next| sequence > next) {
            let problem = format!(
                "`{sequence}` is beyond what this log has written itself (its next is {next}); the file is not of this log as it stands here"
            );
            return Err(StoreError::invalid("sequence", problem));
        }
        let Some(there) = self.pen.at_place(device, *sequence)? else {
            return Ok(());
        };
        let problem =
            format!("`{sequence}` of that device is in the log already, as entry {there}");
        Err(StoreError::invalid("sequence", problem))
    }
}

fn names_columns(columns: &csv::StringRecord) -> Result<(), StoreError> {
    let once = |c: &&str| columns.iter().filter(|d| d == c).count() == 1;
    let known = columns.iter().all(|c| CSV_COLUMNS.contains(&c) && once(&c));
    if known && CSV_COLUMNS[..NEEDED].iter().all(once) {
        return Ok(());
    }
    let need = CSV_COLUMNS[..NEEDED].join(",");
    Err(StoreError::invalid(
        "first line",
        format!("must name the columns {need}"),
    ))
}

fn not_read(problem: String) -> StoreError {
    StoreError::invalid("line", format!("could not be read: {problem}"))
}

fn not_read_body(error: &serde_json::Error) -> StoreError {
    StoreError::invalid("body", format!("could not be read: {}", of_json(error)))
}

impl Cells {
    fn read(self) -> Result<Incoming, StoreError> {
        let body = RawValue::from_string(self.body).map_err(|e| not_read_body(&e))?;
        let value: Value = serde_json::from_str(body.get()).map_err(|e| not_read(of_json(&e)))?;
        if value["kind"] != Value::String(self.kind.clone()) {
            let problem = format!(
                "`{}` is not the kind in the body, {}",
                plain(&self.kind, 40),
                plain(&value["kind"].to_string(), 40)
            );
            return Err(StoreError::invalid("kind", problem));
        }
        let demo = match self.demo {
            None | Some(0) => false,
            Some(1) => true,
            Some(n) => return Err(StoreError::invalid("demo", format!("`{n}` is not 0 or 1"))),
        };
        let given = Line {
            id: self.id,
            bin: self.bin,
            at_unix_seconds: self.at_unix_seconds,
            zone: self.zone,
            written_unix_seconds: self.written_unix_seconds,
            body,
            engine_version: self.engine_version,
            device: self.device,
            sequence: self.sequence,
            demo,
            once: self.once,
            checksum: self.checksum,
        };
        given.read()
    }
}

impl Line {
    fn read(self) -> Result<Incoming, StoreError> {
        self.seal_holds()?;
        let version = self.engine_version.unwrap_or_else(|| VERSION.to_owned());
        validate::name("engine_version", &version)?;
        let written = match (self.device, self.sequence) {
            (Some(device), Some(sequence)) => {
                validate::name("device", &device)?;
                Some((device, sequence))
            }
            (None, None) => None,
            _ => {
                return Err(StoreError::invalid(
                    "line",
                    "must name device and sequence together",
                ));
            }
        };
        Ok(Incoming {
            id: self.id,
            new: New {
                bin: self.bin.map(BinId),
                at_unix_seconds: self.at_unix_seconds,
                zone: self.zone,
                written_unix_seconds: self.written_unix_seconds,
                body: read_body(self.body.get())?,
                once: self.once,
                demo: self.demo,
                not_again: None,
            },
            place: Place {
                id: Some(self.id),
                written,
            },
            version,
            sealed: self.checksum.is_some(),
        })
    }

    /// A line that carries a checksum says what was exported.
    fn seal_holds(&self) -> Result<(), StoreError> {
        let Some(checksum) = self.checksum else {
            return Ok(());
        };
        #[derive(serde::Deserialize)]
        struct Kind {
            kind: String,
        }
        let kind: Kind = serde_json::from_str(self.body.get()).map_err(|e| not_read_body(&e))?;
        let there = Record {
            id: self.id,
            device: self.device.clone().unwrap_or_default(),
            sequence: self.sequence.unwrap_or_default(),
            once: self.once.clone(),
            demo: i64::from(self.demo),
            checksum,
            bin: self.bin,
            at_unix_seconds: self.at_unix_seconds,
            zone: self.zone.clone(),
            written_unix_seconds: self.written_unix_seconds,
            kind: kind.kind,
            engine_version: self.engine_version.clone().unwrap_or_default(),
            body: self.body.get().to_owned(),
        };
        match there.holds() {
            true => Ok(()),
            false => Err(StoreError::invalid(
                "checksum",
                format!(
                    "`{checksum}` does not fit the line, so the line was changed or damaged; if you changed it yourself, take its checksum out"
                ),
            )),
        }
    }
}

/// Read a body and make sure nothing in it goes unread: a field this version
/// does not know would otherwise be lost without a word.
fn read_body(text: &str) -> Result<Body, StoreError> {
    let wrong = |e: serde_json::Error| not_read_body(&e);
    let body: Body = serde_json::from_str(text).map_err(wrong)?;
    let given: Value = serde_json::from_str(text).map_err(wrong)?;
    let kept = serde_json::to_value(&body).map_err(wrong)?;
    match unread(&given, &kept) {
        Some(field) => Err(StoreError::invalid(
            format!("field `{}` of the body", plain(&field, 40)),
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
