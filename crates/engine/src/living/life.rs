//! Everything in one possible bin but its acid and base: organic matter,
//! nitrogen, water, heat, salt, castings and worms.

mod addition;
mod books;
mod carried;
mod last_day;
mod told;
mod volume;

use crate::bed::squeeze;
use crate::living::heat::Store;
use crate::living::nature::{Nature, Priors};
use crate::living::pace::Pace;
use crate::living::rot::{Matter, Organic};
use crate::living::water;
use crate::living::worms::Worms;
use crate::measure::Packing;
use serde::{Deserialize, Serialize};

pub use addition::Load;
pub use books::Books;
pub use carried::Carried;
pub use last_day::{DayMeans, LastDay};
pub use told::Told;
pub(super) use volume::Settled;

/// Share of the dry matter or water that makes another bed of it when it comes
/// or goes, so that the next step is cut finer [0 to 1].
const CHANGES: f64 = 0.05;

/// So many times the food that lies in a bin is new to it, so that the next step
/// is cut finer [-].
const NEW_FOOD: f64 = 4.0;

/// One possible bin's life.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Life {
    /// Organic matter.
    pub organic: Organic,
    /// Ash and minerals [kg].
    pub ash_kg: f64,
    /// Water [kg].
    pub water_kg: f64,
    /// Of it what the cells of fresh food still hold [kg].
    pub cell_water_kg: f64,
    /// Water that unworked matter holds, per kg dry [kg/kg].
    pub raw_hold: f64,
    /// How unworked matter packs.
    pub raw: Packing,
    /// What fresh food takes up beyond that until it rots [L].
    pub fresh_litres: f64,
    /// Share of its settling that is done [0 to 1].
    pub settling: f64,
    /// Load at mid depth as of the last step [kPa].
    pub load_kpa: f64,
    /// Castings as a share of dry matter [0 to 1].
    pub worked: f64,
    /// Of them, what came as castings and was not made here [0 to 1].
    pub brought: f64,
    /// Ammonium and ammonia [mol].
    pub ammonium: f64,
    /// Ammonium that worms gave off and that is not in the pool yet, or, where it is
    /// negative, came into it beforehand [mol].
    pub excreted: f64,
    /// Nitrate [mol].
    pub nitrate: f64,
    /// Acids still in the food [mol].
    pub acid_pocket: f64,
    /// Acids in the bed [mol].
    pub acid_bed: f64,
    /// Of them dissociated, as last posted to the bed's base [mol].
    pub acid_posted: f64,
    /// Chloride, sulphate and the like, as conductivity of a 1:5 extract times
    /// dry matter [mS/cm kg].
    pub salt: f64,
    /// Salts of organic acids not yet rotted [mS/cm kg].
    pub salt_of_acids: f64,
    /// Potassium that stands against organic acids not yet rotted [mol].
    pub alkali: f64,
    /// Heat above thawed water at 0 °C [kJ].
    pub heat: f64,
    /// Days since filled.
    pub age_days: f64,
    /// Days since worms came; negative before.
    pub stocked_days: f64,
    /// Days since fed; negative before.
    pub fed_days: f64,
    /// Dry matter of the last feeding [kg].
    pub fed_kg: f64,
    /// Recognisable rest of it, and of what was left before [kg].
    pub seen_kg: f64,
    /// How fast it goes out of sight, against the law: peel or melon [-].
    pub seen_pace: f64,
    /// Wandering of the room against what is known [°C].
    pub room_wander: f64,
    /// How far the bed's pH has wandered from what its matter says [pH], and the
    /// base that makes it so [mol_c].
    pub ph_wander: f64,
    /// See [`Life::ph_wander`].
    pub base_wander: f64,
    /// Worms.
    pub worms: Worms,
    /// The books.
    pub books: Books,
    /// Warmth of the last day.
    pub day: LastDay,
    /// Where the last part of a step left off.
    pub carried: Carried,
    /// What the length of the next step is chosen by.
    pub(super) pace: Pace,
    /// What the last step tells.
    pub told: Told,
}

impl Life {
    /// Nothing yet.
    #[must_use]
    pub fn empty(worms: Worms) -> Self {
        Self {
            organic: Organic::default(),
            ash_kg: 0.0,
            water_kg: 0.0,
            cell_water_kg: 0.0,
            // Of nothing yet: neither has a weight before something is in.
            raw_hold: 3.0,
            raw: Packing::firm(8.0),
            fresh_litres: 0.0,
            settling: 0.0,
            load_kpa: 0.0,
            worked: 0.0,
            brought: 0.0,
            ammonium: 0.0,
            excreted: 0.0,
            nitrate: 0.0,
            acid_pocket: 0.0,
            acid_bed: 0.0,
            acid_posted: 0.0,
            salt: 0.0,
            salt_of_acids: 0.0,
            alkali: 0.0,
            heat: 0.0,
            age_days: 0.0,
            stocked_days: -1.0,
            fed_days: -1.0,
            fed_kg: 0.0,
            seen_kg: 0.0,
            seen_pace: 1.0,
            room_wander: 0.0,
            ph_wander: 0.0,
            base_wander: 0.0,
            worms,
            books: Books::default(),
            day: LastDay::default(),
            carried: Carried::default(),
            pace: Pace::default(),
            told: Told::default(),
        }
    }

