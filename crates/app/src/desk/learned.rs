//! What a log has taught of its bin, its keeper's senses and the instruments,
//! beside what is known of any: only figures whose range it narrowed, each with
//! the entries that tell of it.

use super::{BinState, Desk, DeskError};
use crate::report::{self, Units};
use engine::bed::product::Ranged;
use engine::estimate::Possible;
use engine::log::{Body, Entry, Measured, Word};
use engine::quantity::Band;
use engine::reading::instrument::Instrument;
use engine::table::{TableError, Tables};

/// A range is learned from here on [of what it was before].
const NARROWED: f64 = 0.8;
/// Standard normal quantiles of the ends of 80 % and of 90 % intervals.
const Z80: f64 = 1.2816;
const Z90: f64 = 1.6449;

/// Something learned.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// Stable name.
    pub key: &'static str,
    /// What of.
    pub what: String,
    /// Unit of the bands.
    pub unit: &'static str,
    /// What it is called below nothing and above, where it may be either.
    pub sides: Option<(&'static str, &'static str)>,
    /// As it is known now.
    pub now: Band,
    /// As it is known of any.
    pub before: Band,
    /// The entries that tell of it: `14 squeezes and 2 weighings`.
    pub from: String,
}

/// On which scale a figure spreads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Scale {
    Plain,
    Times,
}

/// What tells of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tells {
    Squeezes,
    Moistures,
    Weighings,
    FoodWords,
    BedWarmth,
    HandWarmth,
    Counts,
}

impl Tells {
    fn is(self, body: &Body) -> bool {
        let word = |of: fn(&Word) -> bool| match body {
            Body::Observation { words, .. } => words.iter().any(of),
            _ => false,
        };
        let read = |what: Measured| matches!(body, Body::Reading(r) if r.what == what);
        match self {
            Self::Squeezes => word(|w| {
                matches!(
                    w,
                    Word::SqueezeDusty
                        | Word::SqueezeWeak
                        | Word::SqueezeDrops
                        | Word::SqueezeSeveral
                        | Word::SqueezeTrickle
                        | Word::SqueezeStream
                )
            }),
            Self::FoodWords => {
                word(|w| matches!(w, Word::FoodGone | Word::FoodHalf | Word::FoodMost))
            }
            Self::HandWarmth => word(|w| matches!(w, Word::FeelsCold | Word::FeelsWarm)),
            Self::Moistures => read(Measured::MoisturePercent),
            Self::Weighings => read(Measured::BinKg),
            Self::BedWarmth => read(Measured::BeddingCelsius),
            Self::Counts => matches!(body, Body::WormCount { .. }),
        }
    }

    fn noun(self, count: usize) -> String {
        let (one, more) = match self {
            Self::Squeezes => ("squeeze", "squeezes"),
            Self::Moistures => ("reading of moisture", "readings of moisture"),
            Self::Weighings => ("weighing", "weighings"),
            Self::FoodWords => ("look at the food", "looks at the food"),
            Self::BedWarmth => (
                "reading of the bed's warmth",
                "readings of the bed's warmth",
            ),
            Self::HandWarmth => ("feel of its warmth", "feels of its warmth"),
            Self::Counts => ("count of worms", "counts of worms"),
        };
        format!("{count} {}", if count == 1 { one } else { more })
    }
}

/// Where the range of any bin or keeper stands.
#[derive(Debug, Clone, Copy)]
enum Of {
    /// A number of a table with its range: table, subject and property.
    Any([&'static str; 3]),
    /// A spread about nothing, or about 1 where it is `Scale::Times`, of these
    /// rows of the table of observations together.
    About(&'static [[&'static str; 2]]),
}

/// One figure that can be learned.
struct Kind {
    key: &'static str,
    what: &'static str,
    unit: &'static str,
    sides: Option<(&'static str, &'static str)>,
    scale: Scale,
    value: fn(&Possible) -> f64,
    of: Of,
    tells: &'static [Tells],
}

/// Figures of the bin and of the keeper.
const KINDS: [Kind; 5] = [
    Kind {
        key: "rots",
        what: "How fast this bin rots what is in it, against the usual",
        unit: "times",
        sides: None,
        scale: Scale::Times,
        value: |m| m.nature.decay_scale,
        of: Of::Any(["living", "decay", "scale"]),
        tells: &[Tells::FoodWords, Tells::Squeezes, Tells::BedWarmth],
    },
    Kind {
        key: "water_lost",
        what: "Water that goes into the air, against the usual for such a lid",
        unit: "times",
        sides: None,
        scale: Scale::Times,
        value: |m| m.nature.evaporation,
        of: Of::Any(["living", "water", "evaporation_scale"]),
        tells: &[Tells::Weighings, Tells::Squeezes, Tells::Moistures],
    },
    Kind {
        key: "warmer",
        what: "Its place against the room",
        unit: "K",
        sides: Some(("cooler", "warmer")),
        scale: Scale::Plain,
        value: |m| m.nature.room_offset,
        of: Of::Any(["living", "heat", "room_offset_celsius"]),
        tells: &[Tells::BedWarmth, Tells::HandWarmth],
    },
    Kind {
        key: "hand",
        what: "A squeezed handful, by this hand and in this bedding, against what it holds",
        unit: "points of moisture",
        sides: Some(("too dry", "too wet")),
        scale: Scale::Plain,
        value: |m| m.keeper.squeeze_points,
        of: Of::About(&[["keeper", "squeeze_sd"], ["squeeze", "scale_sd"]]),
        tells: &[Tells::Squeezes, Tells::Weighings, Tells::Moistures],
    },
    Kind {
        key: "count",
        what: "Worms found in a count, against the usual share of those there are",
        unit: "times",
        sides: None,
        scale: Scale::Times,
        value: |m| m.keeper.count_ln.exp(),
        of: Of::About(&[["keeper", "count_sd"]]),
        tells: &[Tells::Counts],
    },
];

