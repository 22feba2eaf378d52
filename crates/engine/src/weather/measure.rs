//! What a keeper can do against heat and cold.

/// How much sun falls on the bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sun {
    /// None: indoors, or shade all day.
    #[default]
    None,
    /// Some hours, or thin shade.
    Part,
    /// Full sun all day.
    Full,
}

/// A kind of measure, for choosing which may be thought of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// No feeding through the spell.
    StopFeeding,
    /// Shade over the bin.
    Shade,
    /// Wet cloth over top and sides.
    WetCover,
    /// Blankets or bubble wrap.
    Wrap,
    /// Another place.
    Move,
    /// Bottles of ice.
    Ice,
    /// Bottles of warm water.
    WarmBottles,
    /// An electric heater with a thermostat.
    Heater,
}

/// A measure with its amounts.
#[derive(Debug, Clone, PartialEq)]
pub enum Measure {
    /// No feeding through the spell.
    StopFeeding,
    /// Shade over the bin.
    Shade,
    /// Wet cloth over top and sides.
    WetCover,
    /// Blankets or bubble wrap.
    Wrap,
    /// To a place at this warmth.
    Move {
        /// Its warmth [°C].
        celsius: f64,
    },
    /// Ice in bottles.
    Ice {
        /// At each swap [kg].
        kg: f64,
        /// When put in or swapped [h from now].
        swaps: Vec<u32>,
    },
    /// Warm water in bottles.
    WarmBottles {
        /// At each swap [kg].
        kg: f64,
        /// When put in or swapped [h from now].
        swaps: Vec<u32>,
    },
    /// An electric heater with a thermostat.
    Heater {
        /// Power [W].
        watts: f64,
        /// Warmth it keeps [°C].
        target: f64,
    },
}

impl Measure {
    /// Its kind.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self {
            Self::StopFeeding => Kind::StopFeeding,
            Self::Shade => Kind::Shade,
            Self::WetCover => Kind::WetCover,
            Self::Wrap => Kind::Wrap,
            Self::Move { .. } => Kind::Move,
            Self::Ice { .. } => Kind::Ice,
            Self::WarmBottles { .. } => Kind::WarmBottles,
            Self::Heater { .. } => Kind::Heater,
        }
    }
}

impl Kind {
    /// All, the least work first.
    pub const ALL: [Self; 8] = [
        Self::StopFeeding,
        Self::Shade,
        Self::WetCover,
        Self::Wrap,
        Self::Move,
        Self::Ice,
        Self::WarmBottles,
        Self::Heater,
    ];

    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::StopFeeding => "no_feeding",
            Self::Shade => "shade",
            Self::WetCover => "wet_cover",
            Self::Wrap => "wrap",
            Self::Move => "other_place",
            Self::Ice => "ice",
            Self::WarmBottles => "warm_bottles",
            Self::Heater => "heater",
        }
    }

    /// Helps against heat.
    #[must_use]
    pub const fn cools(self) -> bool {
        matches!(
            self,
            Self::StopFeeding | Self::Shade | Self::WetCover | Self::Wrap | Self::Move | Self::Ice
        )
    }

    /// Helps against cold.
    #[must_use]
    pub const fn warms(self) -> bool {
        matches!(
            self,
            Self::Wrap | Self::Move | Self::WarmBottles | Self::Heater
        )
    }

    /// As a heading.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::StopFeeding => "No feeding",
            Self::Shade => "Shade",
            Self::WetCover => "Wet cloth",
            Self::Wrap => "Wrap",
            Self::Move => "Another place",
            Self::Ice => "Ice bottles",
            Self::WarmBottles => "Warm bottles",
            Self::Heater => "Heater",
        }
    }
}