    /// Ammonium foreseen to come of worms in `days` as in the last part [mol].
    pub(super) fn foreseen(&self, days: f64) -> f64 {
        (self.excreted + self.carried.excretes * days).max(0.0)
    }

    /// Nitrogen that is in no matter, as ammonium or nitrate [mol].
    #[must_use]
    pub fn mineral_nitrogen(&self) -> f64 {
        self.ammonium + self.excreted + self.nitrate
    }

    /// Dry matter, worms not counted [kg].
    #[must_use]
    pub fn dry_kg(&self, p: &Priors) -> f64 {
        self.dry_with(self.organic.sums(&p.rates).organic, p)
    }

    /// The same where its organic matter is known [kg].
    pub(super) fn dry_with(&self, organic_kg: f64, p: &Priors) -> f64 {
        organic_kg + self.ash_kg + self.acid_kg(p)
    }

    /// Keeps the warmth of the bed as its matter changes: heat goes with what
    /// burns, drains or evaporates and comes with what is made. Where water
    /// and ice stand together the ice stays as it is.
    pub fn rematter(&mut self, before: &Store, after: &Store) {
        let heat = if self.heat > 0.0 {
            before.celsius(self.heat) * after.thawed
        } else if self.heat >= -before.melting {
            self.heat.max(-after.melting)
        } else {
            before.celsius(self.heat) * after.frozen - after.melting
        };
        self.books.heat_with_matter += heat - self.heat;
        self.heat = heat;
    }

    fn acid_kg(&self, p: &Priors) -> f64 {
        (self.acid_bed + self.acid_pocket) * p.constants.acid_mass
    }

    /// What holds the heat.
    #[must_use]
    pub fn store(&self, p: &Priors, dry_kg: f64) -> Store {
        let c = &p.constants;
        // A little is always there: air, walls.
        let dry = c.dry_heat * dry_kg + c.least_heat;
        store_of(p, dry, self.water_kg)
    }

    /// Water held against draining, in pores and in the cells of food [kg].
    #[must_use]
    pub fn holds_kg(&self, p: &Priors, n: &Nature, dry_kg: f64) -> f64 {
        self.holds_with(self.pores_hold(p, n, dry_kg), dry_kg)
    }

    /// The same where its pores hold so much [kg/kg].
    pub(super) fn holds_with(&self, pores: f64, dry_kg: f64) -> f64 {
        dry_kg * pores + self.cell_water_kg.min(self.water_kg)
    }

    /// Water its pores hold against draining [kg/kg dry].
    pub(super) fn pores_hold(&self, p: &Priors, n: &Nature, dry_kg: f64) -> f64 {
        let c = &p.constants;
        let organic = (1.0 - self.ash_kg / dry_kg.max(1e-9)).clamp(0.0, 1.0);
        // Castings hold water by their organic matter first, and those of matter
        // that holds more hold more.
        let of_mineral = c.mineral_castings_hold;
        let share = c.castings_organic;
        let of_organic = (n.castings_hold - (1.0 - share) * of_mineral) / share;
        let castings = organic * of_organic + (1.0 - organic) * of_mineral;
        let more = (self.raw_hold / castings).max(1.0).powf(c.castings_of_raw);
        let castings = castings * more;
        (1.0 - self.worked) * self.raw_hold + self.worked * castings
    }

