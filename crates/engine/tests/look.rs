#[path = "living/bin.rs"]
mod bin;
use bin::*;
use engine::living::room::*;
use engine::log::*;
#[test]
fn look() {
    for step in [0.5, 0.25, 0.125, 1.0 / 32.0, 1.0 / 128.0] {
        let d = BinDescription {
            length_cm: 20.0,
            width_cm: 15.0,
            depth_cm: 15.0,
            lid: Lid::Open,
            drains: false,
            ..tote()
        };
        let mut b = Bin::drawn(
            &d,
            &[("cardboard_corrugated", "3 L")],
            8.0,
            engine::living::species::Species::EiseniaFetida,
            0,
        );
        b.step = step;
        let mut days = vec![Day::around(8.0, 0.0); 29];
        days.push(Day::around(20.2565, 0.0));
        b.room = Room::new(days, Day::around(18.0, 4.0));
        b.feed(&[("soybean_meal", "82 g")]);
        b.pour(1.96);
        b.live(29.0);
        print!("{step}: {:.3} |", b.core);
        let mut sum = 0.0;
        let k = (1.0 / step) as usize;
        for i in 0..k {
            b.once();
            let z = b.life.lately.zones;
            sum += z.core;
            if i % (k / 2).max(1) == 0 || i < 3 {
                print!(
                    " core {:.2} edge {:.2} w {:.2} m {:.1} c {:.2}",
                    z.core,
                    z.edge,
                    b.life.lately.watts,
                    b.signs().moisture_percent,
                    b.life.heat
                );
            }
        }
        println!(" mean {:.3}", sum / k as f64);
    }
}
