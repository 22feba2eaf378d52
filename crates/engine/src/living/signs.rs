//! What can be seen, felt, smelt or measured of one possible bin at one
//! instant: all that an observation can be weighed by.

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
    /// Moisture of its top few centimetres [% of wet mass].
    pub top_moisture_percent: f64,
    /// Moisture at which this bedding gives its first drops when squeezed
    /// [% of wet mass]: higher for peat and paper, lower for castings and sand.
    pub drop_moisture_percent: f64,
    /// Liquid standing at the bottom [kg].
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
    /// Days since the last feeding [d]; `None` when never fed.
    pub fed_days: Option<f64>,
    /// Recognisable share left of the last feeding [0 to 1].
    pub feed_left: f64,
    /// Volatile fatty acids and the like in the pocket of food
    /// [meq/kg of its dry matter].
    pub sour_meq_per_kg: f64,
    /// Free ammonia, NH3 [mg N/kg dry bedding].
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
    /// Mass of a worm against the same worm well fed [-].
    pub condition: f64,
    /// Cocoons.
    pub cocoons: f64,
    /// Urge to leave the kindest zone [0 to 1].
    pub urge_to_leave: f64,
    /// Share of the bed that worms can stand [0 to 1].
    pub habitable: f64,
    /// Share of worms that die per day [1/d].
    pub dying_per_day: f64,
    /// Castings, dry [kg].
    pub castings_dry_kg: f64,
    /// Castings as a share of all dry matter [0 to 1].
    pub castings_share: f64,
    /// Contents of the bin, wet, worms included [kg].
    pub contents_kg: f64,
    /// Volume of the contents [L].
    pub litres: f64,
}
