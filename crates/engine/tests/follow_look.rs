//! look
use engine::table::Tables;
use engine::validation::following::*;
#[test]
fn look() {
    let t = Tables::load().unwrap();
    let n: usize = std::env::var("BINS")
        .ok()
        .and_then(|s| s.parse().ok())
        .unwrap_or(60);
    let m: usize = std::env::var("M")
        .ok()
        .and_then(|s| s.parse().ok())
        .unwrap_or(300);
    let now = std::time::Instant::now();
    let (a, b) = std::thread::scope(|s| {
        let h = s.spawn(|| follow(&t, 0, n / 2, m, 11).unwrap());
        let b = follow(&t, n / 2, n / 2, m, 11).unwrap();
        (h.join().unwrap(), b)
    });
    let mut f = a;
    f.add(&b);
    println!(
        "time {:?} contradictions {}",
        now.elapsed(),
        f.contradictions
    );
    for (w, week) in WEEKS.iter().enumerate() {
        for (i, tr) in FOLLOWED.iter().enumerate() {
            println!(
                "week {week} {:18} inside {:.2} below {:.2} half {:.3} blind {:.3} blind inside {:.2}",
                tr.name(),
                f.share(w, i),
                f.below[w][i] as f64 / f.bins as f64,
                f.half_width[w][i] / f.bins as f64,
                f.blind_half_width[w][i] / f.bins as f64,
                f.blind_inside[w][i] as f64 / f.bins as f64
            );
        }
    }
}
