//! Equilibrium constants: read once from the table, evaluated per temperature.
//!
//! log K(T) = A1 + A2 T + A3/T + A4 log10 T + A5/T^2 + A6 T^2 where the table
//! gives the A's; else van 't Hoff from log K and the heat at 25 °C. Reactions
//! are kept as their source writes them and summed to the components here.
//! Source: phreeqc.dat (Parkhurst and Appelo 2013, USGS Techniques and Methods
//! 6-A43); acids, portlandite and brucite as the table says.

mod flat;
mod table;

use std::f64::consts::LN_10;

use super::activity::Activity;
use super::solids::{SOLID_COUNT, Solid};
use super::species::{COMPONENT_NAMES, COMPONENTS, MAX_SPECIES};
use super::water::{DebyeHuckel, viscosity_mpa_s};
use super::{ChemistryError, check};
use crate::bounds;
use crate::quantity::Celsius;
pub(crate) use flat::{Flat, LEAST_POWER, NOBODY, POWERS, SLOTS};
use table::Entry;

/// log K as a function of temperature, before it is evaluated.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Law {
    /// Analytic coefficients A1 to A6, when given.
    analytic: Option<[f64; 6]>,
    /// log K at 25 °C [1].
    log_k: f64,
    /// Heat of reaction [kJ/mol].
    heat: f64,
}

/// Gas constant as in PHREEQC [kJ/mol/K].
const GAS_CONSTANT: f64 = 0.008_314_70;

impl Law {
    fn log_k_at(&self, kelvin: f64) -> f64 {
        match self.analytic {
            Some(a) => {
                a[0] + a[1] * kelvin
                    + a[2] / kelvin
                    + a[3] * kelvin.log10()
                    + a[4] / (kelvin * kelvin)
                    + a[5] * kelvin * kelvin
            }
            None => self.log_k - self.heat / (LN_10 * GAS_CONSTANT) * (1.0 / kelvin - 1.0 / 298.15),
        }
    }
}

/// A sum of laws and the components it amounts to.
#[derive(Debug, Clone, PartialEq, Default)]
struct Reaction {
    /// Laws, each with how often it counts.
    laws: Vec<(f64, Law)>,
    /// Components taken (or released) per mole [1].
    parts: [i8; COMPONENTS],
    /// Waters taken (or released) per mole [1].
    waters: i8,
}

impl Reaction {
    /// Add `times` the parts of `other`, and its laws `law_times`.
    fn add(&mut self, times: i8, law_times: f64, other: &Self) {
        for (t, law) in &other.laws {
            self.laws.push((law_times * t, *law));
        }
        for (mine, theirs) in self.parts.iter_mut().zip(other.parts) {
            *mine += times * theirs;
        }
        self.waters += times * other.waters;
    }

    fn ln_k(&self, kelvin: f64) -> f64 {
        LN_10
            * self
                .laws
                .iter()
                .map(|(t, l)| t * l.log_k_at(kelvin))
                .sum::<f64>()
    }
}

/// One dissolved species as read.
#[derive(Debug, Clone, PartialEq)]
struct Species {
    name: String,
    reaction: Reaction,
    charge: f64,
    alkalinity: f64,
    activity: Activity,
    diffusion: f64,
}

/// The aqueous model: every species, solid and gas with its constants, read
/// once and never changed.
#[derive(Debug, Clone, PartialEq)]
pub struct AqueousModel {
    species: Vec<Species>,
    solids: Vec<Reaction>,
    carbon_dioxide: Reaction,
}

impl AqueousModel {
    /// Read the table that comes with the engine.
    ///
    /// # Errors
    /// [`ChemistryError::Table`] naming the line, if the table is damaged.
    pub fn load() -> Result<Self, ChemistryError> {
        Self::from_csv(include_str!("../../data/aqueous.csv"))
    }

    /// Read a table from text.
    ///
    /// # Errors
    /// [`ChemistryError::Table`] naming the line at fault.
    pub fn from_csv(text: &str) -> Result<Self, ChemistryError> {
        let entries = table::read(text)?;
        let mut species: Vec<Species> = Vec::new();
        for (place, name) in COMPONENT_NAMES.into_iter().enumerate() {
            let entry = table::find(&entries, "component", name)?;
            species.push(component(place, entry)?);
        }
        for entry in entries.iter().filter(|e| e.kind == "species") {
            let made = made_species(entry, &species)?;
            species.push(made);
        }
        if species.len() > MAX_SPECIES {
            return Err(ChemistryError::Table {
                line: 0,
                what: format!("more than {MAX_SPECIES} species"),
            });
        }
        let phase = |name: &str| -> Result<Reaction, ChemistryError> {
            let entry = entries
                .iter()
                .find(|e| e.kind == "phase" && e.name.eq_ignore_ascii_case(name))
                .ok_or_else(|| table::missing("phase", name))?;
            reaction(entry, "releases ", &species)
        };
        let solids = Solid::ALL
            .into_iter()
            .map(|s| phase(s.name()))
            .collect::<Result<_, _>>()?;
        let carbon_dioxide = phase("CO2(g)")?;
        Ok(Self {
            species,
            solids,
            carbon_dioxide,
        })
    }

