#![allow(missing_docs, clippy::all)]
use engine::table::Tables;
use engine::validation::{following, other_laws};
use std::time::Instant;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let tables = Tables::load().unwrap();
    let (kind, from, to, members) = (
        a[1].as_str(),
        a[2].parse::<usize>().unwrap(),
        a[3].parse::<usize>().unwrap(),
        a[4].parse::<usize>().unwrap(),
    );
    let weeks: Vec<u32> = a[5].split(',').map(|w| w.parse().unwrap()).collect();
    let mut all = Vec::new();
    for bin in from..to {
        let t = Instant::now();
        let f = match kind {
            "own" => following::follow(&tables, bin, members, 97, &weeks),
            _ => other_laws::follow(&tables, bin, members, 2026, &weeks),
        }
        .unwrap();
        let sides: Vec<Vec<i8>> = f
            .held
            .iter()
            .map(|w| w.iter().map(|p| p.looked.side).collect())
            .collect();
        println!(
            "{bin} {:.1}s contr {} {sides:?}",
            t.elapsed().as_secs_f64(),
            f.contradictions
        );
        all.push(f);
    }
    let n = all.len();
    for w in 0..weeks.len() {
        let figs = all[0].held[w].len();
        let row: Vec<String> = (0..figs)
            .map(|k| {
                let inside = all.iter().filter(|f| f.held[w][k].looked.side == 0).count();
                let b = all.iter().filter(|f| f.held[w][k].blind.side == 0).count();
                let crps: f64 =
                    all.iter().map(|f| f.held[w][k].looked.crps).sum::<f64>() / n as f64;
                let bc: f64 = all.iter().map(|f| f.held[w][k].blind.crps).sum::<f64>() / n as f64;
                format!(
                    "{:.2}/{:.2} crps {:.3}/{:.3}",
                    inside as f64 / n as f64,
                    b as f64 / n as f64,
                    crps,
                    bc
                )
            })
            .collect();
        println!("week {} {}", weeks[w], row.join(" | "));
    }
}
