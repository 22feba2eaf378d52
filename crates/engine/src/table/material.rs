//! Materials: what a keeper puts in a bin, keeps in the shed or pots with.

use super::embedded::Cells;
use super::property::Property;
use super::{Number, Status, TableError, search};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a material is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Bedding.
    Bedding,
    /// Feed.
    Feed,
    /// Amendment: lime, ash, grit, meals of the garden.
    Amendment,
    /// Potting.
    Potting,
}

impl Role {
    /// All roles.
    pub const ALL: [Self; 4] = [Self::Bedding, Self::Feed, Self::Amendment, Self::Potting];

    /// Stable name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bedding => "bedding",
            Self::Feed => "feed",
            Self::Amendment => "amendment",
            Self::Potting => "potting",
        }
    }

    /// The role of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.name() == name)
    }
}

/// A material and its numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Stable key.
    pub key: String,
    /// Name as a keeper would say it.
    pub name: String,
    /// What it is for.
    pub role: Role,
    /// What to mind.
    pub cautions: Vec<String>,
    /// How sure the core numbers are: high, medium or low.
    pub confidence: String,
    /// How it packs: a subject of `densities.csv`.
    pub packs: String,
    /// Numbers by property. Every stored property has a row; the value of a
    /// row may be unknown.
    /// Shared by every copy, of which a long log makes many.
    pub numbers: Arc<BTreeMap<Property, Number>>,
}

/// A name as it stands inside a sentence: its first letter small, unless it is
/// an abbreviation; the rest, such as Ca(OH)2 or pH, as it is.
#[must_use]
pub fn inside_a_sentence(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(a), Some(b)) if b.is_lowercase() || b == ' ' => {
            a.to_lowercase().chain(letters).collect()
        }
        _ => name.to_owned(),
    }
}

impl Material {
    /// Its name inside a sentence.
    #[must_use]
    pub fn name_inside(&self) -> String {
        inside_a_sentence(&self.name)
    }

    pub(crate) fn read(cells: &Cells) -> Result<Self, TableError> {
        let role = cells.filled("role")?;
        let role = Role::from_name(&role).ok_or_else(|| {
            cells.wrong(format!(
                "role `{role}` is not one of bedding, feed, amendment, potting"
            ))
        })?;
        Ok(Self {
            key: cells.filled("key")?,
            name: cells.filled("name")?,
            role,
            cautions: cells
                .text("cautions")?
                .split(';')
                .map(|c| c.trim().to_owned())
                .filter(|c| !c.is_empty())
                .collect(),
            confidence: cells.filled("confidence")?,
            packs: cells.filled("packs")?,
            numbers: Arc::default(),
        })
    }

    /// A number with a known value. The carbon to nitrogen ratio is computed.
    #[must_use]
    pub fn number(&self, property: Property) -> Option<Number> {
        if property == Property::CarbonNitrogenRatio {
            return self.carbon_nitrogen_ratio();
        }
        self.listed(property).cloned()
    }

    /// A number of the file with a known value.
    fn listed(&self, property: Property) -> Option<&Number> {
        self.numbers.get(&property).filter(|n| n.value.is_some())
    }

    /// The bare value, in the unit of [`Property::unit`].
    #[must_use]
    pub fn value(&self, property: Property) -> Option<f64> {
        if property == Property::CarbonNitrogenRatio {
            return self.carbon_nitrogen_ratio()?.value;
        }
        self.listed(property)?.value
    }

    /// Low, value and high.
    #[must_use]
    pub fn triple(&self, property: Property) -> Option<(f64, f64, f64)> {
        // Asked for by every possible bin: what is written of it is not copied.
        if property == Property::CarbonNitrogenRatio {
            return self.carbon_nitrogen_ratio()?.triple();
        }
        self.listed(property)?.triple()
    }

