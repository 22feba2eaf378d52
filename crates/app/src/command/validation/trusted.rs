//! How far to trust each figure: the page's plain table.

use engine::validation::experiments::Blind;
use engine::validation::predicted::{Kind, Prediction, share_inside};
use engine::validation::trust::{MOST, Trusted, trusted};
use std::fmt::Write;

/// Fewer treatments than this say little.
const FEW: usize = 5;

/// The section.
pub(super) fn section(evidence: &[Prediction]) -> String {
    let mut out = String::from(
        "
## How far to trust each figure

From what others measured: experiments predicted in full and keepers' cases. *Held* is the share of measured values inside the 80 % interval as the model gives it, every treatment counting once; the interval shown to a keeper is widened as the third number says.

| figure | treatments, values | held | shown so many times as wide | in plain words |
|---|---|---|---|---|
",
    );
    for t in trusted(evidence) {
        let held = share_inside(evidence, t.kind, Blind::Yes).map_or_else(
            || "-".to_owned(),
            |(share, _, _)| format!("{:.0} %", 100.0 * share),
        );
        let _ = writeln!(
            out,
            "| {} | {}, {} | {held} | {:.2} | {} |",
            t.kind.title(),
            t.treatments,
            t.values,
            t.widening,
            words(&t)
        );
    }
    out
}

fn words(t: &Trusted) -> String {
    let few = if t.treatments < FEW {
        " Few measurements: it could as well be luck."
    } else {
        ""
    };
    match t.needed {
        None if t.kind == Kind::Castings => {
            "Nobody measured it day by day; worms make it, so it is trusted no more than their mass.".into()
        }
        None => "Nobody measured it in a described bin: nothing speaks for or against the interval.".into(),
        Some(needed) if needed > MOST => format!(
            "Do not trust the number: {needed:.1} times as wide would be needed. Watch which way it goes, and what the bin shows.{few}"
        ),
        Some(needed) if needed >= 1.5 => format!("A rough guess, good for the order of size.{few}"),
        Some(needed) if needed > 1.0 => format!("Usable with its widened interval.{few}"),
        Some(_) => format!("Held as it stands.{few}"),
    }
}
