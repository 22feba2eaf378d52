//! What a command works with: the clock, the data file, and how it answers.

use crate::args::Global;
use crate::desk::keeping::may_be_rescued;
use crate::desk::{Clock, Desk, DeskError, SEED, clock, place};
use crate::report::Units;
use crate::{shown, typed};
use engine::bed::fill::FillError;
use engine::bounds::BoundError;
use engine::measure::{AmountError, System};
use engine::table::TableError;
use jiff::ToSpan;
use jiff::ZonedDateTime;
use serde::Serialize;
use serde_json::Value;
use std::cell::{Cell, RefCell};
use std::io::IsTerminal;
use std::path::PathBuf;
use store::StoreError;

/// Why a command did not answer. Printed in one place, `command.rs`.
#[derive(Debug)]
pub enum Fault {
    /// What was asked or given is at fault; one line each. Exit code 2.
    Input(Vec<String>),
    /// Anything else. Exit code 1.
    Other(String),
}

impl Fault {
    /// One fault in what was given.
    pub fn input(line: impl Into<String>) -> Self {
        Self::Input(vec![line.into()])
    }

    /// The exit code.
    #[must_use]
    pub fn code(&self) -> u8 {
        match self {
            Self::Input(_) => 2,
            Self::Other(_) => 1,
        }
    }
}

impl From<DeskError> for Fault {
    fn from(error: DeskError) -> Self {
        match &error {
            DeskError::Asked(questions) => {
                Self::Input(questions.iter().map(|q| q.text()).collect())
            }
            e if e.is_input() => Self::input(error.to_string()),
            _ => Self::Other(error.to_string()),
        }
    }
}

macro_rules! through_the_desk {
    ($($error:ty),*) => {$(
        impl From<$error> for Fault {
            fn from(error: $error) -> Self {
                DeskError::from(error).into()
            }
        }
    )*};
}
through_the_desk!(StoreError, TableError, FillError, AmountError, BoundError);

/// An answer, for people and for programs.
#[derive(Debug)]
pub struct Reply {
    /// For people.
    pub text: String,
    /// For programs.
    pub json: Value,
    /// The answer is that something is wrong: exit code 1, and the text goes
    /// to standard error.
    pub bad: bool,
}

impl Reply {
    /// An answer from its two forms. Figures in the JSON are rounded to six
    /// significant digits, which is more than any of them is worth.
    ///
    /// # Errors
    /// [`Fault::Other`] when the answer cannot be written as JSON.
    pub fn new(text: impl Into<String>, json: impl Serialize) -> Result<Self, Fault> {
        let mut json = serde_json::to_value(json).map_err(|e| Fault::Other(e.to_string()))?;
        round(&mut json);
        Ok(Self {
            text: text.into(),
            json,
            bad: false,
        })
    }

    /// The same as an answer that something is wrong.
    #[must_use]
    pub fn bad(mut self) -> Self {
        self.bad = true;
        self
    }

    /// With what is to be known of the log itself, where there is anything.
    pub(super) fn with_notices(&mut self, lines: &[String]) {
        if let Value::Object(keys) = &mut self.json
            && !lines.is_empty()
        {
            keys.insert("log_notices".into(), lines.into());
        }
    }

    /// Nothing more to print: the answer is on standard output already.
    #[must_use]
    pub fn nothing() -> Self {
        Self {
            text: String::new(),
            json: Value::Null,
            bad: false,
        }
    }

    /// As asked for.
    #[must_use]
    pub fn written(&self, json: bool) -> String {
        if json && !self.json.is_null() {
            shown::json(&self.json.to_string()).into_owned()
        } else {
            shown::text(self.text.trim_end()).into_owned()
        }
    }
}

fn round(value: &mut Value) {
    match value {
        Value::Number(n) if n.is_f64() => {
            if let Some(x) = n.as_f64().and_then(|x| format!("{x:.5e}").parse().ok()) {
                *value = Value::from(if x == 0.0 { 0.0f64 } else { x });
            }
        }
        Value::Array(list) => list.iter_mut().for_each(round),
        Value::Object(map) => map.values_mut().for_each(round),
        _ => {}
    }
}

