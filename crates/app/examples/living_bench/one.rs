//! One most likely bin through 90 days: red worms on day 3, food every fourth
//! day, water once. There are two of them: paper, coir and a little compost fed
//! with scraps, where nitrogen is short, and manure and coir fed with clippings,
//! where it is plenty.

use engine::bed::curve::Curve;
use engine::bed::fill::{self, Conditions, Own, ReadyPart};
use engine::bed::possible::PossibleBed;
use engine::estimate::scene::usual_tote;
use engine::living::heat::Zones;
use engine::living::home::Home;
use engine::living::life::{Life, Load};
use engine::living::load::{self, Fed};
use engine::living::nature::{Nature, Priors};
use engine::living::room::{Day, Room};
use engine::living::rot::{KINDS, Kind};
use engine::living::salt;
use engine::living::species::{Species, Vital};
use engine::living::step::{self, Around, STEP_DAYS};
use engine::living::worms::Worms;
use engine::log::Part;
use engine::measure::{Amount, Packing};
use engine::quantity::Celsius;
use engine::table::Tables;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use serde_json::{Map, Value, json};
use std::error::Error;

/// Days followed.
pub(crate) const DAYS: u32 = 90;
/// Day the worms come.
pub(crate) const STOCKED: u32 = 3;
/// Worms put in [g].
const WORMS_G: f64 = 450.0;
/// Days between feedings.
pub(crate) const FED_EVERY: u32 = 4;
/// Food of one feeding [g].
const FED_G: f64 = 250.0;
/// Day water is poured, and how much [kg].
pub(crate) const POURED: (u32, f64) = (40, 1.0);

/// Everything one run starts from.
pub(crate) struct Bin {
    pub(crate) priors: Priors,
    pub(crate) home: Home,
    pub(crate) nature: Nature,
    pub(crate) vital: Vital,
    room: Room,
    pub(crate) life: Life,
    pub(crate) bed: PossibleBed,
    pub(crate) fed: Fed,
}

/// Parts named by material and amount.
pub(crate) fn parts(list: &[(&str, &str)]) -> Result<Vec<Part>, Box<dyn Error>> {
    list.iter()
        .map(|(material, amount)| Ok(Part::plain(*material, Amount::parse(amount)?)))
        .collect()
}

/// The bedding of every run here.
pub(crate) const BEDDING: [(&str, &str); 4] = [
    ("cardboard_corrugated", "14 L"),
    ("coir_pith", "18 L"),
    ("kitchen_compost_finished", "4 L"),
    ("water", "1 L"),
];

/// Bedding and food of one bin.
pub(crate) type Filling = (&'static [(&'static str, &'static str)], &'static str);

/// The bins, by what there is of nitrogen.
pub(crate) const FILLINGS: [(&str, Filling); 2] = [
    ("poor", (&BEDDING, "kitchen_scraps_veg")),
    (
        "rich",
        (
            &[
                ("horse_manure_aged", "20 L"),
                ("coir_pith", "12 L"),
                ("water", "1 L"),
            ],
            "grass_clippings",
        ),
    ),
];

/// The air of every run here [°C].
pub(crate) const AIR: Day = Day {
    low: 17.0,
    high: 21.0,
};

impl Bin {
    /// The usual bin here, as filled.
    pub(crate) fn new() -> Result<Self, Box<dyn Error>> {
        Self::filled(FILLINGS[0].1)
    }

    pub(crate) fn filled((bedding, food): Filling) -> Result<Self, Box<dyn Error>> {
        let tables = Tables::load()?;
        let priors = Priors::load(&tables)?;
        let home = Home::of(&tables, &usual_tote(&tables)?, Species::EiseniaFetida)?;
        let nature = priors.usual(&home);
        let vital = Vital::of(&tables, Species::EiseniaFetida)?;
        let conditions = Conditions::usual(&tables, Celsius(19.0))?;
        let own = Own::new();
        let ready = fill::ready_bed(&tables, &parts(bedding)?, &own)?;
        // What is drawn of the materials is the same in every run.
        let mut g = ChaCha8Rng::seed_from_u64(3);
        let mut life = Life::empty(Worms::none(Species::EiseniaFetida));
        let celsius = AIR.low / 2.0 + AIR.high / 2.0;
        let (bed, _) = fill::draw_each(&mut g, &ready, &conditions, |part, drawn| {
            let load = Load {
                celsius: Some(celsius),
                feed: false,
                ..load::of_drawn(part, drawn, &priors)
            };
            life.add(&load, &priors);
        });
        life.warm_to(celsius, &priors);
        life.told.zones = Zones::even(celsius);
        life.carried.air_celsius = celsius;
        let fed = fed(&tables, &mut g, food, (&nature, &priors))?;
        Ok(Self {
            room: Room::steady(AIR, priors.constants.warmest_day_share),
            priors,
            home,
            nature,
            vital,
            life,
            bed,
            fed,
        })
    }

