//! A TOML file read value by value, so that every fault in it is listed with
//! its line, not only the first.

use super::cut;
use super::given_file::Lines;
use engine::bounds::{Bound, BoundError};
use std::cell::RefCell;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A file being read, and what was found wrong with it.
pub(super) struct File<'t> {
    name: String,
    text: &'t str,
    /// Byte of the text, and what is wrong there.
    faults: RefCell<Vec<(usize, String)>>,
}

/// One table of the file.
pub(super) struct Table<'f, 't> {
    file: &'f File<'t>,
    /// Name in messages: `[bin]`, `[[parts]] 2`; empty for the file itself.
    name: String,
    start: usize,
    inner: &'f DeTable<'t>,
}

impl<'t> File<'t> {
    pub(super) fn new(name: impl Into<String>, text: &'t str) -> Self {
        Self {
            name: name.into(),
            text,
            faults: RefCell::new(Vec::new()),
        }
    }

    /// The whole as a table; faults of grammar are noted.
    pub(super) fn parse(&self) -> Option<Spanned<DeTable<'t>>> {
        let (table, errors) = DeTable::parse_recoverable(self.text);
        for e in &errors {
            let start = e.span().map_or(0, |s| s.start);
            self.say(start, in_words(e.message()));
        }
        errors.is_empty().then_some(table)
    }

    pub(super) fn root<'f>(&'f self, table: &'f Spanned<DeTable<'t>>) -> Table<'f, 't> {
        Table {
            file: self,
            name: String::new(),
            start: 0,
            inner: table.get_ref(),
        }
    }

    /// Notes a fault at a byte of the file.
    pub(super) fn say(&self, start: usize, what: impl Into<String>) {
        self.faults.borrow_mut().push((start, what.into()));
    }

    /// The faults, in order of line: `file:line: what`.
    pub(super) fn faults(&self) -> Vec<String> {
        let lines = Lines::of(self.text);
        let mut list: Vec<(usize, String)> = self
            .faults
            .take()
            .into_iter()
            .map(|(start, what)| (lines.at(start), what))
            .collect();
        list.sort_by_key(|(line, _)| *line);
        list.dedup();
        list.iter()
            .map(|(line, what)| cut(&format!("{}:{line}: {what}", self.name)).into_owned())
            .collect()
    }

    pub(super) fn is_sound(&self) -> bool {
        self.faults.borrow().is_empty()
    }
}

impl<'f, 't> Table<'f, 't> {
    /// Where a key's value stands, or the table when it is absent.
    pub(super) fn at(&self, key: &str) -> usize {
        self.find(key).map_or(self.start, |(span, _)| span.start)
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.find(key).is_some()
    }

    pub(super) fn say(&self, key: &str, what: impl Into<String>) {
        self.file.say(self.at(key), what);
    }

    /// Notes a fault at a byte of the file, as [`Table::numbers`] gives it.
    pub(super) fn say_at(&self, start: usize, what: impl Into<String>) {
        self.file.say(start, what);
    }

    fn find(&self, key: &str) -> Option<(Range<usize>, &'f DeValue<'t>)> {
        self.inner
            .iter()
            .find(|(k, _)| k.get_ref() == key)
            .map(|(_, v)| (v.span(), v.get_ref()))
    }

    fn called(&self, key: &str) -> String {
        if self.name.is_empty() {
            format!("`{}`", engine::echo(key))
        } else {
            format!("{} `{}`", self.name, engine::echo(key))
        }
    }

    /// Whether a list of tables is there and has nothing in it.
    pub(super) fn inner_is_empty(&self, key: &str) -> bool {
        matches!(self.find(key), Some((_, DeValue::Array(items))) if items.is_empty())
    }

    /// Refuses keys that are not known.
    pub(super) fn only(&self, known: &[&str]) {
        for (key, _) in self.inner {
            if !known.contains(&key.get_ref().as_ref()) {
                let what = format!(
                    "unknown key {}; known are {}",
                    self.called(key.get_ref()),
                    known.join(", ")
                );
                self.file.say(key.span().start, what);
            }
        }
    }

    /// Notes that a key is missing.
    pub(super) fn missing(&self, key: &str, what: &str) {
        self.file.say(
            self.start,
            format!("{} is missing; {what}", self.called(key)),
        );
    }

    fn wrong_kind(&self, key: &str, want: &str, found: &DeValue<'t>) {
        let what = format!("{} is {}; give {want}", self.called(key), kind(found));
        self.say(key, what);
    }

    /// A number within a range.
    pub(super) fn number(&self, key: &str, bound: &Bound) -> Option<f64> {
        let (span, value) = self.find(key)?;
        self.checked(key, bound, span.start, value)
    }

