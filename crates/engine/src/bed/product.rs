//! Liming and acidifying products: what a gram does to a bed, and how fast.

use crate::bed::draw::{Chance, in_range, in_range_log};
use crate::bed::possible::{Grains, PossibleBed, Slow, Touch};
use crate::chemistry::ash::{self, Ash};
use crate::chemistry::lime::Shape;
use crate::chemistry::neutralising::meq_per_gram;
use crate::log::Applied;
use crate::table::{Material, Property, TableError, Tables};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;

/// How a product acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// Ground carbonate rock or shell: dissolves grain by grain over weeks.
    Ground,
    /// Soluble carbonate or bicarbonate: acts within days.
    Soluble,
    /// Caustic lime: acts at once and burns.
    Caustic,
    /// Wood ash: three pools, caustic when wet.
    Ash,
    /// Sour bedding mixed in to bring pH down.
    SourBedding,
    /// Elemental sulphur: microbes make acid of it over weeks.
    Sulphur,
    /// Acids that microbes eat again: no lasting effect.
    Passing,
    /// Holds no acid or base to speak of.
    Inert,
}

impl Action {
    /// From its word in the products table.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "ground" => Self::Ground,
            "soluble" => Self::Soluble,
            "caustic" => Self::Caustic,
            "ash" => Self::Ash,
            "sour_bedding" => Self::SourBedding,
            "sulphur" => Self::Sulphur,
            "passing" => Self::Passing,
            "inert" => Self::Inert,
            _ => return None,
        })
    }

    /// Whether it raises pH.
    #[must_use]
    pub fn raises(self) -> bool {
        matches!(
            self,
            Self::Ground | Self::Soluble | Self::Caustic | Self::Ash
        )
    }
}

/// A value with its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranged {
    /// Most likely.
    pub value: f64,
    /// Low end of the central 90 %.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Ranged {
    /// From a table number.
    ///
    /// # Errors
    /// [`TableError`] when the number is not known.
    pub fn of(
        tables: &Tables,
        table: &str,
        subject: &str,
        property: &str,
    ) -> Result<Self, TableError> {
        let number = tables.number(table, subject, property)?;
        let (low, value, high) = number.triple().ok_or_else(|| TableError::NoValue {
            subject: subject.to_owned(),
            property: property.to_owned(),
            note: number.note.clone(),
        })?;
        Ok(Self { value, low, high })
    }

    /// One value, known exactly.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }

    /// `factor` times as much.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }

    /// A draw on the plain scale.
    pub fn draw(&self, rng: &mut dyn Chance) -> f64 {
        in_range(rng, self.value, self.low, self.high)
    }

    /// A draw on the log scale, for positive numbers.
    pub fn draw_log(&self, rng: &mut dyn Chance) -> f64 {
        in_range_log(rng, self.value, self.low, self.high)
    }
}

/// One particle size of a ground product.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeClass {
    /// Share of the mass [0 to 1].
    pub share: f64,
    /// Diameter or thickness [µm].
    pub size_um: f64,
}

/// A product and what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Product {
    /// Key in the materials table.
    pub key: String,
    /// Name.
    pub name: String,
    /// How it acts.
    pub action: Action,
    /// Neutralising value [% of pure CaCO3]; negative for acids.
    pub neutralising: Ranged,
    /// Contact factor of its grains [-].
    pub contact: Ranged,
    /// Shape of its grains.
    pub shape: Shape,
    /// Grain sizes.
    pub sizes: Vec<SizeClass>,
    /// Its base comes with sodium.
    pub sodium: bool,
    /// Heat it gives off when it meets water [kJ/mol_c of base]: quicklime,
    /// `CaO + H2O -> Ca(OH)2`; nothing for all else.
    pub slaking_kj_per_mol_c: f64,
    /// Grains dusted on the surface against grains mixed through [-].
    on_top: Ranged,
    /// Soluble base that acts within the hour [-].
    fast: Ranged,
    /// Time constant of the rest [d].
    soak_days: Ranged,
    /// Days before microbes get going on sulphur [d].
    sulphur_lag_days: Ranged,
    /// Time constant of its turning to acid after that [d].
    sulphur_tau_days: Ranged,
    ash: Option<[Ranged; 8]>,
}

