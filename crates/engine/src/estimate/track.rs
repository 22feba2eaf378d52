//! The courses of a bin through time: which figures are followed, and their
//! bands at moments.

use crate::estimate::hands::{Hands, ONE_PAIR};
use crate::living::signs::Signs;
use crate::quantity::Band;

macro_rules! tracks {
    ($($(#[$doc:meta])* $id:ident = $name:literal, $unit:literal, $of:expr;)*) => {
        /// A figure followed through time.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        #[repr(usize)]
        pub enum Track { $($(#[$doc])* $id,)* }

        impl Track {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$id),*];

            /// Stable name.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$id => $name,)* }
            }

            /// Unit.
            #[must_use]
            pub const fn unit(self) -> &'static str {
                match self { $(Self::$id => $unit,)* }
            }

            /// Its value by the signs of one possible bin.
            #[must_use]
            pub fn of(self, s: &Signs) -> f64 {
                let read: fn(&Signs) -> f64 = match self { $(Self::$id => $of,)* };
                read(s)
            }
        }

        /// Number of tracks.
        pub const TRACKS: usize = [$($name),*].len();
    };
}

tracks! {
    /// pH of the bed as a whole.
    Ph = "ph", "pH", |s| s.ph;
    /// Moisture of the bed as a whole.
    Moisture = "moisture_percent", "% of wet mass", |s| s.moisture_percent;
    /// Temperature in the middle.
    Core = "core_celsius", "°C", |s| s.day.core_celsius;
    /// Temperature where worms sit.
    Refuge = "refuge_celsius", "°C", |s| s.day.refuge_celsius;
    /// Temperature of the hottest pocket of food.
    Hot = "hot_celsius", "°C", |s| s.hot_celsius;
    /// Temperature of the air at the bin.
    Air = "air_celsius", "°C", |s| s.day.air_celsius;
    /// Live mass of worms.
    WormKg = "worms_kg", "kg", |s| s.worms_kg;
    /// Worms.
    Worms = "worms", "worms", |s| s.worms;
    /// Cocoons.
    Cocoons = "cocoons", "cocoons", |s| s.cocoons;
    /// Share of the last feeding still to be seen.
    FoodLeft = "food_left_share", "share of the last feeding", |s| s.feed_left;
    /// Castings made here, dry.
    Castings = "castings_dry_kg", "kg dry", |s| s.made_dry_kg;
    /// The same as a share of the dry matter that did not come as castings.
    CastingsShare = "castings_share", "share of dry matter", |s| s.made_share;
    /// Salt.
    Salt = "ec_ms_per_cm", "mS/cm", |s| s.ec_ms_per_cm;
    /// Acids in the pocket of food.
    Sour = "sour_meq_per_kg", "meq/kg", |s| s.sour_meq_per_kg;
    /// Free ammonia.
    Ammonia = "free_ammonia_mg_per_kg", "mg N/kg dry", |s| s.free_ammonia_mg_per_kg;
    /// Air in the bed.
    AirFilled = "air_filled_porosity", "share of volume", |s| s.air_filled;
    /// Contents of the bin.
    Contents = "contents_kg", "kg", |s| s.contents_kg;
    /// Dry matter of the contents, worms not counted.
    Dry = "dry_kg", "kg dry", |s| s.dry_kg;
    /// Volume of the contents.
    Litres = "litres", "L", |s| s.litres;
    /// Urge of worms to leave.
    Urge = "urge_to_leave", "0 to 1", |s| s.urge_to_leave;
}

impl Track {
    /// Its band over members.
    #[must_use]
    pub fn band(self, signs: &[Signs], weights: &[f64]) -> Band {
        let values: Vec<f64> = signs.iter().map(|s| self.of(s)).collect();
        Band::weighted(&values, weights).unwrap_or(Band {
            median: f64::NAN,
            low: f64::NAN,
            high: f64::NAN,
        })
    }
}

/// The bands of all tracks at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// When [s since 1970-01-01 00:00 UTC].
    pub at: i64,
    /// Bands in the order of [`Track::ALL`].
    pub bands: Vec<Band>,
}

impl Moment {
    /// Bands over members at a moment.
    #[must_use]
    pub fn of(at: i64, signs: &[Signs], weights: &[f64]) -> Self {
        Self::by(&ONE_PAIR, at, signs, weights)
    }

    /// The same, by whatever hands there are.
    #[must_use]
    pub fn by(hands: &dyn Hands, at: i64, signs: &[Signs], weights: &[f64]) -> Self {
        Self {
            at,
            bands: hands.bands(&|track| track.band(signs, weights)),
        }
    }

    /// Moments whose bands are worked out by their place, by whatever hands there
    /// are.
    #[must_use]
    pub fn all(
        hands: &dyn Hands,
        at: &[i64],
        band: &(dyn Fn(usize, Track) -> Band + Sync),
    ) -> Vec<Self> {
        let row = |place: usize| {
            let bands = Track::ALL.iter().map(|track| band(place, *track));
            bands.flat_map(|b| [b.median, b.low, b.high]).collect()
        };
        let of = |(at, row): (&i64, Vec<f64>)| Self {
            at: *at,
            bands: (row.chunks_exact(3))
                .map(|b| Band {
                    median: b[0],
                    low: b[1],
                    high: b[2],
                })
                .collect(),
        };
        at.iter().zip(hands.rows(at.len(), &row)).map(of).collect()
    }

    /// The band of one track.
    #[must_use]
    pub fn band(&self, track: Track) -> Band {
        self.bands[track as usize]
    }
}