    /// Puts an addition in.
    pub fn add(&mut self, load: &Load, p: &Priors) {
        let before = self.dry_kg(p);
        let celsius_now = self.store(p, before).celsius(self.heat);
        let organic = match load.kind {
            Some(_) => load.dry_kg - load.ash_kg,
            None => 0.0,
        };
        let matter = Matter {
            organic,
            carbon: load.carbon_kg.min(p.constants.most_carbon * organic),
            nitrogen: (load.nitrogen_kg - load.ammonium / p.constants.mol_per_kg)
                .min(p.constants.most_nitrogen * organic),
        };
        // It comes with the bicarbonate that stands against it.
        self.ammonium += load.ammonium;
        self.books.ions_out -= load.ammonium;
        if let Some(kind) = load.kind {
            let slow = p.rates.slow_share[kind as usize];
            let labile = p.rates.labile(kind, load.degradable);
            self.pace.changed |=
                kind.in_pocket() && matter.organic * labile > NEW_FOOD * self.organic.pocket();
            self.organic.put(kind, &matter, labile, slow);
        }
        self.ash_kg += load.dry_kg - organic;
        self.pace.changed |= load.dry_kg > CHANGES * before;
        self.water_moves(load.water_kg);
        self.water_kg += load.water_kg;
        self.cell_water_kg += load.cell_water_kg;
        self.salt += load.salt;
        self.salt_of_acids += load.salt_of_acids;
        self.alkali += load.alkali;
        self.sour(load.acid, p);
        self.blend(load, before);
        self.books.organic_in += matter.organic;
        self.books.carbon_in += matter.carbon;
        self.books.nitrogen_in += matter.nitrogen + load.ammonium / p.constants.mol_per_kg;
        self.books.water_in += load.water_kg;
        self.books.ash_in += load.dry_kg - organic;
        let least = p.constants.least_heat;
        let dry = p.constants.dry_heat * load.dry_kg + least;
        let store = store_of(p, dry, load.water_kg);
        let store = Store {
            thawed: store.thawed - least,
            frozen: store.frozen - least,
            ..store
        };
        let kj = store.heat(load.celsius.unwrap_or(celsius_now));
        self.heat += kj;
        self.books.heat_with_matter += kj;
        if load.feed {
            self.fed_days = 0.0;
            self.fed_kg = load.dry_kg;
            self.seen_kg += load.dry_kg;
        }
    }

    /// Brings acid to the bed [mol]; what it does to the bed's base is posted
    /// there ([`crate::living::load::Fed::meet`]).
    fn sour(&mut self, mol: f64, p: &Priors) {
        self.acid_bed += mol;
        self.acid_posted += mol;
        self.books.organic_in += mol * p.constants.acid_mass;
        self.books.carbon_in += mol * p.constants.acid_carbon;
        self.books.base_posted -= mol;
    }

    /// Mixes what an addition is like into what the bed is like.
    fn blend(&mut self, load: &Load, before: f64) {
        let after = before + load.dry_kg;
        if after <= 1e-9 {
            return;
        }
        let raw_before = before * (1.0 - self.worked);
        let raw_new = load.dry_kg * (1.0 - load.worked);
        let raw = raw_before + raw_new;
        if raw > 1e-9 && load.dry_kg > 0.0 {
            let per = |total: f64| total / load.dry_kg;
            self.raw_hold = (self.raw_hold * raw_before + per(load.holds_kg) * raw_new) / raw;
            self.raw.join(raw_before, &load.packing, raw_new);
        }
        let share = load.dry_kg / after;
        self.worked += (load.worked - self.worked) * share;
        self.brought += (load.worked - self.brought) * share;
        // What comes in is not settled yet.
        self.settling *= 1.0 - share;
        self.fresh_litres += load.fresh_litres;
    }

    /// Pours water in [kg] at a temperature [°C], that of the bed if not said.
    pub fn pour(&mut self, kg: f64, celsius: Option<f64>, p: &Priors) {
        let load = Load {
            water_kg: kg,
            celsius,
            ..Load::default()
        };
        self.add(&load, p);
    }

    /// Marks the bed as changed where so much water comes or goes at once [kg].
    pub(super) fn water_moves(&mut self, kg: f64) {
        self.pace.changed |= kg.abs() > CHANGES * self.water_kg;
    }

    /// Makes the bed warmer by so many degrees [K], booked as brought in.
    pub fn warm_by(&mut self, kelvin: f64, p: &Priors) {
        let store = self.store(p, self.dry_kg(p));
        let heat = store.heat(store.celsius(self.heat) + kelvin);
        self.books.heat_with_matter += heat - self.heat;
        self.heat = heat;
        for zones in [&mut self.told.zones, &mut self.carried.ends] {
            for zone in [
                &mut zones.core,
                &mut zones.edge,
                &mut zones.hot,
                &mut zones.refuge,
            ] {
                *zone += kelvin;
            }
        }
        self.day.warm_by(kelvin);
    }

    /// Brings the whole bin to a temperature [°C], booked as brought in.
    pub fn warm_to(&mut self, celsius: f64, p: &Priors) {
        let store = self.store(p, self.dry_kg(p));
        self.warm_by(celsius - store.celsius(self.heat), p);
    }

    /// Books the mass of worms that were put in [g].
    pub fn came_in(&mut self, grams: f64, p: &Priors) {
        let c = &p.constants;
        let dry = grams / 1000.0 * c.worm_dry;
        self.books.water_in += grams / 1000.0 - dry;
        self.books.organic_in += dry;
        self.books.carbon_in += dry * c.worm_carbon;
        self.books.nitrogen_in += dry * c.worm_nitrogen;
        if self.stocked_days < 0.0 {
            self.stocked_days = 0.0;
        }
        self.pace.changed = true;
    }

