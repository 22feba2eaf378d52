//! What can be seen, felt, smelt or measured of one possible bin at one
//! instant: all that an observation can be weighed by.

use crate::bed::possible::PossibleBed;
use crate::chemistry::ammonia::free_ammonia_fraction;
use crate::living::air;
use crate::living::in_place;
use crate::living::life::{DayMeans, Life};
use crate::living::salt;
use crate::living::souring::pocket_ph;
use crate::living::step::Around;
use crate::living::water;
use crate::quantity::Celsius;

/// The signs of one possible bin.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Signs {
    /// Days since the bin was filled [d].
    pub age_days: f64,
    /// Days since worms first came in [d]; `None` before.
    pub stocked_days: Option<f64>,
    /// pH of the bed as a whole.
    pub ph: f64,
    /// pH in the pocket of food.
    pub pocket_ph: f64,
    /// Moisture of the bed as a whole [% of wet mass].
    pub moisture_percent: f64,
    /// The same as worms meet it: sand and lime beyond what manures hold count
    /// little [% of wet mass].
    pub moisture_felt_percent: f64,
    /// Moisture of its top few centimetres [% of wet mass].
    pub top_moisture_percent: f64,
    /// Moisture at which this bedding gives its first drops when squeezed
    /// [% of wet mass]: higher for peat and paper, lower for castings and sand.
    pub drop_moisture_percent: f64,
    /// Liquid standing at the bottom [kg]; of a bin that drains what a day
    /// does not let out.
    pub pooled_kg: f64,
    /// Vapour pressing on the lid: how far the bed's vapour pressure stands
    /// above what the lid's inside can hold [0 to 1].
    pub condensing: f64,
    /// Temperature in the middle [°C].
    pub core_celsius: f64,
    /// Temperature in the hottest pocket of food [°C].
    pub hot_celsius: f64,
    /// Temperature of the kindest reachable zone [°C].
    pub refuge_celsius: f64,
    /// Temperature of the room or air [°C].
    pub air_celsius: f64,
    /// Means over the last day of the middle, of the kindest zone and of the air
    /// [°C].
    pub day: DayMeans,
    /// Coldest of the kindest zone in the last day [°C].
    pub refuge_low_celsius: f64,
    /// The hottest [°C].
    pub refuge_high_celsius: f64,
    /// Days since the last feeding [d]; `None` when never fed.
    pub fed_days: Option<f64>,
    /// Recognisable share left of the last feeding [0 to 1].
    pub feed_left: f64,
    /// Volume of food that is rotting, as a share of the contents [0 to 1].
    pub food_share: f64,
    /// Volatile fatty acids and the like in the pocket of food
    /// [meq/kg of its dry matter].
    pub sour_meq_per_kg: f64,
    /// Free ammonia, NH3, at the pH of the water in place [mg N/kg dry bedding].
    pub free_ammonia_mg_per_kg: f64,
    /// Share of the decay that goes on without air [0 to 1].
    pub airless: f64,
    /// Air-filled porosity [share of volume].
    pub air_filled: f64,
    /// Salt, as conductivity of a 1:5 extract [mS/cm].
    pub ec_ms_per_cm: f64,
    /// Live worms, cocoons not counted.
    pub worms: f64,
    /// Of them with a clitellum.
    pub adults: f64,
    /// Live mass of worms [kg].
    pub worms_kg: f64,
    /// The same over the floor [kg/m²].
    pub worms_kg_m2: f64,
    /// Mass of a worm against the same worm well fed [-].
    pub condition: f64,
    /// Cocoons.
    pub cocoons: f64,
    /// Urge to leave the kindest zone [0 to 1].
    pub urge_to_leave: f64,
    /// The same without the wandering of the first days [0 to 1].
    pub driven_to_leave: f64,
    /// Share of the bed that worms can stand [0 to 1].
    pub habitable: f64,
    /// Share of worms that die per day [1/d].
    pub dying_per_day: f64,
    /// Castings, dry [kg].
    pub castings_dry_kg: f64,
    /// Castings as a share of all dry matter [0 to 1].
    pub castings_share: f64,
    /// Castings made here, dry [kg].
    pub made_dry_kg: f64,
    /// The same as a share of the dry matter that did not come as castings
    /// [0 to 1].
    pub made_share: f64,
    /// Dry matter, worms not counted [kg].
    pub dry_kg: f64,
    /// Contents of the bin, wet, worms included [kg].
    pub contents_kg: f64,
    /// Volume of the contents [L].
    pub litres: f64,
    /// Height of the contents over the rim, as a share of the depth [-].
    pub over_rim: f64,
}

