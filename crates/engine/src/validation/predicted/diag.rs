#[test]
fn diag() {
    use super::*;
    let tables = crate::table::Tables::load().unwrap();
    for e in &load(&tables).unwrap() {
        for t in &e.treatments {
            let Some(plan) = planned(&tables, &e.key, t).unwrap() else {
                continue;
            };
            let ran = plan.trial.run(&tables).unwrap();
            println!("{} {}", e.key, t.key);
            for d in [1.0, 7.0, 28.0, 60.0] {
                let b = |f: fn(&Look) -> f64| {
                    let x = ran.band(setups::before(&e.key) + d, f);
                    format!("{:.3}[{:.3} {:.3}]", x.median, x.low, x.high)
                };
                println!(
                    "  d{d} air {} moist {} L {} pH {} nh3 {} ec {} sour {} dying {} urge {} worms {} died {} left {} cond {} core {} cn {}",
                    b(|l| l.signs.air_filled),
                    b(|l| l.signs.moisture_percent),
                    b(|l| l.signs.litres),
                    b(|l| l.signs.ph),
                    b(|l| l.signs.free_ammonia_mg_per_kg),
                    b(|l| l.signs.ec_ms_per_cm),
                    b(|l| l.signs.sour_meq_per_kg),
                    b(|l| l.signs.dying_per_day),
                    b(|l| l.signs.urge_to_leave),
                    b(|l| l.signs.worms),
                    b(|l| l.died),
                    b(|l| l.left),
                    b(|l| l.signs.condition),
                    b(|l| l.signs.core_celsius),
                    b(|l| l.cn)
                );
            }
        }
    }
}
