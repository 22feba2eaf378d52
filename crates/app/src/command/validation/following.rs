//! The page's section on bins that were followed.

use engine::validation::following::{FOLLOWED, Following, MEMBERS, SEED, WEEKS};
use std::fmt::Write;

const NAMES: [(&str, &str); 5] = [
    ("pH", "pH"),
    ("moisture", "points"),
    ("temperature in the middle", "K"),
    ("worm biomass", "kg"),
    ("castings, dry", "kg"),
];

/// The section.
pub(super) fn section(out: &mut String, f: &Following) {
    let _ = write!(
        out,
        "
## Do the intervals of the living bin hold the truth

{} bins, each with a hidden nature (how fast it rots, dries, breathes and loses heat, how its worms fare, what its room is like, how heavy the keeper's cups are) drawn from the priors, were filled with one of five beddings, stocked with 150 to 590 g of worms, fed once a week and looked at once or twice a week: mostly words (squeeze, food left, where the worms are, plump or thin, smells), a thermometer in three weeks of ten, a cheap pH pen in one of four. {MEMBERS} members estimated each from its log alone, seed {SEED}. By chance a share moves by ± 5 points.

| after | figure | truth in the 80 % interval | truth below it | half-width | half-width had nobody looked | truth inside had nobody looked |
|---|---|---|---|---|---|---|
",
        f.bins
    );
    let share = |n: usize| 100.0 * n as f64 / f.bins.max(1) as f64;
    let mean = |sum: f64| sum / f.bins.max(1) as f64;
    for (w, week) in WEEKS.iter().enumerate() {
        for (i, (name, unit)) in NAMES.iter().enumerate() {
            let digits = usize::from(i != 1 && i != 2) + 1;
            let _ = writeln!(
                out,
                "| {week} weeks | {name} | {:.0} % | {:.0} % | {:.digits$} {unit} | {:.digits$} {unit} | {:.0} % |",
                share(f.inside[w][i]),
                share(f.below[w][i]),
                mean(f.half_width[w][i]),
                mean(f.blind_half_width[w][i]),
                share(f.blind_inside[w][i]),
            );
        }
    }
    let _ = write!(
        out,
        "
The last column is an outlook of so many weeks that knows what was fed and nothing else. The logs went against their ensemble {} times ({:.2} a bin), each time a part of the members was given another life and the estimate went on. This says that the estimate is honest about what it assumes. It does not say that real bins are as assumed; the tables below say how far they are.
",
        f.contradictions,
        mean(f.contradictions as f64),
    );
    debug_assert_eq!(FOLLOWED.len(), NAMES.len());
}
