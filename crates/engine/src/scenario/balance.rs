//! What came into a bin, what went, and what is there: the books of every
//! member closed at the end of a scenario.

use crate::estimate::ensemble::Possible;
use crate::estimate::filter::Estimate;
use crate::living::life::Life;
use crate::living::nature::Priors;
use crate::quantity::Band;

/// The books of one kind of thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Stable name with its unit, such as `water_kg`.
    pub name: &'static str,
    /// Put in.
    pub put_in: Band,
    /// Made inside the bin; negative when used up.
    pub made: Band,
    /// Gone to the air: burnt, evaporated, passed through the walls.
    pub to_air: Band,
    /// Drained, taken out or gone out.
    pub taken: Band,
    /// There at the end.
    pub held: Band,
    /// In and made, less all that went and is held: what the books do not
    /// explain.
    pub gap: Band,
    /// Largest of it in any member, without its sign.
    pub largest_gap: f64,
}

/// All books.
#[derive(Debug, Clone, PartialEq)]
pub struct Balances {
    /// Organic matter, ash, carbon, nitrogen, water with that in the worms, and
    /// heat.
    pub books: Vec<Balance>,
    /// Base that decay and microbes gave the bed, less the acid [mol_c]:
    /// negative when they soured it on the whole.
    pub base_posted_mol: Band,
}

/// One member's book: put in, made, to the air, taken, held.
type Book = [f64; 5];

fn organic(life: &Life, p: &Priors) -> Book {
    let (b, c) = (&life.books, &p.constants);
    let acids = (life.acid_bed + life.acid_pocket) * c.acid_mass;
    let held = life.organic.total().organic + acids + worms_dry(life, p);
    [b.organic_in, 0.0, b.burnt, b.organic_out, held]
}

fn carbon(life: &Life, p: &Priors) -> Book {
    let (b, c) = (&life.books, &p.constants);
    let acids = (life.acid_bed + life.acid_pocket) * c.acid_carbon;
    let held = life.organic.total().carbon + acids + worms_dry(life, p) * c.worm_carbon;
    [b.carbon_in, 0.0, b.carbon_air, b.carbon_out, held]
}

fn nitrogen(life: &Life, p: &Priors) -> Book {
    let (b, c) = (&life.books, &p.constants);
    let mineral = life.mineral_nitrogen() / c.mol_per_kg;
    let held = life.organic.total().nitrogen + mineral + worms_dry(life, p) * c.worm_nitrogen;
    [b.nitrogen_in, 0.0, b.nitrogen_air, b.nitrogen_out, held]
}

fn ash(life: &Life, _: &Priors) -> Book {
    let b = &life.books;
    [b.ash_in, 0.0, 0.0, b.ash_out, life.ash_kg]
}

/// Water of the bed and in the worms.
fn water(life: &Life, p: &Priors) -> Book {
    let b = &life.books;
    let in_worms = life.worms.grams() / 1000.0 - worms_dry(life, p);
    let held = life.water_kg + in_worms;
    [b.water_in, b.water_made, b.evaporated, b.water_out, held]
}

fn heat(life: &Life, _: &Priors) -> Book {
    let b = &life.books;
    [
        b.heat_with_matter,
        b.heat_made,
        b.heat_passed + b.heat_vapour,
        0.0,
        life.heat,
    ]
}

fn worms_dry(life: &Life, p: &Priors) -> f64 {
    life.worms.grams() / 1000.0 * p.constants.worm_dry
}

impl Balances {
    /// The books of an estimate's members.
    #[must_use]
    pub fn of(e: &Estimate) -> Self {
        type Read = fn(&Life, &Priors) -> Book;
        const KINDS: [(&str, Read); 6] = [
            ("organic_matter_kg", organic),
            ("ash_kg", ash),
            ("carbon_kg", carbon),
            ("nitrogen_kg", nitrogen),
            ("water_kg", water),
            ("heat_kj", heat),
        ];
        let p = &e.scene.priors;
        let books = KINDS
            .iter()
            .map(|(name, read)| {
                let at = |i: usize| e.ensemble.band(|m: &Possible| read(&m.life, p)[i]);
                let gap = |m: &Possible| gap(&read(&m.life, p));
                Balance {
                    name,
                    put_in: at(0),
                    made: at(1),
                    to_air: at(2),
                    taken: at(3),
                    held: at(4),
                    gap: e.ensemble.band(gap),
                    largest_gap: e
                        .ensemble
                        .members
                        .iter()
                        .map(|m| gap(m).abs())
                        .fold(0.0, f64::max),
                }
            })
            .collect();
        Self {
            books,
            base_posted_mol: e.ensemble.band(|m| m.life.books.base_posted),
        }
    }

    /// One of the books by name.
    #[must_use]
    pub fn book(&self, name: &str) -> Option<&Balance> {
        self.books.iter().find(|b| b.name == name)
    }
}

fn gap([put_in, made, to_air, taken, held]: &Book) -> f64 {
    put_in + made - to_air - taken - held
}
