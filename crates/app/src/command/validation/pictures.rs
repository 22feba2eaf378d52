//! The plots of the page: what the checks compare, drawn, misses left in.

mod covered;
mod experiments;
mod worms;

use super::Fault;
use crate::chart::{PlotSheet, Svg, plot_sheet};
use engine::table::Tables;
use engine::validation::curves::curves;
use engine::validation::predicted::Prediction;
use engine::validation::scored::Following;

/// Folder of the plots, beside the page.
pub const FOLDER: &str = "docs/validation";

/// One plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// File name in [`FOLDER`].
    pub file: String,
    /// What it shows, in words.
    pub words: String,
    /// The picture.
    pub svg: Svg,
}

impl Picture {
    fn of(sheet: &PlotSheet) -> Self {
        let panels: Vec<&str> = sheet.panels.iter().map(|p| p.title.as_str()).collect();
        Self {
            file: format!("{}.svg", sheet.id),
            words: format!("{}. Panels: {}.", sheet.title, panels.join("; ")),
            svg: plot_sheet(sheet),
        }
    }

    /// As a line of the page.
    pub(super) fn line(&self) -> String {
        format!("\n![{}]({FOLDER}/{})\n", self.words, self.file)
    }
}

/// Every plot, in the order of the page.
///
/// # Errors
/// [`Fault`] when a number is missing.
pub fn pictures(evidence: &[Prediction], lived: &Following) -> Result<Vec<Picture>, Fault> {
    let curves = curves(&Tables::load()?).map_err(|e| Fault::Other(e.to_string()))?;
    Ok([
        covered::sheet(lived),
        experiments::sheet(evidence),
        worms::population(&curves),
        worms::growth(&curves),
        worms::moisture(&curves),
        worms::density(&curves),
    ]
    .iter()
    .map(Picture::of)
    .collect())
}

/// `3 of 11 missed`.
fn missed(missed: usize, of: usize) -> String {
    format!("{missed} of {of} missed")
}
