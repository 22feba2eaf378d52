use engine::validation::predicted::predictions;
#[test]
fn look() {
    let t = engine::table::Tables::load().unwrap();
    let now = std::time::Instant::now();
    for p in predictions(&t).unwrap() {
        println!(
            "{} {} {:?} d{} {} obs {} | {:.3} [{:.3} {:.3}] {}",
            p.experiment,
            p.treatment,
            p.blind,
            p.day,
            p.quantity.name(),
            p.observed,
            p.median,
            p.low,
            p.high,
            p.inside()
        );
    }
    println!("{:?}", now.elapsed());
}
