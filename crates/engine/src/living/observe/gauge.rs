//! Readings of temperature, salt and moisture: what an instrument would show
//! at that place, its error, and tails of Student's t for the odd spot.
//!
//! `variance = (noise² + spot²)/n + bias² + place²`: more spots shrink only
//! what differs between spots.

use super::chance::{at_least, student_ln};
use super::row;
use crate::living::signs::Signs;
use crate::log::{Measured, Place, Reading};
use crate::table::{TableError, Tables};

/// Instruments that are off by one amount in all their readings: what a keeper
/// has one of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GaugeKind {
    /// Thermometer; biases in K.
    Thermometer,
    /// Salt meter with its way of making an extract; biases in ln mS/cm.
    SaltMeter,
    /// Moisture by any way but those below; biases in points.
    MoistureHand,
    /// Moisture weighed and dried; biases in points.
    MoistureOven,
    /// Moisture probe; biases in points.
    MoistureProbe,
}

impl GaugeKind {
    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Thermometer => "thermometer",
            Self::SaltMeter => "salt_meter",
            Self::MoistureHand => "moisture_hand",
            Self::MoistureOven => "moisture_oven",
            Self::MoistureProbe => "moisture_probe",
        }
    }

    /// All kinds.
    pub const ALL: [Self; 5] = [
        Self::Thermometer,
        Self::SaltMeter,
        Self::MoistureHand,
        Self::MoistureOven,
        Self::MoistureProbe,
    ];
}

/// Noise and bias of one method.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Method {
    noise: f64,
    bias: f64,
}

impl Method {
    fn load(tables: &Tables, subject: &str) -> Result<Self, TableError> {
        Ok(Self {
            noise: row(tables, subject, "noise")?,
            bias: row(tables, subject, "bias")?,
        })
    }
}

/// Instruments other than for pH.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gauges {
    tail_df: f64,
    thermometer: Method,
    celsius_spot: f64,
    /// Spread, top, middle, bottom, edge, food.
    celsius_place: [f64; 6],
    model: Model,
    salt: Method,
    salt_spot: f64,
    salt_least: f64,
    moisture: Method,
    oven: Method,
    probe: Method,
    moisture_spot: f64,
    moisture_place: f64,
}

/// How the model's zones stand for places.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Model {
    top_air: f64,
    edge_air: f64,
    bottom_more: f64,
    spread_core: f64,
}

/// One reading, ready to weigh any number of possible bins by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauge {
    what: Measured,
    kind: GaugeKind,
    place: Place,
    /// Mean of the spots, on the scale of the model.
    at: f64,
    /// Of the reading about what this very instrument would show on average.
    scatter: f64,
    bias: f64,
    variance: f64,
    tail_df: f64,
    model: Model,
}

impl Gauges {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let get = |subject, property| row(tables, subject, property);
        let celsius = |property| get("bedding_celsius", property);
        Ok(Self {
            tail_df: get("readings", "tail_df")?,
            thermometer: Method::load(tables, "bedding_celsius")?,
            celsius_spot: celsius("spot")?,
            celsius_place: [
                celsius("spread")?,
                celsius("top")?,
                celsius("middle")?,
                celsius("bottom")?,
                celsius("edge")?,
                celsius("food")?,
            ],
            model: Model {
                top_air: celsius("top_air_share")?,
                edge_air: celsius("edge_air_share")?,
                bottom_more: get("moisture_percent", "bottom_more")?,
                spread_core: celsius("spread_core_share")?,
            },
            salt: Method::load(tables, "ec_ms_cm")?,
            salt_spot: get("ec_ms_cm", "spot")?,
            salt_least: get("ec_ms_cm", "least")?,
            moisture: Method::load(tables, "moisture_percent")?,
            oven: Method::load(tables, "moisture_oven")?,
            probe: Method::load(tables, "moisture_probe")?,
            moisture_spot: get("moisture_percent", "spot")?,
            moisture_place: get("moisture_percent", "place")?,
        })
    }

    pub(super) fn ready(&self, reading: &Reading) -> Option<Gauge> {
        let spots = &reading.spots;
        if spots.is_empty() || spots.iter().any(|x| !x.is_finite()) {
            return None;
        }
        let n = spots.len() as f64;
        let mean = |f: fn(f64) -> f64| spots.iter().map(|x| f(*x)).sum::<f64>() / n;
        let place = reading.place;
        let (at, kind, spot, of_place) = match reading.what {
            Measured::BeddingCelsius => (
                mean(|x| x),
                GaugeKind::Thermometer,
                self.celsius_spot,
                self.celsius_place[place_index(place)],
            ),
            Measured::EcMsCm => {
                let least = self.salt_least;
                let logs = spots.iter().map(|x| x.max(least).ln()).sum::<f64>() / n;
                (logs, GaugeKind::SaltMeter, self.salt_spot, 0.0)
            }
            Measured::MoisturePercent => {
                let kind = moisture_kind(&reading.instrument);
                let place = if place == Place::Spread {
                    0.0
                } else {
                    self.moisture_place
                };
                (mean(|x| x), kind, self.moisture_spot, place)
            }
            // Weighed elsewhere, or no evidence of the bed.
            Measured::Ph | Measured::AirCelsius | Measured::BinKg => return None,
        };
        let method = self.method(kind);
        let spots = (method.noise.powi(2) + spot.powi(2)) / n;
        let variance = spots + method.bias.powi(2) + of_place.powi(2);
        Some(Gauge {
            what: reading.what,
            kind,
            place,
            at,
            scatter: spots + of_place.powi(2),
            bias: method.bias,
            variance,
            tail_df: self.tail_df,
            model: self.model,
        })
    }

    fn method(&self, kind: GaugeKind) -> Method {
        match kind {
            GaugeKind::Thermometer => self.thermometer,
            GaugeKind::SaltMeter => self.salt,
            GaugeKind::MoistureHand => self.moisture,
            GaugeKind::MoistureOven => self.oven,
            GaugeKind::MoistureProbe => self.probe,
        }
    }

    /// Standard deviation of one thermometer reading in the middle [K].
    pub(super) fn middle_sd(&self) -> f64 {
        let t = self.thermometer;
        let place = self.celsius_place[place_index(Place::Middle)];
        (t.noise.powi(2) + self.celsius_spot.powi(2) + t.bias.powi(2) + place.powi(2)).sqrt()
    }
}