/// Clocks that differ by this little agree [s].
const AHEAD_SECONDS: i64 = 120;

/// One run of the program.
#[derive(Debug)]
pub struct Session {
    /// The data file asked for.
    data: Option<PathBuf>,
    /// The clock.
    pub clock: Clock,
    /// Answers wait for all that a log has to teach.
    patient: bool,
    /// Seed of every run.
    pub seed: u64,
    notices: RefCell<Vec<String>>,
    writes: Cell<bool>,
}

impl Session {
    /// From what holds for every command.
    ///
    /// # Errors
    /// [`Fault::Input`] when the moment cannot be read.
    pub fn new(global: Global) -> Result<Self, Fault> {
        if let Some(fault) = clock::zone_fault() {
            return Err(Fault::input(fault));
        }
        let clock = match &global.now {
            None => Clock::machine(),
            Some(text) => Clock::stopped(moment("--now", text, &ZonedDateTime::now())?),
        };
        Ok(Self {
            data: global.data,
            clock,
            patient: global.settled,
            seed: global.seed.unwrap_or(SEED),
            notices: RefCell::default(),
            writes: Cell::new(false),
        })
    }

    /// Where the data file is.
    #[must_use]
    pub fn data(&self) -> PathBuf {
        self.data.clone().unwrap_or_else(place::usual)
    }

    /// The desk on the keeper's log, made on first run.
    ///
    /// # Errors
    /// [`Fault`] when the file cannot be opened.
    pub fn desk_to_write(&self) -> Result<Desk, Fault> {
        self.writes.set(true);
        self.told(Desk::open(&self.data(), self.clock.clone())?)
    }

    /// The desk on the keeper's log, which must be there, to write in it.
    ///
    /// # Errors
    /// [`Fault`] when there is none yet, or it cannot be opened.
    pub fn desk_there_to_write(&self) -> Result<Desk, Fault> {
        self.writes.set(true);
        self.desk_there()
    }

    /// The desk on the keeper's log, which must be there.
    ///
    /// # Errors
    /// [`Fault`] when there is none yet, or it cannot be opened.
    pub fn desk_there(&self) -> Result<Desk, Fault> {
        self.told(Desk::open_existing(&self.data(), self.clock.clone())?)
    }

    /// The desk on the keeper's log, to read; when there is none yet, on an
    /// empty one, and nothing is made. A place that was named and holds no log
    /// is spoken of: it may be mistyped.
    ///
    /// # Errors
    /// [`Fault`] when the file is there and cannot be opened.
    pub fn desk(&self) -> Result<Desk, Fault> {
        let desk = self.desk_if_any()?;
        if let (None, Some(named)) = (desk.path(), &self.data) {
            self.notice(StoreError::NotThere(named.clone()).to_string());
        }
        Ok(desk)
    }

    /// As [`Session::desk`], for what hardly needs a log: that there is none is
    /// not spoken of.
    ///
    /// # Errors
    /// As [`Session::desk`].
    pub fn desk_if_any(&self) -> Result<Desk, Fault> {
        match Desk::open_existing(&self.data(), self.clock.clone()) {
            Err(DeskError::Store(StoreError::NotThere(_))) => self.empty_desk(),
            opened => self.told(opened?),
        }
    }

    /// The desk to serve pages from, made on first run. A damaged log that
    /// cannot be opened is served as one page that says so, with what can be
    /// read of it to save; one that cannot be written to is shown.
    ///
    /// # Errors
    /// [`Fault`] when the file cannot be opened for another reason.
    pub fn desk_to_serve(&self) -> Result<Desk, Fault> {
        let data = self.data();
        match Desk::open(&data, self.clock.clone()) {
            Err(why) if may_be_rescued(&why) => {
                self.notice(why.to_string());
                Ok(Desk::closed(&data, &why, self.clock.clone())?)
            }
            Err(DeskError::Store(
                StoreError::NotWritable(_) | StoreError::SeveralNames { .. } | StoreError::Lent(_),
            )) => {
                let desk = Desk::open_existing(&data, self.clock.clone())?;
                self.notices.borrow_mut().extend(desk.why_only_shown());
                self.told(desk)
            }
            opened => self.told(opened?),
        }
    }