    /// Books what a possible bin gained, or negative lost, that no log says:
    /// worms [kg dry], acids in the food [mol], ammonium [mol].
    pub(crate) fn unlogged(&mut self, worms_dry: f64, acid: f64, ammonium: f64, p: &Priors) {
        let c = &p.constants;
        self.books.water_in += worms_dry / c.worm_dry - worms_dry;
        self.books.organic_in += worms_dry + acid * c.acid_mass;
        self.books.carbon_in += worms_dry * c.worm_carbon + acid * c.acid_carbon;
        self.books.nitrogen_in += worms_dry * c.worm_nitrogen + ammonium / c.mol_per_kg;
        // With what stands against it: no base comes or goes.
        self.books.ions_out -= ammonium;
    }

    /// Takes `share` of the bedding out, worms left behind but for `worms`.
    pub fn take_out(&mut self, share: f64, worms: f64, p: &Priors) {
        let share = share.clamp(0.0, 1.0);
        let c = &p.constants;
        self.pace.changed |= share > CHANGES;
        let gone = self.organic.take(share);
        let acids = (self.acid_bed + self.acid_pocket) * share;
        let nitrogen = self.mineral_nitrogen() * share / c.mol_per_kg;
        let worm_kg = self.worms.take_out(worms).grams() / 1000.0;
        let worm_dry = worm_kg * c.worm_dry;
        self.books.organic_out += gone.organic + acids * c.acid_mass + worm_dry;
        self.books.carbon_out += gone.carbon + acids * c.acid_carbon + worm_dry * c.worm_carbon;
        self.books.nitrogen_out += gone.nitrogen + nitrogen + worm_dry * c.worm_nitrogen;
        self.books.water_out += self.water_kg * share + worm_kg - worm_dry;
        self.books.ash_out += self.ash_kg * share;
        self.books.ions_out +=
            (self.ammonium + self.excreted - self.nitrate - self.acid_posted) * share;
        self.books.heat_with_matter -= self.heat * share;
        for part in [
            &mut self.ash_kg,
            &mut self.water_kg,
            &mut self.cell_water_kg,
            &mut self.fresh_litres,
            &mut self.ammonium,
            &mut self.excreted,
            &mut self.nitrate,
            &mut self.acid_bed,
            &mut self.acid_posted,
            &mut self.acid_pocket,
            &mut self.salt,
            &mut self.salt_of_acids,
            &mut self.alkali,
            &mut self.heat,
            &mut self.seen_kg,
            &mut self.base_wander,
        ] {
            *part *= 1.0 - share;
        }
    }

    /// Moisture [% of wet mass].
    #[must_use]
    pub fn moisture_percent(&self, dry_kg: f64) -> f64 {
        water::moisture(self.water_kg, dry_kg)
    }

    /// Moisture as worms and microbes meet it [% of wet mass]: mineral matter
    /// beyond what manures hold (lime, sand) takes up little of the water, and
    /// counts little.
    #[must_use]
    pub fn moisture_felt_percent(&self, dry_kg: f64, p: &Priors) -> f64 {
        water::moisture(self.water_kg, self.dry_felt_kg(dry_kg, p))
    }

    /// Dry matter that counts in the moisture worms and microbes meet [kg].
    #[must_use]
    pub fn dry_felt_kg(&self, dry_kg: f64, p: &Priors) -> f64 {
        let organic = (dry_kg - self.ash_kg).max(0.0);
        let more = (self.ash_kg - p.constants.usual_mineral * organic).max(0.0);
        dry_kg - (1.0 - p.constants.mineral_counts) * more
    }

    /// Moisture a little under what the bedding holds against draining [% of
    /// wet mass].
    #[must_use]
    pub fn drained_moisture_percent(&self, p: &Priors, n: &Nature, dry_kg: f64) -> f64 {
        water::moisture(self.holds_kg(p, n, dry_kg), dry_kg) - p.constants.drained_under
    }

    /// Where a first drop shows when squeezed [% of wet mass], see
    /// [`squeeze::first_drop`].
    #[must_use]
    pub fn drop_moisture_percent(&self, p: &Priors, n: &Nature, dry_kg: f64) -> f64 {
        let c = &p.constants;
        let held = water::moisture(self.holds_kg(p, n, dry_kg), dry_kg);
        squeeze::first_drop(held, c.drop_under, (c.drop_least, c.drop_most))
    }
}

/// What holds heat where dry matter and walls hold `dry` [kJ/K].
fn store_of(p: &Priors, dry: f64, water_kg: f64) -> Store {
    let c = &p.constants;
    Store {
        thawed: dry + c.water_heat * water_kg,
        frozen: dry + c.ice_heat * water_kg,
        melting: c.melt * water_kg,
    }
}