/// Kind of a moisture reading, by words in its instrument's key.
fn moisture_kind(instrument: &str) -> GaugeKind {
    let key = instrument.to_ascii_lowercase();
    if key.contains("oven") || key.contains("lab") {
        GaugeKind::MoistureOven
    } else if key.contains("probe") || key.contains("meter") {
        GaugeKind::MoistureProbe
    } else {
        GaugeKind::MoistureHand
    }
}

const fn place_index(place: Place) -> usize {
    match place {
        Place::Spread => 0,
        Place::Top => 1,
        Place::Middle => 2,
        Place::Bottom => 3,
        Place::Edge => 4,
        Place::Food => 5,
    }
}

impl Gauge {
    /// What the instrument would show of this bin: °C, % of wet mass, or the
    /// logarithm of mS/cm.
    #[must_use]
    pub fn expected(&self, signs: &Signs) -> f64 {
        match self.what {
            Measured::BeddingCelsius => self.celsius(signs),
            Measured::EcMsCm => at_least(signs.ec_ms_per_cm, 1e-3).ln(),
            _ => match self.place {
                Place::Top => signs.top_moisture_percent,
                // A guard: nothing wetter is bedding.
                Place::Bottom => (signs.moisture_percent + self.model.bottom_more).min(97.0),
                _ => signs.moisture_percent,
            },
        }
    }

    /// Temperature of the place [°C]. The wall is the refuge when that is
    /// cooler than the middle, else part of the way from middle to air.
    fn celsius(&self, s: &Signs) -> f64 {
        let toward_air = |share: f64| s.core_celsius + share * (s.air_celsius - s.core_celsius);
        let edge = if s.refuge_celsius < s.core_celsius {
            s.refuge_celsius
        } else {
            toward_air(self.model.edge_air)
        };
        match self.place {
            Place::Spread => {
                let core = self.model.spread_core;
                core * s.core_celsius + (1.0 - core) * edge
            }
            Place::Middle => s.core_celsius,
            Place::Top | Place::Bottom => toward_air(self.model.top_air),
            Place::Edge => edge,
            Place::Food => s.hot_celsius,
        }
    }

    /// What was read, on the same scale as [`Gauge::expected`].
    #[must_use]
    pub fn read(&self) -> f64 {
        self.at
    }

    /// Standard deviation of the reading about [`Gauge::expected`].
    #[must_use]
    pub fn sd(&self) -> f64 {
        self.variance.sqrt()
    }

    /// Log likelihood, up to a constant. Always finite for finite signs.
    #[must_use]
    pub fn log_likelihood(&self, signs: &Signs) -> f64 {
        student_ln(self.at - self.expected(signs), self.variance, self.tail_df)
    }

    /// Which instrument it was read on.
    #[must_use]
    pub fn kind(&self) -> GaugeKind {
        self.kind
    }

    /// Standard deviation of the biases of such instruments, on the scale of
    /// [`Gauge::expected`].
    #[must_use]
    pub fn bias_sd(&self) -> f64 {
        self.bias
    }

    /// Standard deviation of the reading about what this very instrument shows
    /// on average.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.scatter.sqrt()
    }

    /// Log likelihood, up to a constant, where the instrument shows so much more
    /// than there is, on the scale of [`Gauge::expected`]. Always finite for
    /// finite signs.
    #[must_use]
    pub fn biased_log_likelihood(&self, signs: &Signs, bias: f64) -> f64 {
        let gap = self.at - self.expected(signs) - bias;
        student_ln(gap, self.scatter, self.tail_df)
    }
}