    fn checked(&self, key: &str, bound: &Bound, at: usize, value: &DeValue<'t>) -> Option<f64> {
        let Some(number) = as_number(value) else {
            let want = format!(
                "a number from {} to {} {}",
                bound.low, bound.high, bound.unit
            );
            self.wrong_kind(key, &want, value);
            return None;
        };
        match bound.check(number) {
            Ok(number) => Some(number),
            Err(error) => {
                self.file.say(at, named(&self.called(key), &error));
                None
            }
        }
    }

    /// One number or a list of them, unchecked, each with where it stands.
    pub(super) fn numbers(&self, key: &str) -> Option<Vec<(usize, f64)>> {
        let (span, value) = self.find(key)?;
        let mut list = Vec::new();
        match value {
            DeValue::Array(items) => {
                for item in items.iter() {
                    match as_number(item.get_ref()) {
                        Some(n) => list.push((item.span().start, n)),
                        None => {
                            self.wrong_kind(key, "a number or a list of numbers", item.get_ref());
                            return None;
                        }
                    }
                }
            }
            other => match as_number(other) {
                Some(n) => list.push((span.start, n)),
                None => {
                    self.wrong_kind(key, "a number or a list of numbers", other);
                    return None;
                }
            },
        }
        Some(list)
    }

    /// A list of texts, each with where it stands.
    pub(super) fn texts(&self, key: &str) -> Option<Vec<(usize, &'f str)>> {
        let (span, value) = self.find(key)?;
        let want = "text in quotes or a list of it";
        let mut list = Vec::new();
        match value {
            DeValue::String(text) => list.push((span.start, text.as_ref())),
            DeValue::Array(items) => {
                for item in items.iter() {
                    let DeValue::String(text) = item.get_ref() else {
                        self.wrong_kind(key, want, item.get_ref());
                        return None;
                    };
                    list.push((item.span().start, text.as_ref()));
                }
            }
            other => {
                self.wrong_kind(key, want, other);
                return None;
            }
        }
        Some(list)
    }

    pub(super) fn text(&self, key: &str) -> Option<&'f str> {
        let (_, value) = self.find(key)?;
        match value {
            DeValue::String(text) => Some(text.as_ref()),
            other => {
                self.wrong_kind(key, "text in quotes", other);
                None
            }
        }
    }

    pub(super) fn truth(&self, key: &str) -> Option<bool> {
        let (_, value) = self.find(key)?;
        match value {
            DeValue::Boolean(b) => Some(*b),
            other => {
                self.wrong_kind(key, "true or false", other);
                None
            }
        }
    }

    /// The one table under a key, `[key]`.
    pub(super) fn table(&self, key: &str) -> Option<Table<'f, 't>> {
        let (span, value) = self.find(key)?;
        match value {
            DeValue::Table(inner) => Some(Table {
                file: self.file,
                name: format!("[{key}]"),
                start: span.start,
                inner,
            }),
            other => {
                self.wrong_kind(key, &format!("a table, `[{key}]`"), other);
                None
            }
        }
    }

    /// The tables under a key, `[[key]]`; none when it is absent.
    pub(super) fn tables(&self, key: &str) -> Vec<Table<'f, 't>> {
        let Some((_, value)) = self.find(key) else {
            return Vec::new();
        };
        let DeValue::Array(items) = value else {
            self.wrong_kind(key, &format!("tables, `[[{key}]]`"), value);
            return Vec::new();
        };
        let mut list = Vec::new();
        for (n, item) in items.iter().enumerate() {
            match item.get_ref() {
                DeValue::Table(inner) => list.push(Table {
                    file: self.file,
                    name: format!("[[{key}]] {}", n + 1),
                    start: item.span().start,
                    inner,
                }),
                other => self.wrong_kind(key, &format!("tables, `[[{key}]]`"), other),
            }
        }
        list
    }
}

/// What the parser says, on one line.
fn in_words(said: &str) -> String {
    match said.contains("recursion") {
        true => "too many lists or tables stand one inside another; take brackets away".to_owned(),
        false => said.trim().replace('\n', "; "),
    }
}

fn as_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix())
            .ok()
            .map(|n| n as f64),
        DeValue::Float(f) => f.as_str().parse().ok(),
        _ => None,
    }
}

fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// The bound's message with the key as the file has it.
fn named(key: &str, error: &BoundError) -> String {
    match error {
        BoundError::Outside {
            value,
            unit,
            low,
            high,
            why,
            ..
        } => {
            let unit = if *unit == "pH" {
                String::new()
            } else {
                format!(" {unit}")
            };
            format!(
                "{key} is {value}{unit}, outside the allowed range {low} to {high}{unit} ({why})"
            )
        }
        BoundError::NotFinite {
            low, high, unit, ..
        } => format!("{key} is not a finite number; give a value from {low} to {high} {unit}"),
    }
}
