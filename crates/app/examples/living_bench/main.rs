//! The living bin set beside a peer and timed, printed as JSON for
//! `benches/living.py` and `benches/run.py`. Not shipped.
//!
//! `living_bench one` prints one bin of 90 days: its numbers, start, inputs
//! and daily course at the usual step and at finer ones. `living_bench times`
//! times one bin, ensembles with a log, and how cost grows.
//! `living_bench run MEMBERS DAYS ENTRIES` runs one ensemble, for a profiler,
//! and hashes its course, to show that a change kept it to the bit.

mod many;
mod one;
mod times;

use std::error::Error;
use std::hash::{DefaultHasher, Hash, Hasher};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let answer = match words.as_slice() {
        [_, "one"] => one::told()?,
        [_, "times"] => times::told()?,
        [_, "run", members, days, entries] => {
            let many = many::Many::new(days.parse()?, entries.parse()?)?;
            let members = members.parse()?;
            let took = many.run(members)?;
            let estimate = many.estimate(members, &engine::estimate::hands::ONE_PAIR)?;
            let course = estimate.course();
            let mut hash = DefaultHasher::new();
            format!("{course:?}").hash(&mut hash);
            serde_json::json!({ "seconds": took, "course": format!("{:x}", hash.finish()) })
        }
        _ => return Err("say `one`, `times` or `run MEMBERS DAYS ENTRIES`".into()),
    };
    println!("{answer}");
    Ok(())
}
