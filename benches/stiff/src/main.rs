//! Our steps of the living bin beside `diffsol`, a compiled solver of stiff equations,
//! on the same laws: the bins of `benches/living.py`, 90 days each. Which is quicker
//! at equal accuracy? Not a test.
//!
//! ```sh
//! cargo run --release --locked --manifest-path benches/stiff/Cargo.toml
//! ```
//!
//! prints tables in Markdown for the bin short of nitrogen; `-- rich` after it for the
//! other, `-- poor course` the finest course as JSON. `diffsol` at a relative
//! tolerance of 1e-8 is taken for exact.

mod compare;
// The bins themselves, as the program's own timings have them.
#[allow(dead_code, reason = "the peer in Python is told more of them")]
#[path = "../../../crates/app/examples/living_bench/one.rs"]
mod one;
mod rates;
mod solve;
mod state;

use compare::{Course, Gap, gaps};
use one::Bin;
use std::error::Error;
use std::hint::black_box;

/// Relative tolerance that is taken for exact, and those tried.
const EXACT: f64 = 1e-8;
const TRIED: [f64; 4] = [1e-2, 1e-3, 1e-4, 1e-6];
/// The usual step of 12 h is cut into so many.
const CUTS: [u32; 4] = [1, 4, 16, 64];
/// Runs timed, of which the shortest counts, and of ours so many together.
const RUNS: u32 = 3;
const TOGETHER: u32 = 64;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let name = words.first().map_or("poor", String::as_str);
    let filling = one::FILLINGS.iter().find(|(is, _)| *is == name);
    let (_, filling) = filling.ok_or("say `poor` or `rich`")?;
    let bin = Bin::filled(*filling)?;
    let mut exact = Course::default();
    solve::run(&bin, EXACT, Some(&mut exact))?;
    if words.get(1).is_some_and(|word| word == "course") {
        println!("{}", serde_json::json!(exact.0));
        return Ok(());
    }
    println!(
        "| method | rtol or step | processor time | evaluations | worst figure | of what is allowed |"
    );
    println!("|---|---|---|---|---|---|");
    for rtol in TRIED {
        println!("{}", theirs(&bin, rtol, &exact)?);
    }
    let found = CUTS.map(|cut| gaps(&ours(&bin, cut), &exact));
    for (cut, gaps) in CUTS.iter().zip(&found) {
        let worst = &gaps[0];
        let step = 12.0 / f64::from(*cut);
        println!(
            "| our steps | {step} h | {:.2} ms | - | {} | {:.2} |",
            1e3 * time_of_ours(&bin, *cut),
            worst.name,
            worst.times
        );
    }
    println!("\n{}", by_figure(&found));
    Ok(())
}

/// Time this thread has had of a processor [s], which others on the machine do not
/// lengthen.
fn processor_s() -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanoseconds = told.split(' ').next().and_then(|n| n.parse::<f64>().ok());
    nanoseconds.unwrap_or(f64::NAN) / 1e9
}

/// A row of the table for one tolerance.
fn theirs(bin: &Bin, rtol: f64, exact: &Course) -> Result<String, Box<dyn Error>> {
    let mut course = Course::default();
    solve::run(bin, rtol, Some(&mut course))?;
    let (mut least, mut took) = (f64::INFINITY, solve::Took::default());
    for _ in 0..RUNS {
        let start = processor_s();
        took = black_box(solve::run(bin, rtol, None)?);
        least = least.min(processor_s() - start);
    }
    let worst = &gaps(&course, exact)[0];
    Ok(format!(
        "| diffsol BDF | {rtol:e} | {:.0} ms | {} ({} of them for Jacobians; {} steps, {} factorings) | {} | {:.2} |",
        1e3 * least,
        took.evaluations,
        took.of_jacobians,
        took.steps,
        took.factored,
        worst.name,
        worst.times
    ))
}

fn ours(bin: &Bin, cut: u32) -> Course {
    let mut course = Course::default();
    bin.run(cut, |life, bed, core, hot| {
        course.add(bin.figures(life, bed, core, hot));
    });
    course
}

fn time_of_ours(bin: &Bin, cut: u32) -> f64 {
    let round = TOGETHER.div_ceil(cut);
    let mut least = f64::INFINITY;
    for _ in 0..RUNS {
        let start = processor_s();
        for _ in 0..round {
            black_box(bin.run(cut, |_, _, _, _| {}));
        }
        least = least.min((processor_s() - start) / f64::from(round));
    }
    least
}

/// Every figure, at every step of ours.
fn by_figure(found: &[Vec<Gap>]) -> String {
    let show = |gap: &Gap| match gap.plain {
        true => format!("{:.3}", gap.gap),
        false => format!("{:.2} %", 100.0 * gap.gap),
    };
    let steps: Vec<String> = CUTS
        .iter()
        .map(|cut| format!("step {} h", 12.0 / f64::from(*cut)))
        .collect();
    let mut lines = vec![format!("| figure | worst on day | {} |", steps.join(" | "))];
    lines.push("|---".repeat(2 + CUTS.len()) + "|");
    for first in &found[0] {
        let cells = found
            .iter()
            .filter_map(|gaps| gaps.iter().find(|g| g.name == first.name));
        let cells: Vec<String> = cells.map(show).collect();
        lines.push(format!(
            "| {} | {} | {} |",
            first.name,
            first.day,
            cells.join(" | ")
        ));
    }
    lines.join("\n")
}
