//! The books of one possible bin: what is in the pools, plus what went out,
//! less what came in, for everything that can be neither made nor lost.
//!
//! Worms are counted by their dry matter, carbon, nitrogen and water; heat is
//! counted from thawed water at 0 °C.

use crate::bed::possible::PossibleBed;
use crate::living::life::Life;
use crate::living::nature::Priors;

/// What is booked, with its unit.
const BOOKED: [(&str, &str); 8] = [
    ("organic matter", "kg"),
    ("ash", "kg"),
    ("carbon", "kg"),
    ("nitrogen", "kg"),
    ("water", "kg"),
    ("heat", "kJ"),
    ("base of the bed", "mol_c"),
    ("charge of what microbes turn", "mol_c"),
];

/// Largest gap against the size of the book that is still rounding [-].
const ROUNDING: f64 = 1e-9;

/// A book that does not close.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("the book of {quantity} does not close: {size:e} {unit} of {of} {unit} too much")]
pub struct Gap {
    /// Quantity.
    pub quantity: &'static str,
    /// What is there too much [unit].
    pub size: f64,
    /// Size of the book [unit].
    pub of: f64,
    /// Unit.
    pub unit: &'static str,
}

/// The balance of each book at one instant. It stays what it is, whatever
/// happens in the bin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ledger {
    /// Pools plus what went out less what came in.
    balance: [f64; BOOKED.len()],
    /// Sum of the sizes of all entries.
    size: [f64; BOOKED.len()],
}

/// Adds up entries and their sizes.
fn book(entries: &[f64]) -> (f64, f64) {
    entries
        .iter()
        .fold((0.0, 0.0), |(sum, size), x| (sum + x, size + x.abs()))
}

impl Ledger {
    /// Of a bin as it stands.
    #[must_use]
    pub fn of(life: &Life, bed: &PossibleBed, p: &Priors) -> Self {
        let (c, b) = (&p.constants, &life.books);
        let total = life.organic.total();
        let acid = life.acid_bed + life.acid_pocket;
        let worms = life.worms.grams() / 1000.0;
        let dry = worms * c.worm_dry;
        let mineral = life.mineral_nitrogen() / c.mol_per_kg;
        let books = [
            book(&[
                total.organic,
                acid * c.acid_mass,
                dry,
                b.burnt,
                b.organic_out,
                -b.organic_in,
            ]),
            book(&[life.ash_kg, b.ash_out, -b.ash_in]),
            book(&[
                total.carbon,
                acid * c.acid_carbon,
                dry * c.worm_carbon,
                b.carbon_air,
                b.carbon_out,
                -b.carbon_in,
            ]),
            book(&[
                total.nitrogen,
                mineral,
                dry * c.worm_nitrogen,
                b.nitrogen_air,
                b.nitrogen_out,
                -b.nitrogen_in,
            ]),
            book(&[
                life.water_kg,
                worms - dry,
                b.evaporated,
                b.water_out,
                -b.water_in,
                -b.water_made,
            ]),
            book(&[
                life.heat,
                b.heat_passed,
                b.heat_vapour,
                -b.heat_made,
                -b.heat_with_matter,
            ]),
            book(&[bed.base, bed.pending(), -b.base_posted]),
            book(&[
                life.ammonium,
                life.excreted,
                -life.nitrate,
                -life.acid_posted,
                b.ions_out,
                b.cations,
                -b.base_posted,
            ]),
        ];
        Self {
            balance: books.map(|x| x.0),
            size: books.map(|x| x.1),
        }
    }

    /// Checks that nothing was made or lost from `before` to this, but what
    /// else was `given` to the bed: base of doses [mol_c].
    ///
    /// # Errors
    /// [`Gap`], the first that is more than rounding.
    pub fn check(&self, before: &Self, given: f64) -> Result<(), Gap> {
        const BASE: usize = 6;
        for (i, (quantity, unit)) in BOOKED.into_iter().enumerate() {
            let given = if i == BASE { given } else { 0.0 };
            let size = self.balance[i] - before.balance[i] - given;
            let of = self.size[i].max(before.size[i]);
            if size.is_nan() || size.abs() > ROUNDING * of.max(1.0) {
                return Err(Gap {
                    quantity,
                    size,
                    of,
                    unit,
                });
            }
        }
        Ok(())
    }

    /// Checks that everything in the bin came in by the books: that all
    /// balances but that of the bed's base, which has a start of its own, are
    /// nought.
    ///
    /// # Errors
    /// [`Gap`], the first that is more than rounding.
    pub fn check_from_empty(&self) -> Result<(), Gap> {
        let empty = Self {
            balance: [0.0; BOOKED.len()],
            size: [0.0; BOOKED.len()],
        };
        self.check(&empty, self.balance[6])
    }
}
