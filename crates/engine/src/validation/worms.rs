//! Worms held against what others counted and weighed: what the checks of
//! [`super::population`], [`super::breeding`], [`super::growth`] and
//! [`super::tolerance`] share, and what keepers know from use.

use super::{Area, Basis, Check, From, ValidationError, between};
use crate::living::deaths::ammonia;
use crate::living::habitat::Habitat;
use crate::living::population::{STAGES, Stages};
use crate::living::species::{Species, Vital};
use crate::living::worms::Worms;
use crate::table::{TableError, Tables};

/// One point of a published series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    /// Day, week, moisture or number of worms.
    pub(super) at: f64,
    /// Published value.
    pub(super) value: f64,
    /// Half width of what it may be.
    pub(super) within: f64,
}

/// The points of series `subject`, in the order of the file.
pub(super) fn series(
    tables: &Tables,
    table: &str,
    subject: &str,
) -> Result<Vec<Point>, ValidationError> {
    let points: Vec<Point> = tables
        .rows()
        .filter(|r| r.table == table && r.subject == subject)
        .filter_map(|r| {
            let (_, at) = r.property.rsplit_once('_')?;
            let (low, value, high) = r.number.triple()?;
            Some(Point {
                at: at.parse().ok()?,
                value,
                within: 0.5 * (high - low),
            })
        })
        .collect();
    if points.is_empty() {
        return Err(ValidationError::Table(TableError::UnknownNumber {
            table: table.to_owned(),
            subject: subject.to_owned(),
            property: "any".to_owned(),
            nearest: String::new(),
        }));
    }
    Ok(points)
}

/// Root mean square of ln(ours/theirs) [-]; points of nothing are left out.
pub(super) fn rms_log(pairs: impl IntoIterator<Item = (f64, f64)>) -> f64 {
    rms(pairs
        .into_iter()
        .filter(|(_, theirs)| *theirs > 0.0)
        .map(|(ours, theirs)| (ours.max(1e-12) / theirs).ln()))
}

/// Root mean square [-].
pub(super) fn rms(errors: impl IntoIterator<Item = f64>) -> f64 {
    let (sum, n) = errors
        .into_iter()
        .fold((0.0, 0.0), |(sum, n), e| (sum + e * e, n + 1.0));
    if n > 0.0 { (sum / n).sqrt() } else { f64::NAN }
}

/// Adults only, of one mass.
pub(super) fn adults(species: Species, number: f64, grams_each: f64) -> Worms {
    let mut stages = Stages::default();
    stages.worms[STAGES - 1] = number;
    let mut grams = [0.0; STAGES];
    grams[STAGES - 1] = number * grams_each;
    Worms::of_stages(species, stages, grams)
}

/// Lives in `habitat` for `days`, stepped by half a day, nobody getting out.
pub(super) fn live(worms: &mut Worms, v: &Vital, habitat: &Habitat, days: f64) {
    let mut here = *habitat;
    for _ in 0..(2.0 * days).round() as usize {
        worms.advance(v, &here, 0.0, 0.5);
        here.settled_days += 0.5;
    }
}

pub(super) fn checks(tables: &Tables) -> Result<Vec<Check>, ValidationError> {
    let v = Vital::of(tables, Species::EiseniaFetida)?;
    let quality = tables.value("living", "worms", "food_quality")?;
    let practice = From {
        area: Area::Practice,
        source: "keepers",
        basis: Basis::Practice,
        unit: "d",
        decimals: 0,
    };
    let urge = From {
        unit: "of 1",
        decimals: 2,
        ..practice
    };
    let mut all = vec![
        practice.check(
            "B practice doubling",
            "biomass of a well-kept, uncrowded bin doubles (200 g of mixed worms in 60 L at 22 °C)",
            between(60.0, 90.0),
            doubling_days(&v, 200.0, 60.0, quality),
        )
        .note("From the day the worms arrive, first laying after three weeks and their return to full mass counted in; on the food of a usual bin."),
        practice.check(
            "B practice doubling, usual start",
            "biomass of a usual start doubles (450 g of mixed worms in 57 L at 22 °C)",
            between(60.0, 90.0),
            doubling_days(&v, 450.0, 57.0, quality),
        )
        .note("Half of what a bin of this size is said to hold; on the food of a usual bin. Both bins are taken to be 30 cm deep, so this one starts at 2.4 kg/m²."),
        practice.check(
            "B practice wandering",
            "wandering of the first nights is over (urge below a tenth)",
            between(1.0, 7.0),
            settled_after(&v),
        ),
    ];
    let w = Worms::stocked(Species::EiseniaFetida, Some(500.0), None, &v);
    let day_14 = Habitat {
        settled_days: 14.0,
        ..Habitat::kind(30.0)
    };
    all.push(urge.check(
        "B practice two weeks, nothing wrong",
        "urge to leave after two weeks in a kind bin",
        between(0.0, 0.1),
        w.urge_to_leave(&v, &day_14),
    ));
    let faults = [
        (
            "sour food",
            Habitat {
                ph: 4.8,
                sour_meq_per_kg: 100.0,
                ..day_14
            },
        ),
        (
            "ammonia",
            Habitat {
                ph: 8.0,
                // What kills half in four weeks.
                ammonia_mg_per_g: ammonia::half_die_at(&v, 28.0),
                ..day_14
            },
        ),
        (
            "waterlogged",
            Habitat {
                // Half of the air a worm needs to do anything.
                air_filled: 0.5 * v.air_low,
                ..day_14
            },
        ),
        (
            "heat",
            Habitat {
                celsius: 32.0,
                ..day_14
            },
        ),
    ];
    for (fault, h) in faults {
        all.push(urge.check(
            format!("B practice two weeks, {fault}"),
            format!("climbing after two weeks means a fault: urge to leave, {fault}"),
            between(0.5, 1.0),
            w.urge_to_leave(&v, &h),
        ));
    }
    Ok(all)
}

/// Depth of a usual bin [m].
const BIN_DEPTH_M: f64 = 0.3;

/// Days until the mass of a stock has doubled [d]; 1000 when it has not by then.
fn doubling_days(v: &Vital, grams: f64, litres: f64, quality: f64) -> f64 {
    let mut w = Worms::stocked(Species::EiseniaFetida, Some(grams), None, v);
    let mut here = Habitat {
        celsius: 22.0,
        settled_days: 0.0,
        food_quality: quality,
        floor_m2: Some(litres / 1000.0 / BIN_DEPTH_M),
        ..Habitat::kind(litres)
    };
    while w.grams() < 2.0 * grams && here.settled_days < 1000.0 {
        w.advance(v, &here, 0.0, 0.5);
        here.settled_days += 0.5;
    }
    here.settled_days
}

/// Day on which the urge to wander is below a tenth [d].
fn settled_after(v: &Vital) -> f64 {
    let w = Worms::stocked(Species::EiseniaFetida, Some(500.0), None, v);
    (0..100)
        .map(f64::from)
        .find(|day| {
            let h = Habitat {
                settled_days: *day,
                ..Habitat::kind(30.0)
            };
            w.urge_to_leave(v, &h) < 0.1
        })
        .unwrap_or(100.0)
}
