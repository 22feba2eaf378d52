//! Of the living pages: what is shown at once, what folds, and what is wrong
//! with what was asked.

use super::living::{
    AlarmLine, AwayPage, CourseView, NowLine, NowPart, OutlookPage, RationPage, WeatherPage,
};
use crate::web::widgets::Problems;

impl OutlookPage {
    /// What is wrong with the what-if.
    pub(super) fn problems(&self) -> Problems {
        let controls = self.folds.iter().flat_map(|f| &f.controls);
        Problems::of(controls, &self.error)
            .meanwhile("What you typed is kept below. Until it is put right, this page shows what comes if things go on as now.")
    }

    /// Charts shown at once; the others fold.
    pub(super) fn first_charts(&self) -> &[CourseView] {
        &self.charts[..self.charts.len().min(FIRST_CHARTS)]
    }

    /// Charts that fold.
    pub(super) fn more_charts(&self) -> &[CourseView] {
        &self.charts[self.charts.len().min(FIRST_CHARTS)..]
    }

    /// What the charts that fold show.
    pub(super) fn more_charted(&self) -> String {
        named(self.more_charts().iter().map(|c| c.heading.as_str()))
    }

    /// Alarms shown at once; the others fold.
    pub(super) fn first_alarms(&self) -> &[AlarmLine] {
        &self.alarms[..self.alarms.len().min(FIRST_ALARMS)]
    }

    /// Alarms that fold.
    pub(super) fn more_alarms(&self) -> &[AlarmLine] {
        &self.alarms[self.alarms.len().min(FIRST_ALARMS)..]
    }

    /// What the alarms that fold are about.
    pub(super) fn more_alarmed(&self) -> String {
        named(self.more_alarms().iter().map(|a| a.what.as_str()))
    }
}

impl NowPart {
    /// Figures shown at once; the others fold.
    pub(super) fn first_lines(&self) -> &[NowLine] {
        &self.lines[..self.lines.len().min(FIRST_LINES)]
    }

    /// Figures that fold.
    pub(super) fn more_lines(&self) -> &[NowLine] {
        &self.lines[self.lines.len().min(FIRST_LINES)..]
    }

    /// What the figures that fold are.
    pub(super) fn more_named(&self) -> String {
        named(self.more_lines().iter().map(|l| l.label.as_str()))
    }
}

/// Names in one line, small inside it.
fn named<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let all: Vec<String> = names.map(engine::table::inside_a_sentence).collect();
    all.join(", ")
}

/// Charts of the outlook that do not fold: pH, moisture, temperature.
const FIRST_CHARTS: usize = 3;
/// Alarms of the outlook that do not fold.
const FIRST_ALARMS: usize = 3;
/// Figures of a bin that do not fold.
const FIRST_LINES: usize = 5;

impl RationPage {
    /// What is wrong with the question.
    pub(super) fn problems(&self) -> Problems {
        Problems::of(self.controls.iter(), &self.error)
    }
}

impl AwayPage {
    /// What is wrong with the question.
    pub(super) fn problems(&self) -> Problems {
        Problems::of(self.controls.iter(), &self.error)
    }
}

impl WeatherPage {
    /// What is wrong with the question.
    pub(super) fn problems(&self) -> Problems {
        Problems::of(self.controls.iter(), &self.error)
    }
}
