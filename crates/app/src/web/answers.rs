//! What the pages ask for. The app answers from the store and the engine;
//! tests answer with invented data. Pages never see either side.

use super::error::PageError;
use super::pages::{
    AddBinPage, AwayPage, BinPage, CorrectPage, DamagePage, DosePage, JarTestPage, JudgePage,
    MaterialPage, OutlookPage, QuestionPage, RationPage, SettingsPage, ShedPage, ShelfPage,
    TodayPage, TrayTestPage, WeatherPage, WhatIfPart,
};
use crate::report::Units;

/// The field that says which units a form was shown in: what was typed into it
/// is read in those, whatever is set by the time it is sent.
pub const SHOWN_IN: &str = "shown_in";

/// An answer, or a page that says what went wrong.
pub type Answer<T> = Result<T, PageError>;

/// What a posted form leads to.
#[derive(Debug)]
pub enum Outcome<P> {
    /// Done: look here next (after a redirect, so that a reload does not
    /// write twice).
    Go(String),
    /// Not done: the same page again, with errors beside the fields.
    Show(Box<P>),
    /// Not done yet: a value is unlikely; ask.
    Ask(Box<QuestionPage>),
}

/// The fields of a form as sent, in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Fields(pub Vec<(String, String)>);

impl Fields {
    /// The first value of a field, without spaces at its ends; empty when absent.
    #[must_use]
    pub fn get(&self, name: &str) -> &str {
        let found = self.0.iter().find(|(n, _)| n == name);
        found.map_or("", |(_, v)| v.trim())
    }

    /// Whether a field was sent with something in it.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        !self.get(name).is_empty()
    }

    /// The units its form was shown in; none where it does not say.
    #[must_use]
    pub fn shown_in(&self) -> Option<Units> {
        Units::of_word(self.get(SHOWN_IN))
    }

    /// Of all fields, those of one name.
    #[must_use]
    pub fn only(&self, name: &str) -> Self {
        Self(self.0.iter().filter(|(n, _)| n == name).cloned().collect())
    }

    /// All values of a field.
    #[must_use]
    pub fn all(&self, name: &str) -> Vec<&str> {
        let named = self.0.iter().filter(|(n, _)| n == name);
        named.map(|(_, v)| v.trim()).collect()
    }
}

/// A file handed to the keeper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Download {
    /// File name offered: letters, digits, `-`, `_` and `.` only.
    pub name: String,
    /// Its type.
    pub mime: &'static str,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// A file sent.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Upload {
    /// Its content.
    pub bytes: Vec<u8>,
    /// Its name on the keeper's side; empty when the browser gives none.
    pub name: String,
    /// The one-time key of the form; empty when it has none.
    pub once: String,
}

/// In what form the log is exported.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Export {
    /// One JSON object a line.
    JsonLines,
    /// A table.
    Csv,
}

/// What the pages ask for. Called away from the network threads; may block.
///
/// Every method that takes `fields` of a page's own address takes them from
/// the query, so that an answer can be linked to and reloaded.
#[expect(
    clippy::missing_errors_doc,
    reason = "every method fails the same way: a PageError to show"
)]
pub trait Answers: Send + Sync + 'static {
    /// Whether the log is there to be read and written; asked before every
    /// page and form.
    fn ready(&self) -> Answer<()> {
        Ok(())
    }
    /// Something may have been written: whatever is to be done after that and
    /// need not be waited for.
    fn tend(&self) {}
    /// The shelf of bins.
    fn shelf(&self) -> Answer<ShelfPage>;
    /// Open the invented shelf; says where to go next.
    fn open_demo(&self, fields: &Fields) -> Answer<String>;
    /// Put the invented shelf away; says where to go next.
    fn close_demo(&self, fields: &Fields) -> Answer<String>;
    /// The form for a new bin.
    fn add_bin_form(&self, fields: &Fields) -> Answer<AddBinPage>;
    /// Add a bin.
    fn add_bin(&self, fields: &Fields) -> Answer<Outcome<AddBinPage>>;
    /// One bin. `fields` may name the entry form to open (`open`).
    fn bin(&self, bin: i64, fields: &Fields) -> Answer<BinPage>;
    /// Write in the log. `kind` names the form; `confirmed` says an unlikely
    /// value stands.
    fn log_entry(&self, bin: i64, fields: &Fields) -> Answer<Outcome<BinPage>>;
    /// The form to correct an entry.
    fn correct_form(&self, bin: i64, entry: i64) -> Answer<CorrectPage>;
    /// Correct an entry, or strike it (`strike` sent).
    fn correct(&self, bin: i64, entry: i64, fields: &Fields) -> Answer<Outcome<CorrectPage>>;
    /// Judge a bedding; without parts, the empty form.
    fn judge(&self, fields: &Fields) -> Answer<JudgePage>;
    /// The dose plan, with `material`, `amount` and `target` when chosen.
    fn dose(&self, bin: i64, fields: &Fields) -> Answer<DosePage>;
    /// The part of the dose page the slider changes.
    fn what_if(&self, bin: i64, fields: &Fields) -> Answer<WhatIfPart>;
    /// The jar test of a bin.
    fn jar_test(&self, bin: i64, fields: &Fields) -> Answer<JarTestPage>;
    /// Write down a jar test.
    fn record_jar_test(&self, bin: i64, fields: &Fields) -> Answer<Outcome<JarTestPage>>;
    /// The half-and-half tray test: read when its counts are in `fields`.
    fn tray_test(&self, fields: &Fields) -> Answer<TrayTestPage>;
    /// What lies ahead of a bin, for `days`, as things are or with a what-if
    /// (fields: [`super::outlook_folds`]).
    fn outlook(&self, bin: i64, fields: &Fields) -> Answer<OutlookPage>;
    /// How much to feed now (fields: [`super::ration_controls`]).
    fn ration(&self, bin: i64, fields: &Fields) -> Answer<RationPage>;
    /// Leaving a bin alone for a while (fields: [`super::away_controls`]).
    fn away(&self, bin: i64, fields: &Fields) -> Answer<AwayPage>;
    /// Heat and cold (fields: [`super::weather_controls`]).
    fn weather(&self, bin: i64, fields: &Fields) -> Answer<WeatherPage>;
    /// What is worth doing now across all bins.
    fn today(&self) -> Answer<TodayPage>;
    /// The shed and the tables, searched by `q` and `role`.
    fn shed(&self, fields: &Fields) -> Answer<ShedPage>;
    /// One material.
    fn material(&self, key: &str, fields: &Fields) -> Answer<MaterialPage>;
    /// Write down the keeper's own values of a material.
    fn own_values(&self, key: &str, fields: &Fields) -> Answer<Outcome<MaterialPage>>;
    /// Settings.
    fn settings(&self, fields: &Fields) -> Answer<SettingsPage>;
    /// Change settings.
    fn set(&self, fields: &Fields) -> Answer<Outcome<SettingsPage>>;
    /// What is wrong with the log.
    fn damage(&self) -> Answer<DamagePage>;
    /// What can be read of the log, as a new one.
    fn rescued(&self) -> Answer<Download>;
    /// The whole data file.
    fn backup(&self) -> Answer<Download>;
    /// The whole log.
    fn export(&self, form: Export) -> Answer<Download>;
    /// Put back a backup.
    fn restore(&self, file: &Upload) -> Answer<Outcome<SettingsPage>>;
    /// Take in an exported log (JSON Lines).
    fn import(&self, file: &Upload) -> Answer<Outcome<SettingsPage>>;
}