    /// Organic carbon per nitrogen [g/g]; `None` when either is unknown or
    /// there is no nitrogen. Errors of carbon and nitrogen are taken as
    /// independent, so the relative half ranges add in quadrature.
    #[must_use]
    pub fn carbon_nitrogen_ratio(&self) -> Option<Number> {
        let (c_low, c, c_high) = self.triple(Property::CarbonPercent)?;
        let (n_low, n, n_high) = self.triple(Property::NitrogenPercent)?;
        if n <= 0.0 || c <= 0.0 || n_low <= 0.0 || c_low <= 0.0 {
            return None;
        }
        let ratio = c / n;
        let down = (c / c_low).ln().hypot((n_high / n).ln());
        let up = (c_high / c).ln().hypot((n / n_low).ln());
        Some(Number {
            value: Some(ratio),
            low: Some(ratio * (-down).exp()),
            high: Some(ratio * up.exp()),
            unit: Property::CarbonNitrogenRatio.unit().to_owned(),
            basis: "dry mass, organic carbon only".to_owned(),
            source: "derived".to_owned(),
            place: "carbon_percent / nitrogen_percent".to_owned(),
            status: Status::Derived,
            note: String::new(),
        })
    }

    /// This material with a keeper's own measurements in place of ours.
    ///
    /// When a bedding's or potting material's own moisture is given without
    /// its own density, the density follows: the volume stays put and the
    /// water in it changes, so wet density is dry density / (1 - moisture).
    ///
    /// A label's particle size is passed over here: it belongs to the material
    /// as a liming product ([`crate::bed::product::Product::of`]).
    ///
    /// # Errors
    /// [`TableError::UnknownProperty`], [`TableError::OwnRatio`], or
    /// [`TableError::Own`] when a value is outside its range.
    pub fn with_own(&self, own: &BTreeMap<String, f64>) -> Result<Self, TableError> {
        let mut out = self.clone();
        for (name, &value) in own {
            if name == OF_THE_PRODUCT {
                continue;
            }
            let property = Property::from_name(name).ok_or_else(|| unknown(name))?;
            if property == Property::CarbonNitrogenRatio {
                return Err(TableError::OwnRatio);
            }
            let number = self.own_number(property, value)?;
            Arc::make_mut(&mut out.numbers).insert(property, number);
        }
        out.follow_moisture(self, own);
        Ok(out)
    }

    fn own_number(&self, property: Property, value: f64) -> Result<Number, TableError> {
        let bound = property.bound();
        let value = bound.check(value).map_err(|error| TableError::Own {
            material: self.key.clone(),
            property: property.name(),
            error,
        })?;
        let half = property.own_spread().half(value);
        let ours = self.numbers.get(&property);
        Ok(Number {
            value: Some(value),
            low: Some((value - half).max(bound.low)),
            high: Some((value + half).min(bound.high)),
            unit: property.unit().to_owned(),
            basis: ours.map(|n| n.basis.clone()).unwrap_or_default(),
            source: "own".to_owned(),
            place: String::new(),
            status: Status::Own,
            note: "the keeper's own measurement".to_owned(),
        })
    }

    fn follow_moisture(&mut self, before: &Self, own: &BTreeMap<String, f64>) {
        const DENSITIES: [Property; 3] = [
            Property::BulkDensityKgM3,
            Property::GramsPerCup,
            Property::GramsPerLitre,
        ];
        let own_density = DENSITIES.iter().any(|p| own.contains_key(p.name()));
        let own_moisture = own.contains_key(Property::MoisturePercent.name());
        let stays_put = matches!(self.role, Role::Bedding | Role::Potting);
        if own_density || !own_moisture || !stays_put {
            return;
        }
        let (Some(was), Some(is)) = (
            before.value(Property::MoisturePercent),
            self.value(Property::MoisturePercent),
        ) else {
            return;
        };
        let factor = (100.0 - was) / (100.0 - is);
        for property in DENSITIES {
            let top = property.bound();
            if let Some(number) = Arc::make_mut(&mut self.numbers).get_mut(&property) {
                let scaled = |x: Option<f64>| x.map(|x| (x * factor).clamp(top.low, top.high));
                number.value = scaled(number.value);
                number.low = scaled(number.low);
                number.high = scaled(number.high);
                number.status = Status::Derived;
                number.note = "follows the keeper's own moisture at the same volume".to_owned();
            }
        }
    }
}

/// A label's particle size [mm], kept among a keeper's own values.
const OF_THE_PRODUCT: &str = "particle_mm";

fn unknown(name: &str) -> TableError {
    TableError::UnknownProperty {
        name: name.to_owned(),
        nearest: search::nearest(name, Property::ALL.iter().map(|p| p.name())),
    }
}