/// One possible lot of a product.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    action: Action,
    /// Base [meq/g]; negative for acids.
    pub meq_per_g: f64,
    contact: f64,
    shape: Shape,
    sizes: Vec<SizeClass>,
    on_top: f64,
    fast: f64,
    soak_days: f64,
    sulphur_lag_days: f64,
    sulphur_tau_days: f64,
    slaking_kj_per_mol_c: f64,
    ash: Option<Ash>,
}

impl Product {
    /// How `material` acts, with the keeper's own label values already in it
    /// and `own` holding a label's `particle_mm`, if any.
    ///
    /// # Errors
    /// [`TableError`] when it is not a liming or acidifying product, or a
    /// number of it is missing.
    pub fn of(
        tables: &Tables,
        material: &Material,
        own: &BTreeMap<String, f64>,
    ) -> Result<Self, TableError> {
        let row = tables.product(&material.key)?;
        let action = Action::from_word(&row.action).unwrap_or(Action::Inert);
        let (low, value, high) = material
            .triple(Property::NeutralisingPercent)
            .unwrap_or((0.0, 0.0, 0.0));
        let sizes = match own.get("particle_mm") {
            Some(mm) => vec![SizeClass {
                share: 1.0,
                size_um: mm * 1000.0,
            }],
            None => sizes(tables, &row.sizes_from),
        };
        let contact = if row.contact_from.is_empty() {
            Ranged::exactly(1.0)
        } else {
            Ranged::of(tables, "dissolution", &row.contact_from, "contact_factor")?
        };
        let shape = if row.shape == "plate" {
            Shape::Plate
        } else {
            Shape::Grain
        };
        Ok(Self {
            key: material.key.clone(),
            name: material.name.clone(),
            action,
            neutralising: Ranged { value, low, high },
            contact,
            shape,
            sizes: if shape == Shape::Plate {
                plate(tables, row)?
            } else {
                sizes
            },
            sodium: material.key.starts_with("sodium"),
            slaking_kj_per_mol_c: slaking(tables, &material.key)?,
            on_top: Ranged::of(tables, "bed", "bed", "on_top_contact")?,
            fast: Ranged::of(tables, "constants", "dose", "fast_share")?,
            soak_days: Ranged::of(tables, "constants", "dose", "slow_days")?,
            sulphur_lag_days: Ranged::of(tables, "bed", "dose", "sulphur_lag_days")?,
            sulphur_tau_days: Ranged::of(tables, "bed", "dose", "sulphur_tau_days")?,
            ash: (action == Action::Ash)
                .then(|| ash_numbers(tables, material))
                .transpose()?,
        })
    }

    /// The product `key` of the tables, with the keeper's own values of it.
    ///
    /// # Errors
    /// As [`Product::of`], and when an own value is outside its range.
    pub fn from_tables(
        tables: &Tables,
        key: &str,
        own: &BTreeMap<String, f64>,
    ) -> Result<Self, TableError> {
        let mut values = own.clone();
        values.remove("particle_mm");
        let material = tables.material(key)?.with_own(&values)?;
        Self::of(tables, &material, own)
    }