    /// Keeps what is to be said of the log itself.
    fn told(&self, desk: Desk) -> Result<Desk, Fault> {
        self.notices.borrow_mut().extend(desk.notices());
        Ok(desk
            .with_bars(bars())
            .to_the_end()
            .waiting(self.patient)
            .seeded(self.seed))
    }

    /// Says something of the log beside the answer.
    pub fn notice(&self, line: String) {
        self.notices.borrow_mut().push(line);
    }

    /// What was said of the log itself since last asked.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        self.notices.take()
    }

    /// Whether the log was opened to be written in.
    #[must_use]
    pub fn writes(&self) -> bool {
        self.writes.get()
    }

    /// A desk on an empty log in memory.
    ///
    /// # Errors
    /// [`Fault`] when the tables are damaged.
    pub fn empty_desk(&self) -> Result<Desk, Fault> {
        let desk = Desk::in_memory(self.clock.clone())?;
        Ok(desk.with_bars(bars()).seeded(self.seed))
    }

    /// When something was seen or done, as typed [s since 1970-01-01 00:00
    /// UTC]; now when not given. Today's date alone is now when it is not noon
    /// yet.
    ///
    /// # Errors
    /// [`Fault::Input`] when it cannot be read or is still to come.
    pub fn when(&self, text: Option<&str>) -> Result<i64, Fault> {
        let now = self.clock.now();
        match text {
            None => Ok(now.timestamp().as_second()),
            Some(t) => {
                let at = moment("--when", t, &now)?;
                let ahead = at.timestamp().as_second() - now.timestamp().as_second();
                if ahead <= AHEAD_SECONDS {
                    return Ok(at.timestamp().as_second());
                }
                if typed::date(t).is_some_and(|day| day == now.date()) {
                    return Ok(now.timestamp().as_second());
                }
                Err(Fault::input(format!(
                    "--when `{}` is still to come; the log holds what was seen or done, up to now ({})",
                    typed::short(t),
                    now.strftime("%Y-%m-%dT%H:%M")
                )))
            }
        }
    }
}

/// A moment as typed: as [`typed::moment`], or `2 days ago`, `3 hours ago`,
/// `yesterday`.
fn moment(option: &str, text: &str, now: &ZonedDateTime) -> Result<ZonedDateTime, Fault> {
    if let Some(found) = ago(text.trim(), now) {
        return Ok(found);
    }
    typed::moment(text, now.time_zone())
        .map_err(|fault| Fault::input(format!("{option} {}", fault.text(text.trim()))))
}

/// `yesterday`, `2 days ago`, `3 hours ago`.
fn ago(typed: &str, now: &ZonedDateTime) -> Option<ZonedDateTime> {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let span = match words.as_slice() {
        ["now"] => 0.seconds(),
        ["yesterday"] => 1.days(),
        [n, unit, "ago"] => {
            let n: i64 = n.parse().ok().filter(|n| (0..=10_000).contains(n))?;
            match unit.trim_end_matches('s') {
                "minute" => n.minutes(),
                "hour" => n.hours(),
                "day" => n.days(),
                "week" => n.weeks(),
                _ => return None,
            }
        }
        _ => return None,
    };
    now.checked_sub(span).ok()
}

/// Whether to show how far an answer is: to somebody who looks on, never into
/// a pipe.
#[must_use]
pub fn bars() -> bool {
    std::io::stderr().is_terminal() && std::io::stdout().is_terminal()
}

/// The keeper's units, for `report.rs`.
#[must_use]
pub fn units(desk: &Desk) -> Units {
    match desk.system() {
        System::Us => Units::Us,
        System::Metric => Units::Metric,
    }
}
