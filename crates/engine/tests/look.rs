use engine::estimate::{Setup, Track, estimate};
use engine::log::*;
use engine::measure::Amount;
use engine::quantity::Celsius;
use engine::table::Tables;
fn part(m: &str, a: &str) -> Part {
    Part {
        material: m.into(),
        amount: Amount::parse(a).unwrap(),
        ph: None,
        moisture_percent: None,
        label: PeatLabel::AsNamed,
    }
}
#[test]
fn look() {
    let tables = Tables::load().unwrap();
    let own = Default::default();
    let day = |d: f64| (d * 86400.0) as i64;
    let mut id = 0;
    let mut log = vec![];
    let mut add = |d: f64, body: Body| {
        id += 1;
        log.push(Entry {
            id: EntryId(id),
            bin: Some(BinId(1)),
            at_unix_seconds: day(d),
            zone: "UTC".into(),
            written_unix_seconds: day(d),
            body,
        })
    };
    add(
        0.0,
        Body::Filled {
            parts: vec![
                part("cardboard_corrugated", "30 L"),
                part("coir_pith", "10 L"),
                part("garden", "1 L"),
            ]
            .into_iter()
            .filter(|p| p.material != "garden")
            .chain([part("yard_compost_finished", "5 L"), part("water", "5 L")])
            .collect(),
        },
    );
    add(
        3.0,
        Body::WormsIn {
            grams: Some(450.0),
            count: None,
            species: String::new(),
        },
    );
    for k in 0..24 {
        add(
            5.0 + 4.0 * k as f64,
            Body::Feeding {
                parts: vec![part(
                    "kitchen_scraps_veg",
                    if k < 3 { "2 cups" } else { "3 cups" },
                )],
            },
        );
    }
    let n: usize = std::env::var("N")
        .ok()
        .and_then(|s| s.parse().ok())
        .unwrap_or(200);
    let t = std::time::Instant::now();
    let e = estimate(
        &Setup {
            tables: &tables,
            own: &own,
            temperature: Celsius(20.0),
            now: day(100.0),
            seed: 1,
            members: n,
            bin: None,
            air: None,
        },
        &log,
    )
    .unwrap();
    println!("time {:?}", t.elapsed());
    for m in e.course.iter().step_by(4) {
        print!("{:5.1}", m.at as f64 / 86400.0);
        for t in [
            Track::Ph,
            Track::Moisture,
            Track::Core,
            Track::Hot,
            Track::WormKg,
            Track::Worms,
            Track::Cocoons,
            Track::FoodLeft,
            Track::Castings,
            Track::CastingsShare,
            Track::Salt,
            Track::Sour,
            Track::Ammonia,
            Track::AirFilled,
            Track::Contents,
            Track::Litres,
            Track::Urge,
        ] {
            let b = m.band(t);
            print!(
                " | {}:{:.3} {:.3}-{:.3}",
                &t.name()[..4.min(t.name().len())],
                b.median,
                b.low,
                b.high
            );
        }
        println!();
    }
    println!("{} contradictions", e.contradictions);
}
