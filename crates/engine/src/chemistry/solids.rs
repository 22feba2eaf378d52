//! Solids that may dissolve into, or form from, the water of the bed.

/// A solid the solver knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Solid {
    /// CaCO3, the mineral of limestone, ash and eggshell.
    Calcite,
    /// CaCO3, the mineral of sea shells.
    Aragonite,
    /// CaMg(CO3)2.
    Dolomite,
    /// CaSO4 with two waters.
    Gypsum,
    /// Ca(OH)2, hydrated lime.
    Portlandite,
    /// Mg(OH)2.
    Brucite,
}

/// Number of solids known.
pub const SOLID_COUNT: usize = 6;

impl Solid {
    /// All of them, in the order their amounts are held.
    pub const ALL: [Self; SOLID_COUNT] = [
        Self::Calcite,
        Self::Aragonite,
        Self::Dolomite,
        Self::Gypsum,
        Self::Portlandite,
        Self::Brucite,
    ];

    /// Name as written in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Calcite => "calcite",
            Self::Aragonite => "aragonite",
            Self::Dolomite => "dolomite",
            Self::Gypsum => "gypsum",
            Self::Portlandite => "portlandite",
            Self::Brucite => "brucite",
        }
    }

    /// The solid of that name, upper or lower case.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|s| s.name().eq_ignore_ascii_case(name))
    }
}

/// Amount of each solid [mol]. A solid that is present (even with amount zero)
/// forms when the water is supersaturated; an absent one never does.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Solids(pub(crate) [Option<f64>; SOLID_COUNT]);

impl Solids {
    /// No solids.
    pub const NONE: Self = Self([None; SOLID_COUNT]);

    /// The same with `solid` present in `amount_mol` [mol].
    #[must_use]
    pub fn with(mut self, solid: Solid, amount_mol: f64) -> Self {
        self.0[solid as usize] = Some(amount_mol);
        self
    }

    /// Amount of `solid` [mol]; `None` when it may not form.
    #[must_use]
    pub fn amount_mol(&self, solid: Solid) -> Option<f64> {
        self.0[solid as usize]
    }

    /// Solids present, with their amounts [mol].
    pub fn iter(&self) -> impl Iterator<Item = (Solid, f64)> + '_ {
        Solid::ALL
            .into_iter()
            .filter_map(|s| self.0[s as usize].map(|n| (s, n)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_round_trip() {
        for solid in Solid::ALL {
            assert_eq!(Solid::named(&solid.name().to_uppercase()), Some(solid));
        }
        assert_eq!(Solid::named("chalk"), None);
    }
}