    /// What happens in the morning of a day.
    pub(crate) fn happen(&self, day: u32, life: &mut Life, bed: &mut PossibleBed) {
        if day == STOCKED {
            let species = Species::EiseniaFetida;
            let new = Worms::stocked(species, Some(WORMS_G), None, &self.vital);
            life.worms.join(&new);
            life.came_in(new.grams(), &self.priors);
        }
        if day > 0 && day.is_multiple_of(FED_EVERY) {
            self.fed.meet(bed);
            life.add(&self.fed.load, &self.priors);
        }
        if day == POURED.0 {
            life.pour(POURED.1, Some(19.0), &self.priors);
        }
    }

    /// Carries it through, `cut` steps for each usual one, showing every day.
    pub(crate) fn run(&self, cut: u32, mut seen: impl FnMut(&Life, &PossibleBed, f64, f64)) -> f64 {
        let (mut life, mut bed) = (self.life, self.bed.clone());
        let around = Around {
            priors: &self.priors,
            home: &self.home,
            nature: &self.nature,
            vital: &self.vital,
        };
        let steps = 2 * cut;
        let dt = STEP_DAYS / f64::from(cut);
        for day in 0..DAYS {
            self.happen(day, &mut life, &mut bed);
            let (mut core, mut hot) = (0.0, 0.0);
            for i in 0..steps {
                let from = f64::from(day) + dt * f64::from(i);
                let air = self.room.mean(from, from + dt);
                step::step(&mut life, &mut bed, &around, dt, air);
                core += life.told.zones.core / f64::from(steps);
                hot += life.told.zones.hot / f64::from(steps);
            }
            seen(&life, &bed, core, hot);
        }
        bed.ph()
    }

    fn course(&self, cut: u32) -> Value {
        let mut days: Map<String, Value> = Map::new();
        self.run(cut, |life, bed, core, hot| {
            for (name, value) in self.figures(life, bed, core, hot) {
                let row = days.entry(name).or_insert_with(|| json!([]));
                if let Value::Array(row) = row {
                    row.push(json!(value));
                }
            }
        });
        Value::Object(days)
    }

    pub(crate) fn figures(
        &self,
        l: &Life,
        bed: &PossibleBed,
        core: f64,
        hot: f64,
    ) -> Vec<(&str, f64)> {
        let dry = l.dry_kg(&self.priors);
        let total = l.organic.total();
        vec![
            ("ph", bed.ph()),
            ("moisture_percent", l.moisture_percent(dry)),
            ("water_kg", l.water_kg),
            ("bed_celsius", l.store(&self.priors, dry).celsius(l.heat)),
            ("core_day_mean_celsius", core),
            ("hot_day_mean_celsius", hot),
            ("worms_kg", l.worms.grams() / 1000.0),
            ("worms", l.worms.number()),
            ("cocoons", l.worms.cocoon_count()),
            ("castings_dry_kg", l.worked * dry),
            ("dry_kg", dry),
            ("ammonium_mol", l.ammonium),
            ("nitrate_mol", l.nitrate),
            ("acid_pocket_mol", l.acid_pocket),
            ("acid_bed_mol", l.acid_bed),
            ("base_mol", bed.base / bed.stretch),
            ("chalk_mol", bed.pending()),
            ("food_labile_kg", l.organic.pocket()),
            ("carbon_kg", total.carbon),
            ("nitrogen_kg", total.nitrogen),
            ("humus_kg", l.organic.humus.organic),
            ("microbes_kg", l.organic.microbes.organic),
            (
                "ec_ms_per_cm",
                salt::ec_ms_per_cm(l, bed, &self.priors, dry),
            ),
        ]
    }

    fn numbers(&self) -> Value {
        let (p, r, h) = (&self.priors, &self.priors.rates, &self.home);
        let named = |list: Vec<(&'static str, f64)>| -> Map<String, Value> {
            list.into_iter()
                .map(|(n, v)| (n.into(), json!(v)))
                .collect()
        };
        json!({
            "constants": named(p.constants.list()),
            "nature": named(self.nature.list()),
            "vital": named(self.vital.list()),
            "law": named(self.bed.law.list()),
            "home": {
                "floor_m2": h.floor_m2, "around_m": h.around_m, "depth_m": h.depth_m,
                "escape": h.escape, "film": h.film, "inlet": h.inlet, "drains": h.drains,
                "kindest": [h.kindest.from, h.kindest.to],
            },
            "kinds": Kind::ALL.map(Kind::name),
            "pocket_kinds": (0..KINDS).filter(|i| Kind::ALL[*i].in_pocket()).count(),
            "per_day": r.per_day, "slow_share": r.slow_share,
            "labile_share": r.labile_share, "labile_of_degradable": r.labile_of_degradable,
            "alkalinity": r.alkalinity,
            "bicarbonate_at_7": p.bicarbonate_at_7,
            "extract_co2": p.extract_co2, "airless_co2": p.airless_co2,
            "chalk": { "per_day": self.bed.chalk.per_day, "grain_um": self.bed.chalk.grain_um },
            "castings": packed(&p.castings),
            "carbonate_at_7_and_8": [p.open_water.carbonate(7.0), p.open_water.carbonate(8.0)],
        })
    }