    /// Names of the species, in the order amounts are held.
    pub fn species_names(&self) -> impl Iterator<Item = &str> {
        self.species.iter().map(|s| s.name.as_str())
    }

    /// Everything that depends on temperature alone, 2 to 40 °C.
    ///
    /// # Errors
    /// [`ChemistryError`] when `temperature` is out of range.
    pub fn at(&self, temperature: Celsius) -> Result<Constants, ChemistryError> {
        check(
            "temperature_celsius",
            &bounds::CHEMISTRY_CELSIUS,
            temperature.0,
        )?;
        let kelvin = temperature.kelvin();
        let mut activities: Vec<Activity> = Vec::new();
        let mut lines = Vec::with_capacity(self.species.len());
        for s in &self.species {
            let class = activities.iter().position(|a| *a == s.activity);
            let class = class.unwrap_or_else(|| {
                activities.push(s.activity);
                activities.len() - 1
            });
            lines.push(Line::new(s, kelvin, class));
        }
        let rule = |r: &Reaction| PhaseLaw {
            ln_k: r.ln_k(kelvin),
            parts: r.parts.map(f64::from),
            waters: f64::from(r.waters),
        };
        let mut solids = [PhaseLaw::default(); SOLID_COUNT];
        for (slot, reaction) in solids.iter_mut().zip(&self.solids) {
            *slot = rule(reaction);
        }
        Ok(Constants {
            temperature,
            flat: flat::all(&lines)?,
            lines,
            activities,
            solids,
            carbon_dioxide: rule(&self.carbon_dioxide),
            debye_huckel: DebyeHuckel::at(temperature),
            relative_fluidity: viscosity_mpa_s(Celsius(25.0)) / viscosity_mpa_s(temperature),
        })
    }
}

fn component(place: usize, entry: &Entry) -> Result<Species, ChemistryError> {
    let mut reaction = Reaction::default();
    reaction.parts[place] = 1;
    let charge = entry.number("charge")?;
    Ok(Species {
        name: entry.name.clone(),
        reaction,
        charge,
        alkalinity: entry.number("alkalinity")?,
        activity: entry.activity(charge),
        diffusion: entry.get("diffusion").unwrap_or(0.0),
    })
}

fn made_species(entry: &Entry, known: &[Species]) -> Result<Species, ChemistryError> {
    let reaction = reaction(entry, "made_from ", known)?;
    let sum = |of: fn(&Species) -> f64| -> f64 {
        reaction
            .parts
            .iter()
            .zip(known)
            .map(|(n, s)| f64::from(*n) * of(s))
            .sum()
    };
    let charge = sum(|s| s.charge);
    Ok(Species {
        name: entry.name.clone(),
        charge,
        alkalinity: sum(|s| s.alkalinity),
        activity: entry.activity(charge),
        diffusion: entry.get("diffusion").unwrap_or(0.0),
        reaction,
    })
}

/// Sum the reaction of `entry` to components. What a species is `made_from`
/// brings its own constants along; what a phase `releases` has them taken off,
/// as they stand on the other side of its mass action.
fn reaction(entry: &Entry, word: &str, known: &[Species]) -> Result<Reaction, ChemistryError> {
    let mut total = Reaction {
        laws: vec![(1.0, entry.law()?)],
        ..Reaction::default()
    };
    let side = if word == "releases " { -1.0 } else { 1.0 };
    for (name, times) in entry.parts(word)? {
        if name == "H2O" {
            total.waters += times;
            continue;
        }
        let part = known.iter().find(|s| s.name == name);
        let part = part.ok_or_else(|| table::missing("species", name))?;
        total.add(times, side * f64::from(times), &part.reaction);
    }
    Ok(total)
}