impl Signs {
    /// Reads the signs of one possible bin.
    #[must_use]
    pub fn of(life: &Life, bed: &PossibleBed, a: &Around<'_>) -> Self {
        let (p, n, c) = (a.priors, a.nature, &a.priors.constants);
        let dry = life.dry_kg(p);
        let litres = life.litres(p, n, dry);
        let moisture = life.moisture_percent(dry);
        let zones = life.told.zones;
        let day = &life.day;
        let (coldest, hottest) = day.extremes().unwrap_or((zones.refuge, zones.refuge));
        let ph = bed.ph();
        let celsius = f64::midpoint(zones.core, zones.edge);
        let met = in_place::ph(life, bed, p, ph, life.told.airless.bed);
        let free = free_ammonia_fraction(Celsius(celsius.clamp(0.0, 60.0)), met);
        let holds = life.holds_kg(p, n, dry);
        let filled = air::filled_litres(&p.solids, dry - life.ash_kg, life.ash_kg, life.water_kg);
        let worms_kg = life.worms.grams() / 1000.0;
        let since = |days: f64| (days >= 0.0).then_some(days);
        let inside = water::saturated(celsius.clamp(-30.0, 75.0));
        let lid = water::saturated(life.carried.air_celsius.clamp(-30.0, 60.0));
        Self {
            age_days: life.age_days,
            stocked_days: since(life.stocked_days),
            ph,
            pocket_ph: pocket_ph(life, a, ph),
            moisture_percent: moisture,
            moisture_felt_percent: life.moisture_felt_percent(dry, p),
            top_moisture_percent: moisture
                * (1.0 - n.top_dryness * c.top_open_times * a.home.dry_top),
            drop_moisture_percent: life.drop_moisture_percent(p, n, dry),
            pooled_kg: (life.water_kg - holds).max(0.0) * c.sealed_share * stays(a),
            condensing: (n.lid_s_per_m / c.condensing_lid).min(1.0)
                * ((inside / lid - c.condensing_from) / c.condensing_width).clamp(0.0, 1.0)
                * water::activity(life.moisture_felt_percent(dry, p), c.bound_below),
            core_celsius: zones.core,
            hot_celsius: zones.hot,
            refuge_celsius: zones.refuge,
            air_celsius: life.carried.air_celsius,
            day: day.means().unwrap_or(DayMeans {
                core_celsius: zones.core,
                refuge_celsius: zones.refuge,
                air_celsius: life.carried.air_celsius,
            }),
            refuge_low_celsius: coldest,
            refuge_high_celsius: hottest,
            fed_days: since(life.fed_days),
            feed_left: (life.seen_kg / life.fed_kg.max(1e-9)).min(1.0),
            food_share: life.organic.pocket() * c.pocket_litres / litres.max(1e-6),
            // Of less than this there is no pocket.
            sour_meq_per_kg: 1000.0 * life.acid_pocket
                / (c.pocket_dry * life.organic.pocket()).max(0.01)
                + 1000.0 * life.acid_bed / dry.max(1e-6),
            free_ammonia_mg_per_kg: life.ammonium.max(0.0) * free / c.mol_per_kg * 1e6
                / dry.max(1e-6),
            airless: life.told.airless.bed.max(life.told.airless.pocket),
            air_filled: air::air_filled(filled, litres),
            ec_ms_per_cm: salt::ec_ms_per_cm(life, bed, p, dry),
            worms: life.worms.number(),
            adults: life.worms.adults(),
            worms_kg,
            worms_kg_m2: worms_kg / a.home.floor_m2.max(1e-9),
            condition: life.worms.condition(),
            cocoons: life.worms.cocoon_count(),
            urge_to_leave: life.carried.urge,
            driven_to_leave: life.told.driven,
            habitable: 1.0 - life.carried.urge,
            dying_per_day: life.told.dying,
            castings_dry_kg: life.worked * dry,
            castings_share: life.worked,
            made_dry_kg: (life.worked - life.brought).max(0.0) * dry,
            made_share: life.made_here(),
            dry_kg: dry,
            contents_kg: dry + life.water_kg + worms_kg,
            litres,
            over_rim: life.overfull(a.home, litres),
        }
    }
}

/// Share of what stands free that a day does not let out through the holes
/// [0 to 1]: after water is poured some runs for hours, and is no trouble.
fn stays(a: &Around<'_>) -> f64 {
    if a.home.drains {
        (-1.0 / a.nature.drain_days).exp()
    } else {
        1.0
    }
}