impl Kind {
    /// The 80 % interval of any bin.
    fn before(&self, tables: &Tables) -> Result<Band, TableError> {
        let (middle, sds) = match self.of {
            Of::Any([table, subject, property]) => {
                let n = Ranged::of(tables, table, subject, property)?;
                let on = |x: f64| self.scale.on(x);
                let (low, middle, high) = (on(n.low), on(n.value), on(n.high));
                (middle, [(middle - low) / Z90, (high - middle) / Z90])
            }
            Of::About(rows) => {
                let sds = rows
                    .iter()
                    .map(|[subject, property]| tables.value("observations", subject, property));
                let variance: f64 = sds.map(|sd| sd.map(|sd| sd * sd)).sum::<Result<_, _>>()?;
                (0.0, [variance.sqrt(); 2])
            }
        };
        Ok(Band {
            median: self.scale.off(middle),
            low: self.scale.off(middle - Z80 * sds[0]),
            high: self.scale.off(middle + Z80 * sds[1]),
        })
    }
}

impl Scale {
    fn on(self, x: f64) -> f64 {
        match self {
            Self::Plain => x,
            Self::Times => x.max(1e-9).ln(),
        }
    }

    fn off(self, x: f64) -> f64 {
        match self {
            Self::Plain => x,
            Self::Times => x.exp(),
        }
    }

    fn width(self, band: &Band) -> f64 {
        self.on(band.high) - self.on(band.low)
    }
}

impl Desk {
    /// What the log of a bin has taught; nothing where there is no estimate.
    ///
    /// # Errors
    /// [`DeskError`] when a number is missing.
    pub fn learned(&self, state: &BinState) -> Result<Vec<Learned>, DeskError> {
        let Ok(e) = &state.estimate else {
            return Ok(Vec::new());
        };
        let mut all = Vec::new();
        for kind in &KINDS {
            all.extend(self.one(state, kind)?);
        }
        let pens = e.ensemble.members.first().map(|m| m.bias.keys());
        for pen in pens.into_iter().flatten() {
            all.extend(self.pen(state, pen)?);
        }
        Ok(all)
    }

    /// By how much an instrument for pH is off.
    fn pen(&self, state: &BinState, pen: &str) -> Result<Option<Learned>, DeskError> {
        let Ok(e) = &state.estimate else {
            return Ok(None);
        };
        let instrument = Instrument::from_tables(self.tables, pen)?;
        let off = Z80 * instrument.systematic_sd();
        let before = Band {
            median: 0.0,
            low: -off,
            high: off,
        };
        let now = (e.ensemble).band(|m| m.bias.get(pen).copied().unwrap_or(0.0));
        let read = |e: &&Entry| matches!(&e.body, Body::Reading(r) if r.what == Measured::Ph && r.instrument == pen);
        let noun = match state.log.iter().filter(read).count() {
            1 => "1 reading of pH".to_owned(),
            count => format!("{count} readings of pH"),
        };
        let narrowed = Scale::Plain.width(&now) < NARROWED * Scale::Plain.width(&before);
        Ok(narrowed.then_some(Learned {
            key: "pen",
            what: instrument.name,
            unit: "pH",
            sides: Some(("too low", "too high")),
            now,
            before,
            from: noun,
        }))
    }

    fn one(&self, state: &BinState, kind: &Kind) -> Result<Option<Learned>, DeskError> {
        let Ok(e) = &state.estimate else {
            return Ok(None);
        };
        let told = kind.tells.iter().filter_map(|t| {
            let count = state.log.iter().filter(|e| t.is(&e.body)).count();
            (count > 0).then(|| t.noun(count))
        });
        let told: Vec<String> = told.collect();
        let before = kind.before(self.tables)?;
        let now = e.ensemble.band(kind.value);
        let narrowed = kind.scale.width(&now) < NARROWED * kind.scale.width(&before);
        Ok((narrowed && !told.is_empty()).then(|| Learned {
            key: kind.key,
            what: kind.what.to_owned(),
            unit: kind.unit,
            sides: kind.sides,
            now,
            before,
            from: told.join(", "),
        }))
    }
}

impl Learned {
    /// In a sentence.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let (by, unit) = match (self.unit, units) {
            ("K", Units::Us) => (1.8, "°F"),
            ("K", Units::Metric) => (1.0, "°C"),
            (unit, _) => (1.0, unit),
        };
        let shown = |b: &Band| {
            let of = |x: f64| x * by;
            let b = Band {
                median: of(b.median),
                low: of(b.low),
                high: of(b.high),
            };
            match self.sides {
                Some(sides) => either_side(&b, unit, sides),
                None => report::band(&b, unit),
            }
        };
        format!(
            "{}: {}, from {}. Without them it would be {}.",
            self.what,
            shown(&self.now),
            self.from,
            shown(&self.before)
        )
    }
}

/// An interval about nothing in words: `0.4 °C cooler (1.6 cooler to 1.5 warmer)`.
fn either_side(b: &Band, unit: &str, (below, above): (&str, &str)) -> String {
    let size = |x: f64| report::significant(x.abs(), 2);
    let side = |x: f64| if x < 0.0 { below } else { above };
    let middle = match size(b.median) {
        none if none == "0" => "neither".to_owned(),
        size => format!("{size} {unit} {}", side(b.median)),
    };
    let end = |x: f64| format!("{} {}", size(x), side(x));
    format!("{middle} ({} to {})", end(b.low), end(b.high))
}
