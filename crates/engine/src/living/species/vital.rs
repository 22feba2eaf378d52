//! The list of the vital numbers: each a row of `species.csv`.

use super::Species;
use crate::bed::draw::Chance;
use crate::bed::product::Ranged;
use crate::table::{TableError, Tables};

vital! {
    /// Temperature at which the rates of the stage model hold [°C].
    reference_celsius: own, fixed;
    /// Cocoons laid per adult and day, uncrowded, at the reference [1/d].
    laying_per_adult_day: own, log;
    /// Young per adult and day: laying times young per cocoon [1/d].
    young_per_adult_day: own, log;
    /// Share of the cocoons that sorting by hand finds [0 to 1].
    cocoons_found_by_hand: own, fixed;
    /// Laying to hatching at the reference [d].
    incubation_days: own, log;
    /// Degree-days from laying to hatching [°C d].
    incubation_degree_days: own, fixed;
    /// Temperature over which degree-days are counted [°C].
    incubation_base_celsius: own, fixed;
    /// Shortest incubation however warm, by the degree-day law [d].
    incubation_floor_days: own, fixed;
    /// Hatching to premature, uncrowded, at the reference [d].
    growing_up_days: own, log;
    /// Premature to clitellate, uncrowded, at the reference [d].
    ripening_days: own, log;
    /// Mass of an adult in plenty of room, on food of quality 1 [g].
    adult_g: own, log;
    /// Mass of an adult that lays in full [g].
    laying_g: own, fixed;
    /// Biomass at which growing and maturing are halved [kg/m²].
    crowd_half_kg_m2: own, log;
    /// Power of that crowding [-].
    crowd_power: own, log;
    /// Biomass at which half the young survive hatching [kg/m²].
    hatch_half_kg_m2: own, log;
    /// Power of that [-].
    hatch_power: own, log;
    /// Biomass at which worms are (1 + 1)^-0.4 of their full mass [kg/m²].
    size_half_kg_m2: own, log;
    /// Days after a move before laying begins [d].
    lag_days: own, log;
    /// Growth per degree below 25 °C, on the log scale [1/K].
    growth_slope_per_k: own, log;
    /// Temperature below which nothing grows [°C].
    growth_low_celsius: own, fixed;
    /// Temperature above which growth falls [°C].
    growth_fall_celsius: own, plain;
    /// Temperature above which nothing grows [°C].
    growth_high_celsius: own, plain;
    /// Coldest at which cocoons are laid [°C].
    breeding_low_celsius: own, fixed;
    /// Best for laying [°C].
    breeding_best_celsius: own, plain;
    /// Hottest at which cocoons are laid [°C].
    breeding_high_celsius: own, plain;
    /// Temperature below which nothing is eaten [°C].
    feeding_low_celsius: own, fixed;
    /// Temperature above which nothing is eaten [°C].
    feeding_high_celsius: own, plain;
    /// Moisture at which growth is halved [% of wet mass].
    moisture_half_percent: own, plain;
    /// Steepness of that [% of wet mass].
    moisture_slope_percent: own, log;
    /// Temperature at which half die in `heat_half_days` [°C].
    heat_death_celsius: own, plain;
    /// Temperature below which cold kills [°C].
    cold_death_celsius: own, plain;
    /// Von Bertalanffy rate at 25 °C on good manure [1/d].
    growth_rate_per_day: own, log;
    /// Greatest mass of a worm alone on good food [g].
    solo_g: own, log;
    /// Mass at hatching [g].
    hatch_g: own, log;
    /// Mass at which worms mature [g].
    mature_g: own, log;
    /// Mass of a cocoon [mg].
    cocoon_mg: own, log;
    /// Dry share of a worm's mass [-].
    dry_share: own, plain;
    /// Power of mass against crowding [-].
    size_power: all, fixed;
    /// Power of the crowding of maturing by which young grow slower [-].
    growth_crowd_power: all, fixed;
    /// Depth of a bed of which only the volume is known [m].
    box_depth_m: all, fixed;
    /// Food quality on which a worm alone reaches `solo_g` [-].
    solo_quality: all, fixed;
    /// Mass of the first fourth of the young, E. fetida [g].
    young_1_g: all, fixed;
    /// Mass of the second fourth of the young [g].
    young_2_g: all, fixed;
    /// Mass of the third fourth of the young [g].
    young_3_g: all, fixed;
    /// Mass of the last fourth of the young [g].
    young_4_g: all, fixed;
    /// Mass of premature worms [g].
    premature_g: all, fixed;
    /// Least mass of adults [g].
    adult_floor_g: all, fixed;
    /// Least share of full mass crowded young come down to [-].
    young_size_floor: all, fixed;
    /// Least share of full mass crowded premature worms come down to [-].
    premature_size_floor: all, fixed;
    /// Eating per 10 K [-].
    feeding_q10: all, log;
    /// Temperature up to which eating stays full [°C].
    feeding_plateau_celsius: all, fixed;
    /// Dry food eaten in full appetite at 25 °C [g DM/g fresh worm/d].
    appetite_g_per_g_day: all, log;
    /// Dry food that keeps a worm's mass at 25 °C [g DM/g fresh worm/d].
    maintenance_g_per_g_day: all, log;
    /// Most of a full appetite that it takes to keep a worm's mass [0 to 1].
    maintenance_most_share: all, fixed;
    /// Share of the nitrogen eaten that worms take up [0 to 1].
    nitrogen_taken_share: all, plain;
    /// Nitrogen that keeps a worm's mass at 25 °C [mg N/g fresh worm/d].
    nitrogen_kept_mg_per_g_day: all, log;
    /// Mass lost per day without food at 25 °C [1/d].
    shrink_per_day: all, log;
    /// Deaths in good conditions [1/d].
    death_per_day: all, log;
    /// Days in which half die at `heat_death_celsius` [d].
    heat_half_days: all, fixed;
    /// Kelvin in which deaths by heat double [K].
    heat_doubling_kelvin: all, log;
    /// So far under `heat_death_celsius` warmth begins to kill [K].
    heat_from_kelvin: all, fixed;
    /// So far under `heat_death_celsius` all want to leave [K].
    heat_urge_under_kelvin: all, fixed;
    /// Kelvin over which that rises [K].
    heat_urge_width_kelvin: all, fixed;
    /// Degrees below freezing at which half die in `freeze_half_days` [K].
    freeze_half_kelvin: all, plain;
    /// Days in which half die there [d].
    freeze_half_days: all, fixed;
    /// Rise of deaths by frost per kelvin, on the log scale [1/K].
    freeze_slope_per_k: all, log;
    /// Deaths per degree below `cold_death_celsius` [1/K/d].
    chill_death_per_k_day: all, log;
    /// Moisture below which bedding draws water from a worm [% of wet mass].
    dry_from_percent: all, plain;
    /// Weight lost per percent drier [-].
    dry_lost_per_percent: all, log;
    /// Share of its weight that a worm can lose and live [0 to 1].
    dry_deadly_share: all, plain;
    /// Deaths at that loss [1/d].
    dry_death_per_day: all, log;
    /// Power of deaths by drought against the loss [-].
    dry_death_power: all, fixed;
    /// Days in which half die without oxygen at 20 °C [d].
    airless_half_days: all, log;
    /// Kelvin colder in which they take twice as long [K].
    airless_doubling_kelvin: all, log;
    /// pH at which half die in a day without organic acids [pH].
    acid_one_day_ph: all, plain;
    /// Decades of time per pH, for acid and for base [1/pH].
    acid_slope_per_ph: all, fixed;
    /// So far above `acid_one_day_ph` all want to leave [pH].
    acid_urge_over_ph: all, plain;
    /// pH over which that rises [pH].
    acid_urge_width_ph: all, log;
    /// Undissociated organic acids at which half die in a day [mmol/kg water].
    organic_acid_one_day_mmol_per_kg: all, log;
    /// Undissociated organic acids at which half want to leave [mmol/kg water].
    sour_avoid_mmol_per_kg: all, log;
    /// Undissociated organic acids that halve growth and laying [mmol/kg water].
    sour_half_mmol_per_kg: all, log;
    /// pH at which half die in a day of base [pH].
    alkaline_one_day_ph: all, plain;
    /// So far under `alkaline_one_day_ph` all want to leave [pH].
    alkaline_urge_under_ph: all, plain;
    /// pH over which that rises [pH].
    alkaline_urge_width_ph: all, log;
    /// pH below which worms do nothing [pH].
    ph_low: all, fixed;
    /// pH from which on they do all [pH].
    ph_full_low: all, plain;
    /// pH up to which they do all [pH].
    ph_full_high: all, plain;
    /// pH above which worms do nothing [pH].
    ph_high: all, fixed;
    /// pH above which fewer cocoons are laid [pH].
    laying_falls_from_ph: all, fixed;
    /// Share fewer per pH [1/pH].
    laying_fall_per_ph: all, log;
    /// Water of the soils in which doses were given [L/kg].
    soil_water_l_per_kg: all, fixed;
    /// pH of the soils in which NH4OH was given.
    ammonia_trial_ph: all, fixed;
    /// NH4OH that harms nobody [mg/g].
    ammonia_harmless_mg_per_g: all, log;
    /// Deaths by the square of what is over that [1/d per (mg/g)²].
    ammonia_death_per_day: all, log;
    /// NH4OH at which half the young come [mg/g].
    ammonia_breeding_mg_per_g: all, log;
    /// Power of that [-].
    ammonia_breeding_power: all, log;
    /// NH4OH that half the worms avoid [mg/g].
    ammonia_avoid_mg_per_g: all, log;
    /// NH4OH at which half the worms would leave for no better place [mg/g].
    ammonia_leave_mg_per_g: all, log;
    /// Power of both [-].
    ammonia_avoid_power: all, log;
    /// Conductivity of table salt in water [mS/cm per mmol/kg].
    salt_ms_per_cm_per_mmol: all, fixed;
    /// Table salt as hard on worms as other salts of the same conductivity
    /// [0 to 1].
    salt_mild_share: all, fixed;
    /// Table salt in the water at which half die in 28 days [mmol/kg].
    salt_death_mmol_per_kg: all, log;
    /// Power of deaths by salt [-].
    salt_death_power: all, log;
    /// Salt that halves growth over salt that kills half in 28 days [-].
    salt_growth_over_death: all, fixed;
    /// Table salt in the water at which they lay half as much [mmol/kg].
    salt_breeding_mmol_per_kg: all, log;
    /// Power of that [-].
    salt_breeding_power: all, fixed;
    /// Table salt in the water that half the worms avoid [mmol/kg].
    salt_avoid_mmol_per_kg: all, log;
    /// Power of avoiding salt [-].
    salt_avoid_power: all, log;
    /// Table salt at which half the worms would leave for no better place
    /// [mmol/kg water].
    salt_leave_mmol_per_kg: all, log;
    /// Power of that [-].
    salt_leave_power: all, fixed;
    /// So much drier than the mean is the driest place they choose [% of wet mass].
    drier_reach_percent: all, fixed;
    /// So much wetter than the mean is the wettest [% of wet mass].
    wetter_reach_percent: all, plain;
    /// Share of the worms on walls and lid when all want out [0 to 1].
    wall_most_share: all, plain;
    /// Urge from which on worms climb [-].
    wall_urge_from: all, plain;
    /// Urge at which as many climb as will [-].
    wall_urge_full: all, plain;
    /// Ammonia on the walls over that in the bedding [0 to 1].
    wall_ammonia_share: all, log;
    /// Moisture of the bedding over which walls are dry [% of wet mass].
    wall_dry_percent: all, fixed;
    /// Moisture of the bedding from which on walls are wet [% of wet mass].
    wall_wet_from_percent: all, fixed;
    /// Moisture at which wetness halves growth [% of wet mass].
    wet_half_percent: all, plain;
    /// Steepness of that [% of wet mass].
    wet_slope_percent: all, fixed;
    /// Share of decay without oxygen from which on worms do less [0 to 1].
    airless_from: all, plain;
    /// Air-filled porosity at which worms do nothing [-].
    air_low: all, fixed;
    /// Air-filled porosity from which on they do all [-].
    air_full: all, plain;
    /// Share leaving per day when all want to and can [1/d].
    leaving_per_day: all, log;
    /// Urge to wander in the first night of a new bin [-].
    wandering: all, plain;
    /// Time in which that wears off [d].
    wandering_days: all, log;
    /// Oxygen used at 20 °C [µL/g/h].
    oxygen_ul_per_g_hour: all, log;
    /// Respiration per 10 K [-].
    respiration_q10: all, log;
    /// Carbon dioxide given off per oxygen used [mol/mol].
    respiratory_quotient: all, fixed;
    /// Heat per oxygen used [kJ/g].
    heat_kj_per_g_oxygen: all, fixed;
    /// Worms per kg fresh substrate from which on they hinder each other [1/kg].
    density_solo_worms_per_kg: all, fixed;
    /// Power of greatest mass against density, manure and paper [-].
    density_power: all, log;
    /// The same on very rich food [-].
    density_power_rich: all, fixed;
    /// Moisture of the place toward which worms choose [% of wet mass].
    kindest_moisture_percent: all, fixed;
    /// Mass of worms out of the post against the same worms well fed [-].
    posted_share: all, fixed;
    /// Flesh lost at which hunger is felt in full [-].
    thin_full_share: all, fixed;
    /// Largest adult against one that lays in full: no more is laid beyond [-].
    largest_laying: all, fixed;
    /// Mass of an adult that lays in full where the masses of the stages were
    /// told, E. fetida [g].
    stages_laying_g: all, fixed;
    /// Stock of mostly young worms: second fourth of the young [0 to 1].
    stock_young_2_share: all, fixed;
    /// The third fourth [0 to 1].
    stock_young_3_share: all, fixed;
    /// The last fourth [0 to 1].
    stock_young_4_share: all, fixed;
    /// Usual mixed stock: second fourth of the young [0 to 1].
    stock_mixed_2_share: all, fixed;
    /// The third fourth [0 to 1].
    stock_mixed_3_share: all, fixed;
    /// The last fourth [0 to 1].
    stock_mixed_4_share: all, fixed;
    /// Premature worms [0 to 1].
    stock_mixed_premature_share: all, fixed;
    /// Worms with a clitellum [0 to 1].
    stock_mixed_adult_share: all, fixed;
    /// Stock of mostly grown worms: premature [0 to 1].
    stock_grown_premature_share: all, fixed;
    /// Worms with a clitellum [0 to 1].
    stock_grown_adult_share: all, fixed;
    /// Temperature at which growth, eating and upkeep are told [°C].
    growth_reference_celsius: all, fixed;
    /// Kelvin over which growing and eating come up from nothing [K].
    cold_width_kelvin: all, fixed;
    /// Below this no cocoon develops [°C].
    development_stops_celsius: all, fixed;
    /// Largest ratio of a worm alone on good manure to one on soil that the law
    /// of rich food can tell [-].
    most_rich: all, fixed;
    /// So much above its due mass a worm shrinks in full [-].
    oversize_share: all, fixed;
    /// Least share of a full appetite that counts as over maintenance [-].
    least_surplus_share: all, fixed;
    /// Temperature at which `oxygen_ul_per_g_hour` is told [°C].
    respiration_celsius: all, fixed;
    /// Worms breathe no faster above [°C].
    respiration_most_celsius: all, fixed;
    /// pKa of acetic acid and its like [pH].
    sour_pka: all, fixed;
    /// Warmth of the trials of ammonia in soil [°C].
    ammonia_trial_celsius: all, fixed;
    /// Days of the trials of `salt_death_mmol_per_kg` [d].
    salt_death_days: all, fixed;
    /// Share of the decay without oxygen from which on worms have none either
    /// [0 to 1].
    airless_deadly_from: all, fixed;
    /// Temperature at which `airless_half_days` is told [°C].
    airless_half_celsius: all, fixed;
    /// So far over `growth_low_celsius` worms begin to want out of the cold [K].
    cold_urge_over_kelvin: all, fixed;
    /// Kelvin over which that rises [K].
    cold_urge_width_kelvin: all, fixed;
    /// Most that cold drives: it numbs [0 to 1].
    cold_urge_most: all, fixed;
    /// So far under `moisture_half_percent` all want out of dry bedding
    /// [% of wet mass].
    dry_urge_width_percent: all, fixed;
    /// Share of `air_full` below which worms begin to want out [0 to 1].
    air_urge_from_share: all, fixed;
    /// Urge to leave for want of oxygen over the work it stops [-].
    stale_urge_factor: all, fixed;
    /// Urge to leave of worms that find nothing to eat [0 to 1].
    hunger_urge_most: all, fixed;
    /// Crowding from which on worms begin to want out [g/L].
    crowd_urge_from_g_per_l: all, fixed;
    /// So much more and all do [g/L].
    crowd_urge_width_g_per_l: all, fixed;
    /// Urge below which they stay [0 to 1].
    leave_urge_from: all, fixed;
    /// Kelvin over `feeding_low_celsius` over which numb worms come to walk [K].
    walk_width_kelvin: all, fixed;
    /// Deaths by hunger [1/d]; see [`crate::living::mortality::starved`].
    starve_death_per_day: all, fixed;
    /// Mass against the same worms well fed from which down hunger kills [-].
    starve_from_condition: all, fixed;
    /// So much less and `starve_death_per_day` do [-].
    starve_width: all, fixed;
    /// Most deaths by hunger over that [-].
    starve_most: all, fixed;
    /// Deaths where there are worms and nothing else [1/d].
    crush_death_per_day: all, fixed;
    /// Worms in a litre from which on they crush each other [g/L].
    crush_from_g_per_l: all, fixed;
    /// So many more and `crush_death_per_day` do [g/L].
    crush_width_g_per_l: all, fixed;
    /// Ammonia as it harms cocoons over what it is [0 to 1].
    cocoon_ammonia_share: all, fixed;
}
