//! Organic matter and how it rots: for each kind of material three pools,
//! each first order, and the humus they leave.

mod organic;

use crate::living::constants::Constants;
use crate::table::{TableError, Tables, embedded};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

pub use organic::{Bite, Organic, Sums};

/// A kind of rotting matter. Materials of one kind share rates; their carbon,
/// nitrogen and labile shares stay their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[repr(usize)]
pub enum Kind {
    /// Fresh fruit and vegetables.
    Food,
    /// Bread, rice, pasta.
    Starch,
    /// Meals, bran, grain.
    Meal,
    /// Coffee and tea.
    Grounds,
    /// Green leaf.
    Green,
    /// Dung.
    Manure,
    /// Paper and card.
    Paper,
    /// Leaf litter.
    Leaves,
    /// Straw, hay, hulls.
    Straw,
    /// Wood and bark.
    Wood,
    /// Coconut pith.
    Coir,
    /// Peat.
    Peat,
    /// Compost and castings.
    Compost,
}

/// Number of kinds.
pub const KINDS: usize = 13;
/// Pools of a kind: labile, slow, lasting.
pub const POOLS: usize = 3;

impl Kind {
    /// All kinds, in the order of the arrays.
    pub const ALL: [Self; KINDS] = [
        Self::Food,
        Self::Starch,
        Self::Meal,
        Self::Grounds,
        Self::Green,
        Self::Manure,
        Self::Paper,
        Self::Leaves,
        Self::Straw,
        Self::Wood,
        Self::Coir,
        Self::Peat,
        Self::Compost,
    ];

    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Food => "food",
            Self::Starch => "starch",
            Self::Meal => "meal",
            Self::Grounds => "grounds",
            Self::Green => "green",
            Self::Manure => "manure",
            Self::Paper => "paper",
            Self::Leaves => "leaves",
            Self::Straw => "straw",
            Self::Wood => "wood",
            Self::Coir => "coir",
            Self::Peat => "peat",
            Self::Compost => "compost",
        }
    }

    /// Has not rotted yet: most of its salts are those of organic acids, which
    /// go with them.
    #[must_use]
    pub const fn is_fresh(self) -> bool {
        !matches!(
            self,
            Self::Paper | Self::Wood | Self::Coir | Self::Peat | Self::Compost
        )
    }

    /// Has not been eaten either: the acids that its potassium stands against are
    /// still those of the plant. In dung they are burnt, and the base is in its pH.
    #[must_use]
    pub const fn is_plant(self) -> bool {
        self.is_fresh() && !matches!(self, Self::Manure)
    }

    /// Lies in a pocket rather than all through the bed when fed.
    #[must_use]
    pub const fn in_pocket(self) -> bool {
        (self as usize) <= Self::Green as usize
    }
}

/// Rates and shares of every kind at 20 °C, moist, with air.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    /// First-order rate of each pool [1/d].
    pub per_day: [[f64; POOLS]; KINDS],
    /// Share of what is not labile that is slow [0 to 1].
    pub slow_share: [f64; KINDS],
    /// Labile share of organic matter, where the kind and not the material
    /// says it.
    pub labile_share: [Option<f64>; KINDS],
    /// Labile share of what is degradable within weeks to months, which is what
    /// the tables give of a material [0 to 1].
    pub labile_of_degradable: [f64; KINDS],
    /// Base left when organic matter rots [mol_c/kg].
    pub alkalinity: [f64; KINDS],
    /// Kind of each material; those that do not rot are not in it.
    pub kinds: BTreeMap<String, Kind>,
}

impl Rates {
    /// Labile share of a material of a kind of which `degradable` rots within
    /// weeks to months [0 to 1].
    #[must_use]
    pub fn labile(&self, kind: Kind, degradable: f64) -> f64 {
        let i = kind as usize;
        let share = self.labile_share[i].unwrap_or(degradable * self.labile_of_degradable[i]);
        share.clamp(0.0, 1.0)
    }

    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing or a kind is not known.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let value = |kind: Kind, property| tables.value("decay", kind.name(), property);
        let mut rates = Self {
            per_day: [[0.0; POOLS]; KINDS],
            slow_share: [0.0; KINDS],
            labile_share: [None; KINDS],
            labile_of_degradable: [1.0; KINDS],
            alkalinity: [0.0; KINDS],
            kinds: BTreeMap::new(),
        };
        for (i, kind) in Kind::ALL.into_iter().enumerate() {
            let names = ["labile_per_day", "slow_per_day", "lasting_per_day"];
            for (slot, name) in rates.per_day[i].iter_mut().zip(names) {
                *slot = value(kind, name)?;
            }
            rates.slow_share[i] = value(kind, "slow_share")?;
            let listed = |property| tables.value_if_listed("decay", kind.name(), property);
            rates.labile_share[i] = listed("labile_share").ok().flatten();
            rates.labile_of_degradable[i] =
                listed("labile_of_degradable").ok().flatten().unwrap_or(1.0);
            rates.alkalinity[i] = value(kind, "alkalinity")?;
        }
        for cells in embedded::MATERIAL_DECAY.cells()? {
            let name = cells.filled("kind")?;
            let found = Kind::ALL.into_iter().find(|k| k.name() == name);
            match (found, name.as_str()) {
                (Some(kind), _) => {
                    rates.kinds.insert(cells.filled("material")?, kind);
                }
                (None, "mineral") => {}
                (None, other) => return Err(cells.wrong(format!("kind `{other}` is not known"))),
            }
        }
        Ok(rates)
    }
}

