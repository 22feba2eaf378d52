//! Parts that pages are made of. Each is a small template that shows itself.

mod problems;
mod verdict;

pub use problems::Problems;
pub use verdict::{Drift, Shape, Verdict};

use super::answers::Fields;
use super::once;
use crate::chart::{Size, Svg, interval_bar};
use crate::report::Units;
use crate::shown;
use askama::Template;
use askama::filters::HtmlSafe;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use engine::bounds::Bound;
use engine::quantity::Band;

/// A page as an answer, with what a screen must not be given raw shown as its
/// number; a template that fails is our fault and says so.
pub(super) fn page(template: &impl Template) -> Response {
    match template.render() {
        Ok(text) => Html(shown::text(&text).into_owned()).into_response(),
        Err(error) => {
            tracing::error!(%error, "a page could not be written");
            let text = "This page could not be written. Go back and try another.";
            (StatusCode::INTERNAL_SERVER_ERROR, text).into_response()
        }
    }
}

macro_rules! parts {
    ($($name:ident),*) => { $(impl HtmlSafe for $name {})* };
}
parts!(
    Control, Field, Chips, Form, Figure, Picture, Problems, Reasons, Sources, Verdict, Table, Shape
);

/// How a field is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// A line of text.
    Text,
    /// A number; the phone shows digits.
    Number,
    /// A date and time.
    DateTime,
    /// A date.
    Date,
    /// Several lines.
    Lines,
    /// One of a list, typed or picked; names the list's id.
    Suggest(String),
    /// One of few: value and words.
    Select(Vec<(String, String)>),
    /// Sent along unseen.
    Hidden,
}

/// A field with label, hint and error. The value is kept on error.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/field.html")]
pub struct Field {
    /// Name as sent.
    pub name: String,
    /// Label.
    pub label: String,
    /// Value as typed.
    pub value: String,
    /// Hint under the label.
    pub hint: String,
    /// What is wrong with the value.
    pub error: String,
    /// How it is typed.
    pub kind: Kind,
    /// Unit shown after it.
    pub unit: String,
    /// Must be filled in.
    pub required: bool,
    /// Not marked as `if known` although it may be left empty.
    pub unmarked: bool,
    /// Set apart from other forms' fields of the same name on one page.
    pub scope: String,
}

impl Field {
    /// An empty field.
    #[must_use]
    pub fn new(kind: Kind, name: &str, label: &str) -> Self {
        Self {
            name: name.to_owned(),
            label: label.to_owned(),
            value: String::new(),
            hint: String::new(),
            error: String::new(),
            kind,
            unit: String::new(),
            required: false,
            unmarked: false,
            scope: String::new(),
        }
    }

    /// A number with the unit and range of `bound` in its hint.
    #[must_use]
    pub fn bounded(name: &str, label: &str, bound: &Bound) -> Self {
        let unit = if bound.unit == "pH" { "" } else { bound.unit };
        Self::new(Kind::Number, name, label)
            .unit(unit)
            .hint(&format!("{} to {}", bound.low, bound.high))
    }

    /// With a hint.
    #[must_use]
    pub fn hint(mut self, hint: &str) -> Self {
        self.hint = hint.to_owned();
        self
    }

    /// With a value.
    #[must_use]
    pub fn value(mut self, value: &str) -> Self {
        self.value = value.to_owned();
        self
    }

    /// With a unit.
    #[must_use]
    pub fn unit(mut self, unit: &str) -> Self {
        self.unit = unit.to_owned();
        self
    }

    /// Must be filled in.
    #[must_use]
    pub fn required(mut self) -> Self {
        self.required = true;
        self
    }

    /// Without the mark `if known`.
    #[must_use]
    pub fn unmarked(mut self) -> Self {
        self.unmarked = true;
        self
    }

    /// Id of the input.
    #[must_use]
    pub fn id(&self) -> String {
        format!("f-{}-{}", self.scope, self.name)
    }

    /// May be left empty, and says so.
    #[must_use]
    pub fn optional(&self) -> bool {
        !self.required
            && !self.unmarked
            && !matches!(
                self.kind,
                Kind::Select(_) | Kind::DateTime | Kind::Date | Kind::Lines
            )
    }

    /// What the input is described by; empty for nothing.
    #[must_use]
    pub fn described_by(&self) -> String {
        let mut ids = Vec::new();
        if !self.hint.is_empty() {
            ids.push(format!("{}-hint", self.id()));
        }
        if !self.error.is_empty() {
            ids.push(format!("{}-error", self.id()));
        }
        ids.join(" ")
    }
}

