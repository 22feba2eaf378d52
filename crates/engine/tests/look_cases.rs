use engine::validation::{Area, Expected, checks};
#[test]
fn look() {
    let t = engine::table::Tables::load().unwrap();
    let now = std::time::Instant::now();
    for c in checks(&t, None)
        .unwrap()
        .iter()
        .filter(|c| matches!(c.area, Area::Cases | Area::Practice | Area::Experiments))
    {
        let e = match c.expected {
            Expected::Between { low, high } => format!("{low:.3}..{high:.3}"),
            Expected::Near { value, within } => format!("{value}+-{within}"),
            Expected::Information { value } => format!("i{value}"),
        };
        println!(
            "{:?} | {} | {} | {} | {:.3} | {}",
            c.verdict(),
            c.key,
            c.what,
            e,
            c.ours,
            c.note
        );
    }
    println!("{:?}", now.elapsed());
}
