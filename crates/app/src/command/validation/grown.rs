//! Growth curves in wastes, predicted and written as a table.

use super::{Fault, Reply, cannot};
use engine::table::Tables;
use engine::validation::ValidationError;
use engine::validation::grown::{Grown, HEADING, How, judged, load, run};
use rayon::prelude::*;
use std::path::Path;

/// Predicts the curves of one standing and writes `grown_WHICH.csv`; says how each
/// paper and all of them are judged.
pub(super) fn write(folder: &Path, which: &str, commit: &str, date: &str) -> Result<Reply, Fault> {
    let how = How::parse(which)
        .ok_or_else(|| Fault::Other(format!("`{which}` is neither `fittable` nor `aside`")))?;
    let tables = Tables::load()?;
    let other = |e: &ValidationError| Fault::Other(e.to_string());
    let papers = load()?;
    let all: Vec<Vec<Grown>> = papers
        .par_iter()
        .map(|p| run(&tables, how, p).map_err(|e| other(&e)))
        .collect::<Result<_, Fault>>()?;
    let mut text = format!(
        "# commit {commit}, {date}, seed and bins as for published experiments\n{HEADING}\n"
    );
    let mut said = Vec::new();
    for (p, of) in papers.iter().zip(&all) {
        for g in of {
            text += &g.row(p.standing());
            text.push('\n');
        }
        let of: Vec<&Grown> = of.iter().collect();
        said.extend(judged(&of).map(|j| format!("{}: {}", p.key, j.said())));
    }
    let of: Vec<&Grown> = all.iter().flatten().collect();
    said.extend(judged(&of).map(|j| format!("all: {}", j.said())));
    let path = folder.join(format!("grown_{}.csv", how.name()));
    std::fs::write(&path, text).map_err(|e| cannot(&path, &e))?;
    Reply::new(said.join("\n"), said)
}
