//! The units a keeper owns, and every way they are written.

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Mass.
    Mass,
    /// Volume, loose as used.
    Volume,
    /// Things that are counted.
    Count,
}

macro_rules! units {
    ($($(#[$doc:meta])* $id:ident: $kind:ident, $key:literal, $one:literal, $many:literal, [$($also:literal),*];)*) => {
        /// A unit a keeper owns.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        #[non_exhaustive]
        pub enum Unit { $($(#[$doc])* $id,)* }

        impl Unit {
            /// All units.
            pub const ALL: &'static [Self] = &[$(Self::$id),*];

            /// Key in the table of measures.
            #[must_use]
            pub const fn key(self) -> &'static str {
                match self { $(Self::$id => $key,)* }
            }

            /// Written for one of it.
            #[must_use]
            pub const fn one(self) -> &'static str {
                match self { $(Self::$id => $one,)* }
            }

            /// Written for several of it.
            #[must_use]
            pub const fn many(self) -> &'static str {
                match self { $(Self::$id => $many,)* }
            }

            /// What it measures.
            #[must_use]
            pub const fn kind(self) -> Kind {
                match self { $(Self::$id => Kind::$kind,)* }
            }

            /// Other ways it is written, in lower case without full stops.
            #[must_use]
            pub const fn also(self) -> &'static [&'static str] {
                match self { $(Self::$id => &[$($also),*],)* }
            }
        }
    };
}

units! {
    /// Gram.
    Gram: Mass, "gram", "g", "g", ["gram", "grams", "gramme", "grammes", "gr", "gm", "gms"];
    /// Kilogram.
    Kilogram: Mass, "kilogram", "kg", "kg", ["kilogram", "kilograms", "kilo", "kilos", "kgs"];
    /// Ounce by weight.
    Ounce: Mass, "ounce", "oz", "oz", ["ounce", "ounces"];
    /// Pound.
    Pound: Mass, "pound", "lb", "lb", ["lbs", "pound", "pounds"];
    /// Millilitre.
    Millilitre: Volume, "millilitre", "mL", "mL", ["ml", "millilitre", "millilitres", "milliliter", "milliliters", "cc"];
    /// Litre.
    Litre: Volume, "litre", "L", "L", ["l", "litre", "litres", "liter", "liters", "ltr"];
    /// Level teaspoon.
    Teaspoon: Volume, "teaspoon", "tsp", "tsp", ["tsps", "teaspoon", "teaspoons"];
    /// Level tablespoon.
    Tablespoon: Volume, "tablespoon", "tbsp", "tbsp", ["tbsps", "tbs", "tblsp", "tablespoon", "tablespoons"];
    /// Fluid ounce, US.
    FluidOunce: Volume, "fluid_ounce", "fl oz", "fl oz", ["floz", "fluid ounce", "fluid ounces"];
    /// US cup.
    Cup: Volume, "cup", "cup", "cups", ["c", "us cup", "us cups"];
    /// Metric cup.
    MetricCup: Volume, "metric_cup", "metric cup", "metric cups", [];
    /// Pint, US.
    Pint: Volume, "pint", "pint", "pints", ["pt", "pts", "us pint", "us pints"];
    /// Quart, US.
    Quart: Volume, "quart", "quart", "quarts", ["qt", "qts", "us quart", "us quarts"];
    /// Gallon, US.
    Gallon: Volume, "gallon", "gallon", "gallons", ["gal", "gals", "us gal", "us gallon", "us gallons"];
    /// Gallon, UK.
    UkGallon: Volume, "uk_gallon", "uk gallon", "uk gallons", ["uk gal", "imperial gallon", "imperial gallons"];
    /// Household bucket.
    Bucket: Volume, "bucket", "bucket", "buckets", ["pail", "pails", "10 l bucket", "10 l buckets"];
    /// Five-gallon bucket.
    FiveGallonBucket: Volume, "five_gallon_bucket", "5-gallon bucket", "5-gallon buckets", ["5 gallon bucket", "5 gallon buckets", "five-gallon bucket", "five-gallon buckets", "5-gal bucket", "5-gal buckets"];
    /// Cubic foot.
    CubicFoot: Volume, "cubic_foot", "cubic foot", "cubic feet", ["ft3", "cu ft", "cuft", "ft³"];
    /// Handful.
    Handful: Volume, "handful", "handful", "handfuls", ["handsful"];
    /// Garden shovel, heaped.
    Shovel: Volume, "shovel", "shovel", "shovels", ["shovelful", "shovelfuls", "spade", "spades"];
    /// Shopping carrier bag, filled loosely.
    CarrierBag: Volume, "carrier_bag", "carrier bag", "carrier bags", ["carrier", "carriers", "shopping bag", "shopping bags"];
    /// Full sheet of newspaper.
    Sheet: Count, "sheet", "sheet", "sheets", ["newspaper sheet", "newspaper sheets", "sheet of newspaper", "sheets of newspaper"];
    /// Whole newspaper.
    Newspaper: Count, "newspaper", "newspaper", "newspapers", ["paper", "papers", "whole newspaper", "whole newspapers"];
    /// Shell of one egg.
    Eggshell: Count, "eggshell", "eggshell", "eggshells", ["egg shell", "egg shells", "shell", "shells"];
    /// Carton for a dozen eggs.
    EggCarton: Count, "egg_carton", "egg carton", "egg cartons", ["egg box", "egg boxes"];
}

/// Grams in an avoirdupois ounce [g]: a sixteenth of the pound of 1959.
pub const GRAMS_PER_OUNCE: f64 = 28.349_523_125;
/// Grams in an international pound [g], of 1959.
pub const GRAMS_PER_POUND: f64 = 453.592_37;
/// Litres in a US gallon [L], of 231 cubic inches.
pub const LITRES_PER_GALLON: f64 = 3.785_411_784;

/// A temperature in °F.
#[must_use]
pub fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}

impl Unit {
    /// Grams in one of it, for units of mass [g].
    #[must_use]
    pub const fn grams(self) -> Option<f64> {
        match self {
            Self::Gram => Some(1.0),
            Self::Kilogram => Some(1000.0),
            Self::Ounce => Some(GRAMS_PER_OUNCE),
            Self::Pound => Some(GRAMS_PER_POUND),
            _ => None,
        }
    }

    /// The unit written that way, case and full stops aside.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        let text = text.trim().trim_end_matches('.').to_lowercase();
        Self::ALL.iter().copied().find(|u| {
            u.one().to_lowercase() == text
                || u.many().to_lowercase() == text
                || u.also().contains(&text.as_str())
        })
    }
}
