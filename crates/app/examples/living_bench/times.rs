//! Timings: one bin, ensembles, memory, and how cost grows.

use crate::many::{Many, processor_s};
use crate::one::Bin;
use app::desk::hands::ALL_CORES;
use engine::bed::possible::Grains;
use engine::estimate::ensemble::Possible;
use serde_json::{Value, json};
use std::error::Error;
use std::time::Instant;

/// All of it.
pub(crate) fn told() -> Result<Value, Box<dyn Error>> {
    let bin = Bin::new()?;
    let usual = Many::new(90, 60)?;
    let best = |members, two: bool| -> Result<f64, Box<dyn Error>> {
        let mut least = f64::INFINITY;
        for _ in 0..5 {
            let took = if two {
                usual.run_by(members, &ALL_CORES)?
            } else {
                usual.run(members)?
            };
            least = least.min(took);
        }
        Ok(least)
    };
    let one = usual.estimate(200, &engine::estimate::hands::ONE_PAIR)?;
    let two = usual.estimate(200, &ALL_CORES)?;
    let bytes: Vec<f64> = one
        .ensemble
        .members
        .iter()
        .map(|m| bytes(m) as f64)
        .collect();
    Ok(json!({
        "one_bin_s_by_cut": CUTS.map(|cut| (cut, one_bin(&bin, cut))),
        "ensemble_s": best(1000, false)?,
        "ensemble_all_cores_s": best(1000, true)?,
        "hands_agree": one.ph == two.ph && one.course() == two.course(),
        "member_bytes": bytes.iter().sum::<f64>() / bytes.len() as f64,
        "member_inline_bytes": size_of::<Possible>(),
        "members": grows(&[250, 500, 1000, 2000], |n| Many::new(90, 60)?.run(n as usize))?,
        "days": grows(&[45, 90, 180, 360], |n| Many::new(n, 0)?.run(1000))?,
        "entries": grows(&[0, 60, 120, 240], |n| Many::new(90, n)?.run(1000))?,
    }))
}

/// A usual step is cut into so many: the usual one is the quickest, the finest
/// as near the continuous equations as a general solver.
const CUTS: [u32; 4] = [1, 4, 16, 64];

/// Least seconds of one bin of 90 days at so many cuts of a usual step, of
/// rounds through a second.
fn one_bin(bin: &Bin, cut: u32) -> f64 {
    let round = 100_u32.div_ceil(cut);
    let (begin, mut least) = (Instant::now(), f64::INFINITY);
    while begin.elapsed().as_secs_f64() < 1.0 {
        let start = processor_s();
        for _ in 0..round {
            std::hint::black_box(bin.run(cut, |_, _, _, _| {}));
        }
        least = least.min((processor_s() - start) / f64::from(round));
    }
    least
}

/// Bytes of one member, those on the heap too: its curve, grains, slow doses,
/// touches and biases.
fn bytes(m: &Possible) -> usize {
    const CURVE: usize = 111 * 8;
    const BIAS: usize = 64;
    let bed = &m.bed;
    size_of::<Possible>()
        + CURVE
        + bed.grains.capacity() * size_of::<Grains>()
        + bed.slow.capacity() * 32
        + bed.touches.capacity() * 32
        + m.bias.len() * BIAS
}

/// Least of three runs at each size, and the straight line through them.
fn grows(
    sizes: &[u32],
    run: impl Fn(u32) -> Result<f64, Box<dyn Error>>,
) -> Result<Value, Box<dyn Error>> {
    let mut points = Vec::new();
    for &n in sizes {
        let mut least = f64::INFINITY;
        for _ in 0..3 {
            least = least.min(run(n)?);
        }
        points.push((f64::from(n), least));
    }
    let count = points.len() as f64;
    let (x, y) = points
        .iter()
        .fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    let (x, y) = (x / count, y / count);
    let up: f64 = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    let across: f64 = points.iter().map(|p| (p.0 - x).powi(2)).sum();
    let slope = up / across;
    let off = |p: &(f64, f64)| (p.1 / (y + slope * (p.0 - x)) - 1.0).abs();
    Ok(json!({
        "points": points, "seconds_per_one": slope, "seconds_at_none": y - slope * x,
        "furthest_off_line": points.iter().map(off).fold(0.0, f64::max),
    }))
}
