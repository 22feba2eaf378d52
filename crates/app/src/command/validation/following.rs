//! The page's sections on bins that were followed: of our laws, and of others.

use engine::estimate::track::Track;
use engine::validation::following::{FOLLOWED, MEMBERS, SEED, WEEKS};
use engine::validation::scored::{Cell, Following, RANKS, Sums};
use engine::validation::{other_laws, second_world as second};
use std::fmt::Write;

/// Name, unit and digits of a figure.
const fn told(figure: Track) -> (&'static str, &'static str, usize) {
    match figure {
        Track::Ph => ("pH", "pH", 2),
        Track::Moisture => ("moisture", "points", 1),
        Track::Core => ("temperature in the middle", "K", 1),
        Track::WormKg => ("worm biomass", "kg", 2),
        Track::Worms => ("worms", "worms", 0),
        Track::Castings => ("castings, dry", "kg", 2),
        Track::Salt => ("salt, 1:5 extract", "mS/cm", 2),
        other => (other.name(), other.unit(), 2),
    }
}

const HEAD: &str = "
| after | figure | truth in the 80 % interval | truth below it | half-width | half-width had nobody looked | truth inside had nobody looked | off | score | score had nobody looked | log score | log score had nobody looked |
|---|---|---|---|---|---|---|---|---|---|---|---|
";

/// What the columns are.
const COLUMNS: &str = "*Off* is the mean of median less truth. *Score* is the continuous ranked probability score, in the unit of the figure: the mean distance of the estimate from the truth, less half of its own spread; the smaller the better, so that a wide interval does not win. *Log score* is the mean log of the density that the estimate gave to the truth; the larger the better. *Had nobody looked* is an outlook of so many weeks that knows what was put in and taken out and nothing else.";

fn table(out: &mut String, f: &Following, weeks: &[u32], figures: &[Track]) {
    out.push_str(HEAD);
    let bins = f.bins.max(1) as f64;
    for (week, cells) in weeks.iter().zip(&f.cells) {
        for (figure, cell) in figures.iter().zip(cells) {
            row(out, *week, *figure, cell, bins);
        }
    }
}

fn row(out: &mut String, week: u32, figure: Track, cell: &Cell, bins: f64) {
    let (name, unit, digits) = told(figure);
    let Cell { looked, blind, .. } = cell;
    let share = |n: usize| format!("{:.0} %", 100.0 * n as f64 / bins);
    let mean = |sum: f64| format!("{:.digits$}", sum / bins);
    let finer = |sum: f64| format!("{:.*}", digits + 1, sum / bins);
    let log = |s: &Sums| format!("{:.2}", s.log_score / bins);
    let _ = writeln!(
        out,
        "| {week} weeks | {name} | {} | {} | {} {unit} | {} {unit} | {} | {} | {} | {} | {} | {} |",
        share(looked.inside),
        share(looked.below),
        mean(looked.half_width),
        mean(blind.half_width),
        share(blind.inside),
        mean(looked.error),
        finer(looked.crps),
        finer(blind.crps),
        log(looked),
        log(blind),
    );
}