    fn start(&self) -> Value {
        let l = &self.life;
        let pools: Vec<Vec<[f64; 3]>> = l
            .organic
            .pools
            .iter()
            .map(|kind| {
                kind.iter()
                    .map(|m| [m.organic, m.carbon, m.nitrogen])
                    .collect()
            })
            .collect();
        let grains: Vec<Value> = self
            .bed
            .grains
            .iter()
            .map(|g| json!({"whole": g.whole, "size_um": g.size_um, "contact": g.contact}))
            .collect();
        json!({
            "pools": pools, "ash_kg": l.ash_kg, "water_kg": l.water_kg,
            "cell_water_kg": l.cell_water_kg, "raw_hold": l.raw_hold, "worked": l.worked,
            "raw": packed(&l.raw), "fresh_litres": l.fresh_litres, "settling": l.settling,
            "salt": l.salt, "salt_of_acids": l.salt_of_acids,
            "celsius": l.store(&self.priors, l.dry_kg(&self.priors)).celsius(l.heat),
            "grains": grains, "curve": tabulated(&self.bed.curve),
            "food": tabulated(&self.bed.food), "food_left": self.bed.food_left,
            "humus": tabulated(&self.bed.humus), "water": tabulated(&self.bed.water),
            "ammonium": l.ammonium, "alkali": l.alkali,
            "slow": self.bed.slow.len(), "lime": self.bed.lime, "calcium": self.bed.calcium,
            "base": self.bed.base, "stretch": self.bed.stretch,
        })
    }

    fn events(&self) -> Value {
        let l = &self.fed.load;
        let new = Worms::stocked(Species::EiseniaFetida, Some(WORMS_G), None, &self.vital);
        json!({
            "days": DAYS,
            "stocked": { "day": STOCKED, "worms": new.stages().worms, "sizes": new.sizes(), "condition": new.condition() },
            "fed": {
                "every": FED_EVERY, "charge": tabulated(&self.fed.charge), "rots": self.fed.rots,
                "ammonium": l.ammonium, "alkali": l.alkali,
                "kind": l.kind.map(|k| k as usize), "dry_kg": l.dry_kg, "water_kg": l.water_kg,
                "ash_kg": l.ash_kg, "carbon_kg": l.carbon_kg, "nitrogen_kg": l.nitrogen_kg,
                "degradable": l.degradable, "cell_water_kg": l.cell_water_kg, "worked": l.worked,
                "salt": l.salt, "salt_of_acids": l.salt_of_acids, "acid": l.acid,
                "holds_kg": l.holds_kg, "packing": packed(&l.packing), "fresh_litres": l.fresh_litres, "celsius": 19.0,
            },
            "poured": { "day": POURED.0, "kg": POURED.1, "celsius": 19.0 },
            "air": { "low": AIR.low, "high": AIR.high, "warmest": 0.625 },
        })
    }
}

/// Points of a titration curve: pH and base [mol_c].
fn tabulated(curve: &Curve) -> Vec<[f64; 2]> {
    (0..=110)
        .map(|i| 2.0 + 0.1 * f64::from(i))
        .map(|ph| [ph, curve.base_at(ph)])
        .collect()
}

fn packed(p: &Packing) -> Value {
    json!({
        "loose": p.loose, "wetting": p.wetting, "soaked": p.soaked, "settles_most": p.settles_most,
        "half_load": p.half_load, "days": p.days,
    })
}

fn fed(
    tables: &Tables,
    g: &mut ChaCha8Rng,
    food: &str,
    (nature, priors): (&Nature, &Priors),
) -> Result<Fed, Box<dyn Error>> {
    let amount = format!("{FED_G} g");
    let food = [(food, amount.as_str())];
    let ready: Vec<ReadyPart> = fill::ready(tables, &parts(&food)?, &Own::new())?;
    let mut fed = load::fed(g, &ready[0], nature, priors);
    fed.load.celsius = Some(19.0);
    Ok(fed)
}

/// All of every bin, for the peer, by its name.
pub(crate) fn told() -> Result<Value, Box<dyn Error>> {
    let mut all = Map::new();
    for (name, filling) in FILLINGS {
        all.insert(name.into(), Bin::filled(filling)?.told());
    }
    Ok(Value::Object(all))
}

impl Bin {
    fn told(&self) -> Value {
        let courses: Map<String, Value> = [1u32, 4, 16, 64]
            .into_iter()
            .map(|cut| (cut.to_string(), self.course(cut)))
            .collect();
        json!({
            "numbers": self.numbers(), "start": self.start(), "events": self.events(),
            "courses": courses,
        })
    }
}