    /// Seed of its lots, from one for all.
    #[must_use]
    pub fn seed(&self, seed: u64) -> u64 {
        let hash = self.key.bytes().fold(0xcbf2_9ce4_8422_2325, |h: u64, b| {
            (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        });
        seed ^ hash
    }

    /// One possible lot for each of so many possible beds: the same before a bin
    /// is filled and after.
    #[must_use]
    pub fn lots(&self, seed: u64, count: usize) -> Vec<Lot> {
        let mut rng = ChaCha8Rng::seed_from_u64(self.seed(seed));
        (0..count).map(|_| self.draw(&mut rng)).collect()
    }

    /// One possible lot.
    pub fn draw(&self, rng: &mut dyn Chance) -> Lot {
        let percent = if self.neutralising.value > 0.0 {
            self.neutralising.draw_log(rng)
        } else {
            self.neutralising.draw(rng)
        };
        let contact = self.contact.draw_log(rng);
        let ash = self.ash.map(|r| draw_ash(rng, &r, percent));
        Lot {
            action: self.action,
            meq_per_g: meq_per_gram(percent),
            contact,
            shape: self.shape,
            sizes: self.sizes.clone(),
            on_top: self.on_top.draw_log(rng).min(1.0),
            fast: self.fast.draw(rng).clamp(0.0, 1.0),
            soak_days: self.soak_days.draw_log(rng),
            sulphur_lag_days: self.sulphur_lag_days.draw_log(rng),
            sulphur_tau_days: self.sulphur_tau_days.draw_log(rng),
            slaking_kj_per_mol_c: self.slaking_kj_per_mol_c,
            ash,
        }
    }
}

/// Heat of slaking of a material [kJ/mol_c], of which a mole of lime has two.
fn slaking(tables: &Tables, key: &str) -> Result<f64, TableError> {
    let per_mol = tables.value_if_listed("constants", key, "slaking_kj_per_mol")?;
    Ok(per_mol.map_or(0.0, |kj| kj / 2.0))
}

/// Three sizes to a class, so that its finest grains go first.
fn sizes(tables: &Tables, subject: &str) -> Vec<SizeClass> {
    const THIRDS: [f64; 3] = [1.0 / 6.0, 0.5, 5.0 / 6.0];
    tables
        .grain_sizes(subject)
        .iter()
        .flat_map(|(share, low, high)| {
            THIRDS.map(|at| SizeClass {
                share: share / 3.0,
                size_um: low + at * (high - low),
            })
        })
        .collect()
}

/// A shell plate: one thickness.
fn plate(
    tables: &Tables,
    row: &crate::table::product::ProductRow,
) -> Result<Vec<SizeClass>, TableError> {
    let size_um = tables.value("dissolution", &row.sizes_from, "thickness_um")?;
    Ok(vec![SizeClass {
        share: 1.0,
        size_um,
    }])
}

fn ash_numbers(tables: &Tables, material: &Material) -> Result<[Ranged; 8], TableError> {
    let ash = |property: &str| Ranged::of(tables, "ash", "wood_ash", property);
    let (low, value, high) = material.triple(Property::PotassiumPercent).map_or_else(
        || tables.triple("bed", "bed", "ash_unlisted_potassium_percent"),
        Ok,
    )?;
    Ok([
        Ranged { value, low, high },
        ash("sodium_percent")?,
        ash("alkaline_share_of_k_na")?,
        ash("dissolved_at_once_share")?,
        Ranged::of(tables, "ash", "liquor", "recovered_share")?,
        ash("free_lime_share")?,
        Ranged::of(tables, "bed", "bed", "lime_water_meq_per_l")?,
        Ranged::of(tables, "bed", "bed", "lime_water_most_meq_per_l")?,
    ])
}

fn draw_ash(rng: &mut dyn Chance, r: &[Ranged; 8], neutralising_percent: f64) -> Ash {
    let share = |rng: &mut dyn Chance, i: usize| r[i].draw(rng).clamp(0.0, 1.0);
    Ash {
        neutralising_percent,
        potassium_percent: r[0].draw_log(rng),
        sodium_percent: r[1].draw(rng).max(0.0),
        alkaline_share: share(rng, 2),
        steeped_share: share(rng, 3),
        recovered_share: share(rng, 4),
        free_lime_share: share(rng, 5),
        lime_water_meq_per_l: r[6].draw(rng).clamp(0.0, r[7].value),
    }
}

/// How a dose meets the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// How it was given.
    pub how: Applied,
    /// Share of the bed a pour or dusting touches [0 to 1].
    pub touched_share: f64,
    /// Time over which that evens out unless turned [d].
    pub tau_days: f64,
    /// Water a liquor was steeped in [L].
    pub steep_litres: f64,
}

