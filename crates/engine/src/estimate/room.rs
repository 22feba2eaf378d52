//! What a bin has room for: amounts that cannot have been in it, whoever says
//! so. The same is asked at every way into the log and by the estimate.

use crate::bed::fill::{self, DRAINED, FillError, Own, WATER};
use crate::echo::{Said, echo};
use crate::log::{BinDescription, Body, Entry, Measured, Part};
use crate::measure::{Amount, LITRES_PER_GALLON};
use crate::table::{TableError, Tables};

/// Most that one bin takes at once.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Room {
    /// Inner volume [L].
    holds: f64,
    /// Loose bedding, feed or castings [L].
    loose: f64,
    /// Water or liquid [L].
    water: f64,
    /// Live worms [g].
    worms_grams: f64,
    /// Worms.
    worms: f64,
    /// Gross mass [kg].
    gross_kg: f64,
}

impl Room {
    /// The room of a bin so described; `None` when its sizes are none.
    pub(crate) fn of(tables: &Tables, bin: &BinDescription) -> Result<Option<Self>, TableError> {
        let holds = bin.length_cm * bin.width_cm * bin.depth_cm / 1000.0;
        if holds.is_nan() || holds <= 0.0 {
            return Ok(None);
        }
        let most = |property| {
            let each = tables.value("observations", "room", property)?;
            Ok(each * holds)
        };
        Ok(Some(Self {
            holds,
            loose: most("volume_share")?,
            water: match bin.drains {
                true => most("water_drains_share")?,
                false => most("water_share")?,
            },
            worms_grams: most("worms_grams_per_litre")?,
            worms: most("worms_per_litre")?,
            gross_kg: most("bin_kg_per_litre")?,
        }))
    }

    /// The largest room that a bin had by its log: what fitted a larger bin
    /// stays in the log when the keeper goes over to a smaller one.
    pub(crate) fn of_log(
        tables: &Tables,
        now: Option<&BinDescription>,
        log: &[Entry],
    ) -> Result<Option<Self>, TableError> {
        let described = log.iter().filter_map(|e| match &e.body {
            Body::Bin(bin) => Some(bin),
            _ => None,
        });
        let mut widest: Option<Self> = None;
        for bin in now.into_iter().chain(described) {
            let Some(room) = Self::of(tables, bin)? else {
                continue;
            };
            widest = Some(widest.map_or(room, |w| w.or(&room)));
        }
        Ok(widest)
    }

    fn or(&self, other: &Self) -> Self {
        Self {
            holds: self.holds.max(other.holds),
            loose: self.loose.max(other.loose),
            water: self.water.max(other.water),
            worms_grams: self.worms_grams.max(other.worms_grams),
            worms: self.worms.max(other.worms),
            gross_kg: self.gross_kg.max(other.gross_kg),
        }
    }

    /// That what an entry says can have been in the bin. Amounts that cannot
    /// be turned into litres are refused elsewhere.
    pub(crate) fn takes(&self, tables: &Tables, own: &Own, body: &Body) -> Result<(), FillError> {
        match body {
            Body::Filled { parts } | Body::BeddingAdded { parts } | Body::Feeding { parts } => {
                self.parts(tables, own, parts)
            }
            Body::Dose(dose) => {
                let part = Part::plain(dose.material.clone(), dose.amount);
                self.parts(tables, own, &[part])
            }
            Body::Water { amount, .. } => self.liquid(tables, WATER, amount),
            Body::Drain { amount } => self.liquid(tables, DRAINED, amount),
            Body::Harvest { amount } => {
                let litres = amount.litres(tables.material("vermicompost")?, tables);
                let litres = litres.map_or(0.0, |l| l.litres);
                self.amount("castings", amount, litres, self.loose)
            }
            Body::WormsIn { grams, count, .. } => self.worms(*grams, *count),
            Body::WormCount {
                found,
                litres_searched,
                grams,
                ..
            } => {
                let searched = litres_searched.unwrap_or(0.0);
                self.figure("litres searched", searched, self.loose, "L")?;
                self.worms(*grams, Some(*found))
            }
            Body::Reading(r) if r.what == Measured::BinKg => {
                let heaviest = r.spots.iter().copied().fold(0.0, f64::max);
                self.figure("the mass of the bin", heaviest, self.gross_kg, "kg")
            }
            _ => Ok(()),
        }
    }

    /// Parts put in together, each in what the ones before it left free.
    fn parts(&self, tables: &Tables, own: &Own, parts: &[Part]) -> Result<(), FillError> {
        let (mut loose, mut water) = (self.loose, self.water);
        for part in parts {
            let name = &part.material;
            if name == WATER {
                let litres = part.amount.water_litres(tables).map_or(0.0, |l| l.litres);
                self.amount(name, &part.amount, litres, water)?;
                water -= litres;
                continue;
            }
            let ready = fill::ready(tables, std::slice::from_ref(part), own).unwrap_or_default();
            let litres: f64 = ready.iter().map(|p| p.litres.value).sum();
            self.amount(name, &part.amount, litres, loose)?;
            loose -= litres;
        }
        Ok(())
    }

    fn liquid(&self, tables: &Tables, what: &str, amount: &Amount) -> Result<(), FillError> {
        let litres = amount.water_litres(tables).map_or(0.0, |l| l.litres);
        self.amount(what, amount, litres, self.water)
    }

    fn worms(&self, grams: Option<f64>, count: Option<f64>) -> Result<(), FillError> {
        self.figure("worms", grams.unwrap_or(0.0), self.worms_grams, "g")?;
        self.figure("worm count", count.unwrap_or(0.0), self.worms, "worms")
    }

    /// The range is told in the unit typed, whatever that is.
    fn amount(&self, what: &str, typed: &Amount, litres: f64, most: f64) -> Result<(), FillError> {
        if litres <= most {
            return Ok(());
        }
        let most = two_digits(typed.number * most / litres);
        let unit = typed.unit.many();
        Err(self.refusal(what, &typed.to_string(), &format!("{} {unit}", Said(most))))
    }

    fn figure(&self, what: &str, given: f64, most: f64, unit: &str) -> Result<(), FillError> {
        if given <= most {
            return Ok(());
        }
        let said = |n: f64| format!("{} {unit}", Said(n));
        Err(self.refusal(what, &said(given), &said(two_digits(most))))
    }

    fn refusal(&self, what: &str, given: &str, most: &str) -> FillError {
        FillError::NoRoom {
            what: what.to_owned(),
            given: echo(given),
            most: most.to_owned(),
            litres: about(self.holds),
            gallons: about(self.holds / LITRES_PER_GALLON),
        }
    }
}

/// A size as it is shown elsewhere: whole above ten.
fn about(size: f64) -> f64 {
    match size >= 10.0 {
        true => size.round(),
        false => two_digits(size),
    }
}

/// Cut to two digits, whole above ten: never more than the figure itself.
fn two_digits(value: f64) -> f64 {
    if value <= 0.0 {
        return 0.0;
    }
    if value >= 10.0 {
        return value.floor();
    }
    let digits = 10f64.powf(1.0 - value.log10().floor());
    (value * digits).floor() / digits
}
