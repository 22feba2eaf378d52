//! Worked values of the acid sites, computed apart from the engine.

use super::bedding::sites;
use super::{Area, Basis, Check, From, ValidationError, near};
use crate::bed::curve::Curve;
use crate::chemistry::neutralising::meq_per_gram;
use crate::chemistry::sites::{site_charge, site_slope};
use crate::table::Tables;

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let ph = From {
        area: Area::Vectors,
        source: "bisection by a separate program, for this work",
        basis: Basis::Derived,
        unit: "pH",
        decimals: 4,
    };
    let charge = From {
        unit: "mol/kg",
        ..ph
    };
    let slope = From {
        unit: "cmol/kg/pH",
        decimals: 1,
        ..ph
    };
    let meq = From {
        unit: "meq",
        decimals: 0,
        ..ph
    };
    let grams = From {
        unit: "g",
        decimals: 0,
        ..ph
    };
    let q = sites(tables, "peat_sphagnum_unlimed")?;
    let ten = q.map(|c| 10.0 * c);
    let curve = Curve::tabulate(|ph| site_charge(&ten, ph) - site_charge(&ten, 4.2));
    let mut all = Vec::new();
    for (base, expected) in [
        (50.0, 4.2179),
        (130.0, 4.2466),
        (250.0, 4.2896),
        (420.0, 4.3505),
        (1000.0, 4.5581),
        (2000.0, 4.9145),
        (2700.0, 5.1657),
        (4000.0, 5.6549),
    ] {
        all.push(ph.check(
            format!("6.3 {base}"),
            format!("10 kg dry peat at pH 4.2 with {base} meq"),
            near(expected, 0.002),
            curve.ph_at(base / 1000.0),
        ));
    }
    all.push(meq.check(
        "6.3 a",
        "base from pH 4.2 to 5.2",
        near(2794.0, 3.0),
        1000.0 * curve.base_at(5.2),
    ));
    all.push(meq.check(
        "6.3 b",
        "base from pH 4.2 to 6.0",
        near(4865.0, 3.0),
        1000.0 * curve.base_at(6.0),
    ));
    all.push(grams.check(
        "6.3 c",
        "the same as pure CaCO3",
        near(243.0, 1.0),
        1000.0 * curve.base_at(6.0) / meq_per_gram(100.0),
    ));
    for (at, expected) in [
        (3.0, 0.1545),
        (4.0, 0.4013),
        (5.0, 0.6808),
        (6.0, 0.9433),
        (7.0, 1.1577),
        (8.2, 1.3523),
    ] {
        all.push(charge.check(
            format!("1.3 pH {at}"),
            format!("charge of peat at pH {at}"),
            near(expected, 1e-4),
            site_charge(&q, at),
        ));
    }
    for (at, expected) in [(5.0, 28.0), (6.0, 24.4), (7.0, 18.7)] {
        all.push(slope.check(
            format!("1.2 pH {at}"),
            format!("buffer of peat at pH {at}"),
            near(expected, 0.1),
            100.0 * site_slope(&q, at),
        ));
    }
    Ok(all)
}