/// Some organic matter: how much, with its carbon and nitrogen [kg].
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Matter {
    /// Organic dry matter [kg].
    pub organic: f64,
    /// Carbon in it [kg].
    pub carbon: f64,
    /// Nitrogen in it [kg].
    pub nitrogen: f64,
}

impl Matter {
    /// `share` of it.
    #[must_use]
    pub fn part(&self, share: f64) -> Self {
        Self {
            organic: self.organic * share,
            carbon: self.carbon * share,
            nitrogen: self.nitrogen * share,
        }
    }

    /// Adds more.
    pub fn add(&mut self, more: &Self) {
        self.organic += more.organic;
        self.carbon += more.carbon;
        self.nitrogen += more.nitrogen;
    }

    /// What is left of it without `part`, which lies in it.
    #[must_use]
    pub fn less(&self, part: &Self) -> Self {
        Self {
            organic: self.organic - part.organic,
            carbon: self.carbon - part.carbon,
            nitrogen: self.nitrogen - part.nitrogen,
        }
    }

    /// Takes `share` of it away and gives it.
    pub fn take(&mut self, share: f64) -> Self {
        let gone = self.part(share);
        self.organic -= gone.organic;
        self.carbon -= gone.carbon;
        self.nitrogen -= gone.nitrogen;
        gone
    }
}

/// How decay stops in the cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frost {
    /// Frozen through: nothing rots below [°C].
    pub stops: f64,
    /// Kelvin over which it comes back [K].
    pub thaw_kelvin: f64,
}

/// Temperature by which the rates of the tables are told [°C].
const AT_CELSIUS: f64 = 20.0;

/// How far decay goes at a temperature against 20 °C [-]: Q10 to the best
/// temperature, then falling to nothing in a straight line, as it does toward
/// frost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Rise on the log scale [1/K].
    slope: f64,
    /// Best temperature, and where it stops [°C].
    best: f64,
    stops: f64,
    frost: Frost,
}

impl Warmth {
    /// By its Q10 [-], best temperature and where it stops [°C].
    #[must_use]
    pub fn new(q10: f64, best: f64, stops: f64, frost: Frost) -> Self {
        Self {
            slope: q10.ln() * 0.1,
            best,
            stops,
            frost,
        }
    }

    /// How far at a temperature [°C] against 20 °C [-].
    #[must_use]
    pub fn at(&self, celsius: f64) -> f64 {
        if celsius <= self.frost.stops || celsius >= self.stops {
            return 0.0;
        }
        let over = celsius - self.frost.stops;
        if over >= self.frost.thaw_kelvin && celsius <= self.best {
            return (self.slope * (celsius - AT_CELSIUS)).exp();
        }
        let thaw = (over / self.frost.thaw_kelvin).min(1.0);
        let to = celsius.min(self.best);
        let past = ((self.stops - celsius) / (self.stops - self.best)).min(1.0);
        (self.slope * (to - AT_CELSIUS)).exp() * thaw * past
    }
}

/// Temperature by which a bed rots whose middle and mean are these [°C]: the
/// mean, but as its middle nears what nothing alive stands, that of the middle,
/// which makes no more heat to warm the rest.
#[must_use]
pub fn felt_by_microbes(c: &Constants, mean: f64, middle: f64) -> f64 {
    let near = (1.0 - (c.stops_celsius - middle) / c.near_stop_kelvin).clamp(0.0, 1.0);
    mean + near * (middle - mean).max(0.0)
}

/// How far decay goes at a moisture [0 to 1]: nothing below `stop`, full from
/// `enough` on [% of wet mass].
#[must_use]
pub fn wetness(moisture_percent: f64, stop: f64, enough: f64) -> f64 {
    ((moisture_percent - stop) / (enough - stop)).clamp(0.0, 1.0)
}

/// Share that goes in a time, `1 − e^(−x)` [0 to 1].
#[must_use]
pub fn gone(x: f64) -> f64 {
    if x.abs() < SMALL {
        // Its series to the seventh power: to the last bit or two, and most
        // shares that go in a step are this small.
        let five = 1.0 - x / 6.0 * (1.0 - x / 7.0);
        return x * (1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * five))));
    }
    -(-x).exp_m1()
}

/// Below this the series of [`gone`] is exact to rounding.
const SMALL: f64 = 0.02;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rotting_material_has_a_kind() {
        let tables = Tables::load().unwrap();
        let rates = Rates::load(&tables).unwrap();
        assert_eq!(rates.kinds["apple"], Kind::Food);
        assert_eq!(rates.kinds["coir_pith"], Kind::Coir);
        assert!(!rates.kinds.contains_key("perlite"));
        let listed = embedded::MATERIAL_DECAY.cells().unwrap().len();
        assert_eq!(listed, embedded::MATERIAL_NAMES.cells().unwrap().len());
    }

    #[test]
    fn the_series_of_what_goes_is_what_goes() {
        for i in -1999..2000 {
            let x = f64::from(i) * 1e-5;
            let whole = -(-x).exp_m1();
            assert!((gone(x) - whole).abs() <= 4e-16 * whole.abs(), "{x}");
        }
    }

    #[test]
    fn warmth_and_wetness_are_one_where_they_should_be() {
        let frost = Frost {
            stops: -2.0,
            thaw_kelvin: 4.0,
        };
        let warmth = Warmth::new(2.0, 40.0, 68.0, frost);
        assert!((warmth.at(20.0) - 1.0).abs() < 1e-12);
        assert!((warmth.at(30.0) - 2.0).abs() < 1e-12);
        assert!(warmth.at(-5.0).abs() < 1e-12);
        assert!(warmth.at(70.0).abs() < 1e-12);
        assert!((wetness(70.0, 25.0, 60.0) - 1.0).abs() < 1e-12);
    }
}