/// One choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chip {
    /// Value as sent.
    pub value: String,
    /// Words.
    pub words: String,
    /// Chosen.
    pub chosen: bool,
}

/// Choices as big buttons: one (radio) or any number (boxes).
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/chips.html")]
pub struct Chips {
    /// Name as sent.
    pub name: String,
    /// What is chosen.
    pub legend: String,
    /// Any number may be chosen.
    pub many: bool,
    /// Choices.
    pub chips: Vec<Chip>,
    /// Hint under the legend.
    pub hint: String,
    /// What is wrong.
    pub error: String,
    /// Set apart from other forms on one page.
    pub scope: String,
}

impl Chips {
    /// Choices from value and words; `chosen` is the value chosen first.
    #[must_use]
    pub fn new(name: &str, legend: &str, many: bool, list: &[(&str, &str)], chosen: &str) -> Self {
        let chip = |(value, words): &(&str, &str)| Chip {
            value: (*value).to_owned(),
            words: (*words).to_owned(),
            chosen: !chosen.is_empty() && *value == chosen,
        };
        Self {
            name: name.to_owned(),
            legend: legend.to_owned(),
            many,
            chips: list.iter().map(chip).collect(),
            hint: String::new(),
            error: String::new(),
            scope: String::new(),
        }
    }

    /// Id of the choices: from the form, the name and the first choice, as
    /// several sets may share a name.
    #[must_use]
    pub fn id(&self) -> String {
        let first = self.chips.first().map_or("", |c| c.value.as_str());
        format!("c-{}-{}-{first}", self.scope, self.name)
    }
}

/// A field or choices.
#[derive(Debug, Clone, PartialEq)]
pub enum Control {
    /// A field.
    Field(Field),
    /// Choices.
    Chips(Chips),
}

impl std::fmt::Display for Control {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Field(field) => field.fmt(f),
            Self::Chips(chips) => chips.fmt(f),
        }
    }
}

/// A form: where it goes, its controls, its button.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/form.html")]
pub struct Form {
    /// Told apart from others on the page; also sent as `kind`.
    pub kind: String,
    /// What it is for.
    pub title: String,
    /// Where it is sent.
    pub action: String,
    /// Controls, in order.
    pub controls: Vec<Control>,
    /// Words on the button.
    pub submit: String,
    /// Shown open where forms fold.
    pub open: bool,
    /// What is wrong with the form as a whole.
    pub error: String,
    /// Its one-time key; a fresh one each time it is shown when empty.
    pub once: String,
    /// The units it is shown in, sent along; none where nothing in it has any.
    pub shown_in: Option<Units>,
}

impl Form {
    /// A form; its controls are set apart by `kind`.
    #[must_use]
    pub fn new(
        kind: &str,
        title: &str,
        action: &str,
        submit: &str,
        mut controls: Vec<Control>,
    ) -> Self {
        for control in &mut controls {
            match control {
                Control::Field(f) => kind.clone_into(&mut f.scope),
                Control::Chips(c) => kind.clone_into(&mut c.scope),
            }
        }
        Self {
            kind: kind.to_owned(),
            title: title.to_owned(),
            action: action.to_owned(),
            controls,
            submit: submit.to_owned(),
            open: false,
            error: String::new(),
            once: String::new(),
            shown_in: None,
        }
    }

    /// Shown in these units, which are sent along.
    #[must_use]
    pub fn shown_in(mut self, units: Units) -> Self {
        self.shown_in = Some(units);
        self
    }

    /// The key it is shown with.
    #[must_use]
    pub fn key(&self) -> String {
        if self.once.is_empty() {
            once::fresh()
        } else {
            self.once.clone()
        }
    }

