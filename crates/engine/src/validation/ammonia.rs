//! Free ammonia and the acid of nitrogen.

use super::{Area, Basis, Check, From, ValidationError, about, between, near};
use crate::bed::judge::Levels;
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::chemistry::neutralising::CALCITE_G_PER_MOL;
use crate::quantity::Celsius;
use crate::table::Tables;

const EMERSON: &str = "Emerson et al. 1975, J. Fish. Res. Board Can. 32:2379";

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let percent = From {
        area: Area::Ammonia,
        source: EMERSON,
        basis: Basis::Opened,
        unit: "%",
        decimals: 3,
    };
    let f = |t: f64, ph: f64| 100.0 * free_ammonia_fraction(Celsius(t), ph);
    let mut all = Vec::new();
    let clegg = From {
        source: "Clegg & Whitfield 1995, as worked in the R package wq",
        ..percent
    };
    for (t, published) in [(10.0, 1.83), (25.0, 5.39)] {
        all.push(clegg.check(
            format!("28 {t} °C"),
            format!("free ammonia at pH 8, {t} °C"),
            near(published, 0.02 * published),
            f(t, 8.0),
        ));
    }
    for (ph, published, within) in [
        (6.5, 0.18, 0.01),
        (7.0, 0.56, 0.01),
        (7.5, 1.77, 0.02),
        (8.0, 5.37, 0.02),
        (8.5, 15.3, 0.1),
    ] {
        all.push(percent.check(
            format!("29 pH {ph}"),
            format!("free ammonia at 25 °C, pH {ph}"),
            near(published, within),
            f(25.0, ph),
        ));
    }
    let trussell = From {
        source: "Trussell 1972, table in reprint",
        ..percent
    };
    // One percent, or half the last digit printed where that is more.
    for (key, t, ph, published, within) in [
        ("30a", 20.0, 8.0, 3.83, 0.0383),
        ("30b", 20.0, 8.5, 11.18, 0.1118),
        ("30c", 25.0, 8.0, 5.28, 0.0528),
        ("30d", 20.0, 7.0, 0.40, 0.005),
    ] {
        all.push(
            trussell
                .check(
                    key,
                    format!("free ammonia at {t} °C, pH {ph}"),
                    near(published, within),
                    f(t, ph),
                )
                .note("an older constant than the one the engine uses. At 25 °C it lies below both Emerson (5.37) and Clegg & Whitfield (5.39)"),
        );
    }
    let ccrem = From {
        source: "CCREM 1987, as quoted",
        ..percent
    };
    all.push(ccrem.check(
        "31a",
        "free ammonia at 20 °C, pH 8.5: around 11",
        near(11.0, 0.5),
        f(20.0, 8.5),
    ));
    all.push(ccrem.check(
        "31b",
        "free ammonia at 20 °C, pH 6.0: 0.04",
        near(0.04, 0.005),
        f(20.0, 6.0),
    ));
    let printed = From {
        source: "Emerson and Thurston, printed tables, which use 273.2 K",
        basis: Basis::Memory,
        ..percent
    };
    // 273.2 K at 0 °C is 0.05 °C more by the scale of the engine.
    all.push(printed.check(
        "47a",
        "printed table, 20 °C, pH 8",
        near(3.82, 0.01),
        f(20.05, 8.0),
    ));
    all.push(printed.check(
        "47b",
        "printed table, 25 °C, pH 8",
        near(5.38, 0.01),
        f(25.05, 8.0),
    ));
    let lime = From {
        source: "US EPA 1975, as quoted",
        unit: "g/g",
        decimals: 2,
        ..percent
    };
    let acid = tables.value("constants", "nitrogen", "nitrification_mol_acid")?;
    all.push(lime.check(
        "34",
        "CaCO3 for each gram of nitrogen nitrified",
        near(7.14, 0.01),
        acid * CALCITE_G_PER_MOL / 2.0 / 14.007,
    ));
    let alarm = From {
        source: "Zeguerrou et al. 2019, abstract",
        unit: "mg/g",
        decimals: 2,
        ..percent
    };
    let level = Levels::from_tables(tables)?.most_ammonia;
    all.push(alarm.check(
        "40",
        "level at which ammonia is warned of, under the 14-day lethal 1.05",
        between(0.0, 1.05),
        level,
    ));
    let kaplan = From {
        source: "Kaplan et al. 1980, Soil Biol. Biochem., abstract",
        ..alarm
    };
    all.push(kaplan.check("39", "the same against 0.1 % ammonium acetate, which killed all, as nitrogen", about(1000.0 * 0.001 * 14.007 / 77.08), level)
        .note("theirs is per gram of a wet feed, ours of dry bedding; at 80 % water theirs is about 0.9"));
    Ok(all)
}