/// The section on bins of our own laws.
pub(super) fn section(out: &mut String, f: &Following) {
    let _ = write!(
        out,
        "
## Do the intervals of the living bin hold the truth

{} bins, each with a hidden nature (how fast it rots, dries, breathes and loses heat, how its worms fare, what its room is like, how heavy the keeper's cups are) drawn from the priors, were filled with one of five beddings, stocked with 150 to 590 g of worms, fed once a week and looked at once or twice a week: mostly words (squeeze, food left, where the worms are, plump or thin, smells), a thermometer in three weeks of ten, a cheap pH pen in one of four. {MEMBERS} members estimated each from its log alone, seed {SEED}. By chance a share moves by ± 5 points.

{COLUMNS}
",
        f.bins
    );
    table(out, f, &WEEKS, &FOLLOWED);
    ranks(out, f, &FOLLOWED);
    let _ = write!(
        out,
        "
The logs went against their ensemble {} times ({:.2} a bin), each time other histories were sought for longer and the estimate went on. Each week is judged by what the log held until then. This says that the estimate is honest about what it assumes. It does not say that real bins are as assumed; the tables below say how far they are.
",
        f.contradictions,
        f.contradictions as f64 / f.bins.max(1) as f64,
    );
}

/// How often the truth had which rank, by figure, over all weeks.
fn ranks(out: &mut String, f: &Following, figures: &[Track]) {
    // Of one week: weeks of one bin hang together.
    let chance = 200.0 * (0.1 * 0.9 / f.bins.max(1) as f64).sqrt();
    let _ = write!(
        out,
        "
Where the truth stood among the members, in tenths from below all of them to above all (all weeks): an honest ensemble has it in each tenth as often. Full ends tell of ranges too narrow, a full middle of ranges too wide, a slope of medians that are off. By chance a share of one week moves by ± {chance:.1} points.

| figure | lowest tenth | 2nd | 3rd | 4th | 5th | 6th | 7th | 8th | 9th | highest tenth |
|---|---|---|---|---|---|---|---|---|---|---|
"
    );
    let all = (f.bins * f.cells.len()).max(1) as f64;
    for (i, figure) in figures.iter().enumerate() {
        let tenth = |t: usize| f.cells.iter().map(|w| w[i].ranks[t]).sum::<usize>();
        let shares = (0..RANKS).map(|t| format!(" {:.0} % |", 100.0 * tenth(t) as f64 / all));
        let _ = writeln!(out, "| {} |{}", told(*figure).0, shares.collect::<String>());
    }
}

/// The section on bins of other laws.
pub(super) fn other_laws(out: &mut String, f: &Following) {
    let (seed, members) = (other_laws::SEED, other_laws::MEMBERS);
    let chance = 200.0 * (0.8 * 0.2 / f.bins.max(1) as f64).sqrt();
    let _ = write!(
        out,
        "
## And where the truth follows other laws

{} bins of another world, lived through for a year by another keeper. The world shares no function with the model and differs from it in form: worms die at limits, each at its own, once one was passed for some days, and of no dose; numbers and mass grow logistically towards what floor and food can keep; water is one bucket with a loss through the lid and a drain; food rots from one pool; salt comes out of each load by a first-order law; pH goes to the level of what lies there, and lime lifts it by a linear buffer; castings are a share of what was eaten, some days ago; the bin follows its room with a lag. Its numbers stand in `other_laws.csv`. The keeper feeds, waters what seems dry, adds paper, limes what reads acid, looks once or twice a week, reads now and then with instruments of hidden bias, counts a few cores, has a hand, an eye and a nose that are off, says some words wrong and repeats some without looking. The world was written and frozen before the estimate it judges. Since then numbers of the model's squeeze scale, of the room's wandering and of the error shown for moisture were chosen with these very bins in view: what holds here holds no longer of bins never seen. {members} members estimated each bin from its log alone, seed {seed}. Intervals are those that are shown, with the error of the model itself, for here the laws are others. Were the model right, the truth would lie inside in 80 % of the bins; no model is, and {ASKED} % is asked here. By chance a share moves by ± {chance:.0} points.

{COLUMNS}
",
        f.bins,
    );
    table(out, f, &other_laws::WEEKS, &other_laws::FIGURES);
    pooled(out, f);
    ranks(out, f, &other_laws::FIGURES);
}

/// The section on bins of the second world.
pub(super) fn second_world(out: &mut String, f: &Following) {
    let _ = write!(
        out,
        "
## And in a second world of other laws

{} bins of a second world, whose numbers stand in `second_world.csv`. It was written from published numbers and common practice by someone who had not read the model, and before any estimate was run on it; no number of the model was chosen with it in view. Matter goes batch by batch, after a lag, by warm days; water stands in two layers and leaves by the deficit of vapour pressure; worms are weekly classes that die by a spread of tolerance to the worst week; pH is read off a titration curve; salt is freed by what rots or is eaten. {} members estimated each bin from its log alone, seed {}. Read as the table above.

{COLUMNS}
",
        f.bins,
        second::MEMBERS,
        second::SEED,
    );
    table(out, f, &second::WEEKS, &second::FIGURES);
    pooled(out, f);
    ranks(out, f, &second::FIGURES);
}

/// Share of truths that is asked to lie inside where the laws are others [%].
const ASKED: f64 = 65.0;

/// Each figure over all weeks, which is what so few bins can tell.
fn pooled(out: &mut String, f: &Following) {
    out.push_str(
        "
| figure, all weeks | truth in the 80 % interval | asked | | truth inside had nobody looked | score over that had nobody looked |
|---|---|---|---|---|---|
",
    );
    for (i, figure) in other_laws::FIGURES.iter().enumerate() {
        let sum = |of: &dyn Fn(&Cell) -> f64| -> f64 { f.cells.iter().map(|w| of(&w[i])).sum() };
        let all = (f.bins * f.cells.len()).max(1) as f64;
        let share = |of: &dyn Fn(&Cell) -> f64| 100.0 * sum(of) / all;
        let held = share(&|c| c.looked.inside as f64);
        let blind = share(&|c| c.blind.inside as f64);
        let verdict = if held < ASKED { "**miss**" } else { "pass" };
        let (name, over) = (told(*figure).0, ratio(f, i));
        let _ = writeln!(
            out,
            "| {name} | {held:.0} % | {ASKED} % | {verdict} | {blind:.0} % | {over:.2} |"
        );
    }
}

/// Mean over weeks of the score over that of an outlook that looked at nothing.
fn ratio(f: &Following, figure: usize) -> f64 {
    let of = f.cells.iter().map(|w| &w[figure]);
    let sum: f64 = of.map(|c| c.looked.crps / c.blind.crps).sum();
    sum / f.cells.len().max(1) as f64
}
