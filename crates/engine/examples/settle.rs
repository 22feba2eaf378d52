//! Scratch: seeds on a year's log.
use engine::bed::fill::Own;
use engine::estimate::Possible;
use engine::estimate::filter::{Along, Setup, estimate_along};
use engine::estimate::hands::Hands;
use engine::estimate::timeline::Told;
use engine::estimate::track::Track;
use engine::living::room::Day;
use engine::living::signs::Signs;
use engine::log::*;
use engine::measure::Amount;
use engine::quantity::{Band, Celsius};
use engine::table::Tables;

#[derive(Debug)]
struct Two;
impl Hands for Two {
    fn each(&self, members: &mut [Possible], work: &(dyn Fn(&mut Possible) + Sync)) {
        let half = members.len().div_ceil(2).max(1);
        std::thread::scope(|s| {
            for c in members.chunks_mut(half) {
                s.spawn(move || c.iter_mut().for_each(work));
            }
        });
    }
    fn make(&self, count: usize, make: &(dyn Fn(usize) -> Possible + Sync)) -> Vec<Possible> {
        let half = count / 2;
        std::thread::scope(|s| {
            let a = s.spawn(move || (0..half).map(make).collect::<Vec<_>>());
            let mut b: Vec<_> = (half..count).map(make).collect();
            let mut a = a.join().unwrap();
            a.append(&mut b);
            a
        })
    }
    fn signs(&self, m: &[Possible], read: &(dyn Fn(&Possible) -> Signs + Sync)) -> Vec<Signs> {
        m.iter().map(read).collect()
    }
    fn bands(&self, band: &(dyn Fn(Track) -> Band + Sync)) -> Vec<Band> {
        Track::ALL.iter().map(|t| band(*t)).collect()
    }
    fn rows(&self, count: usize, row: &(dyn Fn(usize) -> Vec<f64> + Sync)) -> Vec<Vec<f64>> {
        std::thread::scope(|s| {
            let hs: Vec<_> = (0..2)
                .map(|h| {
                    s.spawn(move || {
                        (0..count)
                            .filter(|i| i % 2 == h)
                            .map(row)
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            let mut parts: Vec<_> = hs
                .into_iter()
                .map(|h| h.join().unwrap().into_iter())
                .collect();
            (0..count).map(|i| parts[i % 2].next().unwrap()).collect()
        })
    }
}
static TWO: Two = Two;
const DAY: i64 = 86_400;

fn log(tables: &Tables, days: i64) -> Vec<Entry> {
    use engine::living::observe::{Question, Sayings};
    let sayings = Sayings::load(tables).unwrap();
    let mut log: Vec<Entry> = Vec::new();
    fn put(log: &mut Vec<Entry>, at: i64, body: Body) {
        log.push(Entry {
            id: EntryId(log.len() as i64 + 1),
            bin: Some(BinId(1)),
            at_unix_seconds: at,
            zone: "UTC".into(),
            written_unix_seconds: at,
            body,
        });
    }
    let truth = |log: &Vec<Entry>, at: i64| {
        let own = Own::new();
        let told = Told::new();
        let mut along = Along::told(&told);
        let done: Vec<Entry> = log
            .iter()
            .filter(|e| {
                !matches!(
                    e.body,
                    Body::Observation { .. } | Body::Reading(_) | Body::WormCount { .. }
                )
            })
            .cloned()
            .collect();
        let setup = Setup {
            tables,
            own: &own,
            temperature: Celsius(20.0),
            now: at,
            seed: 4711,
            members: 1,
            bin: None,
            air: Some(Day::around(19.0, 4.0)),
        };
        let e = estimate_along(&setup, &done, &mut along).unwrap();
        (
            e.ensemble.members[0].signs(&e.scene),
            e.ensemble.members[0].bed.ph_met(),
        )
    };
    let part = |m: &str, a: &str| Part::plain(m, Amount::parse(a).unwrap());
    put(
        &mut log,
        0,
        Body::Filled {
            parts: vec![
                part("coir_pith", "30 L"),
                part("cardboard_corrugated", "10 L"),
                part("vermicompost", "3 L"),
            ],
        },
    );
    put(
        &mut log,
        2 * DAY,
        Body::WormsIn {
            grams: Some(400.0),
            count: None,
            species: String::new(),
        },
    );
    let mut s: u64 = 12345;
    let mut dice = move |n: u64| {
        s = s
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (s >> 33) % n
    };
    let mut day = 4;
    while day < days {
        put(
            &mut log,
            day * DAY + 36000,
            Body::Feeding {
                parts: vec![part(
                    ["kitchen_scraps_veg", "fruit_scraps_mixed", "coffee_grounds"]
                        [dice(3) as usize],
                    &format!("{} cups", 2 + dice(3)),
                )],
            },
        );
        if dice(2) == 0 {
            put(
                &mut log,
                (day + 1) * DAY,
                Body::BeddingAdded {
                    parts: vec![part("cardboard_corrugated", "1 L")],
                },
            );
        }
        let at = (day + 6) * DAY;
        let (signs, met) = truth(&log, at);
        let mut words = Vec::new();
        for q in [Question::Place, Question::Squeeze, Question::Food] {
            let mut left = dice(10000) as f64 / 10000.0;
            let said = sayings
                .answers(q, &signs)
                .probabilities()
                .iter()
                .position(|c| {
                    left -= c;
                    left < 0.0
                });
            words.extend(said.and_then(|k| q.word(k)));
        }
        put(
            &mut log,
            at,
            Body::Observation {
                words,
                text: "".into(),
            },
        );
        let read = |what, v: f64, ins: &str, place| {
            Body::Reading(Reading {
                what,
                spots: vec![v],
                instrument: ins.into(),
                place,
                text: String::new(),
                confirmed: true,
            })
        };
        if dice(6) == 0 {
            put(
                &mut log,
                at + 10,
                read(
                    Measured::Ph,
                    ((met + 0.3 + dice(30) as f64 / 100.0) * 10.0).round() / 10.0,
                    "cheap_pen",
                    Place::Spread,
                ),
            );
        }
        if dice(4) == 0 {
            put(
                &mut log,
                at + 20,
                read(
                    Measured::BeddingCelsius,
                    (signs.core_celsius + dice(2) as f64).round(),
                    "own",
                    Place::Middle,
                ),
            );
        }
        if dice(12) == 0 {
            put(
                &mut log,
                at + 30,
                Body::WormCount {
                    found: (signs.worms / signs.litres * 0.8 * (0.5 + dice(100) as f64 / 100.0))
                        .round(),
                    litres_searched: Some(1.0),
                    grams: None,
                    ball: false,
                },
            );
        }
        day += 7;
    }
    let (t, _) = truth(&log, days * DAY + 1);
    print!("truth ");
    for k in [
        Track::WormKg,
        Track::Moisture,
        Track::Ph,
        Track::CastingsShare,
        Track::Core,
        Track::FoodLeft,
    ] {
        print!(" {} {:.3}", k.name(), k.of(&t));
    }
    println!();
    log
}

fn main() {
    let arg = |i: usize, d: f64| {
        std::env::args()
            .nth(i)
            .and_then(|a| a.parse().ok())
            .unwrap_or(d)
    };
    let (days, members, seeds, most, below) = (
        arg(1, 90.0) as i64,
        arg(2, 200.0) as usize,
        arg(3, 3.0) as u64,
        arg(4, 4.0),
        arg(5, 0.3),
    );
    let mut tables = Tables::load().unwrap();
    let _ = &mut tables;
    let log = log(&tables, days);
    let own = Own::new();
    let told = Told::new();
    let obs = log
        .iter()
        .filter(|e| {
            matches!(
                e.body,
                Body::Observation { .. } | Body::Reading(_) | Body::WormCount { .. }
            )
        })
        .count();
    println!("{} entries, {} observations", log.len(), obs);
    let tracks = [
        Track::WormKg,
        Track::Moisture,
        Track::Ph,
        Track::CastingsShare,
        Track::Core,
        Track::FoodLeft,
    ];
    let mut all: Vec<Vec<Band>> = Vec::new();
    for seed in 1..=seeds {
        let begin = std::time::Instant::now();
        let mut along = Along {
            hands: &TWO,
            ..Along::told(&told)
        };
        let setup = Setup {
            tables: &tables,
            own: &own,
            temperature: Celsius(20.0),
            now: days * DAY + 1,
            seed,
            members,
            bin: None,
            air: Some(Day::around(19.0, 4.0)),
        };
        let _ = (most, below);
        let e = estimate_along(&setup, &log, &mut along).unwrap();
        let last = e.course.last().unwrap();
        print!(
            "seed {seed} {:.1}s ess {:.2} ",
            begin.elapsed().as_secs_f64(),
            e.ensemble.effective_share()
        );
        for t in tracks {
            let b = last.band(t);
            print!(" {} {:.3}({:.3},{:.3})", t.name(), b.median, b.low, b.high);
        }
        println!("\n   {:?}", e.settled.moves());
        all.push(tracks.iter().map(|t| last.band(*t)).collect());
    }
    for (i, t) in tracks.iter().enumerate() {
        let med: Vec<f64> = all.iter().map(|b| b[i].median).collect();
        let w = all.iter().map(|b| b[i].high - b[i].low).sum::<f64>() / all.len() as f64;
        let n = med.len() as f64;
        let mean = med.iter().sum::<f64>() / n;
        let sd = (med.iter().map(|m| (m - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0)).sqrt();
        let range = med.iter().cloned().fold(f64::MIN, f64::max)
            - med.iter().cloned().fold(f64::MAX, f64::min);
        println!(
            "{}: range {:.3} widths, sd {:.3} widths, ess {:.0}",
            t.name(),
            range / w,
            sd / w,
            (0.489 / (sd / w)).powi(2)
        );
    }
}