    /// Put back what was typed, and what is wrong with it: pairs of a control's
    /// name and a message. A message for no control is shown on the form.
    pub fn refill(&mut self, fields: &Fields, errors: &[(String, String)]) {
        self.open = true;
        // What is sent again is sent under the key it was first sent under.
        fields.get("once").clone_into(&mut self.once);
        let said = |name: &str| {
            let found = errors.iter().find(|(n, _)| n == name);
            found.map_or(String::new(), |(_, m)| m.clone())
        };
        for control in &mut self.controls {
            match control {
                Control::Field(f) => {
                    if fields.0.iter().any(|(n, _)| *n == f.name) {
                        fields.get(&f.name).clone_into(&mut f.value);
                    }
                    f.error = said(&f.name);
                }
                Control::Chips(c) => {
                    let sent = fields.all(&c.name);
                    for chip in &mut c.chips {
                        chip.chosen = sent.contains(&chip.value.as_str());
                    }
                    c.error = said(&c.name);
                }
            }
        }
        let stray: Vec<&str> = errors
            .iter()
            .filter(|(n, _)| !self.has(n))
            .map(|(_, m)| m.as_str())
            .collect();
        self.error = stray.join(" ");
    }

    /// Controls with something wrong: id and label.
    #[must_use]
    pub fn wrong(&self) -> Vec<(String, String)> {
        let wrong = |c: &Control| match c {
            Control::Field(f) if !f.error.is_empty() => Some((f.id(), f.label.clone())),
            Control::Chips(c) if !c.error.is_empty() => Some((c.id(), c.legend.clone())),
            _ => None,
        };
        self.controls.iter().filter_map(wrong).collect()
    }

    /// Something is wrong with it.
    #[must_use]
    pub fn is_wrong(&self) -> bool {
        !self.error.is_empty() || !self.wrong().is_empty()
    }

    /// Where the control of this name stands among them.
    #[must_use]
    pub fn place_of(&self, name: &str) -> Option<usize> {
        self.controls.iter().position(|c| match c {
            Control::Field(f) => f.name == name,
            Control::Chips(c) => c.name == name,
        })
    }

    fn has(&self, name: &str) -> bool {
        self.place_of(name).is_some()
    }
}

/// A figure with its range and a small bar.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/figure.html")]
pub struct Figure {
    /// What it is.
    pub label: String,
    /// The figure with its range: `6.4 (5.9 to 6.8)`.
    pub words: String,
    /// Bar.
    pub bar: Option<Svg>,
    /// A word on it: `comfortable`, `too acid`.
    pub note: String,
}

impl Figure {
    /// A figure with its bar on `axis`.
    #[must_use]
    pub fn new(label: &str, words: String, band: &Band, axis: (f64, f64), note: &str) -> Self {
        let bar = interval_bar(label, band, axis, &format!("{label}: {words}"));
        Self {
            label: label.to_owned(),
            words,
            bar: Some(bar),
            note: note.to_owned(),
        }
    }

    /// A figure in words only.
    #[must_use]
    pub fn plain(label: &str, words: &str, note: &str) -> Self {
        Self {
            label: label.to_owned(),
            words: words.to_owned(),
            bar: None,
            note: note.to_owned(),
        }
    }
}

/// A picture for both sizes of screen.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/picture.html")]
pub struct Picture {
    /// For a phone.
    pub narrow: Svg,
    /// For a desk screen and paper.
    pub wide: Svg,
    /// Caption.
    pub caption: String,
}

impl Picture {
    /// Draw for both sizes.
    #[must_use]
    pub fn of(draw: impl Fn(Size) -> Svg, caption: &str) -> Self {
        Self {
            narrow: draw(Size::Narrow),
            wide: draw(Size::Wide),
            caption: caption.to_owned(),
        }
    }
}

/// How much a reason counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Decides.
    Decides,
    /// Counts.
    Counts,
    /// Good to know.
    Note,
}

impl Weight {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Decides => "decides",
            Self::Counts => "counts",
            Self::Note => "note",
        }
    }
}

/// Reasons, heaviest first.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/reasons.html")]
pub struct Reasons {
    /// Weight and words.
    pub list: Vec<(Weight, String)>,
}

/// Where numbers come from.
#[derive(Debug, Clone, PartialEq, Default, Template)]
#[template(path = "parts/sources.html")]
pub struct Sources {
    /// One line each: author, year, place, and how it was read.
    pub lines: Vec<String>,
}

/// A table. The first cell of a row is its heading.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "parts/table.html")]
pub struct Table {
    /// Caption.
    pub caption: String,
    /// Column heads.
    pub head: Vec<String>,
    /// Rows.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// Head of a column, for where the heads are out of sight.
    // The template hands over a reference.
    #[allow(clippy::trivially_copy_pass_by_ref)]
    fn label(&self, column: &usize) -> &str {
        self.head.get(*column).map_or("", String::as_str)
    }
}
