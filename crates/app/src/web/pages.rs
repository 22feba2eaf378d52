//! The pages: a struct for each, with a template of the same name. They hold
//! words and pictures ready to show; who fills them is in `answers`.

mod at_fault;
mod bins;
mod entry;
mod house;
mod living;
mod living_forms;
mod living_shown;
mod plans;

pub(super) use at_fault::MayBeAtFault;
pub use bins::{
    AddBinPage, BinPage, CorrectPage, LogLine, LogPart, QuestionPage, ShelfBin, ShelfPage, TodoLine,
};
pub(crate) use entry::filled as filled_rows;
pub use entry::{entry_forms, species_words};
pub use house::{
    BackupLine, Backups, DamagePage, ErrorPage, MaterialLine, MaterialPage, NumberRow,
    SettingsPage, ShedPage,
};
pub use living::{
    AlarmLine, AwayAnswer, AwayPage, Choice, CourseView, Fold, HelpLine, NextLook, NowLine,
    NowPart, OutlookPage, RationAnswer, RationPage, Taught, TodayLine, TodayPage, WeatherAnswer,
    WeatherPage,
};
pub use living_forms::{PREPARED, away_controls, outlook_folds, ration_controls, weather_controls};
pub use plans::{
    DoseOption, DosePage, JarResult, JarTestPage, JudgePage, JudgeResult, PartRow, PlanStep,
    Refusal, Slider, TrayResult, TrayTestPage, WhatIfPart,
};

use super::assets;

/// Which door of the house a page is behind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Nav {
    /// None of them.
    #[default]
    None,
    /// Shelf.
    Shelf,
    /// Today.
    Today,
    /// Judge a bedding.
    Judge,
    /// Shed.
    Shed,
    /// Settings.
    Settings,
}

/// What every page has around it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shell {
    /// Title.
    pub title: String,
    /// Door.
    pub nav: Nav,
    /// A line on what was just done.
    pub notice: String,
    /// Where the data file is; empty when there is none to name.
    pub data_place: String,
    /// The page shows the invented shelf.
    pub demo: bool,
    /// Bins of the keeper's own stand beside the invented ones.
    pub own_too: bool,
    /// What is wrong with the log itself, in a few words; empty when nothing.
    pub damage: String,
    /// That the log is shown and takes nothing, and why; empty when it can be
    /// written to.
    pub only_shown: String,
}

impl Shell {
    /// A shell with a title behind a door.
    #[must_use]
    pub fn new(title: &str, nav: Nav) -> Self {
        Self {
            title: title.to_owned(),
            nav,
            ..Self::default()
        }
    }

    /// With the notice for a word from a fixed list (so that an address
    /// cannot put words on a page).
    #[must_use]
    pub fn said(mut self, word: &str) -> Self {
        let notice = match word {
            "logged" => "Written in the log.",
            "corrected" => "Corrected. The first entry is kept and marked.",
            "struck" => "Struck out. The first entry is kept and marked.",
            "saved" => "Saved.",
            "added" => "The bin is on the shelf.",
            "restored" => "The backup is in place. The log it replaced is kept beside it.",
            "imported" => "The log was taken in.",
            "file-before" => {
                "That file was sent before and was taken then. Nothing was done twice."
            }
            _ => "",
        };
        notice.clone_into(&mut self.notice);
        self
    }

    /// The doors: address, words, and whether this page is behind it.
    #[must_use]
    pub fn doors(&self) -> [(&'static str, &'static str, bool); 5] {
        [
            ("/", "Shelf", self.nav == Nav::Shelf),
            ("/today", "Today", self.nav == Nav::Today),
            ("/judge", "Judge a bedding", self.nav == Nav::Judge),
            ("/shed", "Shed", self.nav == Nav::Shed),
            ("/settings", "Settings", self.nav == Nav::Settings),
        ]
    }

    /// Address of the style sheet.
    #[must_use]
    pub fn style(&self) -> String {
        assets::style()
    }

    /// Address of the script.
    #[must_use]
    pub fn script(&self) -> String {
        assets::script()
    }

    /// Address of the icon.
    #[must_use]
    pub fn icon(&self) -> String {
        assets::icon()
    }
}
