//! Shelf, bin, new bin, correction, question.

use super::{NowPart, Shell};
use crate::chart::Svg;
use crate::web::error::Link;
use crate::web::widgets::{Figure, Form, Picture, Verdict};
use askama::Template;

/// The shelf: every bin, its drawing, its one most important line.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "shelf.html")]
pub struct ShelfPage {
    /// Around it.
    pub shell: Shell,
    /// Bins, those that need something first.
    pub bins: Vec<ShelfBin>,
    /// The demo shelf can be opened: nothing was ever written.
    pub may_demo: bool,
    /// What goes when the demo is put away; empty without one.
    pub demo_goes: String,
    /// That it is time to save a backup; empty when it is not.
    pub reminder: String,
}

/// One bin on the shelf.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfBin {
    /// Number.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Where it stands.
    pub place: String,
    /// Drawing.
    pub thumb: Svg,
    /// Verdict: a word, and the one most important line.
    pub verdict: Verdict,
    /// When to look next: `Fri 27 Nov (in 3 days)`.
    pub next: String,
    /// That its figures may move yet; empty when they are settled.
    pub settling: String,
}

/// One bin.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "bin.html")]
pub struct BinPage {
    /// Around it.
    pub shell: Shell,
    /// Number.
    pub id: i64,
    /// Name.
    pub name: String,
    /// Where it stands.
    pub place: String,
    /// The one most important line.
    pub verdict: Verdict,
    /// What the keeper saw of trouble lately, in sentences.
    pub seen: Vec<String>,
    /// Cross-section.
    pub section: Picture,
    /// Things worth doing now.
    pub todo: Vec<TodoLine>,
    /// How it is in there now.
    pub now: NowPart,
    /// Figures of acid and lime.
    pub figures: Vec<Figure>,
    /// pH over time.
    pub ph: Option<Picture>,
    /// What the last reading is worth, when it is local or doubtful.
    pub reading_note: String,
    /// What the log has taught, in sentences.
    pub learned: Vec<String>,
    /// A page of the log.
    pub log: LogPart,
    /// Forms of the quick entry.
    pub forms: Vec<Form>,
    /// Names offered where a material is typed: key and name.
    pub materials: Vec<(String, String)>,
}

/// Forms of the quick entry that are always in sight.
const COMMON_FORMS: usize = 6;

impl BinPage {
    /// The forms used daily or weekly.
    fn common_forms(&self) -> &[Form] {
        &self.forms[..self.forms.len().min(COMMON_FORMS)]
    }

    /// The forms used now and then.
    fn rare_forms(&self) -> &[Form] {
        &self.forms[self.forms.len().min(COMMON_FORMS)..]
    }

    /// A form used now and then is being filled in.
    fn is_rare_open(&self) -> bool {
        self.rare_forms().iter().any(|f| f.open)
    }
}

/// One thing worth doing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TodoLine {
    /// What.
    pub what: String,
    /// Why.
    pub why: String,
    /// What happens if it waits.
    pub if_it_waits: String,
    /// Where to do it; empty when it is done by hand alone.
    pub href: String,
    /// Words on that link.
    pub link: String,
}

/// A page of the log, newest first.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LogPart {
    /// Its lines.
    pub lines: Vec<LogLine>,
    /// Newer entries, on pages before it.
    pub from: usize,
    /// Where the page before it begins.
    pub before: usize,
    /// Entries on all pages.
    pub entries: usize,
}

impl LogPart {
    /// Where the page after it begins.
    fn after(&self) -> usize {
        self.from + self.lines.len()
    }

    /// Older entries, on pages after it.
    fn older(&self) -> usize {
        self.entries.saturating_sub(self.after())
    }
}

/// One line of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LogLine {
    /// Number of the entry.
    pub id: i64,
    /// When, in words.
    pub when: String,
    /// When, for machines: `2026-11-24T18:05`.
    pub machine_time: String,
    /// Kind: `Reading`, `Dose`.
    pub kind: String,
    /// What, in words.
    pub words: String,
    /// What it is worth, or a caution; may be empty.
    pub note: String,
    /// Replaced or struck by a later entry.
    pub struck: bool,
    /// The words go on, on the page of the entry.
    pub cut: bool,
}

/// The form for a new bin.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "add_bin.html")]
pub struct AddBinPage {
    /// Around it.
    pub shell: Shell,
    /// Form.
    pub form: Form,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
}

/// The form to correct or strike an entry.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "correct.html")]
pub struct CorrectPage {
    /// Around it.
    pub shell: Shell,
    /// Bin.
    pub bin: i64,
    /// Entry.
    pub entry: i64,
    /// The entry as it was written.
    pub line: LogLine,
    /// The later entry that stands in its place.
    pub later: Option<i64>,
    /// That later entry strikes it out.
    pub is_struck: bool,
    /// Form with the entry's values.
    pub form: Form,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
}

/// A value is unlikely or cannot be: keep it, or fix it.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "question.html")]
pub struct QuestionPage {
    /// Around it.
    pub shell: Shell,
    /// What is asked: `Is pH 7.0 on all three spots right?`
    pub question: String,
    /// Why it is asked.
    pub why: Vec<String>,
    /// It may be kept as typed (it is unlikely, not impossible).
    pub may_keep: bool,
    /// What was typed, to send again with `confirmed`.
    pub sent: Vec<(String, String)>,
    /// The form to fix it, filled with what was typed.
    pub fix: Form,
    /// Other ways on; when there are any, the form wrote an entry before.
    pub ways: Vec<Link>,
    /// Names offered where a material is typed.
    pub materials: Vec<(String, String)>,
    /// Where to go to write nothing.
    pub back: String,
}

impl QuestionPage {
    /// Whether it is about a reading, which is marked when it is kept.
    fn is_reading(&self) -> bool {
        self.sent.iter().any(|(name, _)| name == "spots")
    }
}
