//! How far to trust each figure: the page's plain table.

use engine::validation::experiments::Blind;
use engine::validation::predicted::{FIRST_RUN, FRESH, Group, Kind, Prediction, share_inside};
use engine::validation::trust::{Trusted, most, shown_error, trusted};
use std::fmt::Write;

/// Fewer treatments than this say little.
const FEW: usize = 5;
/// A share held below this is hardly any.
const HARDLY: f64 = 0.25;

/// The section.
pub(super) fn section(evidence: &[Prediction]) -> String {
    let mut out = format!(
        "
## How far to trust each figure

From what others measured: experiments predicted in full and keepers' cases. *Held* is the share of measured values inside the 80 % interval as the model gives it, every treatment counting once, with how many treatments that is; to the interval shown to a keeper the error beside it is added, as `sqrt(h² + e²)`: all of it where the figure was never measured in that bin, none where it was measured just now.

*Seen* and *fresh* are held apart. The laws of the model were changed after the misses of the older experiments and of the keepers' cases had been seen; what is held of those is how well the laws were mended, and **no proof** that they hold elsewhere. *Fresh* are the experiments for whose outcomes no law was changed: {FRESH}. {FIRST_RUN}. Their setups were committed before the first run. Only these can prove anything, and they are few, with much of their setups assumed. The error added is worked out from both; what is fresh may make it larger, never smaller.

| figure | treatments, values | held, seen | held, fresh | error added | in plain words |
|---|---|---|---|---|---|
"
    );
    for t in trusted(evidence) {
        let share = |group| share_inside(evidence, t.kind, Blind::Yes, group);
        let held = |group| {
            share(Some(group)).map_or_else(
                || "-".to_owned(),
                |(s, boxes, _)| format!("{:.0} % of {boxes}", 100.0 * s),
            )
        };
        // What is fresh may take trust away, and gives none.
        let least = [share(None), share(Some(Group::Seen))]
            .into_iter()
            .flatten()
            .map(|(share, ..)| share)
            .reduce(f64::min);
        let _ = writeln!(
            out,
            "| {} | {}, {} | {} | {} | {} | {} |",
            t.kind.title(),
            t.treatments,
            t.values,
            held(Group::Seen),
            held(Group::Fresh),
            shown_error(t.kind, t.error),
            words(&t, least.unwrap_or(0.0))
        );
    }
    out
}

/// What to make of it. An interval that held next to nothing is not mended by
/// making it wide.
fn words(t: &Trusted, share: f64) -> String {
    let few = if t.treatments < FEW {
        " Few measurements."
    } else {
        ""
    };
    match t.needed {
        None if t.kind == Kind::Castings => {
            "Nobody measured it day by day; worms make it of what is not lost, so it is trusted no more than their mass and the mass lost.".into()
        }
        None if t.error > 0.0 => {
            "Nobody measured it day by day in a described bin: the error is a judgement.".into()
        }
        None => "Nobody measured it in a described bin: nothing speaks for or against the interval.".into(),
        Some(needed) if needed > most(t.kind) => format!(
            "Do not trust the number: {} would be needed. Watch which way it goes, and what the bin shows.{few}",
            shown_error(t.kind, needed)
        ),
        Some(_) if share < HARDLY => format!(
            "Do not trust the number: the interval held hardly any measured value, and widening makes it wide, not right.{few}"
        ),
        Some(needed) if needed > 0.0 => format!("Usable with its error added.{few}"),
        Some(_) => format!("Held as it stands.{few}"),
    }
}
