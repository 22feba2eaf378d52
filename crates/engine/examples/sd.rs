//! sd BIN WEEK MEMBERS SEEDS...
use engine::bed::fill::Own;
use engine::estimate::filter::{Along, estimate_along};
use engine::estimate::track::Track;
use engine::estimate::{Setup, Told};
use engine::quantity::{Band, Celsius};
use engine::table::Tables;
use engine::validation::other_laws;
use std::time::Instant;
const FIGURES: [Track; 5] = [
    Track::Ph,
    Track::Moisture,
    Track::Core,
    Track::WormKg,
    Track::CastingsShare,
];
fn main() {
    let a: Vec<u64> = std::env::args()
        .skip(1)
        .map(|a| a.parse().unwrap())
        .collect();
    let (bin, week, members) = (a[0] as usize, a[1], a[2] as usize);
    let t = Tables::load().unwrap();
    let w = other_laws::live(&t, bin, other_laws::SEED, &[week as u32]).unwrap();
    let seeds = &a[3..];
    let next = std::sync::atomic::AtomicUsize::new(0);
    let all = std::sync::Mutex::new(Vec::new());
    std::thread::scope(|s| {
        for _ in 0..2 {
            s.spawn(|| {
                loop {
                    let k = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                    if k >= seeds.len() {
                        break;
                    }
                    let (own, told) = (Own::new(), Told::new());
                    let setup = Setup {
                        tables: &t,
                        own: &own,
                        temperature: Celsius(w.celsius),
                        now: week as i64 * 604800,
                        seed: seeds[k],
                        members,
                        bin: Some(&w.bin),
                        air: Some(w.air()),
                    };
                    let began = Instant::now();
                    let e = estimate_along(&setup, &w.log, &mut Along::told(&told)).unwrap();
                    let secs = began.elapsed().as_secs_f64();
                    let signs = e.ensemble.signs(&e.scene);
                    let b: Vec<Band> = FIGURES
                        .iter()
                        .map(|tr| {
                            let v: Vec<f64> = signs.iter().map(|s| tr.of(s)).collect();
                            Band::weighted(&v, &e.ensemble.weights).unwrap()
                        })
                        .collect();
                    println!(
                        "seed {} {:.1}s eff {:.2} {:?}",
                        seeds[k],
                        secs,
                        e.ensemble.effective_share(),
                        e.standing.settled.moves()
                    );
                    all.lock().unwrap().push(b);
                }
            });
        }
    });
    let all = all.into_inner().unwrap();
    println!("events {} ", w.log.len());
    for (f, tr) in FIGURES.iter().enumerate() {
        let b: Vec<&Band> = all.iter().map(|b| &b[f]).collect();
        let n = b.len() as f64;
        let width = b.iter().map(|b| b.high - b.low).sum::<f64>() / n;
        let m: Vec<f64> = b.iter().map(|b| b.median).collect();
        let mean = m.iter().sum::<f64>() / n;
        let sd = (m.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
        let hi = m.iter().cloned().fold(f64::MIN, f64::max);
        let lo = m.iter().cloned().fold(f64::MAX, f64::min);
        println!(
            "{:20} apart {:.2} sd {:.3} widths  ess~{:.0}  width {:.3} median {:.3}",
            tr.name(),
            (hi - lo) / width,
            sd / width,
            (1.2533 / 2.5631 / (sd / width)).powi(2),
            width,
            mean
        );
    }
}
