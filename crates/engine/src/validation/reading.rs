//! Readings: means of spots, calibration buffers, food and alarms.

use super::{Area, Basis, Check, From, ValidationError, between, near};
use crate::bed::judge::Levels;
use crate::quantity::Celsius;
use crate::reading::calibration::{Buffer, Buffers, nernst_slope_mv, phthalate_ph};
use crate::reading::combine::{combine, spots_needed};
use crate::reading::instrument::Instrument;
use crate::table::{Property, Tables};

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let buffers = Buffers::from_tables(tables)?;
    let mean = From {
        area: Area::Reading,
        source: "Virginia Tech wildlife page, worked example",
        basis: Basis::Opened,
        unit: "pH",
        decimals: 2,
    };
    let bates = From {
        source: "Bates et al. 1977, abstract",
        decimals: 3,
        ..mean
    };
    let jis = From {
        source: "JIS Z 8802:2011, buffer table",
        ..mean
    };
    let nernst = From {
        source: "R T ln 10 / F by hand",
        basis: Basis::Derived,
        unit: "mV/pH",
        ..mean
    };
    let spots = From {
        source: "n = (t s / E)², 95 %, by hand",
        basis: Basis::Derived,
        unit: "spots",
        decimals: 0,
        ..mean
    };
    let food = From {
        source: "Sundberg et al. 2011, Bioresour. Technol. 102:2859, abstract",
        decimals: 1,
        ..mean
    };
    let kaplan = From {
        source: "Kaplan et al. 1980, Soil Biol. Biochem., abstract",
        unit: "mS/cm",
        decimals: 1,
        ..mean
    };
    let three = [5.2, 5.4, 5.9];
    let arithmetic =
        combine(&three, &Instrument::from_tables(tables, "lab")?).map_or(f64::NAN, |c| c.mean);
    let hydrogen = -(three.iter().map(|p| 10f64.powf(-p)).sum::<f64>() / 3.0).log10();
    let ph_of = |key: &str| -> Result<f64, ValidationError> {
        Ok(tables
            .material(key)?
            .value(Property::Ph)
            .unwrap_or(f64::NAN))
    };
    let mut all = vec![
        mean.check("43a", "arithmetic mean of 5.2, 5.4, 5.9", near(5.50, 0.01), arithmetic)
            .note("the mean the engine uses: what mixes in a bed is the charged solid (Conyers, Eur. J. Soil Sci.)"),
        mean.check("43b", "the same by mean H+, right for plain water only", near(5.41, 0.01), hydrogen)
            .note("shown beside it; the engine does not use it"),
        bates.check("38", "phthalate buffer at 25 °C by the formula", near(4.006, 0.003), phthalate_ph(Celsius(25.0))),
        jis.check("37a", "phthalate at 20 °C, formula of Bates", near(4.00, 0.01), phthalate_ph(Celsius(20.0))),
        jis.check("37b", "phthalate at 25 °C, formula of Bates", near(4.01, 0.01), phthalate_ph(Celsius(25.0))),
    ];
    for (key, buffer, t, published) in [
        ("37c", Buffer::Phosphate, 10.0, 6.92),
        ("37d", Buffer::Phosphate, 20.0, 6.88),
        ("37e", Buffer::Phosphate, 25.0, 6.86),
        ("37f", Buffer::Borate, 10.0, 9.33),
        ("37g", Buffer::Borate, 20.0, 9.22),
        ("37h", Buffer::Borate, 25.0, 9.18),
    ] {
        let what = format!("{buffer:?} buffer at {t} °C")
            .to_lowercase()
            .replace(" °c", " °C");
        all.push(jis.check(
            key,
            what,
            near(published, 0.01),
            buffers.ph(buffer, Celsius(t)),
        ));
    }
    all.push(nernst.check(
        "5 slope 20",
        "slope of an electrode at 20 °C",
        near(58.17, 0.01),
        nernst_slope_mv(Celsius(20.0)),
    ));
    all.push(nernst.check(
        "5 slope 25",
        "slope of an electrode at 25 °C",
        near(59.16, 0.01),
        nernst_slope_mv(Celsius(25.0)),
    ));
    for (error, n) in [(0.5, 5.0), (0.3, 10.0), (0.2, 18.0)] {
        all.push(spots.check(
            format!("5 spots {error}"),
            format!("spots for an error of {error} when spots scatter by 0.4"),
            near(n, 0.5),
            spots_needed(0.4, error) as f64,
        ));
    }
    for key in ["kitchen_scraps_veg", "kitchen_food_waste_mixed"] {
        let name = &tables.material(key)?.name;
        all.push(food.check(
            format!("35 {key}"),
            format!("pH of household food waste: {name}"),
            between(4.7, 6.1),
            ph_of(key)?,
        ));
    }
    all.push(
        kaplan
            .check(
                "39 salt",
                "salt is warned of only above the 1.5 to 3 worms gained in",
                between(3.0, 6.0),
                Levels::from_tables(tables)?.most_ec,
            )
            .note("upper end: our judgement; extracts differ"),
    );
    Ok(all)
}