/// One species at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Line {
    /// The constant, in activities.
    pub(crate) k: f64,
    /// Components and how many of each; `parts` of them used.
    pub(crate) part: [(u8, i8); 4],
    /// How many entries of `part` are used.
    pub(crate) parts: u8,
    /// The components used, one bit each.
    pub(crate) mask: u32,
    /// Waters taken up.
    pub(crate) waters: i32,
    /// Charge [1].
    pub(crate) charge: f64,
    /// Alkalinity [eq/mol].
    pub(crate) alkalinity: f64,
    /// Diffusion coefficient at 25 °C [m2/s].
    pub(crate) diffusion: f64,
    /// Which activity law.
    pub(crate) class: usize,
}

impl Line {
    fn new(s: &Species, kelvin: f64, class: usize) -> Self {
        let mut part = [(0, 0); 4];
        let (mut parts, mut mask) = (0, 0);
        for (c, n) in s.reaction.parts.iter().enumerate() {
            if *n != 0 {
                part[usize::from(parts)] = (c as u8, *n);
                parts += 1;
                mask |= 1 << c;
            }
        }
        Self {
            k: s.reaction.ln_k(kelvin).exp(),
            part,
            parts,
            mask,
            waters: i32::from(s.reaction.waters),
            charge: s.charge,
            alkalinity: s.alkalinity,
            diffusion: s.diffusion,
            class,
        }
    }

    /// The components used.
    pub(crate) fn used(&self) -> &[(u8, i8)] {
        &self.part[..usize::from(self.parts)]
    }
}

/// Mass action of a solid or gas: sum(parts ln a) + waters ln a_w = ln K.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct PhaseLaw {
    pub(crate) ln_k: f64,
    pub(crate) parts: [f64; COMPONENTS],
    pub(crate) waters: f64,
}

/// The model at one temperature. Make it once and ask it many times.
#[derive(Debug, Clone, PartialEq)]
pub struct Constants {
    /// Temperature these hold at.
    pub(crate) temperature: Celsius,
    pub(crate) lines: Vec<Line>,
    /// The same in the shape the solver's inner loop reads.
    pub(crate) flat: Vec<Flat>,
    pub(crate) activities: Vec<Activity>,
    pub(crate) solids: [PhaseLaw; SOLID_COUNT],
    pub(crate) carbon_dioxide: PhaseLaw,
    pub(crate) debye_huckel: DebyeHuckel,
    /// Viscosity of water at 25 °C over that at this temperature [1].
    pub(crate) relative_fluidity: f64,
}

impl Constants {
    /// Temperature these hold at [°C].
    #[must_use]
    pub fn temperature(&self) -> Celsius {
        self.temperature
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn carbonate_constants_follow_temperature() {
        // log KH, -pK1, -pK2 and log Ksp of calcite from phreeqc.dat.
        let model = AqueousModel::load().unwrap();
        for (t, kh, pk1, pk2, ksp) in [
            (5.0, -1.1920, -6.5163, -10.5544, -8.3942),
            (15.0, -1.3410, -6.4188, -10.4284, -8.4302),
            (20.0, -1.4071, -6.3819, -10.3756, -8.4533),
            (25.0, -1.4682, -6.3519, -10.3289, -8.4798),
        ] {
            let c = model.at(Celsius(t)).unwrap();
            let ln_k = |name: &str| {
                let i = model.species_names().position(|n| n == name).unwrap();
                c.lines[i].k.log10()
            };
            // The gas law is held against carbonate: KH / K(CO3 + 2 H -> CO2).
            let gas = c.carbon_dioxide.ln_k / LN_10 + ln_k("CO2");
            assert!((gas - kh).abs() < 1e-4, "{t} {gas}");
            assert!((ln_k("HCO3-") + pk2).abs() < 1e-4, "{t}");
            assert!((ln_k("HCO3-") - ln_k("CO2") - pk1).abs() < 1e-4, "{t}");
            assert!((c.solids[0].ln_k / LN_10 - ksp).abs() < 1e-4, "{t}");
        }
    }

    #[test]
    fn every_number_has_a_source_and_status() {
        let (_, rows) = include_str!("../../data/aqueous.csv")
            .split_once('\n')
            .unwrap();
        assert!(rows.lines().count() > 50, "the table has lost its rows");
        for line in rows.lines() {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), 8, "{line}");
            assert!(!cells[5].is_empty(), "{line}");
            assert!(
                ["read", "memory", "estimate", "derived"].contains(&cells[7]),
                "{line}"
            );
        }
    }

    #[test]
    fn a_damaged_table_is_refused_by_line() {
        let text = include_str!("../../data/aqueous.csv").replacen("-8.336", "about 8", 1);
        let text = text.replacen("-171.9773", "about 8", 1);
        let error = AqueousModel::from_csv(&text).unwrap_err().to_string();
        assert!(error.contains("`about 8` is not a number"), "{error}");
    }
}