impl Lot {
    /// Whole lasting base in `grams` given this way [mol_c]; negative for acids,
    /// nothing for what microbes eat again or what holds no base.
    #[must_use]
    pub fn base(&self, grams: f64, contact: &Contact) -> f64 {
        match (&self.ash, contact.how) {
            _ if matches!(
                self.action,
                Action::SourBedding | Action::Passing | Action::Inert
            ) =>
            {
                0.0
            }
            (Some(ash), Applied::PouredLiquor) => {
                ash::liquor_meq(ash, grams, contact.steep_litres) / 1000.0
            }
            _ => grams * self.meq_per_g / 1000.0,
        }
    }

    /// Neutral salt in `grams` given this way [mol_c]: of ash the sulphate and
    /// chloride of potassium and sodium, which a liquor carries as far as it
    /// was steeped and strained. What dissolves of the base itself shows in
    /// the bed's bicarbonate.
    #[must_use]
    pub fn salt(&self, grams: f64, contact: &Contact) -> f64 {
        let Some(ash) = &self.ash else { return 0.0 };
        let carried = if contact.how == Applied::PouredLiquor {
            ash.steeped_share * ash.recovered_share
        } else {
            1.0
        };
        ash::neutral_salt(ash) * grams / 1000.0 * carried
    }

    /// Heat that `grams` given this way give off as they meet the bed's water
    /// [kJ]; the third of its mass in water that lime takes up is not missed.
    #[must_use]
    pub fn slaking_kj(&self, grams: f64, contact: &Contact) -> f64 {
        self.slaking_kj_per_mol_c * self.base(grams, contact).max(0.0)
    }

    /// Gives `grams` to a bed.
    pub fn give(&self, bed: &mut PossibleBed, grams: f64, contact: &Contact) {
        match self.action {
            Action::Ground => self.give_grains(bed, self.base(grams, contact), false, contact),
            Action::Soluble => self.give_soluble(bed, self.base(grams, contact), contact),
            Action::Caustic => {
                bed.lime += self.base(grams, contact);
                self.give_soluble(bed, self.base(grams, contact), contact);
            }
            Action::Ash => self.give_ash(bed, grams, contact),
            Action::Sulphur => bed.slow.push(Slow {
                whole: self.base(grams, contact),
                lag_days: self.sulphur_lag_days,
                tau_days: self.sulphur_tau_days,
                age_days: 0.0,
            }),
            Action::SourBedding | Action::Passing | Action::Inert => {}
        }
    }

    fn give_ash(&self, bed: &mut PossibleBed, grams: f64, contact: &Contact) {
        let Some(ash) = &self.ash else { return };
        if contact.how == Applied::PouredLiquor {
            self.give_soluble(bed, self.base(grams, contact), contact);
            return;
        }
        let pools = ash::pools(ash);
        let kg = grams / 1000.0;
        bed.lime += pools.free_lime * kg;
        self.give_soluble(bed, (pools.soluble + pools.free_lime) * kg, contact);
        self.give_grains(bed, pools.calcite * kg, true, contact);
    }

    fn give_grains(&self, bed: &mut PossibleBed, base: f64, ash: bool, contact: &Contact) {
        let reach = if contact.how == Applied::OnTop {
            self.on_top
        } else {
            1.0
        };
        for class in &self.sizes {
            bed.put_grains(Grains {
                whole: base * class.share,
                size_um: class.size_um,
                shape: self.shape,
                contact: self.contact * reach,
                ash,
                retreat_um: 0.0,
            });
        }
    }

    fn give_soluble(&self, bed: &mut PossibleBed, base: f64, contact: &Contact) {
        bed.base += self.fast * base;
        bed.slow.push(Slow {
            whole: (1.0 - self.fast) * base,
            lag_days: 0.0,
            tau_days: self.soak_days,
            age_days: 0.0,
        });
        if contact.how != Applied::MixedIn {
            // Guards: something is touched, and for some time.
            bed.touches.push(Touch {
                base: self.fast * base,
                share: contact.touched_share.clamp(0.01, 1.0),
                age_days: 0.0,
                tau_days: contact.tau_days.max(0.1),
            });
        }
    }
}
