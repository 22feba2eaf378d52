#[path = "living/bin.rs"]
mod bin;
use bin::*;
use engine::log::*;
fn show(name: &str, b: &mut Bin, days: &[f64]) {
    println!("== {name}");
    for d in days {
        b.live(d - b.day);
        let s = b.signs();
        println!("d{:5.1} pH {:.2} poc {:.2} moist {:.1} core {:.1} hot {:.1} refuge {:.1} air {:.2} airless {:.2} worms {:.0} g coc {:.0} urge {:.2} dying {:.2} left {:.0} died {:.0} nh3 {:.0} ec {:.1} kg {:.1} L {:.1} pool {:.1} cast {:.2} sour {:.0} cond {:.2} watts {:.1}", b.day, s.ph, s.pocket_ph, s.moisture_percent, s.core_celsius, s.hot_celsius, s.refuge_celsius, s.air_filled, s.airless, s.worms_kg * 1000.0, s.cocoons, s.urge_to_leave, s.dying_per_day, b.life.lately.left, b.life.lately.died, s.free_ammonia_mg_per_kg, s.ec_ms_per_cm, b.kg(), s.litres, s.pooled_kg, s.castings_share, s.sour_meq_per_kg, s.condition, b.life.lately.watts);
    }
}
#[test]
fn look() {
    let t = tote();
    let week = [0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 14.0, 28.0, 60.0];
    let good = |c: f64| { let mut b = Bin::usual(&t, &GOOD, c); b.stock(500.0); b };
    show("empty", &mut Bin::usual(&t, &[], 20.0), &week);
    let mut b = Bin::usual(&t, &GOOD, 20.0); b.stock(50000.0); show("50kg", &mut b, &week);
    let mut b = Bin::usual(&t, &[], 20.0); b.stock(50000.0); show("50kg nothing else", &mut b, &week);
    let mut b = Bin::usual(&t, &[("kitchen_scraps_veg", "60 L")], 20.0); b.stock(500.0); show("all food", &mut b, &week);
    let mut b = Bin::usual(&t, &[("cardboard_corrugated", "30 L"), ("coir_pith", "5 L")], 20.0); b.stock(500.0); show("no water", &mut b, &week);
    let mut b = good(18.0); b.live(10.0); b.move_to(-20.0); show("-20", &mut b, &[10.5, 11.0, 12.0, 13.0, 15.0, 20.0, 30.0]);
    let mut b = good(45.0); show("45", &mut b, &week);
    let mut b = good(20.0); b.dose("hydrated_lime", 1000.0); show("lime kilo", &mut b, &week);
    let mut c = t.clone(); c.lid = Lid::Tight; let mut b = Bin::usual(&c, &GOOD, 20.0); b.stock(500.0); show("year closed", &mut b, &[30.0, 90.0, 180.0, 365.0]);
    c.lid = Lid::Open; let mut b = Bin::usual(&c, &GOOD, 20.0); b.stock(500.0); show("year open", &mut b, &[5.0,10.0,20.0,30.0, 90.0, 180.0, 365.0]);
    let mut b = good(20.0); for _ in 0..30 { b.feed(&[("kitchen_scraps_veg", "2500 g")]); b.live(1.0); if (b.day as u32) % 5 == 0 { show("x10", &mut b, &[]); let d = b.day; show("", &mut b, &[d]); } }
    c.lid = Lid::Vented; c.drains = false; let mut b = Bin::usual(&c, &GOOD, 20.0); b.stock(500.0); b.pour(20.0); show("20L no drain", &mut b, &week);
    let mut b = good(20.0); b.pour(20.0); show("20L drain", &mut b, &week);
    let mut b = Bin::usual(&t, &[("newsprint_shredded", "60 L"), ("water", "8 L")], 20.0); b.stock(500.0); show("paper", &mut b, &week);
    let mut b = Bin::usual(&t, &[("grass_clippings", "60 L")], 20.0); b.stock(500.0); show("grass", &mut b, &week);
    let mut b = Bin::usual(&t, &[("coffee_grounds", "50 L")], 20.0); b.stock(500.0); show("coffee", &mut b, &week);
    let mut b = good(20.0); b.feed(&[("vinegar", "1000 g")]); show("vinegar", &mut b, &week);
    let mut b = good(20.0); b.feed(&[("blood_meal", "1000 g")]); show("blood", &mut b, &week);
    let mut b = good(20.0); b.feed(&[("kelp_edible", "20000 g")]); show("salt", &mut b, &week);
    let mut c = t.clone(); c.length_cm = 20.0; c.width_cm = 20.0; c.depth_cm = 12.5; let mut b = Bin::usual(&c, &[("coir_pith", "4 L"), ("water", "0.5 L")], 20.0); b.stock(50.0); show("5L", &mut b, &week);
    c.length_cm = 150.0; c.width_cm = 100.0; c.depth_cm = 67.0; let mut b = Bin::usual(&c, &[("horse_manure_aged", "800 L"), ("water", "50 L")], 20.0); b.stock(5000.0); show("1000L", &mut b, &week);
    c.length_cm = 150.0; let mut b = Bin::usual(&c, &[("grass_clippings", "800 L")], 20.0); show("1000L grass", &mut b, &week);
    let mut b = Bin::usual(&t, &GOOD, 20.0); b.life.worms.add_cocoons(500.0); b.feed(&[("kitchen_scraps_veg", "500 g")]); show("cocoons", &mut b, &[10.0,30.0,60.0,90.0]);
    let mut b = good(20.0); b.live(20.0); b.move_to(36.0); show("wave", &mut b, &[21.0,22.0,24.0]); b.move_to(20.0); show("after", &mut b, &[30.0,60.0]);
    let mut b = good(20.0); b.pour(-b.life.water_kg * 0.9); show("dried out", &mut b, &week);
}
